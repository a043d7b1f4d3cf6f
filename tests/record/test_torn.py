from __future__ import annotations

import errno
import os
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from bedplate.errors import StorageError
from bedplate.record import torn
from bedplate.record.batch import Batch
from bedplate.record.chain import Chain
from bedplate.record.entries import NO_LINE, Opened, Reading

AT = "2025-11-24T15:40:00+00:00"
TAIL = b'{"n":2,"at":"2025'
STEM = f"pump.job.jsonl.torn-2-{sha256(TAIL).hexdigest()[:16]}"


def two_lines() -> list[bytes]:
    batch = Batch(0, NO_LINE, "Ann Fitter", AT)
    batch.add(Opened(job="0" * 32))
    batch.add(Reading(address="D", value="1.0031 in"))
    return batch.lines


def test_the_whole_next_entry_but_for_its_newline_is_known() -> None:
    first, second = two_lines()
    chain = Chain()
    chain.add(first)
    entry = torn.next_entry_in(second[:-1], chain)
    assert entry is not None
    assert entry.n == 2


def test_every_shorter_rest_is_no_entry() -> None:
    first, second = two_lines()
    chain = Chain()
    chain.add(first)
    for end in range(len(second) - 1):
        assert torn.next_entry_in(second[:end], chain) is None


def test_an_entry_of_another_place_is_not_the_next() -> None:
    first, second = two_lines()
    assert torn.next_entry_in(second[:-1], Chain()) is None
    chain = Chain()
    chain.add(first)
    assert torn.next_entry_in(second.replace(b'"n":2', b'"n":3')[:-1], chain) is None
    assert torn.next_entry_in(second[:-1] + b"\0", chain) is None


def test_the_entry_about_it_tells_size_and_hash() -> None:
    entry = torn.set_aside(TAIL)
    assert (entry.bytes, entry.sha256) == (17, sha256(TAIL).hexdigest())


def test_a_tail_is_kept_under_its_number_and_hash(tmp_path: Path) -> None:
    kept = torn.keep(TAIL, tmp_path / "pump.job.jsonl", 2)
    assert kept == tmp_path / STEM
    assert kept.read_bytes() == TAIL


def test_a_tail_kept_before_is_not_kept_twice(tmp_path: Path) -> None:
    first = torn.keep(TAIL, tmp_path / "pump.job.jsonl", 2)
    assert torn.keep(TAIL, tmp_path / "pump.job.jsonl", 2) == first
    assert [path.name for path in tmp_path.iterdir()] == [STEM]


def test_a_tail_is_never_kept_over_another_file(tmp_path: Path) -> None:
    (tmp_path / STEM).write_bytes(b"something else")
    (tmp_path / f"{STEM}-2").mkdir()
    kept = torn.keep(TAIL, tmp_path / "pump.job.jsonl", 2)
    assert kept == tmp_path / f"{STEM}-3"
    assert kept.read_bytes() == TAIL
    assert (tmp_path / STEM).read_bytes() == b"something else"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows asks for a privilege")
def test_a_link_to_the_same_bytes_is_another_file(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(TAIL)
    (tmp_path / STEM).symlink_to(tmp_path / "elsewhere")
    assert torn.keep(TAIL, tmp_path / "pump.job.jsonl", 2) == tmp_path / f"{STEM}-2"


def test_a_tail_that_cannot_be_kept_is_not_cut_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "pump.job.jsonl"
    path.write_bytes(b"one\n" + TAIL)

    def barred(*_: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    descriptor = os.open(path, os.O_RDWR)
    try:
        with monkeypatch.context() as patch:
            patch.setattr(os, "open", barred)
            with pytest.raises(StorageError) as caught:
                torn.set_tail_aside(descriptor, path, TAIL, 4, 2)
        assert path.read_bytes() == b"one\n" + TAIL
        torn.set_tail_aside(descriptor, path, TAIL, 4, 2)
    finally:
        os.close(descriptor)
    assert path.read_bytes() == b"one\n"
    assert caught.value.as_lines() == [
        "Not recorded. What a write that was cut short has left in pump.job.jsonl could not be "
        "set aside (permission denied).",
        "  See to the disk, then give the same command again.",
    ]
