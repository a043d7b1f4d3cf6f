"""Spreads: the range of a feature along one axis, line by line.

Out-of-round, taper, runout, thickness variation, weight within a set: max − min of the readings
along an axis, each setting of the other axes a line of its own. A position axis that is not
swept along makes rows, as in a stack; a station axis makes lines of one row.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape, Spot
from bedplate.metrology.error import Estimate, combine
from bedplate.text import listed, near_or_list, quoted

LEAST_STATIONS = 2
"""How many readings a line needs."""


class Line(NamedTuple):
    """One run of addresses along the axis, at one setting of the other station axes.

    Attributes:
        spots: the addresses, those left out by name already gone.
        station: the name on each other station axis, for display.
    """

    spots: tuple[Spot, ...]
    station: tuple[str, ...] = ()


class LineRow(NamedTuple):
    """What is judged by itself: one setting of the position axes not swept along.

    Attributes:
        position: the name on each free position axis.
        axes: the names of those axes.
        lines: every line there; the worst counts.
    """

    position: tuple[str, ...]
    axes: tuple[str, ...]
    lines: tuple[Line, ...]


def spread_rows(shape: Shape, along: str, leave: Collection[str] = ()) -> list[LineRow]:
    """Return the lines of a spread, row by row.

    Args:
        shape: the feature.
        along: the axis swept, a station or a position axis; matched without case.
        leave: names left out, on whichever axis they stand; matched without case.

    Raises:
        NotUnderstoodError: no such axis or name, or fewer than two stations are left.

    >>> way, depth = Axis("way", ("thrust", "axis")), Axis("depth", ("ridge", "mid"))
    >>> for row in spread_rows(Shape("B", (Axis("cyl", ("1",)),), (depth, way)), "way", ["ridge"]):
    ...     print(row.position, [str(spot) for line in row.lines for spot in line.spots])
    ('1',) ['B.1@mid/thrust', 'B.1@mid/axis']
    """
    swept = _axis(shape, along)
    _check_left_out(shape, leave)
    out = {name.casefold() for name in leave}
    if len(_kept(swept, out)) < LEAST_STATIONS:
        raise NotUnderstoodError(
            f"A spread of {shape.tag} along {swept.name} needs two stations at least; "
            f"it has {len(_kept(swept, out))}."
        )
    apart = [axis for axis in shape.positions if axis is not swept]
    across = [axis for axis in shape.stations if axis is not swept]
    return [
        LineRow(
            position,
            tuple(axis.name for axis in apart),
            tuple(_lines(shape, swept, dict(zip(apart, position, strict=True)), across, out)),
        )
        for position in itertools.product(*(_kept(axis, out) for axis in apart))
    ]


def spread_of(estimates: Sequence[Estimate]) -> tuple[Estimate, tuple[int, int]]:
    """Return max − min with the error of that difference, and the places of min and max.

    Of equal extremes the pair with the larger u is taken, of equal ones the first. The spread
    rests on all the readings, its error on two.

    Args:
        estimates: at least two, none of them a bracket.

    Raises:
        ValueError: fewer than two, or a bracket among them.

    >>> sizes = [Estimate(Fraction(n), Fraction(n), {}, {}, (n,)) for n in (5, 3, 9)]
    >>> spread, places = spread_of(sizes)
    >>> spread.low, spread.entries, places
    (Fraction(6, 1), (3, 5, 9), (1, 2))
    """
    if len(estimates) < LEAST_STATIONS or any(estimate.is_bracket for estimate in estimates):
        raise ValueError("a spread needs two figures at least, and no bracket")
    figures = [estimate.low or Fraction(0) for estimate in estimates]
    least, greatest = min(figures), max(figures)
    pairs = [
        (_difference(estimates[high], estimates[low]), (low, high))
        for low, high in itertools.permutations(range(len(figures)), 2)
        if figures[low] == least and figures[high] == greatest
    ]
    widest, places = max(pairs, key=lambda pair: pair[0].variance)
    entries = tuple(sorted({entry for estimate in estimates for entry in estimate.entries}))
    return Estimate(widest.low, widest.high, widest.draws, widest.variances, entries), places


def _difference(high: Estimate, low: Estimate) -> Estimate:
    return combine([(Fraction(1), high), (Fraction(-1), low)])


def _axis(shape: Shape, along: str) -> Axis:
    for axis in shape.axes:
        if axis.name.casefold() == along.casefold():
            return axis
    names = [axis.name for axis in shape.axes]
    raise NotUnderstoodError(
        f"{shape.tag} has no axis {quoted(along)}.", near_or_list(along, names, "Axes")
    )


def _check_left_out(shape: Shape, leave: Collection[str]) -> None:
    for name in leave:
        if all(axis.spelled(name) is None for axis in shape.axes):
            names = [own for axis in shape.axes for own in axis.names]
            raise NotUnderstoodError(
                f"{shape.tag} has no {quoted(name)} to leave out.", f"It has: {listed(names)}"
            )


def _kept(axis: Axis, out: Collection[str]) -> list[str]:
    return [name for name in axis.names if name.casefold() not in out]


def _lines(
    shape: Shape,
    swept: Axis,
    position: Mapping[Axis, str],
    across: Sequence[Axis],
    out: Collection[str],
) -> Iterator[Line]:
    """Yield a line for each setting of the other station axes."""
    for station in itertools.product(*(_kept(axis, out) for axis in across)):
        names = {**position, **dict(zip(across, station, strict=True))}
        spots = tuple(
            Spot(
                shape.tag,
                tuple(names.get(axis, name) for axis in shape.positions),
                tuple(names.get(axis, name) for axis in shape.stations),
            )
            for name in _kept(swept, out)
        )
        yield Line(spots, station)
