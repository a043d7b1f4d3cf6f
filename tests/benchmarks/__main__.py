"""``python -m tests.benchmarks [GROUP...] [--rounds N]``: how fast bedplate is, as ratios.

Run from the top folder. Every figure is a ratio to a yardstick that is timed in the same round of
the same run; the median of at least seven rounds is printed with the machine. Nothing here is part
of the tests: a busy machine would fail them, and a slow one would never have a say.
"""

from __future__ import annotations

import argparse
import importlib.metadata
import os
import platform
import statistics
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.benchmarks import arithmetic, long_jobs, parts, starts
from tests.benchmarks.side_by_side import Measured

GROUPS: Mapping[str, Callable[[Path, int], list[Measured]]] = {
    "starts": starts.measured,
    "parts": parts.measured,
    "recording": long_jobs.recording,
    "opening": long_jobs.opening,
    "checking": arithmetic.checking,
    "matching": arithmetic.matching,
    "printing": arithmetic.printing,
}
"""What can be asked for."""

LEAST_ROUNDS = 7


def machine() -> str:
    """Return in general words what this was measured on."""
    libraries = ("typer", "pydantic", "pint", "rich")
    versions = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in libraries)
    return (
        f"{platform.system()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
        f"{versions}"
    )


def line_of(row: Measured) -> str:
    """Return one row of the table."""
    most = "-" if row.most is None else f"{row.most:.2f}"
    took = f"{1000 * statistics.median(row.seconds):.1f} ms" if row.seconds else "-"
    span = f"{min(row.ratios):.2f} to {max(row.ratios):.2f}"
    kept = "yes" if row.kept else "NO"
    return f"| {row.what} | {row.against} | {row.ratio:.2f} | {span} | {most} | {kept} | {took} |"


def main() -> int:
    """Measure what was asked for, all by default, and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("groups", nargs="*", choices=[[], *GROUPS], metavar="GROUP",
                        help=f"one or more of {', '.join(GROUPS)}")  # fmt: skip
    parser.add_argument("--rounds", type=int, default=LEAST_ROUNDS)
    given = parser.parse_args()
    rounds = max(LEAST_ROUNDS, given.rounds)
    sys.stdout.write(f"{machine()}; median of {rounds}\n\n")
    sys.stdout.write("| what | against | ratio | from, to | at most | kept | takes here |\n")
    sys.stdout.write("| --- | --- | ---: | --- | ---: | --- | ---: |\n")
    rows: list[Measured] = []
    for name in given.groups or GROUPS:
        with tempfile.TemporaryDirectory(prefix="bedplate-speed-") as folder:
            for row in GROUPS[name](Path(folder), rounds):
                rows.append(row)
                sys.stdout.write(f"{line_of(row)}\n")
                sys.stdout.flush()
    return 0 if all(row.kept for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
