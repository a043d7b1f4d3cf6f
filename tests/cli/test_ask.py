"""Questions: on a terminal only, to stderr, and never an escape sequence in an answer."""

from __future__ import annotations

import io
import os
import sys
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.cli import ask
from bedplate.text import HIDDEN

pexpect = pytest.importorskip("pexpect", reason="a pseudo-terminal is needed")

ANSWER = "from bedplate.cli import ask; print('got', repr(ask.ask('value > ')))"
CHOICE = "from bedplate.cli import ask; print('got', ask.choose('Which?', ['head', 'pump']))"


def on_terminal(script: str, more: str = "") -> Any:
    """Run a script on a terminal of its own."""
    command = f'"{sys.executable}" -c "{script}" {more}'
    environment = {**os.environ, "TERM": "xterm", "INPUTRC": os.devnull}
    return pexpect.spawn("/bin/sh", ["-c", command], encoding="utf-8", timeout=20, env=environment)


def test_without_a_terminal_nothing_is_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("0.75\n"))
    assert not ask.can_ask()
    assert ask.ask("value > ") is None
    assert ask.choose("Which?", ["a", "b"]) is None
    assert capsys.readouterr() == ("", "")


@pytest.mark.parametrize("missing", ["stdin", "stderr"])
def test_a_missing_stream_is_no_terminal(monkeypatch: pytest.MonkeyPatch, missing: str) -> None:
    monkeypatch.setattr(sys, missing, None)
    assert not ask.can_ask()


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("0.75\n", "0.75"),
        ("  0.75\t\r\n", "0.75"),
        ("\x1b[200~1.0031\x1b[201~", "1.0031"),
        ("1\x1b[A\x1b[1;5C2", "12"),
        ("\x1b]0;title\x07x", "x"),
        ("\x1bOPx", "x"),
        ("a\x00b\x07c\u202ed", "abcd"),
        ("Ä °C µ", "Ä °C µ"),
        ("", ""),
        ("\x1b", ""),
    ],
)
def test_an_answer_is_cleaned(typed: str, answer: str) -> None:
    assert ask.cleaned(typed) == answer


@given(st.text(alphabet=st.characters() | st.sampled_from("\x1b[]~O;0m\x07"), max_size=40))
def test_whatever_is_typed_no_control_character_is_left(typed: str) -> None:
    answer = ask.cleaned(typed)
    assert [char for char in answer if unicodedata.category(char) in HIDDEN] == []
    assert answer == answer.strip()


def test_an_answer_typed_on_a_terminal_is_returned() -> None:
    child = on_terminal(ANSWER)
    child.expect_exact("value > ")
    child.sendline(" 0.75 ")
    child.expect_exact("got '0.75'")


def test_a_cursor_key_leaves_nothing_in_the_answer() -> None:
    child = on_terminal(ANSWER)
    child.expect_exact("value > ")
    child.send("\x1b[A0.75\x1b[B\r")
    child.expect_exact("got '0.75'")


def test_the_question_reaches_the_person_when_stdout_goes_into_a_file(tmp_path: Path) -> None:
    kept = tmp_path / "kept.txt"
    child = on_terminal(ANSWER, f"> '{kept}'")
    child.expect_exact("value > ")
    child.sendline("0.75")
    child.expect(pexpect.EOF)
    assert kept.read_text("utf-8") == "got '0.75'\n"


@pytest.mark.parametrize("more", ["", "> /dev/null"])
def test_the_end_of_the_input_is_no_answer(more: str) -> None:
    child = on_terminal(
        "import typer; from bedplate.cli import ask\n"
        "try: ask.ask('value > ')\n"
        "except typer.Abort: raise SystemExit(2)",
        more,
    )
    child.expect_exact("value > ")
    child.sendeof()
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 2


def test_nothing_is_asked_when_stderr_goes_elsewhere() -> None:
    child = on_terminal(ANSWER, "2> /dev/null")
    child.expect_exact("got None")


@pytest.mark.parametrize("answers", [["2"], ["pump"], ["", "3", "pmup", "2"]])
def test_one_of_several_is_chosen_by_number_or_name(answers: list[str]) -> None:
    child = on_terminal(CHOICE)
    child.expect_exact("Which?\r\n  1  head\r\n  2  pump\r\n")
    for answer in answers:
        child.expect_exact("number or name > ")
        child.sendline(answer)
    child.expect_exact("got pump")
