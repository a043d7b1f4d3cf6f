"""Saving what stands before the first bad entry, as a job to go on with."""

from __future__ import annotations

from pathlib import Path

from bedplate.errors import RefusedError, StorageError
from bedplate.record.disk import in_words, write_new
from bedplate.record.jobfile import ENDING
from bedplate.seal.facts import Verification
from bedplate.text import quoted, visible


def save_sound(found: Verification, new: Path) -> int:
    """Write the sound lines of a job to a new file, and return how many they are.

    Where only the line ends were turned to CR LF, they are the lines as they were written.

    Args:
        found: what `bedplate.seal.verify.verify` has found of the job.
        new: the file to be; its name ends in ``.job.jsonl``.

    Raises:
        RefusedError: there is no sound line, or the name is not that of a job.
        StorageError: the file is there already, or could not be written.

    """
    shown = visible(str(new))
    if not new.name.endswith(ENDING) or new.name == ENDING:
        name = quoted(new.name)
        raise RefusedError(f"Not saved. The name of a job ends in {ENDING}, not like {name}.")
    if not found.sound:
        raise RefusedError("Not saved. No line stands before the first bad one.")
    try:
        write_new(new, found.sound)
    except FileExistsError as err:
        msg = f"Not saved. {shown} is there already."
        raise StorageError(msg, "Give it another name.") from err
    except OSError as err:
        raise StorageError(f"Not saved. {shown} could not be written ({in_words(err)}).") from err
    return found.sound.count(b"\n")
