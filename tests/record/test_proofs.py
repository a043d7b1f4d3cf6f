"""Proofs made and steps done, position by position."""

from __future__ import annotations

from sheets import CRANK
from shop import Shop

from bedplate.record.entries import Proof, Step
from bedplate.record.proofs import Made


def test_proofs_are_kept_in_order_by_position() -> None:
    shop = Shop(CRANK)
    shop.keep(Proof(proof="TURN", passed=True))
    shop.keep(Proof(proof="turn.2", passed=False))
    shop.keep(Proof(proof="TURN.9", passed=True))
    made = Made.of(shop.job)
    assert [entry.n for entry in made.proof("TURN", ("1",))] == [2]
    assert [entry.passed for entry in made.proof("TURN", ("2",))] == [True, False]
    assert made.proof("FLOAT", ()) == []


def test_the_last_word_on_a_step_counts() -> None:
    shop = Shop(CRANK)
    shop.keep(Step(step="rods", done=True))
    shop.keep(Step(step="rods.2", done=False))
    made = Made.of(shop.job)
    done = made.done("rods", ("1",))
    assert done is not None
    assert done.n == 2
    assert made.done("rods", ("2",)) is None
    assert made.steps["rods", ("2",)].n == 3
    assert made.done("crank-in", ()) is None
