"""What was typed: a value, a key, or an address."""

from __future__ import annotations

import pytest
from bench_session import SMALL
from tiny import sheet_of

from bedplate.cli.bench.answers import KEYS, Answer, understood, values_in
from bedplate.errors import NotUnderstoodError
from bedplate.sheet.layout import Layout

LETTERS = (
    SMALL
    + """
[[feature]]
tag = "N"
of = "body"
[[feature]]
tag = "T"
of = "body"
[[fasteners]]
tag = "B"
count = 2
[[proof]]
tag = "Q"
text = "Turns"
"""
)
"""The small sheet with tags that are letters of keys."""


@pytest.fixture(scope="module")
def layout() -> Layout:
    return Layout(sheet_of(LETTERS))


@pytest.mark.parametrize(
    "typed",
    ["1.0", ".75", ",75", "-0.002", "+0.0003", "\u22120.1", "\u20130.1", "4..5 thou", "..4"],
)
def test_what_begins_like_a_figure_is_a_value(layout: Layout, typed: str) -> None:
    assert understood(typed, layout) == Answer("value", typed)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.word)
def test_every_key_is_typed_as_letter_or_word_in_any_case(layout: Layout, key: object) -> None:
    letter, word = key.letter, key.word  # type: ignore[attr-defined]
    for typed in (letter, word, word.upper()):
        assert understood(typed, layout) == Answer("key", typed, key=letter)


@pytest.mark.parametrize(
    ("typed", "kind", "name", "rest"),
    [
        ("g mic2", "key", "g", "mic2"),
        ("skip  not there", "key", "s", "not there"),
        ("n burr on the edge", "key", "n", "burr on the edge"),
        ("N burr on the edge", "key", "n", "burr on the edge"),
        ("N", "address", "N", ""),
        ("n", "key", "n", ""),
        ("N 0.125", "address", "N", "0.125"),
        ("n 0.125 left", "key", "n", "0.125 left"),
        ("T 0.125", "address", "T", "0.125"),
        ("t 24C", "key", "t", "24C"),
        ("d 1.0030", "address", "d", "1.0030"),
        ("D", "address", "D", ""),
        ("d", "key", "d", ""),
        ("B removed", "address", "B", "removed"),
        ("B", "address", "B", ""),
        ("b", "key", "b", ""),
        ("Q pass", "address", "Q", "pass"),
        ("q", "key", "q", ""),
        ("H.driver@a", "address", "H.driver@a", ""),
        ("h.driver@a 1.0001", "address", "h.driver@a", "1.0001"),
        ("gear.idler", "address", "gear.idler", ""),
        ("EC", "address", "EC", ""),
        ("hello", "unknown", "", ""),
    ],
)
def test_keys_and_addresses_are_told_apart(
    layout: Layout, typed: str, kind: str, name: str, rest: str
) -> None:
    answer = understood(typed, layout)
    assert (answer.kind, answer.key or answer.address, answer.rest) == (kind, name, rest)


def test_nothing_is_nothing(layout: Layout) -> None:
    assert understood("", layout).kind == "nothing"


@pytest.mark.parametrize(
    ("typed", "values"),
    [
        ("1.0030", ["1.0030"]),
        ("1.0030 1.0031", ["1.0030", "1.0031"]),
        ("19.057 mm 19.058 mm", ["19.057 mm", "19.058 mm"]),
        ("0.700 + 0.050 + 3 tenths", ["0.700+0.050+3 tenths"]),
        ("1.2530 - 0.2500", ["1.2530-0.2500"]),
        ("1.2530 -0.2500", ["1.2530", "-0.2500"]),
        ("4 .. 5 thou", ["4..5 thou"]),
        ("..1.5 thou", ["..1.5 thou"]),
        ("1-3/8in 1 3/8", ["1-3/8in", "1", "3/8"]),
        ("1 3/8 in", ["1 3/8 in"]),
        ("3/8 in 3/8 in", ["3/8 in", "3/8 in"]),
    ],
)
def test_blanks_part_values_but_not_units_sums_and_ends(typed: str, values: list[str]) -> None:
    if typed.endswith("1 3/8"):
        with pytest.raises(NotUnderstoodError, match='"1" and "3/8" stand apart'):
            values_in(typed, "in")
    else:
        assert values_in(typed, "in") == values
