"""Where answers come from: a person at a terminal, a gauge that types, or lines on a pipe.

A gauge that ends its value with CR LF sends a second, empty Enter; pasted lines and cursor keys
arrive as control characters. A line that is handed on has none of them left.
"""

from __future__ import annotations

import contextlib
import signal
import sys
from collections import deque
from collections.abc import Iterator
from types import FrameType

from bedplate.cli import ask
from bedplate.cli.screen import settle
from bedplate.text import visible


class Keyboard:
    """Reads one line after another.

    Attributes:
        person: whether somebody sits there who can be asked; else lines come from a pipe.
        line: how many lines have been handed on, to name one that is not understood.
    """

    def __init__(self) -> None:
        self.person = ask.can_ask()
        self.line = 0
        self._waiting: deque[str] = deque()
        self._edited = self.person and sys.stdout is not None and sys.stdout.isatty()
        if self._edited:
            _prepare_editing()

    def read(self, prompt: str) -> str | None:
        """Show a prompt and return what was answered, without outer spaces; None at the end.

        Raises:
            KeyboardInterrupt: Ctrl-C.
        """
        while not self._waiting:
            settle(sys.stdout)
            line = self._line(visible(prompt))
            if line is None:
                return None
            # Some terminals hand a pasted table over as one line; each of its rows is an Enter.
            self._waiting.extend(line.rstrip("\r\n").replace("\r", "\n").split("\n"))
        self.line += 1
        return ask.cleaned(self._waiting.popleft())

    def _line(self, prompt: str) -> str | None:
        if not self._edited:
            return self._plain_line(prompt)
        sys.stderr.flush()
        try:
            return input(prompt)
        except EOFError:
            sys.stderr.write("\n")
            return None

    def _plain_line(self, prompt: str) -> str | None:
        _say(prompt)
        line = sys.stdin.readline() if sys.stdin is not None else ""
        if not line:
            _say("\n")
            return None
        if not self.person:
            # Nobody has typed it on this screen: with it, what is left there reads as a session.
            _say(f"{ask.cleaned(line)}\n")
        return line

    def forget(self) -> None:
        """Drop what came in one piece with the last line."""
        self._waiting.clear()

    def ring(self) -> None:
        """Ring once, for eyes that are on the gauge."""
        if self.person:
            _say("\a")


def _say(text: str) -> None:
    if sys.stderr is not None:
        sys.stderr.write(text)
        sys.stderr.flush()


def _prepare_editing() -> None:
    """Let the line be edited, and nothing more.

    There is no history: cursor up and Enter, under an elbow, would record a value twice. Pasted
    lines are to arrive as lines.
    """
    try:
        import readline  # noqa: PLC0415 - on a terminal only; 3 ms
    except ImportError:  # Windows has its own line editing
        return
    readline.set_auto_history(False)
    readline.parse_and_bind("set enable-bracketed-paste off")
    readline.parse_and_bind("tab: self-insert")


@contextlib.contextmanager
def uninterrupted() -> Iterator[None]:
    """Put Ctrl-C off until the block is done: what is being recorded is recorded whole."""
    pressed: list[int] = []

    def note(number: int, _frame: FrameType | None) -> None:
        pressed.append(number)

    try:
        before = signal.signal(signal.SIGINT, note)
    except ValueError:  # not the main thread: no Ctrl-C arrives here
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        raise KeyboardInterrupt
