"""A fault of bedplate itself: kept in a file for whoever mends it, said in one line."""

from __future__ import annotations

import datetime
import os
import platform
import tempfile
import traceback
from collections.abc import Iterator
from pathlib import Path

from bedplate import __version__
from bedplate.text import visible


def told(error: BaseException, words: list[str]) -> str:
    """Write a fault's details into a file and return the sentence that says so.

    Args:
        error: what was raised.
        words: the command line; it stands in the file, since the file stays here.
    """
    sentence = (
        f"A fault in bedplate ({type(error).__name__} in {visible(_command(words))}). "
        "Everything recorded before stands."
    )
    path = _kept(_details(error, words))
    return f"{sentence} Details: {path}" if path else f"{sentence} No file could be written."


def _command(words: list[str]) -> str:
    """Return the command of a line; nothing else of bedplate is trusted to find it now."""
    before = ""
    for word in words:
        if not word.startswith("-") and before not in {"--job", "--by"}:
            return word
        before = word
    return "bedplate"


def _details(error: BaseException, words: list[str]) -> str:
    return "\n".join(
        [
            f"bedplate {__version__}, Python {platform.python_version()}, {platform.platform()}",
            f"words: {words!r}",
            "",
            *traceback.format_exception(error),
        ]
    )


def _kept(text: str) -> Path | None:
    """Write the text into a new file here, else where the system keeps passing things."""
    for path in _places():
        try:
            with path.open("x", encoding="utf-8", errors="backslashreplace") as new:
                new.write(text)
        except OSError:
            continue
        return path
    return None


def _places() -> Iterator[Path]:
    stamp = datetime.datetime.now(tz=datetime.UTC).strftime("%Y%m%d-%H%M%S")
    name = f"bedplate-fault-{stamp}-{os.getpid()}.txt"
    yield Path(name)
    yield Path(tempfile.gettempdir()) / name
