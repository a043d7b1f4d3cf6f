"""The few steps by which bytes are read from a job file, and made to last in it.

Nothing here knows what the bytes say. Failures of the system stay `OSError`; only what a path
must not be (a link, a folder, a pipe) is refused here in words.
"""

from __future__ import annotations

import contextlib
import errno
import io
import os
import stat
import sys
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Final

from bedplate.errors import StorageError
from bedplate.text import visible

if TYPE_CHECKING:
    from _typeshed import WriteableBuffer

if sys.platform == "darwin":
    import fcntl

FILE_LIMIT: Final = 512 << 20
"""The largest job file, in bytes: 512 MiB."""
_PART: Final = 1 << 20

_ALWAYS = (
    getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)
_FULL = frozenset({errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC), errno.EFBIG})


def open_regular(path: Path, *, writing: bool, fate: str = "Not read.") -> int:
    """Return a descriptor of a regular file that is there; a link is not followed.

    Args:
        path: the file.
        writing: open it for appending too.
        fate: first words of a refusal.

    Raises:
        StorageError: it is missing, a folder, a link, a pipe or device, too large, or barred.
    """
    shown = visible(str(path))
    try:
        found = os.lstat(path)
        _refuse_kind(found, shown, fate)
        how = os.O_RDWR | os.O_APPEND if writing else os.O_RDONLY
        descriptor = os.open(path, how | _ALWAYS)
    except (FileNotFoundError, NotADirectoryError) as err:
        msg = f"{fate} There is no {shown}."
        raise StorageError(msg, "To start a job:  bedplate open NAME") from err
    except PermissionError as err:
        barred = "written" if writing else "read"
        msg = f"{fate} {shown} may not be {barred} by you."
        raise StorageError(msg, "See who owns the file and its folder.") from err
    except OSError as err:
        msg = f"{fate} {shown} could not be opened ({in_words(err)})."
        raise StorageError(msg) from err
    try:
        _refuse_kind(os.fstat(descriptor), shown, fate)
    except StorageError:
        os.close(descriptor)
        raise
    return descriptor


def _refuse_kind(found: os.stat_result, shown: str, fate: str) -> None:
    if stat.S_ISLNK(found.st_mode):
        msg = f"{fate} {shown} is a link; a job is opened only where it is."
        raise StorageError(msg, "Name the file that the link leads to.")
    if stat.S_ISDIR(found.st_mode):
        msg = f"{fate} {shown} is a folder, no job file."
        raise StorageError(msg)
    if not stat.S_ISREG(found.st_mode):
        msg = f"{fate} {shown} is a pipe or a device, no job file."
        raise StorageError(msg)
    if found.st_size > FILE_LIMIT:
        msg = f"{fate} {shown} is larger than 512 MiB, more than a job may be."
        raise StorageError(msg)


def in_words(err: OSError) -> str:
    """Return what the system said, without its number and without the path."""
    said = err.strerror or type(err).__name__
    return visible(said[:1].lower() + said[1:])


def is_full(err: OSError) -> bool:
    """Tell whether there was no room: disk, quota or the largest size of a file."""
    return err.errno in _FULL


class _Range(io.RawIOBase):
    """The bytes of an open file up to an end, read from its beginning."""

    def __init__(self, descriptor: int, end: int) -> None:
        self._descriptor = descriptor
        self._missing = end

    def readable(self) -> bool:
        return True

    def readinto(self, into: WriteableBuffer) -> int:
        with memoryview(into) as room:
            part = os.read(self._descriptor, min(len(room), self._missing))
            room[: len(part)] = part
        self._missing -= len(part)
        return len(part)


def stream_of(descriptor: int, end: int) -> BinaryIO:
    """Return the bytes of an open file up to ``end`` as a stream of its own."""
    os.lseek(descriptor, 0, os.SEEK_SET)
    return io.BufferedReader(_Range(descriptor, end), _PART)


def read_range(descriptor: int, start: int, end: int) -> bytes:
    """Return the bytes from ``start`` up to ``end``, fewer where the file ends before."""
    os.lseek(descriptor, start, os.SEEK_SET)
    parts = []
    missing = end - start
    while missing > 0 and (part := os.read(descriptor, missing)):
        parts.append(part)
        missing -= len(part)
    return b"".join(parts)


def size_of(descriptor: int) -> int:
    """Return the size of an open file in bytes."""
    return os.fstat(descriptor).st_size


def is_at(path: Path, descriptor: int) -> bool:
    """Tell whether the path still names the open file itself."""
    try:
        named = os.lstat(path)
    except OSError:
        return False
    return os.path.samestat(named, os.fstat(descriptor))


def write_once(descriptor: int, payload: bytes) -> None:
    """Write all the bytes in one write.

    Raises:
        OSError: the system refused, or took only a part (as if the disk were full).
    """
    if os.write(descriptor, payload) != len(payload):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def cut(descriptor: int, size: int) -> None:
    """Cut a file back to ``size`` bytes, and bring that to the disk where the disk will.

    Raises:
        OSError: it could not be cut.
    """
    os.ftruncate(descriptor, size)
    with contextlib.suppress(OSError):  # the write had failed before: this is more than promised
        sync(descriptor)


def sync(descriptor: int) -> None:
    """Have what was written lie on the medium, not only in a cache of the drive.

    Raises:
        OSError: it may or may not lie there. To try again would be to be told yes without cause.
    """
    if sys.platform == "darwin":
        try:
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
        except OSError as err:
            if err.errno not in {errno.ENOTSUP, errno.EINVAL, errno.ENOTTY}:
                raise
        else:
            return
    os.fsync(descriptor)


def sync_folder(folder: Path) -> None:
    """Have the names in a folder lie on the medium. Windows has no such thing.

    Raises:
        OSError: they may or may not lie there.
    """
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def open_new(path: Path) -> int:
    """Return a descriptor, for appending, of a file that must not be there yet.

    Raises:
        FileExistsError: it is there.
        OSError: it cannot be made.
    """
    return os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL | _ALWAYS, 0o666)


def write_new(path: Path, data: bytes) -> None:
    """Write a file that must not be there yet, and have it and its name lie on the medium.

    Raises:
        FileExistsError: it is there.
        OSError: it could not be written; what was begun is taken away again.
    """
    how = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, how, 0o666)
    try:
        _write_all(descriptor, data)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def _write_all(descriptor: int, data: bytes) -> None:
    """Write, sync and close."""
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        sync(descriptor)
    finally:
        os.close(descriptor)
