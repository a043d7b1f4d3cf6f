"""Questions: put to stderr, answered from stdin, and only where a person sits at both.

Without a terminal every function here returns None, and the command then refuses with the option
that answers. Whether there is one is read from the streams themselves, never from a colour
setting. An answer never carries an escape sequence or a control character.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Sequence

import typer

from bedplate.text import HIDDEN, visible

ESCAPES = re.compile(
    "\x1b(?:\\[[0-?]*[ -/]*[@-~]|\\][^\x07\x1b]*(?:\x07|\x1b\\\\)?|[NO]?[ -~])",
)
"""What a terminal sends for keys that are no letters: cursor keys, pasted brackets, titles."""


def can_ask() -> bool:
    """Say whether a person can be asked: stdin and stderr are both terminals."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stderr))


def ask(question: str, *, bell: bool = False) -> str | None:
    """Put one question and return the answer, without spaces around it.

    Args:
        question: shown as it stands, the blank after it included; what cannot be seen, escaped.
        bell: ring once, for eyes that are on the gauge.

    Returns:
        What was typed ("" for a bare Enter), or None without a terminal.

    Raises:
        typer.Abort: the input ended instead of an answer.
    """
    if not can_ask():
        return None
    if bell:
        sys.stderr.write("\a")
    return cleaned(_read(visible(question)))


def _read(question: str) -> str:
    # Line editing needs the prompt to pass through `input`, which is only right while stdout is
    # the terminal too; redirected, the question must still reach the person.
    if sys.stdout is not None and sys.stdout.isatty():
        _load_line_editing()
        try:
            sys.stderr.flush()
            return input(question)
        except EOFError as error:
            sys.stderr.write("\n")
            raise typer.Abort from error
    sys.stderr.write(question)
    sys.stderr.flush()
    if not (line := sys.stdin.readline()):
        sys.stderr.write("\n")
        raise typer.Abort
    return line


def _load_line_editing() -> None:
    try:
        import readline  # noqa: F401, PLC0415 - its import alone gives `input` line editing
    except ImportError:  # Windows has its own line editing
        return


def cleaned(typed: str) -> str:
    r"""Return what was typed without escape sequences, control characters and outer spaces.

    >>> cleaned("\x1b[200~1.0031\x1b[201~\r\n")
    '1.0031'
    """
    text = ESCAPES.sub("", typed).replace("\t", " ")
    return "".join(char for char in text if unicodedata.category(char) not in HIDDEN).strip()


def choose(question: str, names: Sequence[str]) -> str | None:
    """Let a person choose one of several by number or name.

    Returns:
        One of ``names``, or None without a terminal.

    Raises:
        typer.Abort: the input ended instead of an answer.
    """
    if not can_ask():
        return None
    sys.stderr.write(f"{visible(question)}\n")
    for number, name in enumerate(names, start=1):
        sys.stderr.write(f"  {number}  {visible(name)}\n")
    numbered = {str(number): name for number, name in enumerate(names, start=1)}
    by_name = {name: name for name in names}
    while True:
        answer = ask("number or name > ")
        if answer is None:
            return None
        if chosen := (by_name | numbered).get(answer):
            return chosen
