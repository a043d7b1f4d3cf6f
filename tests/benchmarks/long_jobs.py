"""Long jobs: what stands between Enter and the next prompt, and what opening costs."""

from __future__ import annotations

import contextlib
import fcntl
import io
import json
import os
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from unittest.mock import patch

from tests.benchmarks.jobs import recorded, repeated, standing_in, wide_readings, wide_sheet
from tests.benchmarks.side_by_side import Measured, against, python, timed

from bedplate.cli.bench import command
from bedplate.cli.bench.keyboard import Keyboard
from bedplate.cli.main import main
from bedplate.record.entries import NO_LINE
from bedplate.record.jobfile import read_job_file

VALUE = "7.985"
"""What is typed: no odd value for any feature of the sheet."""
ANSWERS = 24
"""Readings that are typed in one session; the median of their times counts."""

OPENING = """
import resource, sys
from pathlib import Path
from bedplate.record.jobfile import read_job_file
read_job_file(Path(sys.argv[1]))
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
file = read_job_file(Path(sys.argv[2]))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""


class Bare:
    """What the disk asks for one reading: lock, write and sync as many bytes, unlock."""

    def __init__(self, file: Path, line: bytes) -> None:
        self.line = line
        self.took: list[float] = []
        self._descriptor = os.open(file, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o666)

    def append(self) -> None:
        """Do it once, and note how long it took."""
        started = time.perf_counter()
        fcntl.flock(self._descriptor, fcntl.LOCK_EX)
        os.write(self._descriptor, self.line)
        os.fsync(self._descriptor)
        fcntl.flock(self._descriptor, fcntl.LOCK_UN)
        self.took.append(time.perf_counter() - started)

    def close(self) -> None:
        """Close the file."""
        os.close(self._descriptor)


class Typist(Keyboard):
    """Types readings, and notes how long each took from Enter to the next prompt.

    Between two of them, as somebody would turn to the gauge, the bare cost is taken.
    """

    bare: Bare
    took: list[float] = []  # noqa: RUF012 - the session makes its keyboard itself

    def __init__(self) -> None:
        super().__init__()
        self.person = True
        self._left = ANSWERS
        self._entered: float | None = None

    def read(self, prompt: str) -> str | None:
        """Return the next value; what is asked before the first reading is left for later."""
        now = time.perf_counter()
        if self._entered is not None:
            self.took.append(now - self._entered)
            self._entered = None
        self.line += 1
        if "@" not in prompt:
            return "s" if self._left == ANSWERS else None
        if not self._left:
            return None
        self._left -= 1
        self.bare.append()
        self._entered = time.perf_counter()
        return VALUE


def one_reading(folder: Path, kept: Path) -> tuple[float, float]:
    """Return how long one reading takes in a session on a copy of a job, and the bare cost."""
    job = folder / "bench.job.jsonl"
    shutil.copyfile(kept, job)
    Typist.bare = Bare(folder / "bare", kept.read_bytes().splitlines(keepends=True)[-1])
    Typist.took = []
    seen = io.StringIO()
    with (
        standing_in(folder),
        patch.object(command, "Keyboard", Typist),
        contextlib.redirect_stdout(seen),
        contextlib.redirect_stderr(seen),
    ):
        code = main(["--job", str(job), "bench"])
    Typist.bare.close()
    recorded_now = job.read_bytes().count(b"\n") - kept.read_bytes().count(b"\n")
    if code or recorded_now != ANSWERS:
        sys.exit(f"bench ended with {code}, {recorded_now} readings:\n{seen.getvalue()}")
    return statistics.median(Typist.took), statistics.median(Typist.bare.took)


def recording(folder: Path, rounds: int) -> list[Measured]:
    """Return one reading at the bench in a short job against the bare cost, and in a long one.

    Both jobs are of one sheet: 510 fits, each of two times ten readings.
    """
    sheet, readings = wide_sheet(510, 10), wide_readings(510, 10)
    jobs = {count: folder / f"of-{count}.job.jsonl" for count in (100, 10_000)}
    for count, job in jobs.items():
        # As many as leave room for the answers of a session, half of them before the count.
        recorded(job, sheet, readings[: count - 1 - ANSWERS // 2])
        jobs[count] = job.rename(job.with_suffix(".kept"))
    short, bare, long = list[float](), list[float](), list[float]()
    for number in range(rounds + 1):
        in_short, alone = one_reading(folder, jobs[100])
        in_long, _ = one_reading(folder, jobs[10_000])
        if number:
            short.append(in_short)
            bare.append(alone)
            long.append(in_long)
    what = "one reading at the bench"
    to_bare = [own / base for own, base in zip(short, bare, strict=True)]
    to_short = [own / base for own, base in zip(long, short, strict=True)]
    return [
        Measured("lock, write, fsync", "itself", None, [1.0] * rounds, bare),
        Measured(f"{what}, 100 entries", "lock, write, fsync", 2.0, to_bare, short),
        Measured(f"{what}, 10,000 entries", "the same at 100 entries", 1.2, to_short, long),
    ]


def bare_loop(path: Path) -> Callable[[], object]:
    """Return the least that reading a chain can be: each line parsed and hashed."""

    def loop() -> int:
        count, link = 0, NO_LINE
        for line in path.read_bytes().splitlines(keepends=True):
            if json.loads(line)["prev"] != link:
                break
            link = sha256(line).hexdigest()
            count += 1
        return count

    return loop


def opening(folder: Path, rounds: int) -> list[Measured]:
    """Return the opening of jobs of 1,000 and of 100,000 entries, and the memory it takes."""
    files = {
        count: recorded(folder / f"of-{count}.job.jsonl", wide_sheet(2, 2), repeated(count - 1))
        for count in (10, 1_000, 100_000)
    }
    rows = [
        row
        for count in (1_000, 100_000)
        for row in against(
            ("json.loads and SHA-256", timed(bare_loop(files[count]))),
            {f"opening {count:,} entries": (2.5, timed(_opened(files[count])))},
            rounds,
        )
    ]
    thousand, hundred_thousand = (
        timed(_opened(files[1_000], times=100)), timed(_opened(files[100_000]))
    )  # fmt: skip
    linear = against(
        ("100 times 1,000 entries", thousand),
        {"opening 100,000 entries": (1.2, hundred_thousand)},
        rounds,
    )
    return [*rows, *linear, _memory(files[10], files[100_000])]


def _opened(path: Path, times: int = 1) -> Callable[[], object]:
    def work() -> None:
        for _ in range(times):
            read_job_file(path)

    return work


def _memory(short: Path, long: Path) -> Measured:
    """Return by how much a process grows in which a job is opened, against the file's size."""
    done = subprocess.run(
        python("-c", OPENING, str(short), str(long)), capture_output=True, check=True
    )
    per_unit = 1 if sys.platform == "darwin" else 1024
    ratio = int(done.stdout) * per_unit / long.stat().st_size
    return Measured("memory for 100,000 entries", "the file's size", 12.0, [ratio], [])
