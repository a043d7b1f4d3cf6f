"""Arrange: parts of several kinds to positions, all of them together."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.arrange import Arrangement, Choice, arrange

F = Fraction

Options = Sequence[Mapping[Choice, Fraction | None]]


def lengths(shafts: Sequence[int], shims: Sequence[int]) -> dict[Choice, Fraction | None]:
    """Return how far every pair lies from 0."""
    pairs = itertools.product(enumerate(shafts), enumerate(shims))
    return {(a, b): F(shaft - shim) for (a, shaft), (b, shim) in pairs}


def test_both_kinds_may_move() -> None:
    """No shaft fits over the shim there, and position 1 wants the short pair."""
    over = lengths([1, 5, 9], [9, 1, 5])
    short = {choice: far if choice[0] == 0 else F(3) for choice, far in over.items()}
    found = arrange([over, over, short], [0, 1], [(0, 0), (1, 1), (2, 2)])
    assert found is not None
    assert (found.chosen[2], found.is_best) == ((0, 1), True)
    assert sorted(found.chosen) == [(0, 1), (1, 2), (2, 0)]


def test_of_equals_what_is_named_first_stays() -> None:
    far = lengths([1, 2], [2, 1])
    assert arrange([far, far], [0, 1], [(0, 0), (1, 1)]) == ([(0, 1), (1, 0)], True)


def test_one_part_is_used_once_though_two_seats_take_its_kind() -> None:
    far: dict[Choice, Fraction | None] = {(a, b): F(a + b - 3) for a in range(4) for b in range(4)}
    assert arrange([far, far], [0, 0], [(0, 1), (2, 3)]) == ([(0, 3), (2, 1)], True)


def test_where_a_position_cannot_be_filled_there_is_none() -> None:
    assert arrange([{(0, 0): F(1)}, {(0, 0): F(1)}], [0, 1], [(0, 0), (1, 1)]) is None


def test_a_search_that_is_cut_short_gives_the_best_it_found_and_says_so() -> None:
    far = lengths(range(8), [n * 3 % 8 for n in range(8)])
    found = arrange([far] * 8, [0, 1], [(n, n) for n in range(8)], most=100)
    assert found is not None
    assert (found.is_best, {a - b * 3 % 8 for a, b in found.chosen}) == (False, {0})


def every(options: Options, pools: Sequence[int]) -> Iterator[list[Choice]]:
    """Yield every arrangement that uses each part once."""
    for chosen in itertools.product(*options):
        used = [(pool, part) for one in chosen for pool, part in zip(pools, one, strict=True)]
        if len(set(used)) == len(used):
            yield list(chosen)


@given(st.data())
def test_it_is_as_good_as_the_best_of_all(data: st.DataObject) -> None:
    pools = data.draw(st.sampled_from([[0, 1], [0, 0], [0, 1, 2], [0, 1, 1]]))
    places = data.draw(st.integers(1, 3 if len(pools) == 2 else 2))
    counts = [pools.count(pool) * places for pool in range(max(pools) + 1)]
    counts[0] += data.draw(st.integers(0, 1))
    choices = list(itertools.product(*(range(counts[pool]) for pool in pools)))
    sizes = st.lists(st.integers(-5, 5), min_size=len(choices), max_size=len(choices))
    options = [
        {choice: F(size, 3) for choice, size in zip(choices, data.draw(sizes), strict=True)}
        for _ in range(places)
    ]
    present = [
        tuple(at * pools.count(pool) + pools[:seat].count(pool) for seat, pool in enumerate(pools))
        for at in range(places)
    ]

    def worth(chosen: list[Choice]) -> tuple[Fraction, Fraction, int]:
        sizes = [abs(known[one]) for known, one in zip(options, chosen, strict=True)]
        moved = sum(
            there != now
            for one, before in zip(chosen, present, strict=True)
            for there, now in zip(one, before, strict=True)
        )
        return max(sizes), sum((size**2 for size in sizes), F(0)), moved

    found = arrange(options, pools, present)
    assert isinstance(found, Arrangement)
    assert found.is_best
    assert worth(found.chosen) == min(map(worth, every(options, pools)))
