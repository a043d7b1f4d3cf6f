"""Jobs to be timed: on the examples, and long ones."""

from __future__ import annotations

import contextlib
import io
import os
import shutil
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

from bedplate.cli.main import main
from bedplate.record.appending import OpenJob
from bedplate.record.creating import create
from bedplate.record.entries import Opened, Reading
from bedplate.sheet.reader import read_sheet_text

EXAMPLES = Path(__file__).parents[2] / "examples"
NOW = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
LAST_OF_SIXTY = "S.2/ex@foot/along"
"""The reading that completes two fits of the cylinder head; left out of the job of sixty."""


@contextlib.contextmanager
def standing_in(folder: Path) -> Iterator[None]:
    """Stand in a folder, with settings of its own, recording as Ann Fitter."""
    before = Path.cwd()
    os.chdir(folder)
    os.environ |= {"BEDPLATE_HOME": str(folder / "settings"), "BEDPLATE_BY": "Ann Fitter"}
    try:
        yield
    finally:
        os.chdir(before)


def typed(*words: str) -> str:
    """Return what a command line prints; it must be accepted."""
    said, told = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(told):
        code = main(words)
    if code:
        msg = f"{words}: {code}\n{told.getvalue()}"
        raise RuntimeError(msg)
    return said.getvalue()


def head_of(readings: int, folder: Path) -> Path:
    """Return a job of the cylinder head with so many readings, and a proof that waits for none."""
    with standing_in(folder):
        shutil.copyfile(EXAMPLES / "cylinder-head.toml", "head.toml")
        typed("open", "head", "--sheet", "head.toml", "--customer", "A. Owner")
        typed("add", "proof", "ROCK", "--text", "Rockers move freely")
        rows = (EXAMPLES / "cylinder-head-as-found.csv").read_text("utf-8").splitlines()
        kept = [row for row in rows if not row.startswith(f"{LAST_OF_SIXTY},")]
        Path("readings.csv").write_text("\n".join(kept[: readings + 1]) + "\n", "utf-8")
        typed("measure", "--from", "readings.csv")
    return folder / "head.job.jsonl"


def wide_sheet(positions: int, stations: int) -> str:
    """Return a sheet of one fit at many positions, each resting on two rows of stations."""
    places = ", ".join(f'"{n}"' for n in range(1, positions + 1))
    spots = ", ".join(f'"{n}"' for n in range(1, stations + 1))
    return f"""format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
axes.cyl = [
{places.replace(" ", chr(10))}
]
axes.row = [
{spots.replace(" ", chr(10))}
]
[[component]]
id = "guide"
positions = "cyl"
[[component]]
id = "valve"
positions = "cyl"
[[feature]]
tag = "G"
of = "guide"
stations = "row"
nominal = "8.000"
[[feature]]
tag = "S"
of = "valve"
stations = "row"
nominal = "7.970"
[[fit]]
tag = "SC"
stack = "G - S"
band = {{ limits = "0.020..0.050 mm" }}
"""


def movable(sheet: str) -> str:
    """Return `wide_sheet` with one part that has all guides, so that a valve can go to another."""
    return sheet.replace('id = "guide"\npositions = "cyl"', 'id = "head"').replace(
        'of = "guide"', 'of = "head"\npositions = "cyl"'
    )


VALVES = """format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2", "3", "4"]
port = ["in1", "in2", "ex1", "ex2"]
depth = ["top", "mid", "foot"]
way = ["rock", "along"]
[[component]]
id = "guide"
positions = "cyl/port"
[[component]]
id = "valve"
positions = "cyl/port"
[[feature]]
tag = "G"
of = "guide"
stations = "depth/way"
nominal = "8.000"
[[feature]]
tag = "S"
of = "valve"
stations = "depth/way"
nominal = "7.970"
[[fit]]
tag = "SC"
stack = "G - S"
band = { limits = "0.020..0.050 mm" }
[[fit]]
tag = "TAPER"
spread = "S"
along = "depth"
band = { limits = "..0.010 mm" }
"""
"""Sixteen valves, six stations each: two axes of positions, two of stations."""


def wide_readings(positions: int, stations: int) -> list[Reading]:
    """Return all readings of `wide_sheet`."""
    return [
        Reading(
            address=f"{tag}.{place}@{spot}", value=f"{size + (place * 7 + spot) % 9 / 1000:.3f} mm"
        )
        for place in range(1, positions + 1)
        for tag, size in (("G", 8.0), ("S", 7.96))
        for spot in range(1, stations + 1)
    ]


def valve_readings() -> list[Reading]:
    """Return all readings of `VALVES`."""
    places = [f"{cyl}/{port}" for cyl in "1234" for port in ("in1", "in2", "ex1", "ex2")]
    spots = [f"{depth}/{way}" for depth in ("top", "mid", "foot") for way in ("rock", "along")]
    return [
        Reading(address=f"{tag}.{place}@{spot}", value=f"{size + at % 5 / 1000:.3f} mm")
        for place in places
        for tag, size in (("G", 8.0), ("S", 7.96))
        for at, spot in enumerate(spots)
    ]


def recorded(path: Path, sheet: str, readings: Sequence[Reading]) -> Path:
    """Return a job on a sheet with these readings, written as bedplate writes it."""
    read, faults = read_sheet_text(sheet.encode(), "sheet.toml")
    if read is None:
        raise RuntimeError(faults)
    opened = Opened(job="0" * 32, sheet=read.as_json())
    create(path, opened, by="Ann Fitter", now=lambda: NOW)
    with OpenJob(path) as job:
        job.append(lambda _: readings, by="Ann Fitter", now=lambda: NOW)
    return path


def repeated(count: int) -> Sequence[Reading]:
    """Return so many readings of one station, for files that are only opened."""
    return [Reading(address="G.1@1", value=f"8.00{n % 10} mm") for n in range(count)]
