"""What waits: things put off, findings that ask for an answer, and what was accepted as it is.

A fold like `bedplate.record.job`. A disposition that goes beyond what the customer asked for
(``extra``) puts a question to the customer by itself: it is one of the things put off, under its
own entry number, until a later disposition of the same parts takes its place.
"""

from __future__ import annotations

from typing import NamedTuple

from bedplate.record.entries import Concession, Deferred, Disposition, Finding, Settled
from bedplate.record.job import Job

CUSTOMER = "customer"
"""Whom a disposition beyond what was asked waits for."""


class PutOff(NamedTuple):
    """Something put off and not settled yet.

    Attributes:
        n: number of the entry that put it off.
        until: a moment of the sheet, a time (RFC 3339 or a date), or whoever it waits for.
        holds: address, set or step that may not go on, as written.
        text: what was put off, in the words of whoever did.

    """

    n: int
    until: str
    holds: str | None
    text: str


class Waiting(NamedTuple):
    """What waits in a job.

    Attributes:
        put_off: what is not settled yet, in order.
        findings: findings that ask for an answer and have none, in order.
        settled: the entries that settled something, by the number of what they settled.
        concessions: what was accepted as it is, in order.

    """

    put_off: tuple[PutOff, ...]
    findings: tuple[Finding, ...]
    settled: dict[int, Settled]
    concessions: tuple[Concession, ...]

    @classmethod
    def of(cls, job: Job) -> Waiting:
        """Return what the live entries of a job add up to."""
        settled = {entry.entry: entry for entry in job.live(Settled)}
        put_off = [
            PutOff(e.n, e.until, e.holds, e.note or e.why or "") for e in job.live(Deferred)
        ]
        in_force = {entry.n for entry in job.decided.values()}
        put_off += [
            PutOff(e.n, CUSTOMER, None, f"{e.decision} {e.component}: {e.why}")
            for e in job.live(Disposition)
            if e.extra and e.n in in_force
        ]
        return cls(
            tuple(sorted((p for p in put_off if p.n not in settled), key=lambda p: p.n)),
            tuple(f for f in job.live(Finding) if asks(f) and f.n not in settled),
            settled,
            tuple(job.live(Concession)),
        )


def asks(finding: Finding) -> bool:
    """Tell whether a finding must be answered: one to reject, or one that is to come back."""
    return finding.severity == "reject" or finding.back is not None
