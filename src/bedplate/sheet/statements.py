"""A sheet's source text, cut into its statements, so that each can be read and mended alone.

Cutting is lenient where the file is faulty: a list that is never closed ends where the next table
begins, so that one slip does not swallow the rest of the sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

BRACE_LINES = 40
"""Lines looked through for a ``}`` that is missing on the line of its ``{``."""

TABLES = ("component", "feature", "size", "fit", "fasteners", "proof", "step", "axes")

_HEADER = re.compile(rf"\s*\[\[?\s*(?:{'|'.join(TABLES)})\b[^,={{}}\"]*$", re.IGNORECASE)
_KEY = re.compile(r"\s*[A-Za-z0-9_-]+\s*=")
_TOKEN = re.compile(
    r"""(?P<triple>\"{3}|'{3})
      | (?P<text>"(?:[^"\\\n]|\\[^\n])*(?:"|$) | '[^'\n]*(?:'|$))
      | (?P<comment>\#[^\n]*)
      | (?P<mark>[\[\]{},=])
      | (?P<newline>\n)
      | (?P<bare>[^\s\[\]{},="'\#]+)""",
    re.VERBOSE | re.MULTILINE,
)


class Statement(NamedTuple):
    """One header or one key with its value.

    Attributes:
        line: where it begins, from 1.
        text: its lines, joined by line feeds.
    """

    line: int
    text: str

    @property
    def is_header(self) -> bool:
        """Whether a table begins here."""
        return self.text.lstrip().startswith("[")


class _Reach:
    """How far a statement reaches: what is still open after the lines taken in so far."""

    def __init__(self) -> None:
        self.open: list[str] = []
        self.triple = ""

    def take(self, line: str) -> None:
        """Follow one more line."""
        at = 0
        while at < len(line):
            if self.triple:
                at = self._text_end(line, at)
                continue
            found = _TOKEN.search(line, at)
            if found is None or found.lastgroup == "comment":
                return
            at = found.end()
            self._meet(found)

    def _meet(self, found: re.Match[str]) -> None:
        piece = found.group()
        if found.lastgroup == "triple":
            self.triple = piece
        elif piece in ("[", "{"):
            self.open.append(piece)
        elif piece in ("]", "}") and self.open and self.open[-1] == "[{"["]}".index(piece)]:
            self.open.pop()

    def _text_end(self, line: str, at: int) -> int:
        """Return where a text over several lines ends in ``line``, or the end of the line."""
        escapes = r"(?:[^\\]|\\.)*?" if self.triple == '"""' else r".*?"
        found = re.compile(escapes + self.triple).match(line, at)
        if found is None:
            return len(line)
        self.triple = ""
        end = found.end()
        while line[end : end + 1] == found.group()[-1]:  # `""""` closes with a quote before it
            end += 1
        return end

    def ends_before(self, line: str) -> bool:
        """Return whether ``line`` can only be the beginning of another statement."""
        if not self.open or self.triple:
            return not self.triple
        return bool(_HEADER.match(line)) or (self.open[-1] == "[" and bool(_KEY.match(line)))


def split(lines: list[str]) -> Iterator[Statement]:
    """Cut a sheet's lines into statements; blank lines and comments are left out.

    Takes time in proportion to the text: what turned out not to be closed is not looked for again.
    """
    at = 0
    hopeless: set[str] = set()
    while at < len(lines):
        if not lines[at].strip() or lines[at].lstrip().startswith("#"):
            at += 1
            continue
        end = at + 1 if lines[at].lstrip().startswith("[") else _end(lines, at, hopeless)
        yield Statement(at + 1, "\n".join(lines[at:end]))
        at = end


def _end(lines: list[str], start: int, hopeless: set[str]) -> int:
    """Return the index after the last line of the statement that begins at ``start``."""
    reach = _Reach()
    reach.take(lines[start])
    if reach.triple in hopeless or not (reach.triple or reach.open):
        return start + 1
    braced = reach.open[:1] == ["{"]
    for at in range(start + 1, len(lines)):
        if reach.ends_before(lines[at]):
            return start + 1 if braced and reach.open else at
        if braced and at - start >= BRACE_LINES:
            return start + 1
        reach.take(lines[at])
    if reach.triple:
        hopeless.add(reach.triple)
        return start + 1
    return start + 1 if braced and reach.open else len(lines)


def element_lines(value: str) -> Iterator[tuple[tuple[str | int, ...], int]]:
    r"""Yield the place of each element of a value over several lines, with its line from 0.

    Args:
        value: a value as it stands in the file, well formed.

    >>> list(element_lines('[\n  { limits = "2..4" },\n  "b" ]'))
    [((), 0), ((0,), 1), ((0, 'limits'), 1), ((1,), 2)]
    """
    path: list[str | int] = []
    kinds: list[str] = []
    line, waiting = 0, True
    for found in _TOKEN.finditer(value):
        piece = found.group()
        if piece == "\n":
            line += 1
        if found.lastgroup in ("newline", "comment", "triple"):
            continue
        if waiting and piece not in ("]", "}", ","):
            if kinds and kinds[-1] == "{" and found.lastgroup != "mark":
                path[-1] = piece.strip("\"'")
            if piece != "=":
                yield tuple(path), line
        waiting = _step(piece, path, kinds)


def _step(piece: str, path: list[str | int], kinds: list[str]) -> bool:
    """Go on by one piece; return whether an element may begin after it."""
    if piece in ("[", "{"):
        kinds.append(piece)
        path.append(0 if piece == "[" else "")
        return True
    if piece in ("]", "}") and kinds:
        kinds.pop()
        path.pop()
        return False
    if piece == "," and kinds:
        last = path[-1]
        path[-1] = last + 1 if isinstance(last, int) else ""
        return True
    return False
