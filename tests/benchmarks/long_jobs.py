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
from collections.abc import Callable, Sequence
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple
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
def most():
    status = Path("/proc/self/status")  # elsewhere a new process may begin with its parent's
    if status.exists():
        found = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(found.split()[1]) * 1024
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
read_job_file(Path(sys.argv[1]))
before = most()
file = read_job_file(Path(sys.argv[2]))
print(most() - before)
"""
"""Prints by how many bytes the most that it ever held has grown by the second file."""


class Spent(NamedTuple):
    """What something took: by the clock, and of the processor's time."""

    clock: float
    processor: float

    @classmethod
    def since(cls, started: Spent) -> Spent:
        """Return what was spent since."""
        now = cls.now()
        return cls(now.clock - started.clock, now.processor - started.processor)

    @classmethod
    def now(cls) -> Spent:
        """Return both clocks."""
        return cls(time.perf_counter(), time.process_time())

    @classmethod
    def median(cls, several: Sequence[Spent]) -> Spent:
        """Return the median by each clock."""
        return cls(*(statistics.median(each) for each in zip(*several, strict=True)))


class Bare:
    """What the disk asks for one reading: lock, write and sync as many bytes, unlock."""

    def __init__(self, file: Path, line: bytes) -> None:
        self.line = line
        self.took: list[Spent] = []
        self._descriptor = os.open(file, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o666)

    def append(self) -> None:
        """Do it once, and note how long it took."""
        started = Spent.now()
        fcntl.flock(self._descriptor, fcntl.LOCK_EX)
        os.write(self._descriptor, self.line)
        os.fsync(self._descriptor)
        fcntl.flock(self._descriptor, fcntl.LOCK_UN)
        self.took.append(Spent.since(started))

    def close(self) -> None:
        """Close the file."""
        os.close(self._descriptor)


class Typist(Keyboard):
    """Types readings, and notes how long each took from Enter to the next prompt.

    Between two of them, as somebody would turn to the gauge, the bare cost is taken.
    """

    bare: Bare
    took: list[Spent] = []  # noqa: RUF012 - the session makes its keyboard itself

    def __init__(self) -> None:
        super().__init__()
        self.person = True
        self._left = ANSWERS
        self._entered: Spent | None = None

    def read(self, prompt: str) -> str | None:
        """Return the next value; what is asked before the first reading is left for later."""
        if self._entered is not None:
            self.took.append(Spent.since(self._entered))
            self._entered = None
        self.line += 1
        if "@" not in prompt:
            return "s" if self._left == ANSWERS else None
        if not self._left:
            return None
        self._left -= 1
        self.bare.append()
        self._entered = Spent.now()
        return VALUE


def one_reading(folder: Path, kept: Path) -> tuple[Spent, Spent]:
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
    return Spent.median(Typist.took), Spent.median(Typist.bare.took)


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
    rows: list[tuple[Spent, Spent, Spent]] = []
    for number in range(rounds + 1):
        short, bare = one_reading(folder, jobs[100])
        long, _ = one_reading(folder, jobs[10_000])
        if number:
            rows.append((bare, short, long))
    bares, shorts, longs = zip(*rows, strict=True)
    what, disk = "one reading at the bench", "lock, write, fsync"
    return [
        Measured(disk, "itself", None, [1.0] * rounds, [bare.clock for bare in bares]),
        _held(f"{what}, 100 entries", disk, 2.0, _by_clock(shorts), _by_clock(bares)),
        _held(f"{what}, 10,000 entries", "the same at 100 entries", 1.2,
              _by_clock(longs), _by_clock(shorts)),
        _held(f"{what}, 100 entries, processor's time", disk, None,
              _by_processor(shorts), _by_clock(bares)),
        _held(f"{what}, 10,000 entries, processor's time", "the same at 100 entries", 1.2,
              _by_processor(longs), _by_processor(shorts)),
    ]  # fmt: skip


def _by_clock(spent: Sequence[Spent]) -> list[float]:
    return [one.clock for one in spent]


def _by_processor(spent: Sequence[Spent]) -> list[float]:
    return [one.processor for one in spent]


def _held(
    what: str, against: str, most: float | None, own: Sequence[float], base: Sequence[float]
) -> Measured:
    """Return what was timed against a yardstick, round by round."""
    ratios = [one / other for one, other in zip(own, base, strict=True)]
    return Measured(what, against, most, ratios, own)


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
    ratio = int(done.stdout) / long.stat().st_size
    return Measured("memory for 100,000 entries", "the file's size", 12.0, [ratio], [])
