"""The minimum zone of points over a plane: two parallel planes as near as can be.

The least height h with t + bx + cy ≥ z ≥ t − h + bx + cy at every point is a linear programme.
Its dual weighs a few points from above and a few from below: weights of each side add up to 1,
and the two centres of gravity coincide. Four points at most carry it. The dual is solved by the
simplex method in fractions, with Bland's rule wherever a step gains nothing, so that it ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.metrology.linear import solved

Point = tuple[Fraction, Fraction]
"""x and y, in one unit."""

LEAST_POINTS = 4
"""Three points are always flat."""

_ZERO, _ONE = Fraction(0), Fraction(1)
_RIGHT = (_ONE, _ONE, _ZERO, _ZERO)
"""What the columns weighed must come to: 1 from above, 1 from below, no couple."""


class _Column(NamedTuple):
    """One point taken from above (sign 1) or from below (sign −1)."""

    place: int
    sign: int


def minimum_zone(
    points: Sequence[Point], heights: Sequence[Fraction]
) -> tuple[Fraction, dict[int, Fraction]]:
    """Return the least zone, and the weight of each supporting point in it.

    The zone is Σ weight·height: the weights of the points on the upper plane are positive and
    add up to 1, of those on the lower negative, adding up to −1.

    Args:
        points: x and y of each.
        heights: z of each, along which the zone is measured.

    Raises:
        ValueError: fewer than four points, or all in one line.

    Source: the tolerance zone of flatness in ISO 1101; the simplex method with Bland's rule
    (Mathematics of Operations Research 2, 1977).

    >>> square = [(Fraction(x), Fraction(y)) for x in (0, 1) for y in (0, 1)]
    >>> minimum_zone(square, [Fraction(z) for z in (0, 0, 0, 2)])[0]
    Fraction(1, 1)
    """
    return _Zone(points, heights).least()


class _Zone:
    """The dual programme over one set of points."""

    def __init__(self, points: Sequence[Point], heights: Sequence[Fraction]) -> None:
        self.points = points
        self.heights = heights
        self.columns = [_Column(place, sign) for place in range(len(points)) for sign in (-1, 1)]

    def least(self) -> tuple[Fraction, dict[int, Fraction]]:
        """Exchange columns until none gains."""
        basis = self.start()
        stuck = False
        while True:
            weights = self.weights(basis)
            entering = self.entering(basis, first=stuck)
            if entering is None:
                break
            basis, step = self.exchanged(basis, weights, entering)
            stuck = step == 0
        support: dict[int, Fraction] = {}
        for column, weight in zip(basis, weights, strict=True):
            if weight:
                support[column.place] = support.get(column.place, _ZERO) + weight * column.sign
        zone = sum((weight * self.heights[place] for place, weight in support.items()), _ZERO)
        return zone, support

    def start(self) -> list[_Column]:
        """Return four points, three of them not in one line, parted so that they balance.

        Of four points in a plane some always balance the others (Radon): the one way they add
        up to nothing, with the points of positive weight from above.
        """
        threes = corners(self.points)
        other = next(place for place in range(len(self.points)) if place not in threes)
        x, y = self.points[other]
        shares = solved(
            [[_ONE] * 3, *([self.points[place][i] for place in threes] for i in (0, 1))],
            [_ONE, x, y],
        )
        balance = [*shares, -_ONE]
        lift = sum(
            (
                share * self.heights[place]
                for share, place in zip(balance, (*threes, other), strict=True)
            ),
            _ZERO,
        )
        turn = -1 if lift < 0 else 1
        return [
            _Column(place, turn if share > 0 else -turn)
            for share, place in zip(balance, (*threes, other), strict=True)
        ]

    def vector(self, column: _Column) -> tuple[Fraction, ...]:
        """Return a column of the dual: side above, side below, and the two couples."""
        x, y = self.points[column.place]
        if column.sign > 0:
            return _ONE, _ZERO, x, y
        return _ZERO, _ONE, -x, -y

    def gain(self, column: _Column) -> Fraction:
        """Return what one unit of weight on a column adds to the zone."""
        return column.sign * self.heights[column.place]

    def matrix(self, basis: Sequence[_Column]) -> list[list[Fraction]]:
        """Return the columns of a basis side by side, by rows."""
        vectors = [self.vector(column) for column in basis]
        return [[vector[row] for vector in vectors] for row in range(4)]

    def weights(self, basis: Sequence[_Column]) -> list[Fraction]:
        """Return the weights with which a basis balances."""
        return solved(self.matrix(basis), _RIGHT)

    def entering(self, basis: Sequence[_Column], *, first: bool) -> _Column | None:
        """Return the column that sticks out farthest (or the first that does), if any."""
        transposed = [list(self.vector(column)) for column in basis]
        planes = solved(transposed, [self.gain(column) for column in basis])
        best, most = None, _ZERO
        for column in self.columns:
            held = zip(self.vector(column), planes, strict=True)
            out = self.gain(column) - sum((part * level for part, level in held), _ZERO)
            if out > most:
                if first:
                    return column
                best, most = column, out
        return best

    def exchanged(
        self, basis: Sequence[_Column], weights: Sequence[Fraction], entering: _Column
    ) -> tuple[list[_Column], Fraction]:
        """Return the basis with the column put in that leaves first, and how far it went."""
        change = solved(self.matrix(basis), self.vector(entering))
        step, _, leaving = min(
            (weight / rate, column, slot)
            for slot, (weight, rate, column) in enumerate(zip(weights, change, basis, strict=True))
            if rate > 0
        )
        return [entering if slot == leaving else own for slot, own in enumerate(basis)], step


def corners(points: Sequence[Point]) -> tuple[int, int, int]:
    """Return the places of three points that are not in one line.

    Raises:
        ValueError: fewer than four points, or all in one line.

    >>> corners([(Fraction(x), Fraction(y)) for x, y in ((0, 0), (1, 1), (2, 2), (0, 1))])
    (0, 1, 3)
    """
    first = points[0] if len(points) >= LEAST_POINTS else None
    for second, two in enumerate(points):
        if first is not None and two != first:
            run, rise = two[0] - first[0], two[1] - first[1]
            for third, (x, y) in enumerate(points):
                if run * (y - first[1]) != rise * (x - first[0]):
                    return 0, second, third
            break
    raise ValueError("a flatness needs four points at least, not in one line")
