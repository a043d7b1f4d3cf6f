"""The band line: a limit, a bar, a limit, and where the value stands.

``2 |--------=o=---------| 4`` — the mark is where the value is, ``=`` spans plus and minus U
around it, ``f`` is what was found. A mark never covers a limit and never stands on its wrong
side, whatever the rounding to cells; far outside is drawn just outside, and the figure says how
far. There is no axis and no scale.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from bedplate.report.verdicts import MARKS

WEAR_CELLS = 5
"""Cells between a limit and the wear limit beyond it."""

LINES = str.maketrans({"-": "─", "=": "═"})


class Limit(NamedTuple):
    """One limit: the text as entered, and its exact value in the unit of the fit."""

    text: str
    value: Fraction


@dataclass(slots=True)
class _Drawing:
    """A band line in the making."""

    low: Limit | None
    high: Limit | None
    start: Fraction
    end: Fraction
    bar: list[str]
    wear: Limit | None = None
    zone: list[str] = field(default_factory=list)
    zone_side: str | None = None
    below: list[str] = field(default_factory=list)
    above: list[str] = field(default_factory=list)

    def at(self, value: Fraction) -> Fraction:
        """Return where a value stands, in cells from the start of the bar."""
        return (value - self.start) / (self.end - self.start) * len(self.bar)

    def cell(self, value: Fraction) -> int:
        """Return the cell of a value inside; one on the border of two takes the lower."""
        return _held(-(-self.at(value) // 1) - 1, len(self.bar))

    def span(self, first: int, last: int) -> None:
        for cell in range(max(first, 0), min(last + 1, len(self.bar))):
            self.bar[cell] = "="

    def beyond(self, value: Fraction) -> str | None:
        """Return the side on which a value lies outside the limits, None inside."""
        if self.low is not None and value < self.low.value:
            return "low"
        return "high" if self.high is not None and value > self.high.value else None

    def text(self, *, draw: bool) -> str:
        left, right = ("├", "┤") if draw else ("|", "|")
        bar = "".join(self.bar)
        core = (
            f"{f'{self.low.text} {left}' if self.low else '('}"
            f"{bar.translate(LINES) if draw else bar}"
            f"{f'{right} {self.high.text}' if self.high else ')'}"
        )
        if self.zone_side == "high" and self.wear:
            core = f"{core} {''.join(self.zone)}) {self.wear.text}"
        elif self.zone_side == "low" and self.wear:
            core = f"{self.wear.text} ({''.join(self.zone)} {core}"
        below = f"{''.join(self.below)}  " if self.below else ""
        above = f"  {''.join(self.above)}" if self.above else ""
        return f"{below}{core}{above}"


def band_line(  # noqa: PLR0913, PLR0917 - a drawing has this many parts
    low: Limit | None,
    high: Limit | None,
    tightest: Fraction | None,
    loosest: Fraction | None,
    expanded: Fraction | None,
    verdict: str,
    side: str | None,
    cells: int,
    *,
    draw: bool = False,
    as_found: Fraction | None = None,
    wear: Limit | None = None,
) -> str:
    """Return the band line of one fit, or "" where there is nothing to draw.

    Args:
        low: the low limit, None where there is none.
        high: the high limit.
        tightest: one end of the value; None where that end is open.
        loosest: the other.
        expanded: U; it is only drawn, so a rounded one will do.
        verdict: it was given.
        side: the limit that decided, ``low`` or ``high``.
        cells: inside the bar (`Screen.cells`); 0 draws nothing.
        draw: with line drawing characters.
        as_found: the value as it was found, where it is another one.
        wear: the wear limit on the deciding side.
    """
    ends = [end for end in (tightest, loosest) if end is not None]
    if verdict not in MARKS or cells == 0 or not ends or (low is None and high is None):
        return ""
    value = {"low": min(ends), "high": max(ends)}.get(side or "", (min(ends) + max(ends)) / 2)
    inside = verdict in {"in", "in-close"}
    start, end = _scale(low, high, value if inside else None)
    drawing = _Drawing(low, high, start, end, ["-"] * cells)
    if inside:
        _mark_inside(drawing, value, expanded or Fraction(0), verdict, side)
    else:
        _mark_outside(drawing, value, expanded or Fraction(0), verdict, side or "high", wear)
    if as_found is not None:
        _mark_found(drawing, as_found)
    return drawing.text(draw=draw)


def _held(cell: Fraction | int, cells: int) -> int:
    return max(0, min(int(cell), cells - 1))


def _scale(
    low: Limit | None, high: Limit | None, value: Fraction | None
) -> tuple[Fraction, Fraction]:
    """Return the values at the two ends of the bar.

    Where one limit is missing, a bar up to a high limit begins at nought, as clearances do;
    elsewhere the value stands in the middle, since nothing says how far the bar goes on.
    """
    if low is not None and high is not None:
        start, end = low.value, high.value
    elif high is not None:
        end = high.value
        from_nought = end > 0 and (value is None or value >= 0)
        start = Fraction(0) if from_nought else 2 * (end if value is None else value) - end
    elif low is not None:
        start = low.value
        end = start if value is None else 2 * value - start
    if start < end:
        return start, end
    return (start - 1, start) if high is not None and low is None else (start, start + 1)


def _mark_inside(
    drawing: _Drawing, value: Fraction, expanded: Fraction, verdict: str, side: str | None
) -> None:
    cells = len(drawing.bar)
    cell = drawing.cell(value)
    if expanded > 0:
        first = int(drawing.at(value - expanded) // 1)
        last = int(-(-drawing.at(value + expanded) // 1)) - 1
        drawing.span(min(first, cell - 1), max(last, cell + 1))
        if verdict == "in-close":
            if drawing.low and (side == "low" or value - expanded < drawing.low.value):
                drawing.below.append("=")
            if drawing.high and (side == "high" or value + expanded > drawing.high.value):
                drawing.above.append("=")
    drawing.bar[_held(cell, cells)] = MARKS[verdict]


def _mark_outside(
    drawing: _Drawing,
    value: Fraction,
    expanded: Fraction,
    verdict: str,
    side: str,
    wear: Limit | None,
) -> None:
    limit = drawing.high if side == "high" else drawing.low
    outer = drawing.above if side == "high" else drawing.below
    if limit is not None and wear is not None:
        drawing.wear, drawing.zone_side = wear, side
        drawing.zone = ["~"] * WEAR_CELLS
        if _within(value, limit.value, wear.value):
            drawing.zone[_zone_cell(value, limit.value, wear.value)] = MARKS[verdict]
            return
    elif verdict == "out-close":
        _reach_in(drawing, value, expanded, side)
    outer.append(MARKS[verdict])


def _reach_in(drawing: _Drawing, value: Fraction, expanded: Fraction, side: str) -> None:
    """Draw how far U reaches back into the band: one cell at least, since it does."""
    cells = len(drawing.bar)
    if side == "high":
        drawing.span(min(int(drawing.at(value - expanded) // 1), cells - 1), cells - 1)
    else:
        drawing.span(0, max(int(-(-drawing.at(value + expanded) // 1)) - 1, 0))


def _within(value: Fraction, limit: Fraction, wear: Fraction) -> bool:
    return min(limit, wear) <= value <= max(limit, wear)


def _zone_cell(value: Fraction, limit: Fraction, wear: Fraction) -> int:
    least, most = min(limit, wear), max(limit, wear)
    if least == most:
        return WEAR_CELLS // 2
    return _held(-(-((value - least) / (most - least) * WEAR_CELLS) // 1) - 1, WEAR_CELLS)


def _mark_found(drawing: _Drawing, value: Fraction) -> None:
    """Put an ``f`` where the value was found; the mark of now is never covered."""
    marks = set(MARKS.values())
    side = drawing.beyond(value)
    if side is None:
        row, cell = drawing.bar, drawing.cell(value)
    elif (
        side == drawing.zone_side
        and drawing.wear
        and _within(value, _limit(drawing, side), drawing.wear.value)
    ):
        row, cell = drawing.zone, _zone_cell(value, _limit(drawing, side), drawing.wear.value)
    else:
        (drawing.above if side == "high" else drawing.below).append("f")
        return
    if row[cell] not in marks:
        row[cell] = "f"


def _limit(drawing: _Drawing, side: str) -> Fraction:
    limit = drawing.high if side == "high" else drawing.low
    if limit is None:
        raise ValueError(f"no {side} limit to be beyond of")
    return limit.value
