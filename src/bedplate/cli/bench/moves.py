"""What is to be done to a set of fasteners next, and how a set is described. Pure."""

from __future__ import annotations

import shlex
from dataclasses import dataclass

from bedplate.assembly.locks import again_words, stage_out
from bedplate.assembly.renewing import new_parts
from bedplate.assembly.stages import StageVerdict, judged, stage_limits
from bedplate.assembly.state import Assembly
from bedplate.assembly.steps import to_reach
from bedplate.assembly.words import plural
from bedplate.record.entries import AnyEntry, Fasteners, PartUsed
from bedplate.record.job import Job
from bedplate.record.sets import FITTED, LOCKED, TIGHT, Sets, SetState, lacking, moved
from bedplate.report import figures, verdicts
from bedplate.sheet import model
from bedplate.text import visible

STATES = ("removed", "fitted", "tight", "locked", "backed-off", "again")
"""What can be done to fasteners."""
EVERYWHERE = "all"
"""What stands behind a word that is said of all positions at once."""
LOOSENING = ("removed", "backed-off")


@dataclass(frozen=True, slots=True)
class Move:
    """What is to be done to a set.

    Attributes:
        state: one of `STATES`; empty where somebody is to say it.
        stage: of a tightening in turns.
        count: how many; None for all.
        measured: whether what was reached is asked for.
    """

    state: str
    stage: int | None = None
    count: int | None = None
    measured: bool = False


def move_in(command: str) -> Move:
    """Return the move that a command of the program makes.

    >>> move_in("bedplate fasten M.1 tight --stage 2 --reached VALUE")
    Move(state='tight', stage=2, count=None, measured=True)
    """
    words = shlex.split(command)
    told = dict(zip(words[4::2], words[5::2], strict=False))
    stage, count = told.get("--stage"), told.get("--count")
    return Move(
        words[3],
        int(stage) if stage else None,
        int(count) if count else None,
        "--reached" in told,
    )


def set_at(assembly: Assembly, address: str) -> SetState:
    """Return a set at the position that its address, as the record spells it, names."""
    tag, _, position = address.partition(".")
    return assembly.sets.at(tag, tuple(position.split("/")) if position else ())


def next_move(assembly: Assembly, address: str, *, taking: bool = False) -> Move:
    """Return the next move of a set on its way to its final state.

    Args:
        assembly: the job.
        address: the set at its position.
        taking: the first that takes one-use things which were not drawn yet.

    Returns:
        A move without a state where nothing comes next by itself: the set is as found, or final.
    """
    state = set_at(assembly, address)
    final = state.row.final_state
    out = stage_out(assembly, state)
    if not taking and out is None and (not state.history or state.is_final):
        return Move("")
    for wanted in (FITTED, final) if taking else (final,):
        words = again_words(state, out) if out is not None else to_reach(state, wanted)
        move = move_in(f"bedplate fasten {address} {words}")
        entry = Fasteners.model_validate(
            {"set": address, "state": move.state, "stage": move.stage}
        )
        if not taking or lacking(assembly.sets, [(state, moved(state, entry))]):
            measured = move.measured or (move.state == TIGHT and bool(state.row.stages))
            return Move(move.state, move.stage, move.count, measured)
    return Move("")


def drawn_for(job: Job, entry: Fasteners) -> list[AnyEntry]:
    """Return the one-use things that a move takes and that were not drawn yet, as entries."""
    sets = Sets.of(job)
    selection = job.layout.select(entry.set, "fasteners")
    states = [sets.at(selection.named.name, position) for position in selection.positions]
    pairs = [(state, moved(state, entry)) for state in states]
    things = [name for each in (states[0].row.spends or {}).values() for name in each]
    names = {name.casefold(): name for name in things}
    used = [
        PartUsed(part=names.get(thing, thing), count=takes - left if takes - left > 1 else None)
        for thing, (takes, left) in lacking(sets, pairs).items()
    ]
    return [entry for drawn in used for entry in (drawn, *new_parts(job, drawn))]


# ---- in words


def facts(row: model.Fasteners, move: Move, *, draw: bool) -> list[str]:
    """Return what there is to know of a set before a move: limits, and what is new each time."""
    found = []
    if move.state in ("", TIGHT, "again"):
        found += [stage_shown(stage, draw=draw) for stage in row.stages or ()]
    for state, things in (row.spends or {}).items():
        if move.state in ("", state) or (move.state == TIGHT and state == FITTED):
            found += [f"{plural(visible(name), n)} (new each time)" for name, n in things.items()]
    return found


def stage_shown(stage: model.Limits, *, draw: bool) -> str:
    """Return the limits of a stage: ``16 to 18 lbf ft``, ``60 N m``."""
    found = stage_limits(stage)
    unit = figures.unit_word(found.unit, draw=draw)
    low, dots, high = (part.strip() for part in stage.limits.partition(".."))
    if not dots:
        return f"{_figure(low)} {unit}"
    return figures.limits_shown(_figure(low), _figure(high), found.unit, draw=draw)


def _figure(text: str) -> str | None:
    """Return the figure of a limit as entered, without its unit; None for an open side."""
    figure = text.partition(" ")[0].rstrip(
        "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ*°"
    )
    return figure or None


def standing(state: SetState, entry: Fasteners) -> str:
    """Return how a set stands after a move: ``tight, 4 of 4, 17 lbf ft``."""
    word = "tight again" if entry.state == "again" else entry.state.replace("-", " ")
    said = [f"{word} on trial" if entry.trial else word]
    if state.number > 1 and entry.state != LOCKED:
        said.append(f"{entry.count or state.number} of {state.number}")
    if entry.stage is not None:
        said.append(f"stage {entry.stage}")
    if entry.value is not None:
        said.append(visible(entry.value).replace("*", " "))
    return ", ".join(said)


def verdict(state: SetState, entry: Fasteners) -> tuple[str, str] | None:
    """Return sign and words of what was reached; None where it is not judged."""
    found: StageVerdict | None = judged(state.row, entry)
    if found is None or found.verdict not in ("in", "out"):
        return None
    has = {"has_low": found.limits.low is not None, "has_high": found.limits.high is not None}
    words = "in band" if found.verdict == "in" else f"OUT, {found.side}"
    return verdicts.sign(found.verdict, found.side, **has), words


def used_in_words(entries: tuple[AnyEntry, ...]) -> str:
    """Return what was drawn: ``4 tab washers used``; empty for nothing."""
    used = [entry for entry in entries if isinstance(entry, PartUsed)]
    things = [f"{p.count or 1} {plural(visible(p.part), p.count or 1)}" for p in used]
    return f"{', '.join(things)} used" if things else ""
