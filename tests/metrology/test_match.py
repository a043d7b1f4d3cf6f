from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.match import assign

F = Fraction
Row = Sequence[Fraction | None]


def table(*rows: str) -> list[list[Fraction | None]]:
    return [[None if word == "-" else F(word) for word in row.split()] for row in rows]


def test_the_worst_deviation_is_made_least_first() -> None:
    # leaving them costs 0 and 5, changing over 3 and 4: squares 25 against 25, worst 5 against 4
    assert assign(table("0 3", "4 5"), [0, 1]) == [1, 0]


def test_then_the_sum_of_squares() -> None:
    assert assign(table("4 9 9", "9 1 3", "9 2 3"), [None] * 3) == [0, 1, 2]
    assert assign(table("4 9 9", "9 3 1", "9 2 3"), [None] * 3) == [0, 2, 1]


def test_it_is_squares_that_are_added_neither_the_sizes_nor_their_cubes() -> None:
    # within a worst of 5 that nothing avoids: 1 and 3 against 2 and 2
    assert assign(table("1 2 -", "2 3 -", "- - 5"), [0, 1, 2]) == [1, 0, 2]
    # 4, 1, 1 (squares 18, cubes 66) against 3, 3, 1 (squares 19, cubes 55)
    assert assign(table("3 4 - -", "1 3 - -", "- - 1 -", "- - - 5"), [0, 1, 2, 3]) == [1, 0, 2, 3]


def test_the_least_gain_in_squares_outweighs_any_number_of_moves() -> None:
    ring = table("1 0 - -", "- 0 0 -", "- - 0 0", "2 - - 2")
    assert assign(ring, [0, 1, 2, 3]) == [1, 2, 3, 0]


def test_ties_stay_where_they_are() -> None:
    alike = table("1 -1 1", "1 1 1", "-1 1 1")
    for present in itertools.permutations(range(3)):
        assert assign(alike, present) == list(present)
    assert assign(table("0 0 0", "0 0 0"), [2, None]) == [2, 0]


def test_a_spare_is_taken_where_it_is_better_and_left_where_it_is_not() -> None:
    assert assign(table("3 7 1", "8 2 9"), [0, 1]) == [2, 1]
    assert assign(table("3 7 -3", "8 2 9"), [0, 1]) == [0, 1]


def test_where_a_part_cannot_go_it_does_not_go() -> None:
    assert assign(table("- 5", "0 0")) == [1, 0]
    assert assign(table("- 5", "0 -")) == [1, 0]
    assert assign(table("- 5", "- 0")) is None
    assert assign(table("- -")) is None
    assert assign(table("1", "1")) is None


def test_nothing_to_place_is_placed() -> None:
    assert assign([]) == []


@pytest.mark.parametrize(
    ("deviations", "present"), [(table("1 2", "1"), [0, 1]), (table("1 2"), [0, 1])]
)
def test_a_ragged_table_is_refused(deviations: list[Row], present: list[int]) -> None:
    with pytest.raises(ValueError, match="every position needs a deviation for every part"):
        assign(deviations, present)


def merit(
    deviations: Sequence[Row], present: Sequence[int | None], parts: Sequence[int]
) -> tuple[Fraction, Fraction, int] | None:
    """Return worst, sum of squares and parts moved, or None where one cannot go."""
    placed = [row[part] for row, part in zip(deviations, parts, strict=True)]
    known = [figure for figure in placed if figure is not None]
    if len(known) < len(placed):
        return None
    moved = sum(now != part for now, part in zip(present, parts, strict=True))
    return max(map(abs, known)), sum((figure**2 for figure in known), F(0)), moved


@st.composite
def jobs(draw: st.DrawFn) -> tuple[list[list[Fraction | None]], list[int | None]]:
    positions = draw(st.integers(1, 4))
    parts = positions + draw(st.integers(0, 2))
    figure = st.one_of(st.none(), *[st.fractions(-3, 3, max_denominator=2)] * 4)
    row = st.lists(figure, min_size=parts, max_size=parts)
    deviations = draw(st.lists(row, min_size=positions, max_size=positions))
    order = draw(st.permutations(range(parts)))
    present = [draw(st.sampled_from([part, None])) for part in order[:positions]]
    return deviations, present


@given(job=jobs())
def test_it_is_as_good_as_the_best_of_all_orders(
    job: tuple[list[list[Fraction | None]], list[int | None]],
) -> None:
    deviations, present = job
    orders = itertools.permutations(range(len(deviations[0])), len(deviations))
    merits = [merit(deviations, present, order) for order in orders]
    best = min((one for one in merits if one is not None), default=None)
    found = assign(deviations, present)
    if found is None:
        assert best is None
    else:
        assert len(set(found)) == len(found)
        assert merit(deviations, present, found) == best


def test_larger_jobs_made_up_at_random_are_as_good_as_the_best_of_all_orders() -> None:
    chance = Random(3)
    for _ in range(150):
        positions = chance.randint(4, 5)
        parts = positions + chance.randint(0, 1)
        deviations: list[list[Fraction | None]] = [
            [
                None if chance.random() < 0.15 else F(chance.randint(-9, 9), chance.randint(1, 3))
                for _ in range(parts)
            ]
            for _ in range(positions)
        ]
        present = chance.sample(range(parts), positions)
        orders = itertools.permutations(range(parts), positions)
        merits = [merit(deviations, present, order) for order in orders]
        best = min((one for one in merits if one is not None), default=None)
        found = assign(deviations, present)
        assert best == (None if found is None else merit(deviations, present, found))


def test_forty_parts_are_each_placed_once() -> None:
    chance = Random(5)
    deviations = [[F(chance.randint(-999, 999), 1000) for _ in range(40)] for _ in range(40)]
    found = assign(deviations, list(range(40)))
    assert found is not None
    assert sorted(found) == list(range(40))


def test_a_thousand_positions_are_no_matter_of_recursion() -> None:
    rows = 1_200
    chain: list[list[Fraction | None]] = [[None] * rows for _ in range(rows)]
    for at in range(rows):
        chain[at][at] = F(1)
        chain[at][(at + 1) % rows] = F(0) if at < rows - 1 else None
    chain[rows - 1][rows - 1] = None
    chain[rows - 1][0] = F(1)
    assert assign(chain) == [*range(1, rows), 0]
