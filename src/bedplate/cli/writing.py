"""Files handed out: written whole or not at all, never over another unless told to."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.text import visible


def write_new(path: Path, data: bytes, *, force: bool = False) -> None:
    """Write a file: beside its place first, then put there in one step.

    Args:
        path: where it is to be.
        data: all of it.
        force: whether another file there may be replaced.

    Raises:
        NotUnderstoodError: a file of that name is there, and ``force`` is not given.
        StorageError: it could not be written; what was there is untouched.
    """
    shown = visible(str(path))
    if path.is_dir():
        raise NotUnderstoodError(f"Nothing written. {shown} is a folder.")
    if os.path.lexists(path) and not force:
        raise NotUnderstoodError(
            f"Nothing written. {shown} is there already.", "To write over it:  --force"
        )
    try:
        handle, beside = tempfile.mkstemp(prefix=".bedplate-", dir=path.parent)
    except OSError as error:
        raise StorageError(f"Nothing written. {shown}: {error.strerror}.") from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(beside, 0o644)
        if force:
            os.replace(beside, path)
        else:
            os.link(beside, path)
            Path(beside).unlink()
    except FileExistsError:
        Path(beside).unlink(missing_ok=True)
        raise NotUnderstoodError(f"Nothing written. {shown} is there already.") from None
    except OSError as error:
        Path(beside).unlink(missing_ok=True)
        raise StorageError(f"Nothing written. {shown}: {error.strerror}.") from error
