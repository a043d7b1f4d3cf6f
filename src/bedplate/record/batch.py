"""The lines of one command, stamped as they are added; and what is told once they are written."""

from __future__ import annotations

from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from bedplate.record.chain import Head
from bedplate.record.entries import AnyEntry
from bedplate.record.spelling import spell
from bedplate.record.stamping import stamped
from bedplate.text import visible


class Appended(NamedTuple):
    """What was recorded, and what else whoever recorded it should be told.

    Attributes:
        entries: those written, in order; the one about a tail set aside stands among them.
        head: of the file now.
        completed: number of an entry that only lacked its newline, and has it now.
        kept: where a torn tail was kept that could not be completed.
        clock_back: number of the entry before, where that is dated later than these.
    """

    entries: tuple[AnyEntry, ...]
    head: Head
    completed: int | None = None
    kept: Path | None = None
    clock_back: int | None = None

    @property
    def warnings(self) -> tuple[str, ...]:
        """What is to be said of it, each a sentence or two."""
        said = []
        if self.completed is not None:
            said.append(
                f"Recorded, and entry {self.completed}, whose write was cut short before its "
                "line end, was completed."
            )
        if self.kept is not None:
            said.append(
                "Recorded, but before it stood the rest of a write that was cut short; it is kept "
                f"in {visible(self.kept.name)}."
            )
        if self.clock_back is not None:
            said.append(
                f"Recorded, but entry {self.clock_back} is dated later: the clock of this "
                "computer was set back. The order of entries is that of their numbers."
            )
        return tuple(said)


class Batch:
    """Lines to be written behind a chain, stamped as they are added."""

    def __init__(self, count: int, link: str, by: str, at: str) -> None:
        self.count = count
        self.link = link
        self.by = by
        self.at = at
        self.entries: list[AnyEntry] = []
        self.lines: list[bytes] = []

    def add(self, entry: AnyEntry) -> None:
        """Stamp a proposed entry and take it."""
        n = self.count + 1
        written = stamped(entry, n=n, at=self.at, by=self.by, prev=self.link)
        self.take(written, spell(written))

    def take(self, entry: AnyEntry, line: bytes) -> None:
        """Take an entry that is stamped and spelled."""
        self.entries.append(entry)
        self.lines.append(line)
        self.count += 1
        self.link = sha256(line).hexdigest()

    def outcome(
        self, *, before: AnyEntry | None, completed: int | None, kept: Path | None
    ) -> Appended:
        """Return what is to be told of the batch, now that it is written."""
        set_back = before is not None and _earlier(self.at, before.at)
        return Appended(
            entries=tuple(self.entries if completed is None else self.entries[1:]),
            head=Head(self.count, self.link),
            completed=completed,
            kept=kept,
            clock_back=before.n if before is not None and set_back else None,
        )


def _earlier(one: str, other: str) -> bool:
    return datetime.fromisoformat(one) < datetime.fromisoformat(other)
