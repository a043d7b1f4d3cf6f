from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from bedplate.errors import StorageError
from bedplate.record import disk

LINKS = pytest.mark.skipif(sys.platform == "win32", reason="Windows asks for a privilege")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "pump.job.jsonl"
    path.write_bytes(b"one\ntwo\n")
    return path


@pytest.fixture
def opened(job: Path) -> Iterator[int]:
    descriptor = disk.open_regular(job, writing=True)
    yield descriptor
    os.close(descriptor)


def refused(path: Path, *, writing: bool = False) -> list[str]:
    with pytest.raises(StorageError) as caught:
        disk.open_regular(path, writing=writing)
    return caught.value.as_lines()


def test_a_regular_file_is_opened_for_reading_alone(job: Path) -> None:
    descriptor = disk.open_regular(job, writing=False)
    try:
        assert disk.read_range(descriptor, 0, 8) == b"one\ntwo\n"
        with pytest.raises(OSError, match="descriptor"):
            os.write(descriptor, b"x")
    finally:
        os.close(descriptor)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    path = tmp_path / "gone" / "pump.job.jsonl"
    assert refused(path) == [
        f"Not read. There is no {path}.",
        "  To start a job:  bedplate open NAME",
    ]


def test_a_path_through_a_file_leads_nowhere(job: Path) -> None:
    assert refused(job / "pump.job.jsonl")[0] == f"Not read. There is no {job}/pump.job.jsonl."


def test_a_folder_is_no_job(tmp_path: Path) -> None:
    assert refused(tmp_path) == [f"Not read. {tmp_path} is a folder, no job file."]
    assert refused(tmp_path, writing=True) == refused(tmp_path)


@LINKS
def test_a_link_is_not_followed(job: Path) -> None:
    link = job.with_name("link.job.jsonl")
    link.symlink_to(job)
    assert refused(link) == [
        f"Not read. {link} is a link; a job is opened only where it is.",
        "  Name the file that the link leads to.",
    ]


@LINKS
def test_a_link_put_there_at_the_last_moment_is_not_followed(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    link = job.with_name("link.job.jsonl")
    link.symlink_to(job)
    monkeypatch.setattr(os, "lstat", os.stat)
    assert refused(link) == [
        f"Not read. {link} could not be opened ({os.strerror(errno.ELOOP).lower()})."
    ]


@LINKS
def test_a_pipe_is_refused_at_once(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.job.jsonl"
    os.mkfifo(pipe)
    assert refused(pipe) == [f"Not read. {pipe} is a pipe or a device, no job file."]


@LINKS
def test_a_pipe_put_there_at_the_last_moment_is_refused_too(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pipe = job.with_name("pipe.job.jsonl")
    os.mkfifo(pipe)
    regular = os.stat(job)
    monkeypatch.setattr(os, "lstat", lambda _: regular)
    assert refused(pipe) == [f"Not read. {pipe} is a pipe or a device, no job file."]


def test_a_file_beyond_the_bound_is_not_read(job: Path) -> None:
    with job.open("r+b") as file:
        file.truncate(disk.FILE_LIMIT + 1)
    assert refused(job) == [f"Not read. {job} is larger than 512 MiB, more than a job may be."]


def test_a_file_that_is_barred_says_so(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def barred(*_: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(os, "open", barred)
    cure = "  See who owns the file and its folder."
    assert refused(job) == [f"Not read. {job} may not be read by you.", cure]
    assert refused(job, writing=True) == [f"Not read. {job} may not be written by you.", cure]


def test_a_name_that_would_move_the_cursor_is_shown_visibly(tmp_path: Path) -> None:
    assert refused(tmp_path / "a\x1b[2J.job.jsonl")[0].endswith("/a\\x1b[2J.job.jsonl.")


def test_bytes_are_read_from_the_middle_and_up_to_the_end(opened: int) -> None:
    assert disk.read_range(opened, 2, 5) == b"e\nt"
    assert disk.read_range(opened, 4, 99) == b"two\n"
    assert disk.read_range(opened, 9, 9) == b""
    assert disk.size_of(opened) == 8


def test_a_read_cut_short_is_gone_on_with(opened: int, monkeypatch: pytest.MonkeyPatch) -> None:
    whole_read = os.read
    monkeypatch.setattr(os, "read", lambda fd, size: whole_read(fd, min(size, 3)))
    assert disk.read_range(opened, 0, 8) == b"one\ntwo\n"


def test_a_path_is_known_to_name_the_open_file_or_another(job: Path, opened: int) -> None:
    assert disk.is_at(job, opened)
    other = job.with_name("other")
    other.write_bytes(b"one\ntwo\n")
    other.replace(job)
    assert not disk.is_at(job, opened)
    job.unlink()
    assert not disk.is_at(job, opened)


@LINKS
def test_a_link_to_the_open_file_is_not_the_file(job: Path, opened: int) -> None:
    moved = job.with_name("moved")
    job.rename(moved)
    job.symlink_to(moved)
    assert not disk.is_at(job, opened)


def test_bytes_are_written_at_the_end_wherever_one_has_read(job: Path, opened: int) -> None:
    disk.read_range(opened, 0, 2)
    disk.write_once(opened, b"three\n")
    assert job.read_bytes() == b"one\ntwo\nthree\n"


def test_a_write_that_takes_only_a_part_is_a_full_disk(
    opened: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole_write = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: whole_write(fd, data[:2]))
    with pytest.raises(OSError, match="space") as caught:
        disk.write_once(opened, b"three\n")
    assert disk.is_full(caught.value)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_device_is_told_from_a_broken_one() -> None:
    descriptor = os.open("/dev/full", os.O_WRONLY)
    try:
        with pytest.raises(OSError, match="space") as caught:
            disk.write_once(descriptor, b"x\n")
    finally:
        os.close(descriptor)
    assert disk.is_full(caught.value)
    assert not disk.is_full(OSError(errno.EIO, "Input/output error"))


def test_a_cut_file_is_shorter_though_the_disk_does_not_confirm_it(
    job: Path, opened: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: int) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(os, "fsync", broken)
    disk.cut(opened, 4)
    assert job.read_bytes() == b"one\n"


def test_a_new_file_is_never_written_over_another(job: Path) -> None:
    with pytest.raises(FileExistsError):
        disk.write_new(job, b"x")
    with pytest.raises(FileExistsError):
        disk.open_new(job)
    assert job.read_bytes() == b"one\ntwo\n"


def test_a_new_file_and_its_folder_are_synced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[str] = []
    monkeypatch.setattr(disk, "sync", lambda _: synced.append("file"))
    monkeypatch.setattr(disk, "sync_folder", lambda folder: synced.append(str(folder)))
    disk.write_new(tmp_path / "kept", b"bytes")
    assert (tmp_path / "kept").read_bytes() == b"bytes"
    assert synced == ["file", str(tmp_path)]


def test_a_new_file_that_cannot_be_written_whole_is_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int, __: bytes) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(OSError, match="No space"):
        disk.write_new(tmp_path / "kept", b"bytes")
    assert list(tmp_path.iterdir()) == []


def test_what_the_system_said_is_told_without_number_and_path() -> None:
    assert disk.in_words(OSError(errno.EIO, "Input/output error", "/x")) == "input/output error"
    assert disk.in_words(TimeoutError()) == "timeoutError"
