"""Rows of a summary on their way to a terminal: what stands in them, and how they are spoken."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from bedplate.report.document import Column, FitView, Item, Row, filled
from bedplate.report.verdicts import MARKS

FITS = (
    Column("fit", head=True),
    Column("place", head=True),
    Column("as found"),
    Column("as left"),
    Column("band"),
    Column("", "sign"),
    Column("verdict"),
)

BY_NAME = (Column("measurement", head=True), *FITS[1:4], Column("limits"), Column("how it stands"))
"""The same where fits are called by their names."""

FIGURE = re.compile(r"[-+]?[0-9]+(?:\.[0-9]+)?")


def with_more(item: Item) -> str:
    """Return a line of a list with what more there is of it."""
    return f"{item.text} ({item.more})" if item.more else item.text


def named_row(fit: FitView) -> Row:
    """Return a fit as a row of `BY_NAME`."""
    return Row(tuple(fit_row(fit, fit.name or fit.tag).cells[n] for n in (0, 1, 2, 3, 4, 6)))


def fit_row(fit: FitView, name: str) -> Row:
    """Return a fit, called by ``name``, as a row of `FITS`."""
    found = fit.found.value if fit.found is not None else "-"
    left = fit.left.value if fit.left is not None else "-"
    now = fit.now
    before = "" if now.sign[:1] in MARKS.values() else " "
    return Row((name, fit.place, found, left, fit.limits, before + now.sign, now.said))


def with_struck(columns: Sequence[Column], rows: Sequence[Row]) -> tuple[list[Column], list[Row]]:
    """Return a table without empty columns, saying in one of its own what was struck."""
    kept, short = filled(columns, rows)
    if not any(row.struck for row in rows):
        return kept, short
    said = [Row((*row.cells, row.struck), row.struck) for row in short]
    return [*kept, Column("struck")], said


def pointed(texts: Sequence[str]) -> list[str]:
    """Return figures with blanks behind them, so that their points stand under one another."""
    after = max((len(t.partition(".")[2]) for t in texts if FIGURE.fullmatch(t)), default=0)
    return [
        t + " " * (after - len(t.partition(".")[2]) + (after > 0 and "." not in t))
        if FIGURE.fullmatch(t)
        else t
        for t in texts
    ]


def spoken(columns: Sequence[Column], texts: Sequence[str]) -> Iterator[str]:
    """Yield one row as sentences, a fact a line."""
    pairs = [
        (column, text.strip())
        for column, text in zip(columns, texts, strict=True)
        if text.strip(" -") and column.kind != "sign"
    ]
    head = ", ".join(text for column, text in pairs if column.head)
    if head:
        yield ended(head[0].upper() + head[1:])
    for column, text in pairs:
        if not column.head:
            line = f"{column.title} {text}".strip()
            yield ended(line[0].upper() + line[1:])


def ended(text: str) -> str:
    """Return a text that ends as a sentence does."""
    return text if text.endswith((".", "?", ":")) else f"{text}."
