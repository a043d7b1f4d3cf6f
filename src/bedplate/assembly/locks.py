"""Whether fasteners may be moved: one-use things, stages in turn, trials, and locking.

A lock is made permanent only when every proof it waits for has passed after the last move of any
set that proof rests on, and after the last change of anything such a set holds.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from bedplate.assembly import held
from bedplate.assembly.drawing import Draw, thing_name, way_to
from bedplate.assembly.stages import StageVerdict, judged, stage_of
from bedplate.assembly.standing import NO_END, ProofState, cure, lacks, proof_sets, proof_state
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import BE_DONE, called, entry_and_time, plural
from bedplate.errors import RefusedError
from bedplate.record.entries import Fasteners
from bedplate.record.sets import (
    AS_FOUND,
    LOCKED,
    TIGHT,
    Fastener,
    SetState,
    lacking,
    meant,
    moved,
)
from bedplate.text import visible


class _Move(NamedTuple):
    """One entry, at one position of its set.

    Attributes:
        assembly: the job.
        state: the set as it is.
        entry: what is to be done.
        chosen: the fasteners that the entry means.

    """

    assembly: Assembly
    state: SetState
    entry: Fasteners
    chosen: tuple[Fastener, ...]

    def typed(self, words: str) -> str:
        """Return a command about this set, to be copied."""
        return f"bedplate fasten {self.state.address} {words}"

    def refused(self, why: str, *hint: str) -> RefusedError:
        """Return the refusal of this move."""
        name = called(self.assembly.layout, self.state.row.tag, self.state.position)
        return RefusedError(f"Refused. {name} may not {BE_DONE[self.entry.state]}: {why}.", *hint)

    def since(self, fastener: Fastener) -> str:
        """Return in brackets which entry brought a fastener where it is; nothing as found."""
        if not fastener.entry:
            return ""
        entry = self.assembly.entry(fastener.entry)
        return f" ({entry_and_time(entry, self.assembly.now)})"

    def not_tight(self, loose: Sequence[Fastener]) -> RefusedError:
        """Return the refusal because some fasteners are not tight."""
        held.refuse_held(self.assembly, self.state.row.tag, self.state.position)
        held.refuse_unanswered(self.assembly, self.state.row.tag, self.state.position)
        return self.refused(
            f"{_of(len(loose), self.state)} not tight",
            *way_to(self.assembly, self.state, _tight(self.state, loose)),
        )


def _tight(state: SetState, loose: Sequence[Fastener]) -> str:
    """Return what is typed behind a set to tighten what is loose of it: ``tight --stage 2``."""
    return "tight" + (f" --stage {min(f.stage for f in loose) + 1}" if state.stages > 1 else "")


def _of(number: int, state: SetState) -> str:
    """Return ``1 of 4 is``, ``3 of 4 are``, ``it is``."""
    if state.number == 1:
        return "it is"
    return f"{number} of {state.number} {'is' if number == 1 else 'are'}"


def refuse_moves(assembly: Assembly, states: Sequence[SetState], entry: Fasteners) -> None:
    """Refuse what may not be done with a set, at any of the positions that an entry names.

    A position where there is nothing left to do is passed over, if there is something to do at
    another.

    Raises:
        RefusedError: a rule forbids it; the hints say what would cure it.

    """
    moves = []
    for state in states:
        chosen = tuple(state.fasteners[place] for place in meant(state, entry))
        moves.append(_Move(assembly, state, entry, chosen))
    going = [move for move in moves if move.chosen]
    if not going:
        raise _nothing_to_do(moves[0])
    for move in going:
        _refuse_move(move)
    _refuse_lacking(going)


def _refuse_move(move: _Move) -> None:
    state, entry = move.state, move.entry
    if entry.state not in ("removed", "backed-off"):
        held.refuse_held(move.assembly, state.row.tag, state.position)
    if entry.state in ("tight", "again", "locked") and not entry.trial:
        held.refuse_unanswered(move.assembly, state.row.tag, state.position)
    if entry.count is not None and len(move.chosen) < entry.count:
        raise move.refused(
            f"{entry.count} were named, and it is open to {len(move.chosen)} of {state.number}",
            f"Type:  {move.typed(f'{entry.state} --count {len(move.chosen)}')}",
        )
    rule = _RULES.get(entry.state)
    if rule is not None:
        rule(move)


def _nothing_to_do(move: _Move) -> RefusedError:
    """Return the refusal of a move that no fastener of the set can make."""
    state, entry = move.state, move.entry
    last = max(state.fasteners, key=lambda fastener: fastener.entry)
    if entry.state == "tight":
        _refuse_mixing(move)
        return _cannot_tighten(move)
    if entry.state == "again" and state.count(AS_FOUND, TIGHT, LOCKED):
        turned = [f for f in state.fasteners if f.state in (AS_FOUND, TIGHT, LOCKED)]
        last = max(turned, key=lambda fastener: fastener.entry)
        stage = last.stage or state.stages
        return move.refused(
            f"it is at stage {stage}, not at stage {entry.stage}{move.since(last)}",
            f"Type:  {move.typed(f'again --stage {stage}')}",
        )
    if entry.state in ("backed-off", "again"):
        return move.not_tight(state.fasteners)
    if entry.state == "fitted" and state.clamps:
        return move.refused(
            f"it is {last.state}{move.since(last)}", f"Type:  {move.typed('backed-off')}"
        )
    return move.refused(f"it is {last.state} already{move.since(last)}", "Type:  bedplate status")


def _cannot_tighten(move: _Move) -> RefusedError:
    """Return why nothing more can be tightened: locked, on trial, or tight already."""
    state = move.state
    last = max(state.fasteners, key=lambda fastener: fastener.entry)
    if state.count(LOCKED) == state.number:
        return move.refused(
            f"it is locked{move.since(last)}", f"Open it first:  {move.typed('backed-off')}"
        )
    stage = f" to stage {last.stage}" if state.stages > 1 else ""
    out = stage_out(move.assembly, state)
    again = again_words(state, out) if out is not None else "again"
    return move.refused(
        f"it is tight{stage} already{move.since(last)}",
        f"Tightened again in place:  {move.typed(again)}",
    )


# ---- what each state asks for


def _tighten(move: _Move) -> None:
    state, entry = move.state, move.entry
    _refuse_mixing(move)
    if entry.trial and entry.stage is None:
        return
    stage = entry.stage or state.stages
    behind = [fastener for fastener in move.chosen if fastener.stage < stage - 1]
    if behind:
        first = min(fastener.stage for fastener in behind) + 1
        limits = stage_of(state.row, first)
        words = f"tight --stage {first}"
        way = (
            (f"Type:  {move.typed(f'{words} --trial')}",)
            if entry.trial
            else way_to(move.assembly, state, words)
        )
        raise move.refused(
            f"stage {first} comes first, and {_of(len(behind), state)} not there yet",
            f"Stage {first}: {visible(limits.limits) if limits else ''}",
            *way,
        )
    _refuse_out(move)


def _refuse_mixing(move: _Move) -> None:
    """Refuse to tighten for good what is tight on old parts, and the other way round."""
    trial = move.entry.trial is True
    other = next(
        (f for f in move.state.fasteners if f.state in (TIGHT, LOCKED) and f.trial != trial), None
    )
    if other is None:
        return
    how = "for good" if trial else "on old parts, for a trial"
    raise move.refused(
        f"it is tight {how}{move.since(other)}", f"Type:  {move.typed('backed-off')}"
    )


def _again(move: _Move) -> None:
    state, entry = move.state, move.entry
    spent = (state.row.spends or {}).get("locked")
    locked = next((f for f in move.chosen if f.state == LOCKED), None)
    if spent and locked is not None:
        raise move.refused(
            f"it is locked{move.since(locked)}, and {_things(spent)} would have to be opened",
            f"Type:  {move.typed('backed-off')}",
        )
    if entry.value is None:
        _refuse_out(move)


def _lock(move: _Move) -> None:
    state = move.state
    loose = [f for f in move.chosen if not state.reached(f)]
    if loose:
        raise move.not_tight(loose)
    trial = next((f for f in move.chosen if f.trial), None)
    if trial is not None:
        raise move.refused(
            f"it is tight on old parts, for a trial{move.since(trial)}",
            f"Type:  {move.typed('backed-off')}",
        )
    _refuse_out(move)
    for proof in unproved(move.assembly, state):
        raise move.refused(lacks(move.assembly, proof), *_way_to_proof(move.assembly, proof))


def _way_to_proof(assembly: Assembly, proof: ProofState) -> tuple[str, ...]:
    """Return the lines that say how a proof is come to: its sets are tightened first."""
    for state in proof_sets(assembly, proof.row.tag, proof.position):
        loose = [fastener for fastener in state.fasteners if not state.reached(fastener)]
        if not state.is_tight and loose:
            return way_to(assembly, state, _tight(state, loose))
    return cure(assembly, proof)


def _things(spent: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {plural(visible(name), count)}" for name, count in spent.items())


_RULES: Mapping[str, Callable[[_Move], None]] = {
    "tight": _tighten,
    "again": _again,
    "locked": _lock,
}


def unproved(assembly: Assembly, state: SetState, *, before: int = NO_END) -> list[ProofState]:
    """Return the proofs that a set waits for before it is locked, and that do not stand.

    Args:
        assembly: the job.
        state: the set at its position.
        before: as they stood just before this entry.

    """
    wanted = assembly.names_of(state.row.tag, state.position)
    names = [assembly.layout.named(tag, "proof").name for tag in state.row.prove or ()]
    proofs = [
        proof_state(assembly, name, position, before=before)
        for name in names
        for position in assembly.agreeing(name, wanted)
    ]
    return [proof for proof in proofs if not proof.stands]


# ---- stages that were reached out of their limits


class StageOut(NamedTuple):
    """A fastener whose last tightening was out of the limits of its stage."""

    fastener: Fastener
    entry: Fasteners
    verdict: StageVerdict


def stage_out(
    assembly: Assembly, state: SetState, chosen: Sequence[Fastener] | None = None
) -> StageOut | None:
    """Return a fastener of a set (of those ``chosen``) that was tightened out of limits."""
    for fastener in state.fasteners if chosen is None else chosen:
        if fastener.state != TIGHT or not fastener.entry:
            continue
        entry = assembly.entry(fastener.entry)
        if isinstance(entry, Fasteners):
            verdict = judged(state.row, entry, fastener.stage)
            if verdict is not None and verdict.verdict == "out":
                return StageOut(fastener, entry, verdict)
    return None


def out_in_words(out: StageOut) -> str:
    """Return ``stage 2 was out: 70 N*m against 58..62 N*m``."""
    limits = visible(out.verdict.limits.text)
    reached = visible(out.entry.value or "")
    return f"stage {out.entry.stage or out.fastener.stage} was out: {reached} against {limits}"


def _refuse_out(move: _Move) -> None:
    out = stage_out(move.assembly, move.state, move.chosen)
    if out is not None:
        raise move.refused(
            f"{out_in_words(out)}{move.since(out.fastener)}",
            f"Tightened again in place:  {move.typed(again_words(move.state, out))}",
        )


def again_words(state: SetState, out: StageOut) -> str:
    """Return what to type behind the set to mend a stage that was out.

    Beside locked fasteners it names how many are meant: without a count they would be as well.
    """
    stage = out.entry.stage or out.fastener.stage
    turns = state.stages > 1
    where = f" --stage {stage}" if turns else ""
    open_to_it = [
        f for f in state.fasteners if f.state == TIGHT and (not turns or f.stage == stage)
    ]
    count = f" --count {len(open_to_it)}" if state.count(LOCKED) else ""
    return f"again{where}{count} --reached VALUE"


# ---- one-use things


def _refuse_lacking(moves: Sequence[_Move]) -> None:
    """Refuse to take more one-use things than were drawn and are unspent."""
    pairs = [(move.state, moved(move.state, move.entry)) for move in moves]
    sets = moves[0].assembly.sets
    for thing, (takes, left) in lacking(sets, pairs).items():
        name = thing_name(moves[0].state, thing)
        raise moves[0].refused(
            f"it takes {takes} new {plural(visible(name), takes)}, and {left or 'none'} "
            f"{'is' if left == 1 else 'are'} left unspent",
            f"Type:  {Draw(name, takes - left).command}",
        )
