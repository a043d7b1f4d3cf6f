"""Tables of fixed columns, aligned on the decimal point; stacked where the screen is narrow.

Nothing is ever cut: where a table does not fit, its last column is wrapped, and where that is not
enough each row becomes a few lines of its own. On a pipe a table is as wide as it needs to be.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from bedplate.cli.screen import wrapped

GAP = "  "
WHOLE = "\N{NO-BREAK SPACE}"
"""A blank at which no line is broken."""
WIDE = 80
"""Columns that what stands under a row is wrapped at, on a pipe."""
LEAST_WRAPPED = 16
"""Columns below which the last column is not wrapped: the rows are stacked instead."""

_STYLE = re.compile(r"\x1b\[[0-9;]*m")
_FIGURE = re.compile(r"[-+]?[0-9]+(\.[0-9]+)?")


class Column(NamedTuple):
    """One column.

    Attributes:
        title: its heading; in a stacked row it stands before the value, unless it is empty or
            the column is ``bare``.
        align: ``left``, ``right`` or ``point`` (figures by their decimal point, the rest right).
        head: in a stacked row it stands in the first line, without its title.
        bare: in a stacked row its value says itself what it is.
        drawn: left out with ``--plain``, which draws nothing.
        spoken: what stands before the value with ``--plain``, also where it is ``bare``.
    """

    title: str
    align: str = "left"
    head: bool = False
    bare: bool = False
    drawn: bool = False
    spoken: str = ""


NOTHING = frozenset({"", "-"})
"""What a cell holds that has nothing to say; it is left out where rows are stacked or spoken."""


def table(
    columns: Sequence[Column],
    rows: Iterable[Sequence[str]],
    width: int | None,
    *,
    plain: bool = False,
    below: Sequence[str] = (),
) -> list[str]:
    """Return the lines of a table, its headings first.

    Args:
        columns: as many as every row has texts.
        rows: texts; they may carry the weight and hue of a `Screen`.
        width: columns that are there (`Screen.width`); None on a pipe.
        plain: one fact a line, nothing aligned.
        below: what stands under each row, empty for nothing; as many as rows, or none at all.
    """
    texts = [list(row) for row in rows]
    more = list(below) or [""] * len(texts)
    if plain:
        return [
            line
            for row, under in zip(texts, more, strict=True)
            for line in (*_told(columns, row), *([under] if under else ()))
        ]
    head, blocks = _blocks(columns, texts, width)
    return [
        *head,
        *(
            line
            for block, under in zip(blocks, more, strict=True)
            for line in (*block, *_under(under, width or WIDE))
        ),
    ]


def _under(text: str, width: int) -> list[str]:
    """Return what stands under a row; it is broken after a comma, never within a figure."""
    if not text:
        return []
    joined = text.replace(" ", WHOLE).replace(f",{WHOLE}", ", ")
    return [line.replace(WHOLE, " ") for line in wrapped(joined, GAP, GAP * 2, width)]


def _blocks(
    columns: Sequence[Column], texts: Sequence[Sequence[str]], width: int | None
) -> tuple[list[str], list[list[str]]]:
    """Return the heading of a table (none where rows are stacked), and the lines of each row."""
    kept = [_aligned(column, [row[at] for row in texts]) for at, column in enumerate(columns)]
    widths = [max(map(_wide, cells)) for cells in kept]
    before = sum(widths[:-1]) + len(GAP) * (len(widths) - 1)
    lines = list(zip(*kept, strict=True))
    if width is None or before + widths[-1] <= width:
        first, *rest = ([_line(cells, widths)] for cells in lines)
        return first, rest
    if columns[-1].align == "left" and width - before >= LEAST_WRAPPED:
        first, *rest = (
            _hung(_line(cells[:-1], widths), cells[-1], before, width) for cells in lines
        )
        return first, rest
    return [], [_stacked(columns, row, width) for row in texts]


def _wide(text: str) -> int:
    """Return the columns a text takes: styles take none, East Asian letters two."""
    text = _STYLE.sub("", text)
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(char) else 1 + (unicodedata.east_asian_width(char) in "WF")
        for char in text
    )


def _padded(text: str, width: int, *, right: bool = False) -> str:
    blanks = " " * (width - _wide(text))
    return blanks + text if right else text + blanks


def _aligned(column: Column, texts: Sequence[str]) -> list[str]:
    """Return the title and the texts of one column, those of figures point under point."""
    if column.align == "point":
        figures = [text for text in texts if _FIGURE.fullmatch(text)]
        after = max((len(text.partition(".")[2]) for text in figures), default=0)
        texts = [
            text + " " * (after - len(text.partition(".")[2]) + (after > 0 and "." not in text))
            if _FIGURE.fullmatch(text)
            else text
            for text in texts
        ]
    cells = [column.title, *texts]
    width = max(map(_wide, cells))
    return [_padded(cell, width, right=column.align != "left") for cell in cells]


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    padded = (_padded(cell, width) for cell, width in zip(cells, widths, strict=False))
    return GAP.join(padded).rstrip()


def _hung(start: str, last: str, before: int, width: int) -> list[str]:
    first = _padded(start, before)
    return wrapped(last.strip(), first, " " * before, width)


def _stacked(columns: Sequence[Column], row: Sequence[str], width: int) -> list[str]:
    """Return one row as a heading and its facts below, as many a line as fit."""
    pairs = list(zip(columns, row, strict=True))
    lines = wrapped(" ".join(text for column, text in pairs if column.head), width=width)
    current = " "
    facts = (_fact(column, text) for column, text in pairs if not column.head)
    for text in filter(None, facts):
        if current != " " and _wide(current) + len(GAP) + _wide(text) > width:
            lines.append(current)
            current = " "
        current += (" " if current == " " else GAP) + text
    if current != " ":
        lines += (
            [current] if _wide(current) <= width else wrapped(current.strip(), GAP, GAP, width)
        )
    return lines


def _fact(column: Column, text: str) -> str:
    text = text.strip()
    if text in NOTHING or column.bare or not column.title:
        return "" if text in NOTHING else text
    return f"{column.title} {text}"


def _told(columns: Sequence[Column], row: Sequence[str]) -> list[str]:
    """Return one row as sentences, a fact a line, for a voice or a braille line."""
    pairs = [
        (column, text.strip())
        for column, text in zip(columns, row, strict=True)
        if text.strip() not in NOTHING and not column.drawn
    ]
    head = ", ".join(text for column, text in pairs if column.head)
    facts = [
        f"{c.spoken} {text}" if c.spoken else _fact(c, text) for c, text in pairs if not c.head
    ]
    return [f"{line[0].upper()}{line[1:]}." for line in [head, *facts] if line]
