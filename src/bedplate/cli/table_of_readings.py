"""Readings from a table: ``measure --from``, nothing recorded unless every row is good."""

from __future__ import annotations

import csv
import hashlib
import io
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from bedplate.assess.questions import Answers, QuestionError
from bedplate.assess.request import Request
from bedplate.assess.taking import readings_to_record
from bedplate.cli import context
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.store import clock, record
from bedplate.cli.times import done_at, temperature
from bedplate.errors import BedplateError, NotUnderstoodError, StorageError
from bedplate.record.entries import AnyEntry, FromFile, GaugeDescribed, Reading, Strike
from bedplate.record.job import Job
from bedplate.sheet.reader import no_file
from bedplate.text import counted, quoted, visible

COLUMNS = ("address", "value", "gauge", "temp", "at", "note")
"""What the first row of a table names, in any order; all but the first two may be missing."""

MOST_BYTES = 8 * 1024 * 1024
"""Bytes that a table may have."""


class Row(NamedTuple):
    """One row of a table.

    Attributes:
        number: as a spreadsheet counts.
        cells: by column.
        fault: why the cells are not those of the columns, empty where they are.
    """

    number: int
    cells: dict[str, str]
    fault: str = ""

    def get(self, column: str) -> str | None:
        """Return a cell without outer blanks, None where it is empty or not there."""
        return self.cells.get(column, "").strip() or None


def measure_from(source: str, request: Request) -> None:
    """Record every row of a table.

    Args:
        source: the file, or ``-`` for standard input.
        request: what holds for all rows; a row's own cells go first.
    """
    name, data = _bytes_of(source)
    rows = list(rows_of(data, name))
    digest = hashlib.sha256(data).hexdigest()
    passed_over: list[int] = []

    def taken(job: Job, _answers: Answers) -> list[AnyEntry]:
        done = _recorded_rows(job, digest)
        passed_over[:] = [row.number for row in rows if row.number in done]
        fresh = [row for row in rows if row.number not in done]
        entries, faults = _entries(job, fresh, request, (name, digest))
        if faults:
            raise _to_mend(visible(name), faults, len(rows))
        return permitted(job, entries)

    recorded = record(taken)
    further = []
    if passed_over:
        further.append(
            f"{counted(len(passed_over), 'row')} of {visible(name)} had been recorded before "
            "and passed over."
        )
    tell(recorded, "measure", further)


def _bytes_of(source: str) -> tuple[str, bytes]:
    if source == "-":
        return "standard input", sys.stdin.buffer.read(MOST_BYTES + 1)
    path = Path(source)
    shown = quoted(source)
    if (other := no_file(path)) is not None:
        raise StorageError(f"Nothing recorded: {shown} is {other}.")
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise StorageError(f"Nothing recorded: there is no file {shown}.") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file name"
        raise StorageError(f"Nothing recorded: {shown} cannot be read: {reason}.") from None
    if len(data) > MOST_BYTES:
        raise NotUnderstoodError(f"Nothing recorded: {shown} has more than 8 MiB.")
    return path.name, data


def rows_of(data: bytes, name: str) -> Iterator[Row]:
    """Yield the rows of a table that are not empty, those that cannot be read too.

    A byte-order mark is passed over; cells are parted by commas, semicolons or tabs, whichever
    the first row uses.

    Raises:
        NotUnderstoodError: no text in UTF-8, an empty table, or a first row that names no columns.
    """
    shown = visible(name)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise NotUnderstoodError(
            f"Nothing recorded: {shown} is saved as UTF-16. Save it as UTF-8."
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NotUnderstoodError(
            f"Nothing recorded: {shown} is not saved as UTF-8. Save it as CSV UTF-8."
        ) from None
    head = text.split("\n", 1)[0]
    parted = max(",;\t", key=head.count)
    try:
        listed = list(csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True))
    except csv.Error as error:
        raise NotUnderstoodError(
            f"Nothing recorded: {shown} is no whole table: {error}."
        ) from None
    filled = [number for number, row in enumerate(listed) if any(cell.strip() for cell in row)]
    if not filled:
        raise NotUnderstoodError(f"Nothing recorded: {shown} is empty.", f"Columns:  {_columns()}")
    columns = _header(listed[0], shown)
    if filled == [0]:
        raise NotUnderstoodError(f"Nothing recorded: {shown} has no row but its first.")
    for number in filled[1:]:
        yield _row(number + 1, listed[number], columns, parted)


def _columns() -> str:
    return ",".join(COLUMNS)


def _header(cells: Sequence[str], shown: str) -> list[str]:
    columns = [cell.strip().casefold() for cell in cells]
    unknown = [cell.strip() for cell, c in zip(cells, columns, strict=True) if c not in COLUMNS]
    if unknown or "address" not in columns or "value" not in columns:
        odd = f" {quoted(unknown[0])} is none." if unknown else ""
        raise NotUnderstoodError(
            f"Nothing recorded: the first row of {shown} does not name the columns.{odd}",
            f"It should read:  {_columns()}",
        )
    if len(set(columns)) < len(columns):
        raise NotUnderstoodError(f"Nothing recorded: a column of {shown} is named twice.")
    return columns


def _row(number: int, cells: Sequence[str], columns: Sequence[str], parted: str) -> Row:
    fault = _cut_in_two(cells, columns) if parted == "," else ""
    if not fault and len(cells) > len(columns):
        fault = f"has {len(cells)} cells, and the first row names {len(columns)}"
    return Row(number, dict(zip(columns, cells, strict=False)), fault)


def _cut_in_two(cells: Sequence[str], columns: Sequence[str]) -> str:
    """Return what is wrong where a decimal comma cut a value in two, else nothing.

    The second half then stands where a gauge, a temperature or nothing at all should.
    """
    at = columns.index("value")
    halves = [cell.strip() for cell in cells[at : at + 2]]
    after = columns[at + 1] if at + 1 < len(columns) else ""
    if len(halves) < 2:
        return ""
    whole = halves[0].lstrip("+-")
    if after == "note" or not (_is_digits(whole) and _is_digits(halves[1])):
        return ""
    shown = quoted(",".join(halves))
    return f'value {shown}: is the comma a decimal point? Then set it as ";" table'


def _is_digits(text: str) -> bool:
    return text.isascii() and text.isdigit()


def _to_mend(shown: str, faults: Sequence[str], of: int) -> NotUnderstoodError:
    return NotUnderstoodError(
        f"Nothing recorded: {shown} has {counted(len(faults), 'row')} to mend out of {of}.",
        *faults,
    )


def _recorded_rows(job: Job, digest: str) -> set[int]:
    """Return the rows of the same file that are in the record already, struck ones too."""
    return {
        taken.entry.from_file.row
        for taken in job.all_readings
        if taken.entry.from_file is not None and taken.entry.from_file.sha256 == digest
    }


def _entries(
    job: Job, rows: Sequence[Row], request: Request, file: tuple[str, str]
) -> tuple[list[AnyEntry], list[str]]:
    """Return the entries of all rows, strikes and gauges once each; and every row's fault."""
    entries: list[AnyEntry] = []
    faults: list[str] = []
    gauges = context.cabinet().gauges()
    struck: set[int] = set()
    described: set[str] = set()
    for row in rows:
        try:
            found = readings_to_record(job, _request(row, request, file), {}, gauges)
        except BedplateError as fault:
            faults.append(f"row {row.number:<3} {_in_short(fault)}")
            continue
        for entry in found:
            match entry:
                case Strike() if entry.entry not in struck:
                    # A row's note is of its reading; why the old ones go is one thing for all.
                    why = request.note or "slip"
                    entries.append(entry.model_copy(update={"why": why}))
                    struck.add(entry.entry)
                case GaugeDescribed() if entry.gauge["name"] not in described:
                    entries.append(entry)
                    described.add(entry.gauge["name"])
                case Reading():
                    entries.append(entry)
    return sorted(entries, key=lambda entry: isinstance(entry, Reading)), faults


def _in_short(fault: BedplateError) -> str:
    """Return a fault of one row on one line, the nearest name kept."""
    text = fault.message.removeprefix("Not recorded. ").replace("\n", " ")
    if isinstance(fault, QuestionError):
        if fault.answers.get("a") == "again":
            known = text.partition(". There is no terminal")[0]
            return f"{known}: give --again or --instead"
        return f"{text} If it is right, give --yes"
    near = [hint for hint in fault.hint if hint.startswith("Nearest")]
    return f"{text} {near[0]}" if near else text


def _request(row: Row, request: Request, file: tuple[str, str]) -> Request:
    if row.fault:
        raise NotUnderstoodError(row.fault)
    address, value = row.get("address"), row.get("value")
    if address is None or value is None:
        raise NotUnderstoodError(f"has no {'address' if address is None else 'value'}")
    return request._replace(
        address=address,
        values=(value,),
        gauge=row.get("gauge") or request.gauge,
        temp=temperature(row.get("temp")) or request.temp,
        done_at=done_at(row.get("at"), clock()) or request.done_at,
        note=row.get("note") or request.note,
        from_file=FromFile(name=file[0], sha256=file[1], row=row.number),
    )
