from __future__ import annotations

import errno
import json
import os
from hashlib import sha256
from pathlib import Path

import pytest

from bedplate.errors import StorageError
from bedplate.record.batch import Batch
from bedplate.record.entries import NO_LINE, Opened, Reading
from bedplate.record.jobfile import JobFile, raw_lines, read_job_file, refusal_to_write, report_on
from bedplate.record.spelling import UnknownHereError

AT = "2025-11-24T15:40:00+00:00"


def job_lines() -> list[bytes]:
    batch = Batch(0, NO_LINE, "Ann Fitter", AT)
    batch.add(Opened(job="0123456789abcdef" * 2))
    for number in range(1, 5):
        batch.add(Reading(address="D", value=f"1.003{number} in"))
    return batch.lines


LINES = job_lines()
DATA = b"".join(LINES)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "pump.job.jsonl"
    made.write_bytes(DATA)
    return made


def refused(path: Path) -> list[str]:
    with pytest.raises(StorageError) as caught:
        read_job_file(path)
    assert caught.value.exit_code == 3
    return caught.value.as_lines()


def test_a_sound_job_is_read_with_its_entries_and_head(path: Path) -> None:
    file = read_job_file(path)
    assert file.name == "pump"
    assert [entry.n for entry in file.entries] == [1, 2, 3, 4, 5]
    assert file.lines == tuple(LINES)
    assert file.data == DATA
    assert str(file.head) == f"5:{sha256(LINES[-1]).hexdigest()}"
    assert (file.torn, file.broken, file.cautions) == (b"", None, ())


def test_reading_changes_nothing(path: Path) -> None:
    path.write_bytes(DATA + b'{"n":6')
    path.chmod(0o444)
    before = path.stat()
    read_job_file(path)
    assert path.read_bytes() == DATA + b'{"n":6'
    assert path.stat().st_mtime_ns == before.st_mtime_ns
    assert [found.name for found in path.parent.iterdir()] == ["pump.job.jsonl"]


def test_a_torn_tail_is_left_alone_and_said(path: Path) -> None:
    path.write_bytes(DATA + b'{"n":6')
    file = read_job_file(path)
    assert file.torn == b'{"n":6'
    assert len(file.entries) == 5
    assert file.cautions == (
        "6 bytes after entry 5 were left by a write that was cut short; they were never "
        "acknowledged and are not counted.",
    )


def test_an_altered_job_is_read_up_to_where_it_is_in_doubt(path: Path) -> None:
    path.write_bytes(DATA.replace(b"1.0032", b"1.0023"))
    file = read_job_file(path)
    assert file.broken is not None
    assert file.broken.line == 3
    assert [entry.n for entry in file.entries] == [1, 2]
    assert file.cautions == (
        "pump.job.jsonl has been altered: line 3 was altered after line 4 was written on it. "
        "Opened for reading only.",
    )


def test_an_altered_first_line_is_still_a_job_of_ours(path: Path) -> None:
    for old, new in ((b"bedplate-job/1", b"bedplate-jab/1"), (b'"opened"', b'"opaned"')):
        path.write_bytes(DATA.replace(old, new))
        file = read_job_file(path)
        assert file.broken is not None
        assert file.broken.line == 1
        assert file.entries == ()


def test_a_file_of_cr_lf_is_read_and_said_to_be_so(path: Path) -> None:
    path.write_bytes(DATA.replace(b"\n", b"\r\n"))
    file = read_job_file(path)
    assert len(file.entries) == 5
    said = (
        "This file has been altered on its way: every line ends in CR LF, as mail and some "
        "editors make it. 5 lines, none else changed. Opened for reading only."
    )
    assert file.cautions == (said,)
    assert refusal_to_write(file.report, path).as_lines() == [
        said,
        "  Ask for it again as an attachment or zipped; then:  bedplate verify pump",
    ]


def test_whoever_would_write_to_an_altered_file_is_told_how_to_go_on(path: Path) -> None:
    path.write_bytes(b"".join([*LINES[:2], *LINES[3:]]))
    assert refusal_to_write(read_job_file(path).report, path).as_lines() == [
        "pump.job.jsonl has been altered: entry 3 is missing. Opened for reading only.",
        "  To go on with what stands before it:  bedplate verify pump --save-sound NEW",
    ]


@pytest.mark.parametrize("data", [b"", b'{"n":1', DATA[:50], b"\0" * 40, b"\0\0\n"])
def test_a_file_without_a_whole_line_is_not_read(path: Path, data: bytes) -> None:
    path.write_bytes(data)
    assert refused(path) == [
        "Not read. pump.job.jsonl holds no whole entry: it was never begun, or is empty.",
        "  Type:  bedplate open pump",
    ]


@pytest.mark.parametrize(
    "data",
    [
        b"hello\n",
        b"{}\n" * 5,
        b"[[component]]\nid = 'body'\n",
        b'{"format": "bedplate-out-log/1"}\n',
        LINES[1],
    ],
)
def test_another_file_is_no_job(path: Path, data: bytes) -> None:
    path.write_bytes(data)
    if data == LINES[1]:
        assert read_job_file(path).broken is not None
        return
    assert refused(path) == [
        "Not read. pump.job.jsonl is no job of bedplate.",
        "  A job's first line says that it was opened, and in which format.",
    ]


def test_a_chain_that_does_not_begin_with_its_opening_is_no_job(path: Path) -> None:
    batch = Batch(0, NO_LINE, "Ann Fitter", AT)
    batch.add(Reading(address="D", value="1 in"))
    path.write_bytes(batch.lines[0])
    assert refused(path)[0] == "Not read. pump.job.jsonl is no job of bedplate."


def test_a_newer_format_is_refused_with_its_number(path: Path) -> None:
    said = {"n": 1, "kind": "opened", "format": "bedplate-job/2", "prev": NO_LINE}
    path.write_bytes(json.dumps(said).encode() + b"\n")
    with pytest.raises(UnknownHereError):
        read_job_file(path)
    assert refused(path) == [
        "Not read. pump.job.jsonl is of format 2; this bedplate reads 1. Nothing was changed."
    ]


def test_a_kind_of_a_newer_format_is_refused_with_its_line(path: Path) -> None:
    said = {"n": 6, "at": AT, "by": "Ann", "kind": "oiled", "prev": sha256(LINES[-1]).hexdigest()}
    path.write_bytes(DATA + json.dumps(said, separators=(",", ":")).encode() + b"\n")
    assert refused(path) == [
        'Not read. Line 6 of pump.job.jsonl has the kind "oiled", which this bedplate does not '
        "know. Nothing was changed.",
        "  To see it as it stands:  bedplate log --raw",
    ]


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    assert refused(tmp_path / "pump.job.jsonl")[0].startswith("Not read. There is no ")
    assert refused(tmp_path) == [f"Not read. {tmp_path} is a folder, no job file."]


def test_a_disk_that_cannot_be_read_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> bytes:
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(os, "read", broken)
        assert refused(path) == [
            "Not read. pump.job.jsonl could not be read (input/output error)."
        ]


def test_the_bytes_of_any_file_are_read_whatever_they_say(path: Path) -> None:
    path.write_bytes(b"\0\xff")
    assert report_on(path).torn == b"\0\xff"
    assert list(raw_lines(path)) == [b"\0\xff"]


def test_a_name_that_would_move_the_cursor_is_shown_visibly(tmp_path: Path) -> None:
    path = tmp_path / "p\x1b[2J.job.jsonl"
    path.write_bytes(b"hello\n")
    assert refused(path)[0] == "Not read. p\\x1b[2J.job.jsonl is no job of bedplate."


def test_an_unread_file_has_no_head(path: Path) -> None:
    path.write_bytes(DATA)
    file = read_job_file(path)
    bare = JobFile(path, type(file.report)((), (), None, None, None, b""))
    with pytest.raises(ValueError, match=r"pump\.job\.jsonl has no head"):
        _ = bare.head


def test_where_nothing_stands_before_the_fault_there_is_nothing_to_go_on_with(path: Path) -> None:
    path.write_bytes(b"\xef\xbb\xbf" + b"".join(LINES))
    assert refusal_to_write(read_job_file(path).report, path).hint == (
        "Nothing stands before it to go on with: ask for it again as an attachment or zipped.",
    )
