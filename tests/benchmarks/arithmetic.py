"""The arithmetic of large jobs, which part goes where, and the page to be printed."""

from __future__ import annotations

import shutil
from functools import partial
from pathlib import Path
from unittest.mock import patch

from tests.benchmarks.jobs import (
    VALVES,
    head_of,
    movable,
    recorded,
    standing_in,
    typed,
    valve_readings,
    wide_readings,
    wide_sheet,
)
from tests.benchmarks.side_by_side import Measured, Timed, against, process, python, timed
from tests.benchmarks.starts import B

from bedplate.assess.fits import Assessment
from bedplate.assess.matching import matched
from bedplate.assess.result import FitResult
from bedplate.record.job import Job, fold
from bedplate.record.jobfile import read_job_file

MATCH = 0.88
"""Of B: 0.3 s where B takes 0.34 s."""


def _folded(path: Path) -> Job:
    return fold(read_job_file(path).entries)


def _checked(job: Job) -> list[FitResult]:
    return Assessment(job).all


def checking(folder: Path, rounds: int) -> list[Measured]:
    """Return the working out of all fits, against reading and folding the same job."""
    many = recorded(folder / "many.job.jsonl", wide_sheet(1_000, 10), wide_readings(1_000, 10))
    valves = recorded(folder / "valves.job.jsonl", VALVES, valve_readings())
    rows = []
    for name, path in (("1,000 fits, 20,000 readings", many), ("16 valves, 6 stations", valves)):
        job = _folded(path)
        rows += against(
            ("reading the same job", timed(partial(_folded, path))),
            {f"check of {name}": (None, timed(partial(_checked, job)))},
            max(3, rounds // 2) if path is many else rounds,
        )
    return rows


def matching(folder: Path, rounds: int) -> list[Measured]:
    """Return the seating of 40 parts in 40 places, against what it may take."""
    path = recorded(folder / "forty.job.jsonl", movable(wide_sheet(40, 1)), wide_readings(40, 1))
    job = _folded(path)
    fit = job.sheet.fit[0]
    yardstick = process(python("-c", B), folder, folder)
    return against(
        ("B", yardstick),
        {"match of 40 by 40": (MATCH, timed(lambda: matched(Assessment(job), fit)))},
        rounds,
    )


def printing(folder: Path, rounds: int) -> list[Measured]:
    """Return the PDF of the largest example, against typst's own compiling of the same source."""
    head_of(74, folder)
    source = folder / "source"
    _keep_source(folder, source)
    line = (
        "import sys, typst; typst.compile(sys.argv[1] + '/main.typ', root=sys.argv[1], "
        "output=sys.argv[1] + '/main.pdf')"
    )
    summary: Timed = process(
        python("-m", "bedplate", "summary", "-o", "page.pdf", "--force"), folder, folder
    )
    return against(
        ("typst alone", process(python("-c", line, str(source)), folder, folder)),
        {"summary -o page.pdf, whole process": (3.0, summary)},
        rounds,
    )


def _keep_source(folder: Path, source: Path) -> None:
    """Keep what typst is given for a summary."""
    import typst  # noqa: PLC0415 - an extra, wanted here only

    compile_it = typst.compile

    def kept(main: Path, *, root: str) -> bytes:
        shutil.copytree(main.parent, source)
        return compile_it(main, root=Path(root))

    with patch.object(typst, "compile", kept), standing_in(folder):
        typed("summary", "-o", "page.pdf")
