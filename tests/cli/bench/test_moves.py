"""What is to be done to a set next, and how a set is described."""

from __future__ import annotations

import pytest
from shop import Shop

from bedplate.assembly.state import Assembly
from bedplate.cli.bench.moves import (
    Move,
    drawn_for,
    facts,
    move_in,
    next_move,
    stage_shown,
    standing,
    used_in_words,
    verdict,
)
from bedplate.record.entries import Fasteners, PartUsed
from bedplate.sheet.model import Limits

SHEET = """
unit = "mm"
source = "Invented handbook"
[axes]
main = ["1", "2"]
[[component]]
id = "cap"
positions = "main"
[[fasteners]]
tag = "M"
name = "Main bolts"
positions = "main"
count = 2
stages = [{ limits = "30 N*m" }, { limits = "58..62 N*m" }]
spends = { fitted = { shim = 1 }, tight = { bolt = 2 } }
[[fasteners]]
tag = "N"
lock = "wire"
spends = { locked = { wire = 1 } }
"""


@pytest.fixture
def shop() -> Shop:
    return Shop(SHEET)


def assembly(shop: Shop) -> Assembly:
    job = shop.job
    return Assembly(job, shop.fits(job), shop.now)


@pytest.mark.parametrize(
    ("command", "move"),
    [
        ("bedplate fasten N removed", Move("removed")),
        ("bedplate fasten M.1 tight --stage 1 --reached VALUE", Move("tight", 1, None, True)),
        ("bedplate fasten M.1 again --reached VALUE", Move("again", None, None, True)),
        ("bedplate fasten M.1 removed --count 3", Move("removed", None, 3)),
    ],
)
def test_a_command_says_what_is_to_be_done(command: str, move: Move) -> None:
    assert move_in(command) == move


def test_the_next_move_goes_stage_by_stage_to_the_final_state(shop: Shop) -> None:
    assert next_move(assembly(shop), "M.1") == Move("")
    shop.fasten("M.1", "removed")
    assert next_move(assembly(shop), "M.1") == Move("tight", 1, None, True)
    shop.use("bolt", 2)
    shop.use("shim")
    shop.fasten("M.1", "tight", "30 N*m", stage=1)
    assert next_move(assembly(shop), "M.1") == Move("tight", 2, None, True)
    shop.fasten("M.1", "tight", "70 N*m", stage=2)
    assert next_move(assembly(shop), "M.1") == Move("again", 2, None, True)
    shop.fasten("M.1", "again", "60 N*m", stage=2)
    assert next_move(assembly(shop), "M.1") == Move("")


def test_a_set_that_is_tight_on_trial_is_backed_off_first(shop: Shop) -> None:
    shop.fasten("M.1", "removed")
    shop.fasten("M.1", "tight", trial=True)
    assert next_move(assembly(shop), "M.1") == Move("backed-off")


def test_a_lock_follows_on_tight(shop: Shop) -> None:
    shop.fasten("N", "removed")
    assert next_move(assembly(shop), "N") == Move("tight")
    shop.fasten("N", "tight")
    assert next_move(assembly(shop), "N") == Move("locked")


def test_the_move_that_takes_something_is_the_first_that_lacks_it(shop: Shop) -> None:
    shop.fasten("M.1", "removed")
    assert next_move(assembly(shop), "M.1", taking=True) == Move("fitted")
    shop.use("shim")
    assert next_move(assembly(shop), "M.1", taking=True) == Move("tight", 1, None, True)


def test_what_a_move_takes_is_drawn_with_it(shop: Shop) -> None:
    shop.fasten("M.1", "removed")
    shop.use("bolt")
    tight = Fasteners(set="M.1", state="tight", stage=1)
    drawn = [e for e in drawn_for(shop.job, tight) if isinstance(e, PartUsed)]
    assert [(e.part, e.count) for e in drawn] == [("shim", None), ("bolt", None)]
    both = Fasteners(set="M", state="tight", stage=1)
    drawn = [e for e in drawn_for(shop.job, both) if isinstance(e, PartUsed)]
    assert [(e.part, e.count) for e in drawn] == [("shim", 2), ("bolt", 3)]
    assert used_in_words((*drawn, both)) == "2 shims, 3 bolts used"
    assert used_in_words((both,)) == ""


@pytest.mark.parametrize(
    ("move", "said"),
    [
        (Move("removed"), []),
        (Move("fitted"), ["shim (new each time)"]),
        (
            Move("tight", 1, None, True),
            ["30 N m", "58 to 62 N m", "shim (new each time)", "bolts (new each time)"],
        ),
        (Move("locked"), []),
    ],
)
def test_what_there_is_to_know_before_a_move(shop: Shop, move: Move, said: list[str]) -> None:
    assert facts(shop.set("M", "1").row, move, draw=False) == said


@pytest.mark.parametrize(
    ("limits", "shown"),
    [
        ("16..18 lbf*ft", "16 to 18 lbf ft"),
        ("60 N*m", "60 N m"),
        ("..25 N*m", "..25 N m"),
        ("60..65 degree", "60 to 65 degrees"),
        ("16..18lbf*ft", "16 to 18 lbf ft"),
    ],
)
def test_a_stage_is_shown_as_entered(limits: str, shown: str) -> None:
    assert stage_shown(Limits(limits=limits), draw=False) == shown


@pytest.mark.parametrize(
    ("told", "said", "judged"),
    [
        ({"state": "removed"}, "removed, 2 of 2", None),
        ({"state": "removed", "count": 1}, "removed, 1 of 2", None),
        ({"state": "backed-off"}, "backed off, 2 of 2", None),
        ({"state": "tight", "trial": True}, "tight on trial, 2 of 2", None),
        (
            {"state": "tight", "stage": 2, "value": "60 N*m"},
            "tight, 2 of 2, stage 2, 60 N m",
            ("[ o ]", "in band"),
        ),
        (
            {"state": "tight", "stage": 2, "value": "50 N*m"},
            "tight, 2 of 2, stage 2, 50 N m",
            ("X[   ]", "OUT, low"),
        ),
        ({"state": "tight", "stage": 1, "value": "35 N*m"},
         "tight, 2 of 2, stage 1, 35 N m", None),
        ({"state": "again", "value": "60 N*m"}, "tight again, 2 of 2, 60 N m",
         ("[ o ]", "in band")),
        ({"state": "locked"}, "locked", None),
    ],
)  # fmt: skip
def test_how_a_set_stands_after_a_move(
    shop: Shop, told: dict[str, object], said: str, judged: tuple[str, str] | None
) -> None:
    state = shop.set("M", "1")
    entry = Fasteners.model_validate({"set": "M.1", **told})
    assert standing(state, entry) == said
    assert verdict(state, entry) == judged
