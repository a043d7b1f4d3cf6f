"""The scatter of a gauge's repeats, pooled as they are taken."""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction
from typing import NamedTuple

LEAST_FREEDOM = 5
"""Degrees of freedom from which pooled scatter counts."""

ZERO = Fraction(0)


class Pool(NamedTuple):
    """The scatter of one gauge's repeats in this job.

    Attributes:
        variance: of one reading; 0 below five degrees of freedom.
        freedom: degrees of freedom.
    """

    variance: Fraction
    freedom: int


class Scatter:
    """The repeats of one gauge, taken one after another.

    s² = ΣΣ(x - x̄)² / Σ(n - 1); below `LEAST_FREEDOM` degrees of freedom it is 0. What one more
    repeat adds follows from two sums of its group: Σ(x - x̄)² = Σd² - (Σd)²/n, where d is counted
    from the first of the group, so that the fractions stay small.

    Source: GUM 4.2.4 (pooled experimental variance).

    >>> scatter = Scatter()
    >>> [scatter.take("here", Fraction(figure)) for figure in (1, 2, 3)]
    [False, True, True]
    >>> [scatter.take("there", Fraction(figure)) for figure in (4, 5, 6, 7)]
    [False, True, True, True]
    >>> scatter.pool
    Pool(variance=Fraction(7, 5), freedom=5)
    """

    def __init__(self) -> None:
        self._groups: dict[Hashable, tuple[Fraction, int, Fraction, Fraction]] = {}
        self._squares = ZERO
        self.freedom = 0

    def take(self, group: Hashable, figure: Fraction) -> bool:
        """Take one figure; return whether it is a repeat of one taken before.

        Args:
            group: what only repeats of one thing share.
            figure: in the unit of all others.
        """
        if group not in self._groups:
            self._groups[group] = figure, 1, ZERO, ZERO
            return False
        first, count, total, squares = self._groups[group]
        off = figure - first
        before = squares - total * total / count
        count, total, squares = count + 1, total + off, squares + off * off
        self._groups[group] = first, count, total, squares
        self._squares += squares - total * total / count - before
        self.freedom += 1
        return True

    @property
    def pool(self) -> Pool:
        """What all of them come to."""
        counts = self.freedom >= LEAST_FREEDOM
        return Pool(self._squares / self.freedom if counts else ZERO, self.freedom)
