"""Arrange: which parts of several kinds go to which positions, all kinds together.

The best is what `match.assign` calls so: first the worst deviation is least, then the sum of
squares, then the most parts stay. Of two kinds or more no method is known that finds it without
trying (three-dimensional assignment, Karp 1972), so this is a search that leaves out whatever
cannot be better than the best found; it says whether it came to its end.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.metrology.match import assign

Choice = tuple[int, ...]
"""The part for each seat at one position."""

MOST = 6_000_000
"""How many options are looked at before the best found so far is taken."""


class Arrangement(NamedTuple):
    """What goes where.

    Attributes:
        chosen: by position, the part for each seat.
        is_best: whether every arrangement was tried, or left out for being no better.
    """

    chosen: list[Choice]
    is_best: bool


class _Option(NamedTuple):
    """One choice for a position; ``parts`` has a bit for every part that it uses."""

    size: int
    moved: int
    parts: int
    choice: Choice


Worth = tuple[int, int, int]
"""The worst size, the sum of squares, what moves: the least is the best."""


def arrange(
    options: Sequence[Mapping[Choice, Fraction | None]],
    pools: Sequence[int],
    present: Sequence[Choice],
    most: int = MOST,
) -> Arrangement | None:
    """Return the best arrangement, None where not every position can be filled.

    Args:
        options: by position, how far from the aim every choice of parts would lie, one part a
            seat; None, or not there, where it cannot go.
        pools: for each seat, from which kind of parts it is filled; one part is used once.
        present: what sits in each position now.
        most: how many options to look at, at most.

    >>> far = {(a, b): Fraction(abs(a - b)) for a in (0, 1) for b in (0, 1)}
    >>> arrange([far, far], [0, 1], [(0, 1), (1, 0)]).chosen
    [(0, 0), (1, 1)]
    """
    search = _Search(options, pools, present, most)
    search.descend()
    search.look(tuple(range(len(options))), 0, (0, 0, 0), ())
    if search.best is None:
        return None
    return Arrangement(search.best[1], search.left >= 0)


class _Search:
    """The search, with the best found so far."""

    def __init__(
        self,
        options: Sequence[Mapping[Choice, Fraction | None]],
        pools: Sequence[int],
        present: Sequence[Choice],
        most: int,
    ) -> None:
        self.present, self.pools, self.left = list(present), pools, most
        self.best: tuple[Worth, list[Choice]] | None = None
        known = [far for one in options for far in one.values() if far is not None]
        self.common = math.lcm(*(far.denominator for far in known))
        self.options = [
            sorted(self._options(one, now)) for one, now in zip(options, present, strict=True)
        ]
        self.by_choice = [{option.choice: option for option in one} for one in self.options]

    def _options(self, one: Mapping[Choice, Fraction | None], now: Choice) -> Iterator[_Option]:
        """Yield the choices for one position that use no part twice."""
        kinds = max(self.pools) + 1
        for choice, far in one.items():
            used = {part * kinds + pool for part, pool in zip(choice, self.pools, strict=True)}
            if far is not None and len(used) == len(choice):
                # Of equals the kinds named first stay: one move more always outweighs that.
                moves = [seat for seat, part in enumerate(choice) if part != now[seat]]
                moved = sum(len(choice) * len(self.present) * 2 - seat for seat in moves)
                bits = sum(1 << place for place in used)
                yield _Option(abs(int(far * self.common)), moved, bits, choice)

    # ---- from what sits there, one kind after another

    def descend(self) -> None:
        """Begin with what one kind alone can do, then the next, as long as it gets better."""
        chosen = list(self.present)
        while True:
            before = self.best
            for pool in dict.fromkeys(self.pools):
                if self.pools.count(pool) == 1:
                    chosen = self._better(chosen, self.pools.index(pool))
            if self.best is None or self.best == before:
                return

    def _better(self, chosen: list[Choice], seat: int) -> list[Choice]:
        """Return the best that parts of one kind can do while all others stay as they are."""
        parts = range(1 + max((o.choice[seat] for one in self.options for o in one), default=-1))
        table = [
            [
                Fraction(option.size) if option is not None else None
                for part in parts
                for option in [known.get((*now[:seat], part, *now[seat + 1 :]))]
            ]
            for known, now in zip(self.by_choice, chosen, strict=True)
        ]
        found = assign(table, [now[seat] for now in self.present]) if parts else None
        if found is None:
            return chosen
        better = [
            (*now[:seat], part, *now[seat + 1 :]) for now, part in zip(chosen, found, strict=True)
        ]
        self._take([known[now] for known, now in zip(self.by_choice, better, strict=True)])
        return self.best[1] if self.best else better

    def _take(self, seated: Sequence[_Option]) -> None:
        worth = (
            max((one.size for one in seated), default=0),
            sum(one.size**2 for one in seated),
            sum(one.moved for one in seated),
        )
        if self.best is None or worth < self.best[0]:
            self.best = worth, [one.choice for one in seated]

    # ---- all kinds together

    def look(
        self,
        places: tuple[int, ...],
        used: int,
        worth: Worth,
        seated: tuple[tuple[int, _Option], ...],
    ) -> None:
        """Fill the empty places in every way that can be better than the best found."""
        if not places:
            self._take([option for _, option in sorted(seated)])
            return
        free: dict[int, list[_Option]] = {}
        for place in places:
            self.left -= len(self.options[place])
            free[place] = self._free(place, used)
            if self.left < 0 or not free[place]:
                return
        if not self._can_be_better(worth, free.values()):
            return
        # The place with the fewest ways goes first: what cannot be is seen soonest.
        place = min(places, key=lambda one: len(free[one]))
        rest = tuple(one for one in places if one != place)
        worst, squares, moved = worth
        for option in free[place]:
            if self.best is not None and option.size > self.best[0][0]:
                return
            then = (max(worst, option.size), squares + option.size**2, moved + option.moved)
            self.look(rest, used | option.parts, then, (*seated, (place, option)))

    def _free(self, place: int, used: int) -> list[_Option]:
        """Return the options of a place whose parts are free, none beyond the best's worst."""
        bound = self.best[0][0] if self.best is not None else None
        return [
            option
            for option in self.options[place]
            if not option.parts & used and (bound is None or option.size <= bound)
        ]

    def _can_be_better(self, worth: Worth, free: Iterable[list[_Option]]) -> bool:
        """Tell whether the least that is possible at each place would be better than the best."""
        if self.best is None:
            return True
        worst, squares, moved = worth
        for options in free:
            worst = max(worst, options[0].size)
            squares += options[0].size ** 2
            moved += min(option.moved for option in options)
        return (worst, squares, moved) < self.best[0]
