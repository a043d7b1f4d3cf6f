"""Whether a proof stands: passed, and nothing it rests on was moved or changed since.

Order is that of the entries, never of clocks.
"""

from __future__ import annotations

from typing import NamedTuple

from bedplate.assembly.mending import command_to_mend
from bedplate.assembly.moments import seals
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import entry_and_time, fastener_word
from bedplate.assess.result import FitResult
from bedplate.record import entries
from bedplate.record.sets import SetState
from bedplate.sheet.layout import Setting, joined
from bedplate.sheet.model import Proof
from bedplate.text import folded

PASSED, FAILED, BEGUN, MISSING = "passed", "failed", "begun", "not made"
NO_END = 10**21
"""Above the number of any entry."""


class Upset(NamedTuple):
    """What last made a proof stale: number of the entry, and in words what it moved.

    ``n`` is 0 where nothing did.
    """

    n: int = 0
    text: str = ""


class ProofState(NamedTuple):
    """A proof at one of its positions.

    Attributes:
        row: the proof as the sheet has it.
        position: one of its positions.
        state: ``passed``, ``failed``, ``begun`` (passed, but not often enough or not by enough
            hands) or ``not made`` (since it was upset).
        upset: what last made it stale.
        passes: the passes that count.
        failed: the entry by which it failed, if that is the last word.
        fits: results of the fit it passes by, where it has one.

    """

    row: Proof
    position: Setting
    state: str
    upset: Upset
    passes: tuple[entries.Proof, ...] = ()
    failed: entries.Proof | None = None
    fits: tuple[FitResult, ...] = ()

    @property
    def address(self) -> str:
        """Its address: ``TURN.3``."""
        return joined(self.row.tag, self.position)

    @property
    def stands(self) -> bool:
        """Whether it has passed and holds still."""
        return self.state == PASSED


def needed(row: Proof) -> int:
    """Return how often a proof must pass: ``times``, and by two hands where it says so."""
    return max(row.times or 1, 2 if row.hand == "another" else 1)


def by_fit_alone(row: Proof) -> bool:
    """Tell whether a proof passes by its fit without anybody saying so."""
    return row.fit is not None and row.hand is None and needed(row) == 1


def hand_of(name: str) -> str:
    """Return a name for comparison: case and blanks do not make another person.

    >>> hand_of(" Ann  Fitter") == hand_of("ann fitter")
    True
    """
    return folded(name)


def proof_sets(assembly: Assembly, tag: str, position: Setting) -> list[SetState]:
    """Return the sets, at their positions, that must be tight for a proof."""
    kept, key = assembly.layout.kept, ("proof", tag, position)
    if key not in kept:
        row = assembly.layout.row(tag, Proof)
        states = assembly.agreeing_sets(row.when, assembly.names_of(tag, position))
        kept[key] = [(state.row.tag, state.position) for state in states]
    return [assembly.sets.at(*at) for at in kept[key]]


def upset(assembly: Assembly, sets: list[SetState], *, before: int = NO_END) -> Upset:
    """Return the last move of any of these sets, or change of what they hold."""
    found = Upset()
    for state in sets:
        moved = state.moved_before(before)
        if moved > found.n:
            word = fastener_word(assembly.layout, state.row.tag)
            found = Upset(moved, f"{word}{state.address} was last moved")
        for place in assembly.held_places(state):
            changed = assembly.changed([place], before=before)
            if changed > found.n:
                found = Upset(changed, f"{place} was changed")
    return found


def proof_state(
    assembly: Assembly, tag: str, position: Setting, *, before: int = NO_END
) -> ProofState:
    """Return how a proof stands at a position.

    Args:
        assembly: the job.
        tag: the proof, as the sheet spells it.
        position: one of its positions.
        before: as it stood just before this entry. Fits are known as they are now only, so that
            looking back a proof by its fit counts as passed.

    """
    key = (tag, position, before)
    if key not in assembly.kept:
        assembly.kept[key] = _worked_out(assembly, tag, position, before)
    found: ProofState = assembly.kept[key]
    return found


def _worked_out(assembly: Assembly, tag: str, position: Setting, before: int) -> ProofState:
    row = assembly.layout.row(tag, Proof)
    sets = proof_sets(assembly, tag, position)
    last = upset(assembly, sets, before=before)
    made = [e for e in assembly.made.proof(tag, position) if last.n < e.n < before]
    made = [e for e in made if all(state.before(e.n).tight for state in sets)]
    passes: list[entries.Proof] = []
    failed: entries.Proof | None = None
    for entry in made:
        passes, failed = ([*passes, entry], None) if entry.passed else ([], entry)
    fits: tuple[FitResult, ...] = ()
    if row.fit is not None:
        wanted = assembly.names_of(tag, position)
        fits = tuple(assembly.fits_agreeing(row.fit, wanted, since=last.n))
    state = _state(row, passes, failed)
    if row.fit is not None and before == NO_END:
        since = max(last.n, failed.n if failed is not None else 0)
        newer = tuple(assembly.fits_agreeing(row.fit, wanted, since=since))
        state = _by_fit(row, state, failed, good=fits_stand(newer, since))
    elif by_fit_alone(row):
        state = PASSED if failed is None else FAILED
    return ProofState(row, position, state, last, tuple(passes), failed, fits)


def _state(row: Proof, passes: list[entries.Proof], failed: entries.Proof | None) -> str:
    if failed is not None:
        return FAILED
    hands = {hand_of(entry.by) for entry in passes}
    enough = len(hands) >= 2 if row.hand == "another" else True
    if len(passes) >= needed(row) and enough:
        return PASSED
    return BEGUN if passes else MISSING


def _by_fit(row: Proof, state: str, failed: entries.Proof | None, *, good: bool) -> str:
    """Return the state of a proof that passes by its fit, if the fit is ``good`` since."""
    if by_fit_alone(row):
        return PASSED if good else (FAILED if failed is not None else MISSING)
    return BEGUN if state == PASSED and not good else state


def fits_stand(fits: tuple[FitResult, ...], since: int) -> bool:
    """Tell whether fits pass, by readings all taken after entry ``since``."""
    return bool(fits) and all(
        fit.passes and fit.measured and min(fit.readings, default=0) > since for fit in fits
    )


def lacks(assembly: Assembly, proof: ProofState) -> str:
    """Return in words why a proof does not stand: ``SPIN has not passed since …``."""
    name, row = proof.address, proof.row
    if proof.state == FAILED and proof.failed is not None:
        return f"{name} failed ({entry_and_time(proof.failed, assembly.now)})"
    if proof.state == BEGUN and row.fit is not None and len(proof.passes) >= needed(row):
        return fit_lacks(assembly, proof)
    hands = {hand_of(entry.by) for entry in proof.passes}
    if proof.state == BEGUN and row.hand == "another" and len(hands) == 1:
        return f"{name} has passed by one hand ({proof.passes[-1].by}) and asks for a second"
    if proof.state == BEGUN:
        return f"{name} has passed {len(proof.passes)} of {needed(row)} times"
    if by_fit_alone(row):
        return fit_lacks(assembly, proof)
    return f"{name} has not passed{_since(assembly, proof.upset)}"


def fit_lacks(assembly: Assembly, proof: ProofState) -> str:
    """Return in words why the fit of a proof does not let it pass."""
    fit = _lacking(proof)
    if fit is not None and fit.measured and not fit.passes:
        return f"{proof.address} has not passed: {fit.address} is {fit.verdict}"
    address = fit.address if fit is not None else str(proof.row.fit)
    return f"{proof.address} has not passed: {address} was not read{_since(assembly, proof.upset)}"


def _lacking(proof: ProofState) -> FitResult | None:
    """Return the fit by which a proof does not pass: one that is out, before one not read."""
    failing = [fit for fit in proof.fits if not fit.passes]
    out = next((fit for fit in failing if fit.measured), None)
    return out or next(iter(failing or proof.fits), None)


def _since(assembly: Assembly, last: Upset) -> str:
    if not last.n:
        return ""
    entry = assembly.entry(last.n)
    return f" since {last.text} ({entry_and_time(entry, assembly.now)})"


def cure(assembly: Assembly, proof: ProofState) -> tuple[str, ...]:
    """Return the lines that say what would make a proof stand."""
    if proof.row.fit is not None and not fits_stand(proof.fits, proof.upset.n):
        return (f"Type:  {_fit_cure(assembly, proof)}",)
    lines = (f"It asks for: {proof.row.text}",) if proof.row.text else ()
    hand = ""
    if proof.row.hand == "customer":
        hand = " --by CUSTOMER"
    elif proof.row.hand == "another" and proof.state == BEGUN:
        hand = ' --by "SECOND HAND"'
    return (*lines, f"When it is so:  bedplate prove {proof.address} pass{hand}")


def _fit_cure(assembly: Assembly, proof: ProofState) -> str:
    """Return the command that would bring the fit of a proof to pass."""
    fit = _lacking(proof)
    if fit is not None and fit.measured and not fit.passes:
        return command_to_mend(assembly, fit)
    missing = next(iter(fit.missing if fit is not None else ()), None)
    if missing is None:
        return f"bedplate check {proof.row.fit}"
    (spot,) = assembly.job.select(missing).spots
    older = [taken.entry.n for taken in assembly.job.standing(spot)]
    if not older:
        return f"bedplate measure {missing} VALUE"
    # What stands under a seal is not struck: there the new value is a repeat of it.
    sealed = older[0] < seals(assembly.job).entry
    return f"bedplate measure {missing} VALUE {'--again' if sealed else '--instead'}"
