"""The slips people make in TOML: each recognised in one statement, said in plain words, mended.

A *doctor* looks at the text of one statement and returns what is wrong and the statement as it was
meant, or None. `diagnose` keeps what a TOML reader then accepts, so no doctor needs to be sure.
"""

from __future__ import annotations

import tomllib
from typing import NamedTuple

from bedplate.sheet import slips_of_marks as marks
from bedplate.sheet import slips_of_quotes as quotes
from bedplate.sheet.slip_parts import Doctor, without_remark
from bedplate.text import visible

MOST_SHOWN = 60
"""Characters of a mended line that are shown as the cure."""

NOT_UNDERSTOOD = (
    'This line is not understood. A line reads  key = "value"  or  [[feature]]  or begins with '
    "# as a remark."
)


class Diagnosis(NamedTuple):
    """What is wrong with a statement, and what was meant (None where that cannot be told)."""

    text: str
    mended: str | None


def reads(statement: str) -> bool:
    """Return whether a statement by itself is TOML."""
    try:
        tomllib.loads(statement, parse_float=str)
    except (tomllib.TOMLDecodeError, RecursionError):
        return False
    return True


def diagnose(statement: str, table: str = "") -> Diagnosis:
    """Return what is wrong with a statement that is not TOML by itself.

    Args:
        statement: its text, in one line or several.
        table: the table it stands in, where that is known: the keys of ``axes`` have lists.
    """
    if table == "axes":
        found = quotes.listed_value(statement)
        if found is not None and reads(found[1]):
            return Diagnosis(_with_cure(*found), found[1])
    for doctor in DOCTORS:
        found = doctor(statement)
        if found is not None and reads(found[1]):
            return Diagnosis(_with_cure(*found), found[1])
    return _together(statement)


def _together(statement: str) -> Diagnosis:
    """Return the diagnosis of several slips in one statement: one doctor after another."""
    said: list[str] = []
    text = statement
    for doctor in DOCTORS:
        found = doctor(text)
        if found is None or found[1] == text:
            continue
        said.append(found[0])
        text = found[1]
        if reads(text):
            first = "\n".join(_ended(sentence) for sentence in said[:-1])
            return Diagnosis(f"{first}\n{_with_cure(said[-1], text)}", text)
    return Diagnosis(_ended(said[0]) if said else NOT_UNDERSTOOD, None)


def _ended(sentence: str) -> str:
    return sentence if sentence.endswith(".") else f"{sentence}."


def _with_cure(sentence: str, mended: str) -> str:
    cure = without_remark(mended).strip()
    if sentence.endswith("."):
        return sentence
    if not cure or "\n" in cure or len(cure) > MOST_SHOWN:
        return f"{sentence}."
    return f"{sentence}:  {visible(cure)}"


DOCTORS: tuple[Doctor, ...] = (
    quotes.printers_quotes,
    marks.header,
    marks.bare_header,
    marks.unseen,
    marks.semicolon,
    marks.separator,
    marks.key_of_words,
    quotes.yes_or_no,
    marks.no_value,
    quotes.inch_mark,
    quotes.doubled_quotes,
    marks.comma_at_end,
    marks.comma_missing,
    marks.one_line,
    quotes.backslash,
    quotes.list_without_brackets,
    quotes.without_quotes,
    marks.remark,
    quotes.quotes_inside,
    quotes.quote_missing,
    marks.not_closed,
    marks.too_many_closed,
)
"""In the order they are asked: the surest first."""
