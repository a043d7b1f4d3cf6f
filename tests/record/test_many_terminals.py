"""Commands from many terminals at once, and commands that die at work: real processes."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from at_the_bench import bedplate, command, done, process
from stranger import Checked, examine

if sys.platform == "win32":
    pytest.skip("these fork, stop and kill as Windows cannot", allow_module_level=True)

import resource

from bedplate.record.appending import OpenJob

TERMINALS = Path(__file__).parents[1] / "support" / "terminals.py"
JOB = Path("pump.job.jsonl")
SHEET = """
format = "bedplate-sheet/1"
title = "Bilge pump gearbox"
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "body"
[[component]]
id = "gear"
positions = "gear"
[[feature]]
tag = "D"
of = "body"
nominal = "1.0030"
[[feature]]
tag = "H"
of = "gear"
stations = { tooth = ["a", "b", "c"] }
nominal = "1.0000"
[[fasteners]]
tag = "N"
name = "cover nuts"
count = 4
lock = "tab washer"
holds = ["body"]
spends = { locked = { "tab washer" = 4 } }
"""


@pytest.fixture(autouse=True)
def _at_the_bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in a folder of one's own, with a job ``pump`` by a sheet."""
    monkeypatch.setenv("BEDPLATE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    Path("pump.toml").write_text(SHEET, "utf-8")
    done("open", "pump", "--sheet", "pump.toml")


def played(scene: str, **orders: object) -> Any:
    """Have the terminals play a scene in this folder; return what came of it."""
    words = [sys.executable, str(TERMINALS), scene, json.dumps(orders)]
    played = subprocess.run(words, capture_output=True, text=True, check=False)
    assert (played.returncode, played.stderr) == (0, "")
    return json.loads(played.stdout)


def whole(data: bytes) -> Checked:
    """Return what a stranger makes of a job, which must be whole and have no torn tail."""
    found = examine(data)
    assert (found.wrong, found.torn) == (None, b"")
    return found


# --- several at once -----------------------------------------------------------------------------


def nuts_ready() -> None:
    """Bring the nuts where they can be locked, with one draw of washers at hand."""
    done("fasten", "N", "removed")
    done("fasten", "N", "tight")
    done("use", "tab washer", "--count", "4")


def draws(races: list[dict[str, Any]]) -> Counter[int]:
    """Return how often each number of draws came out of a race; what was said must agree."""
    found: Counter[int] = Counter()
    for each in races:
        entries = whole(each["data"].encode()).entries
        locked = [entry for entry in entries if entry.get("state") == "locked"]
        codes = sorted(said["code"] for said in each["said"])
        assert codes == ([0, 0] if len(locked) > 1 else [0, 1]), each
        found[len(locked)] += 1
    return found


def test_two_terminals_that_race_to_lock_a_set_take_one_draw_of_washers() -> None:
    nuts_ready()
    races = played("race", words=["fasten", "N", "locked"], times=20)
    assert draws(races) == {1: 20}
    for each in races:
        (refused,) = (said for said in each["said"] if said["code"] == 1)
        assert refused["out"] == ""
        assert refused["err"].startswith(
            "Refused. N (cover nuts) may not be locked: it is locked already (entry 5,"
        )


@pytest.mark.slow
def test_two_terminals_take_one_draw_of_washers_in_200_of_200_races() -> None:
    nuts_ready()
    assert draws(played("race", words=["fasten", "N", "locked"], times=200)) == {1: 200}


def test_rules_asked_before_the_lock_would_take_two_draws() -> None:
    nuts_ready()
    races = played("race", words=["fasten", "N", "locked"], times=10, decided_before_the_lock=True)
    assert draws(races)[2] > 0, "then the races above would show nothing"


def test_eight_hands_at_one_job_lose_nothing_and_double_nothing() -> None:
    hands = [f"hand{number}" for number in range(8)]
    assert played("crowd", hands=hands, times=6) == [[0] * 6] * 8
    entries = whole(JOB.read_bytes()).entries
    assert len(entries) == 1 + 8 * 6
    for hand in hands:
        notes = [entry["note"] for entry in entries if entry["by"] == hand]
        assert notes == [f"{hand}.{number}" for number in range(6)]


def test_eight_processes_of_their_own_lose_nothing() -> None:
    running = [
        subprocess.Popen(command("note", f"by {n}"), stdout=subprocess.PIPE) for n in range(8)
    ]
    told = [each.communicate()[0].decode() for each in running]
    assert [each.returncode for each in running] == [0] * 8
    entries = whole(JOB.read_bytes()).entries
    assert sorted(entry["note"] for entry in entries[1:]) == [f"by {n}" for n in range(8)]
    for n, said in enumerate(told):
        number = next(entry["n"] for entry in entries if entry.get("note") == f"by {n}")
        assert said.startswith(f"entry {number} ")


HOLD = """
import os, sys
from pathlib import Path
from bedplate.record.lock import locked
path = Path("pump.job.jsonl")
with locked(os.open(path, os.O_RDWR), path):
    print("held", flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def holder() -> Iterator[subprocess.Popen[bytes]]:
    """Hold the job's lock in another process, until it is killed."""
    words = [sys.executable, "-c", HOLD]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"held\n"
        yield process
        process.kill()


def test_the_lock_of_a_process_that_was_killed_blocks_nobody(
    holder: subprocess.Popen[bytes],
) -> None:
    holder.send_signal(signal.SIGKILL)
    holder.wait()
    assert process("note", "x").code == 0


def test_the_lock_of_a_process_that_was_stopped_blocks_and_is_named(
    holder: subprocess.Popen[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    holder.send_signal(signal.SIGSTOP)
    before = JOB.read_bytes()
    defaults = OpenJob.__init__.__kwdefaults__
    assert defaults is not None
    monkeypatch.setitem(defaults, "wait", 0.2)
    assert_held(bedplate("note", "x"), holder.pid, "0.2")
    assert JOB.read_bytes() == before


@pytest.mark.slow
def test_the_lock_of_a_process_that_was_stopped_is_waited_for_ten_seconds(
    holder: subprocess.Popen[bytes],
) -> None:
    holder.send_signal(signal.SIGSTOP)
    assert_held(process("note", "x"), holder.pid, "10")


def assert_held(answer: Any, pid: int, waited: str) -> None:
    who = f" (process {pid})" if Path("/proc/locks").exists() else ""
    message = f"Not recorded. Another bedplate{who} is writing to pump.job.jsonl; waited"
    hint = "  Look for it in another window, then give the same command again."
    assert (answer.code, answer.out) == (3, "")
    assert " ".join(answer.err.split()) == " ".join(f"{message} {waited} s.\n{hint}".split())


@pytest.mark.parametrize("fate", ["replaced", "unlinked"])
def test_a_file_that_is_replaced_while_a_command_waits_for_it_is_left_alone(
    holder: subprocess.Popen[bytes], fate: str
) -> None:
    waiting = subprocess.Popen(command("note", "x"), stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, text=True)  # fmt: skip
    wait_until_blocked(waiting.pid)
    other = JOB.read_bytes()
    if fate == "replaced":
        Path("new").write_bytes(other)
        Path("new").replace(JOB)
    else:
        JOB.unlink()
    holder.kill()
    out, err = waiting.communicate()
    assert (waiting.returncode, out) == (3, "")
    assert err.splitlines() == [
        "Not recorded. pump.job.jsonl was moved, deleted or replaced since it was",
        "opened.",
        "  See what is there now:  bedplate --job pump log",
    ]
    assert JOB.exists() is (fate == "replaced")
    assert not JOB.exists() or JOB.read_bytes() == other


def wait_until_blocked(pid: int) -> None:
    """Wait until a process has the job's file open: then it has read it, and wants the lock."""
    for _ in range(1_000):
        with_open = {os.path.realpath(link) for link in Path(f"/proc/{pid}/fd").glob("*")}
        if str(JOB.absolute()) in with_open:
            time.sleep(0.3)
            return
        time.sleep(0.01)
    pytest.fail("it never opened the job")


# --- killed at work ------------------------------------------------------------------------------


def nothing_acknowledged_is_lost(times: int) -> None:
    acknowledged = played("kills", times=times, seed=5, within=0.08)
    found = examine(JOB.read_bytes())
    assert found.wrong is None
    notes = [entry["note"] for entry in found.entries if entry["kind"] == "reading"]
    assert len(set(notes)) == len(notes)
    assert [note for note in acknowledged if note not in notes] == []
    assert times <= len(acknowledged) <= len(notes) <= len(acknowledged) + times
    done("note", "after it all")
    whole(JOB.read_bytes())


@pytest.mark.skipif(sys.platform != "linux", reason="needs no more than once")
def test_no_reading_that_measure_acknowledged_is_lost_in_ten_kills() -> None:
    nothing_acknowledged_is_lost(10)


@pytest.mark.slow
def test_no_reading_that_measure_acknowledged_is_lost_in_300_kills() -> None:
    nothing_acknowledged_is_lost(300)


def test_a_measure_that_dies_at_any_of_its_steps_is_recorded_whole_or_not_at_all() -> None:
    before = JOB.read_bytes()
    found = played(
        "deaths",
        words=["measure", "D", "1.0030"],
        then=["note", "after"],
        parts=[0, 0.01, 0.5, 0.999, 1],
    )
    kept = 0
    for each in found:
        left = examine(each["left"].encode())
        assert left.wrong is None, each
        assert left.lines[:1] == [before]
        assert len(left.lines) <= 2
        if each["acknowledged"] is not None:
            assert (len(left.lines), left.torn) == (2, b"")
        assert each["then"]["code"] == 0, each
        after = whole(each["data"].encode())
        kinds = [entry["kind"] for entry in after.entries[len(left.lines) :]]
        torn = left.torn
        if torn and after.entries[1]["kind"] == "reading":
            assert kinds == ["reading", "finding"]
            assert each["then"]["err"].startswith("Recorded, and entry 2, whose write was cut")
        elif torn:
            assert kinds == ["set-aside", "finding"]
            assert each["kept"] == [torn.decode()]
            aside = after.entries[1]
            assert (aside["bytes"], aside["sha256"]) == (len(torn), sha256(torn).hexdigest())
            kept += 1
        else:
            assert kinds == ["finding"]
    assert kept >= 2, "some deaths left a torn tail"
    assert len({each["at"] for each in found}) >= 5, "it takes some steps to record"


def test_an_open_that_dies_at_any_of_its_steps_leaves_nothing_in_the_way() -> None:
    JOB.unlink()
    words = ["open", "pump", "--sheet", "pump.toml"]
    found = played("deaths", words=words, then=words, parts=[0, 0.01, 0.5, 0.999, 1])
    begun = Counter[tuple[str, ...]]()
    for each in found:
        then, after = each["then"], whole(each["data"].encode())
        kinds = tuple(entry["kind"] for entry in after.entries)
        begun[kinds] += 1
        if examine(each["left"].encode()).lines:
            assert (then["code"], kinds) == (2, ("opened",)), each
            assert then["err"].startswith("Not opened. pump is already open (1 entry).")
        elif each["left"]:
            assert (then["code"], kinds) == (0, ("opened", "set-aside")), each
            assert each["kept"] == [each["left"]]
        else:
            assert (then["code"], kinds) == (0, ("opened",)), each
    assert begun[("opened", "set-aside")] >= 2
    assert begun[("opened",)] >= 5


# --- disks that fail -----------------------------------------------------------------------------


@pytest.mark.parametrize("room", [0, 1, 150])
def test_a_full_disk_is_said_and_what_was_typed_is_given_back(room: int) -> None:
    done("measure", "D", *["1.0030"] * 33)
    before = JOB.read_bytes()

    def limit() -> None:
        hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
        resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) + room, hard))

    ended = subprocess.run(
        command("measure", "H.idler@b", "0.9978"), capture_output=True, text=True, check=False,
        preexec_fn=limit,
    )  # fmt: skip
    assert (ended.returncode, ended.stdout) == (3, "")
    assert ended.stderr.splitlines() == [
        "Not recorded. The disk is full: pump.job.jsonl is as it was, 34 entries.",
        "  Free some space and give the same command again.",
        "  The reading you typed:  H.idler@b 0.9978",
    ]
    assert JOB.read_bytes() == before
    assert process("measure", "H.idler@b", "0.9978").code == 0


def failing(number: int, calls: list[int]) -> Any:
    def fails(descriptor: int, *_: object) -> int:
        calls.append(descriptor)
        raise OSError(number, os.strerror(number))

    return fails


def test_a_disk_that_cannot_write_is_said_and_tried_once(monkeypatch: pytest.MonkeyPatch) -> None:
    before, calls = JOB.read_bytes(), list[int]()
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", failing(5, calls))
        answer = bedplate("measure", "H.idler@b", "0.9978")
    assert (answer.code, answer.out, len(calls)) == (3, "", 1)
    assert answer.err.splitlines() == [
        "Not recorded. pump.job.jsonl could not be written (input/output error); it is",
        "as it was, 1 entry.",
        "  See to the disk, then give the same command again.",
        "  The reading you typed:  H.idler@b 0.9978",
    ]
    assert JOB.read_bytes() == before


def test_a_disk_that_does_not_confirm_is_never_asked_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls: list[int] = []
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", failing(5, calls))
        answer = bedplate("measure", "H.idler@b", "0.9978")
    assert (answer.code, answer.out, len(calls)) == (3, "", 1)
    assert answer.err.splitlines() == [
        "It may or may not be recorded: pump.job.jsonl was not confirmed (input/output",
        "error).",
        "  Look with:  bedplate log",
    ]
    whole(JOB.read_bytes())


def test_a_folder_that_does_not_confirm_a_new_job_is_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fsync, calls = os.fsync, list[int]()

    def second_fails(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 2:
            raise OSError(5, os.strerror(5))
        fsync(descriptor)

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", second_fails)
        answer = bedplate("open", "head")
    assert (answer.code, answer.out, len(calls)) == (3, "", 2)
    assert answer.err.splitlines()[0].startswith("It may or may not last: the folder was not")


NOBODY = 65_534


@contextlib.contextmanager
def modes(*, folder: int = 0o755, file: int = 0o644) -> Iterator[None]:
    """Have other modes on this folder and the job, which belong to whom they bind."""
    here = Path.cwd()
    for path in [here, *here.iterdir()] if os.geteuid() == 0 else ():
        os.chown(path, NOBODY, NOBODY)
    JOB.chmod(file)
    here.chmod(folder)
    try:
        yield
    finally:
        here.chmod(0o755)


def test_a_job_in_a_folder_that_may_not_be_written_is_gone_on_with() -> None:
    with modes(folder=0o555):
        said = played("barred", words=["note", "x"], nobody=NOBODY)
    assert (said["code"], said["out"]) == (0, "entry 2   note: x\n")
    assert len(whole(JOB.read_bytes()).entries) == 2


def test_a_job_that_may_not_be_written_is_read_and_not_added_to() -> None:
    before = JOB.read_bytes()
    with modes(file=0o444):
        said = played("barred", words=["measure", "D", "1.0030"], nobody=NOBODY)
        assert played("barred", words=["log"], nobody=NOBODY)["code"] == 0
    assert (said["code"], said["out"]) == (3, "")
    assert said["err"].splitlines() == [
        "Not recorded. pump.job.jsonl may not be written by you.",
        "  See who owns the file and its folder.",
    ]
    assert JOB.read_bytes() == before


def test_a_tail_that_cannot_be_kept_is_not_cut_off() -> None:
    before = JOB.read_bytes() + b'{"n":2,"at":'
    JOB.write_bytes(before)
    with modes(folder=0o555):
        said = played("barred", words=["note", "x"], nobody=NOBODY)
    assert (said["code"], said["out"]) == (3, "")
    assert said["err"].splitlines() == [
        "Not recorded. What a write that was cut short has left in pump.job.jsonl could",
        "not be set aside (permission denied).",
        "  See to the disk, then give the same command again.",
    ]
    assert JOB.read_bytes() == before


def test_no_job_is_begun_in_a_folder_that_may_not_be_written() -> None:
    with modes(folder=0o555):
        said = played("barred", words=["open", "head"], nobody=NOBODY)
    assert (said["code"], said["out"]) == (3, "")
    assert said["err"] == "Not opened. head.job.jsonl could not be made (permission denied).\n"
    assert not Path("head.job.jsonl").exists()


# --- tails, and clocks ---------------------------------------------------------------------------


def test_nul_bytes_behind_the_last_line_are_set_aside_and_said() -> None:
    with JOB.open("ab") as file:
        file.write(b"\0" * 4_096)
    status = done("status")
    assert status.err.splitlines()[:2] == [
        "4096 bytes after entry 1 were left by a write that was cut short; they were",
        "  never acknowledged and are not counted.",
    ]
    assert examine(JOB.read_bytes()).torn == b"\0" * 4_096, "who reads leaves it alone"
    answer = done("note", "x")
    kept = f"pump.job.jsonl.torn-2-{sha256(bytes(4_096)).hexdigest()[:16]}"
    assert Path(kept).read_bytes() == b"\0" * 4_096
    assert answer.err.splitlines()[:2] == [
        "Recorded, but before it stood the rest of a write that was cut short; it is",
        f"  kept in {kept}.",
    ]
    assert [entry["kind"] for entry in whole(JOB.read_bytes()).entries] == [
        "opened", "set-aside", "finding",
    ]  # fmt: skip


def test_a_whole_last_line_gets_the_newline_it_lacks() -> None:
    done("note", "x")
    data = JOB.read_bytes()
    JOB.write_bytes(data[:-1])
    answer = done("note", "y")
    assert answer.err.splitlines()[:2] == [
        "Recorded, and entry 2, whose write was cut short before its line end, was",
        "  completed.",
    ]
    assert JOB.read_bytes().startswith(data)
    assert [entry.get("note") for entry in whole(JOB.read_bytes()).entries] == [None, "x", "y"]


def test_a_clock_that_was_set_back_is_said_and_changes_no_order() -> None:
    line = JOB.read_bytes()
    at = json.loads(line)["at"]
    JOB.write_bytes(line.replace(at.encode(), f"2999{at[4:]}".encode()))
    answer = done("note", "x")
    assert answer.err.splitlines()[:2] == [
        "Recorded, but entry 1 is dated later: the clock of this computer was set back.",
        "  The order of entries is that of their numbers.",
    ]
    assert [entry["n"] for entry in whole(JOB.read_bytes()).entries] == [1, 2]
    assert "The clock was set back before entry 2." in done("verify").out
