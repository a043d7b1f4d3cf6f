"""What is questionable in a new value: named as what it probably is, never refused.

A value far from its nominal (or, without one, from the limits it is held against), a repeat that
scatters more than its gauge can explain, a station apart from its neighbours: each is asked about
before it is recorded. What a person keeps all the same is marked in the record.

All thresholds here say when to *ask*. None of them is a limit, and none enters a verdict.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.slips import Guess, figure_of, places_of, retyped, slips
from bedplate.units import Typed, convert, decimal_text, dimension, rounded, system

FAR = {"inch": (Fraction(15, 1000), "in"), "metric": (Fraction(3, 10), "mm")}
"""How far from nominal a length is asked about, by system of units: a thimble turns less."""
APART = {"inch": (Fraction(5, 1000), "in"), "metric": (Fraction(3, 25), "mm")}
"""How far from a lone neighbour a length is asked about; of several, half of it at least."""
TIMES_THEIR_RANGE = 4
"""How many times the range of its neighbours a station may lie apart from the nearest."""
WIDTHS_OUTSIDE = 10
"""How many widths of its band a value without a nominal may lie outside."""

Lies = Callable[[Fraction], str]
"""How a value is said to lie, by how far it is from where it was expected."""


class Doubt(NamedTuple):
    """Why a value is asked about before it is recorded.

    Attributes:
        text: what is odd about it: ``0.9799 is 20.1 thou under nominal``.
        guess: what it probably is, as a question (``one turn of the thimble?``); empty where
            nothing comes to mind.
        instead: the value that was probably meant.
        then: how that one would lie (``2.1 thou under``).
        cure: the command to be given first, where something is missing; without ``bedplate``.
    """

    text: str
    guess: str = ""
    instead: str = ""
    then: str = ""
    cure: str = ""


class Zero(NamedTuple):
    """What a gauge that reads differences counts from.

    Attributes:
        size: what it was set to less what it then showed, in the unit of the new value: what is
            added to all it shows. 0 for one that was never set.
        told: how that is said: ``bore1, set to 1.504 in``.
        cure: the command that sets it, without ``bedplate``, where it was never set.
    """

    size: Fraction
    told: str
    cure: str = ""


class Beside(NamedTuple):
    """A value read before, beside which a new one stands.

    Attributes:
        value: in the unit of the new one.
        name: what it is called in a sentence: ``entry 9``, ``@a``.
    """

    value: Fraction
    name: str


def far_from_nominal(
    typed: Typed, nominal: Fraction, zero: Zero | None = None, *, counts: bool = False
) -> Doubt | None:
    """Return a doubt if a value is too far from its nominal to be taken as it is.

    Too far is more than 0.3 mm (0.015 in for inch units), or half the nominal if that is less;
    for what is no length, half the nominal. A nominal of nought halves nothing.

    Args:
        typed: the value; of two ends both are looked at.
        nominal: in the unit of ``typed``.
        zero: what a difference counts from, where that is what was typed.
        counts: whether a figure with a sign would have been counted from the nominal.
    """
    middle = nominal if zero is None else nominal - zero.size
    off = max((end - middle for end in (typed.low, typed.high) if end is not None), key=abs)
    allowed = _allowed(typed.unit, nominal)
    if allowed is None or abs(off) <= allowed:
        return None
    if zero is not None:
        text = f"{_made(typed, nominal + off, zero)}, {deviation(off, typed.unit)} nominal"
    elif 0 < nominal <= abs(off):
        text = f"{typed.text} is far from {_size(nominal, typed.unit)}"
    else:
        text = f"{shown(typed)} is {deviation(off, typed.unit)} nominal"
    meant = _meant(typed, nominal, zero, counts=counts)
    found = _guessed(typed, text, middle, allowed / 2, _off(typed.unit, "", "nominal"), meant)
    return found._replace(cure=zero.cure) if zero is not None else found


def far_from_limits(
    typed: Typed, low: Fraction | None, high: Fraction | None, zero: Zero | None = None
) -> Doubt | None:
    """Return a doubt if a value without a nominal is many bands away from its band.

    Args:
        typed: the value.
        low: the low limit in the unit of ``typed``, None where that side is open.
        high: the high limit.
        zero: what a difference counts from, where that is what was typed.
    """
    known = [limit for limit in (low, high) if limit is not None]
    if typed.two_ended or typed.low is None or not known:
        return None
    value = typed.low if zero is None else typed.low + zero.size
    width = abs(known[-1] - known[0]) or abs(known[0])
    nearest = min(max(value, min(known)), max(known)) if len(known) == 2 else known[0]
    if (low is None and value < nearest) or (high is None and value > nearest):
        return None
    if not width or abs(value - nearest) <= WIDTHS_OUTSIDE * width:
        return None
    lies = _to_limits(typed.unit, nearest, low, high)
    if zero is None:
        text = f"{typed.text} is far from its limits"
        return _guessed(typed, text, nearest, width, lies)
    text = f"{_made(typed, value, zero)}, far from its limits"
    meant = _meant(typed, nearest, zero, counts=False)
    found = _guessed(typed, text, nearest - zero.size, width, lies, meant)
    return found._replace(cure=zero.cure)


def _made(typed: Typed, value: Fraction, zero: Zero) -> str:
    """Return what a difference comes to with what its gauge was set to."""
    return f"{shown(typed)} on {zero.told}, makes {_size(value, typed.unit)}"


def _meant(typed: Typed, nominal: Fraction, zero: Zero | None, *, counts: bool) -> Iterator[Guess]:
    """Yield what may have been meant of the two ways to say a size: in full, or a difference."""
    if typed.low is None or typed.two_ended:
        return
    if zero is not None and zero.size:
        rest = typed.low - zero.size
        figure = retyped(decimal_text(rest, 6), typed)
        yield "The size in full, not the difference?", rest, figure
    if counts and not typed.sign:
        yield "Counted from nominal?", nominal + typed.low, f"+{shown(typed)}"


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
    lies = _off(typed.unit, " the one before", "the same")
    return _guessed(typed, text, other.value, least, lies)


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
    lies = _off(typed.unit, " its neighbour", "the same")
    return _guessed(typed, text, nearest.value, allowed / 2, lies)


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
    return rounded(value, places_of(figure_of(typed)))


def _guessed(
    typed: Typed,
    text: str,
    middle: Fraction,
    allowed: Fraction,
    lies: Lies,
    meant: Iterable[Guess] = (),
) -> Doubt:
    """Return a doubt with what the value probably is.

    That is the guess that would lie nearest, if well; of the common slips only where it was not
    meant otherwise.

    Args:
        typed: the value.
        text: what is odd about it.
        middle: where it was expected.
        allowed: how far from there a guess may lie.
        lies: how a value that lies so far from there is said to lie.
        meant: what else may have been meant.
    """
    found = [
        (order, abs(value - middle), place, guess, value, instead)
        for order, guesses in enumerate((meant, slips(typed)))
        for place, (guess, value, instead) in enumerate(guesses)
        if abs(value - middle) <= allowed
    ]
    if not found:
        return Doubt(text)
    *_, guess, value, instead = min(found)
    return Doubt(text, guess, instead, lies(value - middle))


def _off(unit: str, beside: str, same: str) -> Lies:
    """Return how a deviation is said: with what it is from, or ``same`` where there is none."""
    return lambda off: f"{deviation(off, unit)}{beside}" if off else same


def _to_limits(unit: str, nearest: Fraction, low: Fraction | None, high: Fraction | None) -> Lies:
    """Return how a deviation from the nearer limit is said."""
    beyond = _off(unit, " the nearer limit", "at the limit")

    def lies(off: Fraction) -> str:
        value = nearest + off
        inside = (low is None or low < value) and (high is None or value < high)
        return "within its limits" if inside else beyond(off)

    return lies


def _allowed(unit: str, nominal: Fraction) -> Fraction | None:
    """Return how far from its nominal a value may lie unasked, None where nothing says so."""
    half = abs(nominal) / 2 or None
    if dimension(unit) != "length":
        return half
    limit, limit_unit = FAR[system(unit) or "metric"]
    most = convert(limit, limit_unit, unit)
    return most if half is None else min(most, half)


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

    >>> from bedplate.units import read_value
    >>> shown(read_value("0.9799", "in")), shown(read_value("6 thou", "in"))
    ('0.9799', '6 thou')
    """
    return figure_of(typed) if typed.bare else typed.text
