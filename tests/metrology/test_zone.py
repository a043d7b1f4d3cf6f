from __future__ import annotations

import itertools
import random
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog  # type: ignore[import-untyped]  # it ships no types

from bedplate.metrology.zone import Point, corners, minimum_zone

F = Fraction


def grid(across: int, along: int) -> list[Point]:
    return [(F(x), F(y)) for y in range(along) for x in range(across)]


def by_programme(points: list[Point], heights: list[Fraction]) -> float:
    """Return the least zone by a general solver of linear programmes."""
    above = [[-1, -float(x), -float(y), 0] for x, y in points]
    below = [[1, float(x), float(y), -1] for x, y in points]
    levels = [float(z) for z in heights]
    found = linprog(
        [0, 0, 0, 1],
        A_ub=np.array(above + below),
        b_ub=np.array([-z for z in levels] + levels),
        bounds=[(None, None)] * 4,
    )
    return float(found.fun)


def check_support(
    points: list[Point], heights: list[Fraction], zone: Fraction, weights: dict[int, Fraction]
) -> None:
    """See that the weights prove the zone: no plane pair can be nearer than they say."""
    assert sum(weight for weight in weights.values() if weight > 0) == 1
    assert sum(weights.values()) == 0
    assert sum(weight * points[place][0] for place, weight in weights.items()) == 0
    assert sum(weight * points[place][1] for place, weight in weights.items()) == 0
    assert sum(weight * heights[place] for place, weight in weights.items()) == zone


@pytest.mark.parametrize("seed", range(40))
def test_random_grids_agree_with_a_general_solver(seed: int) -> None:
    chance = random.Random(seed)
    points = grid(chance.randint(2, 5), chance.randint(2, 5))
    most = chance.choice([2, 1000])
    heights = [F(chance.randint(-most, most), chance.choice([1, 7])) for _ in points]
    zone, weights = minimum_zone(points, heights)
    check_support(points, heights, zone, weights)
    assert abs(float(zone) - by_programme(points, heights)) < 1e-9 * max(1, most)


def test_three_feet_and_one_foot_short() -> None:
    points = [(F(0), F(0)), (F(4), F(0)), (F(0), F(4)), (F(1), F(1))]
    zone, weights = minimum_zone(points, [F(0), F(0), F(0), F(-8)])
    assert zone == 8
    assert weights == {0: F(1, 2), 1: F(1, 4), 2: F(1, 4), 3: F(-1)}


def test_two_diagonals() -> None:
    zone, weights = minimum_zone(grid(2, 2), [F(1), F(0), F(0), F(3)])
    assert zone == 2
    assert weights == {0: F(1, 2), 3: F(1, 2), 1: F(-1, 2), 2: F(-1, 2)}


def test_a_tilted_plane_is_flat_and_still_rests_on_points() -> None:
    points = grid(4, 3)
    zone, weights = minimum_zone(points, [3 * x - 5 * y + 7 for x, y in points])
    assert zone == 0
    check_support(points, [3 * x - 5 * y + 7 for x, y in points], zone, weights)


def test_four_points_with_three_in_one_line_rest_on_those() -> None:
    points = [(F(0), F(0)), (F(1), F(0)), (F(2), F(0)), (F(0), F(5))]
    zone, weights = minimum_zone(points, [F(0), F(1), F(0), F(9)])
    assert zone == 1
    assert weights == {0: F(-1, 2), 2: F(-1, 2), 1: F(1)}


@pytest.mark.parametrize(
    "points",
    [
        [],
        grid(3, 1),
        grid(5, 1),
        [(F(1), F(1))] * 5,
        [(F(0), F(0)), (F(1), F(0)), (F(0), F(1))],
        [(F(n), F(2 * n)) for n in range(6)],
    ],
    ids=["none", "three in line", "five in line", "one place", "three", "slanting line"],
)
def test_fewer_than_four_points_or_one_line_is_no_plane(points: list[Point]) -> None:
    with pytest.raises(ValueError, match="four points at least, not in one line"):
        minimum_zone(points, [F(0)] * len(points))


def test_the_corners_are_the_first_three_that_span_a_plane() -> None:
    slanting = [(F(x), F(y)) for x, y in ((1, 3), (2, 5), (3, 7), (5, 5))]
    assert corners(slanting) == (0, 1, 3)
    assert corners([(F(2), F(2)), (F(2), F(2)), (F(3), F(2)), (F(4), F(2)), (F(0), F(0))]) == (
        0, 2, 4,
    )  # fmt: skip


HEIGHTS = st.lists(st.integers(-4, 4), min_size=9, max_size=9)


@given(heights=HEIGHTS, tilt=st.tuples(st.integers(-3, 3), st.integers(-3, 3)))
def test_tilting_the_whole_face_changes_nothing(heights: list[int], tilt: tuple[int, int]) -> None:
    points = grid(3, 3)
    flat = [F(z) for z in heights]
    tilted = [z + tilt[0] * x + tilt[1] * y for z, (x, y) in zip(flat, points, strict=True)]
    zone, weights = minimum_zone(points, tilted)
    assert zone == minimum_zone(points, flat)[0]
    check_support(points, tilted, zone, weights)


@given(heights=HEIGHTS)
def test_no_plane_pair_tried_by_hand_is_nearer(heights: list[int]) -> None:
    points = grid(3, 3)
    zone, _ = minimum_zone(points, [F(z) for z in heights])
    for b, c in itertools.product([F(n, 2) for n in range(-4, 5)], repeat=2):
        rests = [z - b * x - c * y for z, (x, y) in zip(heights, points, strict=True)]
        assert max(rests) - min(rests) >= zone
