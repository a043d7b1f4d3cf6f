"""Every combination of a stack, added up in whole numbers, and formed in full where it decides.

A fit may have 100,000 combinations, and one verdict. What they come to is added up over one
common denominator, exactly. Two combinations of the same u² under the same limits differ in
nothing but their figure: the one farther out decides for both, on its side, the verdict as well
as the probability. Only those are formed as estimates and judged.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import ZERO, Draw, Estimate, average, combine
from bedplate.metrology.figures import Figures, How, cases, figures, figures_between, is_low
from bedplate.metrology.judge import Case, Limits

Part = tuple[Fraction, Spot]
"""How often an address counts in a combination, and the address."""


class Listed:
    """The values of one row, each formed in full: of spreads, planes, and what has two ends."""

    def __init__(self, estimates: Sequence[Estimate]) -> None:
        self.estimates = estimates

    @property
    def mean(self) -> Estimate:
        """The mean of all values."""
        return average(self.estimates)

    def figures(self, kind: str) -> Figures:
        """Return mean, tightest and loosest."""
        return figures(self.estimates, kind)

    def cases(self, limits: Sequence[Limits], kind: str, how: How = "every") -> list[Case]:
        """Return the values that are judged, with what holds for each."""
        return cases(self.estimates, limits, kind, how)


class Sweep:
    """The combinations of one row of a stack; no reading in it has two ends.

    Args:
        combinations: each with its parts, one at least; a part that several have is best one
            object.
        known: the estimate at every address, in the unit of the fit.

    >>> seven, four = (Estimate(Fraction(n), Fraction(n), {}, {}) for n in (7, 4))
    >>> gap = (Fraction(1), Spot("D")), (Fraction(-1), Spot("H"))
    >>> sweep = Sweep([gap], {Spot("D"): seven, Spot("H"): four})
    >>> sweep.figures("clearance").tightest
    Fraction(3, 1)
    """

    def __init__(
        self, combinations: Sequence[tuple[Part, ...]], known: Mapping[Spot, Estimate]
    ) -> None:
        self.known = known
        self.combinations = combinations
        self.parts: list[Part] = []
        self.rows = self._numbered()
        values = [count * (known[spot].low or ZERO) for count, spot in self.parts]
        self.unit = math.lcm(*(value.denominator for value in values))
        whole = [int(value * self.unit) for value in values]
        self.values = [sum(map(whole.__getitem__, row)) for row in self.rows]

    def _numbered(self) -> list[tuple[int, ...]]:
        """Return the combinations as numbers of their parts."""
        numbers: dict[int, int] = {}
        for combination in self.combinations:
            for part in combination:
                if id(part) not in numbers:
                    numbers[id(part)] = len(self.parts)
                    self.parts.append(part)
        return [tuple([numbers[id(part)] for part in one]) for one in self.combinations]

    @cached_property
    def mean(self) -> Estimate:
        """The mean of all combinations: each part with its share of them."""
        times = [0] * len(self.parts)
        for row in self.rows:
            for number in row:
                times[number] += 1
        total = len(self.rows)
        return combine(
            (count * Fraction(number, total), self.known[spot])
            for number, (count, spot) in zip(times, self.parts, strict=True)
        )

    def figures(self, kind: str) -> Figures:
        """Return mean, tightest and loosest."""
        least, greatest = (
            Fraction(min(self.values), self.unit),
            Fraction(max(self.values), self.unit),
        )
        return figures_between(self.mean, least, greatest, kind)

    def cases(self, limits: Sequence[Limits], kind: str, how: How = "every") -> list[Case]:
        """Return the values that can decide, of those that are judged, in their order.

        Args:
            limits: what holds for each combination; equal ones are best one object.
            kind: of the fit.
            how: which of them are judged.
        """
        if how == "mean":
            return cases([self.mean], limits[:1], kind, how)
        judged: Iterable[int] = range(len(self.rows))
        if how != "every":
            extreme = min(self.values) if is_low(how, kind) else max(self.values)
            judged = [place for place in judged if self.values[place] == extreme]
        places = self._farthest(judged, limits)
        estimates = [self._formed(place) for place in places]
        return cases(estimates, [limits[place] for place in places], kind, how)

    def _farthest(self, judged: Iterable[int], limits: Sequence[Limits]) -> list[int]:
        """Return the first least and the first greatest of each u² under the same limits."""
        alike = self._alike()
        least: dict[tuple[int, object], int] = {}
        greatest: dict[tuple[int, object], int] = {}
        values = self.values
        for place in judged:
            key = id(limits[place]), alike[place]
            value = values[place]
            if key not in least:
                least[key] = greatest[key] = place
            elif value < values[least[key]]:
                least[key] = place
            elif value > values[greatest[key]]:
                greatest[key] = place
        return sorted({*least.values(), *greatest.values()})

    def _alike(self) -> list[object]:
        """Return for each combination what its u² follows from: equal for equal ones.

        A draw that one part alone has adds its share whatever it is combined with. What a part
        has in common with others is told by the coefficients of those draws.
        """
        owners: dict[Draw, set[Spot]] = {}
        for _, spot in self.parts:
            for draw in self.known[spot].draws:
                owners.setdefault(draw, set()).add(spot)
        own: list[Fraction] = []
        classes: dict[frozenset[tuple[Draw, Fraction]], int] = {}
        shared: list[int] = []
        for count, spot in self.parts:
            estimate = self.known[spot]
            private, common = ZERO, []
            for draw, times in estimate.draws.items():
                if len(owners[draw]) > 1:
                    common.append((draw, count * times))
                else:
                    private += (count * times) ** 2 * estimate.variances[draw]
            own.append(private)
            shared.append(classes.setdefault(frozenset(common), len(classes)))
        unit = math.lcm(*(square.denominator for square in own))
        whole = [int(square * unit) for square in own]
        return [
            (sum(map(whole.__getitem__, row)), tuple(map(shared.__getitem__, row)))
            for row in self.rows
        ]

    def _formed(self, place: int) -> Estimate:
        return combine((count, self.known[spot]) for count, spot in self.combinations[place])
