"""What stands behind the last whole line of a job: left by a write that was cut short.

It was never acknowledged. A writer, under the lock, either completes it (if it is the whole next
entry but for its newline) or keeps it in a file of its own and cuts it off.
"""

from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path

from bedplate.errors import StorageError
from bedplate.record.chain import Chain
from bedplate.record.disk import in_words, write_new
from bedplate.record.entries import AnyEntry, SetAside
from bedplate.record.spelling import SpellingError, read_line
from bedplate.text import visible


def next_entry_in(tail: bytes, chain: Chain) -> AnyEntry | None:
    """Return the entry that a tail is, if it is the whole next one but for its newline."""
    try:
        entry = read_line(tail + b"\n")
    except SpellingError:
        return None
    belongs = (entry.n, entry.prev) == (chain.count + 1, chain.link)
    return entry if belongs else None


def set_aside(tail: bytes) -> SetAside:
    """Return the entry that says that a tail was kept and cut off; not yet stamped."""
    return SetAside(bytes=len(tail), sha256=sha256(tail).hexdigest())


def keep(tail: bytes, path: Path, number: int) -> Path:
    """Keep a tail in a file beside its job, never over another, and return that file.

    It is named ``NAME.job.jsonl.torn-N-HASH``: the number its line would have had, and 16 digits
    of its SHA-256. A file of that name with these very bytes is one that was kept before.

    Raises:
        OSError: it could not be written.
    """
    stem = f"{path.name}.torn-{number}-{sha256(tail).hexdigest()[:16]}"
    times = 1
    while True:
        kept = path.with_name(stem if times == 1 else f"{stem}-{times}")
        try:
            write_new(kept, tail)
        except FileExistsError:
            if _holds(kept, tail):
                return kept
            times += 1
        else:
            return kept


def _holds(path: Path, data: bytes) -> bool:
    """Tell whether a file has exactly these bytes; a link or pipe has not."""
    if path.is_symlink() or not path.is_file() or path.stat().st_size != len(data):
        return False
    return path.read_bytes() == data


def set_tail_aside(descriptor: int, path: Path, tail: bytes, size: int, number: int) -> Path:
    """Keep a torn tail in a file of its own, then cut it off; return that file.

    Raises:
        StorageError: it could not be kept, or not cut off; the job is as it was.
    """
    try:
        kept = keep(tail, path, number)
        os.ftruncate(descriptor, size)
    except OSError as err:
        msg = (
            "Not recorded. What a write that was cut short has left in "
            f"{visible(path.name)} could not be set aside ({in_words(err)})."
        )
        raise StorageError(msg, "See to the disk, then give the same command again.") from err
    return kept
