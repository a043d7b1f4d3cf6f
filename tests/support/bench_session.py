"""A session at the bench without a terminal: answers in, the whole of what is seen out."""

from __future__ import annotations

import contextlib
import io
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from bedplate.cli.bench import command
from bedplate.cli.bench.keyboard import Keyboard
from bedplate.cli.main import main
from bedplate.record.entries import AnyEntry, Reading
from bedplate.record.job import Job, fold
from bedplate.record.jobfile import read_job_file

EXAMPLES = Path(__file__).parents[2] / "examples"
PUMP = EXAMPLES / "transfer-pump.toml"
CRANK = EXAMPLES / "bottom-end.toml"

SMALL = """
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "body"
[[component]]
id = "gear"
positions = "gear"
[[feature]]
tag = "D"
of = "body"
name = "bore depth"
nominal = "1.0030"
gauge = "depth micrometer"
[[feature]]
tag = "H"
of = "gear"
name = "gear height"
stations = { tooth = ["a", "b"] }
nominal = "1.0000"
gauge = "micrometer"
[[feature]]
tag = "BL"
of = ["gear", "body"]
name = "backlash"
positions = ""
how = "Dial on the pitch circle"
[[fit]]
tag = "EC"
name = "end clearance"
stack = "D - H"
band = { limits = "2..4 thou" }
[[fit]]
tag = "LASH"
stack = "BL"
band = { limits = "4..8 thou" }
"""
"""A body, two gears of two stations, a backlash: six readings, three fits."""


@dataclass(frozen=True, slots=True)
class Sat:
    """A session that is over.

    Attributes:
        code: what the command ended with.
        text: all that was seen, prompts and answers too, in order.
    """

    code: int
    text: str

    @property
    def lines(self) -> list[str]:
        """Return what was seen, line by line, without blanks at line ends."""
        return [line.rstrip() for line in self.text.splitlines()]

    def after(self, answer: str) -> list[str]:
        """Return the lines seen from the prompt on that ``answer`` was given to first."""
        lines = self.lines
        start = next(n for n, line in enumerate(lines) if line.endswith(f"> {answer}".rstrip()))
        return lines[start:]


class Scripted(Keyboard):
    """Answers from a list, as if a person sat there; an exception in it is raised."""

    answers: Sequence[str | type[BaseException]] = ()
    bells = 0

    def __init__(self) -> None:
        super().__init__()
        self.person = True
        self._left = list(self.answers)

    def read(self, prompt: str) -> str | None:
        """Return the next answer; the end of them is the end of the input."""
        answer = self._left.pop(0) if self._left else None
        if isinstance(answer, type):
            raise answer
        sys.stderr.write(f"{prompt}{'' if answer is None else answer}\n")
        self.line += 1
        return answer

    def ring(self) -> None:
        """Count a bell."""
        type(self).bells += 1


def sit_down(
    monkeypatch: pytest.MonkeyPatch,
    answers: Sequence[str | type[BaseException]],
    *words: str,
) -> Sat:
    """Run ``bedplate bench`` with these answers; the job is the only one in this folder."""
    monkeypatch.setattr(Scripted, "answers", answers)
    monkeypatch.setattr(Scripted, "bells", 0)
    monkeypatch.setattr(command, "Keyboard", Scripted)
    seen = io.StringIO()
    with contextlib.redirect_stdout(seen), contextlib.redirect_stderr(seen):
        code = main(["bench", *words])
    return Sat(code, seen.getvalue())


def run(*words: str | Path) -> str:
    """Run another command, which must be accepted; return what it said."""
    seen = io.StringIO()
    with contextlib.redirect_stdout(seen), contextlib.redirect_stderr(seen):
        code = main([str(word) for word in words])
    assert code == 0, seen.getvalue()
    return seen.getvalue()


def opened(sheet: Path, name: str = "job") -> Path:
    """Open a job on a sheet in this folder, in the name of Ann Fitter; return its file."""
    run("settings", "name", "Ann Fitter")
    run("open", name, "--sheet", sheet)
    return Path(f"{name}.job.jsonl")


def on_sheet(text: str, name: str = "job") -> Path:
    """Open a job on a sheet given as text."""
    Path("sheet.toml").write_text(f'format = "bedplate-sheet/1"\n{text}', "utf-8")
    return opened(Path("sheet.toml"), name)


def job_in(path: Path) -> Job:
    """Return the job in a file."""
    return fold(read_job_file(path).entries)


def entries_in(path: Path) -> Sequence[AnyEntry]:
    """Return the entries in a file."""
    return read_job_file(path).entries


def read_at(path: Path) -> dict[str, list[str]]:
    """Return the live readings in a file: values by address, in order; a dash for left out."""
    found: dict[str, list[str]] = {}
    job = job_in(path)
    for entry in job.entries:
        if isinstance(entry, Reading) and job.is_live(entry.n):
            found.setdefault(entry.address, []).append(entry.value or "-")
    return found


def add_gauge(name: str, *more: str) -> None:
    """Describe a gauge that reads tenths."""
    run("gauge", "add", name, "--resolution", "1 tenth", "--max-error", "1 tenth", *more)
