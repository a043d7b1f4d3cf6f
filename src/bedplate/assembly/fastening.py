"""Whether an entry about fasteners is understood, before the rules of the trade are asked."""

from __future__ import annotations

from bedplate.assembly.locks import refuse_moves
from bedplate.assembly.stages import read_reached, stage_of
from bedplate.assembly.state import Assembly
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Fasteners
from bedplate.record.sets import AS_FOUND, LOCKED, TIGHT, SetState
from bedplate.text import counted, visible


def may_fasten(assembly: Assembly, entry: Fasteners) -> None:
    """Refuse what may not be done with fasteners.

    Raises:
        NotUnderstoodError: there is no such set, position, stage or number of fasteners.
        RefusedError: a rule forbids it; the hints say what would cure it.

    """
    selection = assembly.select(entry.set, "fasteners")
    states = [assembly.sets.at(selection.named.name, p) for p in selection.positions]
    try:
        _check_count(states, entry)
        _check_trial(states[0], entry)
        _check_stage(states[0], entry)
    except NotUnderstoodError:
        _refuse_without_slips(assembly, states, entry)
        raise
    _ask_stage(assembly, states, entry)
    _check_value(states[0], entry)
    refuse_moves(assembly, states, entry)


def _refuse_without_slips(assembly: Assembly, states: list[SetState], entry: Fasteners) -> None:
    """Refuse what is refused without its count, stage and value too: a slip mended cures none."""
    if entry.state != TIGHT:
        plain = {"count": None, "stage": None, "value": None, "trial": None}
        refuse_moves(assembly, states, entry.model_copy(update=plain))


def _check_count(states: list[SetState], entry: Fasteners) -> None:
    state, count = states[0], entry.count
    if count is None:
        return
    if len(states) > 1:
        raise NotUnderstoodError(
            f"Not recorded. {visible(entry.set)} is {len(states)} sets: {count} of which?",
            f"Type:  bedplate fasten {state.address} {entry.state} --count {count}",
        )
    if state.row.number is None:
        raise NotUnderstoodError(
            f"Not recorded. The sheet does not say how many fasteners {state.address} has.",
            f"For all of them:  bedplate fasten {state.address} {entry.state}",
        )
    if not 1 <= count <= state.number:
        raise NotUnderstoodError(
            f"Not recorded. {state.address} has {counted(state.number, 'fastener')}, not {count}.",
            f"For all of them:  bedplate fasten {state.address} {entry.state}",
        )


def _check_trial(state: SetState, entry: Fasteners) -> None:
    if entry.trial and entry.state != "tight":
        raise NotUnderstoodError(
            f"Not recorded. Only tight can be for a trial, not {entry.state}.",
            f"Type:  bedplate fasten {state.address} tight --trial",
        )


def _check_stage(state: SetState, entry: Fasteners) -> None:
    """Refuse a stage there is not, and one where none belongs."""
    stages = state.row.stages or ()
    address, tightens = visible(entry.set), entry.state in ("tight", "again")
    if not tightens and (entry.stage is not None or entry.value is not None):
        raise NotUnderstoodError(
            f"Not recorded. What was reached goes with tight or again, not with {entry.state}.",
            f"Type:  bedplate fasten {address} {entry.state}",
        )
    if entry.stage is not None and entry.stage > len(stages):
        number = counted(len(stages), "stage") if stages else "no stages"
        raise NotUnderstoodError(
            f"Not recorded. {address} has {number}, so there is no stage {entry.stage}.",
            *(_stages(state) or [f"Type:  bedplate fasten {address} {entry.state}"]),
        )


def _stages(state: SetState) -> list[str]:
    """Return the stages of a set, a line each."""
    stages = state.row.stages or ()
    return [f"Stage {i}: {visible(stage.limits)}" for i, stage in enumerate(stages, start=1)]


def _ask_stage(assembly: Assembly, states: list[SetState], entry: Fasteners) -> None:
    """Refuse a tightening whose stage is not named; what stands in its way comes first."""
    state = states[0]
    number = len(state.row.stages or ())
    if entry.state != "tight" or entry.stage is not None or number < 2 or entry.trial:
        return
    nearest = min((f.stage for f in state.fasteners if f.state == TIGHT), default=0) + 1
    stage = min(nearest, number)
    refuse_moves(assembly, states, entry.model_copy(update={"stage": stage}))
    raise NotUnderstoodError(
        f"Not recorded. {visible(entry.set)} is tightened in {number} stages: which was reached?",
        *_stages(state),
        f"Type:  bedplate fasten {visible(entry.set)} tight --stage {stage}",
    )


def _check_value(state: SetState, entry: Fasteners) -> None:
    if entry.value is None:
        return
    stage = entry.stage
    if stage is None and entry.state == "again":
        if not state.count(AS_FOUND, TIGHT, LOCKED):
            return  # nothing is tight: that is said, whatever was reached
        # It stays at the stage it is at.
        stage = max((f.stage for f in state.fasteners if f.state == TIGHT), default=None)
    try:
        read_reached(entry.value, stage_of(state.row, stage))
    except NotUnderstoodError as error:
        raise NotUnderstoodError(f"Not recorded. {error.message}", *error.hint) from None
