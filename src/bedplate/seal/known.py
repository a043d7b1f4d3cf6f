"""The keys known here: whose they are, kept as text in one file that people can read.

A line is one key in OpenSSH's form with the person's name behind it; a key that is retired has
``retired="TIME"`` before it, as OpenSSH writes options. ``ssh-keygen -lf known`` reads it too.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Final

from bedplate.errors import BedplateError, NotUnderstoodError, RefusedError, StorageError
from bedplate.record.disk import in_words, write_new
from bedplate.seal.keys import PublicKey, person, read_public
from bedplate.text import counted, near_or_list, quoted, visible

KNOWN_FILE: Final = "known"
"""Name of the file in the folder of keys."""

_FIRST: Final = "# bedplate-known/1: the keys known here, each with whose it is"
_RETIRED: Final = re.compile(r'retired="([0-9T:.Z+-]{20,40})" (.*)', re.ASCII)
_LIMIT: Final = 1 << 20


@dataclass(frozen=True, slots=True)
class KnownKey:
    """A key and whose it is.

    Attributes:
        key: the public key.
        name: the person, as `bedplate.seal.keys.person` gives it.
        retired: since when it signs no more (RFC 3339), None where it may.

    """

    key: PublicKey
    name: str
    retired: str | None = None

    def line(self) -> str:
        """Return its line in the file."""
        before = f'retired="{self.retired}" ' if self.retired else ""
        return before + self.key.line(self.name)


def read_known(folder: Path) -> tuple[KnownKey, ...]:
    """Return the keys known here, in the order of the file; none where there is no file.

    Args:
        folder: the folder of keys.

    Raises:
        NotUnderstoodError: a line is none; the line is named.
        StorageError: the file cannot be read.

    """
    path = folder / KNOWN_FILE
    try:
        with path.open("rb") as stream:
            data = stream.read(_LIMIT + 1)
    except FileNotFoundError:
        return ()
    except OSError as err:
        msg = f"Not read. {visible(str(path))} could not be read ({in_words(err)})."
        raise StorageError(msg) from err
    if len(data) > _LIMIT:
        raise StorageError(f"Not read. {visible(str(path))} is larger than 1 MiB.")
    found: list[KnownKey] = []
    for number, line in enumerate(data.decode("utf-8", "replace").splitlines(), 1):
        if line.strip() and not line.startswith("#"):
            found.append(_of_line(line, number, path))
            _refuse_twin(found, number, path)
    return tuple(found)


def _of_line(line: str, number: int, path: Path) -> KnownKey:
    given = _RETIRED.fullmatch(line)
    retired, rest = (given[1], given[2]) if given else (None, line)
    try:
        if retired and not _is_time(retired):
            raise NotUnderstoodError(f"{quoted(retired)} is no time with its offset from UTC.")
        key, name = read_public(rest)
        return KnownKey(key, person(name), retired)
    except BedplateError as err:
        what = err.message.removeprefix("Nothing changed. ")
        msg = f"Not read. Line {number} of the keys known here: {what}"
        raise NotUnderstoodError(msg, *err.hint, f"The file:  {visible(str(path))}") from err


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).utcoffset() is not None
    except ValueError:
        return False


def _refuse_twin(found: Sequence[KnownKey], number: int, path: Path) -> None:
    if any(known.key == found[-1].key for known in found[:-1]):
        msg = f"Not read. Line {number} of the keys known here is a key that stands there before."
        raise NotUnderstoodError(msg, f"The file:  {visible(str(path))}")


def trust(folder: Path, name: str, line: str) -> KnownKey:
    """Take up a person's public key among those known here.

    Args:
        folder: the folder of keys.
        name: whose it is.
        line: the key in OpenSSH's form (the content of a file ending in .pub).

    Returns:
        the key as it is known now; show its fingerprint.

    Raises:
        RefusedError: it is no plain Ed25519 key, or it or the name is known otherwise.
        NotUnderstoodError: it is no line of a key, or the name cannot stand beside one.
        StorageError: the file could not be read or written; it is as it was.

    """
    name = person(name)
    try:
        key, _ = read_public(line)
    except (RefusedError, NotUnderstoodError) as err:
        hint = err.hint or ("Whose it is sees the right line with:  bedplate key show",)
        raise type(err)(f"Not trusted. {err.message}", *hint) from err
    known = read_known(folder)
    for other in known:
        if other.key == key:
            return _again(other, name)
        if other.name != name and other.name.casefold() == name.casefold():
            raise RefusedError(
                f"Not trusted. {quoted(name)} differs only by case from {quoted(other.name)}, "
                "who is known here.",
                "Give the name as it is known.",
            )
    added = KnownKey(key, name)
    write_known(folder, [*known, added])
    return added


def _again(other: KnownKey, name: str) -> KnownKey:
    """Return a key that is known already, or refuse it under another name or once retired."""
    if other.retired:
        raise RefusedError(f"Not trusted. That key was retired on {other.retired}.")
    if other.name != name:
        raise RefusedError(
            f"Not trusted. That key is known here as {quoted(other.name)}.",
            "One key is one person's.",
        )
    return other


def retire(folder: Path, what: str, at: str) -> KnownKey:
    """Note that a key signs no more; what it signed before stays known as its owner's.

    Args:
        folder: the folder of keys.
        what: the person, or the key's fingerprint.
        at: since when, RFC 3339 with offset.

    Raises:
        NotUnderstoodError: there is no such key, or the person has several.
        StorageError: the file could not be read or written; it is as it was.

    """
    known = read_known(folder)
    live = [each for each in known if not each.retired]
    found = [each for each in live if what in {each.name, each.key.fingerprint}]
    if not found:
        names = [each.name for each in live]
        msg = f"Nothing changed. No key of {quoted(what)} is in use here."
        raise NotUnderstoodError(msg, near_or_list(what, names, "Keys"))
    if len(found) > 1:
        prints = (f"bedplate key retire {each.key.fingerprint}" for each in found)
        msg = f"Nothing changed. {quoted(what)} has {counted(len(found), 'key')} here."
        raise NotUnderstoodError(msg, "Name the one:", *prints)
    gone = replace(found[0], retired=at)
    write_known(folder, [gone if each is found[0] else each for each in known])
    return gone


def write_known(folder: Path, known: Iterable[KnownKey]) -> None:
    """Put the keys in place of those in the file, whole or not at all.

    Raises:
        StorageError: it could not be written; it is as it was.

    """
    path = folder / KNOWN_FILE
    new = path.with_name(f"{KNOWN_FILE}.{os.getpid()}.new")
    text = "".join(f"{line}\n" for line in [_FIRST, *(each.line() for each in known)])
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        new.unlink(missing_ok=True)
        try:
            write_new(new, text.encode())
            new.replace(path)
        finally:
            new.unlink(missing_ok=True)
    except OSError as err:
        msg = f"Nothing changed. {visible(str(path))} could not be written ({in_words(err)})."
        raise StorageError(msg) from err
