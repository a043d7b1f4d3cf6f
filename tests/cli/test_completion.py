"""The Tab key: names from the table, jobs from the folder, silence for everything else."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from bedplate.cli import commands
from bedplate.cli.completion_command import WHERE, script
from bedplate.cli.main import main

Shown = pytest.CaptureFixture[str]
Tried = list[tuple[object, ...]]


@pytest.fixture
def tab(monkeypatch: pytest.MonkeyPatch, capsys: Shown) -> Any:
    """Return what can follow a line, as fish is told."""

    def press(line: str) -> list[str]:
        monkeypatch.setenv("_BEDPLATE_COMPLETE", "complete_fish")
        monkeypatch.setenv("_TYPER_COMPLETE_FISH_ACTION", "get-args")
        monkeypatch.setenv("_TYPER_COMPLETE_ARGS", line)
        assert main([]) == 0
        out, err = capsys.readouterr()
        assert err == ""
        return out.split()

    return press


def test_all_commands_follow_bedplate(tab: Any) -> None:
    assert tab("bedplate ") == commands.first_words()
    assert tab("bedplate hel") == ["help"]


def test_options_of_a_command_follow_it_and_the_common_ones(tab: Any, tried: Tried) -> None:
    assert tab("bedplate try --") == [
        "--gauge", "--note", "--yes", "--help", "--job", "--by", "--plain", "--json",
    ]  # fmt: skip
    assert tried == []


def test_jobs_of_the_folder_follow_the_job_option(tab: Any) -> None:
    Path("pump.job.jsonl").touch()
    Path("head.job.jsonl").touch()
    assert tab("bedplate --job ") == ["head", "pump"]
    assert tab("bedplate settings --job p") == ["pump"]
    assert tab("bedplate --job pump settin") == ["settings"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("bedplate settings bo", ["both_units"]),
        ("bedplate completion ", list(WHERE)),
        ("bedplate help exit", ["exit-codes"]),
        ("bedplate nothing x", []),
        ("bedplate settings --wiht ", []),
    ],
)
def test_words_follow_where_they_are_known(tab: Any, line: str, words: list[str]) -> None:
    found = tab(line)
    assert found == words or (not words and "settings" not in found)


def test_a_fault_at_the_tab_key_is_silent(
    tab: Any, monkeypatch: pytest.MonkeyPatch, capsys: Shown
) -> None:
    def failing() -> list[str]:
        raise KeyError("x")

    monkeypatch.setattr(commands, "first_words", failing)
    monkeypatch.setenv("_BEDPLATE_COMPLETE", "complete_fish")
    monkeypatch.setenv("_TYPER_COMPLETE_FISH_ACTION", "get-args")
    monkeypatch.setenv("_TYPER_COMPLETE_ARGS", "bedplate ")
    assert main([]) == 1
    assert capsys.readouterr() == ("", "")
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize("shell", WHERE)
def test_each_shell_has_its_function(capsys: Shown, shell: str) -> None:
    assert main(["completion", shell]) == 0
    out, err = capsys.readouterr()
    assert out == script(shell) + "\n"
    assert "_BEDPLATE_COMPLETE" in out
    assert err == ""
    assert "Set-ExecutionPolicy" not in out
    assert "Set-PSReadLineKeyHandler" not in out


def test_another_shell_is_refused(capsys: Shown) -> None:
    assert main(["completion", "tcsh"]) == 2
    assert capsys.readouterr().err == (
        'Nothing done. "tcsh" is no shell this is written for.\n'
        "  There are: bash, zsh, fish, powershell\n"
        "  Type:  bedplate completion bash\n"
    )


def test_no_rich_is_loaded_at_the_tab_key() -> None:
    source = (
        "import sys; from bedplate.cli.main import main; main([]);"
        "print([n for n in sys.modules if n.split('.')[0] in ('rich', 'pydantic')])"
    )
    environment = {
        **os.environ,
        "_BEDPLATE_COMPLETE": "complete_zsh",
        "_TYPER_COMPLETE_ARGS": "bedplate ",
    }
    ran = subprocess.run(
        [sys.executable, "-c", source], env=environment, capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines()[-1] == "[]"


STAND_IN = """#!/bin/sh
if [ -z "$_BEDPLATE_COMPLETE" ]; then echo "ran: $*"; exit; fi
word="${_TYPER_COMPLETE_ARGS##* }"
for name in settings H.idler@ H.idler@a H.idler@b B.2@top/thrust --gauge=mic1; do
    case "$name" in "$word"?*) echo "$name"; [ "$name" = H.idler@ ] && exit;; esac
done
"""
"""Offers these words, and nothing beyond an address that is not yet whole."""


@pytest.mark.skipif(shutil.which("bash") is None, reason="needs bash")
@pytest.mark.parametrize(
    ("typed", "ran"),
    [
        ("bedplate set\t", "ran: settings"),
        ("bedplate try H.i\ta", "ran: try H.idler@a"),
        ("bedplate try H.idler@b\t", "ran: try H.idler@b"),
        ("bedplate try B.2@top/t\t", "ran: try B.2@top/thrust"),
        ("bedplate try --gauge=mi\t", "ran: try --gauge=mic1"),
    ],
)
def test_the_function_of_bash_keeps_an_address_in_one_piece(
    tmp_path: Path, typed: str, ran: str
) -> None:
    pexpect = pytest.importorskip("pexpect", reason="a pseudo-terminal is needed")
    stand_in = tmp_path / "bedplate"
    stand_in.write_text(STAND_IN, "utf-8")
    stand_in.chmod(0o755)
    (tmp_path / "function").write_text(script("bash"), "utf-8")
    environment = {
        "PATH": f"{tmp_path}:{os.environ['PATH']}",
        "PS1": "ready> ",
        "TERM": "dumb",
        "INPUTRC": os.devnull,
    }
    child = pexpect.spawn(
        "bash", ["--norc", "--noprofile"], env=environment, encoding="utf-8", timeout=20
    )
    child.sendline(f"source '{tmp_path}/function'; bind 'set enable-bracketed-paste off'")
    child.expect_exact("ready> ")
    child.send(typed)
    child.send("\r")
    child.expect_exact(f"{ran}\r\n")
    child.close()


ZSH = """PS1='ready> '
autoload -Uz compinit; compinit -u -d '{folder}/dump'
source '{folder}/function'
"""


@pytest.mark.skipif(shutil.which("zsh") is None, reason="needs zsh")
@pytest.mark.parametrize(
    ("typed", "ran"),
    [
        ("bedplate set\t", "ran: settings"),
        ("bedplate try H.i\ta", "ran: try H.idler@a"),
        ("bedplate try H.idler@b\t", "ran: try H.idler@b"),
        ("bedplate try B.2@top/t\t", "ran: try B.2@top/thrust"),
        ("bedplate try --gauge=mi\t", "ran: try --gauge=mic1"),
    ],
)
def test_the_function_of_zsh_puts_no_blank_behind_an_address_that_goes_on(
    tmp_path: Path, typed: str, ran: str
) -> None:
    pexpect = pytest.importorskip("pexpect", reason="a pseudo-terminal is needed")
    stand_in = tmp_path / "bedplate"
    stand_in.write_text(STAND_IN, "utf-8")
    stand_in.chmod(0o755)
    (tmp_path / "function").write_text(script("zsh"), "utf-8")
    environment = {"PATH": f"{tmp_path}:{os.environ['PATH']}", "TERM": "dumb"}
    child = pexpect.spawn("zsh", ["-f", "-i"], env=environment, encoding="utf-8", timeout=20)
    for line in ZSH.format(folder=tmp_path).splitlines():
        child.sendline(line)
    child.sendline("echo loaded")
    child.expect_exact("\r\nloaded\r\n")
    child.expect_exact("ready> ")
    child.send(typed)
    child.send("\r")
    child.expect_exact(f"{ran}\r\n")
    child.close()


@pytest.mark.skipif(shutil.which("fish") is None, reason="needs fish")
def test_the_function_of_fish_completes_an_address(tmp_path: Path) -> None:
    stand_in = tmp_path / "bedplate"
    stand_in.write_text(STAND_IN, "utf-8")
    stand_in.chmod(0o755)
    (tmp_path / "function").write_text(script("fish"), "utf-8")
    ran = subprocess.run(
        ["fish", "--no-config", "-c",
         f"source '{tmp_path}/function'; complete --do-complete 'bedplate try H.i'"],
        env={"PATH": f"{tmp_path}:{os.environ['PATH']}", "HOME": str(tmp_path)},
        capture_output=True, text=True, check=True, timeout=30,
    )  # fmt: skip
    assert ran.stdout.split() == ["H.idler@"]


@pytest.mark.parametrize(
    ("shell", "line", "written"),
    [
        ("complete_zsh", "bedplate prove SPIN ", '_arguments \'*: :(("pass"\n"fail"))\'\n'),
        ("complete_zsh", "bedplate note x", "_files\n"),
        ("complete_powershell", "bedplate prove SPIN p", "pass::: \n"),
    ],
)
def test_names_are_written_as_each_shell_reads_them(
    monkeypatch: pytest.MonkeyPatch, capsys: Shown, shell: str, line: str, written: str
) -> None:
    monkeypatch.setenv("_BEDPLATE_COMPLETE", shell)
    monkeypatch.setenv("_TYPER_COMPLETE_ARGS", line)
    monkeypatch.setenv("_TYPER_COMPLETE_WORD_TO_COMPLETE", line.rpartition(" ")[2])
    assert main([]) == 0
    assert capsys.readouterr() == (written, "")


@pytest.mark.parametrize(("line", "code"), [("bedplate prove S ", 0), ("bedplate note x", 1)])
def test_fish_is_told_whether_there_is_anything(
    monkeypatch: pytest.MonkeyPatch, capsys: Shown, line: str, code: int
) -> None:
    monkeypatch.setenv("_BEDPLATE_COMPLETE", "complete_fish")
    monkeypatch.setenv("_TYPER_COMPLETE_FISH_ACTION", "is-args")
    monkeypatch.setenv("_TYPER_COMPLETE_ARGS", line)
    assert main([]) == code
    assert capsys.readouterr() == ("", "")


def test_names_are_answered_before_typer_and_pydantic_are_loaded() -> None:
    source = (
        "import sys; from bedplate.cli.main import main; main([]);"
        "print([n for n in sys.modules if n in ('typer', 'rich', 'pydantic', 'pint')])"
    )
    environment = {
        **os.environ,
        "_BEDPLATE_COMPLETE": "complete_fish",
        "_TYPER_COMPLETE_FISH_ACTION": "get-args",
        "_TYPER_COMPLETE_ARGS": "bedplate measure H",
    }
    ran = subprocess.run(
        [sys.executable, "-c", source], env=environment, capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines()[-1] == "[]"


def test_each_shell_tells_where_its_function_is_kept() -> None:
    assert [
        shell for shell, told in WHERE.items() if f"bedplate completion {shell}" not in told
    ] == []
