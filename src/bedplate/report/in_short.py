"""The first paragraph that a customer reads: what came of it all, in counted sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bedplate.assess.result import FitResult
from bedplate.record import entries as kinds
from bedplate.record.waiting import PutOff
from bedplate.report.document import Words
from bedplate.report.evidence import Evidence
from bedplate.report.sealed_told import seal_time
from bedplate.text import counted, shown_text

GOOD = ("in", "in-close")
BAD = ("out", "out-close")


def in_short(evidence: Evidence) -> Iterator[Words]:
    """Yield what came of the job, counted and not weighed."""
    said = [*_measured(evidence), *_parts(evidence), *_open(evidence), *_signed(evidence)]
    yield Words(" ".join(said))


def _measured(evidence: Evidence) -> Iterator[str]:
    found = [pair.found for pair in evidence.pairs if pair.found.measured]
    now = [pair.now for pair in evidence.pairs]
    with_band = [result for result in now if result.band is not None]
    if not found and not any(result.measured for result in now):
        yield "Nothing has been measured yet."
        return
    first = [result for result in found if result.band is not None]
    yield f"As found: {_tally(first, 'was', 'were')}."
    if any(pair.left is not None for pair in evidence.pairs):
        yield f"As left: {_tally(with_band, 'is', 'are')}."
    elif waiting := sum(not result.measured for result in with_band):
        yield f"{counted(waiting, 'measurement is', 'measurements are')} still to be taken."


def _tally(results: Sequence[FitResult], one: str, several: str) -> str:
    """Return how many of these are within their limits, worn, outside, or not measured."""
    verdicts = [result.verdict for result in results]
    counts = (
        (sum(v in GOOD for v in verdicts), "within limits"),
        (verdicts.count("serviceable"), "worn but within the limit for used parts"),
        (sum(v in BAD for v in verdicts), "outside limits"),
        (verdicts.count("unmeasured"), "still to be measured"),
    )
    if not results:
        return "nothing that has limits was measured"
    if len(results) == counts[0][0]:
        return f"all {counted(len(results), 'measurement')} {several} within limits"
    told = [f"{n} {one if n == 1 else several} {words}" for n, words in counts if n]
    return f"of {counted(len(results), 'measurement')} {', '.join(told)}"


def _parts(evidence: Evidence) -> Iterator[str]:
    job = evidence.job
    changed = {at: entry.how for entry, at, _ in job.changed if at is not None}
    new = sum(how == "new" for how in changed.values())
    reworked = sum(how == "reworked" for how in changed.values())
    again = sum(
        entry.decision == "reuse" and changed.get(place) not in ("new", "reworked")
        for place, entry in job.decided.items()
    )
    counts = ((new, "new"), (reworked, "reworked"), (again, "used again"))
    told = [f"{count} {words}" for count, words in counts if count]
    if told:
        yield f"Parts: {', '.join(told)}."


def put_off(evidence: Evidence) -> list[PutOff]:
    """Return what was put off, without what waits for the customer's yes to a decision."""
    deferred = {entry.n for entry in evidence.job.live(kinds.Deferred)}
    return [item for item in evidence.assembly.waiting.put_off if item.n in deferred]


def _open(evidence: Evidence) -> Iterator[str]:
    later = len(put_off(evidence))
    if asking := len(evidence.assembly.waiting.put_off) - later:
        yield f"{counted(asking, 'decision waits', 'decisions wait')} for your answer."
    if later:
        yield f"{counted(later, 'thing was', 'things were')} put off, listed below."
    if conceded := len(evidence.job.live(kinds.Concession)):
        as_it_is = ("thing was accepted as it is", "things were accepted as they are")
        yield f"{counted(conceded, *as_it_is)}."


def _signed(evidence: Evidence) -> Iterator[str]:
    if evidence.is_altered:
        yield "The record was altered after it was written: do not rely on this page."
        return
    signed = {moment.casefold() for moment in evidence.verification.signed}
    for seal in evidence.verification.seals:
        if seal.ok and (seal.moment or "").casefold() in signed:
            by, moment = shown_text(seal.by), shown_text(seal.moment or "")
            yield f"Signed for {moment} by {by} on {seal_time(seal)}."
    if not signed and any(seal.ok for seal in evidence.verification.seals):
        yield "It was signed, and reopened or changed since: this page is a draft."
    elif not signed and any(not seal.ok for seal in evidence.verification.seals):
        yield "It bears a signature that could not be confirmed here."
    elif not signed:
        yield "Nobody has signed for it yet: this page is a draft."
