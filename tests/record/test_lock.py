from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from bedplate.errors import StorageError
from bedplate.record import lock
from bedplate.record.lock import holder_of, locked

if sys.platform == "win32":
    pytest.skip("these take the lock of another kind of system", allow_module_level=True)

HOLD = """
import os, sys
from pathlib import Path
from bedplate.record.lock import locked
path = Path(sys.argv[1])
descriptor = os.open(path, os.O_RDWR)
with locked(descriptor, path):
    print("held", flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "pump.job.jsonl"
    made.write_bytes(b"one\n")
    return made


@pytest.fixture
def descriptor(path: Path) -> Iterator[int]:
    opened = os.open(path, os.O_RDWR)
    yield opened
    os.close(opened)


@pytest.fixture
def holder(path: Path) -> Iterator[subprocess.Popen[bytes]]:
    """Hold the lock in another process until its standard input is closed."""
    command = [sys.executable, "-c", HOLD, str(path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"held\n"
        yield process
        process.kill()


def test_a_lock_is_taken_and_left_again(path: Path, descriptor: int) -> None:
    again = os.open(path, os.O_RDWR)
    try:
        with locked(descriptor, path), pytest.raises(StorageError), locked(again, path, wait=0):
            pytest.fail("taken twice")
        with locked(again, path, wait=0):
            pass
    finally:
        os.close(again)


def test_a_lock_is_left_when_the_block_fails(path: Path, descriptor: int) -> None:
    with pytest.raises(ZeroDivisionError), locked(descriptor, path):
        raise ZeroDivisionError
    again = os.open(path, os.O_RDWR)
    try:
        with locked(again, path, wait=0):
            pass
    finally:
        os.close(again)


@pytest.mark.skipif(not Path("/proc/locks").exists(), reason="the system does not tell who")
def test_who_holds_it_is_named(
    path: Path, descriptor: int, holder: subprocess.Popen[bytes]
) -> None:
    assert holder_of(descriptor) == holder.pid
    with pytest.raises(StorageError) as caught, locked(descriptor, path, wait=0.05):
        pytest.fail("taken from another")
    assert caught.value.as_lines() == [
        f"Not recorded. Another bedplate (process {holder.pid}) is writing to pump.job.jsonl; "
        "waited 0.05 s.",
        "  Look for it in another window, then give the same command again.",
    ]


def test_it_is_not_named_where_the_system_does_not_tell(
    path: Path,
    descriptor: int,
    holder: subprocess.Popen[bytes],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(lock, "holder_of", lambda _: None)
    fate = "Not opened."
    with pytest.raises(StorageError) as caught, locked(descriptor, path, wait=0, fate=fate):
        pytest.fail("taken from another")
    assert caught.value.message == (
        "Not opened. Another bedplate is writing to pump.job.jsonl; waited 0 s."
    )
    assert holder.poll() is None


def test_nobody_holds_a_free_lock(descriptor: int) -> None:
    assert holder_of(descriptor) is None


def test_the_lock_dies_with_its_process(
    path: Path, descriptor: int, holder: subprocess.Popen[bytes]
) -> None:
    holder.kill()
    with locked(descriptor, path, wait=5):
        assert holder_of(descriptor) in {os.getpid(), None}


def test_it_is_waited_for(path: Path, descriptor: int, holder: subprocess.Popen[bytes]) -> None:
    assert holder.stdin is not None
    holder.stdin.close()
    with locked(descriptor, path, wait=5):
        pass


def test_a_disk_without_locks_is_said(
    path: Path, descriptor: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(_: int) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(lock, "_take", none)
    with pytest.raises(StorageError) as caught, locked(descriptor, path):
        pytest.fail("taken though there are none")
    assert caught.value.as_lines() == [
        "Not recorded. The disk of pump.job.jsonl knows no locks (no locks available).",
        "  Copy the job to a disk of this computer.",
    ]


def test_a_system_without_a_table_of_locks_does_not_tell(
    descriptor: int, holder: subprocess.Popen[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(*_: object, **__: object) -> str:
        raise FileNotFoundError

    monkeypatch.setattr(Path, "read_text", none)
    assert holder_of(descriptor) is None
    assert holder.poll() is None


TABLE = """\
1: FLOCK  ADVISORY  WRITE 311 {major:02x}:{minor:02x}:{inode} 0 EOF
1: -> FLOCK  ADVISORY  WRITE 312 {major:02x}:{minor:02x}:{inode} 0 EOF
2: POSIX  ADVISORY  WRITE 313 {major:02x}:{minor:02x}:{inode} 0 EOF
3: FLOCK  ADVISORY  WRITE 314 ff:ff:{inode} 0 EOF
4: FLOCK  ADVISORY  READ  315 {major:02x}:{minor:02x}:{inode} 0 EOF
5: FLOCK  ADVISORY  WRITE -1 {major:02x}:{minor:02x}:{inode} 0 EOF
"""


@pytest.mark.parametrize(
    ("lines", "holder"), [((0, 6), 311), ((1, 6), 314), ((1, 3), None), ((5, 6), None)]
)
def test_the_table_of_locks_is_read(
    lines: tuple[int, int],
    holder: int | None,
    descriptor: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = os.fstat(descriptor)
    device = {"major": os.major(found.st_dev), "minor": os.minor(found.st_dev)}
    table = TABLE.format(inode=found.st_ino, **device).splitlines(keepends=True)
    read = "".join(table[slice(*lines)])
    monkeypatch.setattr(Path, "read_text", lambda *_, **__: read)
    assert holder_of(descriptor) == holder
