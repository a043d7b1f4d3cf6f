"""Square roots of exact figures, for showing; no verdict rests on one."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction

_FINE = Context(prec=60, rounding=ROUND_HALF_EVEN)


def root(square: Fraction, digits: int = 12) -> Decimal:
    """Return the square root, rounded half-even to so many significant digits.

    Args:
        square: an exact square, not negative (u², E_n²).
        digits: significant digits kept; a root that ends sooner is given as it ends.

    Raises:
        ValueError: the square is negative.

    >>> print(root(Fraction(1, 30)), root(Fraction(9, 16)), root(Fraction(0)))
    0.182574185835 0.75 0
    """
    exact = exact_root(square)
    if exact is None:
        ratio = _FINE.divide(Decimal(square.numerator), Decimal(square.denominator))
        fine = _FINE.sqrt(ratio)
    else:
        fine = _FINE.divide(Decimal(exact.numerator), Decimal(exact.denominator))
    rounded = Context(prec=digits, rounding=ROUND_HALF_EVEN).plus(fine)
    return Decimal(format(rounded, "f").rstrip("0").rstrip(".")) if rounded % 1 else rounded


def exact_root(square: Fraction) -> Fraction | None:
    """Return the square root where it is a fraction, else None.

    >>> exact_root(Fraction(9, 16)), exact_root(Fraction(2))
    (Fraction(3, 4), None)
    """
    if square < 0:
        raise ValueError(f"no root of {square}")
    over, under = math.isqrt(square.numerator), math.isqrt(square.denominator)
    if over * over == square.numerator and under * under == square.denominator:
        return Fraction(over, under)
    return None


def root_above(square: Fraction, grain: Fraction) -> Fraction:
    """Return the least multiple of ``grain`` whose square is not below ``square``.

    >>> root_above(Fraction(2), Fraction(1, 100))
    Fraction(71, 50)
    """
    steps = square / grain**2
    whole = math.isqrt(math.ceil(steps))
    return grain * (whole if whole * whole >= steps else whole + 1)
