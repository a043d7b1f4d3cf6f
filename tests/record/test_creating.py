from __future__ import annotations

import errno
import os
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest

from bedplate.errors import BedplateError, RefusedError, StorageError
from bedplate.record import disk
from bedplate.record.appending import append
from bedplate.record.batch import Appended
from bedplate.record.commit import InDoubtError
from bedplate.record.creating import create
from bedplate.record.entries import NO_LINE, Opened, Reading, SetAside
from bedplate.record.jobfile import read_job_file

OPENED = Opened(job="0123456789abcdef" * 2, machine="Harbour launch", sheet={"unit": "in"})


def now() -> datetime:
    return datetime(2025, 11, 24, 15, 40, tzinfo=UTC)


def begin(path: Path) -> Appended:
    return create(path, OPENED, by="Ann Fitter", now=now)


def refused(path: Path) -> BedplateError:
    with pytest.raises(BedplateError) as caught:
        begin(path)
    return caught.value


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "pump.job.jsonl"


def test_a_job_begins_with_its_opening(path: Path) -> None:
    done = begin(path)
    (first,) = read_job_file(path).entries
    assert done.entries == (first,)
    assert isinstance(first, Opened)
    assert (first.n, first.by, first.at) == (1, "Ann Fitter", "2025-11-24T15:40:00+00:00")
    assert (first.prev, first.machine, first.sheet) == (NO_LINE, "Harbour launch", {"unit": "in"})
    assert str(done.head) == f"1:{sha256(path.read_bytes()).hexdigest()}"
    assert done.warnings == ()


def test_the_name_of_a_new_job_is_synced_after_its_line(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[tuple[str, int]] = []
    monkeypatch.setattr(disk, "sync", lambda _: synced.append(("file", path.stat().st_size)))
    monkeypatch.setattr(disk, "sync_folder", lambda folder: synced.append((folder.name, 0)))
    begin(path)
    assert synced == [("file", path.stat().st_size), (path.parent.name, 0)]


def test_a_job_that_is_there_is_not_begun_again(path: Path) -> None:
    begin(path)
    append(path, lambda _: [Reading(address="D", value="1 in")], by="Ann Fitter", now=now)
    before = path.read_bytes()
    error = refused(path)
    assert isinstance(error, RefusedError)
    assert error.as_lines() == [
        "Not opened. pump is already open (2 entries). Just go on: bedplate status"
    ]
    assert path.read_bytes() == before


def test_another_file_of_that_name_is_left_alone(path: Path) -> None:
    path.write_bytes(b"my notes\n")
    error = refused(path)
    assert isinstance(error, StorageError)
    assert error.as_lines() == [
        "Not opened. There is a file pump.job.jsonl already. Not read. pump.job.jsonl is no job "
        "of bedplate.",
        "  Give the job another name.",
    ]
    assert path.read_bytes() == b"my notes\n"


def test_an_empty_file_is_taken_as_new(path: Path) -> None:
    path.write_bytes(b"")
    assert begin(path).head.entries == 1
    assert [entry.kind for entry in read_job_file(path).entries] == ["opened"]


@pytest.mark.parametrize("tail", [b'{"n":1,"at":"20', b"\0" * 30, b'{"n":1\0\0\n'])
def test_a_first_line_that_was_cut_short_is_kept_and_the_job_begun(
    path: Path, tail: bytes
) -> None:
    path.write_bytes(tail)
    done = begin(path)
    entries = read_job_file(path).entries
    assert entries == done.entries
    assert [entry.kind for entry in entries] == ["opened", "set-aside"]
    aside = entries[1]
    assert isinstance(aside, SetAside)
    assert (aside.bytes, aside.sha256) == (len(tail), sha256(tail).hexdigest())
    assert done.kept == path.with_name(f"pump.job.jsonl.torn-1-{aside.sha256[:16]}")
    assert done.kept is not None
    assert done.kept.read_bytes() == tail


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    error = refused(tmp_path / "jobs" / "pump.job.jsonl")
    assert error.as_lines() == [f"Not opened. There is no folder {tmp_path / 'jobs'}."]


def test_a_link_is_not_followed(path: Path) -> None:
    other = path.with_name("other.job.jsonl")
    other.write_bytes(b"")
    path.symlink_to(other)
    assert refused(path).message == (
        f"Not opened. {path} is a link; a job is opened only where it is."
    )
    assert other.read_bytes() == b""


def test_a_barred_folder_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def barred(*_: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", barred)
        error = refused(path)
    assert error.as_lines() == [f"Not opened. {path} could not be made (permission denied)."]


def test_a_full_disk_leaves_no_file_behind(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole_write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda fd, data: whole_write(fd, data[:5]))
        error = refused(path)
    assert error.as_lines() == [
        "Not opened. The disk is full: pump.job.jsonl is not begun.",
        "  Free some space and give the same command again.",
    ]
    assert list(path.parent.iterdir()) == []


def test_a_full_disk_leaves_an_empty_file_that_was_there(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path.write_bytes(b"")
    whole_write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda fd, data: whole_write(fd, data[:5]))
        refused(path)
    assert path.read_bytes() == b""


def test_a_folder_that_is_not_confirmed_leaves_it_in_doubt(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: Path) -> None:
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(disk, "sync_folder", broken)
        error = refused(path)
    assert isinstance(error, InDoubtError)
    assert error.as_lines() == [
        "It may or may not last: the folder was not confirmed (input/output error).",
        "  Look with:  bedplate log",
    ]


def test_a_file_deleted_before_the_lock_was_had_is_not_written_to(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path.write_bytes(b"")
    whole = disk.open_regular

    def open_then_delete(path: Path, *, writing: bool, fate: str = "Not read.") -> int:
        descriptor = whole(path, writing=writing, fate=fate)
        path.unlink()
        return descriptor

    with monkeypatch.context() as patch:
        patch.setattr(disk, "open_regular", open_then_delete)
        error = refused(path)
    assert error.as_lines() == [
        "Not opened. pump.job.jsonl was moved or deleted meanwhile.",
        "  Give the same command again.",
    ]
    assert not path.exists()
