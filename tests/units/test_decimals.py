"""Exact numbers as text."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.units import decimal_text, root_text, round_up_root, rounded


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("0", "0"),
        ("2", "2"),
        ("-7", "-7"),
        ("5.2", "5.2"),
        ("-1.3", "-1.3"),
        ("100", "100"),
        ("1/8", "0.125"),
        ("0.000000000001", "0.000000000001"),
        ("1/3", "0.333333333333"),
        ("-2/3", "-0.666666666667"),
        ("0.0000000000005", "0"),
        ("0.0000000000015", "0.000000000002"),
        ("-0.0000000000004", "0"),
        ("12345678901234567890.5", "12345678901234567890.5"),
    ],
)
def test_a_value_is_written_plainly(value: str, text: str) -> None:
    assert decimal_text(Fraction(value)) == text


def test_places_can_be_fewer() -> None:
    assert decimal_text(Fraction(2, 3), places=3) == "0.667"
    assert decimal_text(Fraction(5, 2), places=0) == "2"


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        ("3", 1, "3.0"),
        ("0.0625", 3, "0.062"),
        ("0.0635", 3, "0.064"),
        ("-0.04", 1, "0.0"),
        ("-0.05", 1, "0.0"),
        ("-0.06", 1, "-0.1"),
        ("2.5", 0, "2"),
        ("3.5", 0, "4"),
        ("-12.345", 2, "-12.34"),
    ],
)
def test_rounding_is_half_even_and_keeps_zeros(value: str, places: int, text: str) -> None:
    assert rounded(Fraction(value), places) == text


@pytest.mark.parametrize(
    ("square", "text"),
    [
        ("0", "0"),
        ("4", "2"),
        ("9/4", "1.5"),
        ("1/30", "0.182574185835"),
        ("2", "1.41421356237"),
        ("1/10000000000", "0.00001"),
        ("2/10000000000000000000000", "0.0000000000141421356237"),
        ("200000000000000000000000000000000", "14142135623700000"),
        ("100", "10"),
        ("99.9999999999999999999999999999", "10"),
    ],
)
def test_a_root_has_twelve_digits(square: str, text: str) -> None:
    assert root_text(Fraction(square)) == text


def test_a_root_halfway_goes_to_the_even_digit() -> None:
    assert root_text(Fraction("1.5") ** 2, digits=1) == "2"
    assert root_text(Fraction("2.5") ** 2, digits=1) == "2"
    assert root_text(Fraction("0.125") ** 2, digits=2) == "0.12"
    assert root_text(Fraction("0.135") ** 2, digits=2) == "0.14"
    assert root_text(Fraction("0.135") ** 2 - Fraction(1, 10**40), digits=2) == "0.13"


@pytest.mark.parametrize(
    ("square", "places", "text"),
    [
        ("0", 2, "0.00"),
        ("4", 1, "2.0"),
        ("1/30", 2, "0.19"),
        ("1/30", 4, "0.1826"),
        ("1/1000000", 1, "0.1"),
        ("0.0361", 2, "0.19"),
        ("0.03610000000000000000000000001", 2, "0.20"),
        ("2", 0, "2"),
    ],
)
def test_an_uncertainty_is_never_rounded_down(square: str, places: int, text: str) -> None:
    assert round_up_root(Fraction(square), places) == text


def test_there_is_no_root_below_nought() -> None:
    with pytest.raises(ValueError, match="there is no root of -1"):
        root_text(Fraction(-1))
    with pytest.raises(ValueError, match="there is no root of -1"):
        round_up_root(Fraction(-1), 2)
