"""Files that somebody, or something, has been at: never more than a finding or a refusal."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from copy import deepcopy
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from signed_jobs import ANN, AT, KNOWN, NAMES, SHEET, Pen, reading, signed_job

from bedplate.errors import BedplateError
from bedplate.record import entries as e
from bedplate.record.chain import check
from bedplate.seal.rejoin import rejoin
from bedplate.seal.sealed import Sealed, sealed_text
from bedplate.seal.verify import Wanted, verify

if sys.platform != "win32":
    import resource

JOB = signed_job()
HEAD = str(verify(JOB, KNOWN).head)
PATIENCE = 2.0
"""Seconds of work that no file of a few lines, or of a megabyte, may take."""
MEMORY = 300
"""MiB by which a process may grow over such files, however many."""


def long_job() -> bytes:
    """Return a job of many kinds, signed, reopened, signed again."""
    pen = (
        Pen()
        .open()
        .write(
            e.GaugeDescribed(gauge={"name": "mic1", "kind": "micrometer"}),
            e.Setting(gauge="mic1", shown="0.0001 in", reference="1 in"),
            reading("D", gauge="mic1", on=({"place": "body", "part": "body", "life": 1},)),
            e.Strike(entry=4, why="misread"),
            e.Changed(component="gear.idler", how="new", mark="B"),
            e.Finding(place="gear", severity="watch", note="a line"),
            e.Attachment(file="pump.files/" + "ab" * 8, name="x.jpg", sha256="ab" * 32),
        )
    )
    pen.sign().write(reading("W"), e.Reopened(why="more"), e.SheetRevised(what="add", sheet=SHEET))
    return pen.sign().write(reading("W", "2 in")).data


LONG = long_job()


# --- bytes ---------------------------------------------------------------------------------------


def bytes_changed(data: bytes, dice: random.Random) -> bytes:
    at, out = dice.randrange(len(data) + 1), dice.choice((0, 1, 1, 40))
    return data[:at] + dice.randbytes(dice.randrange(4)) + data[at + out :]


def cut(data: bytes, dice: random.Random) -> bytes:
    return data[: dice.randrange(len(data) + 1)]


def spliced(data: bytes, dice: random.Random) -> bytes:
    return data[: dice.randrange(len(data) + 1)] + data[dice.randrange(len(data) + 1) :]


def lines_changed(data: bytes, dice: random.Random) -> bytes:
    lines = data.splitlines(keepends=True) or [b""]
    at, line = dice.randrange(len(lines) + 1), dice.choice(lines)
    if dice.random() < 0.5:
        lines.remove(line)
    if dice.random() < 0.7:
        lines.insert(at, line)
    if dice.random() < 0.1:
        dice.shuffle(lines)
    return b"".join(lines)


def line_ends_changed(data: bytes, dice: random.Random) -> bytes:
    end = dice.choice((b"\r\n", b"\r", b"\n\n", b"\0\n", b"\x0b"))
    return data.replace(b"\n", end, dice.choice((-1, 1, 3)))


def words_changed(data: bytes, dice: random.Random) -> bytes:
    old, new = dice.choice(SWAPS)
    return data.replace(old, new, dice.choice((-1, 1, 2)))


TURNS = (bytes_changed, cut, spliced, lines_changed, line_ends_changed, words_changed)


def mutated(data: bytes, dice: random.Random) -> bytes:
    """Return the bytes with one to four things done to them."""
    for _ in range(dice.choice((1, 1, 1, 2, 4))):
        data = dice.choice(TURNS)(data, dice)
    return data


SWAPS = (
    (b'"n":', b'"n": '), (b"Ann", b"Eve"), (b"1.000", b"1.001"), (b'":"signed"', b'":"x"'),
    (b"bedplate-job/1", b"bedplate-job/9"), (b"prev", b"Prev"), (b"5f", b"6f"), (b"{", b"[{"),
    (b'"by"', b'"by":1,"by"'), (b"}", b',"z":null}'), (b"\xc3\x9c", b"\xff"), (b":1,", b":1e400,"),
    (b":1,", b":" + b"9" * 5000 + b","), (b'"D"', b"[" * 3000), (b"handover", b"handover\\n"),
)  # fmt: skip


def peak() -> int:
    """Return the most memory this process has taken, in MiB; 0 where the system keeps no count."""
    if sys.platform == "win32":
        return 0
    size = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return size // (1024 if sys.platform != "darwin" else 1 << 20)


def check_file(data: bytes) -> None:
    """See that a file is not taken for a signed one that it does not begin as, nor does worse."""
    begun = time.process_time()
    found = verify(data, KNOWN)
    assert time.process_time() - begun < PATIENCE
    json.dumps(found.as_json())
    if found.signed:
        signed = max(seal.entry for seal in found.seals if seal.ok)
        before = (b"".join(whole.splitlines(keepends=True)[:signed]) for whole in (JOB, LONG))
        assert data.startswith(tuple(before))
    if not found.ok:
        assert found.reason
    if data.startswith(JOB[:40]):
        held = verify(data, KNOWN, wanted=Wanted(head=HEAD, signed=True))
        assert not held.ok or data.startswith(JOB)


def check_mutated(count: int, seed: int) -> None:
    """See that none of many mutated files is taken for a signed one, or does worse."""
    dice, before = random.Random(seed), peak()
    for number in range(count):
        data = mutated(dice.choice((JOB, LONG)), dice)
        try:
            check_file(data)
        except AssertionError as error:
            error.add_note(f"file {number} of seed {seed}")
            raise
        assert peak() < before + MEMORY, (seed, number)


def test_thousands_of_mutated_files_are_findings() -> None:
    check_mutated(2_000, seed=1)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 120))
def test_a_million_mutated_files_are_findings(seed: int) -> None:
    check_mutated(50_000, seed)


@pytest.mark.slow
def test_files_guided_by_the_code_they_reach_are_findings() -> None:
    pytest.importorskip("atheris", reason="guides by coverage, on some systems only")
    script = Path(__file__).with_name("guided.py")
    ended = subprocess.run(
        [sys.executable, script, "-runs=20000", "-seed=7"], capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert ended.returncode == 0, ended.stderr
    assert "Done 20000 runs" in ended.stderr


@given(st.binary(max_size=200))
def test_any_bytes_are_a_finding(data: bytes) -> None:
    assert not verify(data, KNOWN).ok


@given(st.data())
@settings(max_examples=300)
def test_any_piece_put_anywhere_is_a_finding(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(JOB)))
    out = data.draw(st.integers(0, 80))
    put = data.draw(st.one_of(st.binary(max_size=30), st.text(max_size=20).map(str.encode)))
    changed = JOB[:at] + put + JOB[at + out :]
    found = verify(changed, KNOWN)
    if found.signed:
        assert changed.startswith(JOB)


THINGS = (b"\r", b"\0", b"\n", b"\0\n", b"\r\n", b"[", b"{", b'{"n":', b'"', b"\\", b"9", b"\xff")


@pytest.mark.parametrize("thing", THINGS)
def test_a_large_file_of_one_thing_takes_no_long_time(thing: bytes) -> None:
    begun = time.process_time()
    found = verify(JOB + thing * ((1 << 20) // len(thing)), KNOWN)
    assert time.process_time() - begun < PATIENCE
    assert (found.seals[0].entry, found.seals[0].fault) == (5, None)


# --- fields, with the chain worked out anew ------------------------------------------------------

TEXTS = (
    " ", "D", "gear", "gear.idler", "gear.all", "H.idler@a", "@", ".", "nothing", "body.x", "H",
    "A" * 4000, "\u202e", "1 in", "1e9", "BW", "handover", AT, "new", "moved", "reworked",
    "ab" * 32,
)  # fmt: skip
KEPT = ("n", "prev", "kind", "at", "format")
OTHERS: tuple[Any, ...] = (None, True, -1, 0, 1, 2, 5, 10**19, "", [], {}, ["D"], [{}], {"D": "D"})


def hostile(dice: random.Random) -> bytes:
    """Return a job whose chain is whole and whose entries say what no command would."""
    link = e.NO_LINE
    lines: list[bytes] = []
    for line in LONG.splitlines():
        entry = json.loads(line)
        for _ in range(dice.choice((0, 0, 0, 0, 0, 1, 2))):
            inner = [entry[key] for key in ("sheet", "gauge") if isinstance(entry.get(key), dict)]
            holder = dice.choice([entry, *inner])
            key = dice.choice([key for key in holder if key not in KEPT] or ["more"])
            holder[key] = deepcopy(dice.choice(TEXTS if dice.random() < 0.8 else OTHERS))
        entry["n"], entry["prev"] = len(lines) + 1, link
        if entry["kind"] == "signed":
            seal_again(entry, b"".join(lines))
        entry["prev"] = entry.pop("prev")
        text = json.dumps(entry, ensure_ascii=False, separators=(",", ":"))
        lines.append(text.encode("utf-8", "replace") + b"\n")
        link = sha256(lines[-1]).hexdigest()
    return b"".join(lines)


def seal_again(entry: dict[str, Any], before: bytes) -> None:
    """Make a seal hold over what it stands behind."""
    sealed = Sealed(
        job="5f" * 16,
        moment="handover",
        entries=entry["n"] - 1,
        sha256=sha256(before).hexdigest(),
        key=ANN.public.hex,
        name=NAMES[ANN.public.raw],
        role="",
        at=AT,
        statement="",
    )
    text = sealed_text(sealed)
    entry |= {"at": AT, "by": sealed.name, "sealed": text, "key": sealed.key}
    entry["signature"] = ANN.sign(text.encode()).hex()


def check_hostile(count: int, seed: int) -> Iterator[bool]:
    """Verify and rejoin hostile jobs; yield whether each was taken for whole."""
    dice = random.Random(seed)
    for _ in range(count):
        data = hostile(dice)
        begun = time.process_time()
        found = verify(data, KNOWN)
        try:
            rejoin(check(Pen(LONG).write(reading("H.idler@a")).data), check(data))
            rejoin(check(data), check(Pen(data).write(reading("D")).data))
        except BedplateError:
            pass
        assert time.process_time() - begun < PATIENCE
        yield found.first_bad_entry is None


def test_a_thousand_hostile_jobs_are_findings_or_refusals() -> None:
    whole = list(check_hostile(1_000, seed=3))
    assert 100 < sum(whole) < 1_000, "some pass as whole, so that what follows is tried as well"


@pytest.mark.slow
def test_a_hundred_thousand_hostile_jobs_are_findings_or_refusals() -> None:
    assert len(list(check_hostile(100_000, seed=4))) == 100_000
