"""What to do next, in the order of the work."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from sheets import COVER, CRANK
from shop import BEN, Shop

from bedplate.assembly.moments import signed_moments
from bedplate.assembly.next_step import next_actions
from bedplate.assembly.toward import Action
from bedplate.record.entries import Decision, How, Reading, State

EXAMPLES = Path(__file__).parents[2] / "examples"


def upcoming(shop: Shop) -> list[Action]:
    job = shop.job
    return next_actions(job, shop.fits(job), shop.now)


def first(shop: Shop) -> tuple[str, str, str]:
    action = upcoming(shop)[0]
    return action.kind, action.what, action.type


def commands(shop: Shop, kind: str | None = None) -> list[str]:
    return [action.type for action in upcoming(shop) if kind in (None, action.kind)]


class Hand:
    """Does what it is told, as a tired mechanic would: it types the command it is shown."""

    def __init__(
        self, shop: Shop, readings: dict[str, str], reached: dict[str, list[str]]
    ) -> None:
        self.shop = shop
        self.readings = readings
        self.reached = reached
        self.looks = 0

    def type(self, command: str) -> None:
        words = shlex.split(command)
        assert words[0] == "bedplate"
        getattr(self, words[1])(*words[2:])

    def done(self, step: str) -> None:
        self.shop.done(step)

    def fasten(self, address: str, state: State, *options: str) -> None:
        told = dict(zip(options[::2], options[1::2], strict=True))
        stage = int(told["--stage"]) if "--stage" in told else None
        tag = address.partition(".")[0]
        reached = self.reached[tag][(stage or 1) - 1] if "--reached" in told else None
        self.shop.fasten(address, state, reached, stage=stage)

    def decide(self, component: str, decision: Decision, *_why: str) -> None:
        self.shop.decide(component, decision)

    def change(self, component: str, how: How) -> None:
        self.shop.change(component, how)

    def bench(self, address: str) -> None:
        for spot in self.shop.job.select(address).spots:
            self.measure(str(spot), "VALUE")

    def measure(self, address: str, _value: str) -> None:
        self.shop.read(address, self.readings[address.partition(".")[0].partition("@")[0]])

    def use(self, part: str, *count: str) -> None:
        self.shop.use(part, int(count[1]) if count else None)

    def prove(self, proof: str, _word: str, *_by: str) -> None:
        self.looks += 1
        self.shop.prove(proof, by=BEN if self.looks % 2 else "Ann Fitter")

    def settle(self, n: str, *_how: str) -> None:
        self.shop.settle(int(n), "so it is")

    def sign(self, moment: str) -> None:
        self.shop.sign(moment)


PUMP = {"D": "1.0030 in", "H": "1.0000 in", "B": "1.5040 in", "O": "1.4996 in"}
PUMP |= {"BL": "6 thou", "RP": "30 psi"}
ENGINE = {"MB": "60.040 mm", "MJ": "59.990 mm", "EF": "0.12 mm"}
BIG = {"MB": "55.040 mm", "MJ": "54.988 mm", "PB": "48.030 mm", "PJ": "47.990 mm", "EF": "0.12 mm"}


@pytest.mark.parametrize(
    ("toml", "readings", "reached", "moments"),
    [
        (COVER, {}, {"N": ["17 lbf*ft"]}, 1),
        (CRANK, ENGINE, {"M": ["30 N*m", "60 N*m", "62 degree"], "R": ["36 N*m"]}, 3),
        ((EXAMPLES / "transfer-pump.toml").read_text(), PUMP, {"N": ["17 lbf*ft"]}, 3),
        (
            (EXAMPLES / "bottom-end.toml").read_text(),
            BIG,
            {"M": ["30 N*m", "60 N*m"], "R": ["36 N*m"]},
            3,
        ),
    ],
    ids=["cover", "crank", "transfer pump", "bottom end"],
)
def test_doing_what_comes_first_leads_to_every_signature(
    toml: str, readings: dict[str, str], reached: dict[str, list[str]], moments: int
) -> None:
    shop = Shop(toml)
    shop.find("two pins, one long", back=shop.job.layout.names("fasteners")[0])
    hand = Hand(shop, readings, reached)
    for _ in range(250):
        actions = upcoming(shop)
        if not actions:
            break
        hand.type(actions[0].type)
    assert len(signed_moments(shop.job)) == moments


def test_the_strip_comes_first_with_what_it_needs() -> None:
    shop = Shop(CRANK)
    assert first(shop) == ("fasteners", "M.1", "bedplate fasten M.1 removed")
    shop.fasten("M", "removed")
    assert first(shop) == ("step", "crank-out", "bedplate done crank-out")


def test_a_set_that_is_held_is_still_to_be_taken_off() -> None:
    shop = Shop(CRANK)
    shop.defer("other studs on order", "they are here", holds="M.1")
    assert first(shop) == ("fasteners", "M.1", "bedplate fasten M.1 removed")
    shop.fasten("M.1", "removed")
    assert first(shop) == ("fasteners", "M.2", "bedplate fasten M.2 removed")


def test_taking_a_set_off_says_what_is_due_to_be_read_while_it_is_tight() -> None:
    shop = Shop(CRANK)
    text = "take off M.1 (main cap bolts)"
    assert upcoming(shop)[0].text == f"{text}; MB, EF are due to be read with it tight"
    for main in shop.job.select("MB").spots:
        shop.read(str(main), "60.040 mm")
    assert upcoming(shop)[0].text == f"{text}; EF is due to be read with it tight"
    shop.read("EF", "0.12 mm")
    assert upcoming(shop)[0].text == text


def test_a_step_at_several_positions_says_which() -> None:
    shop = Shop(
        """
format = "bedplate-sheet/1"
title = "Rods"
unit = "mm"
axes = { throw = ["1", "2"] }
[[step]]
id = "rods-off"
text = "Rods off, kept in pairs"
phase = "strip"
positions = "throw"
"""
    )
    assert [action.text for action in upcoming(shop)[:2]] == [
        "rods off, kept in pairs (1)",
        "rods off, kept in pairs (2)",
    ]


def test_parts_still_to_be_read_are_decided_on_afterwards() -> None:
    shop = Shop(CRANK)
    assert commands(shop, "disposition") == [
        "bedplate decide rod.1 reuse --why REASON",
        "bedplate decide rod.2 reuse --why REASON",
        "bedplate decide rcap.1 reuse --why REASON",
        "bedplate decide rcap.2 reuse --why REASON",
    ]


def test_a_fit_that_is_out_asks_for_its_remedy_until_a_change_is_coming() -> None:
    shop = Shop(CRANK)
    shop.read("MB.1", "60.140 mm")
    shop.read("MJ.1", "59.990 mm")
    assert Action("remedy", "MC.1", "MC 1 is out of band, loose", "bedplate remedy MC") in (
        upcoming(shop)
    )
    shop.decide("cap.1", "replace")
    assert commands(shop, "remedy") == []
    assert "bedplate change cap.1 new" in commands(shop, "changed")
    shop.fasten("M.1", "tight", trial=True)
    assert commands(shop, "changed") == []
    assert "bedplate fasten M.1 removed" in commands(shop, "fasteners")


def test_what_is_held_is_not_asked_for_but_its_end_is() -> None:
    shop = Shop(COVER)
    shop.decide("body", "reuse")
    shop.decide("cover", "reuse")
    shop.use("gasket")
    assert commands(shop) == ["bedplate fasten N tight --reached VALUE"]
    n = shop.defer("nuts on order", "supplier", "N")
    assert commands(shop) == [f"bedplate settle {n}"]


def test_a_held_part_is_changed_once_it_is_back() -> None:
    shop = Shop(CRANK)
    shop.decide("rod.1", "rework")
    assert "bedplate change rod.1 reworked" in commands(shop, "changed")
    n = shop.defer("rod away", "grinder", "rod.1")
    assert commands(shop, "changed") == []
    assert f"bedplate settle {n}" in commands(shop, "deferred")


def test_a_held_step_and_a_held_proof_are_not_asked_for() -> None:
    shop = Shop('[[proof]]\ntag = "DRY"\ntext = "No leak"\n[[step]]\nid = "paint"\ntext = "Paint"')
    assert commands(shop) == ["bedplate done paint", "bedplate prove DRY pass"]
    shop.defer("rain", "Ben", "paint")
    shop.defer("no water", "Ben", "DRY")
    assert commands(shop) == ["bedplate settle 2", "bedplate settle 3"]


def test_a_proof_by_a_fit_that_is_out_asks_for_its_remedy() -> None:
    shop = Shop(CRANK)
    for state in ("30 N*m", "60 N*m", "62 degree"):
        stage = ("30 N*m", "60 N*m", "62 degree").index(state) + 1
        shop.fasten("M", "tight", state, stage=stage)
    shop.prove("TURN")
    shop.fasten("M", "again")
    shop.prove("TURN")
    shop.read("EF", "0.32 mm")
    assert "bedplate remedy EFL" in commands(shop, "remedy")
    shop.fasten("M.1", "again")
    shop.prove("TURN.1")
    assert "bedplate measure EF VALUE --instead" in commands(shop, "reading")


def test_a_wait_is_told_when_nothing_else_is_left() -> None:
    shop = Shop('[[step]]\nid = "seal"\ntext = "Sealant"\nwait = "12 h"')
    shop.done("seal")
    assert upcoming(shop) == [
        Action("wait", "seal", "step seal waits until 25 Nov 2025 02:02", "bedplate status")
    ]
    shop.wait(hours=12)
    assert upcoming(shop) == [
        Action("sign", "handover", "sign for handover", "bedplate sign handover")
    ]


def test_a_stage_out_of_limits_is_mended_first() -> None:
    shop = Shop(CRANK)
    shop.fasten("M", "removed")
    shop.done("crank-out")
    shop.fasten("M.1", "tight", "30 N*m", stage=1)
    shop.fasten("M.1", "tight", "70 N*m", stage=2)
    assert "bedplate fasten M.1 again --stage 2 --reached VALUE" in commands(shop, "fasteners")


def test_a_trial_is_backed_off_before_it_is_tightened_for_good() -> None:
    shop = Shop(COVER)
    shop.fasten("N", "tight", trial=True)
    assert "bedplate fasten N backed-off" in commands(shop, "fasteners")


def test_what_was_struck_and_what_stands_outside_come_behind_the_work() -> None:
    shop = Shop(COVER)
    shop.use("gasket")
    shop.fasten("N", "tight", "17 lbf*ft")
    shop.prove("SPIN")
    shop.use("tab washer", 4)
    shop.fasten("N", "locked")
    shop.strike(4)
    job = shop.job
    found = next_actions(job, (), shop.now, gauges_overdue=["mic1"], copies=["x.job.jsonl"])
    assert [action.kind for action in found] == [
        "disposition",
        "disposition",
        "proof",
        "gauge",
        "copy",
        "unlawful",
    ]


def test_nothing_is_left_to_do_once_all_is_signed_for() -> None:
    shop = Shop('[[component]]\nid = "body"')
    shop.decide("body", "reuse")
    assert commands(shop) == ["bedplate sign handover"]
    shop.sign()
    assert upcoming(shop) == []


def test_what_was_left_out_can_only_be_conceded() -> None:
    shop = Shop(CRANK)
    on = tuple(shop.job.resting_on("EF", ()))
    entry = {"kind": "reading", "address": "EF", "left_out": "no dial", "on": on}
    shop.do(Reading.model_validate(entry))
    assert "bedplate concede EFL --accepted-by NAME --why REASON" in commands(shop, "unmeasured")
