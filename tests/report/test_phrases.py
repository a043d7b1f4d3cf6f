"""One fit in words and figures."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.report import phrases
from bedplate.text import shown_text

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


def test_the_value_is_drawn_on_its_band() -> None:
    fit = gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")
    assert phrases.band_line(fit, 20) == "2 |--------=o=---------| 4"


def test_what_a_fit_waits_for_is_named_without_its_stations() -> None:
    assert phrases.waiting(gap("..8 thou", "A 1.0031").fit("GAP")) == "B"


@pytest.mark.parametrize(
    ("read", "wanted"),
    [
        (("A@a 1.0031..1.0033", "A@b 1.0031"), "values of one figure"),
        (("A@a left-out scored", "A@b 1.0031"), "what was left out"),
    ],
)
def test_a_spread_that_no_reading_is_due_for_says_why_it_waits(
    read: tuple[str, ...], wanted: str
) -> None:
    sheet = SHEET.replace("{more}", "").replace(
        'tag = "A"', 'tag = "A"\nstations = { way = ["a", "b"] }'
    )
    sheet = sheet.replace('stack = "A - B"', 'spread = "A"\nalong = "way"')
    assert phrases.waiting(Tiny(sheet).say(*read).fit("GAP")) == wanted


def test_a_fit_is_spoken_in_sentences() -> None:
    fit = gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")
    assert phrases.plain_sentence(fit) == (
        "Verdict: end gap GAP: in band. 3.0 thou, plus or minus 0.09. Band 2 to 4 thou."
    )
    waiting = gap("2..4 thou").fit("GAP")
    assert phrases.plain_sentence(waiting) == "Verdict: end gap GAP: waiting for A, B."


def test_an_open_end_is_spoken_in_words() -> None:
    over = phrases.plain_sentence(gap("..8 thou", "A 1.0031..", "B 1.0001").fit("GAP"))
    assert over.endswith("OUT, loose. Over 3.0 thou, plus or minus 0.06. Band ..8 thou.")
    under = phrases.plain_sentence(gap("..8 thou", "A ..1.0031", "B 1.0001").fit("GAP"))
    assert under.endswith("in band. Under 3.0 thou, plus or minus 0.06. Band ..8 thou.")


def test_u_from_typed_digits_alone_is_known_as_such() -> None:
    assert phrases.is_typed_only([gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")])
    assert not phrases.is_typed_only([gap("2..4 thou").fit("GAP")])


@pytest.mark.parametrize(
    ("e_n", "disagrees", "said"),
    [
        (Fraction(42, 100), False, "GAP agrees with RC: E_n 0.42"),
        (Fraction(0), False, "GAP agrees with RC: E_n 0.00"),
        (Fraction(1), False, "GAP agrees with RC: E_n 1.00"),
        (Fraction(9999, 10000), False, "GAP agrees with RC: E_n 0.9999"),
        (Fraction(10001, 10000), True,
         "GAP disagrees with RC: E_n 1.0001, one of the two is wrong"),
        (Fraction(18, 10), True, "GAP disagrees with RC: E_n 1.80, one of the two is wrong"),
        (None, True, "GAP disagrees with RC, one of the two is wrong"),
        (None, False, ""),
    ],
)  # fmt: skip
def test_how_two_ways_agree_is_said_and_never_denied_by_its_figure(
    e_n: Fraction | None, disagrees: bool, said: str
) -> None:
    fit = replace(gap("2..4 thou").fit("GAP"), same_as="RC", e_n=e_n, disagrees=disagrees)
    assert phrases.agreement(fit) == said


def test_free_text_is_shown_on_one_line() -> None:
    assert shown_text("one\ntwo\x1b") == r"one two\x1b"
