from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.metrology.error import Draw, Estimate
from bedplate.metrology.figures import Figures, How, cases, figures
from bedplate.metrology.judge import Limits

F = Fraction
ERROR = Draw("max_error", ("g",))


def gap(low: str | None, high: str | None = "same", square: str = "0") -> Estimate:
    ends = [None if end is None else F(end) for end in (low, low if high == "same" else high)]
    return Estimate(ends[0], ends[1], {ERROR: F(1)}, {ERROR: F(square)})


def wide(low: str, high: str) -> Estimate:
    width = Draw("width", (low, high))
    square = (F(high) - F(low)) ** 2 / 12
    return Estimate(F(low), F(high), {width: F(1)}, {width: square})


def limits(*bands: tuple[int, int]) -> list[Limits]:
    return [Limits(F(low), F(high)) for low, high in bands]


def middle(found: Figures) -> Fraction | None:
    return None if found.mean is None else found.mean.middle


def test_mean_tightest_and_loosest_of_the_complete_combinations() -> None:
    found = figures([gap("5"), gap("2"), gap("3")], "clearance")
    assert (middle(found), found.tightest, found.loosest) == (F(10, 3), F(2), F(5))


def test_an_interference_is_tightest_where_it_is_greatest() -> None:
    found = figures([gap("5"), gap("2")], "interference")
    assert (found.tightest, found.loosest) == (F(5), F(2))


@pytest.mark.parametrize("kind", ["clearance", "size", "wear", "form", "direct"])
def test_every_other_kind_is_tightest_where_it_is_least(kind: str) -> None:
    assert figures([gap("5"), gap("2")], kind).tightest == 2


def test_both_ends_of_a_bracket_enter_the_extremes_and_its_middle_the_mean() -> None:
    found = figures([wide("2", "6"), gap("3")], "clearance")
    assert (middle(found), found.tightest, found.loosest) == (F(7, 2), F(2), F(6))


def test_an_open_end_opens_its_extreme_and_the_mean() -> None:
    found = figures([gap(None, "6"), gap("3")], "clearance")
    assert (middle(found), found.tightest, found.loosest) == (None, None, F(6))
    found = figures([gap("1", None), gap("3")], "interference")
    assert (middle(found), found.tightest, found.loosest) == (None, None, F(1))


def test_without_a_complete_combination_there_are_no_figures() -> None:
    assert figures([], "clearance") == Figures(None, None, None)
    assert cases([], [], "clearance") == []


def test_every_combination_is_judged_with_limits_of_its_own() -> None:
    bands = limits((1, 4), (2, 9))
    found = cases([gap("3", square="7"), gap("5")], bands, "clearance")
    assert [(case.value, case.variance, case.limits) for case in found] == [
        (F(3), F(7), bands[0]),
        (F(5), F(0), bands[1]),
    ]
    assert [(case.width_variance, case.middle) for case in found] == [(F(0), F(3)), (F(0), F(5))]
    assert [case.estimate for case in found] == [gap("3", square="7"), gap("5")]


def test_a_bracket_is_judged_at_both_ends() -> None:
    found = cases([wide("2", "6")], limits((1, 4)), "clearance")
    assert [(case.value, case.open, case.endless) for case in found] == [
        (F(2), None, False),
        (F(6), None, False),
    ]
    assert {(case.middle, case.width_variance, case.variance) for case in found} == {
        (F(4), F(4, 3), F(0))
    }


def test_an_open_end_is_a_case_that_runs_off_to_its_side() -> None:
    found = cases([gap(None, "6")], limits((1, 4)), "clearance")
    assert [(case.value, case.open, case.endless, case.middle) for case in found] == [
        (None, "low", True, None),
        (F(6), None, True, None),
    ]


def test_the_mean_is_one_case_at_its_middle() -> None:
    bands = limits((1, 4), (2, 9))
    (found,) = cases([wide("2", "6"), gap("3", square="8")], bands, "clearance", "mean")
    assert (found.value, found.limits, found.open) == (F(7, 2), bands[0], None)
    assert (found.variance, found.width_variance) == (F(2), F(1, 3))
    assert found.estimate is not None
    assert found.estimate.low == F(5, 2)


def test_a_mean_with_an_open_end_is_judged_at_both_ends() -> None:
    found = cases([gap(None, "6"), gap("3")], limits((1, 4), (1, 4)), "clearance", "mean")
    assert [(case.value, case.open, case.endless) for case in found] == [
        (None, "low", True),
        (F(9, 2), None, True),
    ]
    assert [case.limits for case in found] == limits((1, 4), (1, 4))


@pytest.mark.parametrize(
    ("kind", "how", "value"),
    [
        ("clearance", "tightest", 2),
        ("clearance", "loosest", 5),
        ("interference", "tightest", 5),
        ("interference", "loosest", 2),
        ("size", "loosest", 5),
    ],
)
def test_tightest_or_loosest_alone_may_be_judged(kind: str, how: How, value: int) -> None:
    found = cases([gap("5"), gap("2"), gap("3")], limits((1, 4)) * 3, kind, how)
    assert [case.value for case in found] == [F(value)]


def test_all_that_are_tightest_are_judged() -> None:
    found = cases(
        [gap("2", square="1"), gap("3"), gap("2", square="4")], limits((1, 4)) * 3, "size",
        "tightest",
    )  # fmt: skip
    assert [case.variance for case in found] == [1, 4]


def test_the_tightest_end_of_a_bracket_is_judged_with_its_middle_beside_it() -> None:
    (found,) = cases([wide("2", "6"), gap("3")], limits((1, 4)) * 2, "clearance", "tightest")
    assert (found.value, found.middle, found.width_variance) == (F(2), F(4), F(4, 3))


def test_an_open_end_is_the_tightest_of_all() -> None:
    (found,) = cases([gap("1"), gap(None, "6")], limits((1, 4)) * 2, "clearance", "tightest")
    assert (found.value, found.open) == (None, "low")
    (found,) = cases([gap("1", None), gap("6")], limits((1, 4)) * 2, "clearance", "loosest")
    assert (found.value, found.open) == (None, "high")


def test_limits_and_combinations_must_be_as_many() -> None:
    with pytest.raises(ValueError, match="shorter"):
        cases([gap("1"), gap("2")], limits((1, 4)), "clearance")
