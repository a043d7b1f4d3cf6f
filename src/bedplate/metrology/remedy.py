"""Remedy: what change of a figure, or what size of part, brings a fit in.

A change of the figure by x moves the fit by factor·x; `shift` is what the fit is moved by. All
here is in the fit's unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, NamedTuple

from bedplate.metrology.error import ZERO
from bedplate.metrology.judge import SIDES, Case, Limits
from bedplate.metrology.roots import root_above

Make = Literal["smaller", "larger"]


class Place(NamedTuple):
    """A fit at one position, as a change sees it.

    Attributes:
        low, high: the least and the greatest of its values (its mean twice, under ``mean``).
        aim: what is wished for there.
    """

    low: Fraction
    high: Fraction
    aim: Fraction


class Window(NamedTuple):
    """The shifts of a fit that bring every value in; None is no end on that side."""

    least: Fraction | None
    greatest: Fraction | None

    @property
    def nearest(self) -> Fraction:
        """The least shift that does it: 0 where the fit is in as it stands."""
        if self.least is not None and self.least > 0:
            return self.least
        if self.greatest is not None and self.greatest < 0:
            return self.greatest
        return ZERO


class Choice(NamedTuple):
    """What one size of part would do.

    Attributes:
        change: of the figure, against what is there now.
        deviations: of every value from its aim, after the change; none without an aim.
        all_in: whether every position would be ``in``.
    """

    change: Fraction
    deviations: tuple[Fraction, ...] = ()
    all_in: bool = False

    @property
    def worst(self) -> Fraction:
        """The greatest deviation from the aim, either way."""
        return max((abs(deviation) for deviation in self.deviations), default=ZERO)


def aim_of(limits: Limits, aim: Fraction | None = None) -> Fraction | None:
    """Return what is wished for: the aim, else the band's middle; None if one-sided.

    >>> aim_of(Limits(Fraction(2), Fraction(4)))
    Fraction(3, 1)
    """
    if aim is not None:
        return aim
    if limits.low is None or limits.high is None:
        return None
    return (limits.low + limits.high) / 2


def centring_shift(places: Sequence[Place], *, by_mean: bool = False) -> Fraction:
    """Return the one shift that puts all the places together on their aims.

    The middle of the least and the greatest deviation goes to 0; by the mean, the mean of the
    deviations.

    Args:
        places: one for a change of its own, all for a part they share; at least one.
        by_mean: whether the fit is judged by its mean.

    Raises:
        ValueError: there are no places.

    >>> idler = Place(Fraction("5.1"), Fraction("5.3"), Fraction(3))
    >>> float(centring_shift([idler]))
    -2.2
    """
    if not places:
        raise ValueError("a change needs a place at least")
    if by_mean:
        middles = [(place.low + place.high) / 2 - place.aim for place in places]
        return -sum(middles, ZERO) / len(middles)
    least = min(place.low - place.aim for place in places)
    greatest = max(place.high - place.aim for place in places)
    return -(least + greatest) / 2


def window(cases: Sequence[Case], grain: Fraction | None = None) -> Window | None:
    """Return the shifts after which every case is inside its limits; None where none is.

    Args:
        cases: the judged values; open ends that face a limit cannot be brought in.
        grain: given, each value must be inside by its U, which is rounded up to this step (U is
            mostly no fraction), so that its verdict is ``in``; else on the limit is enough.

    >>> band = Limits(Fraction(2), Fraction(4))
    >>> ends = [Case(Fraction(figure), Fraction(0), band) for figure in ("5.1", "5.3")]
    >>> window(ends)
    Window(least=Fraction(-31, 10), greatest=Fraction(-13, 10))
    """
    least: list[Fraction] = []
    greatest: list[Fraction] = []
    for case in cases:
        guard = ZERO if grain is None else root_above(4 * case.variance, grain)
        if case.value is None:
            if case.open is not None and case.limits.has(case.open):
                return None
            continue
        for side in SIDES:
            distance = case.limits.inside(case.value, side)
            if distance is not None and side == "low":
                least.append(guard - distance)
            elif distance is not None:
                greatest.append(distance - guard)
    low, high = max(least, default=None), min(greatest, default=None)
    return None if low is not None and high is not None and low > high else Window(low, high)


def is_allowed(change: Fraction, make: Make) -> bool:
    """Tell whether a change goes the way the figure can be made to go; none always does.

    >>> is_allowed(Fraction(-1), "smaller"), is_allowed(Fraction(1), "smaller")
    (True, False)
    """
    return change <= 0 if make == "smaller" else change >= 0


def shifted(cases: Sequence[Case], shift: Fraction) -> list[Case]:
    """Return the cases as they would be after a shift, with the same errors.

    >>> shifted([Case(Fraction(5), Fraction(0), Limits())], Fraction(-2))[0].value
    Fraction(3, 1)
    """
    return [
        case._replace(
            value=None if case.value is None else case.value + shift,
            middle=None if case.middle is None else case.middle + shift,
        )
        for case in cases
    ]


def best_choice(choices: Sequence[Choice], *, aimed: bool = True) -> int | None:
    """Return the place of the size to take, None where nothing offered will do.

    Args:
        choices: what each size would do.
        aimed: with an aim, the least worst deviation, of equals the smaller change; without
            one, the least change after which every position is ``in``.

    >>> offered = [Choice(Fraction(1), (Fraction(2),)), Choice(Fraction(3), (Fraction(-1),))]
    >>> best_choice(offered)
    1
    """
    places = [at for at, choice in enumerate(choices) if aimed or choice.all_in]
    return min(
        places,
        key=lambda at: (choices[at].worst if aimed else ZERO, abs(choices[at].change)),
        default=None,
    )
