"""What stands outside the texts of a statement."""

from __future__ import annotations

from bedplate.sheet.slip_parts import ASSIGNED, replaced_outside, without_remark


def test_a_remark_is_left_off_and_a_text_with_its_sign_is_not() -> None:
    assert without_remark('a = "#1"  # first') == 'a = "#1"  '
    assert without_remark("a = '#1'# first") == "a = '#1'"


def test_only_what_stands_outside_texts_is_changed() -> None:
    assert replaced_outside("a; \"b;\" 'c;' # d;", lambda run: run.replace(";", "!")) == (
        "a! \"b;\" 'c;' # d;"
    )


def test_a_quote_that_is_never_closed_opens_no_text() -> None:
    assert replaced_outside('a = "b; c', lambda run: run.replace(";", "!")) == 'a = "b! c'


def test_key_and_value_are_told_apart_at_the_first_equals_sign() -> None:
    found = ASSIGNED.match('  stack = "a = b"')
    assert found is not None
    assert found.groups() == ("  ", "stack", " = ", '"a = b"')
    assert ASSIGNED.match('"stack" = 1') is None
