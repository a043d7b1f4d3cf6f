"""The screen of one command: widths, what it can draw, weight and hue, the one document."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping

import pytest

from bedplate.cabinet import Settings
from bedplate.cli.screen import Screen, can_encode, colours, settle, wrapped, write_line


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True

    def fileno(self) -> int:
        raise OSError(25, "not a device")


class Broken(io.StringIO):
    """A stream whose reader has gone away."""

    def write(self, text: str) -> int:
        del text
        raise BrokenPipeError(32, "Broken pipe")

    def flush(self) -> None:
        raise BrokenPipeError(32, "Broken pipe")


class Full(io.StringIO):
    """A stream on a full disk."""

    def write(self, text: str) -> int:
        del text
        raise OSError(28, "No space left on device")


def on_terminal(
    settings: Settings | None = None, environment: Mapping[str, str] | None = None
) -> Screen:
    """Return a screen on a terminal of 256 colours."""
    given = {"TERM": "xterm-256color"} if environment is None else environment
    return Screen.made(Terminal(), Terminal(), settings or Settings(), given)


def test_a_terminal_of_eighty_columns_draws_twenty_cells() -> None:
    screen = on_terminal()
    assert (screen.columns, screen.lines, screen.width, screen.cells) == (80, 24, 80, 20)
    assert screen.can_draw


@pytest.mark.parametrize(("columns", "cells"), [("40", 12), ("59", 12), ("60", 20), ("200", 20)])
def test_a_narrow_terminal_draws_twelve(columns: str, cells: int) -> None:
    screen = on_terminal(environment={"TERM": "xterm", "COLUMNS": columns, "LINES": "9"})
    assert (screen.columns, screen.lines, screen.cells) == (int(columns), 9, cells)


@pytest.mark.parametrize("columns", ["", "x", "-5", "0", "99999", "٤"])
def test_a_width_that_is_no_width_is_passed_over(columns: str) -> None:
    assert on_terminal(environment={"TERM": "xterm", "COLUMNS": columns}).columns == 80


def test_a_pipe_has_no_width_to_fit_and_no_colour() -> None:
    screen = Screen.made(io.StringIO(), io.StringIO(), Settings(), {"TERM": "xterm-256color"})
    assert (screen.width, screen.columns, screen.can_colour) == (None, 80, "")


def test_plain_draws_nothing() -> None:
    screen = on_terminal(Settings(screen="plain"))
    assert (screen.plain, screen.cells, screen.can_draw, screen.can_colour) == (True, 0, False, "")


def test_ascii_draws_with_letters() -> None:
    screen = on_terminal(Settings(screen="ascii"))
    assert (screen.plain, screen.cells, screen.can_draw) == (False, 20, False)


@pytest.mark.parametrize("encoding", ["utf-8", "UTF-8", "utf-16", "cp437", "cp850"])
def test_these_encodings_can_draw_if_they_have_every_sign(encoding: str) -> None:
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    assert can_encode(stream)


@pytest.mark.parametrize(
    "encoding", ["cp1252", "latin-1", "ascii", "cp932", "euc_jp", "gbk", "gb18030", "big5"]
)
def test_these_encodings_cannot(encoding: str) -> None:
    assert not can_encode(io.TextIOWrapper(io.BytesIO(), encoding=encoding))


def test_no_stream_cannot_draw() -> None:
    assert not can_encode(None)


@pytest.mark.parametrize(
    ("environment", "system", "colour"),
    [
        ({"TERM": "xterm-256color"}, "posix", "hue"),
        ({"TERM": "xterm", "COLORTERM": "truecolor"}, "posix", "hue"),
        ({"TERM": "xterm"}, "posix", "weight"),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, "posix", "weight"),
        ({"TERM": "xterm-256color", "NO_COLOR": ""}, "posix", "hue"),
        ({"TERM": "dumb"}, "posix", ""),
        ({}, "posix", ""),
        ({}, "nt", ""),
        ({"WT_SESSION": "x"}, "nt", "hue"),
        ({"WT_SESSION": "x", "NO_COLOR": "1"}, "nt", "weight"),
    ],
)
def test_what_a_terminal_can_show(environment: dict[str, str], system: str, colour: str) -> None:
    assert colours(environment, system) == colour


def test_a_forced_colour_does_not_reach_a_pipe() -> None:
    environment = {"TERM": "xterm-256color", "FORCE_COLOR": "1", "CLICOLOR_FORCE": "1"}
    screen = Screen.made(io.StringIO(), io.StringIO(), Settings(), environment)
    assert screen.weighed("OUT", "out") == "OUT"


def test_the_weight_of_verdicts() -> None:
    screen = on_terminal()
    assert screen.weighed("in band", "in") == "in band"
    assert screen.weighed("in, close", "in-close") == "\x1b[1min, close\x1b[0m"
    assert screen.weighed("OUT", "out") == "\x1b[1;7mOUT\x1b[0m"


def test_hue_is_for_lines_and_is_the_first_thing_to_go() -> None:
    assert on_terminal().tinted("|--|", "out-close") == "\x1b[38;5;130m|--|\x1b[0m"
    assert on_terminal().tinted("|--|", "in") == "\x1b[38;5;63m|--|\x1b[0m"
    without = on_terminal(environment={"TERM": "xterm", "NO_COLOR": "1"})
    assert without.tinted("|--|", "out") == "|--|"
    assert without.weighed("OUT", "out") == "\x1b[1;7mOUT\x1b[0m"


def test_colour_never_writes_no_escape_at_all() -> None:
    screen = on_terminal(Settings(colour="never"))
    assert screen.weighed("OUT", "out") == "OUT"


def test_with_json_only_the_document_reaches_stdout() -> None:
    out, err = io.StringIO(), io.StringIO()
    screen = Screen.made(out, err, Settings(), {}, as_json=True)
    screen.out("entry 1")
    screen.err("next: H")
    screen.json({"format": "x/1", "name": "µ", "u": 0.5, "none": None})
    assert out.getvalue() == '{"format": "x/1", "name": "\\u00b5", "u": 0.5, "none": null}\n'
    assert json.loads(out.getvalue())["name"] == "µ"
    assert err.getvalue() == "next: H\n"


def test_a_figure_that_json_has_not_is_a_fault() -> None:
    screen = Screen.made(io.StringIO(), io.StringIO(), Settings(), {}, as_json=True)
    with pytest.raises(ValueError, match="not JSON compliant"):
        screen.json({"u": float("nan")})


def test_a_reader_that_has_gone_away_is_no_fault() -> None:
    broken = Broken()
    write_line(broken, "x")
    settle(broken)
    assert broken.getvalue() == ""


def test_a_full_disk_is_told() -> None:
    with pytest.raises(OSError, match="No space left"):
        write_line(Full(), "x")


def test_a_missing_stream_takes_everything_silently() -> None:
    screen = Screen.made(None, None, Settings(), {})
    screen.out("x")
    screen.err("x")
    settle(None)
    assert (screen.columns, screen.terminal) == (80, False)


def test_text_is_wrapped_at_blanks_alone() -> None:
    long = "x" * 90
    assert wrapped(f"one-two three {long} four", "  - ", width=14) == [
        "  - one-two",
        "    three",
        f"    {long}",
        "    four",
    ]
    assert wrapped("", "- ") == ["-"]
