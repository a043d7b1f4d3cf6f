"""A second unit in brackets behind a figure: the same exact value in the other system.

It is to the same fineness as the first and never reckoned back from it. Like the first it never
contradicts the verdict: value and limits get digits until they stand as the exact ones do.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.result import FitResult
from bedplate.report import figures
from bedplate.units import convert, factor, round_up_root, rounded, system

OTHER = {"thou": "mm", "tenth": "mm", "in": "mm", "mm": "thou", "um": "thou", "m": "in"}
"""The unit of the other system that stands beside each unit of length."""

MOST_THOU = 100
"""Thou from which on inches are said in their place."""


class Second(NamedTuple):
    """The unit in brackets, and how many decimals figures have in it.

    Attributes:
        unit: a unit of length.
        scale: how many of it one of the first unit is.
        places: decimals of values.
        limit_places: decimals of limits.
    """

    unit: str
    scale: Fraction
    places: int
    limit_places: int

    def value(self, value: Fraction) -> str:
        """Return a value of the first unit as a figure in this one."""
        return rounded(value * self.scale, self.places)

    def limit(self, value: Fraction) -> str:
        """Return a limit of the first unit as a figure in this one."""
        return rounded(value * self.scale, self.limit_places)

    def uncertainty(self, square: Fraction) -> str:
        """Return U, given as U² in the first unit, rounded up to one decimal more."""
        return round_up_root(square * self.scale**2, self.places + 1)

    def apart(self, pairs: Iterable[tuple[Fraction, Fraction]]) -> Second:
        """Return the same with as many decimals as values need not to contradict their limits."""
        found, known = self, tuple(pairs)
        while found.places < figures.MOST_PLACES and any(found._contradicts(*p) for p in known):
            places = found.places + 1
            found = found._replace(places=places, limit_places=max(places, self.limit_places))
        return found

    def _contradicts(self, value: Fraction, limit: Fraction) -> bool:
        """Say whether two figures stand otherwise to each other than the values they are of."""
        shown = Fraction(self.value(value)) - Fraction(self.limit(limit))
        return _sign(shown) != _sign(value - limit)

    def distance(self, value: Fraction) -> str:
        """Return how far something is off, without a sign and never as nought."""
        return figures.margin(value * self.scale, self.places)


@dataclass(frozen=True, slots=True)
class ShownFit(FitResult):
    """A fit whose figures are shown in a second unit too."""

    second: Second | None = None


def second_of(result: FitResult) -> Second | None:
    """Return the second unit of a fit, None where only one is shown."""
    return result.second if isinstance(result, ShownFit) else None


def second_unit(unit: str, show: str, greatest: Fraction) -> str | None:
    """Return the unit that stands in brackets behind another; None behind what is no length.

    Args:
        unit: the first.
        show: the unit that the reader prefers, which holds where it is of the other system.
        greatest: the largest figure that is shown, in the first unit.

    >>> second_unit("thou", "um", Fraction(4)), second_unit("thou", "in", Fraction(4))
    ('um', 'mm')
    >>> second_unit("mm", "as entered", Fraction(50)), second_unit("lbf*ft", "mm", Fraction(17))
    ('in', None)
    """
    if unit not in OTHER:
        return None
    preferred = show in OTHER and system(show) != system(unit)
    found = show if preferred else OTHER[unit]
    if found == "thou" and abs(convert(greatest, unit, "thou")) >= MOST_THOU:
        return "in"
    return found


def as_fine(unit: str, places: int, second: str) -> int:
    """Return the decimals in another unit whose step is nearest, by its ratio.

    >>> as_fine("thou", 1, "mm"), as_fine("mm", 3, "thou")
    (3, 1)
    """
    step = convert(Fraction(1, 10**places), unit, second)
    found = figures.LEAST_PLACES.get(second, 0)
    while 10 * step**2 * 100**found < 1 and found < figures.MOST_PLACES:
        found += 1
    return found


def second_for(
    unit: str,
    show: str,
    greatest: Fraction,
    places: int,
    limit_places: int = 0,
    apart: Iterable[tuple[Fraction, Fraction]] = (),
) -> Second | None:
    """Return the second unit of some figures; None behind what is no length.

    Args:
        unit: the first.
        show: as for `second_unit`.
        greatest: as for `second_unit`.
        places: decimals of values in the first unit.
        limit_places: decimals of limits in the first unit, as entered.
        apart: values and the limits that they were held against, exact, in the first unit.
    """
    name = second_unit(unit, show, greatest)
    if name is None:
        return None
    least = as_fine(unit, places, name)
    limits = max(least, as_fine(unit, limit_places, name))
    return Second(name, factor(unit, name), least, limits).apart(apart)


def _sign(value: Fraction) -> int:
    return (value > 0) - (value < 0)


def beside(first: str, second: Second | None, text: str, *, draw: bool = False) -> str:
    """Return a text with its second figure and unit in brackets, where there is one.

    >>> beside("3.0 thou", second_for("thou", "", Fraction(3), 1), "0.076")
    '3.0 thou (0.076 mm)'
    """
    if second is None:
        return first
    return f"{first} ({figures.amount(text, second.unit, draw=draw)})"
