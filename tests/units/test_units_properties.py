"""What holds of every typed value, against plain `Fraction` arithmetic and whole numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from string import printable

import pytest
from hypothesis import assume, event, example, given
from hypothesis import strategies as st

from bedplate.errors import NotUnderstoodError
from bedplate.text import visible
from bedplate.units import (
    convert,
    decimal_text,
    read_duration,
    read_exact,
    read_expansion,
    read_limits,
    read_temperature,
    read_value,
    root_text,
    round_up_root,
    rounded,
)

"""No time limit for one example: the first that converts imports pint."""

INCH = Fraction(254, 10)
POUND = Fraction("0.45359237") * Fraction("9.80665")

# Units that may meet in one sum, and what each is in the first of its family, by hand.
FAMILIES: list[dict[str, Fraction]] = [
    {"in": Fraction(1), "thou": Fraction(1, 1000), "tenth": Fraction(1, 10000)},
    {"mm": Fraction(1), "um": Fraction(1, 1000), "m": Fraction(1000)},
    {"psi": Fraction(1), "bar": Fraction(100000) * (INCH / 1000) ** 2 / POUND},
    {"lbf*ft": Fraction(1), "N*m": 1000 / (12 * POUND * INCH)},
]
LENGTHS = {
    **{unit: size * INCH for unit, size in FAMILIES[0].items()},
    **FAMILIES[1],
}

fractions = st.builds(Fraction, st.integers(-(10**15), 10**15), st.integers(1, 10**9))
squares = st.builds(Fraction, st.integers(0, 10**40), st.integers(1, 10**40))


@dataclass(frozen=True)
class Piece:
    """One figure as a person may type it, and what it is."""

    text: str
    value: Fraction
    step: Fraction


@st.composite
def decimals(draw: st.DrawFn) -> Piece:
    digits = draw(st.text("0123456789", min_size=1, max_size=9))
    places = draw(st.integers(0, len(digits)))
    if places == 0:
        return Piece(digits, Fraction(digits), Fraction(1))
    whole, part = digits[: len(digits) - places], digits[len(digits) - places :]
    text = f"{whole}.{part}"
    return Piece(text, Fraction(Decimal(text)), Fraction(1, 10**places))


@st.composite
def mixed_numbers(draw: st.DrawFn) -> Piece:
    below = draw(st.integers(2, 128))
    above = draw(st.integers(1, below - 1))
    whole = draw(st.integers(0, 99))
    part = Piece(f"{above}/{below}", Fraction(above, below), Fraction(1, below))
    if whole == 0:
        return part
    return replace(part, text=f"{whole} {part.text}", value=whole + part.value)


figures = decimals() | mixed_numbers()


@st.composite
def sums(draw: st.DrawFn) -> tuple[str, str, Fraction, Fraction]:
    """Return a typed sum, the unit of its bare figures, its value and step in that unit."""
    family = draw(st.sampled_from(FAMILIES))
    bare = draw(st.sampled_from(sorted(family)))
    text, total, steps = "", Fraction(0), []
    for number in range(draw(st.integers(1, 4))):
        piece = draw(figures)
        unit = draw(st.sampled_from(["", *sorted(family)]))
        sign = draw(st.sampled_from(["", "+", "-"] if number == 0 else [" + ", " - "]))
        text += f"{sign}{piece.text}{' ' if unit else ''}{unit}"
        factor = family[unit or bare] / family[bare]
        total += (-1 if "-" in sign else 1) * piece.value * factor
        steps.append(piece.step * factor)
    return text, bare, total, min(steps)


@given(sums())
def test_a_sum_is_what_fractions_make_of_it(case: tuple[str, str, Fraction, Fraction]) -> None:
    text, bare, total, step = case
    typed = read_value(text, bare)
    assert typed.low == typed.high
    assert typed.low is not None
    assert convert(typed.low, typed.unit, bare) == total
    assert convert(typed.step, typed.unit, bare) == step
    assert not typed.two_ended
    assert typed.sign == (text[0] if text[0] in "+-" else "")


@given(sums())
def test_what_is_kept_reads_as_it_was_typed(case: tuple[str, str, Fraction, Fraction]) -> None:
    text, bare, _, _ = case
    typed = read_value(text, bare)
    assert read_value(typed.text, bare) == typed
    # Its own units carry it: another unit for bare figures changes nothing.
    assert read_value(typed.text, typed.unit) == typed


@given(
    figures, figures, st.sampled_from(sorted(LENGTHS)), st.sampled_from(["low", "high", "both"])
)
def test_two_ends_are_what_fractions_make_of_them(
    one: Piece, other: Piece, unit: str, given_ends: str
) -> None:
    low, high = sorted((one, other), key=lambda piece: piece.value)
    left = low.text if given_ends != "high" else ""
    right = high.text if given_ends != "low" else ""
    assume(low.value != high.value and not right.startswith("."))
    low_value = low.value if left else None
    high_value = high.value if right else None
    text = f"{left}..{right}"
    typed = read_value(text, unit)
    assert (typed.low, typed.high, typed.unit, typed.step) == (
        low_value,
        high_value,
        unit,
        Fraction(0),
    )
    assert read_value(typed.text, unit) == typed
    assert read_limits(f"{text} {unit}", "in") == (low_value, high_value, unit)


@given(fractions, st.sampled_from(sorted(LENGTHS)), st.sampled_from(sorted(LENGTHS)))
def test_lengths_convert_as_fractions_do(value: Fraction, unit: str, to: str) -> None:
    there = convert(value, unit, to)
    assert there == value * LENGTHS[unit] / LENGTHS[to]
    assert type(there) is Fraction
    assert convert(there, to, unit) == value


@given(fractions, st.sampled_from(["degC", "degF", "K"]), st.sampled_from(["degC", "degF", "K"]))
def test_temperatures_go_there_and_back(value: Fraction, unit: str, to: str) -> None:
    assert convert(convert(value, unit, to), to, unit) == value


@given(fractions, fractions)
def test_inch_and_metric_never_meet_in_one_sum(one: Fraction, other: Fraction) -> None:
    inch, metric = rounded(abs(one), 2)[-12:], rounded(abs(other), 2)[-12:]
    with pytest.raises(NotUnderstoodError, match="mixes inch and metric"):
        read_value(f"{inch} thou + {metric} um", "in")


# ---- any text whatever --------------------------------------------------------------------

READERS: list[Callable[[str], object]] = [
    lambda text: read_value(text, "in"),
    lambda text: read_value(text, "mm", exponent=True),
    lambda text: read_value(text, "degC"),
    lambda text: read_limits(text, "mm"),
    read_exact,
    read_expansion,
    read_temperature,
    read_duration,
]
fragments = st.lists(
    st.sampled_from(
        [
            *"0123456789.,+-/ ",
            *("..", "e-6", "mm", "in", "thou", "tenths", "lbf ft", "psi", "C", "degF", "h", '"'),
            *("\u2212", "\u00a0", "µm", "°", "²", "'", "1/2", "-3/8", " 3/8", "x", "½", "\u0663"),
        ]
    ),
    max_size=9,
).map("".join)
figure_texts = st.from_regex(
    r"[0-9]{1,5}|[0-9]{0,3}[.,][0-9]{1,5}|([1-9][ -])?[1-7]/8", fullmatch=True
)
unit_texts = st.sampled_from(["", "", "", "in", " mm", "MM", " thou", "tenths", "psi", "C", " %"])
joints = st.sampled_from(["", "", "+", "-", " - ", "..", " .. ", "\u2212", " \u2013\u00a0"])
nearly_values = st.lists(
    st.tuples(joints, figure_texts, unit_texts).map("".join), min_size=1, max_size=3
).map("".join)
texts = st.text(max_size=30) | st.text(printable, max_size=12) | fragments | nearly_values


@given(st.sampled_from(READERS), texts)
@example(READERS[0], "1e99999999999999999")
@example(READERS[1], "1e-99999999999999999999999")
@example(READERS[5], "1e999999999")
@example(READERS[0], "\ud800")
def test_any_text_is_read_or_refused(read: Callable[[str], object], text: str) -> None:
    try:
        read(text)
    except NotUnderstoodError as refusal:
        lines = refusal.as_lines()
        assert len(lines) == 2
        assert [visible(line) for line in lines] == lines


@given(nearly_values | texts, st.sampled_from(["in", "mm", "psi", "degC", "N*m", "in^3", "%"]))
def test_whatever_is_read_reads_again_the_same(text: str, unit: str) -> None:
    try:
        typed = read_value(text, unit)
    except NotUnderstoodError:
        event("refused")
        return
    event("read")
    assert read_value(typed.text, unit) == typed
    assert "\u2212" not in typed.text
    assert typed.text == typed.text.strip()
    assert min(typed.text, default="") >= " "


# ---- numbers as text ----------------------------------------------------------------------


@given(fractions, st.integers(0, 15))
def test_rounded_text_is_the_nearest(value: Fraction, places: int) -> None:
    text = rounded(value, places)
    assert abs(Fraction(text) - value) <= Fraction(1, 2 * 10**places)
    assert len(text.partition(".")[2]) == places
    assert text.startswith("-") == (Fraction(text) < 0)
    assert Fraction(decimal_text(value, places)) == Fraction(text)


@given(fractions)
def test_decimal_text_is_exact_where_it_can_be(value: Fraction) -> None:
    text = decimal_text(value)
    ends = (value * 10**12).denominator == 1
    assert (Fraction(text) == value) == ends
    assert not ("." in text and text.endswith(("0", ".")))
    assert "e" not in text.lower()


@given(squares, st.integers(0, 8))
def test_a_root_rounded_up_is_the_least_that_is_not_below(square: Fraction, places: int) -> None:
    root = Fraction(round_up_root(square, places))
    step = Fraction(1, 10**places)
    assert root**2 >= square
    assert root == 0 or (root - step) ** 2 < square


@given(squares, st.integers(1, 20))
def test_a_root_has_its_digits_and_is_the_nearest(square: Fraction, digits: int) -> None:
    text = root_text(square, digits)
    root = Fraction(text)
    if square == 0:
        assert text == "0"
        return
    significant = text.replace(".", "").strip("0")
    assert len(significant) <= digits
    # One unit in the last digit, from the size of the root found by whole numbers alone.
    size = 0
    while Fraction(100) ** size <= square:
        size += 1
    while Fraction(100) ** (size - 1) > square:
        size -= 1
    half = Fraction(10) ** (size - digits) / 2
    assert max(root - half, Fraction(0)) ** 2 <= square <= (root + half) ** 2


@given(st.integers(0, 10**12 - 1), st.integers(-30, 30))
def test_the_root_of_a_square_is_exact(root: int, power: int) -> None:
    value = root * Fraction(10) ** power
    assert Fraction(root_text(value**2)) == value
