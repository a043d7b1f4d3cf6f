from __future__ import annotations

import math
import random
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.error import Draw, Estimate
from bedplate.metrology.judge import (
    VERDICTS,
    Case,
    Limits,
    Settles,
    Side,
    Verdict,
    capability,
    held_against,
    judge,
    passes,
    settles,
    word,
)

F = Fraction
BAND = Limits(F(2), F(4))
WORN = Limits(F(2), F(4), F(1), F(6))


def case(value: str | Fraction, variance: str | Fraction = "0", limits: Limits = BAND) -> Case:
    return Case(F(value), F(variance), limits)


def verdict(value: str, variance: str = "0", limits: Limits = BAND) -> tuple[str, Side | None]:
    found = judge([case(value, variance, limits)])
    return found.verdict, found.side


# Where one value lies


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("3", ("in", None)),
        ("2", ("in", None)),
        ("4", ("in", None)),
        ("1.9999", ("out", "low")),
        ("4.0001", ("out", "high")),
    ],
)
def test_without_uncertainty_the_limits_belong_to_the_band(
    value: str, expected: tuple[str, Side | None]
) -> None:
    assert verdict(value) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        # u = 0.1, so U = 0.2
        ("2.2", ("in", None)),
        ("3.8", ("in", None)),
        ("2.1999", ("in-close", "low")),
        ("2", ("in-close", "low")),
        ("4", ("in-close", "high")),
        ("3.8001", ("in-close", "high")),
        ("1.9999", ("out-close", "low")),
        ("4.2", ("out-close", "high")),
        ("1.8", ("out-close", "low")),
        ("4.2001", ("out", "high")),
        ("1.7999", ("out", "low")),
    ],
)
def test_a_value_nearer_to_a_limit_than_u_expanded_is_close(
    value: str, expected: tuple[str, Side | None]
) -> None:
    assert verdict(value, "0.01") == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        # u = 0.1; wear limits 1 and 6
        ("4", ("in-close", "high")),
        ("4.0001", ("serviceable", "high")),
        ("5.8", ("serviceable", "high")),
        ("5.8001", ("out-close", "high")),
        ("6", ("out-close", "high")),
        ("6.2", ("out-close", "high")),
        ("6.2001", ("out", "high")),
        ("1.2", ("serviceable", "low")),
        ("1.1999", ("out-close", "low")),
        ("0.8", ("out-close", "low")),
        ("0.7999", ("out", "low")),
    ],
)
def test_a_used_part_serves_to_its_wear_limit_and_that_is_guarded(
    value: str, expected: tuple[str, Side | None]
) -> None:
    assert verdict(value, "0.01", WORN) == expected


def test_a_wear_limit_without_uncertainty_is_inclusive() -> None:
    assert verdict("6", "0", WORN) == ("serviceable", "high")
    assert verdict("6.0001", "0", WORN) == ("out", "high")


def test_a_wear_limit_on_one_side_does_not_widen_the_other() -> None:
    one_sided = Limits(F(2), F(4), None, F(6))
    assert verdict("1.5", "0", one_sided) == ("out", "low")
    assert verdict("5", "0", one_sided) == ("serviceable", "high")


@pytest.mark.parametrize(
    ("limits", "value", "expected"),
    [
        (Limits(None, F(4)), "-100", ("in", None)),
        (Limits(None, F(4)), "5", ("out", "high")),
        (Limits(F(2), None), "100", ("in", None)),
        (Limits(F(2), None), "1", ("out", "low")),
        (Limits(None, F(4), None, F(6)), "5", ("serviceable", "high")),
    ],
)
def test_a_side_without_a_limit_is_never_off(
    limits: Limits, value: str, expected: tuple[str, Side | None]
) -> None:
    assert verdict(value, "0", limits) == expected


@pytest.mark.parametrize("square", ["1/1000000000000", "1/10000", "1", "10000"])
def test_four_thou_against_a_limit_of_four_is_close_with_any_uncertainty(square: str) -> None:
    four = (F("0.7540") - F("0.7500")) * 1000
    found = judge([case(four, square)])
    assert (found.verdict, found.side, found.margin) == ("in-close", "high", F(0))


def test_four_thou_against_a_limit_of_four_without_uncertainty_is_in() -> None:
    found = judge([case((F("0.7540") - F("0.7500")) * 1000)])
    assert (found.verdict, found.side, found.margin) == ("in", None, F(0))


@pytest.mark.parametrize(
    ("distance", "wear", "square", "expected"),
    [
        ("2", None, "1", "in"),
        ("1.999", None, "1", "in-close"),
        ("0", None, "0", "in"),
        ("-1", "2", "1", "serviceable"),
        ("-1", "1.999", "1", "out-close"),
        ("-1", "0", "0", "serviceable"),
        ("-5", "-2", "1", "out-close"),
        ("-5", "-2.001", "1", "out"),
        ("-2", None, "1", "out-close"),
        ("-2.001", None, "1", "out"),
    ],
)
def test_one_value_against_one_limit(
    distance: str, wear: str | None, square: str, expected: str
) -> None:
    assert held_against(F(distance), None if wear is None else F(wear), F(square)) == expected


# Which case decides


def test_the_worst_of_several_values_holds() -> None:
    found = judge([case("3"), case("5"), case("2")])
    assert (found.verdict, found.judged, found.margin, found.case) == ("out", F(5), F(-1), 1)


def test_a_serviceable_value_is_worse_than_a_close_one_and_better_than_out_close() -> None:
    close, worn, out = case("4", "0.01"), case("5", "0.01", WORN), case("4.1", "0.01")
    assert judge([close, worn]).verdict == "serviceable"
    assert judge([out, worn, close]).verdict == "out-close"


def test_of_equals_the_least_distance_over_u_decides() -> None:
    # 0.5 over u = 1 against 0.4 over u = 0.1
    found = judge([case("3.6", "1"), case("3.5", "1"), case("3.9", "1/100")])
    assert (found.verdict, found.judged) == ("in-close", F("3.6"))
    found = judge([case("5", "1/100"), case("4.5", "1/10000")])
    assert (found.verdict, found.judged, found.margin) == ("out", F("4.5"), F("-0.5"))


def test_among_what_is_in_the_nearest_to_a_limit_is_shown() -> None:
    found = judge([case("3"), case("2.5"), case("3.75"), case("3.1")])
    assert (found.verdict, found.judged, found.margin, found.side) == (
        "in", F("3.75"), F("0.25"), None,
    )  # fmt: skip


def test_low_goes_before_high() -> None:
    assert judge([case("5", "1/100"), case("1", "1/100")]).side == "low"
    assert judge([case("5"), case("1")]).side == "low"
    assert judge([case("3", "1")]).side == "low"


def test_then_the_larger_u_decides() -> None:
    found = judge([case("2", "1"), case("2", "4"), case("2", "1")])
    assert (found.case, found.variance) == (1, F(4))


def test_then_the_first_case_decides() -> None:
    assert judge([case("5"), case("5"), case("5")]).case == 0


def test_a_value_without_uncertainty_and_outside_lies_beyond_every_other() -> None:
    found = judge([case("9", "1/100"), case("4.0001"), case("4.01")])
    assert (found.judged, found.margin) == (F("4.01"), F("-0.01"))


def test_a_value_without_uncertainty_and_inside_lies_behind_every_other() -> None:
    found = judge([case("3.9999"), case("2.5", "1/100")])
    assert (found.verdict, found.judged) == ("in", F("2.5"))


def test_a_value_on_its_limit_without_uncertainty_is_the_nearest_of_all_that_are_in() -> None:
    assert judge([case("2.5", "1/100"), case("4"), case("3.9")]).judged == 4


def test_each_case_is_held_against_limits_of_its_own() -> None:
    tight, wide = Limits(F(2), F(3)), Limits(F(2), F(9))
    found = judge([case("5", "0", wide), case("4", "0", tight), case("6", "0", Limits())])
    assert (found.verdict, found.judged, found.case) == ("out", F(4), 1)
    assert found.deciding is not None
    assert found.deciding.limits is tight


# Open ends and brackets


def ends(low: str | None, high: str | None, limits: Limits, square: str = "0") -> list[Case]:
    """Return the two ends of one bracket as cases."""
    lowest, highest = (None if end is None else F(end) for end in (low, high))
    middle = None if lowest is None or highest is None else (lowest + highest) / 2
    width = F(0) if lowest is None or highest is None else (highest - lowest) ** 2 / 12
    shared = {
        "variance": F(square),
        "limits": limits,
        "middle": middle,
        "width_variance": width,
        "endless": middle is None,
    }
    return [
        Case(lowest, open=None if low else "low", **shared),  # type: ignore[arg-type]
        Case(highest, open=None if high else "high", **shared),  # type: ignore[arg-type]
    ]


def test_an_open_end_against_a_limit_on_its_side_is_out() -> None:
    found = judge(ends(None, "1.5", BAND, "1/100"))
    assert found == Verdict(
        "out", "low", None, None, F(1, 100), None, 5.0, found.case, found.deciding
    )
    assert (found.case, found.deciding) == (0, ends(None, "1.5", BAND, "1/100")[0])


def test_an_open_end_beyond_a_wear_limit_is_out_too() -> None:
    found = judge(ends("3", None, WORN))
    assert (found.verdict, found.side, found.judged) == ("out", "high", None)


def test_an_open_end_decides_over_any_other_value_that_is_out() -> None:
    assert judge([case("9"), *ends("3", None, BAND)]).judged is None
    assert judge([*ends("3", None, BAND), case("1")]).side == "high"


def test_of_two_open_ends_the_larger_u_decides() -> None:
    found = judge([*ends(None, "3", BAND, "1"), *ends(None, "3", BAND, "4")])
    assert (found.variance, found.case) == (F(4), 2)


def test_the_closed_end_of_an_open_bracket_has_no_probability_even_by_itself() -> None:
    found = judge(ends(None, "3", Limits(None, F(4)))[1:])
    assert (found.verdict, found.judged, found.probability) == ("in", F(3), None)


def test_an_open_end_away_from_the_limit_leaves_the_other_end_to_judge() -> None:
    found = judge(ends(None, "3", Limits(None, F(4))))
    assert (found.verdict, found.judged, found.margin, found.probability) == (
        "in",
        F(3),
        F(1),
        None,
    )
    found = judge(ends(None, "5", Limits(None, F(4))))
    assert (found.verdict, found.side, found.judged, found.margin) == ("out", "high", F(5), F(-1))


def test_both_ends_of_a_bracket_are_judged_and_its_middle_gives_the_probability() -> None:
    found = judge(ends("3", "5", BAND))
    assert (found.verdict, found.judged, found.variance) == ("out", F(5), F(0))
    # the middle, 4, lies on the upper limit; its width as a rectangle is 1/3
    expected = 0.5 - math.erfc(2 / math.sqrt(2 / 3)) / 2
    assert found.probability is not None
    assert math.isclose(found.probability, expected, rel_tol=1e-12)


def test_open_and_closed_cases_without_a_limit_leave_the_probability_alone() -> None:
    found = judge([case("3", "1/16"), *ends(None, "9", Limits())])
    assert found.probability == judge([case("3", "1/16")]).probability


# Without limits


def test_without_limits_the_figures_are_those_of_the_mean() -> None:
    mean = Estimate(
        F(3), F(5), {Draw("max_error", ("g",)): F(1)}, {Draw("max_error", ("g",)): F(7)}
    )
    found = judge([case("3", "1", Limits()), case("5", "1", Limits())], mean)
    assert found == Verdict("no-band", None, F(4), None, F(7), None, None)


def test_without_limits_and_without_a_mean_there_are_no_figures() -> None:
    assert judge([]) == Verdict("no-band", None, None, None, None, None, None)
    open_mean = Estimate(None, F(5), {}, {})
    assert judge([], open_mean) == Verdict("no-band", None, None, None, F(0), None, None)


# What is said besides


def test_capability_is_the_width_over_twice_u_expanded() -> None:
    assert capability(BAND, F(1, 64)) == 4.0
    assert capability(BAND, F(1, 120)) == 5.477225575051661
    assert capability(Limits(None, F(4)), F(1)) is None
    assert capability(Limits(F(2), None), F(1)) is None
    assert capability(BAND, F(0)) is None


def test_the_page_of_the_design_is_met_figure_by_figure() -> None:
    found = judge([case("5.1", "1/120"), case("5.2", "1/120"), case("5.3", "1/120")])
    assert (found.verdict, found.side, found.judged, found.margin) == (
        "out", "high", F("5.3"), F("-1.3"),
    )  # fmt: skip
    assert found.capability == 5.477225575051661
    assert found.probability is not None
    assert found.probability < 1e-40


@pytest.mark.parametrize(("square", "coarse"), [("1/63", True), ("1/64", False), ("0", False)])
def test_a_gauge_is_coarse_for_a_band_under_four_to_one(square: str, *, coarse: bool) -> None:
    assert judge([case("3", square)]).is_coarse is coarse


@pytest.mark.parametrize(
    ("name", "simple", "guarded"),
    [
        ("in", True, True),
        ("in-close", True, False),
        ("serviceable", True, True),
        ("out-close", False, False),
        ("out", False, False),
        ("no-band", True, True),
        ("unmeasured", False, False),
    ],
)
def test_what_passes(name: str, *, simple: bool, guarded: bool) -> None:
    assert passes(name) is simple
    assert passes(name, "simple") is simple
    assert passes(name, "guarded") is guarded


@pytest.mark.parametrize(
    ("kind", "low", "high"),
    [
        ("clearance", "tight", "loose"),
        ("interference", "loose", "tight"),
        ("size", "undersize", "oversize"),
        ("wear", "worn", "worn"),
        ("form", "low", "high"),
        ("direct", "low", "high"),
    ],
)
def test_a_side_has_a_word_of_its_own_in_each_kind_of_fit(kind: str, low: str, high: str) -> None:
    assert (word(kind, "low"), word(kind, "high"), word(kind, None)) == (low, high, None)


@pytest.mark.parametrize(
    ("limits", "faults"),
    [
        (Limits(), []),
        (WORN, []),
        (Limits(F(2), F(2), F(2), F(2)), []),
        (Limits(F(4), F(2)), ["low is above high"]),
        (
            Limits(F(2), None, None, F(6)),
            ["there is a high wear limit, but no high limit for it to widen"],
        ),
        (
            Limits(None, F(4), F(1), None),
            ["there is a low wear limit, but no low limit for it to widen"],
        ),
        (
            Limits(F(2), F(4), F(3), F(3)),
            [
                "the low wear limit lies inside the band",
                "the high wear limit lies inside the band",
            ],
        ),
    ],
)
def test_limits_that_contradict_themselves_are_found(limits: Limits, faults: list[str]) -> None:
    assert limits.faults() == faults


def test_a_band_with_one_limit_has_no_width() -> None:
    assert (BAND.width, Limits(F(1)).width, Limits(None, F(1)).width) == (F(2), None, None)


# What would settle a close call


def close(
    value: str, limits: Limits = BAND, *, hand: str = "0", gauge: str = "0", rest: str = "0"
) -> Verdict:
    draws = {Draw(kind, (1,)): F(1) for kind in ("repeatability", "max_error", "resolution")}
    squares = dict(zip(draws, (F(hand), F(gauge), F(rest)), strict=True))
    estimate = Estimate(F(value), F(value), draws, squares)
    return judge([Case(F(value), estimate.variance, limits, estimate=estimate)])


def test_enough_repeats_settle_what_the_hand_leaves_open() -> None:
    # d = 0.2, d²/4 = 0.01; 0.005 besides the hand: 0.02 must come down to 0.005
    assert settles(close("2.2", hand="0.02", rest="0.005")) == Settles(4, None)
    assert settles(close("1.8", hand="0.021", rest="0.005")) == Settles(5, None)


def test_a_better_gauge_settles_what_its_error_leaves_open() -> None:
    assert settles(close("3.8", gauge="0.02", rest="0.005")) == Settles(None, Decimal("0.5"))
    assert settles(close("4.2", gauge="0.02", rest="0.005")) == Settles(None, Decimal("0.5"))


def test_both_may_settle_it_each_by_itself() -> None:
    found = settles(close("2.4", hand="0.03", gauge="0.03"))
    assert found == Settles(3, Decimal("0.57735026919"))


def test_neither_can_where_the_rest_alone_is_too_much() -> None:
    assert settles(close("2.2", hand="0.02", gauge="0.02", rest="0.01")) == Settles(None, None)
    assert settles(close("2", hand="0.02", gauge="0.02")) == Settles(None, None)


def test_nor_where_the_rest_alone_would_just_reach() -> None:
    # d²/4 = 0.01, and 0.01 would be left however many the repeats
    assert settles(close("2.2", hand="0.02", rest="0.01")) == Settles(None, None)
    assert settles(close("2.2", gauge="0.02", rest="0.01")) == Settles(None, None)


def test_what_is_not_close_needs_no_settling() -> None:
    assert settles(close("3", hand="0.0001")) is None
    assert settles(close("9", hand="0.0001")) is None
    assert settles(close("5", WORN, hand="0.0001")) is None
    assert settles(judge([])) is None


def test_with_a_wear_limit_the_distance_from_that_one_is_to_be_settled() -> None:
    # 0.2 inside the wear limit of 6
    assert settles(close("5.8", WORN, hand="0.02", rest="0.005")) == Settles(4, None)
    assert settles(close("0.8", WORN, hand="0.02", rest="0.005")) == Settles(4, None)
    # inside the band it is the band's limit that is close
    assert settles(close("3.8", WORN, hand="0.02", rest="0.005")) == Settles(4, None)


# A great many cases at and about the limits, against U = 2u in plain fractions


class Drawn(NamedTuple):
    """A value so placed that what decides is met exactly, a hair off, or anywhere."""

    value: Fraction
    u: Fraction
    limits: Limits


HAIR = F(1, 10**15)


def drawn(chance: random.Random) -> Drawn:
    u = F(chance.choice([0, chance.randint(1, 500)]), chance.choice([1, 3, 1000]))
    low = F(chance.randint(-1000, 1000), chance.choice([1, 7]))
    high = low + F(chance.randint(0, 1000), chance.choice([1, 9]))
    limits = Limits(
        *(chance.choice([low, low, low, None]), chance.choice([high, high, high, None]))
    )
    wear_low = low - F(chance.randint(0, 300), 3) if limits.low is not None else None
    wear_high = high + F(chance.randint(0, 300), 3) if limits.high is not None else None
    limits = Limits(
        limits.low, limits.high,
        chance.choice([wear_low, None]), chance.choice([wear_high, None]),
    )  # fmt: skip
    marks = [
        mark
        for mark in (limits.low, limits.high, limits.wear_low, limits.wear_high)
        if mark is not None
    ] or [low]
    offset = u * chance.choice([F(-2), F(0), F(2), F(chance.randint(-40, 40), 10)])
    return Drawn(chance.choice(marks) + offset + chance.choice([-1, 0, 0, 1]) * HAIR, u, limits)


def plainly(one: Drawn, side: Side) -> tuple[str, Fraction] | None:
    """Return verdict and distance by the words of the page, with U itself."""
    low_side = side == "low"
    limit = one.limits.low if low_side else one.limits.high
    wear_limit = one.limits.wear_low if low_side else one.limits.wear_high
    if limit is None:
        return None
    sign = 1 if low_side else -1
    d, expanded = sign * (one.value - limit), 2 * one.u
    if d >= expanded:
        return "in", d
    if d >= 0:
        return "in-close", d
    beyond = d
    if wear_limit is not None:
        beyond = sign * (one.value - wear_limit)
        if beyond >= expanded:
            return "serviceable", d
    return ("out" if beyond < -expanded else "out-close"), d


def deciding(cases: list[Drawn]) -> tuple[str, Side | None, Fraction, Fraction, Fraction] | None:
    """Return verdict, side, value, margin and u of the case that decides, by sorting."""
    held = []
    for one in cases:
        sides: tuple[Side, Side] = ("low", "high")
        for order, side in enumerate(sides):
            if (found := plainly(one, side)) is not None:
                name, d = found
                if one.u:
                    near: tuple[int, Fraction] = (0, d / one.u)
                else:
                    near = ((d > 0) - (d < 0), d)
                key = (-VERDICTS.index(name), near, order, -one.u)
                held.append((key, name, side, one.value, d, one.u))
    if not held:
        return None
    _, name, side, value, margin, u = min(held, key=lambda entry: entry[0])
    return name, None if name == "in" else side, value, margin, u


def check_against_plain_fractions(times: int, seed: int) -> dict[str, int]:
    chance = random.Random(seed)
    met: dict[str, int] = {}
    for _ in range(times):
        cases = [drawn(chance) for _ in range(chance.choice([1, 1, 2, 3]))]
        found = judge([Case(one.value, one.u**2, one.limits) for one in cases])
        expected = deciding(cases)
        if expected is None:
            assert found.verdict == "no-band"
        else:
            name, side, value, margin, u = expected
            got = (found.verdict, found.side, found.judged, found.margin, found.variance)
            assert got == (name, side, value, margin, u**2), cases
        met[found.verdict] = met.get(found.verdict, 0) + 1
    return met


def test_ten_thousand_cases_at_the_limits_are_decided_as_in_plain_fractions() -> None:
    met = check_against_plain_fractions(10_000, seed=20_260_101)
    assert all(met[name] > 300 for name in (*VERDICTS, "no-band"))


@pytest.mark.slow
def test_a_million_cases_at_the_limits_are_decided_as_in_plain_fractions() -> None:
    met = check_against_plain_fractions(1_000_000, seed=7)
    assert all(met[name] > 30_000 for name in (*VERDICTS, "no-band"))


FIGURES = st.fractions(min_value=-20, max_value=20, max_denominator=40)
SQUARES = st.fractions(min_value=0, max_value=4, max_denominator=40)


@given(value=FIGURES, square=SQUARES, more=SQUARES)
def test_a_greater_uncertainty_never_makes_a_verdict_surer(
    value: Fraction, square: Fraction, more: Fraction
) -> None:
    order = {"in": 0, "in-close": 1, "out-close": 2, "out": 3}
    sure = order[judge([case(value, square)]).verdict]
    unsure = order[judge([case(value, square + more)]).verdict]
    assert (unsure in {1, 2}) or unsure == sure
    assert (sure < 2) == (unsure < 2)


@given(value=FIGURES, square=SQUARES)
def test_a_mirrored_fit_has_the_mirrored_verdict(value: Fraction, square: Fraction) -> None:
    mirrored = Limits(
        -WORN.high if WORN.high else None, -WORN.low if WORN.low else None, F(-6), F(-1)
    )
    one, other = judge([case(value, square, WORN)]), judge([case(-value, square, mirrored)])
    assert one.verdict == other.verdict
    assert one.margin == other.margin
    assert one.probability == other.probability


def test_a_close_figure_of_which_nothing_more_is_known_is_settled_by_neither() -> None:
    assert settles(judge([Case(Fraction(3), Fraction(1), Limits(Fraction(2)))])) == (None, None)
