"""Figures as people see them, and above all: none ever contradicts its verdict."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.report import figures

values = st.fractions(min_value=-1000, max_value=1000, max_denominator=10**9)
limits = st.decimals(-1000, 1000, places=4, allow_nan=False, allow_infinity=False).map(Fraction)


# --- never against the verdict ----------------------------------------------------------------


@given(values, limits, st.integers(0, 6))
def test_a_figure_never_contradicts_its_verdict(
    value: Fraction, limit: Fraction, places: int
) -> None:
    figure = Fraction(figures.shown(value, places, [limit]))
    assert (figure > limit) == (value > limit)
    assert (figure < limit) == (value < limit)


@given(limits, st.integers(1, 30), st.sampled_from([-1, 1]))
def test_however_close_to_the_limit(limit: Fraction, depth: int, way: int) -> None:
    value = limit + way * Fraction(1, 10**depth)
    assert (Fraction(figures.shown(value, 1, [limit])) > limit) == (way > 0)


@pytest.mark.parametrize(
    ("value", "places", "limit", "text"),
    [
        ("4.0003", 1, "4", "4.0003"),
        ("4", 1, "4", "4.0"),
        ("3.96", 1, "4", "3.96"),
        ("4.05", 1, "4.05", "4.05"),
        ("1.9999", 2, "2", "1.9999"),
        ("5.26", 1, "4", "5.3"),
    ],
)
def test_digits_are_added_until_it_does_not(
    value: str, places: int, limit: str, text: str
) -> None:
    assert figures.shown(Fraction(value), places, [None, Fraction(limit)]) == text


def test_a_limit_that_has_no_end_in_decimals_stops_somewhere() -> None:
    assert figures.shown(Fraction(1, 3), 1, [Fraction(1, 3)]).startswith("0.3333")


def test_a_margin_is_never_nought() -> None:
    assert figures.margin(Fraction(-3, 10_000), 1) == "0.0003"
    assert figures.margin(Fraction(-13, 10), 1) == "1.3"


def test_a_deviation_has_sign_and_word() -> None:
    assert figures.deviation(Fraction("-2.1"), 1) == "-2.1 under"
    assert figures.deviation(Fraction("0.04"), 1) == "+0.04 over"


# --- decimals ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("unit", "step", "places"),
    [
        ("thou", Fraction(1, 10), 1),
        ("thou", Fraction(1), 1),
        ("thou", Fraction(1, 20), 2),
        ("in", Fraction(1, 1000), 4),
        ("in", Fraction(1, 10_000), 4),
        ("in", Fraction(1, 100_000), 5),
        ("mm", Fraction(1, 100), 3),
        ("mm", Fraction(254, 100_000), 3),
        ("um", Fraction(1), 0),
        ("um", Fraction(1, 10), 1),
        ("N*m", Fraction(1), 0),
        ("thou", None, 1),
        ("thou", Fraction(0), 1),
    ],
)
def test_decimals_are_those_of_the_finest_reading(
    unit: str, step: Fraction | None, places: int
) -> None:
    assert figures.places_for(unit, step) == places


@given(st.fractions(min_value=0, max_value=100, max_denominator=10**6), st.integers(0, 4))
def test_u_is_never_shown_smaller_than_it_is(square: Fraction, places: int) -> None:
    text = figures.uncertainty(square, places)
    assert Fraction(text) ** 2 >= square
    assert len(text.partition(".")[2]) == places + 1


def test_u_from_typed_digits_alone_says_so() -> None:
    assert figures.uncertainty(Fraction(8, 1000), 1, typed_only=True) == "0.09 (typed digits only)"


# --- units ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("unit", "plain", "drawn"),
    [
        ("um", "um", "µm"),
        ("degC", "degC", "°C"),
        ("lbf*ft", "lbf ft", "lbf ft"),
        ("N*m", "N m", "N m"),
        ("gal_us/min", "US gal/min", "US gal/min"),
        ("kgf/cm^2", "kgf/cm^2", "kgf/cm^2"),
    ],
)
def test_units_read_as_people_write_them(unit: str, plain: str, drawn: str) -> None:
    assert (figures.unit_word(unit), figures.unit_word(unit, draw=True)) == (plain, drawn)


def test_counted_units_have_a_plural() -> None:
    assert figures.amount("1", "turn") == "1 turn"
    assert figures.amount("2", "flat") == "2 flats"
    assert figures.amount("0.5", "degree") == "0.5 degrees"


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        ("2", "4", "2 to 4 thou"),
        (None, "8", "..8 thou"),
        ("2", None, "2.. thou"),
        (None, None, "-"),
    ],
)
def test_limits_are_shown_as_entered(low: str | None, high: str | None, text: str) -> None:
    assert figures.limits_shown(low, high, "thou") == text


@pytest.mark.parametrize(
    ("typed", "value", "text"),
    [
        ("0.7500 in", "0.75", "0.7500 in"),
        (".7503 in", "0.7503", ".7503 in"),
        ("19,057 mm", "19.057", "19,057 mm"),
        ("-0.0002 in", "-0.0002", "-0.0002 in"),
        ("2 N/mm", "2", "2 N/mm"),
        ("3/8 in", "0.375", "3/8 in (0.3750)"),
        ("1-3/8 in", "1.375", "1-3/8 in (1.3750)"),
        ("1 3/8 in", "1.375", "1 3/8 in (1.3750)"),
        ("0.700+0.050 in", "0.75", "0.700+0.050 in (0.7500)"),
        ("+0.0003 in", "1.0003", "+0.0003 in (1.0003)"),
    ],
)
def test_a_reading_is_echoed_as_typed(typed: str, value: str, text: str) -> None:
    assert figures.echoed(typed, Fraction(value), 4) == text


# --- shares, dates ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.998, "99.8 %"),
        (0.9991, "over 99.9 %"),
        (0.999, "99.9 %"),
        (1.0, "over 99.9 %"),
        (0.001, "0.1 %"),
        (0.0009, "under 0.1 %"),
        (0.0, "under 0.1 %"),
        (0.5, "50.0 %"),
        (None, "-"),
    ],
)
def test_a_probability_is_never_wholly_certain(share: float | None, text: str) -> None:
    assert figures.probability(share) == text


def test_capability_is_a_ratio() -> None:
    assert figures.capability(5.477225575053322) == "5.5 to 1"
    assert figures.capability(None) == "-"


@pytest.mark.parametrize(
    ("stamp", "text"),
    [
        ("2025-11-24T15:40:59+01:00", "24 Nov 2025 15:40"),
        ("2025-01-02T05:04:00Z", "2 Jan 2025 05:04"),
        ("2026-03-01", "1 Mar 2026"),
    ],
)
def test_dates_read_the_same_everywhere(stamp: str, text: str) -> None:
    assert figures.date_shown(stamp) == text
