"""Exit codes and streams: whatever happens, one code, no traceback, nothing half said."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import IO

import pytest
import typer

from bedplate import __version__
from bedplate.cli.main import exit_codes, main
from bedplate.errors import FaultError, NotUnderstoodError, RefusedError, StorageError

Shown = pytest.CaptureFixture[str]
Put = Callable[[Callable[..., object], str], None]

FULL = Path("/dev/full")


def raising(error: BaseException, with_command: Put) -> None:
    """Put a command ``act`` into the tree that raises an error."""

    def act() -> None:
        """Act."""
        raise error

    with_command(act, "act")


def bedplate(*words: str, stdout: IO[str] | int, stderr: int) -> subprocess.CompletedProcess[str]:
    """Run bedplate as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "bedplate", *words],
        stdout=stdout,
        stderr=stderr,
        text=True,
        check=False,
    )


def test_the_version_is_said(capsys: Shown) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"bedplate {__version__}\n"


def test_the_table_of_exit_codes_is_read_from_the_classes() -> None:
    assert list(exit_codes()) == [0, 1, 2, 3, 4, 130]
    assert exit_codes()[1] == "The answer is no: a rule of the trade forbids it."


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (RefusedError("Refused. No.", "Type:  bedplate help"), 1),
        (NotUnderstoodError("Refused. No.", "Type:  bedplate help"), 2),
        (StorageError("Refused. No.", "Type:  bedplate help"), 3),
    ],
)
def test_a_failure_is_said_with_its_cure_and_ends_with_its_code(
    capsys: Shown, with_command: Put, error: Exception, code: int
) -> None:
    raising(error, with_command)
    assert main(["act"]) == code
    assert capsys.readouterr() == ("", "Refused. No.\n  Type:  bedplate help\n")


def test_a_long_message_is_wrapped_and_a_cure_is_not(capsys: Shown, with_command: Put) -> None:
    raising(RefusedError("Refused. " + "word " * 30, "x" * 100), with_command)
    assert main(["act"]) == 1
    *message, cure = capsys.readouterr().err.splitlines()
    assert len(message) == 3
    assert max(map(len, message)) <= 78
    assert cure == "  " + "x" * 100


@pytest.mark.parametrize("error", [KeyError("x"), FaultError("odd"), RecursionError()])
def test_a_fault_goes_into_a_file_and_is_told_in_one_line(
    capsys: Shown, with_command: Put, error: Exception
) -> None:
    raising(error, with_command)
    assert main(["act", "--json"]) == 4
    out, err = capsys.readouterr()
    assert out == ""
    said = re.fullmatch(
        rf"A fault in bedplate \({type(error).__name__} in act\)\. Everything recorded before "
        r"stands\. Details: (bedplate-fault-[0-9-]+\.txt)\n",
        err,
    )
    assert said is not None
    details = Path(said[1]).read_text("utf-8")
    assert "words: ['act', '--json']" in details
    assert "Traceback (most recent call last)" in details


@pytest.mark.parametrize("before", [["--job", "pump"], ["--by=Ann"], ["--plain"], []])
def test_a_fault_names_the_command_not_the_options_before_it(
    capsys: Shown, with_command: Put, before: list[str]
) -> None:
    raising(KeyError("x"), with_command)
    assert main([*before, "act"]) == 4
    assert "(KeyError in act)" in capsys.readouterr().err


def test_a_fault_where_nothing_can_be_written_goes_elsewhere(
    capsys: Shown, with_command: Put, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    raising(KeyError("x"), with_command)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    monkeypatch.setattr("tempfile.tempdir", str(elsewhere))
    assert main(["act"]) == 4
    assert f"Details: {elsewhere}{os.sep}bedplate-fault-" in capsys.readouterr().err


def test_a_question_not_answered_is_code_two(capsys: Shown, with_command: Put) -> None:
    raising(typer.Abort(), with_command)
    assert main(["act"]) == 2
    assert capsys.readouterr().err == "Nothing recorded: the question was not answered.\n"


def test_an_interrupt_is_code_130(capsys: Shown, with_command: Put) -> None:
    raising(KeyboardInterrupt(), with_command)
    assert main(["act"]) == 130
    assert capsys.readouterr() == ("", "\nStopped. Nothing is half written.\n")


@pytest.mark.parametrize(("error", "code"), [(typer.Exit(3), 3), (SystemExit(2), 2)])
def test_a_command_that_leaves_leaves_with_its_code(
    with_command: Put, error: BaseException, code: int
) -> None:
    raising(error, with_command)
    assert main(["act"]) == code


def test_a_file_that_cannot_be_read_is_code_three(capsys: Shown, with_command: Put) -> None:
    def act() -> None:
        """Act."""
        Path("nowhere").read_text("utf-8")

    with_command(act, "act")
    assert main(["act"]) == 3
    assert capsys.readouterr().err == (
        'Stopped. "nowhere": No such file or directory.\n  What was recorded before stands.\n'
    )


def test_a_sign_that_the_encoding_lacks_is_replaced(
    with_command: Put, monkeypatch: pytest.MonkeyPatch
) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr("sys.stdout", io.TextIOWrapper(raw, encoding="cp1252"))

    def act() -> None:
        """Act."""
        sys.stdout.write("├ 24 °C\n")

    with_command(act, "act")
    assert main(["act"]) == 0
    assert raw.getvalue() == b"? 24 \xb0C\n"


@pytest.mark.skipif(not FULL.exists(), reason="needs a device that is always full")
def test_a_full_disk_under_stdout_is_code_three() -> None:
    with FULL.open("w") as full:
        ran = bedplate("help", stdout=full, stderr=subprocess.PIPE)
    assert (ran.returncode, ran.stderr) == (
        3,
        "Stopped. No space left on device.\n  What was recorded before stands.\n",
    )


@pytest.mark.parametrize(("words", "code"), [(["help"], 0), (["help", "nothing"], 2)])
def test_a_reader_that_has_gone_away_changes_nothing(words: list[str], code: int) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        ran = bedplate(*words, stdout=writing, stderr=writing)
    finally:
        os.close(writing)
    assert ran.returncode == code


@pytest.mark.skipif(os.name == "nt", reason="a POSIX shell closes the stream")
def test_a_closed_stdout_changes_nothing() -> None:
    ran = subprocess.run(
        f'"{sys.executable}" -m bedplate help >&-', shell=True, stderr=subprocess.PIPE, check=False
    )
    assert (ran.returncode, ran.stderr) == (0, b"")


def test_no_plugin_of_another_package_watches_what_is_checked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "spy-1.dist-info").mkdir()
    (tmp_path / "spy-1.dist-info" / "METADATA").write_text("Name: spy\nVersion: 1\n", "utf-8")
    (tmp_path / "spy-1.dist-info" / "entry_points.txt").write_text(
        "[pydantic]\nspy=spy\n", "utf-8"
    )
    (tmp_path / "spy.py").write_text("raise SystemExit('a plugin was loaded')\n", "utf-8")
    sheet = Path(__file__).parents[2] / "examples" / "transfer-pump.toml"
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    ran = bedplate("sheet", "check", str(sheet), stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert (ran.returncode, ran.stderr) == (0, "")


def test_what_looks_for_plugins_is_not_loaded_either() -> None:
    sheet = str(Path(__file__).parents[2] / "examples" / "transfer-pump.toml")
    script = (
        "import sys; sys.argv[1:] = ['sheet', 'check', sys.argv[1]]\n"
        "from bedplate.cli.main import main; code = main()\n"
        "print(code, [name for name in ('importlib.metadata', 'email') if name in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script, sheet], capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines()[-1] == "0 []"
