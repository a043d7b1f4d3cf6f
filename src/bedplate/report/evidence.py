"""What a summary is made from: the job, its fits, what its bytes show, what is in the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import NamedTuple

from bedplate.assembly.moments import signed_moments
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.state import Assembly
from bedplate.assess.fits import Assessment
from bedplate.assess.result import FitResult
from bedplate.record.entries import Entry, Reopened
from bedplate.record.job import Job
from bedplate.report.document import State
from bedplate.report.figures import date_shown
from bedplate.report.preferred import AS_ENTERED, Preference
from bedplate.seal.facts import SealFact, Verification
from bedplate.text import listed, shown_text


@dataclass(frozen=True)
class Evidence:
    """One job with all that is known of it; it is read, never changed.

    Attributes:
        name: of the job.
        job: as its entries add up; of an altered file, those before the alteration.
        verification: what its bytes show.
        now: the time, with its offset.
        blockers: what is in the way of the first moment that is not signed for.
        pictures: bytes of the attachments that are pictures and whole, by entry number.
        preference: how whoever writes the page prefers to see fits; what is weighed is as it is.
    """

    name: str
    job: Job
    verification: Verification
    now: datetime
    blockers: Sequence[Blocker] = ()
    pictures: Mapping[int, bytes] = field(default_factory=dict)
    preference: Preference = AS_ENTERED

    @cached_property
    def assessment(self) -> Assessment:
        """The job's readings and fits."""
        return Assessment(self.job)

    @cached_property
    def pairs(self) -> list[Pair]:
        """Every fit at every position, as found beside as left, in the sheet's order."""
        shown = self.preference.of
        return [
            Pair(shown(pair.found), shown(pair.left) if pair.left is not None else None)
            for pair in self._worked_out
        ]

    @cached_property
    def _worked_out(self) -> list[Pair]:
        found: list[Pair] = []
        for fit in self.job.sheet.fit:
            for row in self.assessment.rows(fit):
                first, *then = self.assessment.row(fit, row, both=True)
                if first.stage == "as left" and not then:  # pragma: no cover - both=True gives two
                    raise ValueError(f"{fit.tag} came without its as-found result")
                found.append(Pair(first, then[0] if then else None))
        return found

    @cached_property
    def assembly(self) -> Assembly:
        """The job on the bench."""
        return Assembly(self.job, [pair.now for pair in self._worked_out], self.now)

    @property
    def is_altered(self) -> bool:
        """Whether an entry of the file is not to be relied on."""
        return self.verification.first_bad_entry is not None

    @property
    def open_moments(self) -> list[str]:
        """The moments that the job is not signed for, by whatever key, in order."""
        seals = () if self.is_altered else signed_moments(self.job)
        signed = {moment.casefold() for moment in (*self.verification.signed, *seals)}
        return [m for m in self.job.sheet.signed_for if m.casefold() not in signed]

    @property
    def hands(self) -> list[str]:
        """Whoever recorded, each once, in the order first met."""
        return list(dict.fromkeys(entry.by for entry in self.job.entries))

    @property
    def by(self) -> str:
        """Who recorded it, and when last: ``recorded by Ann Fitter, 24 Nov 2025``."""
        hands = listed([shown_text(hand) for hand in self.hands], most=4)
        return f"recorded by {hands}, {day(self.job.entries[-1])}"

    def entry(self, n: int) -> Entry:
        """Return entry ``n``."""
        return self.job.entries[n - 1]


class Pair(NamedTuple):
    """A fit at one position: as found, and as left where it has left its first life."""

    found: FitResult
    left: FitResult | None

    @property
    def now(self) -> FitResult:
        """How it stands."""
        return self.left or self.found


def day(entry: Entry) -> str:
    """Return the day of an entry: ``24 Nov 2025``."""
    return date_shown((getattr(entry, "done_at", None) or entry.at)[: len("2025-11-24")])


def state_of(evidence: Evidence) -> State:
    """Return how far a record has come: signed and for what, reopened, altered, or not signed."""
    proof = evidence.verification
    if evidence.is_altered:
        after = "what stands before it is shown" if evidence.job.last else "nothing before it"
        return State(
            f"ALTERED at entry {proof.first_bad_entry}", "bad", f"{proof.reason}; {after}"
        )
    if proof.signed:
        to_come = evidence.open_moments
        rest = f"; {_names(to_come)} still to come" if to_come else ""
        return State(f"Signed for {_names(proof.signed)}{rest}", "good")
    if sound := [seal for seal in proof.seals if seal.ok]:
        return _fallen(evidence, sound[-1])
    if proof.seals:
        return State("SIGNED BY A KEY NOT KNOWN HERE", "bad", _unknown(proof.seals[-1]))
    return State("NOT SIGNED", "open")


def _names(moments: Sequence[str]) -> str:
    return ", ".join(shown_text(moment) for moment in moments)


def _fallen(evidence: Evidence, seal: SealFact) -> State:
    reopened = next((e for e in evidence.job.live(Reopened) if e.n > seal.entry), None)
    covers = f"signed up to entry {seal.covers} for {shown_text(seal.moment or '')}"
    if reopened is None:
        return State("NOT SIGNED as it stands", "open", f"{covers}, changed since")
    why = f"reopened by entry {reopened.n}: {shown_text(reopened.why)}"
    return State("REOPENED", "open", f"{covers}, {why}")


def _unknown(seal: SealFact) -> str:
    moment, by = shown_text(seal.moment or ""), shown_text(seal.by)
    return f"signed for {moment} in the name of {by}; nobody here vouches for the key"
