"""Whole sessions at a real terminal, as a person sees them; captures are read by eye.

A capture that is meant to change is written anew with ``BEDPLATE_CAPTURE=1``.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from bench_session import CRANK, PUMP, SMALL, add_gauge, entries_in, opened, read_at, run

from bedplate.record.entries import Reading, Setting, Step, Strike

pytest.importorskip("pexpect", reason="a pseudo-terminal is needed")
pytest.importorskip("pyte", reason="a screen is needed")

from bench_terminal import BenchTerminal

CAPTURES = Path(__file__).parent / "captures"

STRIP = ("engine-slung", "ok", "done", "removed", "done", "removed", "done", "ok", "removed all",
         "done")  # fmt: skip
JOURNALS = ("54.984 54.985 54.984 54.985", "54.983", "54.984", "54.983", "54.985", "54.985",
            "54.985", "54.984", "54.986")  # fmt: skip
PINS = ("47.976", "47.978", "47.975", "47.977", "47.955", "47.952", "47.957", "47.950")
BORES = ("trial", "0 on 55.040 in mic75", "-0.006", "-0.005", "trial", "-0.004", "-0.005",
         "trial", "-0.006", "-0.005", "trial", "0 on 48.030 in mic75", "-0.001", "-0.001",
         "trial", "-0.030", "-0.031")  # fmt: skip
MAINS = ("backed-off", "30", "60") * 3
BUILD = (*MAINS, "0.12", "pass", "pass", "pass", "done", "backed-off", "36", "pass",
         "pass by Ben Lathe", "done", "backed-off", "35", "pass", "pass by Ben Lathe",
         "done")  # fmt: skip
"""A whole job on the bottom end, from the strip to the last proof."""


def held_to_capture(seen: str, name: str) -> None:
    """Hold what was seen against the file that was read by eye."""
    path = CAPTURES / f"{name}.txt"
    if os.environ.get("BEDPLATE_CAPTURE"):
        path.write_text(seen, "utf-8")
    assert seen == path.read_text("utf-8")


@pytest.fixture
def crank_gauges() -> None:
    """Put the gauges for the bottom end into the cabinet."""
    more = ("--resolution", "1 um", "--max-error", "2 um")
    run("gauge", "add", "mic75", "--kind", "micrometer", "--range", "25..75 mm", *more)
    run("gauge", "add", "bore1", "--kind", "bore gauge", "--range", "35..60 mm", "--reads",
        "differences", *more)  # fmt: skip


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """Return the folder that the tests stand in."""
    return tmp_path / "here"


def test_a_whole_session_on_the_bottom_end(here: Path, home: Path, crank_gauges: None) -> None:
    path = opened(CRANK, "crank")
    with BenchTerminal(here, home) as terminal:
        terminal.type(*STRIP, "25", *JOURNALS, *PINS, *BORES, *BUILD)
        code = terminal.ended()
    held_to_capture(terminal.text, "bottom-end-80")
    assert code == 0
    steps = [e.step for e in entries_in(path) if isinstance(e, Step)]
    assert steps == ["engine-slung", "rods-off.1", "rods-off.2", "crank-out", "crank-in",
                     "rods-on.1", "rods-on.2"]  # fmt: skip
    assert len(read_at(path)) == 31


def test_ten_slips_and_their_mending(here: Path, home: Path) -> None:
    Path("sheet.toml").write_text(f'format = "bedplate-sheet/1"\n{SMALL}', "utf-8")
    path = opened(Path("sheet.toml"))
    with BenchTerminal(here, home) as terminal:
        terminal.type(
            "1.0300", "1.0030",  # figures changed places
            "10.001", "1.0001",  # the decimal point slipped
            "0.9999", "b", "1.0000",  # the right figure, at the wrong place
            "25.35", "0.9981",  # millimetres
            "0.9728", "0.9978",  # a turn of the thimble
            "6", "6 thou",  # thou without saying so
            "H.driver@a 1.0002", "i",  # read once more, and the first was wrong
            "H.driver@b 1.0001", "s",  # neither
            "H.idler@c 1.0", "",  # no such place; and an elbow on Enter
            "H.idlre@a", "q",  # no such position
        )  # fmt: skip
        code = terminal.ended()
    held_to_capture(terminal.text, "ten-slips")
    assert code == 0
    assert read_at(path) == {
        "D": ["1.0030 in"],
        "H.driver@a": ["1.0002 in"],
        "H.driver@b": ["1.0000 in"],
        "H.idler@a": ["0.9981 in"],
        "H.idler@b": ["0.9978 in"],
        "BL": ["6 thou"],
    }
    assert [e.kept for e in entries_in(path) if isinstance(e, Reading)] == [None] * 8
    assert [e.why for e in entries_in(path) if isinstance(e, Strike)] == [
        "slip at the bench", "slip",
    ]  # fmt: skip


def test_a_session_that_is_killed_half_way_goes_on_where_it_was(here: Path, home: Path) -> None:
    add_gauge("depth1", "--kind", "depth micrometer", "--range", "0..2 in")
    path = opened(PUMP, "pump")
    with BenchTerminal(here, home) as terminal:
        terminal.type("0", "1.0031", "1.0030", "1.0030", "1.0031")
        terminal.child.send("1.00")
        terminal.kill()
    kept = entries_in(path)
    assert read_at(path) == {
        "D.driver@12": ["1.0031 in"],
        "D.driver@4": ["1.0030 in"],
        "D.driver@8": ["1.0030 in"],
        "D.idler@12": ["1.0031 in"],
    }
    with BenchTerminal(here, home) as terminal:
        terminal.type("s", "1.0030")
        terminal.press_ctrl("c")
        code = terminal.ended()
    held_to_capture(terminal.text, "killed-and-resumed")
    assert code == 130
    assert list(entries_in(path)[: len(kept)]) == list(kept)
    assert read_at(path)["D.idler@4"] == ["1.0030 in"]


def test_a_session_at_forty_columns(here: Path, home: Path) -> None:
    add_gauge("depth1", "--kind", "depth micrometer", "--range", "0..2 in")
    opened(PUMP, "pump")
    with BenchTerminal(here, home, columns=40) as terminal:
        terminal.type("0", "1.0031 1.0030 1.0030", "1.0031 1.0030 1.0030")
        terminal.type("1.0002", "1.0001", "0.9799", "1.0002", "0.9979 0.9978 0.9979", "d", "?")
        terminal.type("H.driver@a 1.0003", "a", "drain", "ok", "done", "q")
        code = terminal.ended()
    held_to_capture(terminal.text, "pump-40")
    assert code == 0
    assert max(map(len, terminal.lines)) <= 40


def test_a_session_with_plain_sentences(here: Path, home: Path) -> None:
    add_gauge("depth1", "--kind", "depth micrometer", "--range", "0..2 in")
    opened(PUMP, "pump")
    with BenchTerminal(here, home, "--plain") as terminal:
        terminal.type("0.0001", "1.0031", "1.0030", "1.0030", "1.0031 1.0030 1.0030")
        terminal.type("1.0002", "0.9799", "0.9981", "1.0001", "b", "1.0000", "d", "?", "t 24C")
        terminal.type("n oily", "drain", "ok", "done", "ok", "q")
        code = terminal.ended()
    held_to_capture(terminal.text, "pump-plain")
    assert code == 0
    assert not [line for line in terminal.lines if "+-" in line or "|" in line or "±" in line]


@pytest.mark.parametrize("ending", ["\r\n", "\r"])
def test_a_gauge_that_types_fills_one_place_with_each_value(
    here: Path, home: Path, ending: str
) -> None:
    path = opened(PUMP, "pump")
    with BenchTerminal(here, home) as terminal:
        for value in ("1.0031in", "1,0030", "  1.0030IN", "25.4787 mm", "1.0030"):
            terminal.at_once(value + ending)
        terminal.type("q")
        code = terminal.ended()
    if ending == "\r\n":
        held_to_capture(terminal.text, "gauge-cr-lf")
    assert code == 0
    assert read_at(path) == {
        "D.driver@12": ["1.0031in"],
        "D.driver@4": ["1,0030 in"],
        "D.driver@8": ["1.0030IN"],
        "D.idler@12": ["25.4787 mm"],
        "D.idler@4": ["1.0030 in"],
    }


def test_values_sent_at_machine_speed_all_arrive_in_order(here: Path, home: Path) -> None:
    path = opened(PUMP, "pump")
    values = [f"1.003{n}" for n in range(6)]
    with BenchTerminal(here, home) as terminal:
        terminal.at_once("\r\n".join(values) + "\r\n")
        while len(read_at(path)) < 6:
            terminal.at_once("\r")
        terminal.type("q")
        terminal.ended()
    assert [value for each in read_at(path).values() for value in each] == [
        f"{value} in" for value in values
    ]


def test_cursor_keys_and_a_pasted_column_leave_nothing_but_values(here: Path, home: Path) -> None:
    path = opened(PUMP, "pump")
    with BenchTerminal(here, home) as terminal:
        terminal.type("1.003\x1b[D\x1b[C1")
        terminal.at_once("\x1b[A\r")
        terminal.at_once("1.0030\r1.0030\r")
        terminal.at_once("\x1b[200~1.0031\x1b[201~\r")
        terminal.type("q")
        terminal.ended()
    assert read_at(path) == {
        "D.driver@12": ["1.0031 in"],
        "D.driver@4": ["1.0030 in"],
        "D.driver@8": ["1.0030 in"],
        "D.idler@12": ["1.0031 in"],
    }


def test_the_end_of_the_input_ends_a_session_quietly(here: Path, home: Path) -> None:
    opened(PUMP, "pump")
    with BenchTerminal(here, home) as terminal:
        terminal.type("1.0031")
        terminal.press_ctrl("d")
        assert terminal.ended() == 0
    assert terminal.lines[-1] == (
        "Stopped. 2 entries kept, nothing half written. Go on with: bedplate bench"
    )


def test_a_terminal_that_can_do_nothing_is_enough(here: Path, home: Path) -> None:
    opened(PUMP, "pump")
    with BenchTerminal(here, home, TERM="dumb", PYTHONIOENCODING="ascii", LC_ALL="C") as terminal:
        terminal.type("1.0031 1.0030 1.0030", "1.0031 1.0030 1.0030", "1.0002 1.0001 1.0002", "q")
        assert terminal.ended() == 0
    assert "       EC driver  2.8 to 3.0 +-0.09 thou  in band  2 |-------=o=----------| 4" in (
        terminal.lines
    )
    assert terminal.text.isascii()


def test_keystrokes_of_the_pump_from_first_prompt_to_all_measured(here: Path, home: Path) -> None:
    path = opened(PUMP, "pump")
    values = [
        "1.0031", "1.0030", "1.0030", "1.0031", "1.0030", "1.0030", "1.0002", "1.0001", "1.0002",
        "1.0001", "1.0000", "1.0001", "1.5042", "1.5043", "1.4997", "1.4996", "1.4996", "1.4996",
        "6thou", "6thou", "6.5thou", "6thou",
    ]  # fmt: skip
    with BenchTerminal(here, home) as terminal:
        terminal.type(*values)
        measured = terminal.keys
        assert "All readings are in.  5 of 5 clearances in band." in terminal.text
    assert measured == sum(len(value) + 1 for value in values)
    assert len(read_at(path)) == len(values)
    assert not [e for e in entries_in(path) if isinstance(e, Setting)]
