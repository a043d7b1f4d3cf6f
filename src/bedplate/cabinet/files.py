"""The two files of the cabinet as TOML: read strictly, written whole, comments kept."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.text import quoted, visible

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

Refusal = Callable[..., NotUnderstoodError]
"""Makes a failure of what is wrong and of further lines; its maker knows the fate."""


def refusal(path: Path) -> Refusal:
    """Return what refuses the content of a file of ours, naming the file."""

    def refused(what: str, *hint: str) -> NotUnderstoodError:
        return NotUnderstoodError(
            f"Not read. {visible(path.name)}: {what}", *hint, f"The file:  {visible(str(path))}"
        )

    return refused


def check_seen(refused: Refusal, key: str, value: str) -> None:
    """Refuse a text with a character that cannot be seen."""
    if visible(value) != value:
        raise refused(
            f"{visible(key)} has a character that cannot be seen: {quoted(value)}.",
            'Between quotes "\\" begins such a character; for a folder type  /',
        )


def read(path: Path) -> dict[str, Any]:
    """Return what a file holds; an empty dictionary where there is none.

    Figures without quotes come as the text they were typed as.

    Raises:
        NotUnderstoodError: it is no TOML, or in another encoding.
        StorageError: it cannot be read.
    """
    text = _text(path)
    if not text.strip():
        return {}
    import tomllib  # noqa: PLC0415 - not needed by who has set nothing

    try:
        return tomllib.loads(text, parse_float=str)
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"at line (\d+)", str(error))
        raise _slip(path, text, int(place[1]) if place else None) from error


def _text(path: Path) -> str:
    refused = refusal(path)
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        return ""
    except OSError as error:
        raise StorageError(f"Not read. {quoted(str(path))}: {error.strerror}.") from error
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refused("it is saved as UTF-16.", "Save it as UTF-8.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise refused(f"line {line} is not in UTF-8.", "Save it as UTF-8.") from error


def _slip(path: Path, text: str, number: int | None) -> NotUnderstoodError:
    """Return what is wrong with a file that is no TOML: its line in our words, not the parser's.

    Args:
        path: the file.
        text: what it holds.
        number: the line, from 1; None for the last.
    """
    from bedplate.sheet.toml_slips import diagnose  # noqa: PLC0415 - broken files only

    lines = text.splitlines()
    number = min(number or len(lines), len(lines))
    line = lines[number - 1].strip()
    found = diagnose(line)
    said = found.text.split("\n") if found.mended else ['A line reads like  key = "text"']
    return refusal(path)(f"line {number}: {quoted(line)}", *said)


def opened(path: Path) -> TOMLDocument:
    """Return a file for changing it, comments and order kept (see `read` for what is raised)."""
    import tomlkit  # noqa: PLC0415 - only where something is written
    import tomlkit.exceptions  # noqa: PLC0415

    text = _text(path)
    try:
        return tomlkit.parse(text)
    except tomlkit.exceptions.ParseError as error:
        raise _slip(path, text, error.line) from error


def write(path: Path, document: TOMLDocument) -> None:
    """Put a file in place of the old one, whole or not at all.

    A link (settings kept elsewhere) stays a link: what it points to is replaced.

    Raises:
        StorageError: it cannot be written; the old one is as it was.
    """
    import tempfile  # noqa: PLC0415 - only where something is written

    target = path.resolve()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=target.parent)
        new = Path(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
                stream.write(document.as_string())
                stream.flush()
                os.fsync(stream.fileno())
            if target.exists():
                new.chmod(target.stat().st_mode)
            new.replace(target)
        except OSError:
            new.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise StorageError(
            f"Not kept. {quoted(str(path))} cannot be written: {error.strerror}.",
            "It is as it was.",
        ) from error
