from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from bedplate.errors import StorageError
from bedplate.record import disk
from bedplate.record.commit import InDoubtError, Target, commit
from bedplate.record.entries import AnyEntry, Opened, Reading, SheetRevised, Strike

ENTRIES: list[AnyEntry] = [
    Strike(entry=1, why="slip"),
    Reading(address="H.idler@b", value="0.9978 in"),
    Reading(address="H.idler@c", left_out="no access"),
]


@pytest.fixture
def target(tmp_path: Path) -> Iterator[Target]:
    path = tmp_path / "pump.job.jsonl"
    path.write_bytes(b"one\n")
    descriptor = disk.open_regular(path, writing=True)
    yield Target(descriptor, path, size=4, count=34)
    os.close(descriptor)


def fails(number: int, text: str) -> OSError:
    return OSError(number, text)


def test_lines_are_written_then_synced_and_only_then_acknowledged(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[bytes] = []
    monkeypatch.setattr(disk, "sync", lambda _: seen.append(target.path.read_bytes()))
    commit(target, b"two\nthree\n", ENTRIES)
    assert seen == [b"one\ntwo\nthree\n"]
    assert target.path.read_bytes() == b"one\ntwo\nthree\n"


def test_lines_go_out_in_one_write(target: Target, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[bytes] = []
    whole_write = os.write

    def write(descriptor: int, data: bytes) -> int:
        written.append(data)
        return whole_write(descriptor, data)

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", write)
        commit(target, b"two\nthree\n", ENTRIES)
    assert written == [b"two\nthree\n"]


def test_a_full_disk_leaves_the_file_as_it_was_and_repeats_what_was_typed(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole_write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda fd, data: whole_write(fd, data[:5]))
        with pytest.raises(StorageError) as caught:
            commit(target, b"two\nthree\n", ENTRIES)
    assert target.path.read_bytes() == b"one\n"
    assert not isinstance(caught.value, InDoubtError)
    assert caught.value.as_lines() == [
        "Not recorded. The disk is full: pump.job.jsonl is as it was, 34 entries.",
        "  Free some space and give the same command again.",
        "  The reading you typed:  H.idler@b 0.9978",
    ]


@pytest.mark.parametrize(
    ("address", "value", "typed"),
    [
        ("H.idler@b", "0.9978 in", "H.idler@b 0.9978"),
        ("h@b", "25.343 mm", "h@b 25.343 mm"),
        ("W", "30 psi", "W 30"),
        ("W", "0.9978 in", "W 0.9978 in"),
        ("H.idler", "0.9978in", "H.idler 0.9978in"),
        ("H.idler", "\x1b[2J in", "H.idler \\x1b[2J"),
    ],
)
def test_a_reading_is_repeated_as_a_bare_figure_where_it_was_one(
    target: Target, monkeypatch: pytest.MonkeyPatch, address: str, value: str, typed: str
) -> None:
    old = Opened(job="0" * 32, sheet={"unit": "mm"})
    sheet = {"unit": "in", "feature": [{"tag": "H"}, {"tag": "W", "unit": "psi"}, 5]}
    earlier = (old, SheetRevised(what="add", sheet=sheet), Strike(entry=1, why="slip"))
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda *_: 0)
        with pytest.raises(StorageError) as caught:
            commit(
                replace(target, earlier=earlier), b"x\n", [Reading(address=address, value=value)]
            )
    assert caught.value.hint[-1] == f"The reading you typed:  {typed}"


def test_a_broken_disk_leaves_the_file_as_it_was(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> int:
        raise fails(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", broken)
        with pytest.raises(StorageError) as caught:
            commit(target, b"two\n", [])
    assert target.path.read_bytes() == b"one\n"
    assert caught.value.as_lines() == [
        "Not recorded. pump.job.jsonl could not be written (input/output error); it is as it "
        "was, 34 entries.",
        "  See to the disk, then give the same command again.",
    ]


def test_a_part_that_cannot_be_cut_off_again_is_in_doubt(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise fails(errno.EIO, "Input/output error")

    whole_write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda fd, data: whole_write(fd, data[:5]))
        patch.setattr(os, "ftruncate", broken)
        with pytest.raises(InDoubtError) as caught:
            commit(target, b"two\nthree\n", ENTRIES)
    assert caught.value.message == (
        "It may or may not be recorded: pump.job.jsonl could be written only in part, and not "
        "cut back (input/output error)."
    )


def test_a_failed_sync_is_never_tried_again(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[int] = []

    def broken(descriptor: int) -> None:
        tried.append(descriptor)
        raise fails(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(disk, "sync", broken)
        with pytest.raises(InDoubtError) as caught:
            commit(target, b"two\n", ENTRIES)
    assert len(tried) == 1
    assert target.path.read_bytes() == b"one\ntwo\n"
    assert caught.value.exit_code == 3
    assert caught.value.as_lines() == [
        "It may or may not be recorded: pump.job.jsonl was not confirmed (input/output error).",
        "  Look with:  bedplate log",
    ]


def test_an_interruption_takes_back_what_was_not_acknowledged(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[bytes] = []

    def interrupted(_: int) -> None:
        synced.append(target.path.read_bytes())
        if len(synced) == 1:
            raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(disk, "sync", interrupted)
        with pytest.raises(KeyboardInterrupt):
            commit(target, b"two\n", ENTRIES)
    assert synced == [b"one\ntwo\n", b"one\n"]
    assert target.path.read_bytes() == b"one\n"


def test_a_file_replaced_while_it_was_written_is_in_doubt(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    def replace(_: int) -> None:
        other = target.path.with_name("other")
        other.write_bytes(b"one\n")
        other.replace(target.path)

    with monkeypatch.context() as patch:
        patch.setattr(disk, "sync", replace)
        with pytest.raises(InDoubtError) as caught:
            commit(target, b"two\n", ENTRIES)
    assert caught.value.message == (
        "It may or may not be recorded: pump.job.jsonl was moved, deleted or replaced meanwhile."
    )


def test_a_file_written_to_without_the_lock_is_in_doubt(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    def add(_: int) -> None:
        with target.path.open("ab") as file:
            file.write(b"x\n")

    with monkeypatch.context() as patch:
        patch.setattr(disk, "sync", add)
        with pytest.raises(InDoubtError) as caught:
            commit(target, b"two\n", ENTRIES)
    assert caught.value.message == (
        "It may or may not be recorded: pump.job.jsonl was written to by another, without a "
        "lock, meanwhile."
    )
