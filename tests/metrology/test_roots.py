from __future__ import annotations

from decimal import Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.roots import exact_root, root, root_above

SQUARES = st.fractions(min_value=0, max_value=10**6, max_denominator=10**9)


@pytest.mark.parametrize(
    ("square", "text"),
    [
        (Fraction(0), "0"),
        (Fraction(4), "2"),
        (Fraction(10**8), "10000"),
        (Fraction(9, 16), "0.75"),
        (Fraction(1, 9), "0.333333333333"),
        (Fraction(4, 9), "0.666666666667"),
        (Fraction(1, 30), "0.182574185835"),
        (Fraction(1, 3 * 10**9), "0.0000182574185835"),
        (Fraction(2 * 10**20), "14142135623.7"),
        (Fraction(3 * 10**30), "1732050807570000"),
    ],
)
def test_a_root_is_shown_to_twelve_digits_without_idle_zeros(square: Fraction, text: str) -> None:
    assert format(root(square), "f") == text


def test_a_root_half_way_between_two_goes_to_the_even_one() -> None:
    assert root(Fraction("1.00000000005") ** 2, 11) == Decimal(1)
    assert root(Fraction("1.00000000015") ** 2, 11) == Decimal("1.0000000002")


def test_the_context_of_the_caller_does_not_matter() -> None:
    with localcontext() as context:
        context.prec = 3
        assert root(Fraction(1, 30)) == Decimal("0.182574185835")


def test_there_is_no_root_below_nought() -> None:
    with pytest.raises(ValueError, match="no root of -1"):
        root(Fraction(-1))


@given(figure=st.fractions(min_value=0, max_value=1000, max_denominator=1000))
def test_the_root_of_a_square_is_found_exactly(figure: Fraction) -> None:
    assert exact_root(figure**2) == figure
    assert exact_root(2 * figure**2) == (0 if figure == 0 else None)


@given(square=SQUARES)
def test_a_shown_root_is_right_in_its_last_digit(square: Fraction) -> None:
    shown = root(square)
    half = Fraction(Decimal((0, (5,), int(shown.adjusted()) - 12))) if shown else Fraction(0)
    assert max(Fraction(shown) - half, Fraction(0)) ** 2 <= square <= (Fraction(shown) + half) ** 2


@given(square=SQUARES, grain=st.fractions(min_value=Fraction(1, 10**6), max_value=10))
def test_a_root_rounded_up_is_the_least_step_not_below(square: Fraction, grain: Fraction) -> None:
    found = root_above(square, grain)
    assert (found / grain).denominator == 1
    assert found**2 >= square
    assert found == 0 or (found - grain) ** 2 < square
