"""The text that is signed: ten lines, each once, in one order.

Its first line is a prefix that no other signed thing begins with, so that a signature can never
be passed off as one over something else. What is signed are the UTF-8 bytes of the whole text.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, fields
from typing import Final

from bedplate.errors import NotUnderstoodError
from bedplate.record.fields import TEXT_LIMIT
from bedplate.text import quoted

SEAL_FORMAT: Final = "bedplate-seal/1"
"""The first line of the text."""

_UNPRINTABLE: Final = frozenset({"Cc", "Cs", "Zl", "Zp"})
"""Unicode categories of characters that end a line, control a screen, or are half of one."""

_SHAPES: Final = {
    "job": re.compile(r"[0-9a-f]{32}", re.ASCII),
    "entries": re.compile(r"[1-9][0-9]{0,19}", re.ASCII),
    "sha256": re.compile(r"[0-9a-f]{64}", re.ASCII),
    "key": re.compile(r"[0-9a-f]{64}", re.ASCII),
}
"""The lines that are not free text."""

_MAY_BE_EMPTY: Final = frozenset({"role", "statement"})


@dataclass(frozen=True, slots=True)
class Sealed:
    """What a seal says, in the order of its lines.

    Attributes:
        job: the 32 hex digits of the job.
        moment: what the job is signed for.
        entries: how many entries stand before the seal.
        sha256: of all bytes before the seal's line, 64 hex digits.
        key: the signer's public key, its 32 bytes in hex.
        name: whose key it is.
        role: as what that person signs; may be empty.
        at: when, RFC 3339 with offset, by the signer's clock.
        statement: what that person declares; may be empty.

    """

    job: str
    moment: str
    entries: int
    sha256: str
    key: str
    name: str
    role: str
    at: str
    statement: str


_LINES: Final = tuple(field.name for field in fields(Sealed))


def sealed_text(sealed: Sealed) -> str:
    r"""Return the text that is signed.

    Raises:
        NotUnderstoodError: a value cannot stand in a line of its own, or all are too long.

    >>> ann = Sealed("0" * 32, "handover", 40, "1" * 64, "2" * 64, "Ann", "", "2025-…", "Done.")
    >>> [line[:14] for line in sealed_text(ann).splitlines()][:4]
    ['bedplate-seal/', 'job: 000000000', 'moment: handov', 'entries: 40']

    """
    values = {line: str(getattr(sealed, line)) for line in _LINES}
    for line, value in values.items():
        if fault := _fault(line, value):
            msg = f"Not signed. The {line} {quoted(value)} {fault}."
            raise NotUnderstoodError(msg, "It stands in one line of the text that is signed.")
    text = "".join([f"{SEAL_FORMAT}\n", *(f"{line}: {value}\n" for line, value in values.items())])
    if over := max(0, len(text) - TEXT_LIMIT):
        raise NotUnderstoodError(
            f"Not signed. The statement is {over} characters longer than a seal can hold.",
            "Record the rest first, as a note:  bedplate note TEXT",
        )
    return text


def read_sealed(text: str) -> Sealed:
    """Return what a seal says; the strict counterpart of `sealed_text`.

    Raises:
        NotUnderstoodError: it is no such text, to the last byte; the message ends a sentence.

    """
    head, *lines = text.split("\n")
    if head != SEAL_FORMAT:
        raise NotUnderstoodError(f"it does not begin with {SEAL_FORMAT}")
    if len(lines) != len(_LINES) + 1 or lines.pop():
        raise NotUnderstoodError(f"it is not of {len(_LINES) + 1} lines")
    values = {name: _value(name, line) for name, line in zip(_LINES, lines, strict=True)}
    return Sealed(
        job=values["job"],
        moment=values["moment"],
        entries=int(values["entries"]),
        sha256=values["sha256"],
        key=values["key"],
        name=values["name"],
        role=values["role"],
        at=values["at"],
        statement=values["statement"],
    )


def _value(name: str, line: str) -> str:
    value = line.removeprefix(f"{name}: ")
    if value == line:
        raise NotUnderstoodError(f'it lacks its line "{name}" in its place')
    if fault := _fault(name, value):
        raise NotUnderstoodError(f"its {name} {fault}")
    return value


def _fault(name: str, value: str) -> str | None:
    """Return what is wrong with a value, as the end of a sentence; None where nothing is."""
    if not value and name not in _MAY_BE_EMPTY:
        return "is empty"
    if value != value.strip():
        return "begins or ends with a space"
    if not value.isprintable() and any(
        unicodedata.category(char) in _UNPRINTABLE for char in value
    ):
        return "holds a line end or another character that cannot be printed"
    shape = _SHAPES.get(name)
    return "is not of its form" if shape and not shape.fullmatch(value) else None
