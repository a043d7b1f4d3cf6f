"""A build sheet as a form to fill in by pencil, in the order in which the program asks.

Paper and program agree: places and stations are those of the sheet, in its order, limits as they
were entered. The form is a `Document` like any other, with cells left open.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bedplate.report import work_told
from bedplate.report.document import (
    CLOSING,
    Column,
    Document,
    Item,
    Items,
    Row,
    Section,
    Table,
    Words,
    section,
)
from bedplate.report.figures import unit_word
from bedplate.sheet.layout import Layout, Named, joined
from bedplate.sheet.model import Component, Fasteners, Feature, Fit, Limits, Sheet, Step
from bedplate.text import shown_text

ACROSS = 6
"""Stations that stand side by side; where there are more, each has a line of its own."""

GAUGES = 6
"""Lines for gauges."""

STAGES = ("as found", "as left")
OPEN = ("job", "machine", "customer", "serial number", "hours run", "begun", "by")


def form_html(sheet: Sheet) -> str:
    """Return a sheet as a form in one HTML file.

    Args:
        sheet: a sheet without faults.
    """
    from bedplate.report.html import html  # noqa: PLC0415 - loads jinja2

    return html([form(sheet)])


def form_pdf(sheet: Sheet, paper: str = "a4") -> bytes:
    """Return a sheet as a form in a PDF.

    Args:
        sheet: a sheet without faults.
        paper: ``a4`` or ``letter``.

    Raises:
        NotUnderstoodError: typst is not installed, or there is no such paper.
        StorageError: typst could not set the page.
    """
    from bedplate.report.pdf import pdf  # noqa: PLC0415 - an extra, and slow

    return pdf([form(sheet)], paper)


def form(sheet: Sheet) -> Document:
    """Return a sheet as a form."""
    about = [f"unit of bare figures: {unit_word(sheet.unit or 'mm', draw=True)}"]
    about += [f"revision {shown_text(sheet.revision)}"] if sheet.revision else []
    about += [f"limits from {shown_text(sheet.source)}"] if sheet.source else []
    return Document(
        reader="form",
        name="",
        title=shown_text(sheet.title or "Build sheet"),
        state=None,
        count="",
        by=", ".join(about),
        facts=(),
        sections=tuple(_sections(Layout(sheet))),
        closing=CLOSING,
        foot="",
    )


def _sections(layout: Layout) -> Iterator[Section]:
    sheet = layout.sheet
    yield from section("job", "The job", _open_facts())
    yield from section("gauges", "Gauges", _gauges())
    yield from section("strip", "Taking apart", _steps(layout, "strip"))
    tables = [_readings(layout, feature) for feature in sheet.feature]
    yield from section("readings", "Readings", *tables)
    yield from section("fits", "Fits", _fits(layout))
    yield from section("parts", "Parts", _parts(layout))
    yield from section("fasteners", "Fasteners", _sets(layout))
    yield from section("build", "Putting together", _steps(layout, "build"))
    yield from section("proofs", "Proofs", _proofs(layout))
    yield from section("cautions", "Cautions", _cautions(sheet))
    moments = ", ".join(shown_text(moment) for moment in sheet.signed_for)
    yield from section("signed", "Signed", Words(f"To be signed for: {moments}."), _signatures())


def _open_facts() -> Table:
    columns = (Column("what", head=True), Column("to fill in", "blank"))
    return Table("The job", columns, tuple(Row((name, "")) for name in OPEN))


def _gauges() -> Table:
    titles = ("gauge", "set on", "shows", "when", "by")
    return _blank_table("Gauges and their zero checks", (), titles, [()] * GAUGES)


def _blank_table(
    caption: str,
    columns: Iterable[Column],
    blanks: Iterable[str],
    rows: Iterable[tuple[str, ...]],
) -> Table:
    """Return a table whose last columns are left open."""
    opened = [Column(title, "blank") for title in blanks]
    return Table(
        caption,
        (*columns, *opened),
        tuple(Row((*cells, *("" for _ in opened))) for cells in rows),
    )


# ---- readings


def _readings(layout: Layout, feature: Feature) -> Table:
    named = layout.named(feature.tag, "feature")
    selection = layout.select(feature.tag, "feature")
    caption = ", ".join(_about(layout, named, feature))
    stages = _stages(layout, feature)
    stations = ["/".join(station) for station in selection.stations]
    if len(stations) > ACROSS:
        addresses = [(str(spot),) for spot in selection.spots]
        return _blank_table(caption, (Column("address", head=True),), stages, addresses)
    places = [joined(feature.tag, position) for position in selection.positions]
    rows = [(place, stage) for place in places for stage in stages]
    titles = [f"@{station}" if station else "reading" for station in stations]
    columns = (Column("address", head=True), Column("stage", head=True))
    return _blank_table(caption, columns, titles, rows)


def _stages(layout: Layout, feature: Feature) -> tuple[str, ...]:
    """Return the stages a feature is read at: parts that are always new owe no as-found one."""
    rows = [layout.row(name, Component) for name in feature.components]
    return STAGES[1:] if all(row.renew for row in rows) else STAGES


def _about(layout: Layout, named: Named, feature: Feature) -> Iterator[str]:
    name = "" if feature.title == feature.tag else f" {shown_text(feature.title)}"
    yield f"{named.name}{name}"
    unit = unit_word(layout.unit_of(feature) or "mm", draw=True)
    if isinstance(feature.nominal, str):
        yield f"nominal {_with_unit(feature.nominal, unit)}"
    elif feature.nominal is not None:
        by_name = (f"{key} {shown_text(figure)}" for key, figure in feature.nominal.items())
        yield f"nominal {', '.join(by_name)} {unit}"
    else:
        yield f"unit {unit}"
    if feature.gauge:
        yield shown_text(feature.gauge)
    if feature.when:
        yield f"with {', '.join(feature.when)} tight"
    if feature.how:
        yield shown_text(feature.how)


def _with_unit(figure: str, unit: str) -> str:
    shown = shown_text(figure)
    return shown if any(char.isalpha() for char in shown) else f"{shown} {unit}"


# ---- the rest of the sheet


def _fits(layout: Layout) -> Table:
    columns = (Column("fit", head=True), Column("what it is"), Column("limits"))
    rows = [
        (fit.tag, f"{_name(fit.title, fit.tag)}{formula(fit)}", "; ".join(_limits(fit)))
        for fit in layout.sheet.fit
    ]
    return _blank_table("Fits and their limits", columns, STAGES, rows)


def formula(fit: Fit) -> str:
    """Return how a fit is formed, as people read it.

    >>> formula(Fit(tag="EC", stack="D - H")), formula(Fit(tag="R", spread="MJ", along="round"))
    ('D - H', 'spread of MJ along round')
    """
    if fit.stack is not None:
        return shown_text(fit.stack)
    if fit.spread is not None:
        return f"spread of {fit.spread} along {fit.along}"
    return f"flatness of {fit.flatness}"


def _name(title: str, name: str) -> str:
    return "" if title == name else f"{shown_text(title)}: "


def _limits(fit: Fit) -> Iterator[str]:
    for band in fit.bands:
        yield "".join(_band(band))


def _band(band: Limits) -> Iterator[str]:
    if band.for_:
        yield f"{shown_text(band.for_)}: "
    yield work_told.limits_words(band)
    if band.from_:
        yield " from nominal"
    if band.wear:
        yield f", worn {work_told.limits_words(Limits(limits=band.wear))}"
    if band.aim:
        yield f", aim {work_told.quantity(band.aim)}"
    if band.source:
        yield f" ({shown_text(band.source)})"


def _parts(layout: Layout) -> Table:
    columns = (Column("part", head=True), Column("name"))
    rows = []
    for place in layout.all_places():
        row = layout.row(place.component, Component)
        title = "" if row.title == row.id else shown_text(row.title)
        rows.append((str(place), f"{title} (always new)".strip() if row.renew else title))
    return _blank_table("What becomes of each part", columns, ("decided", "why", "mark"), rows)


def _sets(layout: Layout) -> Table:
    columns = (
        Column("set", head=True),
        Column("what"),
        Column("tightened to"),
        Column("lock"),
    )
    rows = []
    for name in layout.names("fasteners"):
        row = layout.row(name, Fasteners)
        count = f"{row.number} " if row.number else ""
        order = f", in the order {' '.join(row.order)}" if row.order else ""
        what = f"{count}{shown_text(row.title)}{order}"
        told = ("; ".join(work_told.stages_words(row.stages or ())), shown_text(row.lock or ""))
        rows += [
            (joined(name, place.position), what, *told) for place in layout.agreeing(name, {})
        ]
    return _blank_table("Fasteners", columns, ("reached", "read on", "locked, by"), rows)


def _steps(layout: Layout, phase: str) -> Table:
    columns = (Column("step", head=True), Column("what"), Column("caution"))
    rows = [
        (joined(name, place.position), _what(layout, row), shown_text(row.caution or ""))
        for name in layout.names("step")
        for row in [layout.row(name, Step)]
        if (row.phase or "build") == phase
        for place in layout.agreeing(name, {})
    ]
    return _blank_table("In this order", columns, ("done, by",), rows)


def _what(layout: Layout, step: Step) -> str:
    first = layout.sheet.signed_for[0]
    due = f" (for {shown_text(step.due)})" if step.due and step.due != first else ""
    hold = f"; not before {', '.join(step.hold)} has passed" if step.hold else ""
    return f"{shown_text(step.text)}{hold}{due}"


def _proofs(layout: Layout) -> Table:
    columns = (Column("proof", head=True), Column("what it asks"))
    rows = [
        (joined(name, place.position), shown_text(layout.named(name).row.title))
        for name in layout.names("proof")
        for place in layout.agreeing(name, {})
    ]
    return _blank_table("Proofs", columns, ("passed or failed", "when", "by"), rows)


def _cautions(sheet: Sheet) -> Items:
    """Return the cautions of sets; those of steps stand beside their steps."""
    return Items(
        tuple(
            Item(shown_text(s.caution), shown_text(s.title)) for s in sheet.fasteners if s.caution
        )
    )


def _signatures() -> Table:
    return _blank_table("Signatures", (), ("moment", "name", "day", "signature"), [()] * 2)
