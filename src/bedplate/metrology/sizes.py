"""The sizes that a range with its step comes to."""

from __future__ import annotations

from fractions import Fraction

from bedplate.errors import NotUnderstoodError

MOST_SIZES = 10_000
"""The most sizes one range may come to."""


def stepped(low: Fraction, high: Fraction, step: Fraction) -> list[Fraction]:
    """Return the sizes from low to high by steps; the last is at or below ``high``.

    Raises:
        NotUnderstoodError: the step is not above 0, high lies below low, or there are too many.

    >>> [str(size) for size in stepped(Fraction(2), Fraction(3), Fraction(1, 2))]
    ['2', '5/2', '3']
    """
    if step <= 0:
        raise NotUnderstoodError("The step of a range of sizes must be above 0.")
    if high < low:
        raise NotUnderstoodError("A range of sizes goes from the smaller to the larger.")
    count = (high - low) // step + 1
    if count > MOST_SIZES:
        raise NotUnderstoodError(f"A range comes to {count} sizes; {MOST_SIZES} are the most.")
    return [low + step * number for number in range(count)]
