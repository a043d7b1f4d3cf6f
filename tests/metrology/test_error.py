from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import (
    Draw,
    Estimate,
    Gauge,
    average,
    combine,
    is_whole_report,
    reading_draws,
    rectangular,
    variance,
)

F = Fraction
SPOT = Spot("H", ("idler",), ("a",))
RESOLUTION = Draw("resolution", ("mic1", "H", ("idler",), ("a",)))
MAX_ERROR = Draw("max_error", ("mic1", "H", ("idler",)))
FULL = Gauge(
    "mic1", "micrometer", resolution=F(6), max_error=F(3), zero_error=F(9), repeatability=F(2)
)


def known(figure: str | Fraction, *entries: int, **draws: str) -> Estimate:
    """Return an estimate whose draws are named by letters; each has variance 1."""
    counts = {Draw("max_error", (name,)): F(count) for name, count in draws.items()}
    return Estimate(F(figure), F(figure), counts, dict.fromkeys(counts, F(1)), entries)


def test_every_stated_error_is_drawn_for_what_shares_it() -> None:
    assert reading_draws(9, SPOT, FULL, setting=4, scatter=F(4)) == {
        RESOLUTION: F(3),
        MAX_ERROR: F(3),
        Draw("zero_error", ("mic1", 4)): F(27),
        Draw("repeatability", (9,)): F(4),
    }


def test_a_stated_resolution_is_not_replaced_by_the_typed_step() -> None:
    assert reading_draws(9, SPOT, Gauge("mic1", resolution=F(6)), step=F(12)) == {RESOLUTION: F(3)}


def test_a_resolution_stated_as_nought_is_stated() -> None:
    gauge = Gauge("mic1", resolution=F(0))
    assert gauge.described
    assert reading_draws(9, SPOT, gauge, step=F(12)) == {}


def test_without_a_stated_resolution_the_typed_step_stands_for_it() -> None:
    gauge = Gauge("mic1", max_error=F(3))
    assert reading_draws(9, SPOT, gauge, step=F(12)) == {RESOLUTION: F(12), MAX_ERROR: F(3)}


def test_the_typed_step_goes_by_what_the_pair_is_called() -> None:
    gauge = Gauge("mic1", max_error=F(3))
    assert reading_draws(9, SPOT, gauge, step=F(12), called="tg/mic1") == {
        Draw("resolution", ("tg/mic1", "H", ("idler",), ("a",))): F(12),
        MAX_ERROR: F(3),
    }


def test_without_a_gauge_only_the_typed_step_counts() -> None:
    assert reading_draws(9, SPOT, None, step=F(12)) == {
        Draw("resolution", ("", "H", ("idler",), ("a",))): F(12)
    }
    assert reading_draws(9, SPOT, None) == {}


def test_the_u_of_a_report_stands_for_all_its_errors() -> None:
    report = Gauge("shop", "report", uncertainty=F(6))
    assert is_whole_report(report)
    assert not report.described
    assert reading_draws(9, SPOT, report, step=F(12)) == {
        Draw("report", ("shop", "H", ("idler",), ("a",))): F(9)
    }


def test_a_report_without_u_rests_on_its_typed_step() -> None:
    report = Gauge("shop", "report")
    assert not is_whole_report(report)
    assert list(reading_draws(9, SPOT, report, step=F(12)).values()) == [F(12)]


def test_u_stated_of_a_gauge_that_is_no_report_does_not_hide_its_step() -> None:
    gauge = Gauge("mic1", "micrometer", uncertainty=F(6))
    assert not is_whole_report(gauge)
    assert sorted(reading_draws(9, SPOT, gauge, step=F(12)).values()) == [F(9), F(12)]


@pytest.mark.parametrize(
    ("gauge", "described"),
    [
        (Gauge("g"), False),
        (Gauge("g", uncertainty=F(1), expansion=F(1)), False),
        (Gauge("g", resolution=F(1)), True),
        (Gauge("g", max_error=F(1)), True),
        (Gauge("g", zero_error=F(1)), True),
        (Gauge("g", repeatability=F(1)), True),
    ],
)
def test_a_gauge_is_described_by_any_of_four_figures(gauge: Gauge, *, described: bool) -> None:
    assert gauge.described is described


def test_before_the_first_setting_the_zero_is_drawn_for_setting_nought() -> None:
    assert reading_draws(9, SPOT, Gauge("mic1", resolution=F(0), zero_error=F(3))) == {
        Draw("zero_error", ("mic1", 0)): F(3)
    }


def test_a_rectangle_of_no_width_has_no_variance() -> None:
    assert rectangular(None) == 0
    assert rectangular(F(3)) == 3


def test_an_error_that_both_readings_share_cancels_in_their_difference() -> None:
    gap = combine([(F(1), known("0.7540", 1, zero="1")), (F(-1), known("0.7500", 2, zero="1"))])
    assert gap.low == gap.high == F("0.004")
    assert not gap.is_bracket
    assert gap.variance == 0
    assert gap.entries == (1, 2)


def test_a_thickness_doubled_carries_its_error_doubled() -> None:
    doubled = combine([(F(2), known("1", 1, step="1")), (F(-3), known("1", 1, other="1"))])
    assert doubled.variance == 4 + 9
    assert list(doubled.draws.values()) == [2, -3]


def test_a_part_that_does_not_count_neither_adds_nor_opens() -> None:
    open_end = Estimate(None, F(3), {}, {}, (2,))
    total = combine([(F(1), known("5", 1)), (F(0), open_end)])
    assert (total.low, total.high, total.entries) == (F(5), F(5), (1, 2))


def test_the_ends_of_a_bracket_change_places_under_a_minus() -> None:
    bracket = Estimate(F(2), F(3), {}, {}, (1,))
    total = combine([(F(1), known("10", 2)), (F(-2), bracket)])
    assert (total.low, total.high, total.middle) == (F(4), F(6), F(5))
    assert total.is_bracket


def test_an_open_end_opens_the_sum_on_its_own_side_only() -> None:
    up_to_three = Estimate(None, F(3), {}, {}, (1,))
    added = combine([(F(1), up_to_three), (F(1), known("1", 2))])
    assert (added.low, added.high, added.middle) == (None, F(4), None)
    taken_off = combine([(F(-1), up_to_three), (F(1), known("1", 2))])
    assert (taken_off.low, taken_off.high) == (F(-2), None)
    assert added.is_bracket
    assert taken_off.is_bracket


def test_the_width_of_a_bracket_is_no_part_of_u() -> None:
    draws = {Draw("width", (3,)): F(2), RESOLUTION: F(1), MAX_ERROR: F(3)}
    squares = {Draw("width", (3,)): F(5), RESOLUTION: F(7), MAX_ERROR: F(1)}
    estimate = Estimate(F(1), F(2), draws, squares)
    assert estimate.variance == 16
    assert estimate.width_variance == 20
    assert estimate.part("resolution") == 7
    assert estimate.part("max_error") == 9
    assert estimate.part("repeatability") == 0


def test_a_shared_table_of_variances_stays_shared_and_others_are_joined() -> None:
    table = {RESOLUTION: F(1)}
    one, two = (Estimate(F(1), F(1), {RESOLUTION: F(1)}, table) for _ in "ab")
    assert combine([(F(1), one), (F(1), two)]).variances is table
    other = known("1", step="1")
    joined = combine([(F(1), one), (F(1), other)])
    assert joined.variance == 2
    assert combine([]).variance == 0


def test_repeats_are_averaged_and_their_own_scatter_with_them() -> None:
    mean = average([known("1", 4, shared="1", a="1"), known("4", 3, shared="1", b="1")])
    assert mean.low == F(5, 2)
    assert mean.variance == 1 + F(1, 4) + F(1, 4)
    assert mean.entries == (3, 4)


def test_a_mean_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        average([])


# Laws that hold for any estimates.

FIGURES = st.fractions(min_value=-100, max_value=100, max_denominator=64)
DRAWS = [Draw("max_error", (name,)) for name in "abcd"] + [Draw("width", (1,))]
TABLE = {draw: F(place + 1, 3) for place, draw in enumerate(DRAWS)}


@st.composite
def estimates(draw: st.DrawFn) -> Estimate:
    low, high = sorted((draw(FIGURES), draw(FIGURES)))
    counts = draw(st.dictionaries(st.sampled_from(DRAWS), FIGURES, max_size=4))
    ends = draw(st.sampled_from([(low, high), (low, low), (None, high), (low, None)]))
    return Estimate(*ends, counts, TABLE, (draw(st.integers(1, 9)),))


PARTS = st.lists(st.tuples(FIGURES, estimates()), min_size=1, max_size=4)


@given(parts=PARTS)
def test_u_squared_is_the_full_matrix_product(parts: list[tuple[Fraction, Estimate]]) -> None:
    def between(one: Estimate, other: Estimate) -> Fraction:
        shared = [draw for draw in DRAWS if draw.kind != "width"]
        return sum(
            (one.draws.get(d, F(0)) * TABLE[d] * other.draws.get(d, F(0)) for d in shared), F(0)
        )

    expected = sum(
        (c * k * between(one, other) for (c, one), (k, other) in itertools.product(parts, parts)),
        F(0),
    )
    assert combine(parts).variance == expected


@given(parts=PARTS)
def test_the_low_end_is_never_above_the_high_one(parts: list[tuple[Fraction, Estimate]]) -> None:
    total = combine(parts)
    if total.low is not None and total.high is not None:
        assert total.low <= total.high


@given(parts=PARTS, by=FIGURES)
def test_a_sum_taken_several_times_is_the_sum_of_its_parts_taken_so(
    parts: list[tuple[Fraction, Estimate]], by: Fraction
) -> None:
    once = combine([(by, combine(parts))])
    each = combine([(by * count, part) for count, part in parts])
    assert (once.low, once.high) == (each.low, each.high)
    assert once.variance == each.variance
    assert once.width_variance == each.width_variance


@given(one=estimates())
def test_the_mean_of_one_thing_repeated_is_that_thing(one: Estimate) -> None:
    mean = average([one, one, one])
    assert (mean.low, mean.high, mean.variance) == (one.low, one.high, one.variance)


def test_variance_counts_the_kinds_asked_for() -> None:
    draws = {RESOLUTION: F(2), MAX_ERROR: F(1)}
    squares = {RESOLUTION: F(1), MAX_ERROR: F(5)}
    assert variance(draws, squares) == 9
    assert variance(draws, squares, {"resolution"}) == 4
    assert variance(draws, squares, ()) == 0
