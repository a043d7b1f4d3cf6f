"""A second unit in brackets: to the same fineness, and never against the verdict."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.report.second import Second, as_fine, beside, second_for, second_unit
from bedplate.units import convert


def second(unit: str, value: str, places: int, show: str = "") -> Second:
    found = second_for(unit, show, Fraction(value), places)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("value", "unit", "places", "text"),
    [
        ("3", "thou", 1, "3 thou (0.076 mm)"),
        ("3.2", "tenth", 1, "3.2 tenths (0.0081 mm)"),
        ("0.0030", "in", 4, "0.0030 in (0.076 mm)"),
        ("0.076", "mm", 3, "0.076 mm (3.0 thou)"),
        ("0.08", "mm", 2, "0.08 mm (3.1 thou)"),
        ("47.490", "mm", 3, "47.490 mm (1.8697 in)"),
        ("2.54", "mm", 2, "2.54 mm (0.1000 in)"),
        ("2.53", "mm", 2, "2.53 mm (99.6 thou)"),
        ("76", "um", 0, "76 um (3.0 thou)"),
        ("0.0005", "m", 4, "0.0005 m (0.0197 in)"),
    ],
)
def test_a_length_is_shown_to_the_same_fineness(
    value: str, unit: str, places: int, text: str
) -> None:
    found = second(unit, value, places)
    word = "tenths" if unit == "tenth" else unit
    assert beside(f"{value} {word}", found, found.value(Fraction(value))) == text


@pytest.mark.parametrize("unit", ["lbf*ft", "degree", "kPa", "g"])
def test_what_is_no_length_has_one_unit(unit: str) -> None:
    assert second_for(unit, "mm", Fraction(17), 0) is None
    assert beside("17 lbf ft", None, "") == "17 lbf ft"


@pytest.mark.parametrize(
    ("unit", "show", "greatest", "found"),
    [
        ("thou", "as entered", "4", "mm"),
        ("thou", "mm", "4", "mm"),
        ("thou", "um", "4", "um"),
        ("in", "um", "2", "um"),
        ("thou", "in", "4", "mm"),
        ("thou", "thou", "4", "mm"),
        ("mm", "thou", "0.1", "thou"),
        ("mm", "in", "0.1", "in"),
        ("mm", "mm", "0.1", "thou"),
        ("um", "in", "80", "in"),
        ("mm", "thou", "-50", "in"),
    ],
)
def test_the_second_unit_is_of_the_other_system_and_the_one_preferred_there(
    unit: str, show: str, greatest: str, found: str
) -> None:
    assert second_unit(unit, show, Fraction(greatest)) == found


def test_limits_keep_the_fineness_they_were_entered_with() -> None:
    found = second_for("thou", "", Fraction(4), 1, limit_places=2)
    assert found is not None
    assert (found.value(Fraction(3)), found.limit(Fraction("2.05"))) == ("0.076", "0.0521")


def test_a_value_beyond_a_limit_is_never_shown_as_the_limit() -> None:
    value, limit = Fraction("4.0003"), Fraction(4)
    found = second_for("thou", "", value, 1, apart=[(value, limit)])
    assert found is not None
    assert (found.value(value), found.limit(limit)) == ("0.10161", "0.10160")


def test_a_value_on_a_limit_is_shown_as_the_limit() -> None:
    found = second_for("mm", "", Fraction("0.076"), 3, 5, [(Fraction("0.076"), Fraction("0.076"))])
    assert found is not None
    assert found.value(Fraction("0.076")) == found.limit(Fraction("0.076")) == "2.992"


def test_how_far_it_is_off_is_never_nought() -> None:
    assert second("thou", "3", 1).distance(Fraction(-3, 10_000)) == "0.00001"


lengths = st.fractions(min_value=-100, max_value=100, max_denominator=10**7)
units = st.sampled_from(["thou", "in", "mm", "um", "tenth"])


@given(lengths, lengths, units, st.integers(0, 4), st.integers(0, 4))
def test_value_and_limit_stand_as_the_exact_ones_do(
    value: Fraction, limit: Fraction, unit: str, places: int, limit_places: int
) -> None:
    found = second_for(unit, "", value, places, limit_places, [(value, limit)])
    assert found is not None
    shown, held = Fraction(found.value(value)), Fraction(found.limit(limit))
    assert (shown > held, shown == held) == (value > limit, value == limit)


@given(lengths, units, st.integers(0, 4), st.sampled_from(["", "um", "in"]))
def test_it_comes_from_the_exact_value(value: Fraction, unit: str, places: int, show: str) -> None:
    found = second_for(unit, show, value, places)
    assert found is not None
    off = Fraction(found.value(value)) - convert(value, unit, found.unit)
    assert abs(off) <= Fraction(1, 2 * 10**found.places)


@given(st.fractions(min_value=0, max_value=100, max_denominator=10**6), units)
def test_u_is_never_shown_smaller_than_it_is(square: Fraction, unit: str) -> None:
    found = second(unit, "3", 1)
    assert Fraction(found.uncertainty(square)) ** 2 >= square * found.scale**2


@given(units, st.integers(0, 5), st.sampled_from(["thou", "in", "mm", "um"]))
def test_the_steps_are_within_half_a_decade_where_decimals_allow(
    unit: str, places: int, other: str
) -> None:
    step = convert(Fraction(1, 10**places), unit, other)
    shown = Fraction(1, 10 ** as_fine(unit, places, other))
    assert shown**2 <= 10 * step**2
