"""Slips with other marks, each by itself; `test_toml_slips` has what is said of statements."""

from __future__ import annotations

import pytest

from bedplate.sheet import slips_of_marks as marks
from bedplate.sheet.slip_parts import Doctor

SOUND = ['a = "b; // c"', "a = ['b', 'c']", "a = 1 # ; //", 'a = { b = "c", d = 1.5 }']


@pytest.mark.parametrize("text", SOUND)
@pytest.mark.parametrize(
    "doctor",
    [
        marks.header,
        marks.bare_header,
        marks.semicolon,
        marks.remark,
        marks.separator,
        marks.key_of_words,
        marks.no_value,
        marks.unseen,
        marks.comma_at_end,
        marks.comma_missing,
        marks.one_line,
        marks.not_closed,
        marks.too_many_closed,
    ],
    ids=lambda doctor: doctor.__name__,
)
def test_a_sound_statement_has_no_such_slip(doctor: Doctor, text: str) -> None:
    assert doctor(text) is None


def test_only_tables_of_a_sheet_have_headers() -> None:
    assert marks.header("[[something]") is None
    assert marks.bare_header("something") is None


def test_brackets_open_far_too_deep_are_left_alone() -> None:
    assert marks.not_closed("a = " + "[" * 9) is None


def test_remarks_within_braces_over_several_lines_are_left_out() -> None:
    found = marks.one_line("a = { b = 1, # first\n\n  c = [2,] # second\n}")
    assert found == ("What stands between { and } stays on one line", "a = { b = 1, c = [2] }")
