from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from signed_jobs import AT, KNOWN, Pen, reading, signed_job

from bedplate.errors import BedplateError
from bedplate.record.appending import append
from bedplate.seal.save_sound import save_sound
from bedplate.seal.verify import verify


def refusal(data: bytes, new: Path) -> list[str]:
    with pytest.raises(BedplateError) as caught:
        save_sound(verify(data, KNOWN), new)
    return caught.value.as_lines()


def test_what_stands_before_the_bad_line_is_a_job_to_go_on_with(tmp_path: Path) -> None:
    job = signed_job()
    lines = job.splitlines(keepends=True)
    altered = job.replace(b'"clean"', b'"clear"')
    new = tmp_path / "pump-2.job.jsonl"
    assert save_sound(verify(altered, KNOWN), new) == 2
    assert new.read_bytes() == b"".join(lines[:2])
    append(new, lambda _e: [reading()], by="Ann", now=lambda: datetime.fromisoformat(AT))
    assert verify(new.read_bytes(), KNOWN).ok


def test_of_a_whole_job_all_lines_are_sound(tmp_path: Path) -> None:
    new = tmp_path / "pump-2.job.jsonl"
    assert save_sound(verify(signed_job() + b'{"n":6', KNOWN), new) == 5
    assert new.read_bytes() == signed_job()


def test_turned_line_ends_are_turned_back(tmp_path: Path) -> None:
    new = tmp_path / "pump-2.job.jsonl"
    turned = signed_job().replace(b"\n", b"\r\n")
    assert save_sound(verify(turned, KNOWN), new) == 5
    assert new.read_bytes() == signed_job()


def test_nothing_is_written_over(tmp_path: Path) -> None:
    new = tmp_path / "pump-2.job.jsonl"
    new.write_bytes(b"mine")
    assert refusal(signed_job(), new) == [
        f"Not saved. {new} is there already.",
        "  Give it another name.",
    ]
    assert new.read_bytes() == b"mine"
    link = tmp_path / "link.job.jsonl"
    link.symlink_to(tmp_path / "elsewhere")
    refusal(signed_job(), link)
    assert not (tmp_path / "elsewhere").exists()


def test_where_nothing_is_sound_nothing_is_saved(tmp_path: Path) -> None:
    first = Pen().open().data.replace(b'"n":1', b'"n":2')
    new = tmp_path / "pump-2.job.jsonl"
    assert refusal(first, new) == ["Not saved. No line stands before the first bad one."]
    assert list(tmp_path.iterdir()) == []


def test_the_new_file_is_named_as_a_job(tmp_path: Path) -> None:
    assert refusal(signed_job(), tmp_path / "pump.txt") == [
        'Not saved. The name of a job ends in .job.jsonl, not like "pump.txt".'
    ]
    new = tmp_path / "none" / "pump.job.jsonl"
    assert refusal(signed_job(), new) == [
        f"Not saved. {new} could not be written (no such file or directory)."
    ]
