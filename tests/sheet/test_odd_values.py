"""Values that TOML lets through and a sheet does not."""

from __future__ import annotations

import pytest

from bedplate.sheet.line_index import LineIndex
from bedplate.sheet.odd_values import odd_values, unseen


@pytest.mark.parametrize("text", ["", "steel", "é – µ", "soft\u00adhyphen", "no\u00a0break"])
def test_what_can_be_seen_or_does_no_harm_is_let_through(text: str) -> None:
    assert unseen(text) is None


@pytest.mark.parametrize("char", ["\x00", "\x1b", "\x7f", "\x85", "\u2028", "\ud800"])
def test_control_characters_are_not(char: str) -> None:
    shown = char.encode("unicode_escape").decode()
    assert unseen(f"a{char}b") == (
        f"There is a control character ({shown}) in this text. Type it without."
    )


def test_a_backslash_that_became_a_line_end_is_explained() -> None:
    assert unseen("C:\new") == (
        "There is a \\x0a in this text, a control character.\n"
        "A text is one line, and a backslash in it is written twice:  C:\\\\new"
    )


def test_every_text_is_looked_at_keys_too() -> None:
    data = {"a": [{"b\x07": "c"}, "d\x07"], "e": {"f": "g\x07"}}
    assert [fault.key for fault in odd_values(data, LineIndex())] == [
        r"a.b\x07",
        "a",
        "e.f",
    ]


def test_figures_are_compared_with_what_was_typed() -> None:
    index = LineIndex(["a = 0x10", "b = 16", "c = [16, -3]"], {("a",): 1, ("b",): 2, ("c",): 3})
    data = {"a": 16, "b": 16, "c": [16, -3], "d": 5, "e": True}
    assert [(fault.line, fault.shown) for fault in odd_values(data, index)] == [(1, "a = 0x10")]


def test_data_may_be_very_deep() -> None:
    data: dict[str, object] = {"a": "b\x07"}
    for _ in range(500):
        data = {"a": data}
    assert len(odd_values(data, LineIndex())) == 1
