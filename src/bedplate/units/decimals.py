"""Exact numbers as plain decimal text: no float, no exponent, no minus before nought."""

from __future__ import annotations

from fractions import Fraction
from math import isqrt


def decimal_text(value: Fraction, places: int = 12) -> str:
    """Return ``value`` as a plain decimal without trailing zeros.

    It is exact where the value ends within ``places`` decimals, else rounded half-even there.

    >>> decimal_text(Fraction(26, 5)), decimal_text(Fraction(-1, 3)), decimal_text(Fraction(2))
    ('5.2', '-0.333333333333', '2')
    """
    return _without_zeros(rounded(value, places))


def rounded(value: Fraction, places: int) -> str:
    """Return ``value`` with exactly ``places`` decimals, rounded half-even.

    >>> rounded(Fraction(5, 1000), 2), rounded(Fraction(-4, 1000), 2), rounded(Fraction(3), 1)
    ('0.00', '0.00', '3.0')
    """
    return _pointed(round(value * 10**places), places)


def round_up_root(square: Fraction, places: int) -> str:
    """Return the square root of ``square``, rounded up to ``places`` decimals.

    An expanded uncertainty is shown so: from 4u² exactly, never smaller than it is.

    Raises:
        ValueError: ``square`` is below zero.

    >>> round_up_root(Fraction(1, 30), 2), round_up_root(Fraction(4), 1)
    ('0.19', '2.0')
    """
    _check_not_below_zero(square)
    scaled = square * 100**places
    least = -(-scaled.numerator // scaled.denominator)
    # The least whole k with k² >= scaled, and k² is whole.
    return _pointed(isqrt(least - 1) + 1 if least else 0, places)


def root_text(square: Fraction, digits: int = 12) -> str:
    """Return the square root of ``square`` to ``digits`` significant digits, half-even.

    Trailing zeros after the point are dropped.

    Raises:
        ValueError: ``square`` is below zero.

    >>> root_text(Fraction(1, 30)), root_text(Fraction(9, 4)), root_text(Fraction(0))
    ('0.182574185835', '1.5', '0')
    """
    _check_not_below_zero(square)
    if square == 0:
        return "0"
    places = digits - _whole_digits_of_root(square)
    root = _nearest_root(square * Fraction(100) ** places)
    if places < 0:
        return str(root * 10**-places)
    return _without_zeros(_pointed(root, places))


def _check_not_below_zero(square: Fraction) -> None:
    if square < 0:
        raise ValueError(f"there is no root of {square}")


def _whole_digits_of_root(square: Fraction) -> int:
    """Return n with 10^(n-1) <= √square < 10^n."""
    # √square > 2^((bits - 1)/2), and lg(2)/2 = 0.1505: the start is never above n, and near it.
    bits = square.numerator.bit_length() - square.denominator.bit_length()
    count = bits * 30103 // 200000
    while square >= Fraction(100) ** count:
        count += 1
    return count


def _nearest_root(square: Fraction) -> int:
    """Return the whole number nearest to √square, the even one of two equally near."""
    below = isqrt(square.numerator // square.denominator)
    excess = 4 * square - (2 * below + 1) ** 2
    return below + 1 if excess > 0 or (excess == 0 and below % 2) else below


def _pointed(scaled: int, places: int) -> str:
    sign = "-" if scaled < 0 else ""
    digits = str(abs(scaled)).zfill(places + 1)
    return (
        f"{sign}{digits[: len(digits) - places]}.{digits[-places:]}" if places else sign + digits
    )


def _without_zeros(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text
