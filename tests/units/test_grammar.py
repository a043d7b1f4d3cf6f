"""A value taken apart, before anything is weighed."""

from __future__ import annotations

from fractions import Fraction

from bedplate.units.figures import Figure
from bedplate.units.grammar import Parsed, Term, clean, parse


def test_a_text_is_cleaned_of_what_looks_like_a_blank_or_a_minus() -> None:
    assert clean("\u00a0\u22120.5\u202fmm \u2013 1", "length") == "-0.5 mm - 1"


def test_signs_stand_apart_from_figures() -> None:
    parsed = parse("-0.5 thou+3/8", "length")
    assert parsed == Parsed(
        "-0.5 thou+3/8",
        (
            Term("-", Figure(Fraction(1, 2), Fraction(1, 10), 4, mark="."), "thou", "0.5 thou"),
            Term("+", Figure(Fraction(3, 8), Fraction(1, 8), 13), None, "3/8"),
        ),
    )
    assert [term.amount for term in parsed.low] == [Fraction(-1, 2), Fraction(3, 8)]


def test_an_open_end_may_have_the_unit_behind_it() -> None:
    assert parse("4.. thou", "length") == Parsed(
        "4.. thou",
        (Term("", Figure(Fraction(4), Fraction(1), 1), None, "4"),),
        two_ended=True,
        last="thou",
    )


def test_a_minus_between_letters_joins_a_unit() -> None:
    assert [term.unit for term in parse("17 lbf-ft-12 lbf-in", "torque").low] == [
        "lbf*ft",
        "lbf*in",
    ]
