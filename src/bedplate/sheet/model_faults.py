"""From a sheet's data to its model, table by table; what does not fit is said in plain words.

A table with a fault is kept without what is faulty where it can stand without it, so that the
rest of the sheet can be checked in the same go; it then counts as *damaged*: nothing is concluded
from it.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.expected import double_brackets, expected, missing, other_home
from bedplate.sheet.faults import MOST_FAULTS, EnoughError, Fault
from bedplate.sheet.line_index import LineIndex, Path
from bedplate.sheet.model import (
    FORMAT,
    NOUNS,
    Adjust,
    Component,
    Fasteners,
    Feature,
    Fit,
    Limits,
    Proof,
    Row,
    Sheet,
    Size,
    Step,
    Table,
)
from bedplate.text import listed, near_or_list, nearest, quoted, visible

MODELS: Final[dict[str, type[Row]]] = {
    "component": Component,
    "feature": Feature,
    "size": Size,
    "fit": Fit,
    "fasteners": Fasteners,
    "proof": Proof,
    "step": Step,
}
"""The model of each table whose rows share one namespace."""

_SCALARS = ("title", "revision", "unit", "source", "moments", "rule", "judge")
_WRONG_CONTAINER = frozenset({"string_type", "dict_type", "tuple_type", "model_type", "list_type"})


@dataclass
class Reading:
    """A sheet as far as it could be read, with what was wrong.

    Attributes:
        sheet: the sheet without what is faulty; None where it is of another format.
        faults: all faults of form.
        damaged: names (casefolded) of rows and axes that stand in ``sheet`` incomplete.
        lost: text of what is missing from ``sheet``.
        rows: for each table, the place in the file of each row that is there.
    """

    sheet: Sheet | None = None
    faults: list[Fault] = field(default_factory=list)
    damaged: set[str] = field(default_factory=set)
    lost: str = ""
    rows: dict[str, list[int]] = field(default_factory=dict)


def read_model(data: dict[str, Any], index: LineIndex, lost: str = "") -> Reading:
    """Validate a sheet's data; never raises.

    Args:
        data: as it comes from TOML or JSON.
        index: where its keys stand, for the faults.
        lost: source lines that are missing from ``data``: a key in them is not missed again.
    """
    reader = _Reader(data, index, frozenset(re.findall(r"^\s*([\w-]+)\s*=", lost, re.MULTILINE)))
    with suppress(EnoughError):
        reader.read()
    return reader.reading


def read_row(noun: str, raw: dict[str, Any]) -> Row:
    """Return one row by itself.

    Args:
        noun: its table.
        raw: its keys.

    Raises:
        NotUnderstoodError: it does not fit; the message says the first thing that does not.
    """
    try:
        return MODELS[noun].model_validate(raw)
    except ValidationError as error:
        path, details = _by_path(error, raw)[0]
        raise NotUnderstoodError(*_in_words(noun, path, details).split("\n")) from None


def read_axes(raw: dict[str, Any]) -> dict[str, Any] | None:
    """Return axes as the model has them, None where there are none.

    Raises:
        NotUnderstoodError: a name on one has characters that names have not.
    """
    try:
        return Sheet.model_validate({"format": FORMAT, "axes": raw}).axes or None
    except ValidationError as error:
        path, details = _by_path(error, {"axes": raw})[0]
        raise NotUnderstoodError(*_in_words("sheet", path, details).split("\n")) from None


class _Reader:
    def __init__(self, data: dict[str, Any], index: LineIndex, lost: frozenset[str]) -> None:
        self.data = data
        self.index = index
        self.lost = lost
        self.reading = Reading()

    def read(self) -> None:
        if not self.of_our_format():
            return
        self.unknown_tables()
        good: dict[str, Any] = {"format": FORMAT}
        for key in _SCALARS:
            if key in self.data:
                sound = self.part({key: self.data[key]}, Sheet, (), {"format": FORMAT})
                self.reading.lost += "" if sound else f"\n{key} ="
                good |= sound
        good |= self.axes()
        for noun in NOUNS:
            good[noun] = tuple(self.rows(noun))
        good.pop("format")
        self.reading.sheet = Sheet(format=FORMAT, **good)

    def fault(self, path: Path, text: str) -> None:
        """Note one fault at a key."""
        key = ".".join(step for step in path if isinstance(step, str))
        self.reading.faults.append(Fault(self.index.line(path), key, self.index.shown(path), text))
        if len(self.reading.faults) >= MOST_FAULTS:
            raise EnoughError

    def of_our_format(self) -> bool:
        """Check the format; another version of it is not read on."""
        given = self.data.get("format")
        if given == FORMAT:
            return True
        if isinstance(given, str) and (found := re.fullmatch(r"bedplate-sheet/(\d{1,9})", given)):
            self.fault(("format",), f"This sheet is of format {found[1]}; this bedplate reads 1.")
            return False
        if given is None:
            self.fault(("format",), f'A sheet says first what it is:  format = "{FORMAT}"')
        else:
            self.fault(("format",), f'A build sheet is marked:  format = "{FORMAT}"')
        return True

    def unknown_tables(self) -> None:
        """Say what is no key of a sheet; a table that is only misspelt is read all the same."""
        known = ["format", *_SCALARS, "axes", *NOUNS]
        for key in [key for key in self.data if key not in known]:
            near = nearest(key, known, 1)
            value = self.data[key]
            what = "table" if isinstance(value, list | dict) else "key"
            home = other_home(key) if what == "key" else ""
            self.fault((key,), f"A sheet has no {what} {quoted(key)}. {home or _near(key, known)}")
            if near and near[0] in (*NOUNS, "axes") and near[0] not in self.data:
                self.data = {**self.data, near[0]: value}
            else:
                self.reading.lost += "\n" + _all_text(value)

    def part(
        self, raw: dict[str, Any], model: type[Table], path: Path, more: dict[str, Any]
    ) -> dict[str, Any]:
        """Return ``raw`` if it is sound by itself, else nothing, its faults noted."""
        try:
            model.model_validate(more | raw)
        except ValidationError as error:
            self.say(error, raw, path, "sheet")
            return {}
        return raw

    def axes(self) -> dict[str, Any]:
        """Return the axes that are sound."""
        raw = self.data.get("axes")
        if raw is None:
            return {}
        if not isinstance(raw, dict):
            self.fault(("axes",), expected("axes"))
            self.reading.lost += "\n" + _all_text(raw)
            return {}
        good: dict[str, Any] = {}
        for name, names in raw.items():
            if not isinstance(names, list | dict):
                self.fault(("axes", name), _no_axis(name))
                self.reading.lost += f"\n{name} ="
                continue
            sound = self.part({"axes": {name: names}}, Sheet, (), {"format": FORMAT})
            if sound:
                good[name] = names
            else:
                self.reading.lost += f"\n{name}"
        return {"axes": good}

    def rows(self, noun: str) -> Iterator[Row]:
        """Yield the rows of one table that can stand, whole or without what is faulty."""
        raw = self.data.get(noun, [])
        if isinstance(raw, dict):
            self.fault((noun,), double_brackets(noun))
            raw = [raw]
        if not isinstance(raw, list):
            self.fault((noun,), f"{noun} is a table:  [[{noun}]]  on a line, its keys below it.")
            raw = []
        places = self.reading.rows.setdefault(noun, [])
        for at, row in enumerate(raw):
            if not isinstance(row, dict):
                self.fault((noun, at), f"Each {noun} is a table:  [[{noun}]]  and its keys below.")
            elif (model := self.row(noun, (noun, at), row)) is not None:
                places.append(at)
                yield model

    def row(self, noun: str, path: Path, raw: dict[str, Any]) -> Row | None:
        """Return a row's model, None where it cannot stand."""
        try:
            return MODELS[noun].model_validate(raw)
        except ValidationError as error:
            bad = self.say(error, raw, path, noun)
        name = raw.get("id" if "id" in MODELS[noun].model_fields else "tag")
        rest = {k: v for k, v in raw.items() if k not in bad}
        if noun == "step" and "text" in bad:
            rest["text"] = str(name)  # nothing rests on it: the rest of the step is checked
        try:
            kept = MODELS[noun].model_validate(rest)
        except ValidationError:
            self.reading.lost += "\n" + _all_text(name)
            return None
        self.reading.damaged.add(str(name).casefold())
        self.reading.lost += "\n" + _all_text({k: v for k, v in raw.items() if k in bad})
        return kept

    def say(self, error: ValidationError, raw: Any, path: Path, noun: str) -> set[str]:
        """Note a fault for everything that is wrong; return the keys that are concerned."""
        bad: set[str] = set()
        for inner, details in _by_path(error, raw):
            if details["type"] != "missing" or inner[-1] not in self.lost:
                self.fault((*path, *inner), _in_words(noun, inner, details))
            bad.add(str(inner[0]) if inner else "")
        return bad


def _by_path(error: ValidationError, raw: Any) -> list[tuple[Path, ErrorDetails]]:
    """Return one error for each place: of a choice of forms, those of the form that was meant."""
    found: dict[Path, ErrorDetails] = {}
    for details in error.errors(include_url=False):
        path = _real_path(details, raw)
        if path not in found or found[path]["type"] in _WRONG_CONTAINER:
            found[path] = details
    around = {path[:end] for path in found for end in range(len(path))}
    return [
        (path, details)
        for path, details in found.items()
        if not (details["type"] in _WRONG_CONTAINER and path in around)
    ]


def _real_path(details: ErrorDetails, raw: Any) -> Path:
    """Return where an error stands in the data, the names of the model's own forms left out."""
    path: list[str | int] = []
    inner = raw
    for step in details["loc"]:
        here = isinstance(inner, dict) and step in inner
        if here or (isinstance(inner, list) and isinstance(step, int) and step < len(inner)):
            inner = inner[step]
            path.append(step)
        elif details["type"] == "missing" and step == details["loc"][-1]:
            path.append(step)
    return tuple(path)


def _in_words(noun: str, path: Path, details: ErrorDetails) -> str:
    """Return one error of the model in plain words."""
    keys = [step for step in path if isinstance(step, str)]
    key = keys[-1] if keys else ""
    if details["type"] == "missing":
        return missing(noun if len(keys) < 2 else keys[-2], key)
    if details["type"] == "extra_forbidden":
        return _unknown_key(noun, keys)
    if details["type"] == "literal_error" and details["loc"][-1] == "[key]":
        return f"{keys[-2]} has no {quoted(key)}. {expected(keys[-2])}"
    return _wrong_value(key, details) or expected(*reversed(keys), noun=noun)


def _wrong_value(key: str, details: ErrorDetails) -> str | None:
    """Return what is wrong with a value, None where its whole form is not what is expected."""
    kind, given = details["type"], details["input"]
    if isinstance(given, datetime.date | datetime.time):
        return f'A date needs straight quotes:  {key} = "{given}"'
    if kind == "string_pattern_mismatch":
        return _no_name(str(given))
    if kind == "string_too_long":
        return f"This text has {len(str(given)):,} characters; 4,000 are the most."
    if kind == "literal_error":
        choices = re.findall(r"'([^']*)'", str(details.get("ctx", {}).get("expected")))
        return _no_choice(key, given, choices)
    return None


def _unknown_key(noun: str, keys: list[str]) -> str:
    """Return what is said of a key that a table does not have."""
    key, inside = keys[-1], keys[-2] if len(keys) > 1 else ""
    known = sorted(_keys_of(noun, inside))
    where = f"{inside} of a {noun}" if inside else f"A {noun}" if noun != "sheet" else "A sheet"
    return f"{where} has no key {quoted(key)}. {other_home(key, known) or _near(key, known)}"


def _keys_of(noun: str, inside: str) -> list[str]:
    inner: dict[str, type[Table]] = {"band": Limits, "stages": Limits, "adjust": Adjust}
    model: type[Table] = inner.get(inside, MODELS.get(noun, Sheet))
    return [info.alias or name for name, info in model.model_fields.items()]


def _no_axis(name: str) -> str:
    """Return what is said of a single value under [axes]."""
    if name in ("format", *_SCALARS):
        return (
            f"{quoted(name)} is no axis: it belongs at the top of the sheet, above the first [ ]."
        )
    return f'An axis is a list of names:  {name} = ["a", "b"]'


def _near(word: str, known: list[str]) -> str:
    return near_or_list(word, known, "Its keys") + "."


def _no_name(given: str) -> str:
    text = f"{quoted(given)} is no name: a name has only letters, digits, - and _, at most 64."
    plain = re.sub(r"[^A-Za-z0-9_-]+", "-", given).strip("-")[:64]
    return f'{text}\nFor example:  "{plain}"' if plain else text


def _no_choice(key: str, given: Any, choices: list[str]) -> str:
    said = f"{quoted(given)} is none of them" if isinstance(given, str) else "in straight quotes"
    near = nearest(given, choices, 1) if isinstance(given, str) else []
    tail = f" Nearest: {near[0]}" if near else ""
    text = f"{key} is {_either(choices)}; {said}.{tail}"
    return visible(text)


def _either(choices: list[str]) -> str:
    if len(choices) == 1:
        return f'"{choices[0]}"'
    return f"{listed(choices[:-1])} or {choices[-1]}"


def _all_text(value: Any) -> str:
    """Return every text within some data, however deep, keys included."""
    found: list[str] = []
    heap = [value]
    while heap:
        inner = heap.pop()
        if isinstance(inner, dict):
            heap += [*inner.keys(), *inner.values()]
        elif isinstance(inner, list):
            heap += inner
        elif isinstance(inner, str | int):
            found.append(str(inner))
    return "\n".join(found)
