"""Files of 512 MiB: what they cost where somebody else made them, and where they are honest."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from signed_jobs import Pen, reading, signed_job

from bedplate.record import chain
from bedplate.record.chain import REST, check, check_stream
from bedplate.record.disk import FILE_LIMIT, open_regular, stream_of
from bedplate.record.jobfile import raw_lines, read_job_file, report_on
from bedplate.record.spelling import LINE_LIMIT

JOB = signed_job()
LINES = JOB.splitlines(keepends=True)

MEMORY = 300
"""MiB that one hostile file may cost, whatever its size."""
PATIENCE = 2.0
"""Seconds of work until it is refused, the start of the program among them."""
PER_BYTE = 12
"""Bytes of memory that a byte of an honest job may cost."""

MEBIBYTE = 1 << 20
UNITS = {
    "one line of letters": b"x",
    "NULs": b"\0",
    "line feeds": b"\n",
    "CR LF": b"\r\n",
    "NULs in lines": b"\0\n",
    "a nesting bomb": b"[" * (MEBIBYTE - 2) + b"\n",
    "flat lists": b"[" + b"[]," * (MEBIBYTE // 3 - 2) + b"1]\n",
    "a number of 1 MiB": b'{"n":' + b"9" * (MEBIBYTE - 10) + b"}\n",
    "many numbers": b"[" + b"1," * (MEBIBYTE // 2 - 4) + b"1]\n",
    "deep twin keys": b'{"a":' * 15 + b'{"a":1,"a":2}' + b"}" * 15 + b"\n",
    "many twin keys": b"{" + b'"a":1,' * (MEBIBYTE // 6 - 10) + b'"b":1}\n',
    "quotes": b'"' * (MEBIBYTE - 2) + b"\n",
    "lines of 2 MiB": b"x" * (2 * MEBIBYTE) + b"\n",
    "one entry again and again": LINES[1],
}
"""What a hostile file is filled with."""

PEAK = """
import resource, sys
from pathlib import Path

def peak():
    # Bytes. What the system counts for children may begin with what their parent once took.
    status = Path("/proc/self/status")
    if status.exists():
        line = next(x for x in status.read_text().splitlines() if x.startswith("VmHWM"))
        return int(line.split()[1]) * 1024
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
"""

CHILD = (
    PEAK
    + """
import contextlib, io, json, time
from bedplate.cli.main import main

class Drain(io.StringIO):
    def write(self, text):
        return super().write(text) if self.tell() < 2000 else len(text)

out, err = Drain(), Drain()
with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
    code = main(sys.argv[1:])
print(json.dumps([code, time.process_time(), peak() >> 20, out.getvalue() + err.getvalue()]))
"""
)


def measured(folder: Path, *words: str) -> tuple[int, float, int, str]:
    """Return how a command ended, its seconds of work, the MiB it took at most, what it said."""
    settings = {"BEDPLATE_HOME": str(folder / "home"), "BEDPLATE_BY": "Ann Fitter"}
    ended = subprocess.run(
        [sys.executable, "-c", CHILD, *words], cwd=folder, env=os.environ | settings,
        stdin=subprocess.DEVNULL, capture_output=True, text=True, check=True,
    )  # fmt: skip
    code, seconds, peak, said = json.loads(ended.stdout)
    return code, seconds, peak, said


def filled(path: Path, head: bytes, unit: bytes, size: int = FILE_LIMIT) -> None:
    """Fill a file, as far as whole units go."""
    many = unit * max(1, (4 << 20) // len(unit))
    with path.open("wb") as file:
        file.write(head)
        for _ in range((size - len(head)) // len(many)):
            file.write(many)


# --- what is read, and what is not ---------------------------------------------------------------


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> int:
    """Look at no more than 2 MiB behind the first line that does not fit."""
    monkeypatch.setattr(chain, "REST", 2 * LINE_LIMIT)
    return 2 * LINE_LIMIT


def test_a_line_without_an_end_is_a_break_where_it_is_longer_than_is_looked_at(few: int) -> None:
    report = check(JOB + b"x" * (few + 1))
    assert report.broken is not None
    assert report.broken.reason == ("line 6 is not as bedplate writes it: it is longer than 1 MiB")
    assert (report.lines, report.torn) == (tuple(LINES), b"")


def test_what_a_crash_left_is_torn_as_far_as_is_looked_at(few: int) -> None:
    report = check(JOB + b"\0" * few)
    assert (report.broken, len(report.torn)) == (None, few)


def test_behind_a_break_only_so_much_is_held(few: int) -> None:
    report = check(JOB + b"x\n" + LINES[1] * (2 * few // len(LINES[1])))
    assert report.broken is not None
    assert report.broken.reason == "line 6 is not as bedplate writes it: it is no JSON"
    assert few // 2 < sum(map(len, report.lines)) - len(JOB) <= few
    assert report.lines[:5] == tuple(LINES)
    assert report.torn == b""


def test_no_sound_line_counts_against_what_is_looked_at(few: int) -> None:
    pen = Pen(JOB)
    while len(pen.data) < few + 1000:
        pen.write(reading(note="x" * 4000))
    report = check(pen.data)
    assert report.whole
    assert b"".join(report.lines) == pen.data


def test_a_stream_is_as_the_bytes_are() -> None:
    for data in (b"", JOB, JOB[:-1], JOB + b"\0\0", JOB.replace(b"\n", b"\r\n"), JOB[5:]):
        assert check_stream(io.BytesIO(data)) == check(data)


def test_a_file_is_read_as_long_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "pump.job.jsonl"
    path.write_bytes(JOB)
    descriptor = open_regular(path, writing=False)
    try:
        stream = stream_of(descriptor, len(JOB) - 10)
        assert stream.read() == JOB[:-10]
    finally:
        os.close(descriptor)


def test_a_long_line_is_shown_raw_in_pieces(tmp_path: Path) -> None:
    path = tmp_path / "pump.job.jsonl"
    path.write_bytes(b"a\n\n\nbc\n" + b"x" * (3 * LINE_LIMIT) + b"\nd")
    first, second, *long, last = raw_lines(path)
    assert (first, second, last) == (b"a", b"bc", b"d")
    assert b"".join(long) == b"x" * (3 * LINE_LIMIT)
    assert max(map(len, long)) <= 2 * LINE_LIMIT


# --- what it costs -------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """Return a folder whose files are gone once the test is over, whatever its outcome."""
    yield tmp_path
    for path in tmp_path.glob("*.jsonl"):
        path.unlink()


@pytest.mark.skipif(sys.platform == "win32", reason="counts no memory")
def test_a_sparse_file_of_512_mebibytes_is_refused_early(folder: Path) -> None:
    path = folder / "pump.job.jsonl"
    path.write_bytes(JOB)
    os.truncate(path, FILE_LIMIT)
    code, seconds, peak, said = measured(folder, "--job", "pump", "verify")
    assert (code, said.split("\n")[0]) == (
        1,
        "pump: NO at entry 6. line 6 is not as bedplate writes it: it is longer than 1 MiB.",
    )
    assert seconds < 2 * PATIENCE, "twice, since other tests run beside it"
    assert peak < MEMORY


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="counts no memory")
@pytest.mark.parametrize("head", [b"", JOB], ids=["bare", "behind a job"])
@pytest.mark.parametrize("name", UNITS)
def test_a_hostile_file_of_512_mebibytes_is_refused_early(
    name: str, head: bytes, folder: Path
) -> None:
    path = folder / "pump.job.jsonl"
    filled(path, head, UNITS[name])
    for words in (("verify",), ("status",), ("note", "x"), ("open", "pump")):
        code, seconds, peak, said = measured(folder, "--job", "pump", *words)
        assert code == 1 if words == ("verify",) else code in (0, 2, 3), (words, said)
        assert seconds < PATIENCE, (words, seconds, said)
        assert peak < MEMORY, (words, peak, said)
    assert path.stat().st_size <= FILE_LIMIT


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="counts no memory")
def test_a_hostile_copy_of_512_mebibytes_costs_no_more(folder: Path) -> None:
    (folder / "pump.job.jsonl").write_bytes(b"".join(LINES[:-1]))
    filled(folder / "copy.jsonl", JOB, UNITS["one line of letters"])
    for words in (("status",), ("verify",), ("rejoin", "copy.jsonl")):
        _, seconds, peak, said = measured(folder, "--job", "pump", *words)
        assert seconds < PATIENCE, (words, seconds, said)
        assert peak < MEMORY, (words, peak, said)


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="counts no memory")
@pytest.mark.parametrize("name", ["one line of letters", "line feeds", "a nesting bomb"])
def test_a_hostile_file_is_shown_raw_in_little_memory(name: str, folder: Path) -> None:
    filled(folder / "pump.job.jsonl", b"", UNITS[name], FILE_LIMIT // 8)
    code, _, peak, _ = measured(folder, "--job", "pump", "log", "--raw")
    assert code == 0
    assert peak < MEMORY


# --- an honest one -------------------------------------------------------------------------------

HONEST = (
    PEAK
    + """
from bedplate.record.jobfile import read_job_file
read_job_file(Path(sys.argv[2]))
before = peak()
file = read_job_file(Path(sys.argv[1]))
print(len(file.entries), peak() - before)
"""
)


def honest(entries: int) -> bytes:
    """Return a job of readings, findings and settings."""
    pen = Pen().open(customer="J. Skipper")
    opened, one = pen.data, ({"place": "gear.idler", "part": "gear.idler", "life": 1},)
    for n in range(entries - 1):
        value = f"0.99{n % 100:02} in"
        pen.batch.add(reading("H.idler@a", value, gauge="mic1", on=one, note="in turn"))
    return opened + b"".join(pen.batch.lines[1:])


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="counts no memory")
def test_an_honest_job_of_100000_entries_takes_no_more_than_12_times_its_size(
    folder: Path,
) -> None:
    path, small = folder / "pump.job.jsonl", folder / "small.job.jsonl"
    path.write_bytes(honest(100_000))
    small.write_bytes(honest(10))
    ended = subprocess.run(
        [sys.executable, "-c", HONEST, path, small], capture_output=True, text=True, check=True
    )
    entries, taken = map(int, ended.stdout.split())
    assert entries == 100_000
    assert taken < PER_BYTE * path.stat().st_size


def test_an_honest_job_is_read_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "pump.job.jsonl"
    data = honest(2_000)
    path.write_bytes(data)
    file = read_job_file(path)
    assert len(file.entries) == 2_000
    assert file.data == data
    assert file.head.sha256 == sha256(file.lines[-1]).hexdigest()
    assert report_on(path) == file.report
    assert REST < FILE_LIMIT
