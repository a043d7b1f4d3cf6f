"""What the tests of the command line share: a home of their own, a folder, trial commands."""

from __future__ import annotations

import sys
import types
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import pytest
import typer
from typist import Typist

from bedplate.cli import commands
from bedplate.cli.commands import Row

Tried = list[tuple[object, ...]]


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Give every test a folder to stand in and settings of its own, whoever runs it."""
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    monkeypatch.setenv("BEDPLATE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("COLUMNS", "80")
    for name in ("BEDPLATE_BY", "BEDPLATE_JOB", "_BEDPLATE_COMPLETE", "NO_COLOR", "LINES"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Return the folder of settings and gauges."""
    return tmp_path / "home"


@pytest.fixture
def typist(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Typist:
    """Return somebody at the keyboard who records as Ann Fitter."""
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    return Typist(capsys)


@pytest.fixture
def with_command(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[..., object], str], None]:
    """Return what puts a function into the tree under a name."""

    def put(function: Callable[..., object], name: str) -> None:
        module = types.ModuleType("bedplate.cli.on_trial")
        module.run = function  # type: ignore[attr-defined]
        monkeypatch.setitem(sys.modules, "bedplate.cli.on_trial", module)
        row = Row("Trial", name, "on_trial:run", (function.__doc__ or "").splitlines()[0])
        monkeypatch.setattr(commands, "COMMANDS", (*commands.COMMANDS, row))
        if row.noun:
            monkeypatch.setitem(commands.NOUNS, row.noun, "A noun on trial.")

    return put


@pytest.fixture
def tried(with_command: Callable[[Callable[..., object], str], None]) -> Tried:
    """Put a command ``try`` into the tree; return the list of what it was called with."""
    calls: Tried = []

    def trial(
        address: Annotated[str, typer.Argument(metavar="ADDRESS", help="Where.")],
        values: Annotated[list[str] | None, typer.Argument(metavar="VALUE", help="What.")] = None,
        *,
        gauge: Annotated[str | None, typer.Option("-g", "--gauge", help="Which gauge.")] = None,
        note: Annotated[list[str] | None, typer.Option("--note", help="A remark.")] = None,
        yes: Annotated[bool, typer.Option("--yes", help="Keep it.")] = False,
    ) -> None:
        """Try the line."""
        calls.append((address, values, gauge, note, yes))

    with_command(trial, "try")
    return calls
