"""Cross-check: two ways to one quantity, held against each other."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from bedplate.metrology.error import Estimate, combine
from bedplate.metrology.roots import root


class Agreement(NamedTuple):
    """How two ways to one quantity compare.

    Attributes:
        difference: the first less the second, exact.
        variance: u² of that difference, brackets counted as rectangles.
    """

    difference: Fraction
    variance: Fraction

    @property
    def disagree(self) -> bool:
        """Whether one of the two must be wrong: (a − b)² > 4u², decided exactly."""
        return self.difference**2 > 4 * self.variance

    @property
    def e_n(self) -> Decimal | None:
        """|a − b|/U for showing; None where U = 0 and they differ (it is infinite)."""
        if self.variance:
            return root(self.difference**2 / (4 * self.variance))
        return None if self.difference else Decimal(0)


def compare(one: Estimate, other: Estimate) -> Agreement | None:
    """Return how two means of one quantity compare; None where an end is open.

    The error is that of the difference, draw by draw: what both rest on drops out. A bracket
    enters by its middle, with Σ c²·width²/12 added to u².

    Source: E_n of ISO 13528 and ISO/IEC 17043, with U(a − b) from the covariance in full
    (GUM 5.2.2) in place of the root of a sum of squares.

    >>> a, b = (Estimate(Fraction(n), Fraction(n), {}, {}) for n in (3, 5))
    >>> agreement = compare(a, b)
    >>> agreement.difference, agreement.disagree
    (Fraction(-2, 1), True)
    """
    if one.middle is None or other.middle is None:
        return None
    gap = combine([(Fraction(1), one), (Fraction(-1), other)])
    return Agreement(one.middle - other.middle, gap.variance + gap.width_variance)
