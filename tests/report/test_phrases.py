"""One fit in words and figures."""

from __future__ import annotations

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


def test_the_value_is_drawn_on_its_band() -> None:
    fit = gap("2..4 thou", "A 1.0031", "B 1.0001").fit("GAP")
    assert phrases.band_line(fit, 20) == "2 |--------=o=---------| 4"


def test_what_a_fit_waits_for_is_named_without_its_stations() -> None:
    assert phrases.waiting(gap("..8 thou", "A 1.0031").fit("GAP")) == "B"


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


def test_free_text_is_shown_on_one_line() -> None:
    assert phrases.shown_text("one\ntwo\x1b") == r"one two\x1b"
