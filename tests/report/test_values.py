"""The figures of one fit as text."""

from __future__ import annotations

import pytest
from tiny import Tiny

from bedplate.report import values

SHEET = """
unit = "in"
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


def gap(band: str, *lines: str, more: str = "") -> Tiny:
    text = f'band = {{ limits = "{band}", source = "p. 31" }}\n{more}' if band else more
    return Tiny(SHEET.format(more=text)).say(*lines)


def test_limits_are_shown_as_entered() -> None:
    shown = values.limits_shown(gap("2..4.0 thou").fit("GAP"))
    assert shown == "2 to 4.0 thou"


@pytest.mark.parametrize(
    ("band", "shown"), [("..8 thou", "..8 thou"), ("2.. thou", "2.. thou"), ("", "-")]
)
def test_an_open_side_is_shown_open(band: str, shown: str) -> None:
    assert values.limits_shown(gap(band).fit("GAP")) == shown


@pytest.mark.parametrize(
    ("limits", "shown"),
    [
        ("-0.010..0 mm", "59.980 to 59.990 mm"),
        ("..0.010 mm", "..60.000 mm"),
        ("-10..0 um", "59980 to 59990 µm"),
    ],
)
def test_limits_from_nominal_have_the_decimals_they_were_entered_with(
    limits: str, shown: str
) -> None:
    job = Tiny(f"""
unit = "mm"
source = "Invented handbook"
[[component]]
id = "crank"
[[feature]]
tag = "MJ"
of = "crank"
nominal = "59.990"
[[fit]]
tag = "MJD"
stack = "MJ"
band = {{ limits = "{limits}", from = "nominal" }}
""")
    assert values.limits_shown(job.fit("MJD"), draw=True) == shown


def test_a_figure_is_shown_with_its_doubt_and_unit() -> None:
    fit = gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")
    assert values.figure_shown(fit) == "3.0 +-0.09 thou"
    assert values.figure_shown(fit, draw=True) == "3.0 ±0.09 thou"


def test_two_ends_are_shown_where_they_differ_and_one_where_it_is_open() -> None:
    swept = gap("2..4 thou", "A 1.0031..1.0033", "B 1.0001").fit("GAP")
    assert values.range_shown(swept) == "3.0 to 3.2"
    opened = gap("..8 thou", "A 1.0031..", "B 1.0001").fit("GAP")
    assert values.range_shown(opened) == "3.0.."
    assert values.range_shown(gap("..8 thou").fit("GAP")) == "-"


def test_under_mean_the_mean_is_shown() -> None:
    fit = gap("2..4 thou", "A 1.0031..1.0033", "B 1.0001", more='judge = "mean"').fit("GAP")
    assert values.range_shown(fit) == "3.1"


# ---- below nought


@pytest.mark.parametrize(
    ("band", "lines", "figure", "spoken", "below"),
    [
        ("2..4 thou", ("A 0.9996", "B 1.0001"), "0.5 +-0.09 thou interference",
         "0.5 thou interference, plus or minus 0.09", "(0.5 interference)"),
        ("2..4 thou", ("A 0.9996..1.0004", "B 1.0001"), "0.5 interference to 0.3 +-0.06 thou",
         "0.5 interference to 0.3 thou, plus or minus 0.06", "(0.5 interference to 0.3)"),
        ("2..4 thou", ("A 0.9996..0.9999", "B 1.0001"), "0.5 to 0.2 +-0.06 thou interference",
         "0.5 to 0.2 thou interference, plus or minus 0.06", "(0.5 to 0.2 interference)"),
        ("", ("A 0.9996", "B 1.0001"), "0.0005 +-0.00009 in interference",
         "0.0005 in interference, plus or minus 0.00009", "(0.0005 interference)"),
        ("2..4 thou", ("A 1.0031", "B 1.0001"), "3.0 +-0.09 thou",
         "3.0 thou, plus or minus 0.09", ""),
    ],
)  # fmt: skip
def test_a_clearance_below_nought_has_no_sign_but_a_name(
    band: str, lines: tuple[str, ...], figure: str, spoken: str, below: str
) -> None:
    fit = gap(band, *lines).fit("GAP")
    assert values.figure_shown(fit) == figure
    assert values.spoken(fit) == spoken
    assert values.below_row(fit) == below


def test_an_interference_below_nought_is_a_clearance() -> None:
    fit = gap("2..4 thou", "A 0.9996", "B 1.0001", more='kind = "interference"').fit("GAP")
    assert values.figure_shown(fit) == "0.5 +-0.09 thou clearance"


@pytest.mark.parametrize("kind", ["size", "wear", "direct", "form"])
def test_what_has_a_sign_of_its_own_keeps_it(kind: str) -> None:
    fit = gap("2..4 thou", "A 0.9996", "B 1.0001", more=f'kind = "{kind}"').fit("GAP")
    assert values.figure_shown(fit) == "-0.5 +-0.09 thou"
    assert values.below_row(fit) == ""


def test_what_lies_below_nought_by_less_than_is_shown_gets_digits() -> None:
    fit = gap("2..4 thou", "A 1.00009", "B 1.0001").fit("GAP")
    assert values.figure_shown(fit) == "0.01 +-0.059 thou interference"
    fit = gap("2..4 thou", "A 3000.2 thou", "B 3000.23 thou").fit("GAP")
    assert values.range_shown(fit) == "0.03"
