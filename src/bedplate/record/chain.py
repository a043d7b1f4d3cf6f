"""The chain of a job file: whether each line is the one that the line after it was written on.

Everything here works on bytes that were read before; tampering is a finding, never an exception.

What is *not* shown: a change of the last line, and lines cut off whole. Only a seal, or a head
noted elsewhere (`held_against`), covers those.
"""

from __future__ import annotations

import gc
import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import islice
from typing import TYPE_CHECKING, Final

from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import NO_LINE
from bedplate.record.spelling import (
    SpellingError,
    UnknownFormatError,
    UnknownHereError,
    read_line,
    read_link,
)
from bedplate.record.tampering import Break, find_break
from bedplate.text import counted, quoted

if TYPE_CHECKING:
    from bedplate.record.entries import AnyEntry

HEAD_DIGITS: Final = 16
"""Fewest digits of a hash that a file is held against."""

SHORTEST: Final = 82
"""Bytes of the shortest line that could be one of any format: ``n``, ``prev`` and a LF."""
LINES_AT_LEAST: Final = 10_000
"""How many lines are looked at whatever their length."""
TORN_LINES: Final = 1_000
"""How many lines with NUL bytes are taken for what one crash has left."""

_LINE_END_LOST = b'"}\0{"n":'
_HEAD = re.compile(r"([1-9][0-9]{0,19}):([0-9a-fA-F]{1,64})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Head:
    """How far a file goes: its count of entries, and the SHA-256 of its last line with its LF."""

    entries: int
    sha256: str

    def __str__(self) -> str:
        """Return it in full, as ``verify --json`` gives it: ``41:<64 hex>``."""
        return f"{self.entries}:{self.sha256}"


@dataclass(frozen=True, slots=True)
class LineEnds:
    """That lines end in CR LF.

    Attributes:
        turned: how many.
        lines: of how many.
        whole: whether the chain holds once they are turned back.
    """

    turned: int
    lines: int
    whole: bool


@dataclass(frozen=True, slots=True)
class ChainReport:
    """What a file's bytes show.

    Attributes:
        lines: its whole lines, each with its LF, sound or not; what is torn is not among them.
        entries: those of the sound lines, up to the first that is unknown here.
        head: of the whole lines as they stand; None where there is none.
        broken: the first place where the chain does not hold.
        unknown: the first format, kind or field that is not known here.
        torn: what stands behind the last whole line and was never acknowledged.
        line_ends: set where lines end in CR LF.
    """

    lines: tuple[bytes, ...]
    entries: tuple[AnyEntry, ...]
    head: Head | None
    broken: Break | None
    unknown: UnknownHereError | None
    torn: bytes
    line_ends: LineEnds | None = None

    @property
    def whole(self) -> bool:
        """Whether the chain holds from the first line to the last whole one."""
        return self.broken is None


class Chain:
    """A chain as it grows line by line.

    Attributes:
        entries: those read so far; they stop at the first line unknown here.
        count: lines so far.
        link: SHA-256 in hex of the last line, what the next must have as ``prev``.
        unknown: the first thing not known here.
    """

    def __init__(self, file: str = "the file") -> None:
        self.file = file
        self.entries: list[AnyEntry] = []
        self.count = 0
        self.link = NO_LINE
        self.unknown: UnknownHereError | None = None

    @classmethod
    def after(cls, report: ChainReport, file: str) -> Chain:
        """Return the chain of a file that was checked and is whole, to go on with."""
        chain = cls(file)
        chain.entries = list(report.entries)
        if report.head is not None:
            chain.count, chain.link = report.head.entries, report.head.sha256
        chain.unknown = report.unknown
        return chain

    def add(self, line: bytes) -> bool:
        """Take the next line, LF included, if it belongs here; tell whether it does."""
        entry: AnyEntry | None = None
        try:
            if self.unknown is None:
                entry = read_line(line, file=self.file, number=self.count + 1)
                n, prev = entry.n, entry.prev
            else:
                n, prev = read_link(line)
        except UnknownHereError as err:
            return self._add_unknown(line, err)
        except SpellingError:
            return False
        if n != self.count + 1 or prev != self.link:
            return False
        if entry is not None:
            if self.count and entry.kind == "opened":
                return False
            self.entries.append(entry)
        self._step(line)
        return True

    def _add_unknown(self, line: bytes, err: UnknownHereError) -> bool:
        try:
            n, prev = read_link(line)
        except SpellingError:
            return False
        if n != self.count + 1 or prev != self.link:
            return False
        self.unknown = err
        self._step(line)
        return True

    def _step(self, line: bytes) -> None:
        self.count += 1
        self.link = sha256(line).hexdigest()


def whole_length(data: bytes) -> int:
    """Return how many of the bytes are whole lines; a last line with NUL bytes is none.

    A crash leaves NUL bytes by the page. A single one where a line end should be, between two
    lines, was put there: those two are not taken for torn. Nor are more lines than one command
    can have been writing.
    """
    end = data.rfind(b"\n") + 1
    for _ in range(TORN_LINES):
        if not end:
            break
        start = data.rfind(b"\n", 0, end - 1) + 1
        if data.find(b"\0", start, end) < 0 or data.find(_LINE_END_LOST, start, end) >= 0:
            break
        end = start
    return end


def lines_of(data: bytes, end: int | None = None) -> list[bytes]:
    """Return the lines of some bytes, each with its LF; split at LF alone.

    A file with more lines than its bytes could hold entries is no job. Of such a one only as many
    are returned as could be, one of them too short to be one among them: 512 MiB of line feeds
    would take many times their memory.

    Args:
        data: the bytes.
        end: where a line ends behind which none is wanted; without it, all are.

    """
    size = len(data) if end is None else end
    most = max(LINES_AT_LEAST, size // SHORTEST + 1)
    if end is not None:
        most = min(most, data.count(b"\n", 0, end))
    return list(islice(io.BytesIO(data), most))  # which holds on to the bytes, and copies none


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Keep the collector from walking over the entries of a long job again and again.

    All of them are kept, so it finds nothing, at a third of the time that reading takes.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def check(data: bytes, file: str = "the file") -> ChainReport:
    """Return what the bytes of a job file show; see `ChainReport`.

    Args:
        data: the whole file.
        file: its name as it may be shown, for the message about what is not known here.
    """
    report = _checked(data, file)
    turned = [number for number, line in enumerate(report.lines, 1) if line.endswith(b"\r\n")]
    if report.broken is None or not turned:
        return report
    return _turned_back(report, turned, _checked(data.replace(b"\r\n", b"\n"), file))


def _checked(data: bytes, file: str) -> ChainReport:
    """Return what the bytes show, whatever their line ends."""
    end = whole_length(data)
    lines = tuple(lines_of(data, end))
    chain = Chain(file)
    with _no_collecting():
        for line in lines:
            if not chain.add(line):
                break
    head = Head(len(lines), sha256(lines[-1]).hexdigest()) if lines else None
    if chain.count == len(lines):
        entries = tuple(chain.entries)
        return ChainReport(lines, entries, head, None, chain.unknown, data[end:])
    broken = find_break(lines, chain.count + 1, known=chain.unknown is None)
    if chain.unknown is not None and not isinstance(chain.unknown, UnknownFormatError):
        broken = _made_unknown(broken, len(chain.entries) + 1, chain.unknown)
    sound = tuple(chain.entries[: broken.line - 1])
    before = len(chain.entries) + 1 < broken.line
    unknown = chain.unknown if before else None  # else it was made unknown by who altered it
    return ChainReport(lines, sound, head, broken, unknown, data[end:])


def _made_unknown(broken: Break, at: int, unknown: UnknownHereError) -> Break:
    """Choose, of two lines that do not agree, the one that is unknown: a format has no new kinds.

    So whoever altered it made it unknown.
    """
    if broken.suspects != (at, at + 1) or broken.line == at:
        return broken
    reason = f"line {at} was altered: {unknown.reason}, and line {at + 1} does not follow on it"
    return replace(broken, line=at, reason=reason)


def _turned_back(report: ChainReport, turned: Sequence[int], inner: ChainReport) -> ChainReport:
    """Return the report on a file with CR LF, by what it is with its line ends turned back."""
    ends = LineEnds(len(turned), len(report.lines), inner.whole)
    many = f"{counted(ends.turned, 'line')} end" if ends.turned > 1 else "1 line ends"
    if ends.turned == ends.lines:
        many = "every line ends"
    reason = f"{many} in CR LF, as mail and some editors make it; with the line ends turned back "
    reason += "it is whole" if inner.broken is None else inner.broken.reason
    first = turned[0] if inner.broken is None else min(turned[0], inner.broken.line)
    broken = Break(first, (first,), reason)
    return replace(inner, lines=report.lines, head=report.head, broken=broken, line_ends=ends)


def held_against(lines: Sequence[bytes], head: str) -> str | None:
    """Return why a file is not the one that a head was noted of, or None where it is.

    Lines behind the head's are no contradiction: the file went on. What stands before it is
    covered only together with a whole chain.

    Args:
        lines: the whole lines of the file.
        head: ``N:HEX``, as a summary prints it; at least 16 digits of the hash.

    Raises:
        NotUnderstoodError: it is no head.
    """
    given = _HEAD.fullmatch(head)
    if given is None or len(given[2]) < HEAD_DIGITS:
        msg = f"Not compared. {quoted(head)} is no head."
        cure = f"A head is a count, a colon and at least {HEAD_DIGITS} digits, like"
        raise NotUnderstoodError(msg, f"{cure}  41:3f9ad1c277b0e52a")
    count = int(given[1])
    if count > len(lines):
        return f"the head is of {count} entries, the file has {len(lines)}: lines were cut off"
    if not sha256(lines[count - 1]).hexdigest().startswith(given[2].lower()):
        return f"entry {count} is not the one that the head was noted of"
    return None
