"""Files handed out: whole or not at all, never over another unless told to."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from bedplate.cli.writing import write_new
from bedplate.errors import NotUnderstoodError, StorageError


def test_a_new_file_is_there_whole_and_nothing_else_is() -> None:
    write_new(Path("pump.toml"), b"unit\n")
    assert Path("pump.toml").read_bytes() == b"unit\n"
    assert [path.name for path in Path().iterdir()] == ["pump.toml"]


def test_what_is_there_is_not_written_over() -> None:
    Path("pump.toml").write_bytes(b"mine")
    with pytest.raises(NotUnderstoodError) as refused:
        write_new(Path("pump.toml"), b"other")
    assert refused.value.as_lines() == [
        "Nothing written. pump.toml is there already.",
        "  To write over it:  --force",
    ]
    assert Path("pump.toml").read_bytes() == b"mine"


def test_with_force_it_is() -> None:
    Path("pump.toml").write_bytes(b"mine")
    write_new(Path("pump.toml"), b"other", force=True)
    assert Path("pump.toml").read_bytes() == b"other"
    assert [path.name for path in Path().iterdir()] == ["pump.toml"]


def test_a_folder_is_no_file_to_write() -> None:
    Path("pump.toml").mkdir()
    with pytest.raises(NotUnderstoodError, match=r"Nothing written\. pump\.toml is a folder\."):
        write_new(Path("pump.toml"), b"other", force=True)


def test_a_folder_that_is_not_there_is_named() -> None:
    with pytest.raises(StorageError, match=r"Nothing written\. none/pump\.toml: No such file"):
        write_new(Path("none/pump.toml"), b"other")


def test_a_write_that_fails_leaves_nothing_behind(monkeypatch: pytest.MonkeyPatch) -> None:
    Path("pump.toml").write_bytes(b"mine")

    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StorageError, match="No space left on device"):
        write_new(Path("pump.toml"), b"other", force=True)
    assert Path("pump.toml").read_bytes() == b"mine"
    assert [path.name for path in Path().iterdir()] == ["pump.toml"]
