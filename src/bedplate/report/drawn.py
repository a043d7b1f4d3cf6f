"""Where the values of a fit stand on its drawn band: places only, no shapes.

As on the screen: a mark never covers a limit and never stands on its wrong side, and what is far
outside is drawn just outside; the figure says how far. On which side a value lies is decided on
fractions, only the place within that side is rounded.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.result import FitResult
from bedplate.report.document import Bar, Mark
from bedplate.report.phrases import expanded, wear_limit
from bedplate.report.values import limit_texts
from bedplate.report.verdicts import MARKS

CLEAR = Fraction(4, 100)
"""How far a mark keeps from a limit, in widths of the band."""

BEYOND = Fraction(3, 10)
"""How far outside the band a mark is drawn at most, and how wide the zone of wear is."""

FOUND_LETTER = "f"
"""What stands where the value was found."""


class _Scale(NamedTuple):
    """The band of one result, as a scale from 0 to 1."""

    low: Fraction | None
    high: Fraction | None
    wear_low: Fraction | None
    wear_high: Fraction | None
    start: Fraction
    width: Fraction

    def place(self, value: Fraction) -> Fraction:
        """Return where a value is drawn."""
        if self.high is not None and value > self.high:
            return 1 + self._outside(value - self.high, self.wear_high, self.high)
        if self.low is not None and value < self.low:
            return -self._outside(self.low - value, self.wear_low, self.low)
        return _held((value - self.start) / self.width, CLEAR, 1 - CLEAR)

    def _outside(self, beyond: Fraction, wear: Fraction | None, limit: Fraction) -> Fraction:
        if wear is None:
            return _held(beyond / self.width, CLEAR, BEYOND)
        zone = abs(wear - limit)
        if beyond > zone:
            return BEYOND + CLEAR
        share = beyond / zone if zone else Fraction(1, 2)
        return _held(share * BEYOND, CLEAR, BEYOND - CLEAR)


def bar_of(now: FitResult, found: FitResult | None = None) -> Bar | None:
    """Return the drawing of a fit; None where it has no band.

    Args:
        now: the fit as it stands.
        found: the same as found, where that is another one; it is placed on the band that held
            then.
    """
    low, high = limit_texts(now)
    if low is None and high is None:
        return None
    wear = wear_limit(now)
    return Bar(
        low=low,
        high=high,
        wear_low=wear.text if wear is not None and now.side == "low" else None,
        wear_high=wear.text if wear is not None and now.side == "high" else None,
        now=_mark(now, MARKS.get(now.verdict, "")),
        found=_mark(found, FOUND_LETTER) if found is not None else None,
    )


def _mark(result: FitResult, letter: str) -> Mark | None:
    ends = [end for end in (result.tightest, result.loosest) if end is not None]
    if result.fit.judge == "mean" and result.mean is not None:
        ends = [result.mean]
    if not ends or result.verdict not in MARKS:
        return None
    least, most = min(ends), max(ends)
    doubt = expanded(result) or Fraction(0)
    scale = _scale(result, ends)
    at = {"low": least, "high": most}.get(result.side or "", (least + most) / 2)
    return Mark(
        letter,
        *(float(scale.place(v)) for v in (at, least, most, least - doubt, most + doubt)),
    )


def _scale(result: FitResult, ends: list[Fraction]) -> _Scale:
    band = result.band
    low, high = (band.low, band.high) if band is not None else (None, None)
    start, end = _reach(low, high, ends)
    wear = wear_limit(result)
    at_low, at_high = ((result.side == side) for side in ("low", "high"))
    return _Scale(
        low,
        high,
        wear.value if wear is not None and at_low else None,
        wear.value if wear is not None and at_high else None,
        start,
        end - start if end > start else Fraction(1),
    )


def _reach(
    low: Fraction | None, high: Fraction | None, ends: list[Fraction]
) -> tuple[Fraction, Fraction]:
    """Return the values at both ends of the scale; an open one is chosen so that values fit."""
    inside = list(_inside(low, high, ends))
    if low is not None and high is not None:
        return low, high
    if high is not None:
        least = min(inside, default=Fraction(0))
        return (Fraction(0) if least >= 0 and high > 0 else 2 * least - high), high
    start = low if low is not None else Fraction(0)
    return start, 2 * max(inside, default=start + 1) - start


def _inside(
    low: Fraction | None, high: Fraction | None, ends: list[Fraction]
) -> Iterator[Fraction]:
    for end in ends:
        if (low is None or end >= low) and (high is None or end <= high):
            yield end


def _held(value: Fraction, least: Fraction, most: Fraction) -> Fraction:
    return max(least, min(value, most))
