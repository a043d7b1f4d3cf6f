"""What is questionable in a new value: named as what it probably is, never refused.

A value far from its nominal (or, without one, from the limits it is held against), a repeat that
scatters more than its gauge can explain, a station apart from its neighbours: each is asked about
before it is recorded. What a person keeps all the same is marked in the record.

All thresholds here say when to *ask*. None of them is a limit, and none enters a verdict.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bedplate.units import Typed, convert, decimal_text, dimension, rounded, system

FAR = {"inch": (Fraction(15, 1000), "in"), "metric": (Fraction(3, 10), "mm")}
"""How far from nominal a length is asked about, by system of units: a thimble turns less."""
THIMBLE = {"inch": (Fraction(25, 1000), "in"), "metric": (Fraction(1, 2), "mm")}
"""What one turn of a micrometer's thimble measures."""
APART = {"inch": (Fraction(5, 1000), "in"), "metric": (Fraction(3, 25), "mm")}
"""How far from a lone neighbour a length is asked about; of several, half of it at least."""
TIMES_THEIR_RANGE = 4
"""How many times the range of its neighbours a station may lie apart from the nearest."""
WIDTHS_OUTSIDE = 10
"""How many widths of its band a value without a nominal may lie outside."""

SAME = {"": "nominal", " the nearer limit": "at the limit"}
"""How a guess lies that lies just where a value was expected, by what is said beside others."""

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


@dataclass(frozen=True, slots=True)
class Beside:
    """A value read before, beside which a new one stands.

    Attributes:
        value: in the unit of the new one.
        name: what it is called in a sentence: ``entry 9``, ``@a``.
    """

    value: Fraction
    name: str


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
    allowed = _allowed(typed.unit, nominal)
    if abs(off) <= allowed:
        return None
    text = f"{shown(typed)} is {deviation(off, typed.unit)} nominal"
    if 0 < nominal <= abs(off):
        text = f"{shown(typed)} {typed.unit} is far from {_size(nominal, typed.unit)}"
    if typed.two_ended:
        return Doubt(text)
    return _guessed(typed, text, nominal, allowed / 2, "")


def far_from_limits(typed: Typed, low: Fraction | None, high: Fraction | None) -> Doubt | None:
    """Return a doubt if a value without a nominal is many bands away from its band.

    Args:
        typed: the value.
        low: the low limit in the unit of ``typed``, None where that side is open.
        high: the high limit.
    """
    known = [limit for limit in (low, high) if limit is not None]
    if typed.two_ended or typed.low is None or not known:
        return None
    width = abs(known[-1] - known[0]) or abs(known[0])
    nearest = min(max(typed.low, min(known)), max(known)) if len(known) == 2 else known[0]
    if (low is None and typed.low < nearest) or (high is None and typed.low > nearest):
        return None
    off = typed.low - nearest
    if not width or abs(off) <= WIDTHS_OUTSIDE * width:
        return None
    text = f"{shown(typed)} {typed.unit} is far from its limits"
    return _guessed(typed, text, nearest, width, " the nearer limit")


def scattered(
    typed: Typed, repeats: Sequence[Beside], explained: tuple[Fraction, Fraction], gauge: str
) -> Doubt | None:
    """Return a doubt if a repeat lies further from the others than the gauge can explain.

    Args:
        typed: the repeat.
        repeats: what was read there before, under the same conditions.
        explained: what two readings may differ by, and the variance of one reading: three
            standard deviations of a difference (3·√2·s) come on top of the first.
        gauge: what it is read on, in words.
    """
    if typed.two_ended or typed.low is None or not repeats:
        return None
    value = typed.low
    other = max(repeats, key=lambda repeat: abs(value - repeat.value))
    off = value - other.value
    least, variance = explained
    beyond = abs(off) - least
    if beyond <= 0 or beyond**2 <= 18 * variance:
        return None
    text = (
        f"{shown(typed)} is {deviation(off, typed.unit)} the repeat before it "
        f"({_as_fine(other.value, typed)}, {other.name}), more than {gauge} explains"
    )
    return _guessed(typed, text, other.value, least, " the one before")


def apart(typed: Typed, neighbours: Sequence[Beside]) -> Doubt | None:
    """Return a doubt if a station lies apart from its neighbours.

    A length is apart if it is further from the nearest neighbour than four times the range of
    all of them, and than `APART` (of several neighbours half of it). Anything else: than half of
    the nearest one, and the same four times.

    Args:
        typed: what was read at the station.
        neighbours: what stands at the other stations of the same feature and position.
    """
    if typed.two_ended or typed.low is None or not neighbours:
        return None
    value = typed.low
    nearest = min(neighbours, key=lambda beside: abs(value - beside.value))
    off = value - nearest.value
    known = [beside.value for beside in neighbours]
    allowed = max(_alone(typed.unit, nearest.value, len(known)),
                  TIMES_THEIR_RANGE * (max(known) - min(known)))  # fmt: skip
    if abs(off) <= allowed:
        return None
    text = (
        f"{shown(typed)} is {deviation(off, typed.unit)} its neighbour {nearest.name} "
        f"({_as_fine(nearest.value, typed)})"
    )
    return _guessed(typed, text, nearest.value, allowed / 2, " its neighbour")


def _alone(unit: str, nearest: Fraction, number: int) -> Fraction:
    if dimension(unit) != "length":
        return abs(nearest) / 2
    least, least_unit = APART[system(unit) or "metric"]
    return convert(least, least_unit, unit) / (1 if number == 1 else 2)


def _size(value: Fraction, unit: str) -> str:
    """Return a size with its unit, as drawings have it: four decimals for inches, three for mm."""
    places = {"in": 4, "mm": 3}.get(unit, 0)
    return f"{decimal_text(value, 6) if not places else rounded(value, places)} {unit}"


def _as_fine(value: Fraction, typed: Typed) -> str:
    """Return a value with as many decimals as another was typed with."""
    return rounded(value, _places(shown(typed)))


def _places(figure: str) -> int:
    """Return the decimals that a figure was typed with; four where it is not a plain one."""
    if not _FIGURE.fullmatch(figure):
        return 4
    return len(figure.replace(",", ".").partition(".")[2])


def _guessed(typed: Typed, text: str, middle: Fraction, allowed: Fraction, beside: str) -> Doubt:
    """Return a doubt with what the value probably is: the guess that would lie nearest, if well.

    Args:
        typed: the value.
        text: what is odd about it.
        middle: where it was expected.
        allowed: how far from there a guess may lie.
        beside: what is said behind the deviation of the guess.
    """
    found = [
        (abs(value - middle), order, guess, value, instead)
        for order, (guess, value, instead) in enumerate(_guesses(typed))
        if abs(value - middle) <= allowed
    ]
    if not found:
        return Doubt(text)
    *_, guess, value, instead = min(found)
    rest = value - middle
    if not rest:
        return Doubt(text, guess, instead, SAME.get(beside, "the same"))
    return Doubt(text, guess, instead, f"{deviation(rest, typed.unit)}{beside}")


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
    plain = _FIGURE.fullmatch(figure) is not None
    if plain:
        for swapped in _swaps(figure):
            yield "Two figures changed places?", Fraction(swapped.replace(",", ".")), swapped
    places = _places(figure)
    if dimension(typed.unit) == "length":
        turn, unit = THIMBLE[system(typed.unit) or "metric"]
        step = convert(turn, unit, typed.unit)
        for value in (typed.low + step, typed.low - step):
            yield "one turn of the thimble?", value, rounded(value, places)
    for value in (typed.low * 10, typed.low / 10):
        yield "Decimal point slipped?", value, decimal_text(value, places + 1)
    if plain:
        yield from _other_units(typed, typed.low, figure)


def _other_units(
    typed: Typed, value: Fraction, figure: str
) -> Iterator[tuple[str, Fraction, str]]:
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
