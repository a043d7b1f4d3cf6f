"""The moment at which lines become part of a job: written, synced, looked at, or taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from bedplate.errors import StorageError
from bedplate.record import disk
from bedplate.record.entries import AnyEntry, Opened, Reading, SheetRevised
from bedplate.text import counted, visible

_SHOWN_READINGS: Final = 3


class InDoubtError(StorageError):
    """Whether something is recorded cannot be known: it may or may not lie on the medium."""


@dataclass(frozen=True, slots=True)
class Target:
    """Where lines are to go.

    Attributes:
        descriptor: the job, open for appending, its lock held.
        path: what it was opened as.
        size: its size in bytes before the lines.
        count: its entries before them, for messages.
        earlier: those entries, for messages.
        fate: first words where nothing was recorded.
    """

    descriptor: int
    path: Path
    size: int
    count: int
    earlier: Sequence[AnyEntry] = ()
    fate: str = "Not recorded."

    @property
    def name(self) -> str:
        """Name of the file as it may be shown."""
        return visible(self.path.name)


def commit(target: Target, payload: bytes, entries: Sequence[AnyEntry]) -> None:
    """Write lines at the end of a locked job; return only when they lie on the medium.

    Args:
        target: the job.
        payload: the lines.
        entries: what they say, for messages.

    Raises:
        StorageError: they could not be written; the file is as it was.
        InDoubtError: they may or may not be recorded.
    """
    try:
        try:
            disk.write_once(target.descriptor, payload)
        except OSError as err:
            _take_back(target)
            raise _not_written(err, target, entries) from err
        try:
            disk.sync(target.descriptor)
        except OSError as err:
            # never tried again: the system has forgotten by then what it could not write
            raise _in_doubt(f"{target.name} was not confirmed ({disk.in_words(err)})") from err
    except KeyboardInterrupt:
        _take_back(target)
        raise
    if not disk.is_at(target.path, target.descriptor):
        raise _in_doubt(f"{target.name} was moved, deleted or replaced meanwhile")
    if disk.size_of(target.descriptor) != target.size + len(payload):
        raise _in_doubt(f"{target.name} was written to by another, without a lock, meanwhile")


def _in_doubt(what: str) -> InDoubtError:
    return InDoubtError(f"It may or may not be recorded: {what}.", "Look with:  bedplate log")


def _take_back(target: Target) -> None:
    """Cut off what a write has left behind."""
    try:
        disk.cut(target.descriptor, target.size)
    except OSError as err:
        what = f"{target.name} could be written only in part, and not cut back"
        raise _in_doubt(f"{what} ({disk.in_words(err)})") from err


def _not_written(err: OSError, target: Target, entries: Sequence[AnyEntry]) -> StorageError:
    count = counted(target.count, "entry", "entries")
    as_it_was = f"as it was, {count}" if target.count else "not begun"
    if disk.is_full(err):
        msg = f"{target.fate} The disk is full: {target.name} is {as_it_was}."
        cure = "Free some space and give the same command again."
    else:
        what = f"{target.name} could not be written ({disk.in_words(err)})"
        msg = f"{target.fate} {what}; it is {as_it_was}."
        cure = "See to the disk, then give the same command again."
    typed = [
        f"The reading you typed:  {visible(entry.address)} {_typed(entry, target.earlier)}"
        for entry in entries
        if isinstance(entry, Reading) and entry.value is not None
    ]
    return StorageError(msg, cure, *typed[:_SHOWN_READINGS])


def _typed(reading: Reading, earlier: Sequence[AnyEntry]) -> str:
    """Return the value of a reading to be typed again: without the unit that a bare figure has."""
    value = visible(reading.value or "")
    return value.removesuffix(f" {_unit_of_bare(reading.address, earlier)}")


def _unit_of_bare(address: str, earlier: Sequence[AnyEntry]) -> str:
    """Return the unit of a bare figure at an address, as the sheet in force has it."""
    sheets = (e.sheet for e in reversed(earlier) if isinstance(e, Opened | SheetRevised))
    sheet = next((sheet for sheet in sheets if sheet is not None), {})
    tag = address.partition("@")[0].partition(".")[0].casefold()
    units = [sheet.get("unit")]
    rows = sheet.get("feature")
    for row in rows if isinstance(rows, list) else ():
        if isinstance(row, dict) and str(row.get("tag")).casefold() == tag:
            units.insert(0, row.get("unit"))
    return next((unit for unit in units if isinstance(unit, str)), "in")
