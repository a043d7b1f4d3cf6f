from __future__ import annotations

import os
from pathlib import Path

import pytest
from signed_jobs import Pen, reading

from bedplate.record.attachments import store_bytes
from bedplate.record.chain import lines_of
from bedplate.seal.copies import Copy, common_lines, find_copies

COMMON = Pen().open().write(reading()).data
OURS = Pen(COMMON).write(reading(value="2 in")).data
THEIRS = Pen(COMMON).write(reading(value="3 in"), reading(value="4 in")).data


@pytest.fixture
def path(tmp_path: Path) -> Path:
    job = tmp_path / "pump.job.jsonl"
    job.write_bytes(OURS)
    return job


def test_a_copy_that_went_on_is_named(path: Path) -> None:
    path.with_name("pump (conflict).job.jsonl").write_bytes(THEIRS)
    path.with_name("pump.sync.jsonl").write_bytes(Pen(OURS).write(reading()).data)
    assert find_copies(path, lines_of(OURS)) == (
        Copy("pump (conflict).job.jsonl", 2, 2),
        Copy("pump.sync.jsonl", 3, 1),
    )


def test_a_copy_that_holds_nothing_new_is_not_named(path: Path) -> None:
    path.with_name("older.jsonl").write_bytes(COMMON)
    path.with_name("same.jsonl").write_bytes(OURS)
    path.with_name("torn.jsonl").write_bytes(OURS + b'{"n":4,"at"')
    path.with_name("other.jsonl").write_bytes(Pen().open("ab" * 16).write(reading()).data)
    path.with_name("notes.txt").write_bytes(THEIRS)
    path.with_name("pump.job.jsonl.torn-4-ab").write_bytes(THEIRS)
    assert find_copies(path, lines_of(OURS)) == ()


def test_an_altered_copy_is_named_too(path: Path) -> None:
    path.with_name("altered.jsonl").write_bytes(OURS.replace(b"2 in", b"9 in"))
    assert find_copies(path, lines_of(OURS)) == (Copy("altered.jsonl", 2, 1),)


def test_a_copy_that_was_rejoined_is_named_no_more_until_it_goes_on(path: Path) -> None:
    other = path.with_name("pump (conflict).job.jsonl")
    other.write_bytes(THEIRS)
    assert len(find_copies(path, lines_of(OURS))) == 1
    tail = b"".join(THEIRS.splitlines(keepends=True)[2:])
    kept = Pen(OURS).write(store_bytes(path, tail, other.name)).data
    assert find_copies(path, lines_of(kept)) == ()
    other.write_bytes(Pen(THEIRS).write(reading(value="5 in")).data)
    assert find_copies(path, lines_of(kept)) == (Copy(other.name, 2, 3),)


def test_what_is_no_plain_file_is_passed_over(path: Path) -> None:
    (path.parent / "folder.jsonl").mkdir()
    (path.parent / "link.jsonl").symlink_to(path)
    os.mkfifo(path.parent / "pipe.jsonl")
    (path.parent / "empty.jsonl").touch()
    assert find_copies(path, lines_of(OURS)) == ()


def test_a_job_without_a_line_has_no_copies(path: Path) -> None:
    assert find_copies(path, lines_of(b'{"n":1')) == ()


@pytest.mark.parametrize(
    ("ours", "theirs", "common"),
    [("", "", 0), ("ab", "ab", 2), ("ab", "abc", 2), ("abc", "ab", 2), ("abc", "axc", 1)],
)
def test_lines_are_common_up_to_the_first_that_differs(
    ours: str, theirs: str, common: int
) -> None:
    assert common_lines([c.encode() for c in ours], [c.encode() for c in theirs]) == common


def test_a_copy_that_cannot_be_read_is_passed_over(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path.with_name("other.jsonl").write_bytes(THEIRS)
    assert [copy.name for copy in find_copies(path, lines_of(OURS))] == ["other.jsonl"]

    def fails(*_given: object, **_named: object) -> None:
        raise PermissionError

    monkeypatch.setattr(Path, "open", fails)
    assert find_copies(path, lines_of(OURS)) == ()
