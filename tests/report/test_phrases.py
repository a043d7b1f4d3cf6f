"""One fit in words and figures."""

from __future__ import annotations

import pytest
from tiny import Tiny

from bedplate.report import phrases

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
    shown = phrases.limits_shown(gap("2..4.0 thou").fit("GAP"))
    assert shown == "2 to 4.0 thou"


@pytest.mark.parametrize(
    ("band", "shown"), [("..8 thou", "..8 thou"), ("2.. thou", "2.. thou"), ("", "-")]
)
def test_an_open_side_is_shown_open(band: str, shown: str) -> None:
    assert phrases.limits_shown(gap(band).fit("GAP")) == shown


def test_a_figure_is_shown_with_its_doubt_and_unit() -> None:
    fit = gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")
    assert phrases.figure_shown(fit) == "3.0 +-0.09 thou"
    assert phrases.figure_shown(fit, draw=True) == "3.0 ±0.09 thou"
    assert phrases.band_line(fit, 20) == "2 |--------=o=---------| 4"


def test_two_ends_are_shown_where_they_differ_and_one_where_it_is_open() -> None:
    swept = gap("2..4 thou", "A 1.0031..1.0033", "B 1.0001").fit("GAP")
    assert phrases.range_shown(swept) == "3.0 to 3.2"
    opened = gap("..8 thou", "A 1.0031..", "B 1.0001").fit("GAP")
    assert phrases.range_shown(opened) == "3.0.."
    assert phrases.range_shown(gap("..8 thou").fit("GAP")) == "-"


def test_under_mean_the_mean_is_shown() -> None:
    fit = gap("2..4 thou", "A 1.0031..1.0033", "B 1.0001", more='judge = "mean"').fit("GAP")
    assert phrases.range_shown(fit) == "3.1"


def test_what_a_fit_waits_for_is_named_without_its_stations() -> None:
    assert phrases.waiting(gap("..8 thou", "A 1.0031").fit("GAP")) == "B"


def test_a_fit_is_spoken_in_sentences() -> None:
    fit = gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")
    assert phrases.plain_sentence(fit) == (
        "Verdict: end gap GAP: in band. 3.0 thou, plus or minus 0.09. Band 2 to 4 thou."
    )
    waiting = gap("2..4 thou").fit("GAP")
    assert phrases.plain_sentence(waiting) == "Verdict: end gap GAP: waiting for A, B."


def test_u_from_typed_digits_alone_is_known_as_such() -> None:
    assert phrases.is_typed_only([gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")])
    assert not phrases.is_typed_only([gap("2..4 thou").fit("GAP")])


def test_free_text_is_shown_on_one_line() -> None:
    assert phrases.shown_text("one\ntwo\x1b") == r"one two\x1b"
