"""Match: which part goes to which position.

First the worst deviation from the aim is made as small as can be, then, without giving any of
that up, the sum of squares; of equals, the most parts stay where they are. Decided on whole
numbers, so ties are ties.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

Table = Sequence[Sequence[Fraction | None]]
"""Deviation from the aim, by position and by part; None where the part cannot go."""


def assign(deviations: Table, present: Sequence[int | None] = ()) -> list[int] | None:
    """Return the part for each position, None where they cannot all be filled.

    Args:
        deviations: by position, then by part (a part, a spare, or a matched set); no fewer
            parts than positions, one part used once.
        present: the part now in each position, None for an empty one; by default all empty.

    Raises:
        ValueError: the table is ragged, or ``present`` is of another length.

    Source: Burkard, Dell'Amico and Martello, Assignment Problems (2009): the bottleneck by
    threshold and augmenting paths, then the Hungarian method within it.

    >>> table = [[Fraction(0), Fraction(3)], [Fraction(2), Fraction(4)]]
    >>> assign(table, [0, 1])
    [1, 0]
    """
    now = list(present) or [None] * len(deviations)
    if len({len(row) for row in deviations}) > 1 or len(now) != len(deviations):
        raise ValueError("every position needs a deviation for every part")
    sizes = _whole(deviations)
    worst = _bottleneck(sizes)
    if worst is None:
        return None
    weight = len(sizes) + 1
    costs = [
        [
            None if size is None or size > worst else size**2 * weight + (now[at] != part)
            for part, size in enumerate(row)
        ]
        for at, row in enumerate(sizes)
    ]
    return _cheapest(costs)


def _whole(deviations: Table) -> list[list[int | None]]:
    """Return the sizes of the deviations as whole numbers of one common part."""
    known = [figure for row in deviations for figure in row if figure is not None]
    common = math.lcm(*(figure.denominator for figure in known))
    return [
        [None if figure is None else abs(int(figure * common)) for figure in row]
        for row in deviations
    ]


def _bottleneck(sizes: list[list[int | None]]) -> int | None:
    """Return the least size within which every position can be filled."""
    steps = sorted({size for row in sizes for size in row if size is not None})
    if not steps:
        return 0 if not sizes else None
    low, high = 0, len(steps) - 1
    if not _fills(sizes, steps[high]):
        return None
    while low < high:
        middle = (low + high) // 2
        if _fills(sizes, steps[middle]):
            high = middle
        else:
            low = middle + 1
    return steps[low]


def _fills(sizes: list[list[int | None]], most: int) -> bool:
    """Tell whether every position can be filled with deviations of at most ``most``."""
    allowed = [
        [part for part, size in enumerate(row) if size is not None and size <= most]
        for row in sizes
    ]
    holder: dict[int, int] = {}
    seats: dict[int, int] = {}
    return all(_seated(at, allowed, holder, seats) for at in range(len(allowed)))


def _seated(
    at: int, allowed: list[list[int]], holder: dict[int, int], seats: dict[int, int]
) -> bool:
    """Find a part for a position, moving others along where that frees one."""
    came: dict[int, int] = {}
    waiting = [at]
    for position in waiting:
        for part in allowed[position]:
            if part in came:
                continue
            came[part] = position
            if part not in holder:
                _move_back(part, came, holder, seats)
                return True
            waiting.append(holder[part])
    return False


def _move_back(
    free: int, came: dict[int, int], holder: dict[int, int], seats: dict[int, int]
) -> None:
    """Give the free part to who asked for it, his to who asked for that, and so on."""
    part: int | None = free
    while part is not None:
        position = came[part]
        given_up = seats.get(position)
        holder[part], seats[position] = position, part
        part = given_up


def _cheapest(costs: list[list[int | None]]) -> list[int]:
    """Return the assignment of least total cost (one is known to exist)."""
    known = [cost for row in costs for cost in row if cost is not None]
    never = sum(known) + 1
    full = [[never if cost is None else cost for cost in row] for row in costs]
    seating = _Seating(full)
    for position in range(len(full)):
        seating.seat(position)
    chosen = {at: part for part, at in enumerate(seating.holder) if at is not None}
    return [chosen[at] for at in range(len(full))]


class _Seating:
    """The Hungarian method: positions seated one by one, each along the cheapest path.

    Every position and every part has a price; cost − prices is never below 0, and 0 on what is
    seated. `holder` has the position of each part.
    """

    def __init__(self, costs: list[list[int]]) -> None:
        self.costs = costs
        self.parts = range(len(costs[0]) if costs else 0)
        self.position_prices = [0] * len(costs)
        self.part_prices = [0] * len(self.parts)
        self.holder: list[int | None] = [None] * len(self.parts)

    def seat(self, position: int) -> None:
        """Seat one more position, moving others along the cheapest alternating path."""
        open_parts = set(self.parts)
        reach: dict[int, int] = {}
        before: dict[int, int | None] = {}
        tree: list[tuple[int, int | None]] = [(position, None)]
        at, last = position, None
        while True:
            for part in open_parts:
                over = self.costs[at][part] - self.position_prices[at] - self.part_prices[part]
                if part not in reach or over < reach[part]:
                    reach[part], before[part] = over, last
            last = min(open_parts, key=lambda part: (reach[part], part))
            self.raise_prices(reach.pop(last), tree, open_parts - {last}, reach)
            open_parts.remove(last)
            sitting = self.holder[last]
            if sitting is None:
                break
            tree.append((sitting, last))
            at = sitting
        self.move_along(position, last, before)

    def raise_prices(
        self,
        by: int,
        tree: list[tuple[int, int | None]],
        waiting: set[int],
        reach: dict[int, int],
    ) -> None:
        """Raise what has been reached so far until the next part costs nothing more."""
        for position, part in tree:
            self.position_prices[position] += by
            if part is not None:
                self.part_prices[part] -= by
        for part in waiting:
            reach[part] -= by

    def move_along(self, position: int, last: int, before: dict[int, int | None]) -> None:
        """Seat along the path: each part goes to whoever held the one before it."""
        part: int | None = last
        while part is not None:
            earlier = before[part]
            self.holder[part] = position if earlier is None else self.holder[earlier]
            part = earlier
