"""What ``bedplate prove`` says beside its entries: what was left as it is, what is lacking yet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from bedplate.assembly.proving import passed_by, still_lacking
from bedplate.assembly.state import Assembly
from bedplate.cli.screen import Screen, wrapped
from bedplate.cli.store import clock
from bedplate.record.entries import AnyEntry, Proof
from bedplate.record.job import Job
from bedplate.text import visible


def passed_already(job: Job, places: Sequence[str], by: str) -> dict[str, str]:
    """Return what this hand has passed of proofs that ask for a second one, and why it is left.

    Nothing where it has passed them all: then there is nothing else to record, and it is refused.

    Args:
        job: the job.
        places: the proofs, each at one of its positions.
        by: whose hand.
    """
    assembly = Assembly(job, (), clock())
    found = {place: passed_by(assembly, place, by) for place in places}
    if all(found.values()):
        return {}
    return {
        place: f"{place} is left as it is: {visible(by)} has passed it already (entry {entry.n})."
        for place, entry in found.items()
        if entry is not None
    }


def proof_lines(
    entries: Sequence[AnyEntry], job: Job, left: Sequence[str], screen: Screen
) -> Iterator[str]:
    """Yield a line for every proof that was left, and for every one that lacks something yet.

    Args:
        entries: what was just recorded.
        job: the job with it.
        left: what is said of those that were left.
        screen: where it is shown.
    """
    assembly = Assembly(job, (), clock())
    passed = [e.proof for e in entries if isinstance(e, Proof) and e.passed]
    lacking = [f"{said}." for place in passed if (said := still_lacking(assembly, place))]
    yield from left_lines([*left, *lacking], screen)


def left_lines(told: Iterable[str], screen: Screen) -> Iterator[str]:
    """Yield what was left as it is, or is lacking yet, in lines below an acknowledgement."""
    for line in told:
        yield from [line] if screen.plain else wrapped(line, "  ", "    ", screen.measure)
