"""Steps: after, leaves, hold, wait, and undoing with a reason."""

from __future__ import annotations

import datetime as dt

import pytest
from sheets import CRANK
from shop import BEN, Shop

from bedplate.assembly.rules import cautions
from bedplate.record.entries import Fasteners, Step

SEALANT = """
[axes]
side = ["port", "starboard"]
[[component]]
id = "sump"
[[step]]
id = "seal"
text = "Sealant on the flange"
positions = "side"
wait = "12 h"
[[step]]
id = "close"
text = "Sump on"
positions = "side"
after = ["seal"]
"""


@pytest.fixture
def crank() -> Shop:
    return Shop(CRANK)


@pytest.fixture
def sump() -> Shop:
    return Shop(SEALANT)


def mains_in(shop: Shop) -> None:
    shop.fasten("M", "tight", "30 N*m", stage=1)
    shop.fasten("M", "tight", "60 N*m", stage=2)
    shop.fasten("M", "tight", "62 degree", stage=3)
    shop.prove("TURN")
    shop.read("EF", "0.12 mm")


def test_a_step_leaves_its_sets_so(crank: Shop) -> None:
    assert crank.said(lambda: crank.done("crank-out")) == [
        "Refused. Step crank-out is not done: M.1 (main cap bolts) is to be left removed.",
        "  Type:  bedplate fasten M.1 removed",
    ]
    crank.fasten("M", "removed")
    crank.done("crank-out")


def test_a_set_as_found_is_not_left_tight(crank: Shop) -> None:
    assert crank.said(lambda: crank.done("crank-in")) == [
        "Refused. Step crank-in is not done: M.1 (main cap bolts) is to be left tight.",
        "  Type:  bedplate fasten M.1 tight --stage 1",
    ]


def test_a_trial_is_not_left_tight(crank: Shop) -> None:
    crank.fasten("M", "tight", trial=True)
    assert (
        crank.said(lambda: crank.done("crank-in"))[1] == "  Type:  bedplate fasten M.1 backed-off"
    )


def test_a_stage_out_of_limits_is_not_left_tight(crank: Shop) -> None:
    mains_in(crank)
    crank.fasten("M.2", "again", "70 degree", stage=3)
    assert crank.said(lambda: crank.done("crank-in")) == [
        "Refused. Step crank-in is not done: M.2 (main cap bolts), stage 3 was out: 70 degree "
        "against 60..65 degree.",
        "  Type:  bedplate fasten M.2 again --stage 3 --reached VALUE",
    ]


def test_the_proofs_that_hold_a_step_must_stand(crank: Shop) -> None:
    mains_in(crank)
    crank.fasten("M.3", "again", "61 degree")
    assert crank.said(lambda: crank.done("crank-in")) == [
        "Refused. Step crank-in is not done: TURN.3 has not passed since bolt M.3 was last moved "
        "(entry 7, 14:07).",
        "  It asks for: Crank turns by hand with this cap tight",
        "  When it is so:  bedplate prove TURN.3 pass",
    ]
    crank.prove("TURN.3")
    assert crank.said(lambda: crank.done("crank-in")) == [
        "Refused. Step crank-in is not done: FLOAT has not passed: EFL was not read since bolt "
        "M.3 was last moved (entry 7, 14:07).",
        "  Type:  bedplate measure EF VALUE --instead",
    ]


def test_what_comes_after_waits_for_what_is_before(crank: Shop) -> None:
    crank.use("rod bolt", 4)
    crank.fasten("R", "tight", "36 N*m")
    crank.prove("MARKS")
    crank.prove("MARKS", by=BEN)
    assert crank.said(lambda: crank.done("rods.2")) == [
        "Refused. Step rods.2 is not done: step crank-in comes first.",
        "  Type:  bedplate fasten M.1 tight --stage 1",
    ]
    mains_in(crank)
    crank.done("crank-in")
    crank.done("rods.2")
    assert crank.said(lambda: crank.done("rods")) == [
        "Refused. Step rods.2 is done already (entry 12).",
        "  Not so?  bedplate done rods.2 --undone --why REASON",
    ]
    assert crank.in_the_way("step") == ["step crank-out is not done", "step rods.1 is not done"]


def test_a_step_is_undone_with_a_reason(crank: Shop) -> None:
    crank.fasten("M", "removed")
    crank.done("crank-out")
    assert crank.said(lambda: crank.undone("crank-out")) == [
        "Not recorded. Why is step crank-out undone?",
        "  Type:  bedplate done crank-out --undone --why REASON",
    ]
    crank.undone("crank-out", "a plug was forgotten")
    assert crank.said(lambda: crank.undone("crank-out", "again"))[0] == (
        "Refused. Step crank-out is not done, so it cannot be undone."
    )
    crank.done("crank-out")


def test_a_wait_is_reckoned_from_when_it_was_done(sump: Shop) -> None:
    sump.done("seal.port")
    assert sump.said(lambda: sump.done("close.port")) == [
        "Refused. Step close.port is not done: step seal.port waits until 25 Nov 2025 02:02.",
        "  Then:  bedplate done close.port",
    ]
    assert "step seal.port waits until 25 Nov 2025 02:02" in sump.in_the_way("step")
    sump.wait(hours=11, minutes=59)
    assert sump.said(lambda: sump.done("close.port"))[0].endswith("waits until 02:02.")
    sump.wait(minutes=1)
    sump.done("close.port")


def test_a_wait_counts_from_the_time_typed_in_later(sump: Shop) -> None:
    sump.done("seal.port", at=sump.now - dt.timedelta(hours=13))
    sump.done("close.port")
    assert sump.said(lambda: sump.done("close.starboard"))[0] == (
        "Refused. Step close.starboard is not done: step seal.starboard comes first."
    )


def test_a_step_typed_in_later_was_done_after_the_wait(sump: Shop) -> None:
    sump.done("seal.port")
    early = sump.now + dt.timedelta(hours=3)
    sump.wait(hours=13)
    assert sump.said(lambda: sump.done("close.port", at=early))[0] == (
        "Refused. Step close.port is not done: step seal.port waits until 02:02."
    )


def test_nothing_was_done_in_time_to_come(sump: Shop) -> None:
    later = sump.now + dt.timedelta(hours=1)
    assert sump.said(lambda: sump.done("seal.port", at=later)) == [
        "Refused. 15:01 is still to come: it cannot have been done then.",
        "  It is now  14:01",
    ]


def test_a_finding_comes_back_at_its_step_and_is_answered_there(sump: Shop) -> None:
    n = sump.find("two dowels, one long", "sump", back="close.port")
    sump.done("seal")
    sump.wait(hours=13)
    sump.done("close.starboard")
    assert sump.said(lambda: sump.done("close.port")) == [
        "Refused. close.port (sump on) may not go on: entry 2 comes back here and has no answer.",
        '  Found at sump: "two dowels, one long"',
        "  Type:  bedplate settle 2 --how ANSWER",
    ]
    sump.settle(n, "the long one aft")
    sump.done("close.port")


def test_a_held_step_may_not_be_done(sump: Shop) -> None:
    n = sump.defer("sealant on order", "supplier", "seal.port")
    sump.done("seal.starboard")
    assert sump.said(lambda: sump.done("seal.port")) == [
        'Refused. seal.port (sealant on the flange) may not go on: it waits for "sealant on '
        f'order" (entry {n}), put off until supplier.',
        f"  When that is over:  bedplate settle {n}",
    ]


def test_cautions_are_shown_before_strip_and_build(crank: Shop) -> None:
    assert cautions(Step(step="crank-out", done=True), crank.job) == [
        "The crank is heavy and pinches."
    ]
    assert cautions(Step(step="rods.1", done=True), crank.job) == []
    assert cautions(Fasteners(set="M.1", state="removed"), crank.job) == []


def test_a_set_that_a_step_leaves_tight_is_come_to_past_what_it_waits_for() -> None:
    shop = Shop("""
unit = "mm"
[[component]]
id = "head"
[[fasteners]]
tag = "HB"
[[step]]
id = "on"
text = "Head on"
leaves = { HB = "tight" }
""")
    shop.fasten("HB", "removed")
    n = shop.defer("bolts to come", "Ben", "HB")
    assert shop.said(lambda: shop.done("on"))[-1] == (
        f"  When what it waits for is over:  bedplate settle {n}"
    )
    shop.settle(n)
    f = shop.find("shim was thick", "head", "note", back="HB")
    assert shop.said(lambda: shop.done("on"))[-1] == (
        f"  First answer what comes back:  bedplate settle {f} --how ANSWER"
    )
