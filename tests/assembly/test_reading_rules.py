"""Readings: with which sets tight, on what parts; and which of them are due."""

from __future__ import annotations

import pytest
from sheets import CRANK
from shop import Shop

from bedplate.assembly.due import due_readings, undecided_places
from bedplate.record.entries import On, Reading


@pytest.fixture
def crank() -> Shop:
    return Shop(CRANK)


def due(shop: Shop) -> list[str]:
    job = shop.job
    return [str(spot) for spot in due_readings(job, shop.fits(job), shop.now)]


def test_a_reading_is_taken_with_its_sets_tight(crank: Shop) -> None:
    crank.fasten("M", "removed")
    assert crank.said(lambda: crank.read("MB.3", "60.04 mm")) == [
        "Refused. MB.3 may not be read: M.3 (main cap bolts) is not tight.",
        "  Type:  bedplate fasten M.3 tight --stage 1",
    ]
    crank.fasten("M.3", "tight", trial=True)
    crank.read("MB.3", "60.04 mm")
    assert crank.said(lambda: crank.read("MB.2", "60.04 mm"))[0].startswith("Refused. MB.2")
    crank.read("MJ.2", "59.99 mm")


def test_a_half_tightened_set_is_not_tight(crank: Shop) -> None:
    crank.fasten("M.3", "tight", "30 N*m", stage=1)
    assert crank.said(lambda: crank.read("MB.3", "60.04 mm")) == [
        "Refused. MB.3 may not be read: M.3 (main cap bolts) is not tight.",
        "  Type:  bedplate fasten M.3 tight --stage 2",
    ]


def test_a_stage_that_was_out_is_mended_before_the_next(crank: Shop) -> None:
    crank.fasten("M.3", "tight", "30 N*m", stage=1)
    crank.fasten("M.3", "tight", "66 N*m", stage=2)
    assert crank.said(lambda: crank.read("MB.3", "60.04 mm")) == [
        "Refused. MB.3 may not be read: M.3 (main cap bolts) is not tight, stage 2 was out: "
        "66 N*m against 58..62 N*m.",
        "  Type:  bedplate fasten M.3 again --stage 2 --reached VALUE",
    ]
    crank.fasten("M.3", "again", "60 N*m", stage=2)
    assert crank.said(lambda: crank.read("MB.3", "60.04 mm"))[-1] == (
        "  Type:  bedplate fasten M.3 tight --stage 3"
    )


def test_what_is_left_out_asks_for_no_tight_set(crank: Shop) -> None:
    crank.fasten("M", "removed")
    on = tuple(crank.job.resting_on("MB", ("1",)))
    crank.do(Reading(address="MB.1", left_out="no gauge that long", on=on))
    assert crank.last == 3


def test_a_reading_rests_on_what_sits_there(crank: Shop) -> None:
    stale = Reading(
        address="MJ.1", value="59.99 mm", on=(On(place="crank", part="crank", life=1),)
    )
    crank.change("crank", "reworked")
    assert crank.said(lambda: crank.do(stale)) == [
        "Refused. MJ.1 is read on crank (life 2) now: what sits there has changed.",
        "  Type:  bedplate measure MJ.1 VALUE",
    ]


def test_a_reading_of_an_earlier_life_may_be_put_right(crank: Shop) -> None:
    crank.read("MJ.1", "59.89 mm")
    crank.change("crank", "reworked")
    crank.strike(2)
    first = Reading(
        address="MJ.1", value="59.98 mm", on=(On(place="crank", part="crank", life=1),)
    )
    crank.do(first)
    third = Reading(
        address="MJ.1", value="59.98 mm", on=(On(place="crank", part="crank", life=9),)
    )
    assert crank.said(lambda: crank.do(third)) == [
        "Refused. MJ.1 is read on crank (life 3) now: what sits there has changed.",
        "  Type:  bedplate measure MJ.1 VALUE",
    ]


def test_an_empty_place_is_not_read() -> None:
    shop = Shop(CRANK.replace('of = "crank"\npositions = "main"', 'of = "rod"'))
    reading = Reading(
        address="MJ.2", value="59.99 mm", on=(On(place="rod.2", part="rod.1", life=1),)
    )
    shop.change("rod.1", "moved", from_="rod.2")
    assert shop.said(lambda: shop.do(reading))[0] == (
        "Refused. MJ.2 may not be read. Nothing sits in rod.2: its part was moved."
    )


def test_a_reading_has_one_address(crank: Shop) -> None:
    entry = Reading(address="MJ", value="59.99 mm", on=(On(place="crank", part="crank", life=1),))
    assert crank.said(lambda: crank.do(entry)) == [
        "Not recorded. MJ is 3 addresses.",
        "  Name one, such as  MJ.1",
    ]


def test_a_held_address_is_not_read(crank: Shop) -> None:
    crank.defer("journal 2 to be polished", "grinder", "MJ.2")
    crank.read("MJ.1", "59.99 mm")
    assert crank.said(lambda: crank.read("MJ.2", "59.99 mm"))[0] == (
        'Refused. MJ.2 may not go on: it waits for "journal 2 to be polished" (entry 2), put off '
        "until grinder."
    )


def test_a_held_part_is_not_read(crank: Shop) -> None:
    crank.defer("crank away", "grinder", "crank")
    assert crank.said(lambda: crank.read("MJ.1", "59.99 mm"))[0].startswith(
        'Refused. MJ.1 may not go on: it waits for "crank away"'
    )


def test_what_holds_another_part_holds_no_reading(crank: Shop) -> None:
    crank.defer("rods away", "grinder", "rod")
    crank.defer("sums", "Ben")
    crank.read("MJ.1", "59.99 mm")


# ---- what is due


def test_readings_are_due_in_the_order_of_the_sheet(crank: Shop) -> None:
    assert due(crank) == ["MB.1", "MB.2", "MB.3", "MJ.1", "MJ.2", "MJ.3", "EF"]
    crank.read("MJ.2", "59.99 mm")
    assert due(crank) == ["MB.1", "MB.2", "MB.3", "MJ.1", "MJ.3", "EF"]


def test_what_is_held_or_whose_set_is_loose_is_not_due(crank: Shop) -> None:
    crank.fasten("M.2", "removed")
    crank.defer("journal 1", "grinder", "MJ.1")
    assert due(crank) == ["MB.1", "MB.3", "MJ.2", "MJ.3"]


def test_a_part_with_a_new_life_is_due_again(crank: Shop) -> None:
    for place in ("1", "2", "3"):
        crank.read(f"MB.{place}", "60.040 mm")
        crank.read(f"MJ.{place}", "59.990 mm")
    crank.read("EF", "0.10 mm")
    assert due(crank) == []
    crank.change("crank", "reworked", touching=("MJ.2",))
    assert due(crank) == ["MJ.2"]


def test_another_way_that_was_measured_makes_a_reading_needless(crank: Shop) -> None:
    two_ways = CRANK.replace(
        'tag = "EFL"\nstack = "EF"',
        'tag = "EFT"\nstack = "EF"\nsame_as = "EFL"\n[[fit]]\ntag = "EFL"\nstack = "ET"',
    ).replace("[[size]]", '[[feature]]\ntag = "ET"\nof = "block"\n[[size]]', 1)
    shop = Shop(two_ways)
    assert due(shop)[-2:] == ["EF", "ET"]
    shop.read("ET", "0.10 mm")
    assert due(shop)[-1] == "MJ.3"
    assert [b.what for b in shop.blockers() if b.kind == "unmeasured"] == ["MC.1", "MC.2", "MC.3"]


def test_parts_without_a_decision_are_told_in_order(crank: Shop) -> None:
    crank.decide("cap", "reuse")
    crank.change("rod.2", "reworked")
    assert [str(place) for place in undecided_places(crank.job)] == [
        "block",
        "crank",
        "rod.1",
        "rcap.1",
        "rcap.2",
    ]


def test_for_a_reading_old_parts_do_on_trial_where_new_ones_are_taken() -> None:
    shop = Shop("""
unit = "mm"
source = "Invented handbook"
[[component]]
id = "rod"
[[feature]]
tag = "B"
of = "rod"
when = ["R"]
[[fasteners]]
tag = "R"
count = 2
spends = { tight = { "rod bolt" = 2 } }
""")
    shop.fasten("R", "removed")
    assert shop.said(lambda: shop.read("B", "20.03 mm")) == [
        "Refused. B may not be read: R is not tight.",
        "  On old parts, for a trial:  bedplate fasten R tight --trial",
        '  With new ones, first:  bedplate use "rod bolt" --count 2',
    ]
    shop.fasten("R", "tight", trial=True)
    shop.read("B", "20.03 mm")
