"""What holds when processes are killed, race one another, or run out of room: real processes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from bedplate.record.appending import append
from bedplate.record.chain import check
from bedplate.record.creating import create
from bedplate.record.entries import Opened, PartUsed, Reading
from bedplate.record.jobfile import read_job_file

if sys.platform == "win32":
    pytest.skip("these fork, kill and limit as Windows cannot", allow_module_level=True)

KILLED = """
import json, os, random, signal, sys, time
from datetime import UTC, datetime
from pathlib import Path
from bedplate.record.appending import OpenJob
from bedplate.record.entries import Reading

path, kills, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
now = lambda: datetime.now(UTC)

def write_for_ever(told, turn):
    with OpenJob(path) as job:
        number = 0
        while True:
            number += 1
            values = [f"{turn}.{number}.{part} in" for part in range(1 + number % 3)]
            readings = [Reading(address="D", value=value) for value in values]
            job.append(lambda _: readings, by="Ann", now=now)
            os.write(told, json.dumps(values).encode() + b"\\n")

random.seed(seed)
acknowledged = []
with OpenJob(path) as job:  # builds the models once, for all children
    job.append(lambda _: [Reading(address="D", value="0.0.0 in")], by="Ann", now=now)
for turn in range(1, kills + 1):
    heard, told = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(heard)
        write_for_ever(told, turn)
    os.close(told)
    with os.fdopen(heard, "rb") as pipe:
        first = pipe.readline()
        time.sleep(random.uniform(0, 0.006))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        lines = [first, *pipe.readlines()]
    acknowledged += [json.loads(line) for line in lines if line.endswith(b"\\n")]
print(json.dumps(acknowledged))
"""

RACE = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from bedplate.errors import RefusedError
from bedplate.record.appending import OpenJob, append
from bedplate.record.entries import Fasteners, PartUsed, Reading

path, name, times = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
now = lambda: datetime.now(UTC)
sys.stdin.readline()

def take_the_washer(entries):
    drawn = sum(isinstance(entry, PartUsed) for entry in entries)
    spent = sum(isinstance(entry, Fasteners) for entry in entries)
    if spent >= drawn:
        raise RefusedError("Refused. There is no new washer.")
    return [Fasteners(set="N", state="locked", count=1)]

with OpenJob(path) as job:
    for number in range(times):
        value = f"{number} in"
        job.append(lambda _: [Reading(address=name, value=value)], by=name, now=now)
        if number == times // 2:
            try:
                append(path, take_the_washer, by=name, now=now)
                print("locked")
            except RefusedError as err:
                print(err)
"""

NO_ROOM = """
import json, resource, sys
from datetime import UTC, datetime
from pathlib import Path
from bedplate.errors import StorageError
from bedplate.record.appending import OpenJob
from bedplate.record.entries import Reading

path, room = Path(sys.argv[1]), int(sys.argv[2])
now = lambda: datetime.now(UTC)
with OpenJob(path) as job:
    hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
    resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + room, hard))
    try:
        job.append(lambda _: [Reading(address="D", value="1.0032 in")], by="Ann", now=now)
        print(json.dumps(["recorded"]))
    except StorageError as err:
        print(json.dumps(err.as_lines()))
"""


def now() -> datetime:
    return datetime(2025, 11, 24, 12, 0, tzinfo=UTC)


def output_of(script: str, *arguments: object) -> Any:
    """Run a script in a process of its own and return the JSON it prints."""
    command = [sys.executable, "-c", script, *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, check=True, text=True)
    return json.loads(done.stdout)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "pump.job.jsonl"
    create(made, Opened(job="0123456789abcdef" * 2), by="Ann Fitter", now=now)
    return made


def nothing_acknowledged_is_lost(path: Path, kills: int) -> None:
    acknowledged = output_of(KILLED, path, kills, 7)
    report = check(path.read_bytes())
    assert report.whole
    values = [entry.value for entry in report.entries if isinstance(entry, Reading)]
    assert len(set(values)) == len(values)
    recorded = set(values)
    lost = [value for command in acknowledged for value in command if value not in recorded]
    assert lost == []
    told = sum(len(command) for command in acknowledged)
    assert told >= kills
    assert len(values) <= 1 + told + 3 * kills  # at most one command at each kill was not told
    append(path, lambda _: [Reading(address="D", value="9 in")], by="Ann", now=now)
    assert read_job_file(path).broken is None


def test_nothing_acknowledged_is_lost_in_50_kills(path: Path) -> None:
    nothing_acknowledged_is_lost(path, 50)


@pytest.mark.slow
def test_nothing_acknowledged_is_lost_in_1000_kills(path: Path) -> None:
    nothing_acknowledged_is_lost(path, 1_000)


def test_eight_programs_record_in_one_job_and_nothing_is_lost_or_doubled(path: Path) -> None:
    append(path, lambda _: [PartUsed(part="tab washer")], by="Ann", now=now)
    names = [f"hand{number}" for number in range(8)]
    programs = [
        subprocess.Popen(
            [sys.executable, "-c", RACE, str(path), name, "25"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in names
    ]
    for program in programs:  # all of them are under way before the first begins
        assert program.stdin is not None
        program.stdin.write("go\n")
        program.stdin.flush()
    told = [program.communicate()[0].strip() for program in programs]
    assert [program.returncode for program in programs] == [0] * 8
    assert sorted(told) == ["Refused. There is no new washer."] * 7 + ["locked"]

    file = read_job_file(path)
    assert file.broken is None
    assert (len(file.entries), file.torn) == (2 + 8 * 25 + 1, b"")
    for name in names:
        mine = [entry for entry in file.entries if entry.by == name]
        values = [entry.value for entry in mine if isinstance(entry, Reading)]
        assert values == [f"{number} in" for number in range(25)]


@pytest.mark.parametrize("room", [0, 1, 40])
def test_no_room_for_the_line_records_nothing(path: Path, room: int) -> None:
    before = path.read_bytes()
    assert output_of(NO_ROOM, path, room) == [
        "Not recorded. The disk is full: pump.job.jsonl is as it was, 1 entry.",
        "  Free some space and give the same command again.",
        "  The reading you typed:  D 1.0032",
    ]
    assert path.read_bytes() == before


def test_room_enough_records(path: Path) -> None:
    assert output_of(NO_ROOM, path, 4_096) == ["recorded"]
    assert len(read_job_file(path).entries) == 2


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is barred to root")
def test_a_job_in_a_folder_that_may_not_be_written_is_still_appended_to(path: Path) -> None:
    path.parent.chmod(0o555)
    try:
        append(path, lambda _: [Reading(address="D", value="1 in")], by="Ann", now=now)
    finally:
        path.parent.chmod(0o755)
    assert len(read_job_file(path).entries) == 2
