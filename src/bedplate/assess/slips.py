"""The common slips of a value, each with what would have been typed instead.

Figures that changed places, a turn of the thimble, a slipped decimal point, a figure in another
unit: what may have happened, without knowing yet whether it did.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from fractions import Fraction

from bedplate.units import Typed, convert, decimal_text, dimension, rounded, system

THIMBLE = {"inch": (Fraction(25, 1000), "in"), "metric": (Fraction(1, 2), "mm")}
"""What one turn of a micrometer's thimble measures."""

_FIGURE = re.compile(r"[0-9]*[.,]?[0-9]+")

Guess = tuple[str, Fraction, str]
"""What may have happened: the question, the value then, and how it is typed."""


def slips(typed: Typed) -> Iterator[Guess]:
    """Yield the common slips that may have made a value of another.

    >>> from bedplate.units import read_value
    >>> next(slips(read_value("0.89", "in")))
    ('Two figures changed places?', Fraction(809, 100), '8.09')
    """
    if typed.low is None or typed.two_ended:
        return
    figure = figure_of(typed)
    plain = _FIGURE.fullmatch(figure) is not None
    if plain:
        for swapped in _swaps(figure):
            value = Fraction(swapped.replace(",", "."))
            yield "Two figures changed places?", value, retyped(swapped, typed)
    places = places_of(figure)
    if dimension(typed.unit) == "length":
        turn, unit = THIMBLE[system(typed.unit) or "metric"]
        step = convert(turn, unit, typed.unit)
        for value in (typed.low + step, typed.low - step):
            yield "one turn of the thimble?", value, retyped(rounded(value, places), typed)
    for value in (typed.low * 10, typed.low / 10):
        slipped = decimal_text(value, places + 1)
        yield "Decimal point slipped?", value, retyped(slipped, typed)
    if plain:
        yield from _other_units(typed, typed.low, figure)


def _other_units(typed: Typed, value: Fraction, figure: str) -> Iterator[Guess]:
    """Yield the figure in other units of length: mm for inches, inches for mm, thou for inches."""
    if system(typed.unit) == "inch":
        if typed.unit == "in":
            yield "Meant as thou?", convert(value, "thou", "in"), f"{figure} thou"
        metric = convert(value, "mm", "in")
        yield "Meant as mm?", convert(metric, "in", typed.unit), f"{figure} mm"
    elif system(typed.unit) == "metric":
        yield "Meant as inches?", convert(value, "in", typed.unit), f"{figure} in"


def _swaps(figure: str) -> Iterator[str]:
    """Yield a figure with two digits beside each other changed; none gains a leading nought."""
    digits = [i for i, char in enumerate(figure) if char.isdigit()]
    for i, j in itertools.pairwise(digits):
        gains_nought = i == 0 and j == 1 and figure[j] == "0"
        if figure[i] != figure[j] and not gains_nought:
            chars = list(figure)
            chars[i], chars[j] = chars[j], chars[i]
            yield "".join(chars)


def figure_of(typed: Typed) -> str:
    """Return a value as it was typed, without its unit where that stands behind it."""
    return typed.text.removesuffix(f" {typed.unit}")


def retyped(figure: str, typed: Typed) -> str:
    """Return a figure to be typed in place of a value, with a unit if that had one."""
    return figure if typed.bare else f"{figure} {typed.unit}"


def places_of(figure: str) -> int:
    """Return the decimals that a figure was typed with; four where it is not a plain one."""
    if not _FIGURE.fullmatch(figure):
        return 4
    return len(figure.replace(",", ".").partition(".")[2])
