"""Whether a proof may be recorded: its sets tight, by whose hand, by which readings."""

from __future__ import annotations

from bedplate.assembly import held
from bedplate.assembly.drawing import to_draw, way_to
from bedplate.assembly.locks import again_words, out_in_words, stage_out
from bedplate.assembly.standing import (
    BEGUN,
    ProofState,
    cure,
    fit_lacks,
    fits_stand,
    hand_of,
    lacks,
    needed,
    proof_sets,
    proof_state,
)
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import called
from bedplate.errors import RefusedError
from bedplate.record.entries import Concession, Entry, Proof, Settled
from bedplate.record.sets import SetState
from bedplate.sheet import model
from bedplate.sheet.layout import joined
from bedplate.text import visible


def may_prove(assembly: Assembly, entry: Proof, by: str) -> None:
    """Refuse a proof that may not be recorded.

    Args:
        assembly: the job.
        entry: the proof, passed or failed.
        by: whose hand.

    Raises:
        NotUnderstoodError: there is no such proof or position.
        RefusedError: a set it is made with is not tight, it is held, the hand has proved it
            already or is not the customer's, or its fit does not pass.

    """
    selection = assembly.select(entry.proof, "proof")
    for position in selection.positions:
        tag = selection.named.name
        held.refuse_held(assembly, tag, position)
        loose = next((s for s in proof_sets(assembly, tag, position) if not s.is_tight), None)
        if loose is not None:
            raise refuse_loose(assembly, f"{joined(tag, position)} may not be proved", loose)
        state = proof_state(assembly, tag, position)
        if entry.passed:
            _check_hand(assembly, state, by)
            _check_fit(assembly, state)


def passed_by(assembly: Assembly, place: str, by: str) -> Proof | None:
    """Return the pass of a proof by this hand, where it asks for a second one; None without.

    Args:
        assembly: the job.
        place: the proof at one of its positions: ``TIMING.2``.
        by: whose hand.

    """
    selection = assembly.select(place, "proof")
    state = proof_state(assembly, selection.named.name, selection.positions[0])
    if state.row.hand != "another":
        return None
    return next((e for e in state.passes if hand_of(e.by) == hand_of(by)), None)


def still_lacking(assembly: Assembly, place: str) -> str | None:
    """Return what a proof that has just passed lacks yet: a second hand, a second look.

    Args:
        assembly: the job.
        place: the proof at one of its positions.

    """
    selection = assembly.select(place, "proof")
    state = proof_state(assembly, selection.named.name, selection.positions[0])
    if state.state != BEGUN or len(state.passes) >= needed(state.row):
        return None
    return lacks(assembly, state)


def refuse_loose(
    assembly: Assembly, what: str, state: SetState, *, on_trial: bool = False
) -> RefusedError:
    """Return the refusal of a reading or proof because a set is not tight.

    Args:
        assembly: the job.
        what: ``SPIN may not be proved``.
        state: the set.
        on_trial: whether old parts do where new ones would have to be drawn: for a reading.

    """
    held.refuse_held(assembly, state.row.tag, state.position)
    if not on_trial:
        held.refuse_unanswered(assembly, state.row.tag, state.position)
    name = called(assembly.layout, state.row.tag, state.position)
    out = stage_out(assembly, state)
    if out is not None:
        # The next stage would be refused too, until this one is mended.
        return RefusedError(
            f"Refused. {what}: {name} is not tight, {out_in_words(out)}.",
            f"Type:  bedplate fasten {state.address} {again_words(state, out)}",
        )
    stages = [f.stage for f in state.fasteners if not state.reached(f)]
    stage = f" --stage {min(stages) + 1}" if state.stages > 1 else ""
    return RefusedError(
        f"Refused. {what}: {name} is not tight.",
        *(_on_trial if on_trial else way_to)(assembly, state, f"tight{stage}"),
    )


def _on_trial(assembly: Assembly, state: SetState, words: str) -> tuple[str, ...]:
    """Return the lines that say how to come to a move for a reading: old parts do for it."""
    draw = to_draw(assembly, state, words)
    if draw is None:
        held.refuse_unanswered(assembly, state.row.tag, state.position)
        return way_to(assembly, state, words)
    return (
        f"On old parts, for a trial:  bedplate fasten {state.address} tight --trial",
        f"With new ones, first:  {draw.command}",
    )


def _check_hand(assembly: Assembly, state: ProofState, by: str) -> None:
    row = state.row
    if row.hand == "customer":
        _check_customer(assembly, state, by)
    elif row.hand == "another":
        again = passed_by(assembly, state.address, by)
        if again is not None:
            raise RefusedError(
                f"Refused. {state.address} asks for a second hand, and {visible(by)} has passed "
                f"it already (entry {again.n}).",
                f'Type:  bedplate prove {state.address} pass --by "SECOND HAND"',
            )


def _check_customer(assembly: Assembly, state: ProofState, by: str) -> None:
    """Refuse the hand of the workshop where the customer's is asked for.

    The customer is whoever the job names; else, or where a firm is named, anybody who has
    recorded nothing else in this job.
    """
    customer = assembly.job.opened.customer
    if customer is not None and hand_of(customer) == hand_of(by):
        return
    own = next((e for e in assembly.job.entries if _is_work(assembly, e, by)), None)
    if own is not None:
        named = f" ({visible(customer)})" if customer is not None else ""
        raise RefusedError(
            f"Refused. {state.address} asks for the customer{named}, and {visible(by)} works on "
            f"this job (entry {own.n}).",
            f"Type:  bedplate prove {state.address} pass --by CUSTOMER",
        )


def _is_work(assembly: Assembly, entry: Entry, by: str) -> bool:
    """Tell whether an entry is work of the workshop by this hand."""
    if hand_of(entry.by) != hand_of(by) or isinstance(entry, Concession | Settled):
        return False
    if not isinstance(entry, Proof):
        return True
    named = assembly.layout.find(entry.proof.partition(".")[0], "proof")
    row = named.row if named is not None else None
    return not isinstance(row, model.Proof) or row.hand != "customer"


def _check_fit(assembly: Assembly, state: ProofState) -> None:
    if state.row.fit is not None and not fits_stand(state.fits, state.upset.n):
        raise RefusedError(f"Refused. {fit_lacks(assembly, state)}.", *cure(assembly, state))
