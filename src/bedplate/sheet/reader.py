"""Reading a build sheet: from the bytes of a file, or the copy in a job, to the model, checked.

A file is read as far as it goes and every fault in it is said at once. Whatever the bytes, what
comes out is a sheet or faults.
"""

from __future__ import annotations

import codecs
import re
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.sheet.faults import WHOLE_FILE, Fault, faults_as_lines, in_file_order
from bedplate.sheet.line_index import LineIndex
from bedplate.sheet.model import Sheet
from bedplate.sheet.odd_values import odd_values
from bedplate.text import visible

__all__ = [
    "MOST_BYTES",
    "MOST_LINE_BYTES",
    "Fault",
    "faults_as_lines",
    "no_file",
    "read_sheet_file",
    "read_sheet_text",
    "sheet_from_json",
]

MOST_BYTES = 256 * 1024
"""Bytes that a sheet may have."""

MOST_LINE_BYTES = 500
"""Bytes that one line of a sheet may have."""

_UTF_16 = "is saved as UTF-16 (PowerShell's > does that). Save it as UTF-8."


def read_sheet_file(path: FilePath) -> Sheet:
    """Return the sheet in a file.

    Raises:
        NotUnderstoodError: it is no sheet, or a sheet with faults; all of them are listed.
        StorageError: there is no such file, or it cannot be read.
    """
    sheet, faults = read_sheet_text(_bytes_of(path), path.name)
    if sheet is None:
        raise NotUnderstoodError("\n".join(faults_as_lines(path.name, faults)))
    return sheet


def no_file(path: FilePath) -> str | None:
    """Return what stands in place of a file that could be read, None where there is one or none.

    A pipe is never opened: it would be waited on.

    >>> no_file(FilePath("."))
    'a folder'
    """
    if path.is_dir():
        return "a folder"
    return "no regular file" if path.exists() and not path.is_file() else None


def _bytes_of(path: FilePath) -> bytes:
    shown = visible(str(path))
    try:
        if (other := no_file(path)) is not None:
            raise StorageError(
                f"Not read. {shown} is {other}.", "A build sheet is one file, such as  pump.toml"
            )
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        near = sorted(visible(p.name) for p in path.parent.glob("*.toml"))[:8]
        hint = f"Sheets here: {', '.join(near)}" if near else "Type:  bedplate sheet new pump.toml"
        raise StorageError(f"Not read. There is no file {shown}.", hint) from None
    except (OSError, ValueError) as error:
        reason = (
            error.strerror if isinstance(error, OSError) and error.strerror else "no file name"
        )
        raise StorageError(f"Not read. {shown} cannot be opened: {reason}.") from None


def read_sheet_text(data: bytes, name: str) -> tuple[Sheet | None, list[Fault]]:
    """Read a sheet from the bytes of a file; never raises.

    Args:
        data: all bytes of the file.
        name: what the file is called.

    Returns:
        The sheet and no faults, or None and every fault in file order.
    """
    from bedplate.sheet.checker import check_sheet  # noqa: PLC0415 - some modules
    from bedplate.sheet.model_faults import read_model  # noqa: PLC0415 - files only
    from bedplate.sheet.scope import Gaps  # noqa: PLC0415
    from bedplate.sheet.toml_source import read_toml  # noqa: PLC0415 - files only

    whole = _whole_file_fault(data)
    if whole is not None:
        return None, [Fault(None, WHOLE_FILE, name, whole)]
    text, faults = _decoded(data)
    lines, too_long = _bounded(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))
    source = read_toml("\n".join(lines))
    faults += too_long + source.faults
    if source.data is None:
        return None, in_file_order(faults)
    faults += odd_values(source.data, source.index)
    reading = read_model(source.data, source.index, source.lost)
    faults += reading.faults
    if reading.sheet is not None:
        lost = "\n".join((source.lost, reading.lost, *(fault.shown for fault in too_long)))
        gaps = Gaps(frozenset(reading.damaged), lost, reading.rows)
        faults += check_sheet(reading.sheet, source.index, gaps)
    return (None if faults else reading.sheet), in_file_order(_one_a_line(faults, source.faults))


def sheet_from_json(data: dict[str, Any]) -> Sheet:
    """Return the sheet that a job holds as one JSON object.

    Raises:
        StorageError: it is no sheet, or one with faults.
    """
    try:
        sheet = Sheet.model_validate(data)
    except ValidationError:
        from bedplate.sheet.model_faults import read_model  # noqa: PLC0415 - on a fault only

        raise _faulty_copy(read_model(data, LineIndex()).faults[0]) from None
    from bedplate.sheet.checker import check_sheet  # noqa: PLC0415 - here only

    for fault in odd_values(data, LineIndex()) or check_sheet(sheet):
        raise _faulty_copy(fault)
    return sheet


def _faulty_copy(fault: Fault) -> StorageError:
    where = visible(" ".join(part for part in (fault.key, fault.shown) if part))
    said = visible(fault.text, keep="\n")
    return StorageError(f"The build sheet in this job is faulty ({where}): {said}")


def _whole_file_fault(data: bytes) -> str | None:
    """Return what is wrong with the file as a whole, None if it can be read on."""
    if len(data) > MOST_BYTES:
        return "is larger than 256 KiB, the most a sheet may have."
    head = data[:64]
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _UTF_16
    if head.count(0) * 3 > len(head):
        return _UTF_16
    if 0 in data:
        return "is no text: it has NUL bytes in it."
    return None


def _decoded(data: bytes) -> tuple[str, list[Fault]]:
    """Return the text of a file, without a byte-order mark, and what is wrong with its coding."""
    data = data.removeprefix(codecs.BOM_UTF8)
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        text = data.decode("cp1252", errors="replace")
        shown = re.split(r"\r?\n", text)[line - 1].strip()
        letter = data[error.start : error.start + 1].decode("cp1252", errors="replace")
        fault = f'"{visible(letter)}" is not saved as UTF-8. Save the whole file as UTF-8.'
        return text, [Fault(line, "", shown, fault)]


def _bounded(lines: list[str]) -> tuple[list[str], list[Fault]]:
    """Return the lines with those that are too long left empty, and a fault for each."""
    faults: list[Fault] = []
    kept: list[str] = []
    for number, line in enumerate(lines, start=1):
        length = len(line.encode("utf-8"))
        if length > MOST_LINE_BYTES:
            text = f"This line has {length:,} bytes; {MOST_LINE_BYTES} are the most."
            faults.append(Fault(number, "", line.strip(), f"{text} A list may go over several."))
        kept.append("" if length > MOST_LINE_BYTES else line)
    return kept, faults


def _one_a_line(faults: list[Fault], slips: list[Fault]) -> list[Fault]:
    """Return the faults without those that a slip in the same line may have caused."""
    slipped = {slip.line for slip in slips if slip.line is not None}
    kept: list[Fault] = []
    for fault in faults:
        if fault.line in slipped and fault not in slips:
            continue
        if fault not in kept:
            kept.append(fault)
    return kept
