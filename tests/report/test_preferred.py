"""Fits as their reader prefers to see them; the figures behind them stay the same."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tiny import Tiny

from bedplate.assess.rows import as_row
from bedplate.report import phrases, values
from bedplate.report.preferred import AS_ENTERED, Preference

SHEET = """
unit = "{unit}"
source = "Invented handbook"
[[component]]
id = "body"
[[feature]]
tag = "A"
of = "body"
[[feature]]
tag = "B"
of = "body"
[[fit]]
tag = "GAP"
name = "end gap"
stack = "A - B"
{more}
"""

BAND = 'band = { limits = "2..4 thou" }'


def gap(more: str, *lines: str, unit: str = "in") -> Tiny:
    return Tiny(SHEET.format(more=more, unit=unit)).say(*lines)


READ = ("A 1.0031", "B 1.0001")


@pytest.mark.parametrize(
    ("more", "show", "figure"),
    [
        ("", "as entered", "0.0030 +-0.00009 in"),
        ("", "thou", "3.0 +-0.09 thou"),
        ("", "mm", "0.076 +-0.0021 mm"),
        ("", "um", "76 +-2.1 um"),
        ("", "in", "0.0030 +-0.00009 in"),
        (BAND, "mm", "3.0 +-0.09 thou"),
        ('unit = "mm"', "um", "0.076 +-0.0021 mm"),
        (f'unit = "mm"\n{BAND}', "um", "0.076 +-0.0021 mm"),
    ],
)
def test_the_sheet_gives_the_unit_then_the_band_then_the_reader(
    more: str, show: str, figure: str
) -> None:
    fit = gap(more, *READ).fit("GAP")
    assert values.figure_shown(Preference(show).of(fit)) == figure


@pytest.mark.parametrize(
    ("more", "show", "figure"),
    [
        (BAND, "as entered", "3.0 +-0.09 thou (0.076 +-0.0021 mm)"),
        (BAND, "in", "3.0 +-0.09 thou (0.076 +-0.0021 mm)"),
        (BAND, "um", "3.0 +-0.09 thou (76 +-2.1 um)"),
        ("", "um", "76 +-2.1 um (3.0 +-0.09 thou)"),
        ("", "as entered", "0.0030 +-0.00009 in (0.076 +-0.0021 mm)"),
    ],
)
def test_the_second_unit_stands_in_brackets(more: str, show: str, figure: str) -> None:
    fit = gap(more, *READ).fit("GAP")
    assert values.figure_shown(Preference(show, both=True).of(fit)) == figure


def test_every_figure_of_a_fit_that_is_out_has_its_second() -> None:
    fit = Preference(both=True).of(gap(BAND, "A 1.0031..1.0034", "B 0.9979").fit("GAP"))
    assert phrases.said(fit) == "OUT, loose by 1.5 thou (0.038 mm)"
    assert values.limits_shown(fit) == "2 to 4 thou (0.051 to 0.102 mm)"
    assert values.value_in_full(fit) == "5.2 to 5.5 thou (0.132 to 0.140 mm)"
    assert values.uncertainty_in_full(fit) == "0.06 thou (0.0015 mm)"
    assert values.below_row(fit) == (
        "(0.132 to 0.140 +-0.0015 mm, band 0.051 to 0.102 mm, loose by 0.038 mm)"
    )
    assert phrases.plain_sentence(fit) == (
        "Verdict: end gap GAP: OUT, loose by 1.5 thou (0.038 mm). From 5.2 to 5.5 thou, plus or "
        "minus 0.06 (0.132 to 0.140 mm, plus or minus 0.0015). "
        "Band 2 to 4 thou (0.051 to 0.102 mm)."
    )


def test_one_sided_and_wear_limits_have_their_second() -> None:
    worn = 'band = { limits = "..4 thou", wear = "..6 thou" }'
    fit = Preference(both=True).of(gap(worn, "A 1.0031", "B 0.9982").fit("GAP"))
    assert values.limits_shown(fit) == "..4 thou (..0.102 mm)"
    assert fit.wear is not None
    assert values.wear_shown(fit, fit.wear) == "..6 thou (..0.152 mm)"


def test_what_is_beyond_a_limit_is_so_in_both_units() -> None:
    fit = Preference(both=True).of(gap(BAND, "A 1.0040003", "B 1.0000000").fit("GAP"))
    assert values.figure_shown(fit) == "4.0003 +-0.00009 thou (0.101608 +-0.0000021 mm)"
    assert fit.verdict == "out"
    assert phrases.said(fit) == "OUT, loose by 0.0003 thou (0.000008 mm)"


def test_below_nought_is_said_in_both_units() -> None:
    fit = Preference(both=True).of(gap(BAND, "A 0.9996", "B 1.0001").fit("GAP"))
    assert values.figure_shown(fit) == "0.5 +-0.09 thou (0.013 +-0.0021 mm) interference"
    assert values.spoken(fit) == (
        "0.5 thou interference, plus or minus 0.09 (0.013 mm interference, plus or minus 0.0021)"
    )


def test_a_torque_is_left_as_it_is() -> None:
    sheet = SHEET.format(more="", unit="in").replace("[[fit]]", "[[fit]]", 1)
    sheet = sheet.replace('tag = "A"', 'tag = "A"\nunit = "lbf*in"')
    sheet = sheet.replace('tag = "B"', 'tag = "B"\nunit = "lbf*in"')
    fit = Tiny(sheet).say("A 17", "B 5").fit("GAP")
    shown = Preference("mm", both=True).of(fit)
    assert shown is fit


def test_what_waits_says_its_band_in_both() -> None:
    fit = Preference(both=True).of(gap(BAND).fit("GAP"))
    assert values.below_row(fit) == "(band 0.051 to 0.102 mm)"


def test_as_entered_changes_nothing() -> None:
    fit = gap(BAND, *READ).fit("GAP")
    assert AS_ENTERED.of(fit) is fit


readings = st.integers(-80_000, 80_000).map(lambda n: f"{1 + n / 10**6:.6f}")


@given(
    readings, readings, st.sampled_from(["", BAND, 'band = { limits = "0.05..0.10 mm" }']),
    st.sampled_from(["as entered", "thou", "in", "mm", "um"]), st.booleans(),
)  # fmt: skip
def test_no_preference_changes_a_verdict_or_a_row_of_data(
    a: str, b: str, more: str, show: str, both: bool
) -> None:
    fit = gap(more, f"A {a}", f"B {b}").fit("GAP")
    before = as_row(fit)
    shown = Preference(show, both).of(fit)
    assert as_row(fit) == before
    assert (shown.verdict, shown.side, shown.word, shown.passes, shown.band) == (
        fit.verdict, fit.side, fit.word, fit.passes, fit.band,
    )  # fmt: skip
