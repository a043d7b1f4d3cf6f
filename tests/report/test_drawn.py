"""Where values stand on a drawn band."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiny import Tiny

from bedplate.assess.result import Band, FitResult
from bedplate.report.drawn import BEYOND, CLEAR, bar_of
from bedplate.sheet.model import Fit

ONE = """
unit = "thou"
source = "Invented handbook"
[[component]]
id = "body"
[[feature]]
tag = "G"
of = "body"
signed = true
[[fit]]
tag = "GAP"
stack = "G"
kind = "clearance"
band = {{ limits = "{limits}"{more} }}
"""


def gap(value: str, limits: str = "2..4 thou", more: str = "") -> FitResult:
    return Tiny(ONE.format(limits=limits, more=more)).say(f"G {value}").fit("GAP")


def at(value: str, limits: str = "2..4 thou", more: str = "") -> float:
    bar = bar_of(gap(value, limits, more))
    assert bar is not None
    assert bar.now is not None
    return bar.now.at


def test_a_value_in_the_middle_stands_in_the_middle() -> None:
    assert at("3.00thou") == 0.5


@pytest.mark.parametrize(("value", "place"), [("2.00thou", CLEAR), ("4.00thou", 1 - CLEAR)])
def test_a_value_on_a_limit_stands_clear_inside_it(value: str, place: Fraction) -> None:
    assert at(value) == float(place)


def test_a_value_just_outside_stands_clear_outside() -> None:
    assert at("4.01thou") == float(1 + CLEAR)
    assert at("1.99thou") == float(-CLEAR)


def test_a_value_far_outside_is_drawn_just_outside() -> None:
    assert at("400thou") == float(1 + BEYOND)


def test_worn_stands_between_the_limit_and_the_wear_limit() -> None:
    place = at("5.00thou", more=', wear = "..6 thou"')
    assert place == float(1 + BEYOND / 2)
    assert at("6.10thou", more=', wear = "..6 thou"') == float(1 + BEYOND + CLEAR)


def test_a_wear_limit_is_drawn_only_where_it_counts() -> None:
    worn = bar_of(gap("5.00thou", more=', wear = "..6 thou"'))
    fine = bar_of(gap("3.00thou", more=', wear = "..6 thou"'))
    assert worn is not None
    assert fine is not None
    assert (worn.wear_low, worn.wear_high) == (None, "6")
    assert (fine.wear_low, fine.wear_high) == (None, None)


def test_a_band_up_to_a_limit_begins_at_nought() -> None:
    assert at("2.00thou", limits="..8 thou") == 0.25


def test_a_band_from_a_limit_goes_on_beyond_the_value() -> None:
    assert at("3.00thou", limits="2.. thou") == 0.5


def test_a_fit_without_a_band_is_not_drawn() -> None:
    assert (
        bar_of(FitResult(Fit(tag="X", stack="X"), (), "direct", "as left", "no-band", "mm"))
        is None
    )


def test_a_fit_that_waits_is_drawn_without_a_mark() -> None:
    bar = bar_of(Tiny(ONE.format(limits="2..4 thou", more="")).fit("GAP"))
    assert bar is not None
    assert (bar.low, bar.high, bar.now, bar.found) == ("2", "4", None, None)


def test_what_was_found_stands_beside_what_is() -> None:
    now, found = gap("3.00thou"), gap("5.00thou")
    bar = bar_of(now, found)
    assert bar is not None
    assert bar.now is not None
    assert bar.found is not None
    assert (bar.now.letter, bar.found.letter) == ("o", "f")
    assert bar.found.at > 1 > bar.now.at


@settings(max_examples=60)
@given(
    low=st.fractions(-5, 5, max_denominator=1000),
    width=st.fractions(Fraction(1, 1000), 5, max_denominator=1000),
    value=st.fractions(-50, 50, max_denominator=10_000),
    doubt=st.fractions(0, 10, max_denominator=1000),
)
def test_a_mark_never_stands_on_the_wrong_side_of_a_limit(
    low: Fraction, width: Fraction, value: Fraction, doubt: Fraction
) -> None:
    high = low + width
    side = "low" if value < low else ("high" if value > high else None)
    result = FitResult(
        Fit(tag="X", stack="X"), (), "clearance", "as left", "out" if side else "in", "mm", side,
        tightest=value, loosest=value, judged=value, variance=(doubt / 2) ** 2,
        band=Band(low, high, "p. 1", f"{low}..{high} mm"),
    )  # fmt: skip
    bar = bar_of(result)
    assert bar is not None
    assert bar.now is not None
    match side:
        case "low":
            assert bar.now.at <= -float(CLEAR)
        case "high":
            assert bar.now.at >= 1 + float(CLEAR)
        case _:
            assert float(CLEAR) <= bar.now.at <= 1 - float(CLEAR)
    assert bar.now.doubt_start <= bar.now.at <= bar.now.doubt_end
