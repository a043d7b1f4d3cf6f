"""The summary on a terminal: rich does the columns, the wrapping and the weight; no rule here.

Nothing is cut: a table that does not fit wraps its last column, and where that is not enough each
row becomes a few lines of its own. On a pipe a table is as wide as it needs to be. With ``plain``
every fact is a line of its own, for a voice or a braille line.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from bedplate.report.document import (
    Block,
    Column,
    Document,
    Fact,
    Fingerprint,
    Fits,
    Item,
    Items,
    Photos,
    Plot,
    Row,
    Section,
    Table,
    Words,
    filled,
)
from bedplate.report.rows import (
    BY_NAME,
    FITS,
    ended,
    fit_row,
    named_row,
    pointed,
    spoken,
    with_more,
    with_struck,
)
from bedplate.text import column_for_most

if TYPE_CHECKING:
    from rich import table as rich_table

MEASURE = 78
"""Columns that running text is wrapped at."""

WIDEST = 4000
"""Columns that a table may take on a pipe."""

LEAST_WRAPPED = 14
"""Columns below which the last column of a table is not wrapped."""

LEADING = frozenset({"fits", "to-do"})
"""Sections that stand before the facts of the job: what the screen is looked at for."""

ASCII = (("°C", "degC"), ("°F", "degF"), ("°", "deg "), ("±", "+-"), ("µ", "u"), ("−", "-"))
"""What is written where a stream cannot take the drawn signs."""

BOLD, OUT, STRUCK = "bold", "bold reverse", "strike"
WEIGHT = {"in-close": BOLD, "out-close": BOLD, "serviceable": BOLD, "out": OUT}


class Form(NamedTuple):
    """What a summary is printed to.

    Attributes:
        width: columns that are there; None on a pipe.
        draw: whether degree and plus-minus signs may be used.
        colour: empty, ``weight``, or ``hue``.
        plain: one fact a line.
    """

    width: int | None = None
    draw: bool = True
    colour: str = ""
    plain: bool = False


def terminal(documents: Sequence[Document], form: Form) -> list[str]:
    """Return the lines of one summary, or of several under one another."""
    lines: list[str] = []
    for document in documents:
        if lines:
            lines += ["", "=" * min(form.width or MEASURE, MEASURE), ""]
        lines += _Page(form).lines(document)
    return lines


class _Page:
    """One document being laid out."""

    def __init__(self, form: Form) -> None:
        from rich.console import Console  # noqa: PLC0415 - 50 ms, paid by the summary alone

        self.form = form
        self.stream = io.StringIO()
        self.room = form.width if form.width is not None else WIDEST
        self.measure = min(self.room, MEASURE)
        self.console = Console(
            file=self.stream,
            width=self.room,
            color_system="standard" if form.colour else None,
            force_terminal=bool(form.colour),
            no_color=not form.colour,
            highlight=False,
            markup=False,
            emoji=False,
            legacy_windows=False,
        )

    def lines(self, document: Document) -> list[str]:
        """Return the lines of the document."""
        self._head(document)
        told = not document.facts
        for section in document.sections:
            if not told and section.key not in LEADING:
                told = True
                self._facts(document.facts)
            self._section(section, first=section is document.sections[0])
        if not told:
            self._facts(document.facts)
        self._end(document)
        return [line.rstrip() for line in self.stream.getvalue().splitlines()]

    # ---- the parts of a page

    def _head(self, document: Document) -> None:
        state = document.state.text if document.state is not None else ""
        self._apart(document.name, *(text for text in (state, document.count) if text))
        self._apart(document.title, document.by)
        if document.state is not None and document.state.more:
            self._words(document.state.more)

    def _apart(self, left: str, *right: str) -> None:
        """Put texts at both sides of a line, or under one another where they do not fit."""
        texts = [text for text in (left, *right) if text]
        line = (" " * 6).join(self._said(text) for text in texts[1:]) if texts else ""
        first = self._said(texts[0]) if texts else ""
        room = self.measure - self._wide(first) - self._wide(line)
        if not self.form.plain and (room >= 2 or not line):
            self._put(first + " " * max(room, 0) + line)
            return
        for text in texts:
            self._words(text)

    def _facts(self, facts: Iterable[Fact]) -> None:
        self._blank()
        if self.form.plain:
            for fact in facts:
                self._put(f"{fact.label}: {ended(self._said(fact.text))}")
            return
        label = max((self._wide(fact.label) for fact in facts), default=0)
        for fact in facts:
            self._hung(f"{fact.label:<{label}}  ", fact.text)

    def _section(self, section: Section, *, first: bool) -> None:
        self._blank()
        if section.key != "fits" or self.form.plain or not first:
            self._words(section.title, BOLD)
        for number, block in enumerate(section.blocks):
            if number and not isinstance(block, Words | Items | Photos):
                self._blank()
            self._block(block)

    def _block(self, block: Block) -> None:
        match block:
            case Words():
                self._words(block.text)
            case Items():
                self._items(block.items)
            case Table():
                self._table(block.columns, block.rows)
            case Fits():
                self._fits(block)
            case Plot():
                self._plot(block)
            case Photos():
                for photo in block.photos:
                    self._hung("  ", f"picture, entry {photo.entry}: {photo.caption}")
            case Fingerprint():
                self._put(block.text)

    def _end(self, document: Document) -> None:
        self._blank()
        wrapped = self._wrapped(document.closing, self.measure)
        *before, last = wrapped
        for line in before:
            self._put(line)
        if document.foot and not self.form.plain:
            self._apart(last, document.foot)
            return
        self._put(last)
        if document.foot:
            self._put(ended(document.foot))

    # ---- blocks

    def _items(self, items: Sequence[Item]) -> None:
        texts = [self._said(with_more(item)) for item in items]
        commands = [self._said(item.command) for item in items]
        if self.form.plain:
            for text, command in zip(texts, commands, strict=True):
                self._put(ended(text) + (f" Type: {command}" if command else ""))
            return
        widths = [
            (self._wide(text) + 5, self._wide(command))
            for text, command in zip(texts, commands, strict=True)
            if command
        ]
        column = column_for_most(widths, self.measure)
        for text, command in zip(texts, commands, strict=True):
            left = self._wide(text) + 5
            at = max(left, column)
            if command and at + self._wide(command) <= self.measure:
                self._put(f"  {text}{' ' * (at - left)}   {command}")
                continue
            self._hung("  ", text)
            if command:
                self._hung("      ", command)

    def _fits(self, block: Fits) -> None:
        fits = block.fits
        weights = [WEIGHT.get(fit.now.verdict, "") for fit in fits]
        if block.by_name:
            self._table(BY_NAME, [named_row(fit) for fit in fits], weights)
            return
        named = self.form.plain
        rows = [
            fit_row(fit, f"{fit.name} {fit.tag}".strip() if named else fit.tag) for fit in fits
        ]
        self._table(FITS, rows, weights)

    def _plot(self, plot: Plot) -> None:
        self._words(f"{plot.caption}, {plot.unit}, along {plot.axis}")
        columns = [Column(plot.across, head=True), *(Column(s, "figure") for s in plot.stations)]
        rows = [Row((trace.label, *trace.values)) for trace in plot.traces]
        self._table(columns, rows)

    def _table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Row],
        weights: Sequence[str] = (),
    ) -> None:
        columns, rows = filled(columns, rows, [""]) if weights else with_struck(columns, rows)
        cells = [[self._said(cell) for cell in row.cells] for row in rows]
        styles = [
            STRUCK if row.struck else (weights[n] if weights else "") for n, row in enumerate(rows)
        ]
        if self.form.plain:
            titled = [replace(column, title=self._said(column.title)) for column in columns]
            for texts in cells:
                for line in spoken(titled, texts):
                    self._put(line)
            return
        made = self._made(columns, cells, styles)
        least, most = self._least(columns, cells), self._most(made)
        if most <= self.room or least <= self.room:
            self.console.print(made)
            return
        for texts, style in zip(cells, styles, strict=True):
            self._stacked(columns, texts, style)

    def _made(
        self, columns: Sequence[Column], cells: Sequence[Sequence[str]], styles: Sequence[str]
    ) -> rich_table.Table:
        from rich.table import Table as RichTable  # noqa: PLC0415 - as for the console
        from rich.text import Text  # noqa: PLC0415

        made = RichTable(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="")
        figures = [pointed([row[at] for row in cells]) for at in range(len(columns))]
        for at, column in enumerate(columns):
            made.add_column(
                Text(self._said(column.title)),
                justify="right" if column.kind == "figure" else "left",
                no_wrap=at < len(columns) - 1,
                overflow="fold",
            )
        for number, texts in enumerate(cells):
            style = styles[number]
            shown = [
                figures[at][number] if columns[at].kind == "figure" else text
                for at, text in enumerate(texts)
            ]
            made.add_row(
                *(
                    Text(text, style if style == STRUCK or at == len(shown) - 1 else "")
                    for at, text in enumerate(shown)
                )
            )
        return made

    def _most(self, made: rich_table.Table) -> int:
        """Return the columns that a table takes with nothing wrapped."""
        from rich.measure import Measurement  # noqa: PLC0415 - as for the console

        options = self.console.options.update(max_width=WIDEST)
        return Measurement.get(self.console, options, made).maximum

    def _least(self, columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> int:
        """Return the columns that a table takes with its last column wrapped."""
        widths = [
            max([self._wide(column.title), *(self._wide(row[at]) for row in cells)]) + 2
            for at, column in enumerate(columns)
        ]
        return sum(widths[:-1]) + min(widths[-1] - 2, LEAST_WRAPPED)

    def _stacked(self, columns: Sequence[Column], texts: Sequence[str], style: str) -> None:
        style = style if style == STRUCK else ""
        pairs = [(c, t.strip()) for c, t in zip(columns, texts, strict=True) if t.strip(" -")]
        head = "  ".join(text for column, text in pairs if column.head)
        facts = [f"{c.title} {t}".strip() for c, t in pairs if not c.head]
        whole = "  ".join([head, *facts])
        if self._wide(whole) <= self.measure:
            self._put(whole, style)
            return
        self._words(head, style)
        line = ""
        for fact in facts:
            if line and self._wide(line) + self._wide(fact) + 4 > self.measure:
                self._hung("  ", line, style)
                line = ""
            line += ("  " if line else "") + fact
        if line:
            self._hung("  ", line, style)

    # ---- lines

    def _said(self, text: str) -> str:
        if self.form.plain:
            text = text.replace("±U", "uncertainty").replace("±", "plus or minus ")
        if self.form.draw:
            return text
        for drawn, typed in ASCII:
            text = text.replace(drawn, typed)
        return text

    def _wide(self, text: str) -> int:
        from rich.cells import cell_len  # noqa: PLC0415 - as for the console

        return cell_len(text)

    def _blank(self) -> None:
        if not self.form.plain:
            self._put("")

    def _put(self, text: str, style: str = "") -> None:
        from rich.text import Text  # noqa: PLC0415 - as for the console

        self.console.print(Text(text, style), soft_wrap=True)

    def _words(self, text: str, style: str = "") -> None:
        for line in self._wrapped(self._said(text), self.measure):
            self._put(line, style)

    def _hung(self, first: str, text: str, style: str = "") -> None:
        """Put a text behind a beginning, its further lines below it."""
        room = max(self.measure - len(first), 8)
        for number, line in enumerate(self._wrapped(self._said(text), room)):
            self._put((" " * len(first) if number else first) + line, style)

    def _wrapped(self, text: str, width: int) -> list[str]:
        from rich.text import Text  # noqa: PLC0415 - as for the console

        if self.form.plain:
            return [text]
        wrapped = Text(text).wrap(self.console, width, overflow="fold")
        return [line.plain.rstrip() for line in wrapped] or [""]
