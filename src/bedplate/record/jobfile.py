"""A job file read: its bytes, its entries, and what of it does not hold.

Readers take no lock and change nothing. A file whose chain does not hold can still be read, up
to the first line that is in doubt; only a writer refuses it (`refusal_to_write`).
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from bedplate.errors import StorageError
from bedplate.record.chain import ChainReport, Head, check_stream
from bedplate.record.disk import in_words, open_regular, size_of, stream_of
from bedplate.record.spelling import LINE_LIMIT
from bedplate.text import counted, visible

if TYPE_CHECKING:
    from bedplate.record.entries import AnyEntry
    from bedplate.record.tampering import Break

_TEXT = re.compile(rb"[^\n]+")

ENDING: Final = ".job.jsonl"
"""What the name of every job file ends in."""


class JobFile(NamedTuple):
    """A job file as it was at one moment.

    Attributes:
        path: where it is.
        report: what its bytes show.
    """

    path: Path
    report: ChainReport

    @property
    def name(self) -> str:
        """Name of the job, as it was opened: the file's without its ending."""
        return self.path.name.removesuffix(ENDING)

    @property
    def entries(self) -> tuple[AnyEntry, ...]:
        """Its entries, up to the first line that is in doubt."""
        return self.report.entries

    @property
    def lines(self) -> tuple[bytes, ...]:
        """Its whole lines, LF included, also those in doubt."""
        return self.report.lines

    @property
    def head(self) -> Head:
        """Its count of lines and the hash of the last."""
        if self.report.head is None:
            msg = f"{visible(self.path.name)} has no head: it was not read by read_job_file"
            raise ValueError(msg)
        return self.report.head

    @property
    def data(self) -> bytes:
        """Its bytes, what is torn included."""
        return b"".join((*self.report.lines, self.report.torn))

    @property
    def torn(self) -> bytes:
        """What stands behind its last whole line; it was never acknowledged."""
        return self.report.torn

    @property
    def broken(self) -> Break | None:
        """The first place where its chain does not hold; it is then for reading only."""
        return self.report.broken

    @property
    def cautions(self) -> tuple[str, ...]:
        """What whoever reads it should be told, each a sentence or two."""
        said = []
        if self.broken is not None:
            said.append(refusal_to_write(self.report, self.path).message)
        if self.torn:
            said.append(
                f"{counted(len(self.torn), 'byte')} after entry {len(self.lines)} were left by a "
                "write that was cut short; they were never acknowledged and are not counted."
            )
        return tuple(said)


def report_on(path: Path) -> ChainReport:
    """Return what a job file shows, whatever that is.

    Raises:
        StorageError: no regular file of at most 512 MiB is there, or it cannot be read.
    """
    descriptor = open_regular(path, writing=False)
    try:
        return report_on_open(descriptor, path)
    finally:
        os.close(descriptor)


def report_on_open(descriptor: int, path: Path) -> ChainReport:
    """Return what a file that is open shows, as long as it is now.

    Raises:
        StorageError: the system could not read it.
    """
    try:
        return check_stream(stream_of(descriptor, size_of(descriptor)), visible(path.name))
    except OSError as err:
        raise _unread(path, err) from err


def raw_lines(path: Path) -> Iterator[bytes]:
    """Yield what a file has between its line ends, whatever it says; the longest in pieces.

    Raises:
        StorageError: no regular file of at most 512 MiB is there, or it cannot be read.
    """
    descriptor = open_regular(path, writing=False)
    try:
        stream = stream_of(descriptor, size_of(descriptor))
        held = b""
        while part := stream.read(LINE_LIMIT):
            *whole, held = _TEXT.findall(held + part) or [b""]
            yield from whole
            if held and (part.endswith(b"\n") or len(held) > LINE_LIMIT):
                yield held
                held = b""
        if held:
            yield held
    except OSError as err:
        raise _unread(path, err) from err
    finally:
        os.close(descriptor)


def _unread(path: Path, err: OSError) -> StorageError:
    return StorageError(f"Not read. {visible(path.name)} could not be read ({in_words(err)}).")


def read_job_file(path: Path) -> JobFile:
    """Return a job file with its entries; see `JobFile.broken` before relying on them.

    Raises:
        StorageError: it cannot be read, holds no whole line, or is no job.
        UnknownHereError: of a format, or with a kind or field, that is not known here.
    """
    return JobFile(path, examined(report_on(path), path))


def examined(report: ChainReport, path: Path) -> ChainReport:
    """Return the report on a file, or refuse what is no job that is known here.

    Raises:
        StorageError: no whole line, or no job.
        UnknownHereError: of a format, or with a kind or field, that is not known here.
    """
    shown = visible(path.name)
    if not report.lines and report.broken is None:
        name = visible(path.name.removesuffix(ENDING))
        msg = f"Not read. {shown} holds no whole entry: it was never begun, or is empty."
        raise StorageError(msg, f"Type:  bedplate open {name}")
    if report.unknown is not None:
        raise report.unknown
    if not _is_job(report):
        msg = f"Not read. {shown} is no job of bedplate."
        raise StorageError(msg, "A job's first line says that it was opened, and in which format.")
    return report


def _is_job(report: ChainReport) -> bool:
    """Tell whether it is a job, be it one that was altered."""
    if report.entries:
        return report.entries[0].kind == "opened"
    return any(b'"bedplate-job/' in line or b'"prev":"' in line for line in report.lines[:2])


def refusal_to_write(report: ChainReport, path: Path) -> StorageError:
    """Return why nothing is added to a file whose chain does not hold."""
    ends, broken = report.line_ends, report.broken
    if ends is not None and ends.whole and ends.turned == ends.lines:
        return StorageError(
            "This file has been altered on its way: every line ends in CR LF, as mail and some "
            f"editors make it. {counted(ends.lines, 'line')}, none else changed. Opened for "
            "reading only.",
            "Ask for it again as an attachment or zipped; then:  bedplate verify "
            + visible(path.name.removesuffix(ENDING)),
        )
    reason = "" if broken is None else f": {broken.reason}"
    if not report.entries:
        return StorageError(
            f"{visible(path.name)} has been altered{reason}. Opened for reading only.",
            "Nothing stands before it to go on with: ask for it again as an attachment or zipped.",
        )
    return StorageError(
        f"{visible(path.name)} has been altered{reason}. Opened for reading only.",
        "To go on with what stands before it:  bedplate verify "
        f"{visible(path.name.removesuffix(ENDING))} --save-sound NEW",
    )
