from __future__ import annotations

import math
from fractions import Fraction
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.chance import Reach, probability_between, signed_square

F = Fraction
ONE = F(1)


def z(size: str) -> list[Reach]:
    return [(F(size), ONE)]


def test_the_sign_of_a_distance_is_kept_in_its_square() -> None:
    assert signed_square(F(3), F(9, 4)) == 4
    assert signed_square(F(-3), F(9, 4)) == -4
    assert signed_square(F(0), F(1)) == 0


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        ([], [], 1.0),
        (z("0"), [], 0.5),
        ([], z("0"), 0.5),
        (z("0"), z("0"), 0.0),
        (z("2"), [], 0.977249868051821),
        (z("2"), z("2"), 0.954499736103642),
        (z("-1"), z("3"), 0.157305355899827),
        (z("3"), z("-1"), 0.157305355899827),
        (z("-1"), z("-1"), 0.0),
    ],
)
def test_the_probability_of_a_band(low: list[Reach], high: list[Reach], expected: float) -> None:
    assert math.isclose(probability_between(low, high), expected, abs_tol=1e-15)


def test_far_outside_the_tail_is_small_and_not_lost() -> None:
    # Q(10) and Q(20), from tables of the normal integral
    assert math.isclose(
        probability_between(z("-10"), z("50")), 7.61985302416053e-24, rel_tol=1e-12
    )
    assert math.isclose(
        probability_between(z("90"), z("-20")), 2.75362411860624e-89, rel_tol=1e-12
    )


def test_absurdly_far_is_nought_or_one_without_overflow() -> None:
    far = [(F(10) ** 400, F(1, 10**400))]
    beyond = [(-(F(10) ** 400), F(1, 10**400))]
    assert probability_between(far, far) == 1.0
    assert probability_between(beyond, far) == 0.0


def test_the_least_z_on_a_side_counts() -> None:
    several = [(F(9), ONE), (F(2), ONE), (F(8), F(1, 4)), (F(2), F(1, 100))]
    assert probability_between(several, []) == probability_between(z("2"), [])


def test_without_uncertainty_it_is_in_the_band_or_not() -> None:
    assert probability_between([(F(0), F(0))], [(F(1), F(0))]) == 1.0
    assert probability_between([(F(-1), F(0))], [(F(3), F(0))]) == 0.0
    assert probability_between([(F(1), F(0))], [(F(-1, 10**9), F(0))]) == 0.0


def test_a_figure_without_uncertainty_and_inside_leaves_the_others_to_count() -> None:
    assert probability_between([(F(1), F(0)), *z("2")], []) == probability_between(z("2"), [])
    assert probability_between([*z("2"), (F(-1), F(0))], []) == 0.0


@given(
    low=st.integers(-8_000, 8_000),
    high=st.integers(-8_000, 8_000),
)
def test_it_agrees_with_the_difference_of_two_integrals(low: int, high: int) -> None:
    normal = NormalDist()
    found = probability_between([(F(low, 1000), ONE)], [(F(high, 1000), ONE)])
    expected = max(0.0, normal.cdf(high / 1000) - normal.cdf(-low / 1000))
    assert 0.0 <= found <= 1.0
    assert math.isclose(found, expected, abs_tol=1e-12)
