"""What is wrong with a sheet, as values: where it stands, what it is, how it is mended."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from bedplate.text import counted, visible

WIDTH = 78
"""Columns that a printed fault may take."""

WHOLE_FILE = "file"
"""The `Fault.key` of what concerns the file as a whole; its text goes on after the file's name."""


_IN_QUOTES = re.compile(r'"[^"\n]{1,30}"')

MOST_FAULTS = 60
"""Faults said at once by one check; a sheet with more has one cause for many of them."""


class EnoughError(Exception):
    """There are as many faults as are said at once."""


class Fault(NamedTuple):
    """One thing to mend in a sheet.

    Attributes:
        line: line of the file, from 1; None where there is no file, or the whole of it is meant.
        key: where in the sheet (``fit.band.limits``, `WHOLE_FILE`).
        shown: the source line, or the row and key (``fit EC, band``) where there is no file.
        text: what is wrong with the cure, nearest name included; may have several lines.
    """

    line: int | None
    key: str
    shown: str
    text: str


def in_file_order(faults: Iterable[Fault]) -> list[Fault]:
    """Return faults by line; those without one first, equals in the order they were found."""
    return sorted(faults, key=lambda fault: fault.line or 0)


def faults_as_lines(name: str, faults: Sequence[Fault]) -> list[str]:
    """Return all faults of a file as they are printed, the file's name and their count first.

    Args:
        name: what the file is called.
        faults: at least one, in file order.
    """
    shown_name = visible(name)
    if all(fault.key == WHOLE_FILE for fault in faults):
        return [
            line
            for fault in faults
            for line in _wrapped(f"Not read. {shown_name} {fault.text}", WIDTH)
        ]
    count = counted(len(faults), "thing")
    lines = [f"{shown_name}: {count} to mend. Nothing else was read.", ""]
    for fault in faults:
        lines += _printed(fault)
    return lines


def _printed(fault: Fault) -> list[str]:
    """Return one fault: its line and what stands there, then what is wrong, indented."""
    label = f"line {fault.line}" if fault.line is not None else "sheet"
    margin = " " * max(9, len(label) + 2)
    parts = [visible(fault.shown)] if fault.shown else []
    if parts and len(parts[0]) > WIDTH - len(margin):
        parts[0] = parts[0][: WIDTH - len(margin) - 3] + "..."
    for sentence in visible(fault.text, keep="\n").split("\n"):
        parts += _folded(sentence, WIDTH - len(margin))
    first, *rest = parts
    return [f"{label:<{len(margin)}}{first}", *(f"{margin}{part}" for part in rest)]


def _folded(sentence: str, width: int) -> list[str]:
    """Return a sentence in lines, a cure that ends it whole on the last if that can be."""
    if len(sentence) <= width:
        return [sentence]
    before, colon, cure = sentence.rpartition(":  ")
    if not colon:
        return _wrapped(sentence, width)
    return [*_wrapped(f"{before}:", width), *_wrapped(cure, width)]


def _wrapped(sentence: str, width: int) -> list[str]:
    """Return a sentence in lines; a short text in quotes is not parted."""
    import textwrap  # noqa: PLC0415 - only where faults are printed

    whole = _IN_QUOTES.sub(lambda found: found.group().replace(" ", "\xa0"), sentence)
    return [line.replace("\xa0", " ") for line in textwrap.wrap(whole, width)]
