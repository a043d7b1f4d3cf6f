"""The next thing to do on the way to a step done, a set in its state, a proof that stands.

Every action given here is one that the rules allow now.
"""

from __future__ import annotations

from typing import NamedTuple

from bedplate.assembly import held
from bedplate.assembly.drawing import to_draw
from bedplate.assembly.locks import (
    again_words,
    out_in_words,
    stage_out,
    unproved,
)
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.standing import ProofState, cure, fits_stand, lacks, proof_sets
from bedplate.assembly.state import Assembly
from bedplate.assembly.steps import before_of, holds_of, is_done, leaves_of, to_reach
from bedplate.assembly.words import called, plural, title_of
from bedplate.record.entries import Finding
from bedplate.record.sets import FITTED, LOCKED, REMOVED, TIGHT, SetState
from bedplate.sheet.layout import Place, Setting, joined
from bedplate.text import quoted, visible


class Action(NamedTuple):
    """Something to do next.

    Attributes:
        kind: ``step``, ``fasteners``, ``part-used``, ``proof``, ``reading``, ``finding``,
            ``disposition``, ``remedy``, ``changed``, ``settle``, ``sign``, ``wait``, or the kind
            of what is in the way.
        what: what it is about: an address, or the number of an entry.
        text: what to do, in words.
        type: the command, to be copied.
    """

    kind: str
    what: str
    text: str
    type: str


def from_blocker(blocker: Blocker) -> Action:
    """Return the action that would mend what is in the way."""
    return Action(blocker.kind, blocker.what, blocker.text, blocker.type)


def answer(finding: Finding) -> Action:
    """Return the action of answering a finding."""
    place = f" ({visible(finding.place)})" if finding.place else ""
    text = f"answer {finding.n}{place} {quoted(finding.note or finding.severity)}"
    return Action("finding", str(finding.n), text, f"bedplate settle {finding.n} --how ANSWER")


def toward_step(assembly: Assembly, step: str, position: Setting) -> Action | None:
    """Return what to do next towards a step done; None where something else comes first.

    Args:
        assembly: the job.
        step: a step that is not done, as the sheet spells it.
        position: one of its positions.
    """
    if held.holder(assembly, step, position) is not None:
        return None
    before = before_of(assembly, step, position)
    if not all(is_done(assembly, name, place) for name, place in before):
        return None
    finding = held.unanswered(assembly, step, position)
    if finding is not None:
        return answer(finding)
    for state, wanted in leaves_of(assembly, step, position):
        if not is_left(assembly, state, wanted):
            return toward_set(assembly, state, wanted)
    for proof in holds_of(assembly, step, position):
        if not proof.stands:
            return toward_proof(assembly, proof)
    address = joined(step, position)
    where = address.partition(".")[2]
    text = title_of(assembly.layout, step) + (f" ({where})" if where else "")
    return Action("step", address, text, f"bedplate done {address}")


def is_left(assembly: Assembly, state: SetState, wanted: str) -> bool:
    """Tell whether a set is left in a state, and no stage of it was out of limits."""
    off = wanted in (REMOVED, FITTED)
    return state.is_left(wanted) and (off or stage_out(assembly, state) is None)


def toward_set(assembly: Assembly, state: SetState, wanted: str) -> Action | None:
    """Return what to do next towards a set left in a state; None where it is held.

    Args:
        assembly: the job.
        state: a set that is not left so.
        wanted: ``removed``, ``fitted``, ``tight`` or ``locked``.
    """
    tag, position = state.row.tag, state.position
    words = to_reach(state, wanted)
    word = words.partition(" ")[0]
    out = stage_out(assembly, state)
    if word not in ("removed", "backed-off") and held.holder(assembly, tag, position) is not None:
        return None
    finding = held.unanswered(assembly, tag, position)
    if finding is not None and word in (TIGHT, LOCKED):
        return answer(finding)
    if out is not None and word in (TIGHT, LOCKED):
        text = f"{called(assembly.layout, tag, position)}, {out_in_words(out)}"
        command = f"bedplate fasten {state.address} {again_words(state, out)}"
        return Action("fasteners", state.address, text, command)
    if word == LOCKED:
        for proof in unproved(assembly, state):
            return toward_proof(assembly, proof)
    return _draw(assembly, state, words) or _move(assembly, state, words)


_TO_DO = {
    "removed": "take off",
    "fitted": "fit",
    "tight": "tighten",
    "locked": "lock",
    "backed-off": "back off",
}


def _move(assembly: Assembly, state: SetState, words: str) -> Action:
    word, _, stage = words.partition(" --")
    text = f"{_TO_DO[word]} {called(assembly.layout, state.row.tag, state.position)}"
    command = f"bedplate fasten {state.address} {words}"
    if word == TIGHT and state.row.stages:
        text += f", {stage}" if stage else ""
        command += " --reached VALUE"
    return Action("fasteners", state.address, text, command)


def _draw(assembly: Assembly, state: SetState, words: str) -> Action | None:
    """Return the drawing of the one-use things that a move takes and that are not there."""
    draw = to_draw(assembly, state, words)
    if draw is None:
        return None
    text = f"draw {draw.number} new {plural(visible(draw.name), draw.number)} for {state.address}"
    return Action("part-used", draw.name, text, draw.command)


def unclamp(assembly: Assembly, place: Place) -> Action | None:
    """Return what frees a place to be changed; None where nothing clamps it."""
    clamping = assembly.clamping(place)
    if clamping is None:
        return None
    text = f"take {clamping.address} off, to change {place}"
    return Action(
        "fasteners", clamping.address, text, f"bedplate fasten {clamping.address} removed"
    )


_KINDS = {
    "measure": "reading",
    "decide": "disposition",
    "change": "changed",
    "concede": "concession",
}
"""Kinds of action by the verb of their command, where they are not called alike."""


def toward_proof(assembly: Assembly, proof: ProofState) -> Action | None:
    """Return what to do next towards a proof that stands; None where it is held."""
    tag, position = proof.row.tag, proof.position
    if held.holder(assembly, tag, position) is not None:
        return None
    for state in proof_sets(assembly, tag, position):
        if not state.is_tight:
            return toward_set(assembly, state, TIGHT)
    command = cure(assembly, proof)[-1].partition(":  ")[2]
    if proof.row.fit is not None and not fits_stand(proof.fits, proof.upset.n):
        _, word, about, *_ = command.split()
        place = assembly.place_named(about) if word == "change" else None
        if place is not None and held.holder(assembly, place.component, place.position):
            return None
        first = unclamp(assembly, place) if place is not None else None
        if first is not None:
            return first
        return Action(_KINDS.get(word, word), about, lacks(assembly, proof), command)
    text = title_of(assembly.layout, tag)
    return Action("proof", proof.address, f"prove {proof.address}: {text}", command)
