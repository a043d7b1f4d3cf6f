"""What is questionable in a new value: named as what it probably is, never refused.

A value far from its nominal is asked about before it is recorded. What a person keeps all the
same is marked in the record.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from bedplate.units import Typed, convert, decimal_text, dimension, rounded, system

FAR = {"inch": (Fraction(15, 1000), "in"), "metric": (Fraction(3, 10), "mm")}
"""How far from nominal a length is asked about, by system of units: a thimble turns less."""
THIMBLE = {"inch": (Fraction(25, 1000), "in"), "metric": (Fraction(1, 2), "mm")}
"""What one turn of a micrometer's thimble measures."""

_FIGURE = re.compile(r"[0-9]*[.,]?[0-9]+")


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a value is asked about before it is recorded.

    Attributes:
        text: what is odd about it: ``0.9799 is 20.1 thou under nominal``.
        guess: what it probably is, as a question (``one turn of the thimble?``); empty where
            nothing comes to mind.
        instead: the value that was probably meant.
        then: how that one would lie (``2.1 thou under``).
    """

    text: str
    guess: str = ""
    instead: str = ""
    then: str = ""


def far_from_nominal(typed: Typed, nominal: Fraction) -> Doubt | None:
    """Return a doubt if a value is too far from its nominal to be taken as it is.

    Too far is more than 0.3 mm (0.015 in for inch units), or half the nominal if that is less;
    for what is no length, half the nominal.

    Args:
        typed: the value; of two ends both are looked at.
        nominal: in the unit of ``typed``.
    """
    ends = [end for end in (typed.low, typed.high) if end is not None]
    off = max((end - nominal for end in ends), key=abs)
    if abs(off) <= _allowed(typed.unit, nominal):
        return None
    text = f"{shown(typed)} is {deviation(off, typed.unit)} nominal"
    if typed.two_ended:
        return Doubt(text)
    for guess, value, instead in _guesses(typed):
        rest = value - nominal
        if abs(rest) <= _allowed(typed.unit, nominal) / 2:
            return Doubt(text, guess, instead, deviation(rest, typed.unit))
    return Doubt(text)


def _allowed(unit: str, nominal: Fraction) -> Fraction:
    half = abs(nominal) / 2
    if dimension(unit) != "length":
        return half
    limit, limit_unit = FAR[system(unit) or "metric"]
    return min(convert(limit, limit_unit, unit), half)


def deviation(off: Fraction, unit: str) -> str:
    """Return a deviation in words: ``20.1 thou under``, ``0.310 mm over``.

    >>> deviation(Fraction(-201, 10000), "in"), deviation(Fraction(31, 100), "mm")
    ('20.1 thou under', '0.310 mm over')
    """
    side = "over" if off > 0 else "under"
    if system(unit) == "inch":
        return f"{rounded(convert(abs(off), unit, 'thou'), 1)} thou {side}"
    if system(unit) == "metric":
        return f"{rounded(convert(abs(off), unit, 'mm'), 3)} mm {side}"
    return f"{decimal_text(abs(off), 3)} {unit} {side}"


def shown(typed: Typed) -> str:
    """Return a value as it was typed, without the unit that was added.

    The figure alone is what the eye compares with the dial.
    """
    return typed.text.removesuffix(f" {typed.unit}")


def _guesses(typed: Typed) -> Iterator[tuple[str, Fraction, str]]:
    """Yield what may have happened: the question, the value then, and how it is typed."""
    if typed.low is None:
        return
    figure = shown(typed)
    if _FIGURE.fullmatch(figure):
        for swapped in _swaps(figure):
            yield "Two figures changed places?", Fraction(swapped.replace(",", ".")), swapped
    places = len(figure.partition(".")[2]) if _FIGURE.fullmatch(figure) else 4
    if dimension(typed.unit) == "length":
        turn, unit = THIMBLE[system(typed.unit) or "metric"]
        step = convert(turn, unit, typed.unit)
        for value in (typed.low + step, typed.low - step):
            yield "one turn of the thimble?", value, rounded(value, places)
    for value in (typed.low * 10, typed.low / 10):
        yield "Decimal point slipped?", value, decimal_text(value, places + 1)
    if system(typed.unit) == "inch":
        value = convert(typed.low, "mm", "in")
        yield "Meant as mm?", convert(value, "in", typed.unit), f"{figure} mm"
    elif system(typed.unit) == "metric":
        value = convert(typed.low, "in", typed.unit)
        yield "Meant as inches?", value, f"{figure} in"


def _swaps(figure: str) -> Iterator[str]:
    digits = [i for i, char in enumerate(figure) if char.isdigit()]
    for i, j in itertools.pairwise(digits):
        if figure[i] != figure[j]:
            chars = list(figure)
            chars[i], chars[j] = chars[j], chars[i]
            yield "".join(chars)
