"""Putting off and settling, findings and their answers, and what is drawn."""

from __future__ import annotations

import datetime as dt

import pytest
from sheets import CRANK
from shop import CET, Shop

from bedplate.assembly.putting_off import time_of
from bedplate.record.entries import Attachment


@pytest.fixture
def crank() -> Shop:
    return Shop(CRANK)


def test_what_waits_for_a_person_is_always_due(crank: Shop) -> None:
    n = crank.defer("crank at the grinder", "the grinder")
    assert crank.in_the_way("deferred") == [
        '2 "crank at the grinder" is due before signing (put off until the grinder)'
    ]
    crank.settle(n, "back, invoice 12")
    assert crank.in_the_way("deferred") == []


def test_what_waits_for_a_moment_is_due_from_it_on(crank: Shop) -> None:
    crank.defer("retorque", "First Run")
    assert crank.in_the_way("deferred", "handover") == []
    assert len(crank.in_the_way("deferred", "first run")) == 1
    assert len(crank.in_the_way("deferred", "50 h")) == 1


def test_what_waits_for_a_time_is_due_once_it_has_come(crank: Shop) -> None:
    crank.defer("sealant", "2025-11-25T08:00:00+01:00")
    assert crank.in_the_way("deferred", "50 h") == []
    crank.wait(hours=18)
    assert crank.in_the_way("deferred") == [
        '2 "sealant" is due before signing (put off until 25 Nov 2025 08:00)'
    ]


def test_a_day_begins_with_its_first_minute() -> None:
    now = dt.datetime(2025, 11, 24, 14, 0, tzinfo=CET)
    assert time_of("2025-12-01", now) == dt.datetime(2025, 12, 1, tzinfo=CET)
    assert time_of("2025-12-01T08:30", now) == dt.datetime(2025, 12, 1, 8, 30, tzinfo=CET)
    assert time_of("2025-12-01T08:30:00Z", now) == dt.datetime(2025, 12, 1, 8, 30, tzinfo=dt.UTC)
    assert time_of("2025-13-01", now) is None
    assert time_of("monday", now) is None
    assert time_of("20251201", now) is None


def test_nothing_is_put_off_until_what_is_past(crank: Shop) -> None:
    assert crank.said(lambda: crank.defer("sealant", "2025-11-24")) == [
        "Refused. 24 Nov 2025 is past.",
        "  Name a time to come, a moment or a person.",
    ]


def test_hours_and_a_moment_misspelt_are_nobody_to_wait_for(crank: Shop) -> None:
    assert crank.said(lambda: crank.defer("retorque", "10 hours")) == [
        'Not recorded. "10 hours" is no moment of this job, no time and no person.',
        "  Moments: handover, first run, 50 h",
        '  A time reads like  --until "2025-11-24 14:52"',
    ]
    assert crank.said(lambda: crank.defer("retorque", "First-run"))[1] == (
        '  Type:  --until "first run"'
    )
    crank.defer("retorque", "2nd engineer")


def test_what_is_held_must_be_on_the_sheet(crank: Shop) -> None:
    assert crank.said(lambda: crank.defer("later", "Ben", "M.4")) == [
        'Not recorded. M (Main cap bolts) has no position "4".',
        "  There are: 1, 2, 3",
    ]


def test_what_waits_for_nothing_cannot_be_settled(crank: Shop) -> None:
    n = crank.find("bright rub", "crank", "watch")
    assert crank.said(lambda: crank.settle(n)) == [
        "Refused. Entry 2 (finding) waits for nothing and asks for no answer.",
        "  See what waits:  bedplate status",
    ]
    assert crank.said(lambda: crank.settle(9)) == [
        "Not recorded. There is no entry 9; the last is 2.",
        "  See what waits:  bedplate status",
    ]
    assert crank.said(lambda: crank.settle(1))[0] == (
        "Refused. Entry 1 (opened) waits for nothing and asks for no answer."
    )


def test_nothing_is_settled_twice(crank: Shop) -> None:
    n = crank.defer("sealant", "Ben")
    done = crank.settle(n)
    assert crank.said(lambda: crank.settle(n)) == [
        "Refused. Entry 2 is settled already (entry 3).",
        "  Not so?  bedplate strike 3 --why REASON",
    ]
    crank.strike(done)
    assert len(crank.in_the_way("deferred")) == 1
    crank.settle(n)


def test_what_was_struck_waits_for_nothing(crank: Shop) -> None:
    n = crank.defer("sealant", "Ben")
    crank.strike(n)
    assert crank.said(lambda: crank.settle(n))[0] == (
        "Refused. Entry 2 was struck (entry 3), so it waits for nothing."
    )


def test_only_what_is_to_reject_or_to_come_back_asks_for_an_answer(crank: Shop) -> None:
    crank.find("bright rub", "crank", "watch")
    reject = crank.find("crack in the web", "crank", "reject")
    back = crank.find("dowel forward", "cap.2", back="crank-in")
    assert crank.in_the_way("finding") == [
        '3 (crank) "crack in the web" has no answer',
        '4 (cap.2) "dowel forward" has no answer',
    ]
    crank.settle(reject, "new crank")
    crank.settle(back, "as found")
    assert crank.in_the_way("finding") == []


def test_a_finding_that_comes_back_later_is_due_then(crank: Shop) -> None:
    crank.find("stretch marks", "rod.1", back="retorque")
    assert crank.in_the_way("finding", "first run") == []
    assert len(crank.in_the_way("finding", "50 h")) == 1


def test_a_finding_has_a_place_on_the_sheet_or_none(crank: Shop) -> None:
    crank.find("the shed smells of diesel")
    crank.find("out of round by feel", "MJ.2")
    crank.find("see there", "2")
    crank.change("rod", "new", mark="C")
    crank.find("straight", "rod.c")
    assert crank.said(lambda: crank.find("what", "piston"))[0] == (
        'Not recorded. There is no name "piston".'
    )
    assert crank.said(lambda: crank.find("what", "99")) == ["Not recorded. There is no entry 99."]
    assert crank.said(lambda: crank.find("what", "crank", back="crank"))[0] == (
        'Not recorded. There is no step or fasteners "crank".'
    )


def test_what_goes_beyond_what_was_asked_waits_for_the_customer(crank: Shop) -> None:
    n = crank.decide("crank", "rework", extra=True)
    assert crank.in_the_way("deferred") == [
        '2 "rework crank: as seen" is due before signing (put off until customer)'
    ]
    crank.settle(n, "by telephone")
    assert crank.in_the_way("deferred") == []
    m = crank.decide("block", "rework", extra=True)
    crank.decide("block", "reuse")
    assert crank.in_the_way("deferred") == []
    assert crank.said(lambda: crank.settle(m))[0] == (
        f"Refused. Entry {m} (disposition) waits for nothing and asks for no answer."
    )


def test_an_attachment_shows_something_on_the_sheet(crank: Shop) -> None:
    photo = Attachment(file="a.jpg", name="web.jpg", sha256="0" * 64, place="crank")
    crank.do(photo)
    nowhere = photo.model_copy(update={"place": "piston"})
    assert crank.said(lambda: crank.do(nowhere))[0] == ('Not recorded. There is no name "piston".')


def test_none_is_nothing_drawn(crank: Shop) -> None:
    assert crank.said(lambda: crank.use("rod bolt", 0)) == [
        'Not recorded. None of "rod bolt" is nothing drawn.',
        "  Type:  bedplate use PART --count 1",
    ]
