"""Ratios, measured side by side: a round times the yardstick and then each thing held against it.

A machine that is busy, or warm, is so for the yardstick too; the median of the rounds is told.
"""

from __future__ import annotations

import gc
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

Timed = Callable[[], float]
"""Does something once and returns how many seconds the part that counts has taken."""


@dataclass(frozen=True)
class Measured:
    """One line of the table.

    Attributes:
        what: what was timed.
        against: the yardstick, in few words.
        most: the ratio that it is to stay under; None where none is set.
        ratios: one of each round.
        seconds: how long it took, one of each round.
    """

    what: str
    against: str
    most: float | None
    ratios: Sequence[float]
    seconds: Sequence[float]

    @property
    def ratio(self) -> float:
        """The median of the rounds."""
        return statistics.median(self.ratios)

    @property
    def kept(self) -> bool:
        """Whether it stays under what is set."""
        return self.most is None or self.ratio <= self.most


def against(
    yardstick: tuple[str, Timed],
    things: Mapping[str, tuple[float | None, Timed]],
    rounds: int,
) -> list[Measured]:
    """Time things against a yardstick, all of them in every round; the first round is not told.

    Args:
        yardstick: its name, and what it is.
        things: what is timed, by name, each with the ratio that it is to stay under.
        rounds: how many rounds are told.
    """
    name, measure = yardstick
    ratios: dict[str, list[float]] = {what: [] for what in things}
    seconds: dict[str, list[float]] = {what: [] for what in things}
    for number in range(rounds + 1):
        base = measure()
        for what, (_, thing) in things.items():
            took = thing()
            if number:
                ratios[what].append(took / base)
                seconds[what].append(took)
    return [
        Measured(what, name, most, ratios[what], seconds[what])
        for what, (most, _) in things.items()
    ]


def timed(action: Callable[[], object]) -> Timed:
    """Return an action of this process as something timed, by the processor's time.

    Rubbish is collected beforehand.
    """

    def measure() -> float:
        gc.collect()
        started = time.process_time()
        action()
        return time.process_time() - started

    return measure


def environment(home: Path) -> dict[str, str]:
    """Return what measured processes run in: settings of their own, byte code as installed."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("BEDPLATE_")}
    kept.pop("PYTHONDONTWRITEBYTECODE", None)
    return kept | {
        "BEDPLATE_HOME": str(home / "settings"),
        "BEDPLATE_BY": "Ann Fitter",
        "PYTHONPYCACHEPREFIX": str(home / "bytecode"),
    }


def python(*words: str) -> list[str]:
    """Return a command of this Python."""
    return [sys.executable, *words]


def process(
    command: Sequence[str],
    folder: Path,
    home: Path,
    *,
    before: Callable[[], object] = lambda: None,
    codes: Sequence[int] = (0,),
    more: Mapping[str, str] | None = None,
) -> Timed:
    """Return a whole process as something timed, by the processor's time.

    Waiting is not counted: for the disk, or for a processor that others keep busy.

    Args:
        command: its words.
        folder: where it runs.
        home: where its settings are, and its byte code.
        before: what is done before each, untimed.
        codes: with which it may end; with another it has not done its work, and nothing is told.
        more: what it finds in its environment besides.
    """
    given = environment(home) | dict(more or {})

    def measure() -> float:
        before()
        started = _spent_by_children()
        done = subprocess.run(
            command, cwd=folder, env=given, stdin=subprocess.DEVNULL, capture_output=True,
            check=False,
        )  # fmt: skip
        took = _spent_by_children() - started
        if done.returncode not in codes:
            sys.exit(f"{command}: ended with {done.returncode}\n{done.stderr.decode()}")
        return took

    return measure


def told(command: Sequence[str], folder: Path, home: Path) -> Timed:
    """Return a process that prints how many seconds it took, itself, for what counts."""
    given = environment(home)

    def measure() -> float:
        done = subprocess.run(
            command, cwd=folder, env=given, stdin=subprocess.DEVNULL, capture_output=True,
            check=True,
        )  # fmt: skip
        return float(done.stdout)

    return measure


def _spent_by_children() -> float:
    """Return the processor's time of all that were run so far; on Windows the clock's."""
    if sys.platform == "win32":
        return time.perf_counter()
    import resource  # noqa: PLC0415 - not there on Windows

    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime
