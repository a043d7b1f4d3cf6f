"""Band lines: the examples of the design, and the rules for whatever values there are."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bedplate.report.bands import Limit, band_line
from bedplate.report.verdicts import MARKS


def limit(text: str | None) -> Limit | None:
    """Return a limit from its text."""
    return None if text is None else Limit(text, Fraction(text))


def line(
    low: str | None,
    high: str | None,
    value: str,
    u: str,
    verdict: str,
    side: str | None = None,
    cells: int = 20,
    **more: object,
) -> str:
    """Draw one value, or two ends joined by a blank."""
    ends = [Fraction(end) for end in value.split()]
    return band_line(
        limit(low), limit(high), ends[0], ends[-1], Fraction(u), verdict, side, cells,
        **more,  # type: ignore[arg-type]
    )  # fmt: skip


@pytest.mark.parametrize(
    ("value", "u", "verdict", "side", "drawn"),
    [
        ("2.9 3.1", "0.19", "in", None, "2 |--------=o==--------| 4"),
        ("3.0", "0.09", "in", None, "2 |--------=o=---------| 4"),
        ("3.0", "0", "in", None, "2 |---------o----------| 4"),
        ("3.8 3.95", "0.19", "in-close", "high", "2 |-----------------==?| 4  ="),
        ("2.05 2.5", "0.09", "in-close", "low", "=  2 |?=------------------| 4"),
        ("2", "0.05", "in-close", "low", "=  2 |?=------------------| 4"),
        ("4", "0.05", "in-close", "high", "2 |------------------=?| 4  ="),
        ("5.1 5.3", "0.19", "out", "high", "2 |--------------------| 4  X"),
        ("1.1 5.3", "0.19", "out", "low", "X  2 |--------------------| 4"),
        ("4.1", "0.3", "out-close", "high", "2 |------------------==| 4  ?"),
        ("1.9", "0.15", "out-close", "low", "?  2 |=-------------------| 4"),
    ],
)
def test_a_value_in_a_band_of_two_limits(
    value: str, u: str, verdict: str, side: str | None, drawn: str
) -> None:
    assert line("2", "4", value, u, verdict, side) == drawn


@pytest.mark.parametrize(
    ("value", "u", "verdict", "side", "wear", "drawn"),
    [
        ("5", "0.09", "serviceable", "high", "6", "2 |--------------------| 4 ~~w~~) 6"),
        ("6", "0", "serviceable", "high", "6", "2 |--------------------| 4 ~~~~w) 6"),
        ("4.001", "0", "serviceable", "high", "6", "2 |--------------------| 4 w~~~~) 6"),
        ("5.99", "0.1", "out-close", "high", "6", "2 |--------------------| 4 ~~~~?) 6"),
        ("6.01", "0.1", "out-close", "high", "6", "2 |--------------------| 4 ~~~~~) 6  ?"),
        ("9", "0.1", "out", "high", "6", "2 |--------------------| 4 ~~~~~) 6  X"),
        ("1.5", "0.09", "serviceable", "low", "1", "1 (~~w~~ 2 |--------------------| 4"),
        ("0.5", "0.09", "out", "low", "1", "X  1 (~~~~~ 2 |--------------------| 4"),
    ],
)
def test_a_worn_part_stands_between_limit_and_wear_limit(
    value: str, u: str, verdict: str, side: str, wear: str, drawn: str
) -> None:
    assert line("2", "4", value, u, verdict, side, wear=limit(wear)) == drawn


@pytest.mark.parametrize(
    ("found", "drawn"),
    [
        ("5", "2 |--------=o=---------| 4  f"),
        ("1", "f  2 |--------=o=---------| 4"),
        ("2.55", "2 |-----f--=o=---------| 4"),
        ("3.1", "2 |--------=of---------| 4"),
        ("3", "2 |--------=o=---------| 4"),
    ],
)
def test_what_was_found_is_marked_and_never_covers_what_is(found: str, drawn: str) -> None:
    assert line("2", "4", "3", "0.09", "in", as_found=Fraction(found)) == drawn


def test_what_was_found_may_lie_in_the_wear_zone() -> None:
    assert line("2", "4", "7", "0", "out", "high", wear=limit("6"), as_found=Fraction(5)) == (
        "2 |--------------------| 4 ~~f~~) 6  X"
    )
    assert line("2", "4", "7", "0", "out", "high", wear=limit("6"), as_found=Fraction(8)) == (
        "2 |--------------------| 4 ~~~~~) 6  Xf"
    )


@pytest.mark.parametrize(
    ("low", "high", "value", "verdict", "side", "drawn"),
    [
        (None, "8", "4", "in", None, "(----=o=-----| 8"),
        (None, "8", "9", "out", "high", "(------------| 8  X"),
        (None, "8", "-1", "in", None, "(----=o=-----| 8"),
        (None, "-8", "-9", "in", None, "(----=o==----| -8"),
        ("8", None, "9", "in", None, "8 |----=o==----)"),
        ("8", None, "8", "in-close", "low", "=  8 |?===--------)"),
        ("8", None, "7", "out", "low", "X  8 |------------)"),
    ],
)
def test_a_missing_limit_has_a_round_bracket(
    low: str | None, high: str | None, value: str, verdict: str, side: str | None, drawn: str
) -> None:
    assert line(low, high, value, "0.3", verdict, side, 12) == drawn


def test_line_drawing_differs_in_the_line_alone() -> None:
    drawn = line("-2", "4", "3", "0.3", "in", draw=True, as_found=Fraction(5))
    assert drawn == line("-2", "4", "3", "0.3", "in", as_found=Fraction(5)).replace(
        "|", "├", 1
    ).replace("|", "┤").replace("-", "─").replace("=", "═").replace("─2", "-2")


@pytest.mark.parametrize(
    ("verdict", "cells", "low", "value"),
    [("in", 0, "2", "3"), ("no-band", 20, None, "3"), ("unmeasured", 20, "2", "3")],
)
def test_there_may_be_nothing_to_draw(
    verdict: str, cells: int, low: str | None, value: str
) -> None:
    high = None if low is None else "4"
    assert line(low, high, value, "0", verdict, None, cells) == ""


def test_a_value_open_at_one_end_stands_at_the_other() -> None:
    assert band_line(limit("1"), limit("2"), None, Fraction("1.5"), None, "in", None, 10) == (
        "1 |----o-----| 2"
    )
    assert band_line(limit("1"), limit("2"), None, None, None, "in", None, 10) == ""


def test_a_band_of_no_width_can_be_drawn() -> None:
    assert line("3", "3", "3", "0", "in", None, 5) == "3 |o----| 3"


figures = st.fractions(min_value=-100, max_value=100, max_denominator=10_000)


@given(figures, figures, figures, st.fractions(0, 50, max_denominator=1000),
       st.sampled_from([12, 20]))  # fmt: skip
def test_no_mark_covers_a_limit_or_stands_on_its_wrong_side(
    low: Fraction, high: Fraction, value: Fraction, u: Fraction, cells: int
) -> None:
    assume(low < high)
    verdict, side = judged(low, high, value, u)
    drawn = band_line(
        Limit("LOW", low), Limit("HIGH", high), value, value, u, verdict, side, cells
    )
    below, rest = drawn.split("LOW |")
    bar, above = rest.split("| HIGH")
    mark = MARKS[verdict]
    assert len(bar) == cells
    assert (mark in below) == (value < low)
    assert (mark in bar) == (low <= value <= high)
    assert (mark in above) == (value > high)
    assert (below + bar + above).count(mark) == 1
    if verdict == "in-close":
        assert "=" in (below if side == "low" else above)
    if verdict in {"in", "out"}:
        assert "=" not in below + above


def judged(low: Fraction, high: Fraction, value: Fraction, u: Fraction) -> tuple[str, str | None]:
    """Judge one value by two limits, as the engine does (U = 2u)."""
    distance, side = min((value - low, "low"), (high - value, "high"))
    if distance >= 0:
        return ("in", None) if distance >= u else ("in-close", side)
    return ("out" if -distance > u else "out-close"), side
