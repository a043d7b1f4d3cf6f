"""A program that gives commands from many terminals at once, and kills some of them at work.

Run as ``python terminals.py SCENE ORDERS``, the orders in JSON; it prints what came of it as JSON.
It loads the program once and forks for every terminal, so that hundreds of races, and a death at
every single step of a command, take seconds. Every child is a process with a command line of its
own; what it shares with the others is the disk.
"""

from __future__ import annotations

import contextlib
import fcntl
import io
import json
import os
import random
import select
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from bedplate.cli.main import main
from bedplate.record.appending import OpenJob, Propose
from bedplate.record.batch import Appended, Batch
from bedplate.record.lock import locked
from bedplate.record.stamping import moment_text

Json = dict[str, Any]
JOB = Path("pump.job.jsonl")
STEPS = ("open", "write", "fsync", "ftruncate", "unlink", "replace", "rename", "mkdir")
"""What a command does to a disk, by the functions that do it; and `flock` is one more."""

_write, _open, _close = os.write, os.open, os.close


def given(words: Sequence[str]) -> Json:
    """Give one command line; return its exit code and what it said."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(words)
    return {"code": code, "out": out.getvalue(), "err": err.getvalue()}


class Terminal:
    """A process that waits for its start, does something, and tells what came of it."""

    def __init__(self, work: Callable[[], object]) -> None:
        starts, self._start = os.pipe()
        self._told, tells = os.pipe()
        self.pid = os.fork()
        if self.pid == 0:
            _close(self._start)
            os.read(starts, 1)
            _write(tells, json.dumps(work()).encode() + b"\n")
            os._exit(0)
        _close(starts)
        _close(tells)

    def start(self) -> None:
        _write(self._start, b"!")

    def ended(self) -> Any:
        """Wait for its end; return what it told, None where it was killed before."""
        with os.fdopen(self._told, "rb") as pipe:
            told = pipe.read()
        os.waitpid(self.pid, 0)
        _close(self._start)
        return json.loads(told) if told.endswith(b"\n") else None


def warmed(words: Sequence[str], data: bytes) -> None:
    """Load all that a command needs, by giving it once to a job elsewhere."""
    here = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        for sheet in here.glob("*.toml"):
            (Path(folder) / sheet.name).write_bytes(sheet.read_bytes())
        os.chdir(folder)
        if data:
            JOB.write_bytes(data)
        given(words)
        os.chdir(here)


def race(orders: Json) -> list[Json]:
    """Have two terminals give the same command to the same job at once, many times."""
    data = JOB.read_bytes()
    warmed(orders["words"], data)
    if orders.get("decided_before_the_lock"):
        OpenJob.append = _append_what_was_decided_before  # type: ignore[method-assign]
    found = []
    for _ in range(orders["times"]):
        JOB.write_bytes(data)
        both = [Terminal(lambda: given(orders["words"])) for _ in range(2)]
        for one in both:
            one.start()
        said = [one.ended() for one in both]
        found.append({"said": said, "data": JOB.read_bytes().decode()})
    return found


def _append_what_was_decided_before(
    self: OpenJob, propose: Propose, *, by: str, now: Callable[[], datetime]
) -> Appended:
    """Append as a program would that asks its rules first and takes the lock afterwards."""
    entries = propose(self.entries)
    time.sleep(0.005)
    with locked(self._descriptor, self.path):
        tail = self._catch_up()
        batch = Batch(self._chain.count, self._chain.link, by, moment_text(now()))
        for entry in entries:
            batch.add(entry)
        return self._write(batch, tail, finishing=False)


def crowd(orders: Json) -> list[list[int]]:
    """Have several hands give many notes to one job at once; return their exit codes."""
    warmed(["note", "x"], JOB.read_bytes())

    def work(hand: str) -> list[int]:
        words = [["note", f"{hand}.{k}", "--by", hand] for k in range(orders["times"])]
        return [given(each)["code"] for each in words]

    hands = [Terminal(lambda hand=hand: work(hand)) for hand in orders["hands"]]  # type: ignore[misc]
    for one in hands:
        one.start()
    return [one.ended() for one in hands]


def kills(orders: Json) -> list[str]:
    """Kill a terminal that measures for ever, at random moments; return what it acknowledged."""
    dice = random.Random(orders["seed"])
    warmed(["measure", "D", "1.0030", "--again", "--json"], JOB.read_bytes())
    acknowledged = []
    for turn in range(orders["times"]):
        heard, told = os.pipe()
        child = os.fork()
        if child == 0:
            for number in range(100):
                note = f"{turn}.{number}"
                said = given(["measure", "D", "1.0030", "--again", "--json", "--note", note])
                if said["code"] == 0:
                    _write(told, note.encode() + b"\n")
            os._exit(0)
        _close(told)
        with os.fdopen(heard, "rb") as pipe:
            select.select([pipe], [], [], 10)
            time.sleep(dice.uniform(0, orders["within"]))
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            lines = pipe.readlines()
        acknowledged += [line.decode().strip() for line in lines if line.endswith(b"\n")]
    return acknowledged


def barred(orders: Json) -> Json:
    """Give a command as somebody whom the modes of files bind, even where the tests are root's."""
    warmed(orders["words"], JOB.read_bytes() if JOB.exists() else b"")
    os.environ["BEDPLATE_HOME"] = "."

    def work() -> Json:
        if os.geteuid() == 0:
            os.setgroups([])
            os.setgid(orders["nobody"])
            os.setuid(orders["nobody"])
        return given(orders["words"])

    terminal = Terminal(work)
    terminal.start()
    return dict(terminal.ended())


class _Death:
    """Dies at one step of a command: before it, or, in a write, when a part is written."""

    def __init__(self, at: int, part: float) -> None:
        self.left, self.part = at, part

    def put(self) -> None:
        for name in STEPS:
            setattr(os, name, self._step(name, getattr(os, name)))
        fcntl.flock = self._step("flock", fcntl.flock)

    def _step(self, name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def step(*arguments: Any, **named: Any) -> Any:
            self.left -= 1
            if self.left < 0:
                if name == "write" and self.part:
                    descriptor, data = arguments
                    _write(descriptor, bytes(data)[: max(1, int(len(data) * self.part))])
                os.kill(os.getpid(), signal.SIGKILL)
            return function(*arguments, **named)

        return step


def deaths(orders: Json) -> list[Json]:
    """Have a command die at every step it takes; say what stood on the disk after each death.

    After each the orders' second command is given by a terminal that lives.
    """
    before = JOB.read_bytes() if JOB.exists() else b""
    warmed(orders["words"], before)
    found = []
    at = 0
    while True:
        told: list[Json | None] = []
        for part in orders["parts"]:
            for old in Path().glob(f"{JOB}*"):
                old.unlink()
            if before:
                JOB.write_bytes(before)
            found.append(_death(orders, at, part))
            told.append(found[-1]["acknowledged"])
        if all(told):
            return found
        at += 1


def _death(orders: Json, at: int, part: float) -> Json:
    def work() -> Json:
        _Death(at, part).put()
        return given(orders["words"])

    dying = Terminal(work)
    dying.start()
    acknowledged = dying.ended()
    left = JOB.read_bytes() if JOB.exists() else b""
    living = Terminal(lambda: given(orders["then"]))
    living.start()
    return {
        "at": at,
        "part": part,
        "acknowledged": acknowledged,
        "left": left.decode(),
        "then": living.ended(),
        "data": JOB.read_bytes().decode() if JOB.exists() else "",
        "kept": [path.read_text() for path in sorted(Path().glob("*.torn-*"))],
    }


if __name__ == "__main__":
    scenes: dict[str, Callable[[Json], object]] = {
        "race": race, "crowd": crowd, "kills": kills, "deaths": deaths,
        "barred": barred,
    }  # fmt: skip
    sys.stdout.write(json.dumps(scenes[sys.argv[1]](json.loads(sys.argv[2]))))
