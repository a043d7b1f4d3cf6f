"""What was settled event by event is what settles anew, whatever was asked for in between."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Gauge
from bedplate.metrology.settings import Reading, Setting
from bedplate.metrology.settled import Settled, settle

F = Fraction
SPOTS = [Spot("J", (name,)) for name in "12"] + [Spot("B", (), (name,)) for name in "ab"]
GAUGES = {
    gauge.name: gauge
    for gauge in (
        Gauge("mic", resolution=F(6), max_error=F(3), zero_error=F(9), repeatability=F(2)),
        Gauge("loose", max_error=F(3)),
        Gauge("dial", reads="differences", zero_error=F(6)),
        Gauge("shop", kind="report", uncertainty=F(4)),
        Gauge("bare"),
    )
}
NAMES = st.sampled_from([*GAUGES])
FIGURES = st.fractions(min_value=-9, max_value=9, max_denominator=4)

Event = Setting | Reading


@st.composite
def event(draw: st.DrawFn, n: int) -> Event:
    if draw(st.integers(0, 3)) == 0:
        return Setting(
            n,
            draw(NAMES),
            draw(FIGURES),
            draw(st.one_of(FIGURES, st.sampled_from(SPOTS))),
            draw(st.one_of(st.none(), NAMES)),
        )
    low = draw(FIGURES)
    two = draw(st.integers(0, 7)) == 0
    return Reading(
        n,
        draw(st.sampled_from(SPOTS)),
        low,
        draw(st.one_of(st.none(), st.just(low + 1))) if two else low,
        draw(st.one_of(st.none(), NAMES)),
        felt=draw(st.sampled_from([None, None, None, "loose", "bare"])),
        life=draw(st.integers(1, 2)),
        factor=draw(st.sampled_from([F(1), F(1), F(2, 3)])),
        step=F(0) if two else draw(st.sampled_from([F(1), F(1), F(1, 2), F(0)])),
        struck=draw(st.sampled_from([None, None, None, n + 1, n + 5])),
    )


@st.composite
def many(draw: st.DrawFn) -> list[Event]:
    return [draw(event(n)) for n in range(1, draw(st.integers(1, 24)) + 1)]


def all_of(settled: Settled) -> Mapping[str, Any]:
    found = {n: settled.estimate(n) for n in settled.numbers}
    return {
        "estimates": {
            n: (one.low, one.high, one.entries,
                {draw: (count, one.variances[draw]) for draw, count in one.draws.items()})
            for n, one in found.items()
        },
        "bases": {n: settled.basis(n) for n in settled.numbers},
        "waiting": dict(settled.waiting),
        "pools": settled.pools,
    }  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(many(), st.lists(st.integers(1, 24), max_size=24))
def test_settled_one_by_one_it_is_what_settles_anew(events: list[Event], asked: list[int]) -> None:
    grown = Settled(GAUGES)
    for number, one in enumerate(events, start=1):
        grown.take(one)
        n = asked[number % len(asked)] if asked else 0
        if n in grown.numbers:
            mean, anew = grown.mean((n,)), settle(events[:number], GAUGES).estimate(n)
            assert mean is not None
            assert (mean.low, mean.high, mean.draws) == (anew.low, anew.high, anew.draws)
            assert (mean.variance, mean.width_variance) == (anew.variance, anew.width_variance)
    assert all_of(grown) == all_of(settle(events, GAUGES))


def test_what_was_handed_out_keeps_its_figures_when_a_finer_step_is_typed() -> None:
    grown = Settled(GAUGES)
    grown.take(Reading(1, SPOTS[0], F(5), F(5), step=F(12)))
    before = grown.estimate(1)
    grown.take(Reading(2, SPOTS[1], F(5), F(5), step=F(6)))
    assert (before.variance, grown.estimate(1).variance) == (F(12), F(3))


def test_gauges_set_on_each_other_ten_thousand_times_are_no_matter_of_recursion() -> None:
    grown = Settled({"one": Gauge("one"), "two": Gauge("two")})
    names = ("one", "two")
    for n in range(1, 10_001):
        spot, before = Spot("J", (str(n),)), Spot("J", (str(n - 1),))
        if n > 1:
            grown.take(Setting(2 * n, names[n % 2], F(0), before))
        grown.take(Reading(2 * n + 1, spot, F(1), F(1), names[n % 2]))
    assert grown.estimate(20_001).low == 10_000


def test_a_reading_that_waits_is_in_no_mean() -> None:
    grown = Settled(GAUGES)
    grown.take(Reading(1, SPOTS[0], F(5), F(5), "mic"))
    grown.take(Setting(2, "mic", F(0), SPOTS[1]))
    grown.take(Reading(3, SPOTS[0], F(5), F(5), "mic"))
    assert grown.mean((1, 3)) is None
    assert grown.mean((1,)) is not None
    with pytest.raises(KeyError):
        grown.estimate(3)
