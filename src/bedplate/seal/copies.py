"""Other copies of a job beside it: what a share, a mail or a synced folder leaves behind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from bedplate.record.chain import REST, lines_of, whole_length
from bedplate.record.spelling import LINE_LIMIT


@dataclass(frozen=True, slots=True)
class Copy:
    """A file that begins as the job does, and has lines that the job lacks.

    Attributes:
        name: of the file.
        common: how many lines both begin with.
        lacking: how many whole lines it has that this job lacks.

    """

    name: str
    common: int
    lacking: int


def find_copies(path: Path, ours: Sequence[bytes]) -> tuple[Copy, ...]:
    """Return the copies beside a job that hold lines it lacks, by name.

    Looked at is every ``*.jsonl`` in its folder that is a plain file and can be read. One whose
    lines behind the fork are attached to the job, as `rejoin` does, holds nothing that it lacks.
    Of a copy that parts from the job, no more than `REST` bytes behind the fork are counted.

    Args:
        path: the job file.
        ours: its whole lines.

    """
    found = []
    for other in sorted(path.parent.glob("*.jsonl")):
        if ours and other.name != path.name and _begins_with(other, ours[0]):
            try:
                common, tail = _fork(other, ours)
            except OSError:
                continue
            if tail and not _is_attached(tail, ours):
                found.append(Copy(other.name, common, len(tail)))
    return tuple(found)


def _fork(other: Path, ours: Sequence[bytes]) -> tuple[int, list[bytes]]:
    """Return how many lines a file begins with as the job does, and its whole lines behind them.

    Raises:
        OSError: it cannot be read.
    """
    common = 0
    with other.open("rb") as stream:
        while line := stream.readline(LINE_LIMIT + 1):
            if common == len(ours) or line != ours[common]:
                rest = line + stream.read(REST)
                return common, lines_of(rest, whole_length(rest))
            common += 1
    return common, []


def _is_attached(tail: Sequence[bytes], ours: Sequence[bytes]) -> bool:
    """Tell whether an entry says that these very lines are kept as an attachment."""
    digest = f'"sha256":"{sha256(b"".join(tail)).hexdigest()}"'.encode()
    return any(digest in line and b',"kind":"attachment",' in line for line in ours)


def _begins_with(path: Path, line: bytes) -> bool:
    """Tell whether a plain file begins with a line, without reading the rest."""
    try:
        if path.is_symlink() or not path.is_file():
            return False
        with path.open("rb") as stream:
            return stream.read(len(line)) == line
    except OSError:
        return False


def common_lines(ours: list[bytes], theirs: list[bytes]) -> int:
    """Return how many lines two files begin with alike."""
    pairs = zip(ours, theirs, strict=False)
    return next(
        (k for k, (one, other) in enumerate(pairs) if one != other), min(len(ours), len(theirs))
    )
