from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.judge import Case, Limits, judge
from bedplate.metrology.remedy import (
    Choice,
    Make,
    Place,
    Window,
    aim_of,
    best_choice,
    centring_shift,
    is_allowed,
    shifted,
    window,
)

F = Fraction
BAND = Limits(F(2), F(4))
GRAIN = F(1, 10**6)


def place(low: str, high: str, aim: str = "3") -> Place:
    return Place(F(low), F(high), F(aim))


def case(value: str, square: str = "0", limits: Limits = BAND) -> Case:
    return Case(F(value), F(square), limits)


@pytest.mark.parametrize(
    ("limits", "aim", "expected"),
    [
        (BAND, None, F(3)),
        (BAND, F(0), F(0)),
        (Limits(F(2)), None, None),
        (Limits(None, F(4)), None, None),
        (Limits(None, F(4)), F(1), F(1)),
    ],
)
def test_the_aim_is_as_stated_else_the_middle_of_the_band(
    limits: Limits, aim: Fraction | None, expected: Fraction | None
) -> None:
    assert aim_of(limits, aim) == expected


def test_one_place_goes_with_its_middle_on_the_aim() -> None:
    assert centring_shift([place("5.1", "5.3")]) == F("-2.2")
    assert centring_shift([place("1", "2")]) == F("1.5")


def test_places_together_go_with_the_middle_of_their_extremes_on_their_aims() -> None:
    assert centring_shift([place("1", "2"), place("5", "6"), place("2", "2")]) == F("-0.5")
    assert centring_shift([place("1", "2"), place("5", "6", "8")]) == 2


def test_by_the_mean_it_is_the_mean_of_their_deviations() -> None:
    places = [place("1", "1"), place("1", "1"), place("7", "7")]
    assert centring_shift(places) == -1
    assert centring_shift(places, by_mean=True) == 0
    assert centring_shift([*places, place("1", "1")], by_mean=True) == F(1, 2)
    assert centring_shift([place("1", "2", "5")], by_mean=True) == F("3.5")


def test_a_change_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="a place at least"):
        centring_shift([])


def test_the_window_reaches_from_limit_to_limit() -> None:
    assert window([case("5.1"), case("5.3")]) == Window(F("-3.1"), F("-1.3"))
    assert window([case("3")]) == Window(F(-1), F(1))


def test_a_window_has_no_end_where_there_is_no_limit() -> None:
    assert window([case("1", "0", Limits(F(2)))]) == Window(F(1), None)
    assert window([case("5", "0", Limits(None, F(4)))]) == Window(None, F(-1))
    assert window([case("5", "0", Limits())]) == Window(None, None)


def test_what_is_wider_than_the_band_has_no_window() -> None:
    assert window([case("1"), case("4")]) is None
    assert window([case("1"), case("3")]) == Window(F(1), F(1))


def test_guarded_each_value_must_be_inside_by_its_own_u() -> None:
    found = window([case("1", "1/100"), case("1.2", "1/25")], GRAIN)
    assert found == Window(F("1.2"), F("2.4"))
    assert window([case("3", "1/4")], GRAIN) == Window(F(0), F(0))
    assert window([case("3", "1/3")], GRAIN) is None


def test_a_u_that_is_no_fraction_is_rounded_up_to_the_grain() -> None:
    found = window([case("1", "1/2", Limits(F(2)))], F(1, 100))
    assert found == Window(F("2.42"), None)


def test_an_open_end_facing_a_limit_cannot_be_brought_in() -> None:
    up_to = Case(None, F(0), BAND, open="low")
    assert window([case("3"), up_to]) is None
    harmless = Case(None, F(0), Limits(None, F(4)), open="low")
    assert window([case("5"), harmless]) == Window(F(-3), F(-1))


@pytest.mark.parametrize(
    ("found", "nearest"),
    [
        (Window(F(1), F(3)), 1),
        (Window(F(-3), F(-1)), -1),
        (Window(F(-3), F(1)), 0),
        (Window(None, F(1, 2)), 0),
        (Window(F(-1, 2), None), 0),
        (Window(None, F(-1)), -1),
        (Window(F(2), None), 2),
        (Window(F(-2), None), 0),
        (Window(None, None), 0),
    ],
)
def test_the_least_shift_is_the_nearest_end_or_none(found: Window, nearest: int) -> None:
    assert found.nearest == nearest


@given(
    values=st.lists(st.fractions(0, 6, max_denominator=20), min_size=1, max_size=4),
    square=st.fractions(0, F(1, 4), max_denominator=400),
    one_sided=st.booleans(),
)
def test_after_the_least_change_every_value_is_in_and_a_hair_less_is_not_enough(
    values: list[Fraction], square: Fraction, *, one_sided: bool
) -> None:
    limits = Limits(F(2)) if one_sided else Limits(F(2), F(20))
    cases = [Case(value, square, limits) for value in values]
    found = window(cases, GRAIN)
    assert found is not None
    assert judge(shifted(cases, found.nearest)).verdict == "in"
    if found.nearest > 0:
        assert judge(shifted(cases, found.nearest - GRAIN)).verdict != "in"


@pytest.mark.parametrize(
    ("change", "make", "allowed"),
    [
        ("-1", "smaller", True),
        ("0", "smaller", True),
        ("1", "smaller", False),
        ("1", "larger", True),
        ("0", "larger", True),
        ("-1", "larger", False),
    ],
)
def test_a_figure_can_be_made_to_go_one_way(change: str, make: Make, *, allowed: bool) -> None:
    assert is_allowed(F(change), make) is allowed


def test_shifted_cases_keep_everything_but_their_place() -> None:
    bracket = Case(F(3), F(1), BAND, middle=F(4), width_variance=F(2))
    open_end = Case(None, F(1), BAND, open="high", endless=True)
    assert shifted([bracket, open_end], F(-2)) == [
        Case(F(1), F(1), BAND, middle=F(2), width_variance=F(2)),
        open_end,
    ]


def choice(change: str, *deviations: str, all_in: bool = False) -> Choice:
    return Choice(F(change), tuple(map(F, deviations)), all_in)


def test_the_size_with_the_least_worst_deviation_is_taken() -> None:
    offered = [choice("0", "1", "-4"), choice("5", "-2", "3"), choice("9", "3.1", "0")]
    assert best_choice(offered) == 1


def test_of_equals_the_smaller_change_then_the_first() -> None:
    assert best_choice([choice("5", "3"), choice("-4", "-3"), choice("4", "3")]) == 1


def test_without_an_aim_the_least_change_that_brings_all_in() -> None:
    offered = [choice("1"), choice("-3", all_in=True), choice("2", all_in=True)]
    assert best_choice(offered, aimed=False) == 2


def test_nothing_offered_will_do() -> None:
    assert best_choice([]) is None
    assert best_choice([choice("1")], aimed=False) is None


def test_without_deviations_there_is_no_worst() -> None:
    assert choice("1").worst == 0
    assert choice("1", "2", "-7").worst == 7
