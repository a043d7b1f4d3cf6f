"""A session at a terminal of its own: keys go in, and the screen is read as a person sees it."""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import pexpect
import pyte

PROMPT = re.compile(r"(> |[a-z]: )$")
"""What stands at the end of what was sent when an answer is waited for."""
PATIENCE = 40
"""Seconds that any one thing may take on a busy machine."""
TALL = 400
"""Lines of the screen: none is scrolled away."""


class BenchTerminal:
    """``bedplate bench`` on a pseudo-terminal.

    Args:
        folder: where the job is.
        home: settings and gauges.
        words: what stands behind ``bedplate bench``.
        columns: how wide it is.
        environment: what else is set.
    """

    def __init__(
        self, folder: Path, home: Path, *words: str, columns: int = 80, **environment: str
    ) -> None:
        inherited = {
            k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES", "NO_COLOR")
        }
        self.child: Any = pexpect.spawn(
            sys.executable,
            ["-m", "bedplate", "bench", *words],
            cwd=str(folder),
            env={
                **inherited, "BEDPLATE_HOME": str(home), "TERM": "xterm", "INPUTRC": os.devnull,
                "PYTHONIOENCODING": "utf-8", "LC_ALL": "C.UTF-8", **environment,
            },
            dimensions=(TALL, columns),
            encoding="utf-8",
            timeout=PATIENCE,
        )  # fmt: skip
        self.child.delaybeforesend = None
        self._screen = pyte.Screen(columns, TALL)
        self._stream = pyte.Stream(self._screen)
        self._tail = ""
        self.keys = 0

    def __enter__(self) -> Self:
        self.wait()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.child.close(force=True)

    def wait(self) -> bool:
        """Wait until an answer is waited for; return False where the session has ended."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            try:
                # A prompt is at the end of what came, and nothing comes behind it.
                self._take(self.child.read_nonblocking(65536, timeout=0.04))
            except pexpect.TIMEOUT:
                if PROMPT.search(self._tail):
                    return True
            except pexpect.EOF:
                return False
        raise AssertionError(f"no prompt came: {self._tail!r}")

    def _take(self, text: str) -> None:
        self._stream.feed(text)
        self._tail = (self._tail + text)[-200:]

    def type(self, *answers: str, end: str = "\r") -> Self:
        """Type answers one after another, each when its prompt is there; an Enter behind each."""
        for answer in answers:
            self._tail = ""
            self.child.send(answer + end)
            self.keys += len(answer) + 1
            self.wait()
        return self

    def at_once(self, text: str) -> Self:
        """Send a text in one piece, as a gauge or a paste does, and wait for the prompt."""
        self._tail = ""
        self.child.send(text)
        self.wait()
        return self

    def press_ctrl(self, letter: str) -> Self:
        """Press Ctrl and a letter."""
        self._tail = ""
        self.child.sendcontrol(letter)
        self.wait()
        return self

    def kill(self) -> None:
        """Kill the program where it stands, as a battery that is gone does."""
        os.kill(self.child.pid, signal.SIGKILL)
        self.child.wait()

    def ended(self) -> int | None:
        """Wait for the end of the program and return its exit code."""
        self.child.expect(pexpect.EOF)
        self._take(self.child.before or "")
        self.child.close()
        code: int | None = self.child.exitstatus
        return code

    @property
    def lines(self) -> list[str]:
        """What is on the screen, without blanks at line ends, up to the last line of any."""
        lines = [line.rstrip() for line in self._screen.display]
        while lines and not lines[-1]:
            lines.pop()
        return lines

    @property
    def text(self) -> str:
        """The screen as one text, times that differ from run to run made alike."""
        return re.sub(r"\b[0-9]+ min ago", "0 min ago", "\n".join(self.lines)) + "\n"


def typed_in(lines: Iterable[str]) -> list[str]:
    """Return the answers that a screen shows behind its prompts."""
    return [line.rpartition("> ")[2] for line in lines if "> " in line]
