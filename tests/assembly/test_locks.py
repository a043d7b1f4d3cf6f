"""Locks: one-use things, stages in turn, trials, and the proofs that come before a lock."""

from __future__ import annotations

import pytest
from sheets import COVER, CRANK
from shop import Shop

from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record.sets import AS_FOUND, LOCKED, TIGHT


@pytest.fixture
def cover() -> Shop:
    return Shop(COVER)


@pytest.fixture
def crank() -> Shop:
    return Shop(CRANK)


def tight(shop: Shop) -> Shop:
    """Tighten the cover for good: entries 2 and 3."""
    shop.use("gasket")
    shop.fasten("N", "tight", "17 lbf*ft")
    return shop


def ready(shop: Shop) -> Shop:
    """Prove the cover and draw its washers: entries 4 and 5."""
    tight(shop).prove("SPIN")
    shop.use("tab washer", 4)
    return shop


def mains_tight(shop: Shop, address: str = "M") -> Shop:
    shop.fasten(address, "tight", "30 N*m", stage=1)
    shop.fasten(address, "tight", "60 N*m", stage=2)
    shop.fasten(address, "tight", "62 degree", stage=3)
    return shop


# ---- locking


STAGED = """
unit = "mm"
source = "Invented handbook"
[[component]]
id = "head"
[[fasteners]]
tag = "HB"
count = 2
stages = [{ limits = "30 N*m" }, { limits = "90 degree" }]
spends = { tight = { gasket = 1 } }
"""


def test_a_stage_that_comes_first_is_come_to_with_what_it_takes() -> None:
    shop = Shop(STAGED)
    shop.fasten("HB", "removed")
    first = "Refused. HB may not be tightened: stage 1 comes first, and 2 of 2 are not there yet."
    assert shop.said(lambda: shop.fasten("HB", "tight", stage=2)) == [
        first,
        "  Stage 1: 30 N*m",
        "  Type:  bedplate use gasket",
        "  Then:  bedplate fasten HB tight --stage 1",
    ]
    assert shop.said(lambda: shop.fasten("HB", "tight", stage=2, trial=True)) == [
        first, "  Stage 1: 30 N*m", "  Type:  bedplate fasten HB tight --stage 1 --trial",
    ]  # fmt: skip


def test_what_is_not_tight_is_not_tightened_again_whatever_was_reached() -> None:
    shop = Shop(STAGED)
    shop.fasten("HB", "removed")
    assert shop.said(lambda: shop.fasten("HB", "again", "30 N*m"))[0] == (
        "Refused. HB may not be tightened again: 2 of 2 are not tight."
    )


def test_what_is_refused_without_its_slip_too_is_refused_for_that() -> None:
    shop = Shop(STAGED)
    shop.fasten("HB", "removed")
    assert shop.said(lambda: shop.fasten("HB", "removed", "30 N*m"))[0] == (
        "Refused. HB may not be removed: it is removed already (entry 2, 14:02)."
    )
    assert shop.said(lambda: shop.fasten("HB", "fitted", "30 N*m")) == [
        "Not recorded. What was reached goes with tight or again, not with fitted.",
        "  Type:  bedplate fasten HB fitted",
    ]


def test_a_set_that_is_held_is_not_to_be_tightened_for_a_proof() -> None:
    toml = f'{STAGED}[[proof]]\ntag = "SPIN"\ntext = "Spins"\nwhen = ["HB"]\n'
    shop = Shop(toml)
    shop.fasten("HB", "removed")
    n = shop.defer("bolts to come", "Ben", "HB")
    assert shop.said(lambda: shop.prove("SPIN")) == [
        f'Refused. HB may not go on: it waits for "bolts to come" (entry {n}), put off until Ben.',
        f"  When that is over:  bedplate settle {n}",
    ]


def test_a_lock_whose_proof_waits_for_another_set_asks_for_that_first() -> None:
    shop = Shop("""
unit = "mm"
[axes]
shaft = ["ahead", "astern"]
[[component]]
id = "box"
[[fasteners]]
tag = "F"
positions = "shaft"
count = 1
lock = "split pin"
prove = ["RUN"]
[[proof]]
tag = "RUN"
text = "Runs true"
when = ["F"]
""")
    shop.fasten("F", "removed")
    shop.fasten("F.ahead", "tight")
    assert shop.said(lambda: shop.fasten("F.ahead", "locked"))[1:] == [
        "  Type:  bedplate fasten F.astern tight"
    ]


def test_what_stands_in_the_way_of_a_stage_comes_before_which_it_was() -> None:
    shop = Shop(STAGED)
    shop.fasten("HB", "removed")
    assert shop.said(lambda: shop.fasten("HB", "tight")) == [
        "Refused. HB may not be tightened: it takes 1 new gasket, and none are left unspent.",
        "  Type:  bedplate use gasket",
    ]


def test_a_lock_waits_for_its_proof(cover: Shop) -> None:
    tight(cover).use("tab washer", 4)
    assert cover.said(lambda: cover.fasten("N", "locked")) == [
        "Refused. N (cover nuts) may not be locked: SPIN has not passed since nut N was last "
        "moved (entry 3, 14:03).",
        "  It asks for: Turns freely by hand through two turns",
        "  When it is so:  bedplate prove SPIN pass",
    ]


def test_a_lock_is_folded_once_its_proof_stands(cover: Shop) -> None:
    ready(cover).fasten("N", "locked")
    state = cover.set("N")
    assert state.count(LOCKED) == 4
    assert state.is_final
    assert cover.stock("tab washer") == (4, 4, 0)


def test_a_proof_of_a_day_ago_is_told_with_its_day(cover: Shop) -> None:
    tight(cover).use("tab washer", 4)
    cover.wait(days=1)
    assert cover.said(lambda: cover.fasten("N", "locked"))[0].endswith(
        "since nut N was last moved (entry 3, 24 Nov 2025 14:03)."
    )


def test_a_failed_proof_keeps_a_lock_open_until_it_passes(cover: Shop) -> None:
    ready(cover).prove("SPIN", "fail")
    assert cover.said(lambda: cover.fasten("N", "locked"))[0] == (
        "Refused. N (cover nuts) may not be locked: SPIN failed (entry 6, 14:06)."
    )
    cover.prove("SPIN")
    cover.fasten("N", "locked")
    assert cover.set("N").is_final


def test_tightening_again_makes_the_proof_stale_and_spends_nothing(cover: Shop) -> None:
    ready(cover).fasten("N", "again", "18 lbf*ft")
    assert cover.said(lambda: cover.fasten("N", "locked"))[0].endswith(
        "SPIN has not passed since nut N was last moved (entry 6, 14:06)."
    )
    assert cover.stock("gasket") == (1, 1, 0)


def test_backing_off_makes_the_proof_stale_and_spends_the_gasket(cover: Shop) -> None:
    ready(cover).fasten("N", "backed-off")
    assert cover.stock("gasket") == (1, 0, 1)
    assert cover.said(lambda: cover.fasten("N", "tight", "17 lbf*ft")) == [
        "Refused. N (cover nuts) may not be tightened: it takes 1 new gasket, and none are left "
        "unspent.",
        "  Type:  bedplate use gasket",
    ]
    cover.use("Gasket")
    cover.fasten("N", "tight", "17 lbf*ft")
    assert cover.said(lambda: cover.fasten("N", "locked"))[0].endswith(
        "SPIN has not passed since nut N was last moved (entry 8, 14:08)."
    )


def test_locking_part_by_part_leaves_the_proof_standing(cover: Shop) -> None:
    ready(cover).fasten("N", "locked", count=3)
    assert (cover.set("N").count(LOCKED), cover.set("N").count(TIGHT)) == (3, 1)
    cover.fasten("N", "locked", count=1)
    assert cover.set("N").count(LOCKED) == 4


def test_what_is_not_tight_is_not_locked(cover: Shop) -> None:
    cover.use("gasket")
    cover.fasten("N", "tight", "17 lbf*ft", count=3)
    assert cover.said(lambda: cover.fasten("N", "locked")) == [
        "Refused. N (cover nuts) may not be locked: 1 of 4 is not tight.",
        "  Type:  bedplate fasten N tight",
    ]
    assert cover.said(lambda: cover.fasten("N", "locked", count=4))[0] == (
        "Refused. N (cover nuts) may not be locked: 1 of 4 is not tight."
    )


def test_a_set_as_found_is_not_locked_untouched(cover: Shop) -> None:
    assert cover.said(lambda: cover.fasten("N", "locked"))[0] == (
        "Refused. N (cover nuts) may not be locked: 4 of 4 are not tight."
    )


def test_a_locked_set_is_opened_before_it_is_tightened(cover: Shop) -> None:
    ready(cover).fasten("N", "locked")
    assert cover.said(lambda: cover.fasten("N", "tight", "17 lbf*ft")) == [
        "Refused. N (cover nuts) may not be tightened: it is locked (entry 6, 14:06).",
        "  Open it first:  bedplate fasten N backed-off",
    ]
    assert cover.said(lambda: cover.fasten("N", "again", "17 lbf*ft")) == [
        "Refused. N (cover nuts) may not be tightened again: it is locked (entry 6, 14:06), and 4 "
        "tab washers would have to be opened.",
        "  Type:  bedplate fasten N backed-off",
    ]


# ---- one-use things


def test_a_spent_tab_washer_is_refused(cover: Shop) -> None:
    ready(cover).fasten("N", "locked")
    cover.fasten("N", "backed-off", count=1)
    assert cover.stock("tab washer") == (4, 3, 1)
    cover.fasten("N", "tight", "17 lbf*ft")
    cover.prove("SPIN")
    assert cover.said(lambda: cover.fasten("N", "locked")) == [
        "Refused. N (cover nuts) may not be locked: it takes 1 new tab washer, and none are left "
        "unspent.",
        '  Type:  bedplate use "tab washer"',
    ]
    cover.use("tab washer")
    cover.fasten("N", "locked")
    assert cover.stock("tab washer") == (5, 4, 1)


def test_the_command_draws_as_many_as_are_missing(cover: Shop) -> None:
    tight(cover).prove("SPIN")
    cover.use("tab washer")
    assert cover.said(lambda: cover.fasten("N", "locked")) == [
        "Refused. N (cover nuts) may not be locked: it takes 4 new tab washers, and 1 is left "
        "unspent.",
        '  Type:  bedplate use "tab washer" --count 3',
    ]


def test_the_gasket_stays_in_use_while_one_nut_holds_it(cover: Shop) -> None:
    tight(cover).fasten("N", "backed-off", count=3)
    assert cover.stock("gasket") == (1, 1, 0)
    cover.fasten("N", "tight", "17 lbf*ft")
    assert cover.stock("gasket") == (1, 1, 0)
    cover.fasten("N", "removed")
    assert cover.stock("gasket") == (1, 0, 1)


def test_bolts_for_two_rods_are_counted_together(crank: Shop) -> None:
    crank.use("rod bolt", 3)
    assert crank.said(lambda: crank.fasten("R", "tight", "36 N*m")) == [
        "Refused. R.1 (big end bolts) may not be tightened: it takes 4 new rod bolts, and 3 are "
        "left unspent.",
        '  Type:  bedplate use "rod bolt"',
    ]
    crank.fasten("R.1", "tight", "36 N*m")
    assert crank.stock("rod bolt") == (3, 2, 0)


# ---- trials


def test_a_trial_spends_nothing_and_is_not_final(crank: Shop) -> None:
    crank.fasten("R.1", "tight", "36 N*m", trial=True)
    state = crank.set("R", "1")
    assert state.is_tight
    assert not state.is_final
    assert crank.stock("rod bolt") == (0, 0, 0)


def test_a_trial_cannot_be_locked(cover: Shop) -> None:
    cover.fasten("N", "tight", "17 lbf*ft", trial=True)
    cover.prove("SPIN")
    cover.use("tab washer", 4)
    assert cover.said(lambda: cover.fasten("N", "locked")) == [
        "Refused. N (cover nuts) may not be locked: it is tight on old parts, for a trial "
        "(entry 2, 14:02).",
        "  Type:  bedplate fasten N backed-off",
    ]


def test_a_trial_is_backed_off_before_the_set_is_tightened_for_good(crank: Shop) -> None:
    crank.fasten("R.1", "tight", "36 N*m", trial=True)
    crank.use("rod bolt", 2)
    assert crank.said(lambda: crank.fasten("R.1", "tight", "36 N*m")) == [
        "Refused. R.1 (big end bolts) may not be tightened: it is tight on old parts, for a trial "
        "(entry 2, 14:02).",
        "  Type:  bedplate fasten R.1 backed-off",
    ]
    crank.fasten("R.1", "backed-off")
    crank.fasten("R.1", "tight", "36 N*m")
    assert crank.set("R", "1").is_final
    assert crank.said(lambda: crank.fasten("R.1", "tight", "36 N*m", trial=True))[0] == (
        "Refused. R.1 (big end bolts) may not be tightened: it is tight for good (entry 5, 14:05)."
    )


def test_a_trial_without_a_stage_is_tight_to_the_last(crank: Shop) -> None:
    crank.fasten("M", "tight", trial=True)
    assert crank.set("M", "2").is_tight


def test_only_tightening_can_be_for_a_trial(cover: Shop) -> None:
    assert cover.said(lambda: cover.fasten("N", "fitted", trial=True)) == [
        "Not recorded. Only tight can be for a trial, not fitted.",
        "  Type:  bedplate fasten N tight --trial",
    ]


# ---- stages


def test_stages_come_in_turn(crank: Shop) -> None:
    assert crank.said(lambda: crank.fasten("M.3", "tight", "60 N*m", stage=2)) == [
        "Refused. M.3 (main cap bolts) may not be tightened: stage 1 comes first, and 2 of 2 are "
        "not there yet.",
        "  Stage 1: 30 N*m",
        "  Type:  bedplate fasten M.3 tight --stage 1",
    ]
    crank.fasten("M.3", "tight", "30 N*m", stage=1)
    assert crank.said(lambda: crank.fasten("M.3", "tight", "62 degree", stage=3))[1:] == [
        "  Stage 2: 58..62 N*m",
        "  Type:  bedplate fasten M.3 tight --stage 2",
    ]
    assert not crank.set("M", "3").is_tight
    crank.fasten("M.3", "tight", "60 N*m", stage=2)
    crank.fasten("M.3", "tight", "62 degree", stage=3)
    assert crank.set("M", "3").is_final


def test_a_set_of_several_stages_asks_which_one(crank: Shop) -> None:
    crank.fasten("M.3", "tight", "30 N*m", stage=1)
    assert crank.said(lambda: crank.fasten("M.3", "tight")) == [
        "Not recorded. M.3 is tightened in 3 stages: which was reached?",
        "  Stage 1: 30 N*m",
        "  Stage 2: 58..62 N*m",
        "  Stage 3: 60..65 degree",
        "  Type:  bedplate fasten M.3 tight --stage 2",
    ]


def test_there_is_no_stage_beyond_the_last(cover: Shop, crank: Shop) -> None:
    assert crank.said(lambda: crank.fasten("M", "tight", stage=4))[0] == (
        "Not recorded. M has 3 stages, so there is no stage 4."
    )
    assert cover.said(lambda: cover.fasten("N", "tight", stage=2)) == [
        "Not recorded. N has 1 stage, so there is no stage 2.",
        "  Stage 1: 16..18 lbf*ft",
    ]


def test_bolt_by_bolt_through_the_stages(crank: Shop) -> None:
    crank.fasten("M.1", "tight", "30 N*m", stage=1, count=1)
    crank.fasten("M.1", "tight", "30 N*m", stage=1, count=1)
    crank.fasten("M.1", "tight", "60 N*m", stage=2, count=1)
    assert crank.said(lambda: crank.fasten("M.1", "tight", "62 degree", stage=3))[0].endswith(
        "stage 2 comes first, and 1 of 2 is not there yet."
    )
    crank.fasten("M.1", "tight", "60 N*m", stage=2)
    crank.fasten("M.1", "tight", "62 degree", stage=3)
    assert crank.set("M", "1").is_final


def test_a_stage_out_of_its_limits_stops_the_next(crank: Shop) -> None:
    crank.fasten("M.3", "tight", "30 N*m", stage=1)
    crank.fasten("M.3", "tight", "70 N*m", stage=2)
    assert crank.said(lambda: crank.fasten("M.3", "tight", "62 degree", stage=3)) == [
        "Refused. M.3 (main cap bolts) may not be tightened: stage 2 was out: 70 N*m against "
        "58..62 N*m (entry 3, 14:03).",
        "  Tightened again in place:  bedplate fasten M.3 again --stage 2 --reached VALUE",
    ]
    crank.fasten("M.3", "again", "61 N*m", stage=2)
    crank.fasten("M.3", "tight", "62 degree", stage=3)
    assert crank.set("M", "3").is_final


def test_what_was_out_is_mended_by_a_reading_of_that_stage(crank: Shop) -> None:
    crank.fasten("M.3", "tight", "30 N*m", stage=1)
    crank.fasten("M.3", "tight", "70 N*m", stage=2)
    assert crank.said(lambda: crank.fasten("M.3", "again")) == [
        "Refused. M.3 (main cap bolts) may not be tightened again: stage 2 was out: 70 N*m "
        "against 58..62 N*m (entry 3, 14:03).",
        "  Tightened again in place:  bedplate fasten M.3 again --stage 2 --reached VALUE",
    ]
    assert crank.said(lambda: crank.fasten("M.3", "again", "30 N*m", stage=1)) == [
        "Refused. M.3 (main cap bolts) may not be tightened again: it is at stage 2, not at "
        "stage 1 (entry 3, 14:03).",
        "  Type:  bedplate fasten M.3 again --stage 2",
    ]
    crank.fasten("M.3", "again", "63 N*m")
    assert crank.said(lambda: crank.fasten("M.3", "tight", "62 degree", stage=3))[0].endswith(
        "stage 2 was out: 63 N*m against 58..62 N*m (entry 4, 14:04)."
    )


def test_a_torque_out_of_its_limits_is_not_locked(cover: Shop) -> None:
    cover.use("gasket")
    cover.fasten("N", "tight", "15 lbf*ft")
    cover.prove("SPIN")
    cover.use("tab washer", 4)
    assert cover.said(lambda: cover.fasten("N", "locked"))[1] == (
        "  Tightened again in place:  bedplate fasten N again --reached VALUE"
    )


def test_beside_a_locked_nut_only_what_is_tight_is_tightened_again(cover: Shop) -> None:
    ready(cover).fasten("N", "locked", count=1)
    cover.fasten("N", "again", "15 lbf*ft", count=1)
    assert cover.said(lambda: cover.fasten("N", "locked"))[1] == (
        "  Tightened again in place:  bedplate fasten N again --count 3 --reached VALUE"
    )
    cover.fasten("N", "again", "17 lbf*ft", count=3)
    assert cover.set("N").count(LOCKED) == 1


def test_a_position_with_nothing_left_to_do_is_passed_over(crank: Shop) -> None:
    mains_tight(crank, "M.2")
    moved = crank.set("M", "2").moved
    mains_tight(crank)
    assert crank.set("M", "2").moved == moved
    assert crank.set("M", "1").is_final


def test_a_value_that_is_no_torque_is_not_understood(cover: Shop) -> None:
    with pytest.raises(NotUnderstoodError, match="Not recorded"):
        cover.fasten("N", "tight", "17 mm")


def test_what_was_reached_goes_with_tightening_alone(cover: Shop) -> None:
    assert cover.said(lambda: cover.fasten("N", "removed", "17 lbf*ft"))[0] == (
        "Not recorded. What was reached goes with tight or again, not with removed."
    )


# ---- counts and states


def test_fasteners_are_counted_one_by_one(cover: Shop) -> None:
    cover.use("gasket")
    cover.fasten("N", "tight", "17 lbf*ft", count=3)
    assert not cover.set("N").is_tight
    cover.fasten("N", "tight", "17 lbf*ft", count=1)
    assert cover.set("N").count(TIGHT) == 4


def test_more_fasteners_than_there_are_is_not_understood(cover: Shop) -> None:
    assert cover.said(lambda: cover.fasten("N", "removed", count=5)) == [
        "Not recorded. N has 4 fasteners, not 5.",
        "  For all of them:  bedplate fasten N removed",
    ]
    cover.fasten("N", "removed", count=3)
    assert cover.said(lambda: cover.fasten("N", "removed", count=2)) == [
        "Refused. N (cover nuts) may not be removed: 2 were named, and it is open to 1 of 4.",
        "  Type:  bedplate fasten N removed --count 1",
    ]


def test_a_set_without_a_number_is_moved_as_one() -> None:
    shop = Shop('[[fasteners]]\ntag = "P"\nname = "Drain plug"\nlock = "wire"')
    assert shop.said(lambda: shop.fasten("P", "removed", count=1)) == [
        "Not recorded. The sheet does not say how many fasteners P has.",
        "  For all of them:  bedplate fasten P removed",
    ]
    assert shop.said(lambda: shop.fasten("P", "locked")) == [
        "Refused. P (drain plug) may not be locked: it is not tight.",
        "  Type:  bedplate fasten P tight",
    ]
    shop.fasten("P", "tight")
    shop.fasten("P", "locked")
    shop.fasten("P", "again")
    assert shop.set("P").count(TIGHT) == 1


def test_of_a_set_half_off_what_is_on_is_tightened_again(cover: Shop) -> None:
    cover.fasten("N", "removed", count=1)
    cover.fasten("N", "again", "17 lbf*ft")
    assert (cover.set("N").count(TIGHT), cover.set("N").is_tight) == (3, False)


def test_of_a_few_those_tightened_here_are_tightened_again_before_those_as_found(
    cover: Shop,
) -> None:
    cover.fasten("N", "backed-off", count=2)
    cover.use("gasket")
    cover.fasten("N", "tight", "17 lbf*ft", count=2)
    again = cover.fasten("N", "again", "17 lbf*ft", count=2)
    assert [(f.entry, f.state) for f in cover.set("N").fasteners] == [
        (again, TIGHT), (again, TIGHT), (0, AS_FOUND), (0, AS_FOUND),
    ]  # fmt: skip


def test_only_bolts_at_a_stage_are_tightened_again_to_it(crank: Shop) -> None:
    crank.fasten("M.1", "tight", "30 N*m", stage=1)
    crank.fasten("M.1", "tight", "70 N*m", stage=2, count=1)
    crank.fasten("M.1", "again", "60 N*m", stage=2)
    assert sorted((f.stage, f.entry) for f in crank.set("M", "1").fasteners) == [(1, 2), (2, 4)]


def test_a_count_names_one_position(crank: Shop) -> None:
    assert crank.said(lambda: crank.fasten("M", "removed", count=1)) == [
        "Not recorded. M is 3 sets: 1 of which?",
        "  Type:  bedplate fasten M.1 removed --count 1",
    ]


def test_what_is_tight_is_not_tightened_once_more(cover: Shop) -> None:
    tight(cover)
    assert cover.said(lambda: cover.fasten("N", "tight", "17 lbf*ft")) == [
        "Refused. N (cover nuts) may not be tightened: it is tight already (entry 3, 14:03).",
        "  Tightened again in place:  bedplate fasten N again",
    ]


def test_what_is_tight_is_backed_off_before_it_is_fitted(cover: Shop) -> None:
    tight(cover)
    assert cover.said(lambda: cover.fasten("N", "fitted")) == [
        "Refused. N (cover nuts) may not be fitted: it is tight (entry 3, 14:03).",
        "  Type:  bedplate fasten N backed-off",
    ]


def test_what_is_off_is_not_taken_off_again(cover: Shop) -> None:
    cover.fasten("N", "removed")
    assert cover.said(lambda: cover.fasten("N", "removed"))[0] == (
        "Refused. N (cover nuts) may not be removed: it is removed already (entry 2, 14:02)."
    )
    assert cover.said(lambda: cover.fasten("N", "backed-off")) == [
        "Refused. N (cover nuts) may not be backed off: 4 of 4 are not tight.",
        "  Type:  bedplate use gasket",
        "  Then:  bedplate fasten N tight",
    ]
    assert cover.said(lambda: cover.fasten("N", "again"))[0] == (
        "Refused. N (cover nuts) may not be tightened again: 4 of 4 are not tight."
    )


def test_a_set_there_is_not_is_not_understood(cover: Shop) -> None:
    said = cover.said(lambda: cover.fasten("Q", "tight"))
    assert said[0].startswith("Not recorded. There is no fasteners")


def test_what_is_put_off_holds_its_set(cover: Shop) -> None:
    n = cover.defer("cover at the grinder", "grinder", "N")
    cover.fasten("N", "removed")
    assert cover.said(lambda: cover.fasten("N", "fitted")) == [
        'Refused. N (cover nuts) may not go on: it waits for "cover at the grinder" (entry 2), '
        "put off until grinder.",
        "  When that is over:  bedplate settle 2",
    ]
    cover.settle(n)
    cover.fasten("N", "fitted")


def test_a_finding_that_comes_back_is_answered_before_the_set_is_tightened(cover: Shop) -> None:
    cover.find("spring cap 4 1/2 turns", "cover", back="N")
    cover.fasten("N", "removed")
    cover.use("gasket")
    assert cover.said(lambda: cover.fasten("N", "tight", "17 lbf*ft")) == [
        "Refused. N (cover nuts) may not go on: entry 2 comes back here and has no answer.",
        '  Found at cover: "spring cap 4 1/2 turns"',
        "  Type:  bedplate settle 2 --how ANSWER",
    ]
    cover.settle(2, "set to 4 1/2 turns")
    cover.fasten("N", "tight", "17 lbf*ft")


# ---- what a proof's sets hold


def test_a_change_of_what_is_clamped_is_refused_and_makes_proofs_stale(cover: Shop) -> None:
    ready(cover)
    assert cover.said(lambda: cover.change("body", "reworked")) == [
        "Refused. body may not be changed: N (cover nuts) holds it and is tight (entry 3, 14:03).",
        "  Take it off first:  bedplate fasten N removed",
    ]


def test_a_single_fastener_still_clamps(cover: Shop) -> None:
    tight(cover).fasten("N", "removed", count=3)
    assert cover.said(lambda: cover.change("body", "reworked"))[0].startswith(
        "Refused. body may not be changed: N (cover nuts) holds it and is tight"
    )
    cover.fasten("N", "removed")
    cover.change("body", "reworked")


def test_a_first_stage_clamps_already(crank: Shop) -> None:
    crank.fasten("M.2", "tight", "30 N*m", stage=1)
    assert crank.said(lambda: crank.change("crank", "reworked"))[0] == (
        "Refused. crank may not be changed: M.2 (main cap bolts) holds it and is tight "
        "(entry 2, 14:02)."
    )
    crank.change("cap.1", "reworked")


def test_beside_a_fastener_taken_out_the_stage_of_those_tight_is_named() -> None:
    shop = Shop(CRANK)
    shop.fasten("M.1", "tight", "30 N*m", stage=1)
    shop.fasten("M.1", "removed", count=1)
    with pytest.raises(RefusedError) as refused:
        shop.fasten("M.1", "again", stage=2)
    assert refused.value.message == (
        "Refused. M.1 (main cap bolts) may not be tightened again: it is at stage 1, not at "
        "stage 2 (entry 2, 14:02)."
    )
    assert refused.value.hint == ("Type:  bedplate fasten M.1 again --stage 1",)
    shop.fasten("M.1", "again", stage=1)


def test_what_takes_nothing_new_is_open_though_a_draw_was_struck() -> None:
    shop = Shop(COVER)
    drawn = shop.use("gasket")
    shop.fasten("N", "tight", "17 lbf*ft")
    shop.strike(drawn)
    assert shop.stock("gasket") == (0, 1, 0)
    shop.fasten("N", "removed")
    with pytest.raises(RefusedError, match="it takes 1 new gasket"):
        shop.fasten("N", "tight", "17 lbf*ft")
