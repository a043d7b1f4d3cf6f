from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape, Spot
from bedplate.metrology.error import Draw, Estimate
from bedplate.metrology.spread import (
    Line,
    LineRow,
    spread_of,
    spread_rows,
)

F = Fraction
CYL = Axis("cyl", ("1", "2"))
DEPTH = Axis("depth", ("ridge", "top", "bottom"))
WAY = Axis("way", ("thrust", "axis"))
BORE = Shape("B", (CYL,), (DEPTH, WAY))
ROD = Shape("R", (Axis("bank", ("left", "right")), Axis("throw", ("1", "2", "3"))))
SHARED = Draw("max_error", ("mic", "B"))


def addresses(row: LineRow) -> list[list[str]]:
    return [[str(spot) for spot in line.spots] for line in row.lines]


def read(figure: str | int, n: int = 1, square: str = "1", shared: str = "0") -> Estimate:
    own = Draw("repeatability", (n,))
    return Estimate(
        F(figure),
        F(figure),
        {own: F(1), SHARED: F(shared)},
        {own: F(square), SHARED: F(100)},
        (n,),
    )


def refused(along: str, leave: Sequence[str] = (), shape: Shape = BORE) -> list[str]:
    with pytest.raises(NotUnderstoodError) as caught:
        spread_rows(shape, along, leave)
    return caught.value.as_lines()


# Lines


def test_out_of_round_is_a_line_across_the_ways_at_each_depth() -> None:
    first, second = spread_rows(BORE, "way")
    assert (first.position, first.axes) == (("1",), ("cyl",))
    assert addresses(second) == [
        ["B.2@ridge/thrust", "B.2@ridge/axis"],
        ["B.2@top/thrust", "B.2@top/axis"],
        ["B.2@bottom/thrust", "B.2@bottom/axis"],
    ]
    assert [line.station for line in second.lines] == [("ridge",), ("top",), ("bottom",)]


def test_taper_is_a_line_down_the_depths_each_way() -> None:
    row = spread_rows(BORE, "DEPTH")[0]
    assert addresses(row) == [
        ["B.1@ridge/thrust", "B.1@top/thrust", "B.1@bottom/thrust"],
        ["B.1@ridge/axis", "B.1@top/axis", "B.1@bottom/axis"],
    ]


def test_a_name_left_out_is_gone_from_the_line_it_stands_on() -> None:
    assert addresses(spread_rows(BORE, "depth", ["Ridge"])[0]) == [
        ["B.1@top/thrust", "B.1@bottom/thrust"],
        ["B.1@top/axis", "B.1@bottom/axis"],
    ]


def test_a_name_left_out_on_another_axis_takes_its_lines_away() -> None:
    assert addresses(spread_rows(BORE, "way", ["ridge"])[0]) == [
        ["B.1@top/thrust", "B.1@top/axis"],
        ["B.1@bottom/thrust", "B.1@bottom/axis"],
    ]


def test_a_position_left_out_takes_its_row_away() -> None:
    assert [row.position for row in spread_rows(BORE, "way", ["1"])] == [("2",)]


def test_along_a_position_axis_a_set_is_one_line() -> None:
    left, right = spread_rows(ROD, "throw")
    assert (left.position, left.axes) == (("left",), ("bank",))
    assert addresses(left) == [["R.left/1", "R.left/2", "R.left/3"]]
    assert addresses(right) == [["R.right/1", "R.right/2", "R.right/3"]]


def test_stations_across_a_set_are_lines_of_one_row() -> None:
    (row,) = spread_rows(Shape("B", (CYL,), (WAY,)), "cyl")
    assert (row.position, row.axes) == ((), ())
    assert addresses(row) == [["B.1@thrust", "B.2@thrust"], ["B.1@axis", "B.2@axis"]]


def test_an_unknown_axis_is_refused_with_the_nearest() -> None:
    assert refused("deep") == ['B has no axis "deep".', "  Nearest: depth"]
    assert refused("x") == ['B has no axis "x".', "  Axes: cyl, depth, way"]


def test_an_unknown_name_cannot_be_left_out() -> None:
    assert refused("way", ["rim"]) == [
        'B has no "rim" to leave out.',
        "  It has: 1, 2, ridge, top, bottom, thrust, axis",
    ]


def test_a_spread_needs_two_stations() -> None:
    assert refused("way", ["axis"]) == [
        "A spread of B along way needs two stations at least; it has 1."
    ]
    single = Shape("B", (), (Axis("way", ("only",)),))
    assert refused("way", (), single) == [
        "A spread of B along way needs two stations at least; it has 1."
    ]


# How far a line has come

SPOTS = tuple(Spot("B", (), (name,)) for name in "abc")
LINE = Line(SPOTS)


# The figure and its error


def test_u_is_that_of_the_difference_of_the_two_extremes() -> None:
    spread, places = spread_of(
        [read(5, 1, "1", "1"), read(2, 2, "2", "1"), read(9, 3, "4", "1"), read(7, 4, "8", "1")]
    )
    assert (spread.low, spread.variance, places) == (F(7), F(6), (1, 2))
    assert spread.entries == (1, 2, 3, 4)


def test_of_equal_extremes_the_pair_with_the_larger_u_counts() -> None:
    spread, places = spread_of(
        [read(5, 1, "1"), read(5, 2, "3"), read(2, 3, "2"), read(2, 4, "1"), read(5, 5, "3")]
    )
    assert (spread.variance, places) == (F(5), (2, 1))


def test_sharing_is_weighed_in_choosing_the_pair() -> None:
    # the second 2 has the larger own error, yet shares the 5's
    spread, places = spread_of([read(5, 1, "1", "1"), read(2, 2, "9", "1"), read(2, 3, "1", "0")])
    assert (spread.variance, places) == (F(102), (2, 0))


def test_all_equal_is_no_spread_with_the_u_of_the_worst_pair() -> None:
    spread, places = spread_of([read(5, 1, "1"), read(5, 2, "4"), read(5, 3, "2")])
    assert (spread.low, spread.high, spread.variance, places) == (F(0), F(0), F(6), (1, 2))


@pytest.mark.parametrize(
    "estimates", [[], [read(1)], [read(1), Estimate(F(1), F(2), {}, {})]], ids=len
)
def test_a_spread_needs_two_plain_figures(estimates: list[Estimate]) -> None:
    with pytest.raises(ValueError, match="two figures at least, and no bracket"):
        spread_of(estimates)


@given(
    figures=st.lists(st.integers(-3, 3), min_size=2, max_size=6),
    squares=st.lists(st.integers(0, 5), min_size=6, max_size=6),
)
def test_a_spread_is_the_range_with_the_largest_u_among_its_extremes(
    figures: list[int], squares: list[int]
) -> None:
    estimates = [
        read(figure, n, str(square))
        for n, (figure, square) in enumerate(zip(figures, squares, strict=False))
    ]
    spread, (low, high) = spread_of(estimates)
    assert spread.low == max(figures) - min(figures)
    assert (figures[low], figures[high]) == (min(figures), max(figures))
    pairs = [
        squares[i] + squares[j]
        for i in range(len(figures))
        for j in range(len(figures))
        if i != j and figures[i] == min(figures) and figures[j] == max(figures)
    ]
    assert spread.variance == max(pairs)
