"""What a check says of a sheet, for tests: one text for each fault, its line before it."""

from __future__ import annotations

from bedplate.sheet.checker import check_sheet
from bedplate.sheet.reader import read_sheet_text

FIRST_LINE = 'format = "bedplate-sheet/1"'


def said(toml: str) -> list[str]:
    """Return every fault of a sheet's text as ``3: what is wrong``.

    The format's line is put before the text, in its first line, so that lines keep their number.
    """
    text = toml if "format =" in toml else f"{FIRST_LINE}\n{toml.removeprefix(chr(10))}"
    sheet, faults = read_sheet_text(text.encode(), "tiny.toml")
    if (sheet is None) == (not faults):
        raise AssertionError("a sheet or faults, one of the two")
    if sheet is not None and check_sheet(sheet):
        raise AssertionError("a sound sheet stays sound without its file")
    return [f"{fault.line}: {fault.text}" for fault in faults]


PARTS = """
unit = "mm"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
tooth = ["a", "b", "c"]
[[component]]
id = "body"
[[component]]
id = "gear"
positions = "gear"
[[feature]]
tag = "D"
of = "body"
name = "bore depth"
[[feature]]
tag = "H"
of = "gear"
stations = "tooth"
nominal = "1.0000"
"""
"""A body with a bore and two gears in it, 20 lines with the format's; fits come after."""


def said_after(more: str, parts: str = PARTS) -> list[str]:
    """Return the faults of some tables after `PARTS`, the first line of them being line 1."""
    offset = parts.strip("\n").count("\n") + 2
    found = []
    for text in said(f"{parts.strip(chr(10))}\n{more.strip(chr(10))}\n"):
        line, _, rest = text.partition(": ")
        found.append(f"{int(line) - offset}: {rest}")
    return found
