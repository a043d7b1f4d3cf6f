"""Slips with quotes, each by itself; `test_toml_slips` has what is said of whole statements."""

from __future__ import annotations

import pytest

from bedplate.sheet import slips_of_quotes as quotes
from bedplate.sheet.slip_parts import Doctor

SOUND = ['a = "b"', "a = 'b'", "a = 1", 'a = ["b", "c"]', 'a = { b = "c", d = 1.5 }', "a = true"]


@pytest.mark.parametrize("text", SOUND)
@pytest.mark.parametrize(
    "doctor",
    [
        quotes.printers_quotes,
        quotes.yes_or_no,
        quotes.list_without_brackets,
        quotes.without_quotes,
        quotes.inch_mark,
        quotes.doubled_quotes,
        quotes.quote_missing,
        quotes.backslash,
    ],
    ids=lambda doctor: doctor.__name__,
)
def test_a_sound_statement_has_no_such_slip(doctor: Doctor, text: str) -> None:
    assert doctor(text) is None


def test_what_is_no_assignment_has_no_such_slip() -> None:
    for doctor in (quotes.listed_value, quotes.quotes_inside, quotes.quote_missing):
        assert doctor("[[fit]]") is None


def test_only_what_needs_quotes_gets_them() -> None:
    found = quotes.without_quotes("a = { b = 1.5, c = true, d = 2 thou, e = 2026-03-01 }")
    assert found is not None
    assert found[1] == 'a = { b = 1.5, c = true, d = "2 thou", e = 2026-03-01 }'


def test_both_kinds_of_quotes_in_one_text_are_left_alone() -> None:
    assert quotes.quotes_inside('a = "it\'s 3" long"') is None


def test_a_semicolon_or_a_remark_is_no_part_of_a_value() -> None:
    assert quotes.without_quotes("a = 1; b = 2") is None
    assert quotes.without_quotes("a = 2 // thou") is None
