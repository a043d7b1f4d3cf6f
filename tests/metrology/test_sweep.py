"""Combinations added up in whole numbers decide as those formed one by one do."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Draw, Estimate
from bedplate.metrology.figures import How
from bedplate.metrology.judge import Case, Limits, judge
from bedplate.metrology.sweep import Listed, Part, Sweep

F = Fraction
ZERO = Draw("zero_error", ("mic1", 0))
MOST = Draw("max_error", ("mic1", "D", ()))


def digit(spot: Spot) -> Draw:
    return Draw("resolution", ("mic1", str(spot)))


def read(spot: Spot, figure: str, *shared: Draw, own: str = "1/12", n: int = 1) -> Estimate:
    """Return a reading with a draw of its own, and draws that it has in common with others."""
    variances = {digit(spot): F(own), **dict.fromkeys(shared, F(1, 3))}
    return Estimate(F(figure), F(figure), dict.fromkeys(variances, F(1)), variances, (n,))


D = [Spot("D", (), (name,)) for name in "abc"]
H = [Spot("H", (), (name,)) for name in "xy"]
KNOWN = {
    D[0]: read(D[0], "103", ZERO, MOST, n=2),
    D[1]: read(D[1], "104", ZERO, MOST, n=3),
    D[2]: read(D[2], "102", ZERO, MOST, n=4),
    H[0]: read(H[0], "100", ZERO, n=5),
    H[1]: read(H[1], "99", ZERO, own="4/3", n=6),
}
MORE = {spot: (F(1), spot) for spot in D}
LESS = {spot: (F(-1), spot) for spot in H}
ALL: list[tuple[Part, ...]] = [(MORE[d], LESS[h]) for d, h in itertools.product(D, H)]
"""3, 4, 4, 5, 2, 3: with x as read well, with y badly."""
BAND = Limits(F(2), F(4))


def listed(combinations: list[tuple[Part, ...]], known: dict[Spot, Estimate]) -> Listed:
    """Return the combinations formed one by one."""
    return Listed([
        Sweep([parts], known).mean for parts in combinations
    ])  # fmt: skip


def test_mean_tightest_and_loosest_are_those_of_all_combinations() -> None:
    shown = Sweep(ALL, KNOWN).figures("clearance")
    assert shown.mean is not None
    assert (shown.mean.low, shown.tightest, shown.loosest) == (F(21, 6), F(2), F(5))
    assert shown.mean.entries == (2, 3, 4, 5, 6)
    assert Sweep(ALL, KNOWN).figures("interference").tightest == 5


def test_the_error_of_the_mean_counts_each_reading_with_its_share() -> None:
    """Of D a third each, of H a half each; the zero drops out, the maximum error stays whole."""
    square = F(3, 9) / 12 + F(1, 4) / 12 + F(1, 4) * F(4, 3) + F(1, 3)
    assert Sweep(ALL, KNOWN).mean.variance == square


def test_only_the_farthest_of_each_uncertainty_are_formed() -> None:
    cases = Sweep(ALL, KNOWN).cases([BAND] * 6, "clearance")
    assert [case.value for case in cases] == [4, 5, 2, 3]
    assert [case.variance for case in cases] == [F(1, 2), F(7, 4), F(1, 2), F(7, 4)]


def test_of_equal_ones_the_first_is_formed() -> None:
    same = {**KNOWN, D[1]: read(D[1], "103", ZERO, MOST, n=3)}
    (case,) = Sweep([(MORE[d], LESS[H[0]]) for d in D[:2]], same).cases([BAND] * 2, "clearance")
    assert case.estimate is not None
    assert case.estimate.entries == (2, 5)


def test_a_share_of_an_error_counts_by_its_square() -> None:
    """Once of u² 2, and twice of u² 1, are 2 and 4: the one between is formed too."""
    known = {
        D[0]: read(D[0], "1", own="2"),
        D[1]: read(D[1], "3", own="2"),
        H[0]: read(H[0], "1", own="1"),
    }
    parts: list[tuple[Part, ...]] = [(MORE[D[0]],), ((F(2), H[0]),), (MORE[D[1]],)]
    cases = Sweep(parts, known).cases([BAND] * 3, "clearance")
    assert [(str(case.value), str(case.variance)) for case in cases] == [
        ("1", "2"), ("2", "4"), ("3", "2"),
    ]  # fmt: skip


def test_other_limits_are_held_against_by_themselves() -> None:
    limits = [BAND, BAND, BAND, BAND, Limits(F(0), F(9)), BAND]
    cases = Sweep(ALL, KNOWN).cases(limits, "clearance")
    assert [case.value for case in cases] == [3, 4, 5, 2, 3]
    assert [case.limits.high for case in cases] == [4, 4, 4, 9, 4]


@pytest.mark.parametrize(
    ("how", "kind", "values"),
    [
        ("tightest", "clearance", [2]),
        ("loosest", "clearance", [5]),
        ("tightest", "interference", [5]),
        ("loosest", "interference", [2]),
        ("mean", "clearance", [F(7, 2)]),
    ],
)
def test_what_is_judged_is_chosen_first(how: How, kind: str, values: list[Fraction]) -> None:
    cases = Sweep(ALL, KNOWN).cases([BAND] * 6, kind, how)
    assert [case.value for case in cases] == values


def test_what_is_known_in_many_figures_stays_exact() -> None:
    odd = {**KNOWN, D[0]: read(D[0], "308/3"), H[0]: read(H[0], "701/7")}
    shown = Sweep([((F(1, 3), D[0]), (F(-1, 5), H[0]))], odd).figures("clearance")
    assert shown.tightest == F(308, 9) - F(701, 35)


def test_an_address_counted_otherwise_elsewhere_is_another_part() -> None:
    parts: list[tuple[Part, ...]] = [((F(2), D[0]), LESS[H[0]]), (MORE[D[0]], LESS[H[0]])]
    cases = Sweep(parts, KNOWN).cases([BAND] * 2, "clearance")
    assert [case.value for case in cases] == [106, 3]


FIGURES = st.integers(-9, 9).map(lambda n: F(n, 2))
SHARES = st.dictionaries(st.sampled_from([ZERO, MOST]), st.integers(-2, 2).map(F), max_size=2)


@given(st.data())
def test_a_verdict_is_that_of_all_combinations_formed_one_by_one(data: st.DataObject) -> None:
    """Random figures, shared and own draws, coefficients, bands, and what is judged of them."""
    counts = data.draw(st.tuples(*[st.sampled_from([F(1), F(-1), F(1, 2), F(2)])] * 2))
    known: dict[Spot, Estimate] = {}
    for n, spot in enumerate((*D, *H), start=2):
        shared = data.draw(SHARES)
        own = data.draw(st.sampled_from([F(0), F(1, 12), F(1, 3)]))
        variances = {digit(spot): own, ZERO: F(1, 4), MOST: F(1, 9)}
        figure = data.draw(FIGURES)
        known[spot] = Estimate(figure, figure, {digit(spot): F(1), **shared}, variances, (n,))
    first, second = ({spot: (count, spot) for spot in spots}
                     for count, spots in zip(counts, (D, H), strict=True))  # fmt: skip
    combinations: list[tuple[Part, ...]] = [
        (first[d], second[h]) for d, h in itertools.product(D, H)
    ]
    bands = [
        Limits(),
        Limits(F(-2), F(3)),
        Limits(None, F(2), None, F(5)),
        Limits(F(-1), F(1), F(-4), F(4)),
    ]
    limits = [bands[n] for n in data.draw(st.lists(st.integers(0, 3), min_size=6, max_size=6))]
    how: How = data.draw(st.sampled_from(["every", "mean", "tightest", "loosest"]))
    kind = data.draw(st.sampled_from(["clearance", "interference"]))
    swept, formed = Sweep(combinations, known), listed(combinations, known)
    shown, full = swept.figures(kind), formed.figures(kind)
    assert (shown.tightest, shown.loosest) == (full.tightest, full.loosest)
    assert shown.mean is not None
    assert full.mean is not None
    assert (shown.mean.low, shown.mean.variance) == (full.mean.low, full.mean.variance)
    assert told(swept.cases(limits, kind, how), shown.mean) == told(
        formed.cases(limits, kind, how), full.mean
    )


def told(cases: list[Case], mean: Estimate) -> tuple[object, ...]:
    """Return all that a verdict says but the place of the case among those given."""
    verdict = judge(cases, mean)
    deciding = verdict.deciding
    estimate = deciding.estimate if deciding is not None else None
    parts = [estimate.part(kind) for kind in ("zero_error", "max_error")] if estimate else None
    return (
        verdict.verdict, verdict.side, verdict.judged, verdict.margin, verdict.variance,
        verdict.probability, verdict.capability, deciding.limits if deciding else None, parts,
        estimate.entries if estimate is not None else None,
    )  # fmt: skip
