from __future__ import annotations

from hashlib import sha256
from pathlib import Path

from bedplate.record.batch import Appended, Batch
from bedplate.record.chain import Head, check
from bedplate.record.entries import NO_LINE, Opened, Reading, Strike
from bedplate.record.stamping import stamped

AT = "2025-11-24T15:40:00+01:00"


def batch_of_two() -> Batch:
    batch = Batch(0, NO_LINE, "Ann Fitter", AT)
    batch.add(Opened(job="0" * 32))
    batch.add(Reading(address="D", value="1.0031 in"))
    return batch


def test_entries_are_numbered_dated_signed_and_chained_as_they_are_added() -> None:
    batch = batch_of_two()
    assert [(entry.n, entry.at, entry.by) for entry in batch.entries] == [
        (1, AT, "Ann Fitter"),
        (2, AT, "Ann Fitter"),
    ]
    assert batch.entries[0].prev == NO_LINE
    assert batch.entries[1].prev == sha256(batch.lines[0]).hexdigest()
    assert (batch.count, batch.link) == (2, sha256(batch.lines[1]).hexdigest())
    assert check(b"".join(batch.lines)).whole


def test_the_outcome_holds_all_entries_and_the_head() -> None:
    batch = batch_of_two()
    outcome = batch.outcome(before=None, completed=None, kept=None)
    assert outcome == Appended(tuple(batch.entries), Head(2, batch.link))
    assert outcome.warnings == ()


def test_a_completed_entry_is_not_among_those_written() -> None:
    batch = batch_of_two()
    outcome = batch.outcome(before=None, completed=1, kept=None)
    assert [entry.n for entry in outcome.entries] == [2]
    assert outcome.warnings == (
        "Recorded, and entry 1, whose write was cut short before its line end, was completed.",
    )


def test_a_tail_that_was_kept_is_told() -> None:
    outcome = batch_of_two().outcome(before=None, completed=None, kept=Path("x/pump.torn-2-00"))
    assert outcome.warnings == (
        "Recorded, but before it stood the rest of a write that was cut short; it is kept in "
        "pump.torn-2-00.",
    )


def test_a_clock_that_was_set_back_is_told_whatever_its_offset() -> None:
    def outcome(at_before: str) -> Appended:
        strike = Strike(entry=3, why="slip")
        before = stamped(strike, n=4, at=at_before, by="Ann", prev=NO_LINE)
        return batch_of_two().outcome(before=before, completed=None, kept=None)

    assert outcome("2025-11-24T14:40:01+00:00").clock_back == 4
    assert outcome("2025-11-24T14:40:01+00:00").warnings == (
        "Recorded, but entry 4 is dated later: the clock of this computer was set back. The "
        "order of entries is that of their numbers.",
    )
    assert outcome("2025-11-24T14:40:00+00:00").clock_back is None
    assert outcome("2025-11-24T15:39:00+01:00").clock_back is None
