"""``bedplate export``: the record handed to another program."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Annotated, Any

import typer

from bedplate.assess.estimates import Readings
from bedplate.assess.limits import base_unit
from bedplate.cli import context
from bedplate.cli.store import AtHand, at_hand
from bedplate.cli.writing import write_new
from bedplate.errors import NotUnderstoodError
from bedplate.text import near_or_list, quoted, visible
from bedplate.units import convert, decimal_text

WHAT = ("readings", "job", "schema")
FORMATS = ("csv", "json")

COLUMNS = ("entry", "address", "value", "gauge", "temp", "at", "note", "by", "corrected", "unit",
           "parts", "struck_by", "left_out", "kept")  # fmt: skip
"""Columns of the readings; the record's own words, and each value as corrected."""


def export(
    what: Annotated[str, typer.Argument(metavar="|".join(WHAT), help="What to hand over.")],
    *,
    form: Annotated[
        str | None, typer.Option("--format", metavar="csv|json", help="Of readings; csv.")
    ] = None,
    out: Annotated[
        str | None, typer.Option("-o", "--output", metavar="FILE", help="Else to the screen.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over FILE.")] = False,
) -> None:
    """Hand the record to another program.

    Examples:
      bedplate export readings -o readings.csv
      bedplate export readings --format json
      bedplate export job -o job.json
      bedplate export schema
    """
    if what not in WHAT:
        raise NotUnderstoodError(
            f"Nothing written. {quoted(what)} cannot be exported.",
            near_or_list(what, WHAT, "These can"),
        )
    form = form or _form_of(out, what)
    if form not in FORMATS or (what != "readings" and form != "json"):
        raise NotUnderstoodError(
            f"Nothing written. There is no {quoted(form)} of {what}.",
            "Readings are written as csv or json, job and schema as json.",
        )
    found = at_hand() if what != "schema" else None
    data = _text(what, form, found).encode("utf-8")
    screen = context.screen()
    if out is None or out == "-":
        screen.raw(data)
        return
    write_new(Path(out), data, force=force)
    if screen.as_json:
        screen.json({**_head(what, found), "file": out})
        return
    screen.out(f"{visible(out)} written.")


def _form_of(out: str | None, what: str) -> str:
    """Return the form that was not named: by the file's ending, else as ``--json`` wants it."""
    ending = Path(out or "").suffix.casefold()
    if what != "readings" or ending == ".json" or (context.current().json and ending != ".csv"):
        return "json"
    return "csv"


def _text(what: str, form: str, found: AtHand | None) -> str:
    if found is None:
        return _json(what, found, schema())
    if what == "job":
        return _json(what, found, job_document(found))
    rows = list(reading_rows(found))
    return as_csv(rows) if form == "csv" else _json(what, found, {"readings": rows})


def _head(what: str, found: AtHand | None) -> dict[str, Any]:
    if found is None:
        return context.document(f"export {what}")
    return context.document(f"export {what}", found.name, found.job.last)


def _json(what: str, found: AtHand | None, document: Mapping[str, Any]) -> str:
    return json.dumps({**_head(what, found), **document}, ensure_ascii=True) + "\n"


def reading_rows(found: AtHand) -> Iterable[dict[str, Any]]:
    """Yield every reading, struck and left out ones too, as plain data."""
    readings = Readings(found.job)
    for taken in found.job.all_readings:
        entry = taken.entry
        settled = readings.settled
        estimate = settled.estimate(entry.n) if entry.n in settled.numbers else None
        typed = readings.typed.get(entry.n)
        corrected = None
        if estimate is not None and typed is not None and not estimate.is_bracket:
            value = convert(estimate.low or 0 * typed.step, base_unit(typed.unit), typed.unit)
            corrected = decimal_text(value)
        yield {
            "entry": entry.n,
            "address": entry.address,
            "value": entry.value,
            "gauge": entry.gauge,
            "temp": entry.temp,
            "at": entry.done_at or entry.at,
            "note": entry.note,
            "by": entry.by,
            "corrected": corrected,
            "unit": typed.unit if typed is not None else None,
            "parts": " ".join(f"{on.part}:{on.life}" for on in entry.on or ()),
            "struck_by": found.job.struck.get(entry.n),
            "left_out": entry.left_out,
            "kept": entry.kept,
        }


def as_csv(rows: Iterable[Mapping[str, Any]]) -> str:
    """Return rows as CSV; a cell that a spreadsheet would take for a formula is made text."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow([_cell(row[column]) for column in COLUMNS])
    return text.getvalue()


def _cell(value: Any) -> str:
    text = "" if value is None else visible(str(value), keep="\n")
    if text[:1] in "=+-@" and text and not _is_number(text):
        return f"'{text}"
    return text


def _is_number(text: str) -> bool:
    figure = text[1:] if text[0] in "+-" else text
    return figure.replace(".", "", 1).isdigit() and figure.isascii()


def job_document(found: AtHand) -> dict[str, Any]:
    """Return the job as it stands: its sheet, and its entries as stored."""
    return {
        "head": str(found.file.head),
        "sheet": found.job.sheet.as_json(),
        "struck": sorted(found.job.struck),
        "lines": [json.loads(line) for line in found.file.lines[: len(found.file.entries)]],
    }


def schema() -> dict[str, Any]:
    """Return the JSON schemas of an entry of a job file, and of a build sheet."""
    from bedplate.record.entries import adapter  # noqa: PLC0415 - some 40 ms
    from bedplate.sheet.model import Sheet  # noqa: PLC0415

    return {
        "entry": adapter().json_schema(),
        "sheet": Sheet.model_json_schema(),
    }
