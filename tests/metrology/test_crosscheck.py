from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from bedplate.metrology.crosscheck import Agreement, compare
from bedplate.metrology.error import Draw, Estimate

F = Fraction
COMMON, OWN, WIDTH = (
    Draw("max_error", ("mic",)),
    Draw("repeatability", (1,)),
    Draw("width", (2,)),
)
SQUARES = {COMMON: F(100), OWN: F(4), WIDTH: F(3)}


def mean(low: str, high: str | None = None, **counts: str) -> Estimate:
    named = {"common": COMMON, "own": OWN, "width": WIDTH}
    draws = {named[name]: F(count) for name, count in counts.items()}
    return Estimate(F(low), F(high or low), draws, SQUARES)


def test_what_both_ways_rest_on_drops_out() -> None:
    agreement = compare(mean("10", common="1", own="1"), mean("7", common="1"))
    assert agreement == Agreement(F(3), F(4))
    assert agreement.e_n == Decimal("0.75")
    assert not agreement.disagree


@pytest.mark.parametrize(
    ("other", "disagree"), [("6", False), ("5.999", True), ("14", False), ("14.001", True)]
)
def test_beyond_u_of_the_difference_they_disagree(other: str, *, disagree: bool) -> None:
    agreement = compare(mean("10", own="1"), mean(other))
    assert agreement is not None
    assert agreement.disagree is disagree


def test_a_bracket_counts_by_its_middle_and_as_a_rectangle() -> None:
    agreement = compare(mean("10", own="1"), mean("6", "8", width="2"))
    assert agreement == Agreement(F(3), F(4 + 12))
    assert agreement.e_n == Decimal("0.375")


def test_without_uncertainty_equals_agree_and_others_do_not() -> None:
    same, apart = compare(mean("3"), mean("3")), compare(mean("3"), mean("4"))
    assert same is not None
    assert (same.e_n, same.disagree) == (Decimal(0), False)
    assert apart is not None
    assert (apart.e_n, apart.disagree) == (None, True)


def test_an_open_end_cannot_be_compared() -> None:
    up_to = Estimate(None, F(3), {}, {})
    assert compare(up_to, mean("3")) is None
    assert compare(mean("3"), up_to) is None
