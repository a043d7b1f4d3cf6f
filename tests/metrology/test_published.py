"""Figures published, or computed elsewhere by other means, one case each with its source.

The data stand in ``data``; each file and case names where its figures come from.
"""

from __future__ import annotations

import json
import math
from fractions import Fraction
from pathlib import Path
from statistics import NormalDist
from typing import Any

import pytest
from pooling import pooled

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import (
    Draw,
    Estimate,
    Gauge,
    combine,
    reading_draws,
    rectangular,
)
from bedplate.metrology.flatness import flatness
from bedplate.metrology.judge import Case, Limits, capability, held_against, judge
from bedplate.metrology.remedy import window
from bedplate.metrology.thermal import GAUGE_STEEL, material_named

F = Fraction
Published = dict[str, Any]


def cases(name: str, kind: str | None = None) -> list[Any]:
    """Return the cases of one file, each under its own name."""
    file = Path(__file__).parent / "data" / f"{name}.json"
    found = json.loads(file.read_text(encoding="utf-8"))["cases"]
    kept = [case for case in found if kind is None or case.get("kind") == kind]
    return [pytest.param(case, id=case["id"]) for case in kept]


def limit(text: str | None) -> Fraction | None:
    return None if text is None else F(text)


def judged(inputs: Published) -> Case:
    return Case(
        F(inputs["y"]), F(inputs["u"]) ** 2, Limits(limit(inputs["TL"]), limit(inputs["TU"]))
    )


def close(found: float | Fraction | None, text: str, digits: int = 11) -> bool:
    assert found is not None
    return math.isclose(float(found), float(text), rel_tol=10**-digits, abs_tol=1e-300)


# JCGM 106: conformity


@pytest.mark.parametrize("case", cases("conformity", "conformance_probability"))
def test_conformance_probability(case: Published) -> None:
    found = judge([judged(case["inputs"])])
    assert close(found.probability, case["p_c"])
    if "p_nonconforming" in case:
        assert math.isclose(
            1 - float(found.probability or 0), float(case["p_nonconforming"]), abs_tol=1e-12
        )


@pytest.mark.parametrize("case", cases("conformity", "conformance_probability"))
def test_guarded_acceptance_and_rejection_with_the_whole_of_u(case: Published) -> None:
    for guarded in case.get("guarded", []):
        if guarded["r"] == "1":
            verdict = judge([judged(case["inputs"])]).verdict
            assert (verdict == "in") is guarded["accepted"]
            assert (verdict == "out") is guarded["rejected_by_guarded_rejection"]
            assert (verdict in {"in", "in-close"}) is (float(case["p_c"]) >= 0.5)


@pytest.mark.parametrize("case", cases("conformity", "conformance_probability"))
def test_guarded_acceptance_with_half_of_u(case: Published) -> None:
    """A guard of r·U is that of a gauge with r·u: the verdict scales."""
    for guarded in case.get("guarded", []):
        share, inputs = F(guarded["r"]), case["inputs"]
        scaled = {**inputs, "u": str(F(inputs["u"]) * share)}
        verdict = judge([judged(scaled)]).verdict
        assert (verdict == "in") is guarded["accepted"]
        assert (verdict == "out") is guarded["rejected_by_guarded_rejection"]


@pytest.mark.parametrize("case", cases("conformity", "conformance_probability"))
def test_capability_where_it_is_stated(case: Published) -> None:
    found = judge([judged(case["inputs"])])
    if "Cm" in case:
        assert close(found.capability, case["Cm"])
    else:
        assert found.capability is None


@pytest.mark.parametrize("case", cases("conformity", "guard_band"))
def test_acceptance_limits(case: Published) -> None:
    inputs = case["inputs"]
    low, high, square = F(inputs["TL"]), F(inputs["TU"]), F(inputs["u"]) ** 2
    allowed = window([Case(F(0), square, Limits(low, high))], F(1, 10**9))
    assert allowed is not None
    assert (allowed.least, allowed.greatest) == (F(case["AL"]), F(case["AU"]))
    for edge in ("AL", "AU"):
        found = judge([Case(F(case[edge]), square, Limits(low, high))])
        assert found.verdict == "in"
        assert close(found.probability, case[f"p_c_at_{edge}"])


@pytest.mark.parametrize("case", cases("conformity", "capability"))
def test_capability(case: Published) -> None:
    inputs = case["inputs"]
    limits = Limits(F(inputs["TL"]), F(inputs["TU"]))
    assert limits.width == F(case["T"])
    assert close(capability(limits, F(inputs["u"]) ** 2), case["Cm"])
    centre = (F(inputs["TL"]) + F(inputs["TU"])) / 2
    found = judge([Case(centre, F(inputs["u"]) ** 2, limits)])
    assert close(found.probability, case["p_c_at_centre"])
    assert not found.is_coarse


@pytest.mark.parametrize("case", cases("conformity", "one_sided_quantile"))
def test_a_one_sided_quantile(case: Published) -> None:
    found = judge([Case(F(case["z"]), F(1), Limits(F(0)))])
    assert close(found.probability, case["p_c"], digits=10)
    assert math.isclose(NormalDist().inv_cdf(float(case["p_c"])), float(case["z"]), rel_tol=1e-10)


@pytest.mark.parametrize("case", cases("conformity", "degenerate_u_zero"))
def test_no_uncertainty_at_all(case: Published) -> None:
    found = judge([judged(case["inputs"])])
    assert (found.verdict, found.probability) == ("out", float(case["p_c"]))


# GUM 5.2.2: what readings share


def with_shared_error(case: Published) -> Estimate:
    table: dict[Draw, Fraction] = {}
    parts = []
    for n, term in enumerate(case["terms"]):
        instrument = case["instruments"][term["instrument"]]
        own, shared = Draw("resolution", (n,)), Draw("zero_error", (term["instrument"], 0))
        table[own] = F(term["independent_standard_uncertainty"]) ** 2
        table[shared] = F(instrument["shared_standard_uncertainty"]) ** 2
        value = F(term["value"])
        reading = Estimate(value, value, {own: F(1), shared: F(1)}, table, (n,))
        parts.append((F(term["coefficient"]), reading))
    return combine(parts)


@pytest.mark.parametrize("case", cases("correlated_stacks"))
def test_a_stack_of_readings_that_share_an_instrument(case: Published) -> None:
    stack = with_shared_error(case)
    assert stack.low == F(case["value"])
    assert close(math.sqrt(stack.variance), case["combined_standard_uncertainty"])
    assert close(2 * math.sqrt(stack.variance), case["expanded_U_k2"])


@pytest.mark.parametrize("case", cases("correlated_stacks"))
def test_the_plain_root_of_squares_is_another_figure_where_sharing_matters(
    case: Published,
) -> None:
    terms = case["terms"]
    plain = sum(
        F(term["coefficient"]) ** 2
        * (
            F(term["independent_standard_uncertainty"]) ** 2
            + F(case["instruments"][term["instrument"]]["shared_standard_uncertainty"]) ** 2
        )
        for term in terms
    )
    assert close(math.sqrt(plain), case["wrong_if_shared_error_treated_as_independent"])
    once_each = len({term["instrument"] for term in terms}) == len(terms)
    assert (with_shared_error(case).variance == plain) is once_each


# GUM worked examples


@pytest.mark.parametrize("case", cases("gum", "linear"))
def test_a_linear_budget_of_the_guide(case: Published) -> None:
    parts = []
    for n, term in enumerate(case["terms"]):
        draw = Draw("max_error", (n,))
        square = F(term["u"]) ** 2 if "u" in term else rectangular(F(term["half_width"]))
        value = F(term["x"])
        parts.append((F(term["c"]), Estimate(value, value, {draw: F(1)}, {draw: square})))
    budget = combine(parts)
    assert budget.low == F(case["y"])
    assert close(math.sqrt(budget.variance), case["u"], digits=12)


@pytest.mark.parametrize("case", cases("gum", "root sum of squares"))
def test_a_root_sum_of_squares_of_the_guide(case: Published) -> None:
    draws = {Draw("max_error", (n,)): F(1) for n in range(len(case["components"]))}
    squares = dict(zip(draws, (F(text) ** 2 for text in case["components"]), strict=True))
    assert close(math.sqrt(Estimate(F(0), F(0), draws, squares).variance), case["u"], digits=12)


@pytest.mark.parametrize("case", cases("gum", "type A"))
def test_scatter_and_mean_of_the_guide(case: Published) -> None:
    readings = [F(text) for text in case["readings"]]
    assert sum(readings) / len(readings) == F(case["mean"])
    square, freedom = pooled([readings])
    assert freedom == len(readings) - 1
    assert close(math.sqrt(square), case["s"], digits=12)
    assert close(math.sqrt(square / len(readings)), case["s_mean"], digits=12)


@pytest.mark.parametrize("case", cases("gum", "divisor"))
def test_the_divisors_of_the_guide(case: Published) -> None:
    step = "resolution" in case["id"]
    gauge = Gauge("g", resolution=F(1)) if step else Gauge("g", resolution=F(0), max_error=F(1))
    (square,) = reading_draws(1, Spot("D"), gauge).values()
    assert close(1 / math.sqrt(square), case["divisor"], digits=14)


# NIST reference data


def data_of(case: Published) -> list[Fraction]:
    if "data" in case:
        return [F(text) for text in case["data"]]
    rule = case["data_rule"]
    return [F(rule["first"]), *map(F, rule["then_repeat_pair"] * rule["times"])]


@pytest.mark.parametrize("case", cases("nist_univariate"))
def test_scatter_of_the_reference_data(case: Published) -> None:
    data = data_of(case)
    assert len(data) == case["n"]
    mean = sum(data) / len(data)
    assert close(mean, case["mean"], digits=14)
    assert close(mean, case["exact_mean"], digits=14)
    parted = [[figure] for figure in data[:2]] + [data]
    for groups in ([data], parted):
        square, freedom = pooled(groups)
        if freedom < 5:
            assert square == 0
            square, _ = pooled([data] * 3)
        assert close(math.sqrt(square), case["sample_sd"], digits=14)
        assert close(square, case["exact_variance"], digits=14)


# Flatness


@pytest.mark.parametrize("case", cases("flatness"))
def test_flatness_of_a_grid(case: Published) -> None:
    grid, answers = case["grid"], case["answers"]
    points = [
        (F(grid["pitch_x"]) * x, F(grid["pitch_y"]) * y)
        for y in range(grid["ny"])
        for x in range(grid["nx"])
    ]
    heights = [Estimate(F(text), F(text), {}, {}) for text in case["heights"]]
    fitted, _ = flatness(points, heights, "least squares")
    zone, support = flatness(points, heights, "minimum zone")
    assert close(fitted.low, answers["lsq_residual_range"])
    assert close(zone.low, answers["minimum_zone"])
    assert list(support) == answers["minimum_zone_support_points"]
    assert 1 - float(answers["perpendicular_factor"]) < 1e-6


# Expansion


@pytest.mark.parametrize("case", cases("expansion"))
def test_expansion_of_a_material(case: Published) -> None:
    if case["name"] is None:
        assert F(case["per_degC"]) == GAUGE_STEEL
    else:
        material = material_named(case["name"])
        assert material is not None
        assert material.expansion == F(case["per_degC"])


def test_at_least_forty_figures_of_others_are_held_against() -> None:
    names = ("conformity", "correlated_stacks", "gum", "nist_univariate", "expansion")
    whole = sum(len(cases(name)) for name in names) + 2 * len(cases("flatness"))
    assert whole >= 40


def test_a_value_at_its_guard_is_in_and_at_its_rejection_limit_is_close() -> None:
    assert held_against(F("0.0002"), None, F("0.0001") ** 2) == "in"
    assert held_against(F("-0.0002"), None, F("0.0001") ** 2) == "out-close"
