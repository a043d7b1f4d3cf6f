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
from hashlib import sha256
from itertools import islice
from typing import TYPE_CHECKING, BinaryIO, Final, NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import NO_LINE
from bedplate.record.spelling import (
    LINE_LIMIT,
    SpellingError,
    UnknownFormatError,
    UnknownHereError,
    read_line,
    read_link,
)
from bedplate.text import counted, quoted

if TYPE_CHECKING:
    from bedplate.record.entries import AnyEntry
    from bedplate.record.tampering import Break

HEAD_DIGITS: Final = 16
"""Fewest digits of a hash that a file is held against."""

SHORTEST: Final = 82
"""Bytes of the shortest line that could be one of any format: ``n``, ``prev`` and a LF."""
LINES_AT_LEAST: Final = 10_000
"""How many lines are looked at whatever their length."""
TORN_LINES: Final = 1_000
"""How many lines with NUL bytes are taken for what one crash has left."""
REST: Final = 32 << 20
"""Bytes looked at from the first line on that does not fit, 32 MiB.

All of a job that somebody has written would fit; of a hostile file no more is held."""

_LINE_END_LOST = b'"}\0{"n":'
_HEAD = re.compile(r"([1-9][0-9]{0,19}):([0-9a-fA-F]{1,64})", re.ASCII)


class Head(NamedTuple):
    """How far a file goes: its count of entries, and the SHA-256 of its last line with its LF."""

    entries: int
    sha256: str

    def __str__(self) -> str:
        """Return it in full, as ``verify --json`` gives it: ``41:<64 hex>``."""
        return f"{self.entries}:{self.sha256}"


class LineEnds(NamedTuple):
    """That lines end in CR LF.

    Attributes:
        turned: how many.
        lines: of how many.
        whole: whether the chain holds once they are turned back.
    """

    turned: int
    lines: int
    whole: bool


class ChainReport(NamedTuple):
    """What a file's bytes show.

    Attributes:
        lines: its whole lines, each with its LF, sound or not; what is torn is not among them.
            Of those behind the first that does not fit, only as many as lie within `REST`.
        entries: those of the sound lines, up to the first that is unknown here.
        head: of these lines as they stand; None where there is none.
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
        if self.unknown is not None:
            return self._add_unknown(line, self.unknown)
        number = self.count + 1
        try:
            entry = read_line(line, self.file, number)
        except UnknownHereError as err:
            return self._add_unknown(line, err)
        except SpellingError:
            return False
        if entry.n != number or entry.prev != self.link or (number > 1 and entry.kind == "opened"):
            return False
        self.entries.append(entry)
        self.count, self.link = number, sha256(line).hexdigest()
        return True

    def _add_unknown(self, line: bytes, err: UnknownHereError) -> bool:
        try:
            linked = read_link(line) == (self.count + 1, self.link)
        except SpellingError:
            return False
        if linked:
            self.unknown = err
            self.count, self.link = self.count + 1, sha256(line).hexdigest()
        return linked


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
    """Return what the bytes of a job file show; see `check_stream`."""
    return check_stream(io.BytesIO(data), file)


def check_stream(stream: BinaryIO, file: str = "the file") -> ChainReport:
    """Return what a job file shows, read line by line; see `ChainReport`.

    Args:
        stream: the whole file, from its beginning.
        file: its name as it may be shown, for the message about what is not known here.

    Raises:
        OSError: it could not be read.
    """
    report = _checked(stream, file)
    if report.broken is None:
        return report
    turned = [number for number, line in enumerate(report.lines, 1) if line.endswith(b"\r\n")]
    return _turned_back(report, turned, check_turned(report, file)) if turned else report


def check_turned(report: ChainReport, file: str = "the file") -> ChainReport:
    """Return what a file that was checked shows once its CR LF are turned back to LF."""
    data = b"".join([*report.lines, report.torn])
    return _checked(io.BytesIO(data.replace(b"\r\n", b"\n")), file)


def _checked(stream: BinaryIO, file: str) -> ChainReport:
    """Return what a file shows, whatever its line ends."""
    chain, sound = Chain(file), list[bytes]()
    rest, goes_on = b"", False
    with _no_collecting():
        while line := stream.readline(LINE_LIMIT + 1):
            if not chain.add(line):
                rest = line + stream.read(REST - len(line))
                goes_on = bool(stream.read(1))
                break
            sound.append(line)
    end = rest.rfind(b"\n") + 1 if goes_on else whole_length(rest)
    lines = (*sound, *lines_of(rest, end))
    torn = b"" if goes_on else rest[end:]
    return _report(chain, lines, torn, goes_on=goes_on)


def _report(chain: Chain, lines: tuple[bytes, ...], torn: bytes, *, goes_on: bool) -> ChainReport:
    """Return the report on lines of which as many are a chain as it has taken.

    Args:
        chain: with the sound lines in it.
        lines: all that are looked at.
        torn: what stands behind them.
        goes_on: whether the file goes on behind what is looked at.
    """
    head = Head(len(lines), sha256(lines[-1]).hexdigest()) if lines else None
    at = chain.count + 1
    if chain.count == len(lines) and not goes_on:
        return ChainReport(lines, tuple(chain.entries), head, None, chain.unknown, torn)
    from bedplate.record import tampering  # noqa: PLC0415 - only for what does not hold

    if chain.count == len(lines):
        broken = tampering.too_long(at)
        return ChainReport(lines, tuple(chain.entries), head, broken, chain.unknown, torn)
    broken = tampering.find_break(lines, at, known=chain.unknown is None)
    if chain.unknown is not None and not isinstance(chain.unknown, UnknownFormatError):
        broken = tampering.made_unknown(broken, len(chain.entries) + 1, chain.unknown)
    sound = tuple(chain.entries[: broken.line - 1])
    before = len(chain.entries) + 1 < broken.line
    unknown = chain.unknown if before else None  # else it was made unknown by who altered it
    return ChainReport(lines, sound, head, broken, unknown, torn)


def _turned_back(report: ChainReport, turned: Sequence[int], inner: ChainReport) -> ChainReport:
    """Return the report on a file with CR LF, by what it is with its line ends turned back."""
    from bedplate.record.tampering import Break  # noqa: PLC0415 - only for what does not hold

    ends = LineEnds(len(turned), len(report.lines), inner.whole)
    many = f"{counted(ends.turned, 'line')} end" if ends.turned > 1 else "1 line ends"
    if ends.turned == ends.lines:
        many = "every line ends"
    reason = f"{many} in CR LF, as mail and some editors make it; with the line ends turned back "
    reason += "it is whole" if inner.broken is None else inner.broken.reason
    first = turned[0] if inner.broken is None else min(turned[0], inner.broken.line)
    broken = Break(first, (first,), reason)
    return inner._replace(lines=report.lines, head=report.head, broken=broken, line_ends=ends)


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
