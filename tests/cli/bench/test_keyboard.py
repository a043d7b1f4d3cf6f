"""Where answers come from: lines, whatever stands at their ends or inside them."""

from __future__ import annotations

import io
import os
import signal
import sys

import pytest

from bedplate.cli.bench.keyboard import Keyboard, uninterrupted


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> object:
    """Return what makes a keyboard on a pipe."""

    def on(text: str) -> Keyboard:
        monkeypatch.setattr(sys, "stdin", io.StringIO(text, newline="\n"))
        return Keyboard()

    return on


def read_all(keyboard: Keyboard) -> list[str]:
    """Return every line until the end."""
    lines = []
    while (line := keyboard.read("? ")) is not None:
        lines.append(line)
    return lines


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("1.0\n2.0\n", ["1.0", "2.0"]),
        ("1.0\r\n2.0\r\n", ["1.0", "2.0"]),
        ("1.0", ["1.0"]),
        ("\n  \n1.0\n", ["", "", "1.0"]),
        ("1.0\r2.0\n", ["1.0", "2.0"]),
        ("\x1b[A1.0\x1b[200~ \t\x07\n", ["1.0"]),
        ("", []),
    ],
)
def test_lines_come_one_by_one_without_what_is_unseen(
    typed: object, text: str, lines: list[str]
) -> None:
    assert read_all(typed(text)) == lines  # type: ignore[operator]


def test_prompt_and_answer_go_to_stderr_so_that_they_read_as_a_session(
    typed: object, capsys: pytest.CaptureFixture[str]
) -> None:
    keyboard = typed("1.0\n")  # type: ignore[operator]
    assert not keyboard.person
    read_all(keyboard)
    assert capsys.readouterr() == ("", "? 1.0\n? \n")
    assert keyboard.line == 1


def test_what_came_in_one_piece_can_be_dropped(typed: object) -> None:
    keyboard = typed("1.0\r2.0\r3.0\n4.0\n")  # type: ignore[operator]
    assert keyboard.read("? ") == "1.0"
    keyboard.forget()
    assert keyboard.read("? ") == "4.0"


def test_without_a_stream_there_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert Keyboard().read("? ") is None


def press_ctrl_c() -> None:
    """Interrupt this process as Ctrl-C does, and let it be noticed."""
    os.kill(os.getpid(), signal.SIGINT)
    sum(range(1000))


def test_ctrl_c_waits_until_what_is_being_recorded_is_recorded() -> None:
    done = []

    def record() -> None:
        with uninterrupted():
            press_ctrl_c()
            done.append("recorded")

    with pytest.raises(KeyboardInterrupt):
        record()
    assert done == ["recorded"]
    with pytest.raises(KeyboardInterrupt):
        press_ctrl_c()


def test_a_fault_inside_is_not_hidden_by_a_late_ctrl_c() -> None:
    def record() -> None:
        with uninterrupted():
            press_ctrl_c()
            raise ValueError("disk")

    with pytest.raises(ValueError, match="disk"):
        record()
