"""Judgement: a figure with its uncertainty, held against limits. Decided exactly.

With U = 2u, a figure d inside a limit is surely inside when d ≥ U, and one d outside is surely
outside when d > U (guard bands of ISO 14253-1 and JCGM 106:2012, 8.3); both are decided on the
squares, d² against 4u², which are fractions. Only the probability is a float.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Literal, NamedTuple

from bedplate.metrology.chance import Reach, probability_between, signed_square
from bedplate.metrology.error import ZERO, Estimate
from bedplate.metrology.roots import root

Side = Literal["low", "high"]

SIDES: tuple[Side, Side] = ("low", "high")

VERDICTS = ("in", "in-close", "serviceable", "out-close", "out")
"""Every verdict against a limit, best first."""

NO_BAND = "no-band"

COARSE = 4
"""Capability below which a gauge is coarse for its band."""

WORDS: dict[str, dict[Side, str]] = {
    "clearance": {"low": "tight", "high": "loose"},
    "interference": {"low": "loose", "high": "tight"},
    "size": {"low": "undersize", "high": "oversize"},
    "wear": {"low": "worn", "high": "worn"},
    "form": {"low": "low", "high": "high"},
    "direct": {"low": "low", "high": "high"},
}
"""What being off on a side is called, by the kind of fit."""


class Limits(NamedTuple):
    """A band, inclusive, and the wear limits beyond it; nominal already added.

    Attributes:
        low, high: the band; None where it is open.
        wear_low, wear_high: to where a used part still serves, None where nothing is said.
    """

    low: Fraction | None = None
    high: Fraction | None = None
    wear_low: Fraction | None = None
    wear_high: Fraction | None = None

    @property
    def width(self) -> Fraction | None:
        """The width of the band, None with one limit or none."""
        return None if self.low is None or self.high is None else self.high - self.low

    def has(self, side: Side) -> bool:
        """Whether the band has a limit on this side."""
        return (self.low if side == "low" else self.high) is not None

    def inside(self, value: Fraction, side: Side) -> Fraction | None:
        """Return how far inside the band's limit a value lies, negative outside."""
        return _inside(value, self.low, self.high, side)

    def inside_wear(self, value: Fraction, side: Side) -> Fraction | None:
        """Return how far inside the wear limit a value lies, negative outside."""
        return _inside(value, self.wear_low, self.wear_high, side)

    def faults(self) -> list[str]:
        """Return what is wrong with the limits themselves, in words.

        >>> Limits(Fraction(4), Fraction(2)).faults()
        ['low is above high']
        """
        low, high, wear_low, wear_high = self.low, self.high, self.wear_low, self.wear_high
        found = []
        if low is not None and high is not None and low > high:
            found.append("low is above high")
        for side, limit, wear in (("low", low, wear_low), ("high", high, wear_high)):
            if wear is not None and limit is None:
                found.append(f"there is a {side} wear limit, but no {side} limit for it to widen")
        if wear_low is not None and low is not None and wear_low > low:
            found.append("the low wear limit lies inside the band")
        if wear_high is not None and high is not None and wear_high < high:
            found.append("the high wear limit lies inside the band")
        return found


class Case(NamedTuple):
    """One judged value with the limits that hold for it.

    Attributes:
        value: what is held against the limits; None where that end is open.
        variance: u², without the width of a bracket.
        limits: the band and wear limits here.
        open: where ``value`` is None, the side it runs off to.
        middle: of a bracket, what stands for it in the probability; by default the value.
        width_variance: what a bracket adds to u² in the probability.
        endless: whether the value, or the other end of its bracket, is open: no probability.
        estimate: what the value is an end of, for `settles`.
    """

    value: Fraction | None
    variance: Fraction
    limits: Limits
    open: Side | None = None
    middle: Fraction | None = None
    width_variance: Fraction = ZERO
    endless: bool = False
    estimate: Estimate | None = None


class Verdict(NamedTuple):
    """What a fit comes to.

    Attributes:
        verdict: one of `VERDICTS`, or ``no-band``.
        side: the side it is off on, or close to; None for ``in`` and ``no-band``.
        judged: the value that decides; None where it is an open end.
        margin: how far inside the band's limit it lies, negative outside; None without one.
        variance: its u²; None where there is no value at all.
        probability: that the fit lies in its band; None without a band or with an open end.
        capability: band width over 2U; None with one limit or U = 0.
        case: the place of the deciding case among those given, None for ``no-band``.
        deciding: that case.
    """

    verdict: str
    side: Side | None
    judged: Fraction | None
    margin: Fraction | None
    variance: Fraction | None
    probability: float | None
    capability: float | None
    case: int | None = None
    deciding: Case | None = None

    @property
    def is_coarse(self) -> bool:
        """Whether the gauge is coarse for this band."""
        return self.capability is not None and self.capability < COARSE


class Settles(NamedTuple):
    """What would settle a close call; neither where both are None.

    Attributes:
        repeats: how many times the repeats now taken.
        error_factor: what every maximum error would have to be multiplied by.
    """

    repeats: int | None
    error_factor: Decimal | None


class _Held(NamedTuple):
    """One case held against one limit; ``key`` puts the deciding one first."""

    key: tuple[object, ...]
    verdict: str
    side: Side
    distance: Fraction | None
    case: int


def judge(cases: Sequence[Case], mean: Estimate | None = None) -> Verdict:
    """Return the verdict of a fit from its judged values, each with its own limits.

    The worst verdict holds. Of equals, the least d/u decides (with u = 0 the least d), then
    low before high, then the larger u.

    Args:
        cases: every judged value; complete ones only.
        mean: the fit's mean, for its figures where no case has a limit.

    Source: JCGM 106:2012, 8.2 and 8.3; ISO 14253-1.

    >>> four = Case(Fraction("0.7540") - Fraction("0.7500"), Fraction(1, 10**10),
    ...             Limits(Fraction("0.002"), Fraction("0.004")))
    >>> verdict = judge([four])
    >>> verdict.verdict, verdict.side, verdict.margin
    ('in-close', 'high', Fraction(0, 1))
    """
    held = min(
        (one for place, case in enumerate(cases) for one in _against_limits(place, case)),
        key=lambda one: one.key,
        default=None,
    )
    if held is None:
        middle = None if mean is None else mean.middle
        square = None if mean is None else mean.variance
        return Verdict(NO_BAND, None, middle, None, square, None, None)
    case = cases[held.case]
    return Verdict(
        held.verdict,
        None if held.verdict == "in" else held.side,
        case.value,
        held.distance,
        case.variance,
        _probability(cases),
        capability(case.limits, case.variance),
        held.case,
        case,
    )


def held_against(distance: Fraction, wear: Fraction | None, variance: Fraction) -> str:
    """Return the verdict of one value against one limit.

    Args:
        distance: how far inside the band's limit it lies; negative outside.
        wear: how far inside the wear limit on that side, None where there is none.
        variance: u².

    >>> held_against(Fraction(-1), Fraction(2), Fraction(1))
    'serviceable'
    """
    guard = 4 * variance
    if distance >= 0:
        return "in" if distance**2 >= guard else "in-close"
    if wear is not None and wear >= 0 and wear**2 >= guard:
        return "serviceable"
    # A wear limit not yet passed, but not surely kept, lies within the guard on either side.
    beyond = distance if wear is None else wear
    return "out" if beyond**2 > guard else "out-close"


def capability(limits: Limits, variance: Fraction) -> float | None:
    """Return the width of the band over 2U, None with one limit or with U = 0.

    Source: JCGM 106:2012, 3.3.17 and 7.6: C_m = T/(4u), with U = 2u.

    >>> capability(Limits(Fraction(2), Fraction(4)), Fraction(1, 64))
    4.0
    """
    if limits.width is None or not variance:
        return None
    return float(root(limits.width**2 / (16 * variance), 20))


def passes(verdict: str, rule: str = "simple") -> bool:
    """Tell whether a verdict passes: a close call does under ``simple``, not ``guarded``.

    >>> passes("in-close"), passes("in-close", "guarded"), passes("out-close")
    (True, False, False)
    """
    return verdict in {"in", "serviceable", NO_BAND} or (
        verdict == "in-close" and rule == "simple"
    )


def word(kind: str, side: Side | None) -> str | None:
    """Return what being off on a side is called in a fit of this kind; None without a side.

    >>> word("clearance", "high"), word("interference", "high"), word("size", "low")
    ('loose', 'tight', 'undersize')
    """
    return None if side is None else WORDS[kind][side]


def settles(verdict: Verdict) -> Settles | None:
    """Return what would settle a close call, None where the verdict is not close.

    With B the repeatability's part of u² and M the maximum errors': enough repeats bring u²
    down to u² − B + B/k, better gauges to u² − M + M·f²; either settles it where d²/4 is then
    reached. Where a wear limit is what makes it close, d is the distance from that.

    >>> settles(judge([Case(Fraction(3), Fraction(1), Limits(Fraction(2)))]))
    Settles(repeats=None, error_factor=None)
    """
    case, side = verdict.deciding, verdict.side
    if not verdict.verdict.endswith("-close") or case is None or side is None:
        return None
    wear = None if case.value is None else case.limits.inside_wear(case.value, side)
    margin = verdict.margin or ZERO
    reach = margin if wear is None or margin >= 0 else wear
    scatter = case.estimate.part("repeatability") if case.estimate else ZERO
    errors = case.estimate.part("max_error") if case.estimate else ZERO
    room_for_scatter = reach**2 / 4 - (case.variance - scatter)
    room_for_errors = reach**2 / 4 - (case.variance - errors)
    return Settles(
        math.ceil(scatter / room_for_scatter) if scatter and room_for_scatter > 0 else None,
        root(room_for_errors / errors) if errors and room_for_errors > 0 else None,
    )


def _inside(
    value: Fraction, low: Fraction | None, high: Fraction | None, side: Side
) -> Fraction | None:
    if side == "low":
        return None if low is None else value - low
    return None if high is None else high - value


def _against_limits(place: int, case: Case) -> Iterator[_Held]:
    """Yield a case held against each of its limits."""
    for order, side in enumerate(SIDES):
        if case.value is None:
            if case.open == side and case.limits.has(side):
                key = (-VERDICTS.index("out"), (-2, ZERO, ZERO), order, -case.variance)
                yield _Held(key, "out", side, None, place)
            continue
        distance = case.limits.inside(case.value, side)
        if distance is None:
            continue
        verdict = held_against(distance, case.limits.inside_wear(case.value, side), case.variance)
        nearness = _nearness(distance, case.variance)
        key = (-VERDICTS.index(verdict), nearness, order, -case.variance)
        yield _Held(key, verdict, side, distance, place)


def _nearness(distance: Fraction, square: Fraction) -> tuple[int, Fraction, Fraction]:
    """Return what puts the least d/u first, with u = 0 the least d."""
    if square:
        return 0, signed_square(distance, square), ZERO
    return (distance > 0) - (distance < 0), ZERO, distance


def _probability(cases: Iterable[Case]) -> float | None:
    """Return the probability in band; None where a middle is wanting."""
    reaches: dict[Side, list[Reach]] = {"low": [], "high": []}
    for case in cases:
        middle = case.value if case.middle is None else case.middle
        for side in SIDES:
            if not case.limits.has(side):
                continue
            if case.endless or middle is None:
                return None
            distance = case.limits.inside(middle, side) or ZERO
            reaches[side].append((distance, case.variance + case.width_variance))
    return probability_between(reaches["low"], reaches["high"])
