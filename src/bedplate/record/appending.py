"""Appending to a job: one write and one sync, under a lock, against the file as it is then.

Promised, on a disk of one's own machine: an entry that was acknowledged is on the medium; two
programs never interleave; a rule is asked about the very state that its entry is appended to; of
a write that failed nothing stays. *Not* promised: that a disk which says "written" speaks the
truth, and that the lock holds on a share or in a synced folder.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from bedplate.errors import BedplateError, StorageError
from bedplate.record import disk, torn
from bedplate.record.batch import Appended, Batch
from bedplate.record.chain import Chain, Head, lines_of, whole_length
from bedplate.record.commit import InDoubtError, Target, commit
from bedplate.record.entries import AnyEntry
from bedplate.record.jobfile import ENDING, examined, refusal_to_write, report_on_open
from bedplate.record.lock import LOCK_WAIT, locked
from bedplate.record.stamping import moment_text
from bedplate.text import visible

Propose = Callable[[Sequence[AnyEntry]], Sequence[AnyEntry]]
"""Takes the entries as of now, under the lock; returns those to append, or raises a refusal."""


class OpenJob:
    """A job held open for writing; each append reads only what came since the last.

    The lock is held only while appending, so others can record between two of them. Use it as a
    context manager, or `close` it.
    """

    def __init__(self, path: Path, *, wait: float = LOCK_WAIT) -> None:
        """Open a job that is there and whole.

        Args:
            path: the job file.
            wait: seconds to wait for another writer, at each append.

        Raises:
            StorageError: it cannot be opened for writing, is no job, or its chain is broken.
            UnknownHereError: of a format, or with a kind or field, that is not known here.
        """
        self.path = path
        self.wait = wait
        self._spent: BedplateError | None = None
        self._descriptor = disk.open_regular(path, writing=True, fate="Not recorded.")
        try:
            report = examined(report_on_open(self._descriptor, path), path)
            if not report.whole:
                raise refusal_to_write(report, path)
        except BaseException:
            self.close()
            raise
        self._chain = Chain.after(report, visible(path.name))
        self._offset = sum(map(len, report.lines))
        self._last = report.lines[-1]
        self.torn = report.torn

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; nothing is lost by it."""
        if self._descriptor >= 0:
            os.close(self._descriptor)
            self._descriptor = -1

    @property
    def name(self) -> str:
        """Name of the job."""
        return self.path.name.removesuffix(ENDING)

    @property
    def entries(self) -> Sequence[AnyEntry]:
        """The entries as last seen, in order; not to be changed."""
        return self._chain.entries

    @property
    def head(self) -> Head:
        """The head as last seen."""
        return Head(self._chain.count, self._chain.link)

    def append(self, propose: Propose, *, by: str, now: Callable[[], datetime]) -> Appended:
        """Append what is proposed about the file as it is under the lock.

        Args:
            propose: gets all entries as of now, returns those to append (none: nothing is
                written); what it raises is passed on, and nothing was written. If the file grew
                since the question was asked, it sees that, and may raise to have it asked again.
            by: the hand.
            now: the clock; asked once, under the lock.

        Returns:
            What was written, once it is on the medium.

        Raises:
            StorageError: nothing was recorded; or, if it says so, it may or may not be recorded.
        """
        if self._spent is not None:
            raise self._spent
        with locked(self._descriptor, self.path, wait=self.wait):
            tail = self._catch_up()
            batch = Batch(self._chain.count, self._chain.link, by, moment_text(now()))
            finished = torn.next_entry_in(tail, self._chain) if tail else None
            if finished is not None:
                batch.take(finished, tail + b"\n")
            elif tail:
                batch.add(torn.set_aside(tail))
            before = len(batch.entries)
            seen = [*self._chain.entries, *batch.entries] if tail else self._chain.entries
            for entry in propose(seen):
                batch.add(entry)
            if len(batch.entries) == before:
                return Appended((), self.head)
            return self._write(batch, tail, finishing=finished is not None)

    def _catch_up(self) -> bytes:
        """Read what came since the last time; return what stands behind the last whole line."""
        shown = visible(self.path.name)
        if not disk.is_at(self.path, self._descriptor):
            raise self._give_up(
                f"Not recorded. {shown} was moved, deleted or replaced since it was opened.",
                f"See what is there now:  bedplate --job {visible(self.name)} log",
            )
        size = disk.size_of(self._descriptor)
        last = disk.read_range(self._descriptor, self._offset - len(self._last), self._offset)
        if last != self._last:
            raise self._give_up(
                f"Not recorded. {shown} was altered since it was opened: its entry "
                f"{self._chain.count} is not there any more.",
                f"Type:  bedplate verify {visible(self.name)}",
            )
        new = disk.read_range(self._descriptor, self._offset, size)
        end = whole_length(new)
        for line in lines_of(new, end):
            self._follow(line)
        self.torn = new[end:]
        return self.torn

    def _follow(self, line: bytes) -> None:
        """Take a line that another has written since."""
        if not self._chain.add(line):
            report = report_on_open(self._descriptor, self.path)
            refusal = refusal_to_write(report, self.path)
            raise self._give_up(f"Not recorded. {refusal.message}", *refusal.hint)
        self._offset += len(line)
        self._last = line
        if self._chain.unknown is not None:
            self._spent = self._chain.unknown
            raise self._spent

    def _give_up(self, message: str, *hint: str) -> StorageError:
        """Return a refusal that also meets every later append: what was seen is no more so."""
        self._spent = StorageError(message, *hint)
        return self._spent

    def _write(self, batch: Batch, tail: bytes, *, finishing: bool) -> Appended:
        """Write a batch, of which the first line is the tail itself when ``finishing`` that."""
        payload = b"".join(batch.lines)
        size = self._offset + len(payload)
        if size > disk.FILE_LIMIT:
            msg = f"Not recorded. {visible(self.path.name)} would grow beyond 512 MiB."
            raise StorageError(msg, "Go on in a new job that names this one as --previous.")
        number = self._chain.count + 1
        kept = None
        if tail and not finishing:
            kept = torn.set_tail_aside(self._descriptor, self.path, tail, self._offset, number)
        done = len(tail) if finishing else 0
        try:
            size_now, count = self._offset + done, self._chain.count
            target = Target(self._descriptor, self.path, size_now, count, self.entries)
            commit(target, payload[done:], batch.entries)
        except InDoubtError as err:
            self._spent = err
            raise
        appended = batch.outcome(
            before=batch.entries[0] if finishing else self._chain.entries[-1],
            completed=number if finishing else None,
            kept=kept,
        )
        self._chain.entries += batch.entries
        self._chain.count, self._chain.link = batch.count, batch.link
        self._offset, self._last, self.torn = size, batch.lines[-1], b""
        return appended


def append(
    path: Path,
    propose: Propose,
    *,
    by: str,
    now: Callable[[], datetime],
    wait: float = LOCK_WAIT,
) -> Appended:
    """Open a job, append to it once, and close it; see `OpenJob.append`."""
    with OpenJob(path, wait=wait) as job:
        return job.append(propose, by=by, now=now)
