"""What the HTML page and the PDF share: documents with their drawings, ready for a template."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, Final

from bedplate.report import drawing, qr
from bedplate.report.document import (
    Column,
    Document,
    Fingerprint,
    Fits,
    Plot,
    Row,
    Table,
    filled,
)

LEGEND: Final = (
    "Grey is within the limits, hatched is outside. f: as found. o: within, ?: close to a limit, "
    "w: worn but within the wear limit, X: out. The line through a letter is how far the value "
    "may be off; what lies far outside is drawn just outside."
)
"""What the drawn bands mean."""

SAID_FOR: Final = {
    "workshop": "Workshop copy",
    "customer": "For the customer",
    "public": "Public copy",
    "form": "Form to fill in",
}
"""What a page calls itself."""

_MINUS = re.compile(r"(?<![\w.)])-(?=[0-9.])")


def with_minus(text: str) -> str:
    """Return figures with the minus of print (U+2212); hyphens inside words are left.

    >>> with_minus("-0.2 to -0.1"), with_minus("24-11"), with_minus("-")
    ('−0.2 to −0.1', '24-11', '-')
    """
    return _MINUS.sub("−", text)


def page_data(documents: Sequence[Document]) -> list[dict[str, Any]]:
    """Return documents as plain data, each drawing beside what it shows."""
    return [_with_drawings(document) for document in documents]


def _with_drawings(document: Document) -> dict[str, Any]:
    data = document.as_json()
    data["said_for"] = SAID_FOR[document.reader]
    data["running"] = _running(document)
    for section, told in zip(data["sections"], document.sections, strict=True):
        for block, source in zip(section["blocks"], told.blocks, strict=True):
            match source:
                case Table():
                    columns, rows = filled(source.columns, source.rows)
                    block["columns"] = [asdict(column) for column in columns]
                    block["rows"] = [_row(columns, row) for row in rows]
                case Fits():
                    block["legend"] = LEGEND
                    for fit, view in zip(block["fits"], source.fits, strict=True):
                        fit["svg"] = drawing.band(view)
                        fit["alt"] = drawing.described(view)
                        fit["limits"] = with_minus(view.limits)
                        for outcome in filter(None, (fit["found"], fit["left"])):
                            outcome["value"] = with_minus(outcome["value"])
                case Plot():
                    block["svg"] = drawing.plot(source)
                    block["alt"] = drawing.told(source)
                    for trace in block["traces"]:
                        trace["values"] = [with_minus(value) for value in trace["values"]]
                case Fingerprint():
                    block["svg"] = qr.code(source.text)
    return data


def _running(document: Document) -> str:
    """Return what stands at the foot of every page: what it is, its state, its head."""
    state = document.state.text if document.state is not None else ""
    parts = (SAID_FOR[document.reader], document.name, state, document.foot)
    return " · ".join(part for part in parts if part)


def _row(columns: Sequence[Column], row: Row) -> dict[str, Any]:
    pairs = zip(columns, row.cells, strict=True)
    cells = [with_minus(text) if column.kind == "figure" else text for column, text in pairs]
    return asdict(Row(tuple(cells), row.struck))


def title_of(documents: Sequence[Document]) -> str:
    """Return what a page of one job, or of several, is called."""
    if len(documents) > 1:
        return f"Summary of {len(documents)} jobs"
    (document,) = documents
    state = f" - {document.state.text}" if document.state is not None else ""
    name = f"{document.name}: " if document.name else ""
    return f"{name}{document.title}{state}"
