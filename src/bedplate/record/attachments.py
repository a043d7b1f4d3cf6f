"""Files that belong to a job: photos, reports, the tail of another copy.

Each lies beside the job in ``NAME.files/`` under the first 16 digits of its SHA-256 and its old
ending; its own name stands in the entry, as text only. An entry may come from a file that
somebody else has written, so its ``file`` is never followed out of such a folder.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
from collections.abc import Callable, Iterable
from hashlib import sha256
from pathlib import Path
from typing import Final, Literal, NamedTuple

from bedplate.errors import StorageError
from bedplate.record.disk import in_words, sync, sync_folder, write_new
from bedplate.record.entries import AnyEntry, Attachment
from bedplate.record.jobfile import ENDING
from bedplate.text import quoted, visible

FOLDER_ENDING: Final = ".files"
"""What the name of a folder of attachments ends in."""

_FILE = re.compile(r"[^/\0]+\.files/([0-9a-f]{16})(?:\.[a-z0-9]{1,10})?", re.ASCII)
_ENDING = re.compile(r"\.[A-Za-z0-9]{1,10}", re.ASCII)
_PART: Final = 1 << 20
_READ = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)
_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)

State = Literal["whole", "altered", "missing"]


class AttachmentFact(NamedTuple):
    """What became of an attachment.

    Attributes:
        entry: number of the entry that names it.
        file: where it should lie, seen from the job's folder, as the entry says.
        name: the name it had.
        state: ``whole``; ``altered``, a fault; or ``missing``, which is only said.

    """

    entry: int
    file: str
    name: str
    state: State


def folder_of(job: Path) -> Path:
    """Return the folder of a job's attachments; it need not exist.

    >>> folder_of(Path("pump.job.jsonl")).name
    'pump.files'
    """
    return job.with_name(job.name.removesuffix(ENDING) + FOLDER_ENDING)


def store(job: Path, source: Path, place: str | None = None) -> Attachment:
    """Keep a copy of a file beside its job, and return the entry that says so; not yet stamped.

    The copy and its name lie on the medium before this returns. The same bytes are kept once.

    Args:
        job: the job file.
        source: the file; a link is followed.
        place: what it shows.

    Raises:
        StorageError: it could not be read or kept, or another lies where it should.

    """
    name = os.fsencode(source.name).decode("utf-8", "replace")
    return _keep(job, name, place, lambda new: _copy(source, new))


def store_bytes(job: Path, data: bytes, name: str) -> Attachment:
    """Keep bytes beside a job as if they were a file of that name; see `store`.

    Raises:
        StorageError: they could not be kept, or another file lies where they should.

    """

    def write(new: Path) -> str:
        write_new(new, data)
        return sha256(data).hexdigest()

    return _keep(job, name, None, write)


def _keep(job: Path, name: str, place: str | None, write: Callable[[Path], str]) -> Attachment:
    """Have a new file written in the folder of attachments, and give it its name there."""
    folder = folder_of(job)
    if os.fsencode(folder.name) != folder.name.encode("utf-8", "replace"):
        msg = f"Not recorded. {visible(folder.name)} is no name in UTF-8, so no entry can give it."
        raise StorageError(msg, "Give the job's file another name.")
    try:
        with contextlib.suppress(FileExistsError):
            folder.mkdir()
            sync_folder(folder.parent)
        new = folder / f".{os.getpid()}.new"
        new.unlink(missing_ok=True)
        try:
            digest = write(new)
            kept = folder / f"{digest[:16]}{_ending(name)}"
            _put(new, kept, digest)
        finally:
            new.unlink(missing_ok=True)
    except OSError as err:
        msg = f"Not recorded. {visible(name)} could not be kept ({in_words(err)})."
        raise StorageError(msg) from err
    return Attachment(file=f"{folder.name}/{kept.name}", name=name, sha256=digest, place=place)


def _ending(name: str) -> str:
    suffix = Path(name).suffix
    return suffix.lower() if _ENDING.fullmatch(suffix) else ""


def _copy(source: Path, new: Path) -> str:
    """Copy a file into a new one on the medium; return the SHA-256 of what was written."""
    reading = _open_regular(source, _READ)
    try:
        writing = os.open(new, _NEW, 0o666)
        try:
            digest = sha256()
            while part := os.read(reading, _PART):
                digest.update(part)
                rest = memoryview(part)
                while rest:
                    rest = rest[os.write(writing, rest) :]
            sync(writing)
        finally:
            os.close(writing)
    finally:
        os.close(reading)
    return digest.hexdigest()


def _open_regular(path: Path, how: int) -> int:
    descriptor = os.open(path, how)
    if not stat.S_ISREG(os.fstat(descriptor).st_mode):
        os.close(descriptor)
        msg = f"Not recorded. {visible(str(path))} is no plain file."
        raise StorageError(msg, "A folder can be attached once it is zipped.")
    return descriptor


def _put(new: Path, kept: Path, digest: str) -> None:
    """Give a finished copy its name, unless the same bytes have it already."""
    if (there := _hash_of(kept)) is not None:
        if there != digest:
            msg = f"Not recorded. Its place is taken by something else:  {visible(str(kept))}"
            raise StorageError(msg, "An attachment was altered. Type:  bedplate verify")
        return
    new.replace(kept)
    sync_folder(kept.parent)


def _hash_of(path: Path) -> str | None:
    """Return the SHA-256 of a file that is no link; None where there is nothing."""
    try:
        descriptor = os.open(path, _READ | _NO_LINK)
    except FileNotFoundError:
        return None
    try:
        if not stat.S_ISREG(os.fstat(descriptor).st_mode):
            return ""
        digest = sha256()
        while part := os.read(descriptor, _PART):
            digest.update(part)
        return digest.hexdigest()
    finally:
        os.close(descriptor)


def check_attachments(job: Path, entries: Iterable[AnyEntry]) -> tuple[AttachmentFact, ...]:
    """Return the state of every attachment that a job's entries name, in their order.

    Args:
        job: the job file; attachments are looked for in its folder.
        entries: of that job.

    """
    return tuple(
        AttachmentFact(entry.n, entry.file, entry.name, _state(job, entry))
        for entry in entries
        if isinstance(entry, Attachment)
    )


def _state(job: Path, entry: Attachment) -> State:
    """Return what became of an attachment; what cannot be read as it should be is altered."""
    path = kept_at(job, entry)
    if path is None:
        return "altered"
    try:
        there = _hash_of(path)
    except NotADirectoryError:
        return "missing"
    except OSError:
        return "altered"
    if there is None:
        return "missing"
    return "whole" if there == entry.sha256 else "altered"


def kept_at(job: Path, entry: Attachment) -> Path | None:
    """Return where an attachment should lie; None where its entry names no place for one."""
    given = _FILE.fullmatch(entry.file)
    path = Path(entry.file)
    if given is None or given[1] != entry.sha256[:16] or path.drive or len(path.parts) != 2:
        return None
    return job.parent / path


def store_again(job: Path, other: Path, entry: Attachment) -> Attachment:
    """Keep here what is attached in another copy of the job; return the entry that says so.

    Args:
        job: this job's file.
        other: the other copy's file.
        entry: the other's entry.

    Raises:
        StorageError: it is missing there, or was altered, or could not be kept.

    """
    path = kept_at(other, entry)
    if path is None or _state(other, entry) != "whole":
        msg = f"Not recorded. The attachment {quoted(entry.name)} (entry {entry.n} of the other "
        raise StorageError(f"{msg}copy) is not there as it was attached.")
    stored = store(job, path, entry.place)
    if stored.sha256 != entry.sha256:
        raise StorageError(f"Not recorded. {visible(str(path))} was altered meanwhile.")
    return stored.model_copy(update={"name": entry.name, "note": entry.note})
