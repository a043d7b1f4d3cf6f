"""Small systems of linear equations, solved exactly."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction


def solved(matrix: Sequence[Sequence[Fraction]], right: Sequence[Fraction]) -> list[Fraction]:
    """Return x with A·x = b by Gauss-Jordan elimination.

    Args:
        matrix: A, square, by rows.
        right: b.

    Raises:
        ValueError: A is singular.

    >>> two, one = Fraction(2), Fraction(1)
    >>> solved([[two, one], [one, one]], [Fraction(5), Fraction(3)])
    [Fraction(2, 1), Fraction(1, 1)]
    """
    size = len(right)
    rows = [[*row, figure] for row, figure in zip(matrix, right, strict=True)]
    for column in range(size):
        pivot = next((row for row in range(column, size) if rows[row][column]), None)
        if pivot is None:
            raise ValueError("a singular system has no one solution")
        rows[column], rows[pivot] = rows[pivot], rows[column]
        lead = rows[column][column]
        rows[column] = [figure / lead for figure in rows[column]]
        for row in range(size):
            if row != column and (times := rows[row][column]):
                rows[row] = [
                    figure - times * own
                    for figure, own in zip(rows[row], rows[column], strict=True)
                ]
    return [row[size] for row in rows]
