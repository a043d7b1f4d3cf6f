from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape
from bedplate.metrology.error import Draw, Estimate
from bedplate.metrology.flatness import Method, flatness, grid_rows

F = Fraction
ALONG = Axis("along", ("a", "b", "c"), (F(0), F(150), F(300)))
ACROSS = Axis("across", ("1", "2"), (F(0), F(80)))
DECK = Shape("DK", (Axis("bank", ("left", "right")),), (ALONG, ACROSS))
SHARED = Draw("zero_error", ("dial", 0))


def height(z: int, n: int, square: int = 1) -> Estimate:
    own = Draw("repeatability", (n,))
    return Estimate(F(z), F(z), {own: F(1), SHARED: F(1)}, {own: F(square), SHARED: F(50)}, (n,))


def heights(*levels: int) -> list[Estimate]:
    return [height(z, n) for n, z in enumerate(levels, start=1)]


def refused(shape: Shape) -> str:
    with pytest.raises(NotUnderstoodError) as caught:
        grid_rows(shape)
    return caught.value.message


def test_each_position_has_a_grid_of_its_own() -> None:
    left, right = grid_rows(DECK)
    assert (left.position, left.axes) == (("left",), ("bank",))
    assert [(str(place.spot), place.x, place.y) for place in right.grid] == [
        ("DK.right@a/1", F(0), F(0)),
        ("DK.right@a/2", F(0), F(80)),
        ("DK.right@b/1", F(150), F(0)),
        ("DK.right@b/2", F(150), F(80)),
        ("DK.right@c/1", F(300), F(0)),
        ("DK.right@c/2", F(300), F(80)),
    ]


def test_a_grid_needs_two_station_axes_with_coordinates() -> None:
    bare = Axis("way", ("x", "y"))
    for stations, counts in (
        ((ALONG,), "1 with and 0 without"),
        ((ALONG, bare), "1 with and 1 without"),
        ((ALONG, ACROSS, bare), "2 with and 1 without"),
        ((ALONG, ACROSS, Axis("up", ("p", "q"), (F(0), F(1)))), "3 with and 0 without"),
    ):
        assert refused(Shape("DK", (), stations)) == (
            f"A flatness needs two station axes with coordinates; DK has {counts}."
        )


def test_a_grid_in_one_line_is_refused() -> None:
    line = Axis("across", ("1", "2"), (F(5), F(5)))
    assert refused(Shape("DK", (), (ALONG, line))) == (
        "A flatness needs two places on across at least, or its points lie in one line."
    )


SQUARE = [(F(x), F(y)) for y in (0, 1) for x in (0, 1)]
NINE = [(F(x), F(y)) for y in range(3) for x in range(3)]


def test_least_squares_takes_the_range_of_the_residuals() -> None:
    found, support = flatness(NINE, heights(0, 0, 0, 0, 9, 0, 0, 0, 0))
    assert (found.low, found.high) == (F(9), F(9))
    assert 4 in support
    assert found.entries == tuple(range(1, 10))


def test_u_by_least_squares_is_that_of_the_two_extreme_readings() -> None:
    levels = [height(z, n, square=n + 1) for n, z in enumerate((0, 0, 0, 0, 0, 0, 0, 0, 9))]
    found, support = flatness(NINE, levels)
    # the corner stands above the fitted plane most, the middles beside it below it most
    assert support == (7, 8)
    assert found.variance == 8 + 9


def test_u_of_the_minimum_zone_is_that_of_its_supporting_points() -> None:
    found, support = flatness(SQUARE, heights(1, 0, 0, 3), "minimum zone")
    assert (found.low, support) == (F(2), (0, 1, 2, 3))
    assert found.variance == 4 * F(1, 4)


@pytest.mark.parametrize("method", ["least squares", "minimum zone"])
def test_a_tilted_plane_is_flat_and_a_flat_one_still_has_a_u(method: Method) -> None:
    found, _ = flatness(
        NINE, heights(*(2 * x + 5 * y for y in range(3) for x in range(3))), method
    )
    assert found.low == 0
    assert found.variance > 0


@pytest.mark.parametrize("method", ["least squares", "minimum zone"])
def test_what_all_heights_share_drops_out(method: Method) -> None:
    found, _ = flatness(NINE, heights(3, 1, 4, 1, 5, 9, 2, 6, 5), method)
    assert found.part("zero_error") == 0


@pytest.mark.parametrize("method", ["least squares", "minimum zone"])
def test_no_zone_is_wider_than_the_one_by_least_squares(method: Method) -> None:
    levels = heights(3, 1, 4, 1, 5, 9, 2, 6, 5)
    fitted, _ = flatness(NINE, levels)
    found, _ = flatness(NINE, levels, method)
    assert found.low is not None
    assert fitted.low is not None
    assert 0 < found.low <= fitted.low


@pytest.mark.parametrize("method", ["least squares", "minimum zone"])
def test_points_in_one_line_and_brackets_are_refused(method: Method) -> None:
    with pytest.raises(ValueError, match="four points at least, not in one line"):
        flatness([(F(n), F(0)) for n in range(4)], heights(0, 1, 2, 3), method)
    with pytest.raises(ValueError, match="four points at least"):
        flatness(SQUARE[:3], heights(0, 1, 2), method)
    with pytest.raises(ValueError, match="bracket"):
        flatness(SQUARE, [*heights(0, 1, 2), Estimate(F(1), F(2), {}, {})], method)
