from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from bedplate.errors import BedplateError, RefusedError, StorageError
from bedplate.record import disk
from bedplate.record.appending import OpenJob, append
from bedplate.record.batch import Appended
from bedplate.record.chain import check
from bedplate.record.commit import InDoubtError
from bedplate.record.creating import create
from bedplate.record.entries import AnyEntry, Opened, Reading, SetAside, Strike
from bedplate.record.jobfile import read_job_file
from bedplate.record.spelling import UnknownHereError

NOON = datetime(2025, 11, 24, 12, 0, tzinfo=UTC)


def clock(minutes: int = 0) -> Callable[[], datetime]:
    return lambda: NOON + timedelta(minutes=minutes)


def reading(value: str = "1.0031 in") -> Reading:
    return Reading(address="D", value=value)


def add(path: Path, *entries: AnyEntry, minutes: int = 0) -> Appended:
    return append(path, lambda _: entries, by="Ann Fitter", now=clock(minutes))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a job of three entries."""
    made = tmp_path / "pump.job.jsonl"
    create(made, Opened(job="0123456789abcdef" * 2), by="Ann Fitter", now=clock())
    add(made, reading("1.0030 in"), reading("1.0031 in"))
    return made


def kinds(path: Path) -> list[str]:
    file = read_job_file(path)
    assert file.broken is None
    assert file.torn == b""
    return [entry.kind for entry in file.entries]


# what is recorded


def test_entries_are_appended_behind_what_is_there(path: Path) -> None:
    before = path.read_bytes()
    done = add(path, reading("1.0029 in"), Strike(entry=2, why="slip"))
    assert [(entry.n, entry.kind) for entry in done.entries] == [(4, "reading"), (5, "strike")]
    assert done.entries == read_job_file(path).entries[3:]
    assert path.read_bytes().startswith(before)
    assert done.head == read_job_file(path).head


def test_all_lines_of_a_command_go_out_in_one_write(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written: list[bytes] = []
    whole_write = os.write

    def write(descriptor: int, data: bytes) -> int:
        written.append(data)
        return whole_write(descriptor, data)

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", write)
        add(path, reading(), reading(), reading())
    assert [data.count(b"\n") for data in written] == [3]


def test_rules_see_the_file_as_it_is_under_the_lock(path: Path) -> None:
    seen: list[int] = []

    def propose(entries: Sequence[AnyEntry]) -> list[AnyEntry]:
        seen.append(len(entries))
        return [reading()]

    with OpenJob(path) as job:
        assert len(job.entries) == 3
        add(path, reading(), reading())
        assert len(job.entries) == 3
        done = job.append(propose, by="Bo", now=clock())
    assert seen == [5]
    assert done.entries[0].n == 6


def test_a_refusal_by_a_rule_is_passed_on_and_nothing_is_written(path: Path) -> None:
    before = path.read_bytes()

    def refuse(_: Sequence[AnyEntry]) -> list[AnyEntry]:
        raise RefusedError("Refused. SPIN has not passed.")

    with OpenJob(path) as job:
        with pytest.raises(RefusedError, match="SPIN has not passed"):
            job.append(refuse, by="Ann Fitter", now=clock())
        assert path.read_bytes() == before
        assert job.append(lambda _: [reading()], by="Ann", now=clock()).entries[0].n == 4


def test_proposing_nothing_writes_nothing(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b'{"n":4')
    before = path.read_bytes()
    done = add(path)
    assert done.entries == ()
    assert done.head.entries == 3
    assert path.read_bytes() == before


def test_a_session_appends_many_times_and_reads_only_what_is_new(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with OpenJob(path) as job:
        sizes: list[int] = []
        whole_read = os.read

        def read(descriptor: int, size: int) -> bytes:
            sizes.append(size)
            return whole_read(descriptor, size)

        with monkeypatch.context() as patch:
            patch.setattr(os, "read", read)
            for number in range(50):
                done = job.append(lambda _: [reading()], by="Ann", now=clock(number))
                assert done.entries[0].n == 4 + number
        assert max(sizes) < 200
        assert path.stat().st_size > 8_000
        assert job.head == read_job_file(path).head
        assert job.name == "pump"
    assert len(kinds(path)) == 53


def test_a_session_goes_on_after_entries_of_others(path: Path) -> None:
    with OpenJob(path) as job:
        for _ in range(3):
            add(path, reading())
            job.append(lambda _: [reading()], by="Bo", now=clock())
        assert [entry.n for entry in job.entries] == list(range(1, 10))
    assert [entry.by for entry in read_job_file(path).entries[3:]] == ["Ann Fitter", "Bo"] * 3


def test_a_clock_that_was_set_back_is_recorded_and_said(path: Path) -> None:
    add(path, reading(), minutes=10)
    done = add(path, reading(), minutes=5)
    assert done.clock_back == 4
    assert done.entries[0].at == "2025-11-24T12:05:00+00:00"
    assert add(path, reading(), minutes=5).clock_back is None
    assert len(kinds(path)) == 6


# what is torn


def test_every_cut_of_the_last_line_is_set_aside_or_completed(path: Path) -> None:
    whole = path.read_bytes()
    lines = read_job_file(path).lines
    start = len(whole) - len(lines[-1])
    for end in range(start, len(whole)):
        path.write_bytes(whole[:end])
        done = add(path, Strike(entry=2, why="slip"))
        tail = whole[start:end]
        if end == start:
            assert kinds(path) == ["opened", "reading", "strike"]
            assert (done.kept, done.completed) == (None, None)
        elif end == len(whole) - 1:
            assert kinds(path) == ["opened", "reading", "reading", "strike"]
            assert (done.kept, done.completed) == (None, 3)
            assert path.read_bytes().startswith(whole)
        else:
            assert kinds(path) == ["opened", "reading", "set-aside", "strike"]
            aside = done.entries[0]
            assert isinstance(aside, SetAside)
            assert (aside.bytes, aside.sha256) == (len(tail), sha256(tail).hexdigest())
            assert done.kept is not None
            assert done.kept.name == f"pump.job.jsonl.torn-3-{aside.sha256[:16]}"
            assert done.kept.read_bytes() == tail
        assert path.read_bytes().startswith(whole[:start])


@pytest.mark.parametrize("tail", [b"\0" * 4096, b'{"n":4,"at"\0\0\0\0\n', b'{"n":4\0\n\0\0\0'])
def test_a_tail_of_nul_bytes_is_set_aside(path: Path, tail: bytes) -> None:
    path.write_bytes(path.read_bytes() + tail)
    done = add(path, reading())
    assert kinds(path) == ["opened", "reading", "reading", "set-aside", "reading"]
    assert done.kept is not None
    assert done.kept.read_bytes() == tail


def test_rules_see_the_numbers_as_they_will_be(path: Path) -> None:
    whole = path.read_bytes()
    for tail, kind in ((b'{"n":4', "set-aside"), (b"", "reading")):
        path.write_bytes((whole + tail) if tail else whole[:-1])

        def propose(entries: Sequence[AnyEntry], kind: str = kind) -> list[AnyEntry]:
            assert entries[-1].kind == kind
            return [Strike(entry=entries[-1].n, why="slip")]

        done = append(path, propose, by="Ann", now=clock())
        last = done.entries[-1]
        assert isinstance(last, Strike)
        assert last.entry == last.n - 1


def test_a_rule_that_refuses_leaves_a_torn_tail_as_it_is(path: Path) -> None:
    def refuse(_: Sequence[AnyEntry]) -> list[AnyEntry]:
        raise RefusedError("Refused.")

    for torn in (path.read_bytes() + b'{"n":4', path.read_bytes()[:-1]):
        path.write_bytes(torn)
        with pytest.raises(RefusedError):
            append(path, refuse, by="Ann", now=clock())
        assert path.read_bytes() == torn
    assert [found.name for found in path.parent.iterdir()] == ["pump.job.jsonl"]


def test_a_tail_that_appears_under_a_session_is_set_aside(path: Path) -> None:
    with OpenJob(path) as job:
        with path.open("ab") as file:
            file.write(b'{"n":4,')
        done = job.append(lambda _: [reading()], by="Ann", now=clock())
        assert [entry.kind for entry in done.entries] == ["set-aside", "reading"]
        assert job.append(lambda _: [reading()], by="Ann", now=clock()).entries[0].n == 6
    assert len(kinds(path)) == 6


def test_a_tail_that_cannot_be_kept_stops_the_write(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path.write_bytes(path.read_bytes() + b'{"n":4')
    before = path.read_bytes()

    def barred(*_: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    with OpenJob(path) as job, monkeypatch.context() as patch:
        patch.setattr("bedplate.record.torn.write_new", barred)
        with pytest.raises(StorageError, match=r"could not be set aside \(permission denied\)"):
            job.append(lambda _: [reading()], by="Ann", now=clock())
    assert path.read_bytes() == before


# what fails


def test_a_full_disk_records_nothing_and_the_session_goes_on(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = path.read_bytes()
    whole_write = os.write
    with OpenJob(path) as job:
        with monkeypatch.context() as patch:
            patch.setattr(os, "write", lambda fd, data: whole_write(fd, data[:60]))
            with pytest.raises(StorageError) as caught:
                job.append(lambda _: [reading("1.0032 in")], by="Ann", now=clock())
        assert path.read_bytes() == before
        job.append(lambda _: [reading("1.0032 in")], by="Ann", now=clock())
    assert caught.value.as_lines() == [
        "Not recorded. The disk is full: pump.job.jsonl is as it was, 3 entries.",
        "  Free some space and give the same command again.",
        "  The reading you typed:  D 1.0032",
    ]
    assert len(kinds(path)) == 4


@pytest.mark.parametrize("written", [0, 1, 60])
def test_a_full_disk_at_the_newline_of_a_whole_entry_records_nothing(
    path: Path, written: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    path.write_bytes(path.read_bytes()[:-1])
    before = path.read_bytes()
    whole_write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda fd, data: whole_write(fd, data[:written]))
        with pytest.raises(StorageError, match="The disk is full"):
            add(path, reading())
    assert path.read_bytes() == before


def test_a_failed_sync_spends_the_session(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[int] = []

    def broken(descriptor: int) -> None:
        tried.append(descriptor)
        raise OSError(errno.EIO, "Input/output error")

    with OpenJob(path) as job:
        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync", broken)
            for _ in range(2):
                with pytest.raises(InDoubtError, match="It may or may not be recorded"):
                    job.append(lambda _: [reading()], by="Ann", now=clock())
        with pytest.raises(InDoubtError):
            job.append(lambda _: [reading()], by="Ann", now=clock())
    assert len(tried) == 1
    assert len(kinds(path)) == 4


def deleted(path: Path) -> None:
    path.unlink()


def replaced(path: Path) -> None:
    other = path.with_name("copy")
    other.write_bytes(path.read_bytes())
    other.replace(path)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not let go of an open file")
@pytest.mark.parametrize("meddle", [deleted, replaced])
def test_a_job_taken_away_under_a_session_is_not_written_to(
    path: Path, meddle: Callable[[Path], None]
) -> None:
    with OpenJob(path) as job:
        meddle(path)
        there = path.read_bytes() if path.exists() else None
        for _ in range(2):
            with pytest.raises(StorageError) as caught:
                job.append(lambda _: [reading()], by="Ann", now=clock())
            assert caught.value.as_lines() == [
                "Not recorded. pump.job.jsonl was moved, deleted or replaced since it was opened.",
                "  See what is there now:  bedplate --job pump log",
            ]
    assert (path.read_bytes() if path.exists() else None) == there


@pytest.mark.parametrize("how", ["cut", "overwritten"])
def test_a_job_altered_under_a_session_is_not_written_to(path: Path, how: str) -> None:
    whole = path.read_bytes()
    new = whole[:-40] if how == "cut" else whole.replace(b"1.0031", b"1.0039")
    with OpenJob(path) as job:
        path.write_bytes(new)
        with pytest.raises(StorageError) as caught:
            job.append(lambda _: [reading()], by="Ann", now=clock())
    assert caught.value.as_lines() == [
        "Not recorded. pump.job.jsonl was altered since it was opened: its entry 3 is not there "
        "any more.",
        "  Type:  bedplate verify pump",
    ]
    assert path.read_bytes() == new


def test_a_line_of_no_chain_written_by_another_is_not_built_upon(path: Path) -> None:
    with OpenJob(path) as job:
        path.write_bytes(path.read_bytes() + read_job_file(path).lines[-1])
        with pytest.raises(StorageError) as caught:
            job.append(lambda _: [reading()], by="Ann", now=clock())
        with pytest.raises(StorageError) as again:
            job.append(lambda _: [reading()], by="Ann", now=clock())
    assert caught.value.as_lines() == again.value.as_lines()
    assert caught.value.as_lines() == [
        "Not recorded. pump.job.jsonl has been altered: line 4 is line 3 once more. Opened for "
        "reading only.",
        "  To go on with what stands before it:  bedplate verify pump --save-sound NEW",
    ]


def test_an_entry_of_a_newer_bedplate_written_meanwhile_is_not_built_upon(path: Path) -> None:
    with OpenJob(path) as job:
        add(path, reading())
        lines = list(read_job_file(path).lines)
        lines[-1] = lines[-1].replace(b'"kind":"reading"', b'"kind":"seating"')
        path.write_bytes(b"".join(lines))
        for _ in range(2):
            with pytest.raises(UnknownHereError, match='has the kind "seating"'):
                job.append(lambda _: [reading()], by="Ann", now=clock())


def test_an_altered_job_is_not_opened_for_writing(path: Path) -> None:
    altered = path.read_bytes().replace(b"\n", b"\r\n")
    path.write_bytes(altered)
    with pytest.raises(StorageError, match="every line ends in CR LF"):
        OpenJob(path)
    with pytest.raises(StorageError, match="every line ends in CR LF"):
        add(path, reading())
    assert path.read_bytes() == altered


def test_a_job_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="There is no"):
        add(tmp_path / "pump.job.jsonl", reading())
    assert list(tmp_path.iterdir()) == []


def test_a_job_grows_no_larger_than_may_be_read(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = path.read_bytes()
    with OpenJob(path) as job:
        monkeypatch.setattr(disk, "FILE_LIMIT", len(before) + 10)
        with pytest.raises(BedplateError) as caught:
            job.append(lambda _: [reading()], by="Ann", now=clock())
    assert caught.value.as_lines() == [
        "Not recorded. pump.job.jsonl would grow beyond 512 MiB.",
        "  Go on in a new job that names this one as --previous.",
    ]
    assert path.read_bytes() == before


def test_a_lock_held_by_another_is_given_up_on(path: Path) -> None:
    with OpenJob(path) as holder, OpenJob(path, wait=0.02) as waiting:

        def propose(_: Sequence[AnyEntry]) -> list[AnyEntry]:
            with pytest.raises(StorageError, match=r"is writing to pump\.job\.jsonl; waited 0"):
                waiting.append(lambda _: [reading()], by="Bo", now=clock())
            return [reading()]

        holder.append(propose, by="Ann", now=clock())
        assert waiting.append(lambda _: [reading()], by="Bo", now=clock()).entries[0].n == 5


def test_a_closed_session_leaves_no_descriptor_open(path: Path) -> None:
    job = OpenJob(path)
    job.close()
    job.close()
    path.write_bytes(b"hello\n")
    with pytest.raises(StorageError):
        OpenJob(path)


def test_what_was_appended_is_one_chain(path: Path) -> None:
    add(path, reading(), reading())
    report = check(path.read_bytes())
    assert report.whole
    assert len(report.entries) == 5
