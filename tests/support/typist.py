"""A command line as it is typed beside a job: what is said, and what then stands in the file."""

from __future__ import annotations

import json
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from bedplate.cli.main import main

PUMP = """
format = "bedplate-sheet/1"
title = "Fuel transfer gear pump"
unit = "in"
source = "Invented handbook"
moments = ["handover", "first run"]
[axes]
gear = ["driver", "idler"]
tooth = ["a", "b", "c"]
[[component]]
id = "body"
[[component]]
id = "gear"
positions = "gear"
[[component]]
id = "valve"
[[feature]]
tag = "D"
of = "body"
name = "bore depth"
nominal = "1.0030"
[[feature]]
tag = "H"
of = "gear"
name = "gear height"
stations = "tooth"
nominal = "1.0000"
[[feature]]
tag = "BL"
of = ["gear", "body"]
name = "backlash"
positions = ""
[[feature]]
tag = "Z"
of = "body"
name = "face"
signed = true
[[feature]]
tag = "RP"
of = "valve"
unit = "psi"
name = "relief pressure"
[[fit]]
tag = "EC"
name = "end clearance"
stack = "D - H"
band = { limits = "2..4 thou", source = "p. 31" }
[[fit]]
tag = "LASH"
stack = "BL"
band = { limits = "..8 thou", source = "p. 32" }
[[fit]]
tag = "RELIEF"
stack = "RP"
band = { limits = "28..32 psi", source = "p. 33" }
due = "first run"
"""
"""A pump in inches: a body, two gears read at three teeth, backlash, a pressure."""

FIT_KEYS = [
    "tag", "position", "name", "kind", "stage", "verdict", "side", "word", "unit", "mean",
    "tightest", "loosest", "judged", "expanded_uncertainty", "band", "wear", "margin",
    "probability_in_band", "capability", "readings", "missing", "same_as", "e_n", "notes",
]  # fmt: skip
"""Keys of a fit under ``--json``, in order."""

RECORDED_KEYS = ["format", "job", "entries", "recorded", "questioned", "fits", "next"]
"""Keys that every recording command gives under ``--json``, in order."""


@dataclass(frozen=True, slots=True)
class Said:
    """What a command said: its exit code, and its lines on both streams."""

    code: int
    out: list[str]
    err: list[str]


class Typist:
    """Types commands in the folder at hand, in this process, as ``bedplate LINE``."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self.capsys = capsys
        self.path = Path("pump.job.jsonl")

    def type(self, line: str | Sequence[str]) -> Said:
        """Type a line, as a shell would part it or parted already; return what was said."""
        self.capsys.readouterr()
        code = main(shlex.split(line) if isinstance(line, str) else list(line))
        said = self.capsys.readouterr()
        return Said(code, said.out.splitlines(), said.err.splitlines())

    def done(self, *lines: str) -> list[str]:
        """Type lines that must all be accepted; return what the last one answered."""
        out: list[str] = []
        for line in lines:
            said = self.type(line)
            assert said.code == 0, said
            out = said.out
        return out

    def document(self, line: str, code: int = 0) -> dict[str, Any]:
        """Type a line under ``--json``; return its one document."""
        said = self.type(f"{line} --json")
        assert said.code == code, said
        (only,) = said.out
        assert only.isascii()
        found: dict[str, Any] = json.loads(only)
        return found

    def refused(self, line: str | Sequence[str], code: int = 2) -> list[str]:
        """Type a line that must be refused, also under ``--json``; return what is said of it.

        Nothing may stand on stdout, and the job's file must be as it was, byte for byte.
        """
        words = shlex.split(line) if isinstance(line, str) else list(line)
        before = self.data
        silent = self.type(["--json", *words])
        assert (silent.code, silent.out) == (code, []), silent
        said = self.type(words)
        assert (said.code, said.out) == (code, []), said
        assert silent.err == said.err
        assert self.data == before
        return said.err

    def open(self, toml: str = PUMP) -> Typist:
        """Open the job ``pump`` by a sheet; return the typist."""
        Path("pump.toml").write_text(toml, "utf-8")
        self.done("open pump --sheet pump.toml")
        return self

    @property
    def data(self) -> bytes:
        """The bytes of the job's file, none where there is no such file."""
        return self.path.read_bytes() if self.path.is_file() else b""

    @property
    def entries(self) -> list[dict[str, Any]]:
        """The entries as they stand in the file."""
        return [json.loads(line) for line in self.data.splitlines()]

    @property
    def last(self) -> dict[str, Any]:
        """The own fields of the last entry, without what every entry has."""
        common = ("n", "at", "by", "prev")
        return {key: value for key, value in self.entries[-1].items() if key not in common}
