"""What a check works in: the sheet, its names, what is known to be missing, the faults so far."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import NamedTuple, TypeVar

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.faults import MOST_FAULTS, EnoughError, Fault
from bedplate.sheet.layout import Layout
from bedplate.sheet.line_index import LineIndex, Path
from bedplate.sheet.model import NOUNS, Row, Sheet, Size, name_of
from bedplate.text import listed, nearest, quoted, titled

T = TypeVar("T")

MOST_COMPARED = 1000
"""Names that an unknown one is compared with."""

PLURAL = {
    "component": "components",
    "feature": "features",
    "size": "sizes",
    "fit": "fits",
    "fasteners": "fastener sets",
    "proof": "proofs",
    "step": "steps",
}
SINGULAR = {noun: noun for noun in NOUNS} | {"fasteners": "fastener set"}


@dataclass(frozen=True, slots=True)
class Gaps:
    """What is missing from a sheet that was read from a faulty file.

    Attributes:
        damaged: names (casefolded) of rows that are there incomplete: nothing is concluded
            from them.
        lost: text of what is missing: a name in it is no stranger.
        rows: for each table, the place in the file of each row that is there.
    """

    damaged: frozenset[str] = frozenset()
    lost: str = ""
    rows: Mapping[str, Sequence[int]] = field(default_factory=dict)


class Entry(NamedTuple):
    """A row with its place in the sheet."""

    noun: str
    row: Row
    path: Path

    @property
    def label(self) -> str:
        """The row as it is named among others: ``H (gear height)``."""
        return titled(name_of(self.row), self.row.title)


class Scope:
    """One check of one sheet.

    Attributes:
        sheet: the sheet.
        layout: its names as far as they are sound.
        entries: every row, in file order of its table.
        vague: names (casefolded) from which nothing is concluded.
        faults: what was found.
    """

    def __init__(self, sheet: Sheet, lines: LineIndex | None, gaps: Gaps) -> None:
        self.sheet = sheet
        known = sheet.unit if dimension_of(sheet.unit) else None
        self.layout = Layout(Sheet(format=sheet.format, unit=known))
        self.entries = [
            Entry(noun, row, (noun, at))
            for noun in NOUNS
            for at, row in enumerate(sheet.rows(noun))
        ]
        self.by_name: dict[str, Entry] = {}
        for entry in self.entries:
            self.by_name.setdefault(name_of(entry.row).casefold(), entry)
        self.vague: set[str] = set(gaps.damaged)
        self.faults: list[Fault] = []
        self._lines = lines
        self._gaps = gaps
        self._missing = frozenset(re.findall(r"[\w-]+", gaps.lost.casefold()))

    def of(self, noun: str) -> list[Entry]:
        """Return the rows of one table."""
        return [entry for entry in self.entries if entry.noun == noun]

    # ---- faults --------------------------------------------------------------------------

    def fault(self, path: Path, text: str) -> None:
        """Note a fault at a key.

        Raises:
            EnoughError: no more are wanted.
        """
        key = ".".join(step for step in path if isinstance(step, str))
        if self._lines is None:
            self.faults.append(Fault(None, key, self._shown(path), text))
        else:
            place = self._in_file(path)
            line, shown = self._lines.line(place), self._lines.shown(place)
            self.faults.append(Fault(line, key, shown, text))
        if len(self.faults) >= MOST_FAULTS:
            raise EnoughError

    def _in_file(self, path: Path) -> Path:
        rows = self._gaps.rows.get(str(path[0])) if path else None
        if rows is None or len(path) < 2 or not isinstance(path[1], int):
            return path
        return (path[0], rows[path[1]], *path[2:])

    def _shown(self, path: Path) -> str:
        if len(path) < 2 or not isinstance(path[1], int):
            return ""
        row = self.sheet.rows(str(path[0]))[path[1]]
        keys = ".".join(step for step in path[2:] if isinstance(step, str))
        return f"{path[0]} {name_of(row)}" + (f", {keys}" if keys else "")

    def attempt(self, path: Path, read: Callable[[], T]) -> T | None:
        """Return what ``read`` returns; if it does not understand, note that at a key."""
        try:
            return read()
        except NotUnderstoodError as error:
            self.fault(path, self._told(error))
            return None

    def _told(self, error: NotUnderstoodError) -> str:
        """Return a failure as the text of a fault, the nearest names with what they are called."""
        text = told(error)
        found = re.search(r"Nearest: ([\w, -]+)$", text)
        if not found:
            return text
        entries = [self.by_name.get(name.casefold()) for name in found[1].split(", ")]
        if not all(entry is not None and entry.noun == "feature" for entry in entries):
            return text
        labels = ", ".join(entry.label for entry in entries if entry is not None)
        return f"{text[: found.start()]}Nearest: {labels}"

    def line_of(self, path: Path) -> str:
        """Return where else something stands, for a message: `` (line 12)``, or nothing."""
        line = self._lines.line(self._in_file(path)) if self._lines else None
        return f" (line {line})" if line else ""

    # ---- names ---------------------------------------------------------------------------

    def is_hidden(self, text: str) -> bool:
        """Return whether a text names something that a fault keeps from being relied on."""
        words = {*re.findall(r"[\w-]+", text.casefold()), *re.findall(r"\w+", text.casefold())}
        return not words.isdisjoint(self._missing | self.vague)

    def excused(self, name: str) -> bool:
        """Return whether a name may well be one that a faulty line hides."""
        return name.casefold() in self._missing

    def lacks(self, key: str) -> bool:
        """Return whether a key of the whole sheet is really not there, nor in a faulty line."""
        given = getattr(self.sheet, key) is not None
        return not given and not re.search(rf"^\s*{key}\s*=", self._gaps.lost, re.MULTILINE)

    def is_vague(self, name: str) -> bool:
        """Return whether nothing can be concluded from a name."""
        return name.casefold() in self.vague

    def refer(self, path: Path, name: str, *nouns: str) -> Entry | None:
        """Return the row that a key names, a fault noted where there is none of ``nouns``."""
        entry = self.by_name.get(name.casefold())
        if entry is not None and entry.noun in nouns:
            return entry
        if entry is None and self.excused(name):
            return None
        what = " or ".join(SINGULAR[noun] for noun in nouns)
        text = f"No {what} {quoted(name)}."
        if entry is not None:
            text = f"{name_of(entry.row)} is {a(SINGULAR[entry.noun])}; here belongs {a(what)}."
        self.fault(path, f"{text} {self._instead(name, nouns)}")
        return None

    def refer_all(self, path: Path, names: Iterable[str] | None, *nouns: str) -> list[Entry]:
        """Return the rows that a list names; one named twice is a fault."""
        found: dict[str, Entry] = {}
        for at, name in enumerate(names or ()):
            entry = self.refer((*path, at), name, *nouns)
            if entry is None:
                continue
            if name.casefold() in found:
                self.fault((*path, at), f"{name_of(entry.row)} stands twice in this list.")
            found[name.casefold()] = entry
        return list(found.values())

    @cached_property
    def first_sizes(self) -> dict[str, int]:
        """For each feature (casefolded) the place of the first size that changes it."""
        first: dict[str, int] = {}
        for at, size in enumerate(self.sheet.size):
            for tag in size.nominal:
                first.setdefault(tag.casefold(), at)
        return first

    def size_group(self, size: Size) -> str:
        """Return the first size that changes a feature this one changes: they exclude another."""
        firsts = [self.first_sizes[tag.casefold()] for tag in size.nominal]
        return self.sheet.size[min(firsts)].id if firsts else size.id

    def _instead(self, name: str, nouns: tuple[str, ...]) -> str:
        labels = {name_of(entry.row): entry.label for entry in self.entries if entry.noun in nouns}
        what = " and ".join(PLURAL[noun] for noun in nouns)
        return instead(name, labels, what)


def instead(name: str, labels: Mapping[str, str], what: str) -> str:
    """Return the sentence that helps after an unknown name.

    Args:
        name: the unknown one.
        labels: how each known name is shown.
        what: what they are, in the plural.
    """
    if near := nearest(name, itertools.islice(labels, MOST_COMPARED)):
        return f"Nearest: {', '.join(labels[n] for n in near)}"
    if not labels:
        return f"This sheet has no {what}."
    return f"{what.capitalize()}: {listed(list(labels.values()))}"


def told(error: NotUnderstoodError) -> str:
    """Return a failure as the text of a fault: message and nearest name, hints on lines below."""
    text = error.message
    for hint in error.hint:
        text += f"{' ' if hint.startswith('Nearest: ') else chr(10)}{hint}"
    return text


def a(noun: str) -> str:
    """Return a noun with its article.

    >>> a("length"), a("angle")
    ('a length', 'an angle')
    """
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


@lru_cache(maxsize=512)
def dimension_of(unit: str | None) -> str | None:
    """Return what a unit measures, None where it is no unit."""
    from bedplate.units import dimension, unit_named  # noqa: PLC0415 - kept out of start-up

    try:
        return dimension(unit_named(unit)) if unit else None
    except NotUnderstoodError:
        return None
