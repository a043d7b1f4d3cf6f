"""Whole processes: how long each command takes from Enter to the prompt."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.benchmarks.jobs import LAST_OF_SIXTY, head_of
from tests.benchmarks.side_by_side import Measured, Timed, against, process, python

B = "import typer, pydantic, pint, rich.console, rich.table; pint.UnitRegistry()"
"""The yardstick: what a program of these libraries pays that imports them and does nothing."""

BUDGETS: Mapping[str, float] = {
    "--version": 0.22,
    "help": 0.22,
    "fasten HB removed": 0.50,
    "prove ROCK pass": 0.50,
    "done valves-in": 0.50,
    "log": 0.50,
    f"measure {LAST_OF_SIXTY} 7.952": 0.70,
    "check": 0.70,
}
"""Each command line with its share of B."""

TYPED = "bedplate measure S.2/ex@mid/"


def measured(folder: Path, rounds: int) -> list[Measured]:
    """Return every command against B; each finds the job as it was, with sixty readings."""
    job = head_of(60, folder)
    kept = job.with_suffix(".kept")
    shutil.copyfile(job, kept)
    yardstick = process(python("-c", B), folder, folder)

    def as_it_was() -> object:
        return shutil.copyfile(kept, job)

    things: dict[str, tuple[float | None, Timed]] = {
        line.replace(f" {LAST_OF_SIXTY} 7.952", ", with verdicts"): (
            most, _command(line, folder, as_it_was)
        )
        for line, most in BUDGETS.items()
    }  # fmt: skip
    tab = process(
        python("-m", "bedplate"),
        folder,
        folder,
        more={
            "_BEDPLATE_COMPLETE": "complete_fish",
            "_TYPER_COMPLETE_ARGS": TYPED,
            "_TYPER_COMPLETE_FISH_ACTION": "get-args",
        },
    )
    things["Tab behind an address"] = (0.15, tab)
    return against(("B", yardstick), things, rounds)


def _command(line: str, folder: Path, before: Callable[[], object]) -> Timed:
    return process(
        python("-m", "bedplate", *line.split()), folder, folder, before=before, codes=(0, 1)
    )
