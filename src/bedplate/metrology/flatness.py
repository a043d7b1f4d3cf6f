"""Flatness of a grid of heights: by least squares, or the minimum zone. Exact.

The deviation is taken along the heights, as the gauge reads them. The normal of the plane leans
so little on a face worth measuring that the perpendicular distance of ISO 1101 differs by less
than one part in a million.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape, Spot
from bedplate.metrology.error import ZERO, Estimate, combine
from bedplate.metrology.linear import solved
from bedplate.metrology.spread import spread_of
from bedplate.metrology.zone import Point, corners, minimum_zone

Method = Literal["least squares", "minimum zone"]

LEAST_NAMES = 2
"""How many different coordinates each axis of a grid needs."""


class GridSpot(NamedTuple):
    """One address of a grid, and where on the plane it lies."""

    spot: Spot
    x: Fraction
    y: Fraction


class GridRow(NamedTuple):
    """One grid, judged by itself: one setting of the position axes.

    Attributes:
        position: the name on each position axis.
        axes: the names of those axes.
        grid: the addresses, first station axis slowest.
    """

    position: tuple[str, ...]
    axes: tuple[str, ...]
    grid: tuple[GridSpot, ...]


def grid_rows(shape: Shape) -> list[GridRow]:
    """Return the grids of a feature, one for each setting of its position axes.

    Raises:
        NotUnderstoodError: not two station axes, both with coordinates, or the points of the
            grid lie in one line.

    >>> across = Axis("across", ("1", "2"), (Fraction(0), Fraction(80)))
    >>> along = Axis("along", ("a", "b"), (Fraction(0), Fraction(300)))
    >>> [str(place.spot) for place in grid_rows(Shape("DK", (), (along, across)))[0].grid]
    ['DK@a/1', 'DK@a/2', 'DK@b/1', 'DK@b/2']
    """
    with_coordinates = [axis for axis in shape.stations if axis.coordinates is not None]
    if len(shape.stations) != 2 or len(with_coordinates) != 2:
        raise NotUnderstoodError(
            f"A flatness needs two station axes with coordinates; {shape.tag} has "
            f"{len(with_coordinates)} with and "
            f"{len(shape.stations) - len(with_coordinates)} without."
        )
    for axis in shape.stations:
        if len(set(axis.coordinates or ())) < LEAST_NAMES:
            raise NotUnderstoodError(
                f"A flatness needs two places on {axis.name} at least, or its points lie in "
                "one line."
            )
    positions = itertools.product(*(axis.names for axis in shape.positions))
    axes = tuple(axis.name for axis in shape.positions)
    return [GridRow(position, axes, _grid(shape, position)) for position in positions]


def flatness(
    points: Sequence[Point],
    heights: Sequence[Estimate],
    method: Method = "least squares",
) -> tuple[Estimate, tuple[int, ...]]:
    """Return the flatness of points in a plane, and the places of those it rests on.

    *Least squares*: greatest less least residual about the plane fitted to all points; u is
    that of the difference of the two extreme readings, the plane held. *Minimum zone*: the
    least distance of two parallel planes with every point between them; u is that of the
    supporting points' linear combination. The figure rests on all readings.

    Args:
        points: x and y of each point, in one unit.
        heights: z of each, none of them a bracket.
        method: which of the two.

    Raises:
        ValueError: fewer than four points, points in one line, or a bracket among the heights.

    >>> square = [(Fraction(x), Fraction(y)) for x in (0, 1) for y in (0, 1)]
    >>> heights = [Estimate(Fraction(z), Fraction(z), {}, {}) for z in (0, 0, 0, 2)]
    >>> flatness(square, heights)[0].low, flatness(square, heights, "minimum zone")[0].low
    (Fraction(1, 1), Fraction(1, 1))
    """
    if any(height.is_bracket for height in heights):
        raise ValueError("a flatness is not formed from a bracket")
    levels = [height.low or ZERO for height in heights]
    if method == "minimum zone":
        figure, weights = minimum_zone(points, levels)
    else:
        figure, weights = _least_squares(points, levels, heights)
    held = combine((weight, heights[place]) for place, weight in weights.items())
    entries = tuple(sorted({entry for height in heights for entry in height.entries}))
    estimate = Estimate(figure, figure, held.draws, held.variances, entries)
    return estimate, tuple(sorted(weights))


def _grid(shape: Shape, position: tuple[str, ...]) -> tuple[GridSpot, ...]:
    slow, fast = (_named_coordinates(axis) for axis in shape.stations)
    return tuple(
        GridSpot(Spot(shape.tag, position, (one, other)), x, y)
        for (one, x), (other, y) in itertools.product(slow, fast)
    )


def _named_coordinates(axis: Axis) -> list[tuple[str, Fraction]]:
    return list(zip(axis.names, axis.coordinates or (), strict=True))


def _least_squares(
    points: Sequence[Point],
    levels: Sequence[Fraction],
    heights: Sequence[Estimate],
) -> tuple[Fraction, dict[int, Fraction]]:
    """Return the range of the residuals, and the two extreme points with their signs."""
    corners(points)
    columns = [(Fraction(1), x, y) for x, y in points]
    normal = [
        [sum((row[i] * row[j] for row in columns), ZERO) for j in range(3)] for i in range(3)
    ]
    right = [
        sum((row[i] * z for row, z in zip(columns, levels, strict=True)), ZERO) for i in range(3)
    ]
    plane = solved(normal, right)
    residuals = [
        z - sum((part * term for part, term in zip(row, plane, strict=True)), ZERO)
        for row, z in zip(columns, levels, strict=True)
    ]
    about_plane = [
        Estimate(rest, rest, height.draws, height.variances)
        for rest, height in zip(residuals, heights, strict=True)
    ]
    spread, (least, greatest) = spread_of(about_plane)
    return spread.low or ZERO, {greatest: Fraction(1), least: Fraction(-1)}
