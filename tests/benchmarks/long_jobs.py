"""Long jobs: what stands between Enter and the next prompt, and what opening costs."""

from __future__ import annotations

import contextlib
import fcntl
import io
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from unittest.mock import patch

from tests.benchmarks.jobs import recorded, repeated, standing_in, wide_readings, wide_sheet
from tests.benchmarks.side_by_side import Measured, Timed, against, python, timed

from bedplate.cli.bench import command
from bedplate.cli.bench.keyboard import Keyboard
from bedplate.cli.main import main
from bedplate.record.entries import NO_LINE
from bedplate.record.jobfile import read_job_file

ANSWERS = 12
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


class Typist(Keyboard):
    """Types readings, and notes how long each took from Enter to the next prompt."""

    values: tuple[str, ...] = ()
    took: list[float] = []  # noqa: RUF012 - the session makes its keyboard itself

    def __init__(self) -> None:
        super().__init__()
        self.person = True
        self._left = list(self.values)
        self._entered: float | None = None

    def read(self, prompt: str) -> str | None:
        """Return the next value; where another thing is asked for, leave it for later."""
        now = time.perf_counter()
        if self._entered is not None:
            self.took.append(now - self._entered)
            self._entered = None
        self.line += 1
        if "@" not in prompt:
            return "s"
        if not self._left:
            return None
        answer = self._left.pop()
        self._entered = time.perf_counter()
        return answer


def bench(measured_job: Path, kept: Path) -> Timed:
    """Return a session on a copy of a job: the median time of one reading in it."""

    def measure() -> float:
        shutil.copyfile(kept, measured_job)
        Typist.values, Typist.took = ("8.003",) * ANSWERS, []
        seen = io.StringIO()
        with (
            standing_in(measured_job.parent),
            patch.object(command, "Keyboard", Typist),
            contextlib.redirect_stdout(seen),
            contextlib.redirect_stderr(seen),
        ):
            code = main(["--job", str(measured_job), "bench"])
        if code or len(Typist.took) < ANSWERS:
            sys.exit(f"bench ended with {code}:\n{seen.getvalue()}")
        return sorted(Typist.took)[ANSWERS // 2]

    return measure


def bare_append(file: Path, kept: Path) -> Timed:
    """Return what the disk asks for the same: lock, write and sync as many bytes, unlock."""
    line = kept.read_bytes().splitlines(keepends=True)[-1]

    def measure() -> float:
        shutil.copyfile(kept, file)
        took = []
        descriptor = os.open(file, os.O_RDWR | os.O_APPEND)
        for _ in range(ANSWERS):
            started = time.perf_counter()
            fcntl.flock(descriptor, fcntl.LOCK_EX)
            os.write(descriptor, line)
            os.fsync(descriptor)
            fcntl.flock(descriptor, fcntl.LOCK_UN)
            took.append(time.perf_counter() - started)
        os.close(descriptor)
        return sorted(took)[ANSWERS // 2]

    return measure


def recording(folder: Path, rounds: int) -> list[Measured]:
    """Return one reading at the bench, in a short job and in a long one."""
    sheet, readings = wide_sheet(60, 100), wide_readings(60, 100)
    short = recorded(folder / "short.job.jsonl", sheet, readings[:99])
    long = recorded(folder / "long.job.jsonl", sheet, readings[:9_999])
    on = {path: path.with_suffix(".kept") for path in (short, long)}
    for path, kept in on.items():
        shutil.move(path, kept)
    bare = bare_append(folder / "bare", on[short])
    short_bench, long_bench = bench(short, on[short]), bench(long, on[long])
    return [
        *against(
            ("lock, write, fsync", bare),
            {"one reading at the bench, 100 entries": (2.0, short_bench)},
            rounds,
        ),
        *against(
            ("the same at 100 entries", short_bench),
            {"one reading at the bench, 10,000 entries": (1.2, long_bench)},
            rounds,
        ),
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
