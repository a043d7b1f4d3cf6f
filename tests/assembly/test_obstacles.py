"""What is in the way of a signature, kind by kind, and in which order."""

from __future__ import annotations

import pytest
from sheets import COVER, CRANK
from shop import Shop

from bedplate.errors import NotUnderstoodError

FITS = """
unit = "mm"
source = "Invented handbook"
moments = ["handover", "first run"]
[[component]]
id = "body"
[[component]]
id = "gear"
[[feature]]
tag = "A"
of = "body"
[[feature]]
tag = "B"
of = "gear"
[[feature]]
tag = "X"
of = "body"
[[feature]]
tag = "L"
of = "body"
[[fit]]
tag = "GAP"
stack = "A - B"
band = { limits = "0.03..0.07 mm" }
[[fit]]
tag = "GAPX"
stack = "X"
same_as = "GAP"
[[fit]]
tag = "LATER"
stack = "L"
due = "first run"
[[fit]]
tag = "FINE"
stack = "L"
rule = "guarded"
band = { limits = "0.10..0.20 mm" }
"""

SPRINGS = """
[axes]
cyl = ["1", "2", "3"]
[[component]]
id = "spring"
name = "Valve springs"
positions = "cyl"
renew = true
"""

LATER = """
moments = ["handover", "first run", "10 h"]
[[fasteners]]
tag = "R"
name = "Relief nuts"
lock = "wire"
[[fasteners]]
tag = "N"
final = "tight"
lock = "tab"
[[step]]
id = "close"
text = "Close"
leaves = { R = "tight" }
[[step]]
id = "warm"
text = "Warm setting"
leaves = { R = "locked", N = "locked" }
due = "first run"
"""


@pytest.fixture
def fits() -> Shop:
    return Shop(FITS)


def read(shop: Shop, a: str, b: str) -> None:
    shop.read("A", a)
    shop.read("B", b)


def lines(shop: Shop, *kinds: str, moment: str | None = None) -> list[tuple[str, ...]]:
    """Return kind, what, text and command of what is in the way, of these kinds."""
    found = shop.blockers(moment)
    return [(b.kind, b.what, b.text, b.type) for b in found if b.kind in kinds]


def test_an_unmeasured_fit_says_what_it_waits_for(fits: Shop) -> None:
    assert lines(fits, "unmeasured") == [
        ("unmeasured", "GAP", "GAP has no reading", "bedplate measure A VALUE"),
        ("unmeasured", "GAPX", "GAPX has no reading", "bedplate measure X VALUE"),
        ("unmeasured", "FINE", "FINE has no reading", "bedplate measure L VALUE"),
    ]
    fits.read("A", "20.050 mm")
    assert lines(fits, "unmeasured")[0] == (
        "unmeasured",
        "GAP",
        "GAP waits for B",
        "bedplate measure B VALUE",
    )


def test_a_spread_of_values_with_two_ends_is_not_formed() -> None:
    sheet = FITS.replace('tag = "L"', 'tag = "L"\nstations = { way = ["a", "b"] }')
    shop = Shop(sheet.replace('stack = "L"\nrule', 'spread = "L"\nalong = "way"\nrule'))
    shop.read("L@a", "0.11..0.12 mm")
    shop.read("L@b", "0.11 mm")
    assert lines(shop, "unmeasured")[-1] == (
        "unmeasured",
        "FINE",
        "FINE is not formed of values with two ends, and has no verdict",
        "bedplate concede FINE --accepted-by NAME --why REASON",
    )


def test_either_of_two_ways_is_enough(fits: Shop) -> None:
    read(fits, "20.050 mm", "20.000 mm")
    assert [b.what for b in fits.blockers() if b.kind == "unmeasured"] == ["FINE"]


def test_two_ways_that_disagree_block(fits: Shop) -> None:
    read(fits, "20.050 mm", "20.000 mm")
    fits.read("X", "0.062 mm")
    assert lines(fits, "disagree") == [
        (
            "disagree",
            "GAPX=GAP",
            "GAPX and GAP disagree: one of them is wrong",
            "bedplate check GAPX GAP",
        )
    ]
    n = fits.concede("gapx=gap")
    assert lines(fits, "disagree") == []
    fits.strike(n)
    assert len(lines(fits, "disagree")) == 1


def test_out_and_close_fits_block_unless_they_pass(fits: Shop) -> None:
    read(fits, "20.090 mm", "20.000 mm")
    fits.read("L", "0.10 mm")
    assert lines(fits, "out", "out-close", "in-close") == [
        ("out", "GAP", "GAP is out of band, loose", "bedplate remedy GAP"),
        (
            "in-close",
            "FINE",
            "FINE is in band, but too close to a limit to be sure",
            "bedplate remedy FINE",
        ),
    ]
    fits.strike(2)
    fits.read("A", "20.0701 mm")
    assert lines(fits, "out-close") == [
        ("out-close", "GAP", "GAP is out of band, but close: loose", "bedplate remedy GAP")
    ]


def test_a_fit_due_later_blocks_later(fits: Shop) -> None:
    assert "LATER" not in [b.what for b in fits.blockers("handover")]
    assert "LATER" in [b.what for b in fits.blockers("first run")]


def test_a_moment_there_is_not_is_not_understood(fits: Shop) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        fits.blockers("tenth hour")
    assert caught.value.as_lines() == [
        'There is no moment "tenth hour".',
        "  Moments: handover, first run",
    ]


def test_a_reading_that_stands_on_nothing_is_in_the_way(fits: Shop) -> None:
    n = fits.change("gear", "new")
    fits.read("B", "20.000 mm")
    fits.strike(n)
    assert lines(fits, "stranded") == [
        (
            "stranded",
            "3",
            "entry 3, B, stands on nothing: it was taken on gear in a life or place that has been "
            "struck out",
            'bedplate strike 3 --why "stands on nothing"',
        )
    ]
    fits.concede("3")
    assert lines(fits, "stranded") == []


def test_parts_need_a_decision_and_what_was_decided_must_happen(fits: Shop) -> None:
    fits.decide("gear", "replace")
    assert lines(fits, "disposition") == [
        (
            "disposition",
            "body",
            "body has no decision",
            "bedplate decide body reuse --why REASON",
        ),
        (
            "disposition",
            "gear",
            "gear is to be replaced (entry 2), and was not yet",
            "bedplate change gear new",
        ),
    ]
    fits.change("gear", "new")
    fits.change("body", "reworked")
    assert lines(fits, "disposition") == []
    fits.decide("gear", "scrap")
    assert lines(fits, "disposition")[0][2] == (
        "gear is to be scrapped and replaced (entry 5), and was not since: entry 3 was before that"
    )
    fits.decide("gear", "reuse")
    assert lines(fits, "disposition") == []


def test_what_is_always_new_needs_its_new_part() -> None:
    shop = Shop(SPRINGS)
    assert lines(shop, "disposition") == [
        (
            "disposition",
            "spring",
            "valve springs is always new, and has no new part yet: 3 of 3",
            "bedplate use spring --count 3",
        )
    ]
    shop.change("spring.2", "new")
    shop.use("spring.3")
    assert lines(shop, "disposition")[0][2:] == (
        "valve springs is always new, and has no new part yet: 1 of 3",
        "bedplate use spring",
    )
    shop.use("Spring")
    assert lines(shop, "disposition") == []


def test_a_spent_gasket_is_no_new_part() -> None:
    shop = Shop(COVER)
    shop.use("gasket")
    assert lines(shop, "disposition")[-1][1] == "cover"
    shop.fasten("N", "tight", "17 lbf*ft")
    shop.fasten("N", "backed-off")
    assert lines(shop, "disposition")[-1][1] == "gasket"


def test_sets_say_how_far_they_are() -> None:
    shop = Shop(COVER)
    assert lines(shop, "fasteners") == [
        ("fasteners", "N", "N (cover nuts) is not locked", "bedplate use gasket")
    ]
    shop.use("gasket")
    shop.use("tab washer", 4)
    shop.fasten("N", "tight", "17 lbf*ft")
    shop.prove("SPIN")
    shop.fasten("N", "locked", count=3)
    assert lines(shop, "fasteners") == [
        ("fasteners", "N", "N (cover nuts) is not locked: 3 of 4", "bedplate fasten N locked")
    ]
    shop.fasten("N", "locked")
    assert lines(shop, "fasteners") == []


def test_a_trial_and_a_stage_out_are_not_final() -> None:
    shop = Shop(CRANK)
    shop.fasten("M.1", "tight", trial=True)
    shop.fasten("M.2", "tight", "30 N*m", stage=1)
    shop.fasten("M.2", "tight", "63 N*m", stage=2)
    shop.fasten("M.3", "removed")
    assert lines(shop, "fasteners")[:3] == [
        (
            "fasteners",
            "M.1",
            "M.1 (main cap bolts) is not tight, but tight on old parts",
            "bedplate fasten M.1 backed-off",
        ),
        (
            "fasteners",
            "M.2",
            "M.2 (main cap bolts), stage 2 was out: 63 N*m against 58..62 N*m",
            "bedplate fasten M.2 again --stage 2 --reached VALUE",
        ),
        (
            "fasteners",
            "M.3",
            "M.3 (main cap bolts) is not tight",
            "bedplate fasten M.3 tight --stage 1 --reached VALUE",
        ),
    ]


def test_a_set_is_due_when_a_step_leaves_it_as_it_must_be() -> None:
    shop = Shop(LATER)
    assert [b.what for b in shop.blockers("handover") if b.kind == "fasteners"] == []
    assert [b.what for b in shop.blockers("first run") if b.kind == "fasteners"] == ["R", "N"]


def test_what_is_in_the_way_comes_in_the_order_of_the_work() -> None:
    shop = Shop(CRANK)
    shop.find("crack", "crank", "reject")
    shop.defer("paint", "Ben")
    kinds = [b.kind for b in shop.blockers(gauges_overdue=["mic1"], copies=["old.job.jsonl"])]
    assert list(dict.fromkeys(kinds)) == [
        "unmeasured",
        "disposition",
        "fasteners",
        "proof",
        "step",
        "finding",
        "deferred",
        "gauge",
        "copy",
    ]


def test_no_two_things_in_the_way_are_called_alike() -> None:
    shop = Shop(CRANK)
    shop.find("crack", "crank", "reject")
    shop.defer("paint", "Ben")
    names = [b.what.casefold() for b in shop.blockers("50 h")]
    assert len(names) == len(set(names))
