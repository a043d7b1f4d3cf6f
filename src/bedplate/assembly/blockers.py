"""What is in the way of signing a job for a moment, and what was conceded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from bedplate.assembly import obstacles
from bedplate.assembly.accepted import accepted
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.state import Assembly
from bedplate.assembly.unlawful import unlawful
from bedplate.assess.result import FitResult
from bedplate.errors import NotUnderstoodError
from bedplate.record.job import Job
from bedplate.text import folded, near_or_list, quoted


def blockers(
    job: Job,
    fits: Sequence[FitResult],
    moment: str,
    now: datetime,
    *,
    gauges_overdue: Sequence[str] = (),
    copies: Sequence[str] = (),
) -> list[Blocker]:
    """Return what is in the way of signing a job for a moment, as left only.

    Args:
        job: the job as it stands.
        fits: every fit at every position, as left.
        moment: what it is to be signed for.
        now: the time, with its offset.
        gauges_overdue: names of gauges that were used past their due date.
        copies: names of copies of the job that hold lines which it lacks.

    Raises:
        NotUnderstoodError: the sheet has no such moment.

    """
    weighed = weigh(job, fits, moment, now, gauges_overdue=gauges_overdue, copies=copies)
    return [blocker for blocker in weighed if blocker.conceded is None]


def weigh(
    job: Job,
    fits: Sequence[FitResult],
    moment: str,
    now: datetime,
    *,
    gauges_overdue: Sequence[str] = (),
    copies: Sequence[str] = (),
) -> list[Blocker]:
    """Return `blockers` and, among them, those that a concession lifts (`Blocker.conceded`)."""
    assembly = Assembly(job, fits, now)
    index = assembly.moment_index(moment)
    if index is None:
        raise NotUnderstoodError(
            f"There is no moment {quoted(moment)}.",
            near_or_list(moment, assembly.moments, "Moments"),
        )
    return [accepted(assembly, b) for b in weighed(assembly, index, gauges_overdue, copies)]


def weighed(
    assembly: Assembly,
    moment: int,
    gauges_overdue: Sequence[str] = (),
    copies: Sequence[str] = (),
) -> list[Blocker]:
    """Return what `weigh` does, for the index of a moment, each with what mends it itself."""
    given: dict[str, list[int]] = {}
    for concession in assembly.waiting.concessions:
        given.setdefault(folded(concession.what), []).append(concession.n)
    found = []
    for blocker in _all(assembly, moment, gauges_overdue, copies):
        lifting = [n for n in given.get(folded(blocker.what), ()) if n > blocker.since]
        if lifting:
            # One concession lifts one blocker.
            given[folded(blocker.what)].remove(lifting[0])
        found.append(blocker._replace(conceded=lifting[0]) if lifting else blocker)
    return found


def _all(
    assembly: Assembly, moment: int, gauges_overdue: Sequence[str], copies: Sequence[str]
) -> Iterator[Blocker]:
    yield from obstacles.fits_in_the_way(assembly, moment)
    yield from obstacles.disagreeing(assembly, moment)
    yield from obstacles.stranded(assembly)
    yield from obstacles.undecided(assembly)
    yield from obstacles.sets_in_the_way(assembly, moment)
    yield from obstacles.proofs_in_the_way(assembly, moment)
    yield from obstacles.steps_in_the_way(assembly, moment)
    yield from obstacles.unanswered(assembly, moment)
    yield from obstacles.put_off(assembly, moment)
    yield from obstacles.gauges(assembly, gauges_overdue)
    yield from obstacles.other_copies(copies)
    yield from unlawful(assembly, moment)
