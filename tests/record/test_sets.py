"""Sets of fasteners as entries leave them, whatever the rules would say of these entries."""

from __future__ import annotations

import pytest
from sheets import COVER, CRANK
from shop import Shop

from bedplate.record import entries as e
from bedplate.record.sets import Sets, SetState, Stock, positions_named

THREE = """
[[fasteners]]
tag = "P"
name = "Plate bolts"
count = 3
spends = { fitted = { washer = 3 }, tight = { plate = 2 } }
[[fasteners]]
tag = "Q"
spends = { tight = { pin = 5 } }
"""


def put(shop: Shop, state: e.State, address: str = "N", **told: object) -> SetState:
    shop.keep(e.Fasteners.model_validate({"set": address, "state": state, **told}))
    tag, _, position = address.partition(".")
    return shop.set(tag, *([position] if position else []))


def states(found: SetState) -> list[str]:
    return [fastener.state for fastener in found.fasteners]


def test_a_set_begins_as_found() -> None:
    found = Shop(COVER).set("N")
    assert states(found) == ["as found"] * 4
    assert (found.address, found.number, found.stages) == ("N", 4, 1)
    assert (found.moved, found.touched) == (0, 0)
    assert (found.is_tight, found.clamps, found.is_final) == (True, False, False)


def test_a_set_runs_through_its_states() -> None:
    shop = Shop(COVER)
    for state, after in (
        ("removed", "removed"),
        ("fitted", "fitted"),
        ("tight", "tight"),
        ("locked", "locked"),
        ("backed-off", "fitted"),
        ("tight", "tight"),
        ("again", "tight"),
        ("removed", "removed"),
    ):
        found = put(shop, state)  # type: ignore[arg-type]
        assert states(found) == [after] * 4
        assert found.touched == shop.last


def test_what_was_locked_as_found_is_tightened_again_to_its_last_stage() -> None:
    """A lock stands though the tightening it was put on is struck."""
    shop = Shop(CRANK)
    put(shop, "again", "M.1")
    put(shop, "locked", "M.1")
    shop.keep(e.Strike(entry=shop.last - 1, why="slip"))
    found = put(shop, "again", "M.1")
    assert {(one.state, one.stage) for one in found.fasteners} == {("tight", found.stages)}


def test_locking_is_no_move() -> None:
    shop = Shop(COVER)
    put(shop, "tight")
    found = put(shop, "locked")
    assert (found.moved, found.touched) == (2, 3)


def test_an_entry_that_moves_none_is_no_move() -> None:
    shop = Shop(COVER)
    put(shop, "removed")
    assert put(shop, "removed").moves == [2]
    assert put(shop, "backed-off").moves == [2]


def test_counts_add_up() -> None:
    shop = Shop(COVER)
    assert put(shop, "tight", count=3).count("tight") == 3
    found = put(shop, "tight", count=1)
    assert found.count("tight") == 4
    assert found.moves == [2, 3]
    assert put(shop, "locked", count=2).count("locked") == 2


def test_the_loosest_come_off_first() -> None:
    shop = Shop(COVER)
    put(shop, "tight", count=2)
    put(shop, "locked", count=1)
    put(shop, "fitted", count=1)
    assert sorted(states(put(shop, "removed", count=2))) == [
        "locked",
        "removed",
        "removed",
        "tight",
    ]


def test_those_that_waited_longest_are_tightened_again_first() -> None:
    shop = Shop(COVER)
    put(shop, "tight")
    put(shop, "again", count=2)
    found = put(shop, "again", count=2)
    assert sorted(fastener.entry for fastener in found.fasteners) == [3, 3, 4, 4]


def test_a_set_of_stages_is_tight_at_the_last() -> None:
    shop = Shop(CRANK)
    for stage, tight in ((1, False), (2, False), (3, True)):
        found = put(shop, "tight", "M.2", stage=stage)
        assert (found.is_tight, found.clamps) == (tight, True)
        assert {fastener.stage for fastener in found.fasteners} == {stage}
    assert shop.set("M", "1").touched == 0


def test_the_furthest_go_on_to_the_next_stage() -> None:
    shop = Shop(CRANK)
    put(shop, "tight", "M.1", stage=1, count=1)
    found = put(shop, "tight", "M.1", stage=2, count=1)
    assert sorted(fastener.stage for fastener in found.fasteners) == [0, 2]


def test_an_address_without_position_moves_all() -> None:
    shop = Shop(CRANK)
    shop.keep(e.Fasteners(set="m.all", state="removed"))
    assert [shop.set("M", place).moved for place in ("1", "2", "3")] == [2, 2, 2]


def test_a_trial_is_remembered_until_it_is_left() -> None:
    shop = Shop(COVER)
    found = put(shop, "tight", trial=True)
    assert {fastener.trial for fastener in found.fasteners} == {True}
    assert {fastener.trial for fastener in put(shop, "again").fasteners} == {True}
    assert {fastener.trial for fastener in put(shop, "backed-off").fasteners} == {False}


@pytest.mark.parametrize(
    ("state", "left"),
    [
        ("removed", {"removed"}),
        ("fitted", {"fitted"}),
        ("tight", {"fitted", "tight"}),
        ("locked", {"fitted", "tight", "locked"}),
    ],
)
def test_what_is_further_on_is_left_so_too(state: e.State, left: set[str]) -> None:
    shop = Shop(COVER)
    if state == "locked":
        put(shop, "tight")
    found = put(shop, state)
    wanted = {"removed", "fitted", "tight", "locked"}
    assert {word for word in wanted if found.is_left(word)} == left


def test_how_it_stood_before_an_entry() -> None:
    shop = Shop(COVER)
    put(shop, "removed")
    put(shop, "tight")
    found = put(shop, "backed-off")
    assert [(found.before(n).clamps, found.before(n).tight) for n in (2, 3, 4, 5)] == [
        (False, True),
        (False, False),
        (True, True),
        (False, False),
    ]


# ---- one-use things


def test_part_of_a_set_takes_part_of_its_things_rounded_up() -> None:
    shop = Shop(THREE)
    shop.keep(e.PartUsed(part="plate", count=5))
    shop.keep(e.PartUsed(part="Washer", count=3))
    taken = []
    for _ in range(3):
        put(shop, "tight", "P", count=1)
        taken.append((shop.stock("plate")[1], shop.stock("washer")[1]))
    assert taken == [(1, 1), (2, 2), (2, 3)]
    put(shop, "backed-off", "P", count=1)
    assert (shop.stock("plate"), shop.stock("washer")) == ((5, 2, 0), (3, 3, 0))
    put(shop, "backed-off", "P", count=1)
    assert (shop.stock("plate"), shop.stock("washer")) == ((5, 1, 1), (3, 3, 0))
    put(shop, "removed", "P")
    assert (shop.stock("plate"), shop.stock("washer")) == ((5, 0, 2), (3, 0, 3))


def test_a_set_without_a_number_is_one() -> None:
    shop = Shop(THREE)
    found = put(shop, "tight", "Q")
    assert found.number == 1
    assert shop.stock("pin") == (0, 5, 0)


def test_a_trial_takes_nothing() -> None:
    shop = Shop(THREE)
    put(shop, "tight", "P", trial=True)
    put(shop, "removed", "P")
    assert shop.stock("plate") == (0, 0, 0)


def test_tightened_again_as_found_takes_nothing() -> None:
    shop = Shop(THREE)
    found = put(shop, "again", "P")
    assert found.is_final
    assert shop.stock("plate") == (0, 0, 0)


def test_taking_more_than_was_drawn_leaves_less_than_none() -> None:
    shop = Shop(COVER)
    put(shop, "tight")
    assert Sets.of(shop.job).left("GASKET") == -1
    assert Sets.of(shop.job).left("cork") == 0
    assert Stock("pin", drawn=5, in_use=2, spent=1).left == 2


def test_a_struck_entry_did_nothing() -> None:
    shop = Shop(COVER)
    put(shop, "tight")
    shop.keep(e.Strike(entry=2, why="slip"))
    assert shop.set("N").touched == 0
    assert shop.stock("gasket") == (0, 0, 0)


def test_an_address_that_means_nothing_moves_nothing() -> None:
    shop = Shop(COVER)
    shop.keep(e.Fasteners(set="Z", state="tight"))
    assert shop.set("N").touched == 0
    assert positions_named(shop.job.layout, "N.7", "fasteners") == []
    assert positions_named(shop.job.layout, "SPIN", "fasteners") == []
