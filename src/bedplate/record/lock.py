"""The lock that keeps two programs of one machine from writing to one job at a time.

It lies on the open file itself and dies with its process, so nothing can be left behind. It is
not promised to hold on a share or in a synced folder; there the chain tells afterwards.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from bedplate.errors import StorageError
from bedplate.record.disk import in_words
from bedplate.text import visible

LOCK_WAIT: Final = 10.0
"""How long a lock is waited for, in seconds."""
_PAUSE = 0.01
_HELD = re.compile(
    r"\d+: FLOCK +\w+ +WRITE +(\d+) +([0-9a-f]+):([0-9a-f]+):(\d+) ", re.ASCII | re.MULTILINE
)

if sys.platform == "win32":
    import msvcrt

    _BYTE = 0x7FFF_FFFE
    """Far behind every job: Windows bars others from reading the very byte that is locked."""

    def _take(descriptor: int) -> None:
        os.lseek(descriptor, _BYTE, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except PermissionError as err:
            raise BlockingIOError from err

    def _leave(descriptor: int) -> None:
        os.lseek(descriptor, _BYTE, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _take(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _leave(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_UN)


@contextmanager
def locked(
    descriptor: int, path: Path, *, wait: float = LOCK_WAIT, fate: str = "Not recorded."
) -> Iterator[None]:
    """Hold the lock of an open file while the block runs.

    Args:
        descriptor: the open file.
        path: its path, for messages.
        wait: seconds to wait for another to leave it.
        fate: first words of a refusal.

    Raises:
        StorageError: another holds it for longer, or this disk knows no locks.
    """
    until = time.monotonic() + wait
    while True:
        try:
            _take(descriptor)
            break
        except BlockingIOError as err:
            if time.monotonic() >= until:
                raise _held_by_another(descriptor, path, wait, fate) from err
            time.sleep(_PAUSE)
        except OSError as err:
            msg = f"{fate} The disk of {visible(path.name)} knows no locks ({in_words(err)})."
            raise StorageError(msg, "Copy the job to a disk of this computer.") from err
    try:
        yield
    finally:
        with contextlib.suppress(OSError):  # closing the file, or ending, gives it up anyway
            _leave(descriptor)


def _held_by_another(descriptor: int, path: Path, wait: float, fate: str) -> StorageError:
    holder = holder_of(descriptor)
    who = "Another bedplate" if holder is None else f"Another bedplate (process {holder})"
    msg = f"{fate} {who} is writing to {visible(path.name)}; waited {wait:g} s."
    return StorageError(msg, "Look for it in another window, then give the same command again.")


def holder_of(descriptor: int) -> int | None:
    """Return the process that holds the lock of an open file, where the system tells (Linux)."""
    try:
        table = Path("/proc/locks").read_text(encoding="ascii")
    except (OSError, UnicodeDecodeError):
        return None
    found = os.fstat(descriptor)
    device = (os.major(found.st_dev), os.minor(found.st_dev))
    by_inode = [
        (int(pid), (int(major, 16), int(minor, 16)) == device)
        for pid, major, minor, inode in _HELD.findall(table)
        if int(inode) == found.st_ino and int(pid) > 0
    ]
    # some file systems tell another device here than to stat: then the inode must do, if alone
    sure = [pid for pid, same in by_inode if same] or [pid for pid, _ in by_inode]
    return sure[0] if len(sure) == 1 else None
