"""Words before signs: every verdict has its phrase, and a sign that no other has."""

from __future__ import annotations

from itertools import combinations

import pytest

from bedplate.metrology.judge import WORDS
from bedplate.report.verdicts import said, side_word, sign, sign_column

CASES = [
    ("in", None, "[ o ]", "in band"),
    ("in-close", "low", "[?  ]", "in, close to low"),
    ("in-close", "high", "[  ?]", "in, close to high"),
    ("serviceable", "low", "w[   ]", "worn, within wear limit"),
    ("serviceable", "high", "[   ]w", "worn, within wear limit"),
    ("out-close", "low", "?[   ]", "out, but close: tight"),
    ("out-close", "high", "[   ]?", "out, but close: loose"),
    ("out", "low", "X[   ]", "OUT, tight by 1.3"),
    ("out", "high", "[   ]X", "OUT, loose by 1.3"),
    ("no-band", None, "-", "recorded, no limit entered"),
    ("unmeasured", None, "[...]", "waiting: BL"),
]


@pytest.mark.parametrize(("verdict", "side", "shown", "phrase"), CASES)
def test_each_verdict_has_its_sign_and_phrase(
    verdict: str, side: str | None, shown: str, phrase: str
) -> None:
    assert sign(verdict, side) == shown
    assert said(verdict, side, "clearance", "1.3", ["BL"]) == phrase


def test_all_signs_differ_without_colour() -> None:
    signs = [sign(verdict, side) for verdict, side, *_ in CASES]
    assert all(one != other for one, other in combinations(signs, 2))
    assert "".join(signs).isascii()


def test_a_side_without_a_limit_has_a_round_bracket() -> None:
    assert sign("unmeasured", None, has_low=False) == "(...]"
    assert sign("in", None, has_high=False) == "[ o )"
    assert sign("out", "high", has_low=False) == "(   ]X"


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
def test_the_sides_are_called_by_the_kind_of_fit(kind: str, low: str, high: str) -> None:
    assert (side_word(kind, "low"), side_word(kind, "high")) == (low, high)
    assert said("out", "low", kind, "1.3") == f"OUT, {low} by 1.3"
    assert side_word(kind, None) is None


def test_every_kind_of_fit_is_named() -> None:
    assert set(WORDS) == {"clearance", "interference", "size", "wear", "form", "direct"}


def test_out_is_the_only_word_in_capitals() -> None:
    phrases = [said(verdict, side, "size", "1", []) for verdict, side, *_ in CASES]
    capitals = {word.strip(",") for phrase in phrases for word in phrase.split() if word.isupper()}
    assert capitals == {"OUT"}


def test_out_by_nothing_known_is_still_out() -> None:
    assert said("out", "high", "clearance") == "OUT, loose"


def test_many_missing_addresses_are_counted() -> None:
    assert said("unmeasured", None, "size", None, ["A", "B", "C", "D"]) == (
        "waiting: A, B, C and 1 more"
    )
    assert said("unmeasured", None, "size") == "waiting"


def test_brackets_stand_under_one_another() -> None:
    columns = [sign_column(shown) for _, _, shown, _ in CASES if shown != "-"]
    assert {len(column) for column in columns} == {7}
    assert {column.index("[") for column in columns} == {1}
