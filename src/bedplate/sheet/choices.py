"""The sizes that something can be had in: shims, thrust washers, gaskets."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.sizes import MOST_SIZES, stepped
from bedplate.text import quoted
from bedplate.units import convert, dimension, read_limits, read_value, unit_named

_EXAMPLE = '"2.40..3.10 step 0.05 mm"   or   ["2.40 mm", "2.45 mm"]'


def read_choices(sizes: str | Sequence[str], unit: str) -> list[Fraction]:
    """Return the sizes that can be had, in ``unit``, each once, the smallest first.

    Args:
        sizes: a range with its step (``2.40..3.10 step 0.05 mm``; the unit at its end holds for
            both, unless the range has its own), or a list of figures.
        unit: the unit of figures typed without one, and of what is returned.

    Raises:
        NotUnderstoodError: it is neither, or comes to none or too many.

    >>> read_choices("2.310..2.410 step 0.050 mm", "mm")
    [Fraction(231, 100), Fraction(59, 25), Fraction(241, 100)]
    """
    own = unit_named(unit)
    if isinstance(sizes, str):
        return _range(sizes, own)
    if not sizes:
        raise NotUnderstoodError("Here stand no sizes.", f"Sizes read like  {_EXAMPLE}")
    return sorted({_figure(text, own) for text in sizes})


def _figure(text: str, unit: str) -> Fraction:
    typed = read_value(text, unit)
    if typed.two_ended or typed.low is None:
        raise NotUnderstoodError(f"{quoted(text)} has two ends.", f"Sizes read like  {_EXAMPLE}")
    return convert(typed.low, typed.unit, unit)


def _range(text: str, unit: str) -> list[Fraction]:
    parts = re.split(r"\bstep\b", text, flags=re.IGNORECASE)
    if len(parts) != 2:
        raise NotUnderstoodError(
            f"{quoted(text)} is no range with a step.", f"Sizes read like  {_EXAMPLE}"
        )
    step = read_value(parts[1], unit)
    low, high, range_unit = read_limits(parts[0], step.unit)
    if dimension(range_unit) != dimension(unit):
        read_value(f"{parts[0].partition('..')[2]}", unit)  # says what it measures instead
    if low is None or high is None:
        raise NotUnderstoodError(f"{quoted(text)} needs both its ends.", f"As in  {_EXAMPLE}")
    if step.two_ended or step.low is None or step.low <= 0:
        raise NotUnderstoodError(f"{quoted(text)} needs a step above nought.")
    first, last = convert(low, range_unit, unit), convert(high, range_unit, unit)
    pace = convert(step.low, step.unit, unit)
    count = (last - first) // pace + 1
    if count > MOST_SIZES:
        raise NotUnderstoodError(
            f"{quoted(text)} comes to {count:,} sizes; {MOST_SIZES:,} are the most."
        )
    return stepped(first, last, pace)
