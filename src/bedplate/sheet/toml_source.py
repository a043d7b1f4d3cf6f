"""From a sheet's text to its data, by the standard reader or, where that stops, slip by slip.

The standard reader stops at the first slip and speaks to programmers. So a text it refuses is read
statement by statement: what can be mended is read as it was meant, the rest is left out, and every
slip is said. Either way it is known in which line each key stands.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bedplate.sheet.expected import double_brackets
from bedplate.sheet.faults import Fault
from bedplate.sheet.line_index import LineIndex, Path
from bedplate.sheet.statements import TABLES, Statement, element_lines, split
from bedplate.sheet.toml_slips import NOT_UNDERSTOOD, diagnose
from bedplate.text import quoted

MOST_FAULTS = 40
"""Slips said at once; after that many the rest of the file waits."""

MOST_NESTING = 16
"""How deep lists and tables may stand in one another."""

_ROWS = frozenset(TABLES) - {"axes"}


@dataclass
class Source:
    """What was read.

    Attributes:
        data: the sheet as nested dicts and lists, figures as text; None where slips are so many
            that nothing further is said.
        faults: every slip.
        index: where each key stands.
        lost: source text that is missing from ``data``: a name in it is no stranger elsewhere.
    """

    data: dict[str, Any] | None
    faults: list[Fault]
    index: LineIndex
    lost: str = ""


def read_toml(text: str) -> Source:
    """Read the text of a sheet; never raises.

    Args:
        text: the file's text with LF line ends, each line of at most 500 bytes.
    """
    lines = text.split("\n")
    assembly = _Assembly(lines)
    sound = _parsed(text)
    for statement in split(lines):
        assembly.take(statement)
        if sound is None and len(assembly.faults) >= MOST_FAULTS:
            return Source(None, assembly.faults, assembly.index)
    if sound is not None:
        return Source(sound, [], assembly.index)
    if not assembly.faults:
        assembly.faults.append(_unexplained(text, lines))
    return Source(assembly.root, assembly.faults, assembly.index, "\n".join(assembly.lost))


def _parsed(text: str) -> dict[str, Any] | None:
    """Return the data of a text, None where it is not TOML."""
    try:
        return tomllib.loads(text, parse_float=str)
    except (tomllib.TOMLDecodeError, RecursionError):
        return None


def _unexplained(text: str, lines: Sequence[str]) -> Fault:
    """Return the fault of a slip that no single statement shows."""
    line = len(lines)
    try:
        tomllib.loads(text, parse_float=str)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"at line (\d+)", str(error))
        line = min(int(found[1]), line) if found else line
    except RecursionError:
        return Fault(None, "", "", "Brackets stand too deep in one another.")
    return Fault(line, "", lines[line - 1].strip(), NOT_UNDERSTOOD)


class _Assembly:
    """The data of a sheet, put together statement by statement."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.root: dict[str, Any] = {}
        self.index = LineIndex(lines)
        self.faults: list[Fault] = []
        self.lost: list[str] = []
        self.listed: dict[Path, int] = {}
        self.table: dict[str, Any] = self.root
        self.path: Path = ()

    @property
    def noun(self) -> str:
        """The table the keys now stand in."""
        return str(self.path[0]) if self.path else ""

    def take(self, statement: Statement) -> None:
        """Read one statement, mended where need be."""
        found = _parsed(statement.text)
        if found is not None:
            self.place(statement, found)
            return
        diagnosis = diagnose(statement.text, self.noun)
        self.blame(statement, diagnosis.text)
        if diagnosis.mended is None:
            self.lost.append(statement.text)
            return
        for part in split(diagnosis.mended.split("\n")):
            found = _parsed(part.text)
            if found is not None:
                self.place(Statement(statement.line, part.text), found)

    def blame(self, statement: Statement, text: str) -> None:
        """Note a slip at a statement's first line."""
        key = ".".join(step for step in self.path if isinstance(step, str))
        shown = self.index.lines[statement.line - 1].strip()
        self.faults.append(Fault(statement.line, key, shown, text))

    def place(self, statement: Statement, found: dict[str, Any]) -> None:
        """Put one sound statement where it belongs."""
        if statement.is_header:
            self.header(statement, found)
        else:
            self.keys(statement, found)

    def header(self, statement: Statement, found: dict[str, Any]) -> None:
        """Begin a table: go from the root to where its keys belong."""
        names, repeated = _header_names(found)
        if not repeated and len(names) == 1 and names[0] in _ROWS:
            self.blame(statement, double_brackets(names[0]))
            repeated = True
        self.table, self.path = self.root, ()
        for name in names[:-1]:
            self.enter(self.table.setdefault(name, {}), name)
        last = names[-1]
        standing = self.table.get(last)
        if repeated:
            self.another(statement, standing, last)
        elif isinstance(standing, dict):
            self.twice(statement, last)
            self.enter(standing, last)
        else:
            self.enter(self.table.setdefault(last, {}), last)
        self.index.places.setdefault(self.path, statement.line)

    def enter(self, inner: Any, name: str) -> None:
        """Go into a table, the last of a list of them."""
        self.path = (*self.path, name)
        if isinstance(inner, list) and inner and isinstance(inner[-1], dict):
            self.path = (*self.path, len(inner) - 1)
            inner = inner[-1]
        self.table = inner if isinstance(inner, dict) else {}

    def another(self, statement: Statement, standing: Any, name: str) -> None:
        """Begin one more table of a list."""
        rows = standing if isinstance(standing, list) else []
        listed = self.listed.pop((*self.path, name), None)
        self.index.places.setdefault((*self.path, name), statement.line)
        if listed is not None:
            self.blame(
                statement,
                f"{name} is written in two ways: as a list in line {listed}, and with\n"
                f"[[{name}]] here. Keep to one of them.",
            )
        self.table[name] = rows
        rows.append({})
        self.enter(rows, name)

    def twice(self, statement: Statement, name: str) -> None:
        first = self.index.places.get((*self.path, name))
        self.blame(
            statement,
            f"[{name}] stands here a second time (first in line {first}). Put its keys together.",
        )

    def keys(self, statement: Statement, found: dict[str, Any]) -> None:
        """Put a key and its value into the table."""
        clash = _clash(self.table, found, self.path)
        if clash is not None:
            self.lost.append(statement.text)
            self.blame(statement, self.double(clash))
            return
        _merge(self.table, found)
        for key, value in found.items():
            if isinstance(value, list):
                self.listed[*self.path, key] = statement.line
        self.note_lines(statement, found)

    def double(self, clash: Path) -> str:
        """Return what is said of a key that stands twice in one table."""
        key = str(clash[-1])
        first = self.index.line(clash)
        text = f"{quoted(key)} stands twice here, first in line {first}."
        if key in ("id", "tag") and self.noun in _ROWS:
            text += f"\nAnother {self.noun} begins with  [[{self.noun}]]  on a line of its own."
        return text

    def note_lines(self, statement: Statement, found: dict[str, Any]) -> None:
        """Note in which line each part of a value stands."""
        key, _, value = statement.text.partition("=")
        path, inner = self.path, found
        for _ in range(1 if '"' in key else key.count(".") + 1):
            name = next(iter(inner))
            path, inner = (*path, name), inner[name]
            self.index.places.setdefault(path, statement.line)
            if not isinstance(inner, dict) or not inner:
                break
        if "\n" in value:
            for place, offset in element_lines(value):
                if place and len(place) <= MOST_NESTING:
                    self.index.places.setdefault((*path, *place), statement.line + offset)


def _header_names(found: dict[str, Any]) -> tuple[list[str], bool]:
    """Return the names in a header and whether it has double brackets."""
    names: list[str] = []
    inner: Any = found
    while isinstance(inner, dict) and inner:
        name = next(iter(inner))
        names.append(name)
        inner = inner[name]
    return names, isinstance(inner, list)


def _clash(table: dict[str, Any], found: dict[str, Any], path: Path) -> Path | None:
    """Return the path of a key that already has a value, None where all is well."""
    for key, value in found.items():
        if key not in table:
            continue
        if not (isinstance(value, dict) and isinstance(table[key], dict)):
            return (*path, key)
        inner = _clash(table[key], value, (*path, key))
        if inner is not None:
            return inner
    return None


def _merge(table: dict[str, Any], found: dict[str, Any]) -> None:
    for key, value in found.items():
        if key in table:
            _merge(table[key], value)
        else:
            table[key] = value
