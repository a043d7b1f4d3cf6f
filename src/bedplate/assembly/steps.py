"""Whether a step may be done: what is before it, how it leaves things, its proofs, its waits."""

from __future__ import annotations

from datetime import datetime, timedelta

from bedplate.assembly import held
from bedplate.assembly.drawing import way_to
from bedplate.assembly.locks import again_words, out_in_words, stage_out, unproved
from bedplate.assembly.standing import ProofState, cure, lacks, proof_state
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import called, clock, moment_of
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record import entries
from bedplate.record.sets import FITTED, LOCKED, REMOVED, SetState
from bedplate.sheet.layout import Setting, joined
from bedplate.sheet.model import Step
from bedplate.units import read_duration


def may_do(assembly: Assembly, entry: entries.Step) -> None:
    """Refuse a step that may not be recorded as done, or as undone.

    Raises:
        NotUnderstoodError: there is no such step or position, or no reason for undoing it.
        RefusedError: something it asks for is not so yet, or it is done (or not done) already.

    """
    selection = assembly.select(entry.step, "step")
    step = selection.named.name
    when = moment_of(entry) if entry.done_at else assembly.now
    for position in selection.positions:
        if entry.done:
            _refuse_doing(assembly, step, position, when)
        else:
            _refuse_undoing(assembly, step, position, entry)


def _refuse_undoing(assembly: Assembly, step: str, position: Setting, entry: entries.Step) -> None:
    address = joined(step, position)
    if assembly.made.done(step, position) is None:
        raise RefusedError(
            f"Refused. Step {address} is not done, so it cannot be undone.",
            "Type:  bedplate status",
        )
    if not (entry.note or "").strip():
        raise NotUnderstoodError(
            f"Not recorded. Why is step {address} undone?",
            f"Type:  bedplate done {address} --undone --why REASON",
        )


def _refuse_doing(assembly: Assembly, step: str, position: Setting, when: datetime) -> None:
    address = joined(step, position)
    before = assembly.made.done(step, position)
    if before is not None:
        raise RefusedError(
            f"Refused. Step {address} is done already (entry {before.n}).",
            f"Not so?  bedplate done {address} --undone --why REASON",
        )
    held.refuse_held(assembly, step, position)
    held.refuse_unanswered(assembly, step, position)
    lack = lacking(assembly, step, position, when)
    if lack is not None:
        raise RefusedError(f"Refused. Step {address} is not done: {lack[0]}.", *lack[1])


Lack = tuple[str, tuple[str, ...]]
"""What a step still asks for, in words, and the lines that say how to come by it."""


def lacking(assembly: Assembly, step: str, position: Setting, when: datetime) -> Lack | None:
    """Return the first thing a step at a position still asks for, None where nothing is missing.

    Args:
        assembly: the job.
        step: the step, as the sheet spells it.
        position: one of its positions.
        when: when it is done.

    """
    for name, place in before_of(assembly, step, position):
        done = assembly.made.done(name, place)
        other = joined(name, place)
        if done is None:
            return f"step {other} comes first", _way_to_do(assembly, name, place, when)
        until = over(assembly, name, done)
        if until is not None and until > when:
            rest = f"step {other} waits until {clock(until, assembly.now)}"
            return rest, (f"Then:  bedplate done {joined(step, position)}",)
    return _lacking_sets(assembly, step, position) or _lacking_proofs(assembly, step, position)


def _way_to_do(
    assembly: Assembly, step: str, position: Setting, when: datetime
) -> tuple[str, ...]:
    """Return the lines that say how a step comes to be done, the first thing first."""
    try:
        held.refuse_held(assembly, step, position)
        held.refuse_unanswered(assembly, step, position)
    except RefusedError as refusal:
        return refusal.hint
    lack = lacking(assembly, step, position, when)
    return lack[1] if lack is not None else (f"Type:  bedplate done {joined(step, position)}",)


def _lacking_sets(assembly: Assembly, step: str, position: Setting) -> Lack | None:
    for state, wanted in leaves_of(assembly, step, position):
        out = stage_out(assembly, state)
        if out is not None and wanted not in (REMOVED, FITTED):
            name = called(assembly.layout, state.row.tag, state.position)
            return (
                f"{name}, {out_in_words(out)}",
                (f"Type:  bedplate fasten {state.address} {again_words(state, out)}",),
            )
        if not state.is_left(wanted):
            name = called(assembly.layout, state.row.tag, state.position)
            return f"{name} is to be left {wanted}", _way_to_leave(assembly, state, wanted)
    return None


def _way_to_leave(assembly: Assembly, state: SetState, wanted: str) -> tuple[str, ...]:
    """Return the lines that say how a set comes to be left in a state, the first thing first."""
    words = to_reach(state, wanted)
    tag, position = state.row.tag, state.position
    item = held.holder(assembly, tag, position)
    if item is not None and words not in (REMOVED, "backed-off"):
        return (f"When what it waits for is over:  bedplate settle {item.n}",)
    finding = held.unanswered(assembly, tag, position)
    if finding is not None and words.partition(" ")[0] in ("tight", LOCKED):
        return (f"First answer what comes back:  bedplate settle {finding.n} --how ANSWER",)
    for proof in unproved(assembly, state) if words == LOCKED else ():
        return cure(assembly, proof)
    return way_to(assembly, state, words)


def _lacking_proofs(assembly: Assembly, step: str, position: Setting) -> Lack | None:
    for proof in holds_of(assembly, step, position):
        if not proof.stands:
            return lacks(assembly, proof), cure(assembly, proof)
    return None


def before_of(assembly: Assembly, step: str, position: Setting) -> list[tuple[str, Setting]]:
    """Return the steps, at their positions, that come before a step."""
    wanted = assembly.names_of(step, position)
    names = [
        assembly.layout.named(name, "step").name
        for name in assembly.layout.row(step, Step).after or ()
    ]
    return [(name, place) for name in names for place in assembly.agreeing(name, wanted)]


def leaves_of(assembly: Assembly, step: str, position: Setting) -> list[tuple[SetState, str]]:
    """Return the sets, at their positions, that a step leaves in a state, with that state."""
    wanted = assembly.names_of(step, position)
    return [
        (state, left)
        for tag, left in (assembly.layout.row(step, Step).leaves or {}).items()
        for state in assembly.agreeing_sets([tag], wanted)
    ]


def holds_of(assembly: Assembly, step: str, position: Setting) -> list[ProofState]:
    """Return the proofs, at their positions, that hold a step."""
    wanted = assembly.names_of(step, position)
    names = [
        assembly.layout.named(tag, "proof").name
        for tag in assembly.layout.row(step, Step).hold or ()
    ]
    return [
        proof_state(assembly, name, place)
        for name in names
        for place in assembly.agreeing(name, wanted)
    ]


def over(assembly: Assembly, step: str, done: entries.Step) -> datetime | None:
    """Return when the wait after a step is over, None where it has none.

    It is reckoned from when the step was done, as typed in, else as written.
    """
    wait = assembly.layout.row(step, Step).wait
    if wait is None:
        return None
    return moment_of(done) + timedelta(seconds=float(read_duration(wait)))


def is_done(assembly: Assembly, step: str, position: Setting) -> bool:
    """Tell whether a step is done at a position, and its wait over."""
    done = assembly.made.done(step, position)
    if done is None:
        return False
    until = over(assembly, step, done)
    return until is None or until <= assembly.now


def to_reach(state: SetState, wanted: str) -> str:
    """Return the next word (and stage) behind a set on its way to a state."""
    if wanted == REMOVED:
        return "removed"
    if any(fastener.trial for fastener in state.fasteners):
        return "backed-off"
    if wanted == FITTED:
        return "fitted"
    behind = [fastener.stage for fastener in state.fasteners if not state.reached(fastener)]
    if behind:
        return "tight" + (f" --stage {min(behind) + 1}" if state.stages > 1 else "")
    return "locked" if wanted == LOCKED else "tight"
