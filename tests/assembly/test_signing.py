"""Seals, moments, concessions and strikes."""

from __future__ import annotations

import pytest
from shop import BEN, Shop

from bedplate.assembly.moments import open_moment, signed_moments
from bedplate.record.entries import (
    Attachment,
    GaugeDescribed,
    Opened,
    SetAside,
    Setting,
    SheetRevised,
)

PUMP = """
unit = "in"
source = "Invented handbook"
moments = ["handover", "first run", "10 h"]
[[component]]
id = "body"
[[component]]
id = "valve"
[[feature]]
tag = "D"
of = "body"
[[feature]]
tag = "RP"
of = "valve"
unit = "psi"
when = ["N"]
[[feature]]
tag = "G"
of = "body"
[[fit]]
tag = "DEEP"
stack = "D"
band = { limits = "1.000..1.002 in" }
[[fit]]
tag = "RELIEF"
stack = "RP"
band = { limits = "28..32 psi" }
due = "first run"
[[fit]]
tag = "GAP"
stack = "G"
[[fasteners]]
tag = "N"
name = "Cover nuts"
count = 4
lock = "tab washer"
holds = ["valve"]
prove = ["SPIN"]
spends = { locked = { "tab washer" = 4 } }
[[fasteners]]
tag = "C"
name = "Cap nuts"
count = 2
[[proof]]
tag = "SPIN"
text = "Spins"
when = ["N"]
[[proof]]
tag = "DRY"
text = "No leak"
due = "10 h"
[[step]]
id = "close"
text = "Cover on"
leaves = { N = "locked", C = "tight" }
[[step]]
id = "warm"
text = "Set the relief warm"
leaves = { N = "locked" }
due = "first run"
[[step]]
id = "look"
text = "Look again"
due = "10 h"
"""


@pytest.fixture
def pump() -> Shop:
    return Shop(PUMP)


def ready(shop: Shop) -> Shop:
    """Bring the pump to where it can be signed for handover: 16 entries."""
    shop.read("D", "1.001 in")
    shop.read("G", "0.010 in")
    shop.decide("body", "reuse")
    shop.decide("valve", "reuse")
    shop.fasten("C", "tight")
    shop.fasten("N", "tight")
    shop.prove("SPIN")
    shop.use("tab washer", 4)
    shop.fasten("N", "locked")
    shop.done("close")
    return shop


def signed(shop: Shop) -> Shop:
    ready(shop).sign("handover")
    return shop


# ---- signing


def test_nothing_is_signed_while_anything_blocks_it(pump: Shop) -> None:
    ready(pump).fasten("C", "removed", count=1)
    assert pump.said(lambda: pump.sign("handover")) == [
        "Not signed. 1 thing is in the way of handover.",
        "  C (cap nuts) is not tight: 1 of 2:  bedplate fasten C tight",
        "  See them all:  bedplate status",
    ]
    pump.fasten("C", "tight")
    pump.sign("handover")
    assert signed_moments(pump.job) == ("handover",)
    assert open_moment(pump.job) == "first run"


def test_only_the_first_of_many_are_shown(pump: Shop) -> None:
    said = pump.said(lambda: pump.sign("handover"))
    assert said[0] == "Not signed. 8 things are in the way of handover."
    assert said[1] == "  DEEP has no reading:  bedplate measure D VALUE"
    assert said[4:] == ["  and 5 more", "  See them all:  bedplate status"]


def test_moments_are_signed_in_their_order(pump: Shop) -> None:
    assert pump.said(lambda: pump.sign("first run")) == [
        "Not signed. handover comes before first run.",
        '  Type:  bedplate sign "handover"',
    ]
    assert pump.said(lambda: pump.sign("20 h"))[0] == 'Not signed. There is no moment "20 h".'


def test_what_is_known_from_outside_is_in_the_way_too(pump: Shop) -> None:
    pump.do(GaugeDescribed(gauge={"name": "mic1", "max_error": "1 tenth", "due": "2020-01-01"}))
    ready(pump)
    assert pump.said(lambda: pump.sign(gauges_overdue=["mic1"], copies=["pump (2).job.jsonl"]))[
        1:3
    ] == [
        "  gauge mic1 was used past its due date:  "
        'bedplate gauge add mic1 --max-error "1 tenth" --due DATE',
        "  pump (2).job.jsonl is a copy of this job with entries that are not in this one:  "
        'bedplate rejoin "pump (2).job.jsonl"',
    ]


def test_a_job_may_be_signed_twice_for_one_moment(pump: Shop) -> None:
    signed(pump).sign("handover")
    assert signed_moments(pump.job) == ("handover",)


def test_a_job_is_signed_moment_by_moment(pump: Shop) -> None:
    signed(pump).read("RP", "30 psi")
    pump.done("warm")
    pump.sign("first run")
    pump.done("look")
    pump.prove("DRY")
    pump.sign("10 h")
    assert signed_moments(pump.job) == ("handover", "first run", "10 h")
    assert open_moment(pump.job) is None
    assert pump.said(lambda: pump.prove("DRY")) == [
        "Refused. The job is signed for handover, first run, 10 h (entry 18, 14:18), and there "
        "is no moment after it.",
        "  To go on with the work:  bedplate reopen --why REASON",
    ]


# ---- behind a seal


def test_what_no_later_moment_asks_for_needs_reopening(pump: Shop) -> None:
    signed(pump)
    refused = [
        "Refused. The job is signed for handover (entry 12, 14:12), and no later moment asks for "
        "this.",
        "  To go on with the work:  bedplate reopen --why REASON",
    ]
    for call in (
        lambda: pump.read("D", "1.001 in"),
        lambda: pump.fasten("C", "again"),
        lambda: pump.done("close"),
        lambda: pump.decide("valve", "replace"),
        lambda: pump.change("body", "reworked"),
        lambda: pump.find("scratch", "body"),
        lambda: pump.use("gasket"),
        lambda: pump.defer("paint", "Ben"),
        lambda: pump.defer("cap", "Ben", "C"),
        lambda: pump.do(Attachment(file="a", name="b", sha256="0" * 64)),
        lambda: pump.do(SheetRevised(what="x", sheet={"format": "bedplate-sheet/1"})),
    ):
        assert pump.said(call) == refused


def test_what_a_later_moment_asks_for_goes_on(pump: Shop) -> None:
    signed(pump)
    pump.do(GaugeDescribed(gauge={"name": "dial1"}))
    pump.do(Setting(gauge="dial1", shown="0 psi"))
    pump.do(SetAside(bytes=3, sha256="0" * 64))
    pump.read("RP", "30 psi")
    pump.fasten("N", "backed-off")
    pump.fasten("N", "tight")
    pump.prove("SPIN")
    pump.use("tab washer", 4)
    pump.fasten("N", "locked")
    n = pump.defer("boat is out", "skipper", "look")
    pump.settle(n)
    pump.done("warm")
    assert signed_moments(pump.job) == ("handover",)
    assert pump.blockers("first run") == []


def test_a_set_moved_behind_the_seal_makes_its_proof_due_again(pump: Shop) -> None:
    signed(pump).fasten("N", "backed-off")
    pump.fasten("N", "tight")
    assert pump.in_the_way("proof", "first run") == [
        "SPIN has not passed since nut N was last moved (entry 14, 14:14)"
    ]
    assert signed_moments(pump.job) == ("handover",)


SHAFT = """
unit = "mm"
source = "Invented handbook"
moments = ["handover", "10 h"]
[[component]]
id = "shaft"
[[feature]]
tag = "A"
of = "shaft"
[[fit]]
tag = "PLAY"
stack = "A"
band = { limits = "0.1..0.2" }
[[fasteners]]
tag = "M"
holds = ["shaft"]
[[proof]]
tag = "FLOAT"
fit = "PLAY"
when = ["M"]
[[step]]
id = "again"
text = "Tighten again"
due = "10 h"
leaves = { M = "tight" }
"""


def test_a_proof_by_its_fit_is_made_again_behind_the_seal_by_a_repeat() -> None:
    shop = Shop(SHAFT)
    shop.fasten("M", "tight")
    shop.read("A", "0.15 mm")
    shop.decide("shaft", "reuse")
    shop.sign()
    shop.fasten("M", "again")
    assert shop.said(lambda: shop.prove("FLOAT")) == [
        "Refused. FLOAT has not passed: PLAY was not read since M was last moved "
        "(entry 6, 14:06).",
        "  Type:  bedplate measure A VALUE --again",
    ]
    shop.read("A", "0.16 mm")
    shop.done("again")
    shop.sign("10 h")
    assert signed_moments(shop.job) == ("handover", "10 h")


def test_reopening_takes_the_seals_off(pump: Shop) -> None:
    signed(pump)
    pump.reopen()
    assert signed_moments(pump.job) == ()
    assert open_moment(pump.job) == "handover"
    pump.read("D", "1.0011 in")
    pump.sign("handover")
    assert signed_moments(pump.job) == ("handover",)


def test_what_is_not_signed_is_not_reopened(pump: Shop) -> None:
    assert pump.said(pump.reopen) == [
        "Refused. The job is not signed, so there is nothing to reopen.",
        "  Just go on:  bedplate status",
    ]


def test_an_entry_that_had_no_place_behind_the_seal_ends_it(pump: Shop) -> None:
    signed(pump)
    pump.keep(Attachment(file="a", name="b", sha256="0" * 64))
    assert signed_moments(pump.job) == ()


def test_only_what_stands_behind_the_seal_is_struck(pump: Shop) -> None:
    signed(pump)
    n = pump.read("RP", "30 psi")
    assert pump.said(lambda: pump.strike(3)) == [
        "Refused. The job is signed for handover (entry 12, 14:12), and entry 3 stands under the "
        "seal.",
        "  To go on with the work:  bedplate reopen --why REASON",
    ]
    pump.strike(n)
    assert signed_moments(pump.job) == ("handover",)


def test_nothing_is_put_off_until_a_moment_signed_for(pump: Shop) -> None:
    signed(pump)
    assert pump.said(lambda: pump.defer("look", "handover", "look")) == [
        "Refused. The job is signed for handover already.",
        '  Type:  --until "first run"',
    ]


# ---- concessions


def test_a_concession_lifts_the_one_thing_it_names(pump: Shop) -> None:
    ready(pump)
    pump.strike(2)
    pump.read("D", "1.005 in")
    pump.fasten("C", "removed")
    assert [b.what for b in pump.blockers()] == ["DEEP", "C"]
    n = pump.concede("deep")
    assert [(b.what, b.conceded) for b in pump.weighed()] == [("DEEP", n), ("C", None)]
    assert pump.said(lambda: pump.concede("DEEP")) == [
        f"Refused. DEEP is conceded already (entry {n}).",
        "  See what is in the way:  bedplate status",
    ]
    pump.concede("C")
    pump.sign("handover")


def test_a_concession_names_something_in_the_way(pump: Shop) -> None:
    ready(pump)
    assert pump.said(lambda: pump.concede("DEEP")) == [
        'Refused. "DEEP" is not in the way of a signature, so there is nothing to concede.',
        "  In the way: RELIEF, DRY, warm, look",
    ]
    pump.concede("RELIEF")


def test_a_concession_is_over_when_what_it_accepted_has_changed(pump: Shop) -> None:
    pump.read("D", "1.005 in")
    pump.concede("DEEP")
    assert pump.in_the_way("out") == []
    pump.strike(2)
    assert pump.in_the_way("unmeasured")[0] == "DEEP has no reading"
    pump.read("D", "1.006 in")
    assert pump.in_the_way("out") == ["DEEP is out of band, high"]
    pump.concede("DEEP")
    pump.change("body", "reworked")
    assert pump.in_the_way("unmeasured")[0] == "DEEP has no reading"


def test_a_gauge_and_a_copy_can_be_conceded(pump: Shop) -> None:
    gauges, copies = ["mic1"], ["old.job.jsonl"]
    assert pump.said(lambda: pump.concede("mic1"))[0].startswith('Refused. "mic1" is not in')
    pump.concede("mic1", gauges_overdue=gauges)
    pump.concede("old.job.jsonl", copies=copies)
    found = pump.blockers(gauges_overdue=gauges, copies=copies)
    assert [b for b in found if b.kind in ("gauge", "copy")] == []


# ---- striking, and opening


def test_what_cannot_be_struck(pump: Shop) -> None:
    signed(pump)
    pump.reopen()
    n = pump.strike(3)
    assert pump.said(lambda: pump.strike(3)) == [
        f"Refused. Entry 3 was struck already (entry {n}).",
        "  Type:  bedplate log",
    ]
    assert pump.said(lambda: pump.strike(n)) == [
        f"Refused. Entry {n} (strike) cannot be struck.",
        "  Record again what was struck; it reads:  bedplate log",
    ]
    assert pump.said(lambda: pump.strike(1))[0] == "Refused. Entry 1 (opened) cannot be struck."
    assert pump.said(lambda: pump.strike(12))[0] == "Refused. Entry 12 (signed) cannot be struck."
    assert (
        pump.said(lambda: pump.strike(13))[0] == "Refused. Entry 13 (reopened) cannot be struck."
    )
    assert pump.said(lambda: pump.strike(99)) == [
        "Not recorded. There is no entry 99; the last is 14.",
        "  Type:  bedplate log",
    ]


def test_a_job_is_opened_once(pump: Shop) -> None:
    assert pump.said(lambda: pump.do(Opened(job="1" * 32), by=BEN)) == [
        "Refused. This job is open already.",
        "  Just go on:  bedplate status",
    ]
