"""Probability of lying in a band, from exact distances; the only floats of the judgement.

Source: JCGM 106:2012, 7.3 to 7.6: with a normal distribution about the figure, the conformance
probability is Φ((TU − y)/u) − Φ((TL − y)/u). No verdict rests on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction

Reach = tuple[Fraction, Fraction]
"""How far inside a limit a figure lies (negative: outside), and its u²."""

_FARTHEST = Fraction(10**6)
"""z² from which the tail is 0 in binary64 many times over."""


def signed_square(distance: Fraction, variance: Fraction) -> Fraction:
    """Return d·|d|/u², of which z = d/u is the signed root: what compares exactly.

    >>> signed_square(Fraction(-2), Fraction(1, 4))
    Fraction(-16, 1)
    """
    return distance * abs(distance) / variance


def probability_between(low: Iterable[Reach], high: Iterable[Reach]) -> float:
    """Return max(0, Φ(z_low) + Φ(z_high) − 1), computed in the smaller tail.

    Args:
        low: every figure against its lower limit; the least z counts, ∞ where there is none.
        high: the same against the upper limit. A figure with u = 0 has z = ∞ on its limit and
            inside, −∞ outside: it lies in the band or it does not.

    >>> round(probability_between([(Fraction(3), Fraction(1))], []), 9)
    0.998650102
    >>> probability_between([], [(Fraction(0), Fraction(0))])
    1.0
    """
    nearer, farther = sorted((_least_z(low), _least_z(high)))
    if nearer < 0:
        return max(0.0, _tail(-nearer) - _tail(farther))
    return max(0.0, 1 - _tail(nearer) - _tail(farther))


def _least_z(reaches: Iterable[Reach]) -> float:
    least: Fraction | None = None
    for distance, variance in reaches:
        if variance:
            square = signed_square(distance, variance)
            least = square if least is None else min(least, square)
        elif distance < 0:
            return -math.inf
    if least is None:
        return math.inf
    size = math.sqrt(min(abs(least), _FARTHEST))
    return -size if least < 0 else size


def _tail(z: float) -> float:
    """Return 1 − Φ(z), without loss where z is large."""
    return math.erfc(z / math.sqrt(2)) / 2
