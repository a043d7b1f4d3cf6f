"""Proofs: with which sets tight, by whose hand, how often, by which readings."""

from __future__ import annotations

import pytest
from sheets import CRANK
from shop import ANN, BEN, OWNER, Shop

HANDS = """
[[component]]
id = "body"
[[proof]]
tag = "SECOND"
text = "Marks in line"
hand = "another"
[[proof]]
tag = "OWNER"
text = "Shown to the owner"
hand = "customer"
[[proof]]
tag = "TWICE"
text = "Timing, a second look after two turns"
times = 2
[[proof]]
tag = "THRICE"
text = "Three looks by two"
hand = "another"
times = 3
"""


@pytest.fixture
def crank() -> Shop:
    return Shop(CRANK)


def mains_tight(shop: Shop) -> None:
    shop.fasten("M", "tight", "30 N*m", stage=1)
    shop.fasten("M", "tight", "60 N*m", stage=2)
    shop.fasten("M", "tight", "62 degree", stage=3)


def test_a_proof_is_made_with_its_sets_tight(crank: Shop) -> None:
    crank.fasten("M.3", "removed")
    assert crank.said(lambda: crank.prove("TURN.3")) == [
        "Refused. TURN.3 may not be proved: M.3 (main cap bolts) is not tight.",
        "  Type:  bedplate fasten M.3 tight --stage 1",
    ]
    assert crank.said(lambda: crank.prove("TURN.3", "fail"))[0] == (
        "Refused. TURN.3 may not be proved: M.3 (main cap bolts) is not tight."
    )
    crank.prove("TURN.2")


def test_a_proof_of_all_positions_asks_for_every_set(crank: Shop) -> None:
    crank.fasten("M.3", "removed")
    assert crank.said(lambda: crank.prove("TURN"))[0].startswith("Refused. TURN.3 may not")


def test_a_trial_counts_as_tight_for_a_proof(crank: Shop) -> None:
    crank.fasten("M", "removed")
    crank.fasten("M.1", "tight", trial=True)
    crank.prove("TURN.1")


def test_a_set_never_moved_counts_as_tight(crank: Shop) -> None:
    crank.prove("TURN")
    assert crank.last == 2


def test_a_proof_without_positions_asks_for_every_set_that_agrees(crank: Shop) -> None:
    crank.fasten("M.2", "removed")
    assert crank.said(lambda: crank.prove("FLOAT", "fail"))[0] == (
        "Refused. FLOAT may not be proved: M.2 (main cap bolts) is not tight."
    )


def test_moving_one_main_leaves_the_proof_of_another_standing(crank: Shop) -> None:
    crank.fasten("M", "removed")
    mains_tight(crank)
    crank.prove("TURN")
    crank.fasten("M.2", "again", "62 degree")
    assert [text for text in crank.in_the_way("proof") if text.startswith("TURN")] == [
        "TURN.2 has not passed since bolt M.2 was last moved (entry 7, 14:07)"
    ]


def test_changing_what_is_clamped_makes_a_proof_stale() -> None:
    shop = Shop(CRANK.replace('holds = ["crank", "cap"]', 'holds = ["cap"]'))
    shop.prove("TURN")
    shop.change("cap.2", "reworked")
    assert [text for text in shop.in_the_way("proof") if text.startswith("TURN")] == [
        "TURN.2 has not passed since cap.2 was changed (entry 3, 14:03)"
    ]


# ---- by its fit


def test_a_proof_by_its_fit_passes_by_the_readings_taken_since(crank: Shop) -> None:
    crank.fasten("M", "removed")
    mains_tight(crank)
    assert crank.said(lambda: crank.prove("FLOAT")) == [
        "Refused. FLOAT has not passed: EFL was not read since bolt M.1 was last moved "
        "(entry 5, 14:05).",
        "  Type:  bedplate measure EF VALUE",
    ]
    crank.read("EF", "0.12 mm")
    assert not [text for text in crank.in_the_way("proof") if text.startswith("FLOAT")]
    crank.prove("FLOAT")


def test_readings_from_before_the_last_move_do_not_pass_a_proof(crank: Shop) -> None:
    crank.read("EF", "0.12 mm")
    crank.fasten("M.3", "again")
    assert crank.said(lambda: crank.prove("FLOAT")) == [
        "Refused. FLOAT has not passed: EFL was not read since bolt M.3 was last moved "
        "(entry 3, 14:03).",
        "  Type:  bedplate measure EF VALUE --instead",
    ]


def test_a_repeat_behind_an_old_reading_passes_a_proof_by_itself(crank: Shop) -> None:
    crank.read("EF", "0.12 mm")
    crank.fasten("M.3", "again")
    crank.read("EF", "0.32 mm")
    assert crank.said(lambda: crank.prove("FLOAT")) == [
        "Refused. FLOAT has not passed: EFL is out.",
        "  Type:  bedplate remedy EFL",
    ]
    crank.strike(4)
    crank.read("EF", "0.14 mm")
    crank.prove("FLOAT")


def test_a_fit_that_is_out_does_not_pass_a_proof(crank: Shop) -> None:
    crank.read("EF", "0.32 mm")
    assert crank.said(lambda: crank.prove("FLOAT")) == [
        "Refused. FLOAT has not passed: EFL is out.",
        "  Type:  bedplate remedy EFL",
    ]


def test_a_failed_fit_proof_passes_by_later_readings(crank: Shop) -> None:
    crank.read("EF", "0.12 mm")
    crank.prove("FLOAT", "fail")
    assert crank.in_the_way("proof")[-3:][0] == "FLOAT failed (entry 3, 14:03)"
    crank.strike(2)
    crank.read("EF", "0.13 mm")
    assert not [text for text in crank.in_the_way("proof") if text.startswith("FLOAT")]


# ---- by whose hand, and how often


def test_the_same_hand_twice_is_refused() -> None:
    shop = Shop(HANDS)
    shop.prove("SECOND")
    assert shop.said(lambda: shop.prove("SECOND", by=" ann  fitter")) == [
        "Refused. SECOND asks for a second hand, and  ann  fitter has passed it already "
        "(entry 2).",
        '  Type:  bedplate prove SECOND pass --by "SECOND HAND"',
    ]
    assert "SECOND has passed by one hand (Ann Fitter) and asks for a second" in (
        shop.in_the_way("proof")
    )
    shop.prove("SECOND", by=BEN)
    assert not [text for text in shop.in_the_way("proof") if text.startswith("SECOND")]


def test_after_a_failure_both_hands_prove_again() -> None:
    shop = Shop(HANDS)
    shop.prove("SECOND")
    shop.prove("SECOND", "fail", by=BEN)
    shop.prove("SECOND", by=BEN)
    assert "SECOND has passed by one hand (Ben Lathe) and asks for a second" in (
        shop.in_the_way("proof")
    )
    shop.prove("SECOND")
    assert not [text for text in shop.in_the_way("proof") if text.startswith("SECOND")]


def test_a_second_look_may_be_by_the_same_hand() -> None:
    shop = Shop(HANDS)
    shop.prove("TWICE")
    assert "TWICE has passed 1 of 2 times" in shop.in_the_way("proof")
    shop.prove("TWICE")
    assert not [text for text in shop.in_the_way("proof") if text.startswith("TWICE")]


def test_the_customer_is_whoever_the_job_names() -> None:
    shop = Shop(HANDS, customer=OWNER)
    assert shop.said(lambda: shop.prove("OWNER", by=ANN)) == [
        "Refused. OWNER asks for the customer (A. Owner), and Ann Fitter works on this job "
        "(entry 1).",
        "  Type:  bedplate prove OWNER pass --by CUSTOMER",
    ]
    shop.prove("OWNER", by="a. owner")


def test_a_customer_without_a_name_is_somebody_who_does_no_work_here() -> None:
    shop = Shop(HANDS)
    shop.prove("TWICE", by=BEN)
    assert shop.said(lambda: shop.prove("OWNER", by=BEN))[0] == (
        "Refused. OWNER asks for the customer, and Ben Lathe works on this job (entry 2)."
    )
    shop.prove("OWNER", "fail", by=OWNER)
    shop.prove("OWNER", by=OWNER)
    assert not [text for text in shop.in_the_way("proof") if text.startswith("OWNER")]


def test_an_owner_who_does_his_own_work_is_the_customer_too() -> None:
    shop = Shop(HANDS, customer=ANN)
    shop.prove("OWNER", by=ANN)


def test_the_command_names_the_hand_that_is_asked_for() -> None:
    shop = Shop(HANDS)
    shop.prove("SECOND")
    typed = {b.what: b.type for b in shop.blockers() if b.kind == "proof"}
    assert typed == {
        "SECOND": 'bedplate prove SECOND pass --by "SECOND HAND"',
        "OWNER": "bedplate prove OWNER pass --by CUSTOMER",
        "TWICE": "bedplate prove TWICE pass",
        "THRICE": "bedplate prove THRICE pass",
    }


def test_a_fit_shown_to_a_second_hand_needs_both_and_the_fit() -> None:
    toml = CRANK.replace('fit = "EFL"', 'fit = "EFL"\nhand = "another"')
    shop = Shop(toml)
    shop.read("EF", "0.12 mm")
    assert "FLOAT has not passed" in shop.in_the_way("proof")
    shop.prove("FLOAT")
    shop.prove("FLOAT", by=BEN)
    assert not [text for text in shop.in_the_way("proof") if text.startswith("FLOAT")]
    shop.strike(2)
    shop.read("EF", "0.32 mm")
    assert "FLOAT has not passed: EFL is out" in shop.in_the_way("proof")


def test_a_held_proof_may_not_be_made() -> None:
    shop = Shop(HANDS)
    n = shop.defer("owner away", "owner", "OWNER")
    assert shop.said(lambda: shop.prove("OWNER", by=OWNER)) == [
        'Refused. OWNER (shown to the owner) may not go on: it waits for "owner away" '
        f"(entry {n}), put off until owner.",
        f"  When that is over:  bedplate settle {n}",
    ]


def test_three_looks_ask_for_three_hands() -> None:
    shop = Shop(HANDS)
    shop.prove("THRICE", by=ANN)
    shop.prove("THRICE", by=BEN)
    assert "THRICE has passed 2 of 3 times" in shop.in_the_way("proof")
    shop.prove("THRICE", by=OWNER)
    assert not [text for text in shop.in_the_way("proof") if text.startswith("THRICE")]


FLOATS = """
unit = "mm"
source = "Invented handbook"
[axes]
shaft = ["ahead", "astern"]
[[component]]
id = "shaft"
positions = "shaft"
[[feature]]
tag = "EF"
of = "shaft"
when = ["C"]
[[fit]]
tag = "END"
stack = "EF"
band = { limits = "0.05..0.15 mm" }
[[fasteners]]
tag = "C"
count = 2
[[proof]]
tag = "FLOAT"
fit = "END"
when = ["C"]
"""


def test_of_two_fits_the_one_that_is_out_is_named_with_what_mends_it() -> None:
    shop = Shop(FLOATS)
    shop.read("EF.ahead", "0.37 mm")
    assert shop.said(lambda: shop.prove("FLOAT")) == [
        "Refused. FLOAT has not passed: END.ahead is out.",
        "  Type:  bedplate remedy END",
    ]


def test_of_two_fits_the_one_not_read_is_named_with_its_reading() -> None:
    shop = Shop(FLOATS)
    shop.read("EF.ahead", "0.10 mm")
    assert shop.said(lambda: shop.prove("FLOAT")) == [
        "Refused. FLOAT has not passed: END.astern was not read.",
        "  Type:  bedplate measure EF.astern VALUE",
    ]
