"""Beginning a job: the first entry, in a file of its own that nobody else can have begun."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from bedplate.errors import BedplateError, RefusedError, StorageError
from bedplate.record import disk, torn
from bedplate.record.batch import Appended, Batch
from bedplate.record.chain import ChainReport
from bedplate.record.commit import InDoubtError, Target, commit
from bedplate.record.entries import NO_LINE, Opened
from bedplate.record.jobfile import ENDING, examined, report_on_open
from bedplate.record.lock import LOCK_WAIT, locked
from bedplate.record.stamping import moment_text
from bedplate.text import counted, visible


def create(
    path: Path,
    opened: Opened,
    *,
    by: str,
    now: Callable[[], datetime],
    wait: float = LOCK_WAIT,
) -> Appended:
    """Begin a job in a file that is not there yet, or that holds not one whole line.

    Args:
        path: the file to be, ending in ``.job.jsonl``.
        opened: the first entry.
        by: the hand.
        now: the clock.
        wait: seconds to wait, should another be beginning the same.

    Returns:
        What was written, once it and the file's name are on the medium.

    Raises:
        RefusedError: the job is there already.
        StorageError: it could not be written, or the file is something else.
    """
    descriptor, made = _new_or_there(path)
    try:
        with locked(descriptor, path, wait=wait, fate="Not opened."):
            if not disk.is_at(path, descriptor):
                msg = f"Not opened. {visible(path.name)} was moved or deleted meanwhile."
                raise StorageError(msg, "Give the same command again.")
            report = report_on_open(descriptor, path)
            if report.lines or report.broken is not None:
                raise _already_there(report, path)
            batch = Batch(0, NO_LINE, by, moment_text(now()))
            batch.add(opened)
            return _begin(descriptor, path, batch, report.torn)
    except StorageError:
        if made and disk.is_at(path, descriptor) and not disk.size_of(descriptor):
            with contextlib.suppress(OSError):  # if it stays: an empty file is taken as new
                path.unlink()
        raise
    finally:
        os.close(descriptor)


def _new_or_there(path: Path) -> tuple[int, bool]:
    """Return a descriptor of the file and whether it was made just now."""
    try:
        return disk.open_new(path), True
    except FileExistsError:
        return disk.open_regular(path, writing=True, fate="Not opened."), False
    except FileNotFoundError as err:
        msg = f"Not opened. There is no folder {visible(str(path.parent))}."
        raise StorageError(msg) from err
    except OSError as err:
        msg = f"Not opened. {visible(str(path))} could not be made ({disk.in_words(err)})."
        raise StorageError(msg) from err


def _already_there(report: ChainReport, path: Path) -> BedplateError:
    try:
        examined(report, path)
    except StorageError as err:
        there = f"There is a file {visible(path.name)} already"
        return StorageError(f"Not opened. {there}. {err.message}", "Give the job another name.")
    name = visible(path.name.removesuffix(ENDING))
    count = counted(len(report.lines), "entry", "entries")
    return RefusedError(
        f"Not opened. {name} is already open ({count}). Just go on: bedplate status"
    )


def _begin(descriptor: int, path: Path, batch: Batch, tail: bytes) -> Appended:
    """Write the first line; what was there is the rest of a first line that was cut short."""
    kept = None
    if tail:
        batch.add(torn.set_aside(tail))
        kept = torn.set_tail_aside(descriptor, path, tail, 0, 1)
    target = Target(descriptor, path, size=0, count=0, fate="Not opened.")
    commit(target, b"".join(batch.lines), batch.entries)
    try:
        disk.sync_folder(path.parent)
    except OSError as err:
        msg = f"It may or may not last: the folder was not confirmed ({disk.in_words(err)})."
        raise InDoubtError(msg, "Look with:  bedplate log") from err
    return batch.outcome(before=None, completed=None, kept=kept)
