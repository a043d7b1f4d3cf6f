"""How far a record has come, and what else is known of it."""

from __future__ import annotations

from summaries import evidence, mypump, pump, seal

from bedplate.record import entries as e
from bedplate.report.document import State
from bedplate.report.evidence import state_of


def test_a_record_without_a_seal_is_not_signed() -> None:
    assert state_of(evidence(mypump())) == State("NOT SIGNED", "open")


def test_a_signed_record_says_what_is_still_to_come() -> None:
    found = evidence(pump(), seals=(seal(29),), signed=("handover",))
    assert state_of(found) == State("Signed for handover; first run still to come", "good")
    whole = evidence(pump(), seals=(seal(29),), signed=("handover", "first run"))
    assert state_of(whole) == State("Signed for handover, first run", "good")


def test_a_reopened_record_says_by_which_entry_and_why() -> None:
    job = mypump()
    job.put(e.Strike(entry=4, why="slip"), e.Reopened(why="weeps at the joint"))
    found = evidence(job, seals=(seal(5),))
    assert state_of(found) == State(
        "REOPENED",
        "open",
        "signed up to entry 4 for handover, reopened by entry 6: weeps at the joint",
    )


def test_a_record_changed_behind_its_seal_is_not_signed_as_it_stands() -> None:
    assert state_of(evidence(mypump(), seals=(seal(3),))) == State(
        "NOT SIGNED as it stands", "open", "signed up to entry 2 for handover, changed since"
    )


def test_an_altered_record_names_the_entry_whatever_its_seals_say() -> None:
    found = evidence(
        mypump(), first_bad_entry=2, reason="line 2 was altered", seals=(seal(5),), ok=False
    )
    assert state_of(found) == State(
        "ALTERED at entry 2", "bad", "line 2 was altered; what stands before it is shown"
    )
    assert found.blockers == ()


def test_a_seal_by_an_unknown_key_is_told_apart_from_none() -> None:
    found = evidence(mypump(), seals=(seal(5, ok=False, known_as=None),))
    assert state_of(found) == State(
        "SIGNED BY A KEY NOT KNOWN HERE",
        "bad",
        "signed for handover in the name of Ann Fitter; nobody here vouches for the key",
    )


def test_hands_are_named_once_each_with_the_last_day() -> None:
    assert evidence(pump()).by == "recorded by Ann Fitter, 24 Nov 2025"


def test_fits_come_in_pairs_only_where_they_left_their_first_life() -> None:
    pairs = {pair.now.address: pair for pair in evidence(pump()).pairs}
    assert pairs["EC.idler"].left is not None
    assert pairs["EC.idler"].found.verdict == "serviceable"
    assert pairs["EC.idler"].now.verdict == "in"
    assert pairs["RUN.driver"].left is None
