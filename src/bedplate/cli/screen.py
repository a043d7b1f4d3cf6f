"""The screen of one command: how wide, what it can draw, and the only way to print.

Everything a command says passes `Screen.out` (the answer, stdout), `Screen.err` (questions apart:
cautions, hints, warnings, stderr) or `Screen.json`. A reader that has gone away
(``bedplate log | head``) is no fault: the rest is dropped and the exit code stays.

Who makes a sentence of what a file holds shows it by `text.visible`, so that its columns agree.
As a last net the line itself is shown so, our own colours aside: nothing else reaches a terminal.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple, TextIO

from bedplate.text import visible

if TYPE_CHECKING:
    from bedplate.cabinet import Settings

DRAWN = "─├┤═│±°µ"
"""What the stream's encoding must have before any of it is used."""

WIDE_ENCODINGS = ("gb", "big5", "euc", "shift", "sjis", "cp932", "cp936", "cp949", "cp950",
                  "johab", "iso2022", "hz")  # fmt: skip
"""East Asian encodings: these characters are missing there, or of no certain width."""

MEASURE = 78
"""Columns that running text is wrapped at."""

BOLD, REVERSE, BLUE, RUST = "1", "7", "38;5;63", "38;5;130"

OUR_COLOURS = re.compile("(\x1b\\[(?:0|1|7|9|1;7|38;5;63|38;5;130)m)")
"""Weight, hue and their end as we write them: all that a terminal is ever told."""


class Screen(NamedTuple):
    """What one command prints to.

    Attributes:
        stdout: takes the answer; None where the process was started without one.
        stderr: takes everything else.
        columns: of the terminal; 80 on a pipe, where nothing is cut whatever its width.
        lines: of the terminal, 24 on a pipe.
        terminal: whether stdout is a terminal.
        plain: one fact a line, no drawing, no alignment.
        can_draw: line drawing, degree and plus-minus signs may be used.
        can_colour: ``""``, ``"weight"`` (bold and reverse), or ``"hue"`` (256 colours too).
        as_json: `out` is silent, for the one document that `json` prints.
        show: the unit preferred for lengths that nothing else gives one, or ``as entered``.
        both_units: a second unit stands in brackets behind a computed length.
    """

    stdout: TextIO | None
    stderr: TextIO | None
    columns: int
    lines: int
    terminal: bool
    plain: bool
    can_draw: bool
    can_colour: str
    as_json: bool = False
    show: str = "as entered"
    both_units: bool = False

    @classmethod
    def made(
        cls,
        stdout: TextIO | None,
        stderr: TextIO | None,
        settings: Settings,
        environment: Mapping[str, str],
        *,
        as_json: bool = False,
    ) -> Screen:
        """Return the screen for these streams under these settings."""
        terminal = stdout is not None and stdout.isatty()
        columns, lines = _size(stdout, environment)
        plain = settings.screen == "plain"
        return cls(
            stdout=stdout,
            stderr=stderr,
            columns=columns,
            lines=lines,
            terminal=terminal,
            plain=plain,
            can_draw=settings.screen == "full" and can_encode(stdout),
            can_colour=""
            if plain or not terminal or settings.colour == "never"
            else colours(environment, os.name),
            as_json=as_json,
            show=settings.show,
            both_units=settings.both_units,
        )

    @property
    def cells(self) -> int:
        """Cells inside a band line: 20, 12 where the screen is narrow, 0 where none is drawn."""
        if self.plain:
            return 0
        return 20 if self.columns >= 60 else 12

    @property
    def width(self) -> int | None:
        """Columns that a table must fit, or None where it may be as wide as it needs to be."""
        return self.columns if self.terminal else None

    @property
    def measure(self) -> int:
        """Columns that running text is wrapped at here."""
        return min(self.columns, MEASURE)

    def out(self, line: str = "") -> None:
        """Print one line of the answer (nothing under ``--json``)."""
        if not self.as_json:
            write_line(self.stdout, line, coloured=bool(self.can_colour))

    def err(self, line: str = "") -> None:
        """Print one line that is not the answer: a caution, a hint, a warning.

        What the answer has said so far goes out first, so that the two read in order where they
        end in one file.
        """
        settle(self.stdout)
        write_line(self.stderr, line)

    def warn(self, text: str) -> None:
        """Print running text that is not the answer, in lines that fit; whole with ``--plain``."""
        for line in [text] if self.plain else wrapped(text, "", "  ", self.measure):
            self.err(line)

    def raw(self, data: bytes) -> None:
        """Write bytes to stdout as they are: a page that was asked for with ``-o -``."""
        stream = self.stdout
        if stream is None:
            return
        buffer = getattr(stream, "buffer", None)
        if buffer is None:
            _kept(stream, lambda: stream.write(data.decode("utf-8", "replace")))
            return
        stream.flush()
        _kept(stream, lambda: buffer.write(data))

    def json(self, document: Mapping[str, Any]) -> None:
        """Print the one JSON document of a command: ASCII, one line."""
        import json  # noqa: PLC0415 - paid only by the commands asked for it

        write_line(self.stdout, json.dumps(document, ensure_ascii=True, allow_nan=False))

    def weighed(self, text: str, verdict: str) -> str:
        """Return the words of a verdict with their weight: close and worn bold, out reversed."""
        match verdict:
            case "in-close" | "out-close" | "serviceable":
                return self._set(text, BOLD)
            case "out":
                return self._set(text, BOLD, REVERSE)
            case _:
                return text

    def tinted(self, text: str, verdict: str) -> str:
        """Return a band line in its hue, where 256 colours are there: blue in, rust out."""
        if self.can_colour != "hue":
            return text
        return self._set(text, RUST if verdict.startswith("out") else BLUE)

    def _set(self, text: str, *codes: str) -> str:
        return f"\x1b[{';'.join(codes)}m{text}\x1b[0m" if self.can_colour and text else text


def can_encode(stream: TextIO | None) -> bool:
    """Say whether a stream can take the drawn signs, each one column wide."""
    encoding = (getattr(stream, "encoding", None) or "ascii").lower()
    if encoding.startswith(WIDE_ENCODINGS):
        return False
    try:
        DRAWN.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def colours(environment: Mapping[str, str], system: str) -> str:
    """Return what a terminal can show: nothing, weight alone, or 256 hues too.

    ``NO_COLOR`` (https://no-color.org: set and not empty) forbids hue, not weight.
    """
    term = environment.get("TERM", "")
    if term == "dumb" or (not term and not (system == "nt" and "WT_SESSION" in environment)):
        return ""
    if environment.get("NO_COLOR"):
        return "weight"
    many = "256color" in term or environment.get("COLORTERM") in {"truecolor", "24bit"}
    return "hue" if many or "WT_SESSION" in environment else "weight"


def _size(stream: TextIO | None, environment: Mapping[str, str]) -> tuple[int, int]:
    """Return columns and lines: ``COLUMNS`` and ``LINES`` first, else the terminal's own."""
    columns, lines = 80, 24
    if stream is not None and stream.isatty():
        try:
            columns, lines = os.get_terminal_size(stream.fileno())
        except (OSError, ValueError):
            columns, lines = 80, 24
    told = _told(environment, "COLUMNS"), _told(environment, "LINES")
    return told[0] or columns or 80, told[1] or lines or 24


def _told(environment: Mapping[str, str], name: str) -> int:
    text = environment.get(name, "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 5 else 0


def write_line(stream: TextIO | None, line: str, *, coloured: bool = False) -> None:
    """Write one line, what cannot be seen in it as escapes; a reader that left is no fault.

    Args:
        stream: where to; None writes nothing.
        line: without its end; a line end within it is shown as an escape too.
        coloured: let our own colours through.

    Raises:
        OSError: the line cannot be written (a full disk).
    """
    if stream is not None:
        shown = _coloured(line) if coloured else visible(line)
        _kept(stream, lambda: stream.write(f"{shown}\n"))


def _coloured(line: str) -> str:
    """Return a line with what cannot be seen in it as escapes, but for our own colours."""
    parts = OUR_COLOURS.split(line)  # every second one is a colour
    return "".join(part if at % 2 else visible(part) for at, part in enumerate(parts))


def settle(stream: TextIO | None) -> None:
    """Write out what a stream still holds; a reader that has gone away is no fault.

    Raises:
        OSError: it cannot be written (a full disk); what was held is dropped, so that the
            interpreter does not try once more at its end.
    """
    if stream is not None and not stream.closed:
        _kept(stream, stream.flush)


def _kept(stream: TextIO, act: Callable[[], object]) -> None:
    try:
        act()
    except BrokenPipeError:
        _silence(stream)
    except OSError:
        _silence(stream)
        raise


def _silence(stream: TextIO) -> None:
    """Let everything still held, or written later, go nowhere (Python docs, SIGPIPE note)."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
    except (OSError, ValueError):  # a stream of a test: nothing below it to turn away
        return


def wrapped(
    text: str, first: str = "", then: str | None = None, width: int = MEASURE
) -> list[str]:
    """Return running text in lines, never cut inside a word.

    Args:
        text: one paragraph.
        first: put before the first line.
        then: put before every further line; blanks as long as ``first`` where not given.
        width: columns at most, unless one word alone is longer.

    >>> wrapped("one two three", "- ", width=9)
    ['- one two', '  three']
    """
    import textwrap  # noqa: PLC0415 - not needed by a command that prints short lines

    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=" " * len(first) if then is None else then,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [first.rstrip()]
