from __future__ import annotations

import itertools
import random
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.zone import Point, corners, minimum_zone

F = Fraction


def grid(across: int, along: int) -> list[Point]:
    return [(F(x), F(y)) for y in range(along) for x in range(across)]


def twice_the_area(p: tuple[int, int], q: tuple[int, int], r: tuple[int, int]) -> int:
    return (q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1])


def by_all_fours(points: list[tuple[int, int]], heights: list[int]) -> Fraction:
    """Return the widest of the zones that any four of the points need by themselves.

    It is the least zone of all of them: Helly's theorem, for the planes that keep to a zone are a
    convex set of three dimensions. Four points split into two groups whose hulls meet (Radon's
    theorem); their zone is how far the two groups lie apart where they meet.
    """
    widest = F(0)
    for a, b, c, d in itertools.combinations(range(len(points)), 4):
        p, q, r, s = points[a], points[b], points[c], points[d]
        weights = (
            twice_the_area(q, r, s), -twice_the_area(p, r, s),
            twice_the_area(p, q, s), -twice_the_area(p, q, r),
        )  # fmt: skip
        above = sum(weight for weight in weights if weight > 0)
        levels = (heights[a], heights[b], heights[c], heights[d])
        apart = abs(sum(weight * z for weight, z in zip(weights, levels, strict=True)))
        if apart > widest * above:
            widest = F(apart, above)
    return widest


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
def test_random_grids_need_what_the_worst_four_of_their_points_need(seed: int) -> None:
    chance = random.Random(seed)
    across, along = chance.randint(2, 5), chance.randint(2, 5)
    points = grid(across, along)
    most = chance.choice([2, 1000])
    sevenths = [chance.randint(-most, most) * chance.choice([1, 7]) for _ in points]
    heights = [F(z, 7) for z in sevenths]
    zone, weights = minimum_zone(points, heights)
    check_support(points, heights, zone, weights)
    assert zone == by_all_fours([(int(x), int(y)) for x, y in points], sevenths) / 7


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
