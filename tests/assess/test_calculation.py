"""One sum without a job, its figures reckoned by hand."""

from __future__ import annotations

from fractions import Fraction
from statistics import NormalDist

import pytest

from bedplate.assess.calculation import calculate
from bedplate.errors import NotUnderstoodError

F = Fraction


@pytest.mark.parametrize(
    ("expression", "band", "value", "unit"),
    [
        ("1.0030 - 0.9979", "2..4 thou", F("5.1"), "thou"),
        ("1.0030 - 0.9979", None, F("0.0051"), "in"),
        ("1.0030 - 0.9979", "0.05..0.10 mm", F("0.0051"), "mm"),
        ("48.043 - 47.990", "38..51 um", F(53), "um"),
        ("48.043 mm - 47.990 mm", None, F("0.053"), "mm"),
        ("48,043 - 47,990 mm", None, F("0.053"), "mm"),
        ("(48.043 - 47.990)/2 mm", None, F("0.0265"), "mm"),
        ("1.2530 - 2*0.2500 - 0.7500", "2..4 thou", F(3), "thou"),
        ("0.2500*2 - 0.4990", None, F("0.001"), "in"),
        ("1 3/8 in - 1.3700", None, F("0.005"), "in"),
        ("1-3/8in - 1.3700", None, F("0.005"), "in"),
        ("3/8 - 0.3700", None, F("0.005"), "in"),
        ("0.0040 in - 1 thou", None, F("0.003"), "in"),
        ("1 in - 25 mm", None, F(1, 1) - F(250, 254), "in"),
        ("30 psi - 2 bar", None, None, "psi"),
        ("7 tenths", "..8 thou", F("0.7"), "thou"),
        ("17 lbf*ft - 15 lbf ft", None, F(2), "lbf*ft"),
        ("(23 N*m - 2.0)/2", None, F("10.5"), "N*m"),
        ("12.5N/mm-12.0N/mm", None, F("0.5"), "N/mm"),
        ("3 kgf/cm^2 - 2 kgf/cm^2", "..2 kgf/cm^2", F(1), "kgf/cm^2"),
        ("3.5 gal_us/min*2 - 6", None, F(1), "gal_us/min"),
    ],
)
def test_a_sum_is_exact_and_shown_in_the_unit_of_its_band_or_its_figures(
    expression: str, band: str | None, value: F | None, unit: str
) -> None:
    result = calculate(expression, band, None)
    assert result.unit == unit
    if value is not None:
        assert result.mean == result.tightest == result.loosest == value


def test_bar_is_exact_in_psi() -> None:
    # 1 psi = 0.45359237·9.80665/0.0254² Pa, exact by definition.
    psi = F("0.45359237") * F("9.80665") / F("0.0254") ** 2
    assert calculate("30 psi - 2 bar", None, None).mean == 30 - 200_000 / psi


def test_every_figure_is_a_reading_of_its_own_and_counts_as_often_as_it_stands() -> None:
    typed = calculate("1.2530 - 2*0.2500 - 0.7500", "2..4 thou", None)
    # u² = (1 + 4 + 1)·0.1²/12 thou².
    assert typed.variance == 6 * F("0.01") / 12
    measured = calculate("1.2530 - 2*0.2500 - 0.7500", "2..4 thou", "1 tenth")
    # With 0.1 thou of maximum error each: 0.1²/12 + 0.1²/3, six times.
    assert measured.variance == 6 * (F("0.01") / 12 + F("0.01") / 3)
    assert (typed.notes, measured.notes) == (
        ("U from typed digits only",),
        ("this gauge is coarse for this band",),
    )


def test_each_figure_has_the_step_it_was_typed_with() -> None:
    assert (
        calculate("0.75 - 0.7500 in", None, None).variance
        == (F("0.01") ** 2 + F("0.0001") ** 2) / 12
    )


def test_two_ends_are_judged_as_such() -> None:
    result = calculate("1.5..2.5 thou + 2 thou", "..4 thou", None)
    assert (result.tightest, result.loosest, result.mean) == (F("3.5"), F("4.5"), F(4))
    assert (result.verdict, result.judged, result.margin) == ("out-close", F("4.5"), F("-0.5"))
    assert result.variance == F(1, 12)


def test_an_open_end_runs_off_to_its_side() -> None:
    up_to = calculate("..1.5 thou", "2..4 thou", None)
    assert (up_to.verdict, up_to.side, up_to.judged, up_to.mean) == ("out", "low", None, None)
    assert (up_to.tightest, up_to.loosest) == (None, F("1.5"))


@pytest.mark.parametrize(
    ("expression", "verdict"),
    [("1.0030 - 0.9991", "in"), ("1.0030 - 0.9990", "in-close"), ("1.0030 - 0.9989", "out")],
)
def test_a_sum_on_its_limit_is_close_and_a_tenth_decides(expression: str, verdict: str) -> None:
    result = calculate(expression, "2..4 thou", None)
    assert (result.verdict, result.passes) == (verdict, verdict != "out")


def test_one_figure_may_stand_there_twice() -> None:
    assert calculate("1.0 - 1.0", None, None).mean == 0


@pytest.mark.parametrize(
    ("expression", "said"),
    [
        ("1.0 kg - 2 in", '"2 in" is a length, not a mass.'),
        ("1.0 - 2 furlong", 'There is no unit "furlong".'),
        ("1.0 - 2 in*gear", 'There is no unit "in*gear".'),
        ("1.0 + 1.0.0", '"1.0.0" has more than one point or comma in a figure.'),
    ],
)
def test_figures_are_read_by_the_one_strict_reader(expression: str, said: str) -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        calculate(expression, None, None)
    assert refused.value.message.startswith(said)


EXAMPLE = '  Type:  bedplate calc "1.0030 - 0.9979" --band 2..4thou'


@pytest.mark.parametrize(
    ("expression", "said"),
    [
        ("", ['Nothing worked out. "" has no figure.', EXAMPLE]),
        ("2*3", ['Nothing worked out. "2*3" has no figure.', EXAMPLE]),
        ("1.0 + gear", ['Nothing worked out. "gear" is no figure.', EXAMPLE]),
        ("1.0030 * 0.9979", [
            'Nothing worked out. "1.0030 * 0.9979" cannot be read: '
            "a figure is multiplied by a figure."]),
        ("1.0/0.5 in", [
            'Nothing worked out. "1.0/0.5 in" cannot be read: something is divided by a figure.']),
        ("1.0 - (0.5", [
            'Nothing worked out. "1.0 - (0.5" cannot be read: it ends before a ")" is due.']),
        ("1.0 2.0", [
            'Nothing worked out. "1.0 2.0" cannot be read: '
            '+, -, * or / is missing before "2.0".']),
        ("1.0 - ", [
            'Nothing worked out. "1.0 - " cannot be read: it ends where a figure is due.']),
        ("1" * 4001, [
            "Nothing worked out. A sum may have 4000 characters, and this has 4001."]),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_sum_is_said_in_figures(expression: str, said: list[str]) -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        calculate(expression, None, None)
    assert refused.value.as_lines() == said


@pytest.mark.parametrize("error", ["-1 thou", "..1 thou", "1.. thou", "1..2 thou"])
def test_a_gauge_error_is_one_figure_not_below_nothing(error: str) -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        calculate("1.0", None, error)
    assert refused.value.message == f'Nothing worked out. "{error}" is no gauge error.'
    assert calculate("1.0", None, "0 thou").notes == ()


def test_the_width_between_two_ends_counts_in_the_probability() -> None:
    """4 ± 1 in 2 to 6: u² = 1/12 of the digit and 2²/12 of the width; z = 2/√(5/12)."""
    result = calculate("1.003 in - 0.998..1.000 in", "2..6 thou", None)
    assert result.variance == F(1, 12)
    expected = 2 * NormalDist().cdf(2 / (5 / 12) ** 0.5) - 1
    assert result.probability == pytest.approx(expected, rel=1e-9)


def test_the_row_says_what_was_typed_and_its_band_as_typed() -> None:
    result = calculate(" 1.0030 - 0.9990 ", "2..4 thou", None)
    assert (result.fit.tag, result.fit.title) == ("calc", "1.0030 - 0.9990")
    assert (result.kind, result.stage, result.position) == ("clearance", "as left", ())
    assert result.band is not None
    assert (result.band.low, result.band.high, result.band.text) == (F(2), F(4), "2..4 thou")
    assert (result.band.source, result.step, result.word) == (None, F("0.1"), "loose")
