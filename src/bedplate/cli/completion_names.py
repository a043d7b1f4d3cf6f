"""Names that the Tab key offers: places, parts, sets, proofs, steps, gauges of the job at hand.

Read as plain data, in a few milliseconds: no lock is taken, no chain is verified, no model is
built. A file that is not what it should be offers nothing.
"""

from __future__ import annotations

import itertools
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

ENDING = ".job.jsonl"
MOST_READ = 16 * 2**20
"""Bytes of a job that are looked at."""
MOST_PLACES = 60
"""Places of one feature that are offered at once; of more, the feature comes first."""

Row = Mapping[str, Any]


class Names:
    """The names of one job.

    Args:
        path: its file, None where it cannot be told which.
    """

    def __init__(self, path: Path | None) -> None:
        self.sheet: Mapping[str, Any] = {}
        self.gauges: list[str] = []
        if path is not None:
            self._read(path)

    def _read(self, path: Path) -> None:
        with path.open("rb") as file:
            lines = file.read(MOST_READ).split(b"\n")
        for line in lines:
            if b'"kind":"opened"' in line or b'"kind":"sheet-revised"' in line:
                self.sheet = json.loads(line).get("sheet") or self.sheet
            elif b'"kind":"gauge"' in line:
                self.gauges.append(json.loads(line)["gauge"]["name"])

    # ---- rows and axes

    def rows(self, noun: str) -> Sequence[Row]:
        """Return the rows of one table of the sheet."""
        found: Sequence[Row] = self.sheet.get(noun) or ()
        return found

    def _axes(self, along: object) -> list[tuple[str, list[str]]]:
        """Return the axes that a ``positions`` or ``stations`` key names, with their names."""
        if isinstance(along, dict):
            return [(name, list(names)) for name, names in along.items()]
        axes = {
            name.casefold(): list(names) for name, names in (self.sheet.get("axes") or {}).items()
        }
        parts = str(along).split("/") if along else []
        return [(part, axes[part.strip().casefold()]) for part in parts]

    def _positions(self, row: Row) -> list[tuple[str, list[str]]]:
        """Return the axes of a row; a feature takes those of its components."""
        if row.get("positions") is not None or "of" not in row:
            return self._axes(row.get("positions"))
        of = [row["of"]] if isinstance(row["of"], str) else row["of"]
        wanted = [name.casefold() for name in of]
        found: dict[str, list[str]] = {}
        for component in self.rows("component"):
            if component["id"].casefold() in wanted:
                for name, names in self._axes(component.get("positions")):
                    found.setdefault(name, names)
        return list(found.items())

    def places(self, noun: str) -> list[str]:
        """Return every address of a table without stations: ``gear.idler``, ``M.3``, ``D``."""
        found = []
        for row in self.rows(noun):
            name = row.get("tag") or row.get("id") or ""
            run = [f"{name}{place}" for place in _joined(".", self._positions(row))]
            found += run if len(run) <= MOST_PLACES else [f"{name}."]
        return found

    def readings(self, typed: str) -> list[str]:
        """Return addresses of readings as far as they are typed: the place, then a station."""
        head, at, _ = typed.partition("@")
        if at:
            tag = head.partition(".")[0].casefold()
            for row in self.rows("feature"):
                if row["tag"].casefold() == tag:
                    return [
                        f"{head}{end}" for end in _joined("@", self._axes(row.get("stations")))
                    ]
            return []
        found = []
        for row in self.rows("feature"):
            end = "@" if row.get("stations") else ""
            run = [f"{row['tag']}{place}{end}" for place in _joined(".", self._positions(row))]
            whole = len(run) <= MOST_PLACES or typed.casefold().startswith(
                f"{row['tag']}.".casefold()
            )
            found += run if whole else [f"{row['tag']}."]
        return found

    def fits(self) -> list[str]:
        """Return the tags of the fits."""
        return [row["tag"] for row in self.rows("fit")]

    def things(self) -> list[str]:
        """Return what can be drawn: one-use things, and parts that are always new."""
        spent = [
            name
            for row in self.rows("fasteners")
            for things in (row.get("spends") or {}).values()
            for name in things
        ]
        renewed = [row["id"] for row in self.rows("component") if row.get("renew")]
        return list(dict.fromkeys([*spent, *renewed]))

    def moments(self) -> list[str]:
        """Return what the job is signed for."""
        return list(self.sheet.get("moments") or ["handover"])


def _joined(sign: str, axes: Sequence[tuple[str, list[str]]]) -> list[str]:
    """Return every combination of names behind a sign; one empty text where there is no axis."""
    if not axes:
        return [""]
    runs = itertools.product(*(names for _, names in axes))
    return [sign + "/".join(run) for run in itertools.islice(runs, 1000)]


def of_kind(kind: str, names: Names, typed: str) -> Iterable[str]:
    """Return the names of one kind; which kinds there are, says `KINDS`."""
    return KINDS[kind](names, typed)


def _what(names: Names, typed: str) -> Iterator[str]:
    yield from names.readings(typed)
    if "@" not in typed:
        for noun in ("component", "fasteners", "proof", "step"):
            yield from names.places(noun)
        yield from names.fits()


def _gauges(names: Names, _typed: str) -> Iterator[str]:
    yield from dict.fromkeys([*names.gauges, *cabinet_gauges()])


def cabinet_gauges() -> list[str]:
    """Return the names of the gauges in the cabinet."""
    import tomllib  # noqa: PLC0415 - where a gauge is asked for, and nowhere else

    from bedplate.cabinet import home_folder  # noqa: PLC0415

    path = home_folder(os.environ) / "gauges.toml"
    if not path.is_file():
        return []
    with path.open("rb") as file:
        return [name for name, keys in tomllib.load(file).items() if isinstance(keys, dict)]


KINDS: Mapping[str, Callable[[Names, str], Iterable[str]]] = {
    "reading": lambda names, typed: names.readings(typed),
    "what": _what,
    "component": lambda names, _typed: names.places("component"),
    "feature": lambda names, _typed: [row["tag"] for row in names.rows("feature")],
    "fit": lambda names, _typed: names.fits(),
    "set": lambda names, _typed: names.places("fasteners"),
    "proof": lambda names, _typed: names.places("proof"),
    "step": lambda names, _typed: names.places("step"),
    "size": lambda names, _typed: [row["id"] for row in names.rows("size")],
    "axis": lambda names, _typed: list(names.sheet.get("axes") or {}),
    "back": lambda names, _typed: [*names.places("step"), *names.places("fasteners")],
    "thing": lambda names, _typed: names.things(),
    "moment": lambda names, _typed: names.moments(),
    "gauge": _gauges,
}
"""What can be asked for by name, and where the names come from."""


def jobs_in(folder: Path) -> list[Path]:
    """Return the job files of a folder, without hidden ones, by name."""
    found = [path for path in folder.glob(f"*{ENDING}") if path.name[0] not in ".-"]
    return sorted(found, key=lambda path: path.name)


def job_at_hand(given: str | None) -> Path | None:
    """Return the job that a line is about, None where it cannot be told.

    Args:
        given: what stands behind ``--job``, if it is there.
    """
    typed = given or os.environ.get("BEDPLATE_JOB")
    if typed:
        path = Path(typed)
        if path.is_dir():
            return _only(jobs_in(path))
        named = path, path.with_name(path.name + ENDING)
        return next((each for each in named if each.is_file()), None)
    return _only(jobs_in(Path()))


def _only(jobs: Sequence[Path]) -> Path | None:
    return jobs[0] if len(jobs) == 1 else None
