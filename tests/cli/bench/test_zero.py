"""The zero of a gauge: asked for at the start of a session, and again after a while."""

from __future__ import annotations

import datetime as dt
import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_session import Sat, add_gauge, entries_in, read_at, run

from bedplate.cli.bench import session, zero
from bedplate.cli.main import main
from bedplate.record.entries import Setting

Sit = Callable[..., Sat]


@pytest.fixture
def depth() -> None:
    """Put a depth micrometer into the cabinet: the one that D is read on."""
    add_gauge("depth1", "--kind", "depth micrometer", "--range", "0..2 in")


@pytest.fixture
def bore() -> None:
    """Put a micrometer that shows differences into the cabinet, for H."""
    add_gauge("bore1", "--kind", "micrometer", "--range", "0.5..2 in", "--reads", "differences")


def settings_in(path: Path) -> list[tuple[str, str, str | None, str | None]]:
    """Return what gauges stood at and showed."""
    return [
        (e.gauge, e.shown, e.reference, e.in_) for e in entries_in(path) if isinstance(e, Setting)
    ]


def test_the_zero_is_asked_for_before_the_first_reading_on_a_gauge(
    sit: Sit, small: Path, depth: None
) -> None:
    seen = sit("0", "1.0030", "q")
    assert seen.lines[3:7] == [
        "depth1: zero check, reads on its standard of 0 in [not yet today] > 0",
        "  entry 3   zero check depth1: 0.0000",
        "D bore depth, body                                  depth1   nominal 1.0030 in",
        "  D    > 1.0030",
    ]
    assert settings_in(small) == [("depth1", "0 in", "0 in", None)]


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        ("0.0001", "+0.0001, taken off every reading from here on"),
        ("-0.0002", "-0.0002, taken off every reading from here on"),
        ("1.0002 on 1in", "+0.0002, taken off every reading from here on"),
        ("1.0000 on 1 in", "0.0000"),
    ],
)
def test_what_it_shows_too_much_is_said(
    sit: Sit, small: Path, depth: None, shown: str, said: str
) -> None:
    seen = sit(shown, "q")
    assert seen.after(shown)[1] == f"  entry 3   zero check depth1: {said}"


def test_a_micrometer_is_checked_on_the_low_end_of_its_range(sit: Sit, small: Path) -> None:
    add_gauge("mic2", "--kind", "micrometer", "--range", "1..2 in")
    seen = sit("1.0030", "1.0001", "q")
    assert "mic2: zero check, reads on its standard of 1 in [not yet today] > 1.0001" in seen.lines
    assert settings_in(small) == [("mic2", "1.0001 in", "1 in", None)]


def test_the_standard_is_the_size_it_was_last_set_on(sit: Sit, small: Path, depth: None) -> None:
    sit("0.5001 on 0.5in", "q")
    seen = sit("0.5", "1.0030", "q")
    assert seen.lines[3] == (
        "depth1: last zero check 0 min ago. Again? reading on 0.5in, or s to skip > 0.5"
    )


def test_it_can_be_skipped_and_is_not_asked_for_again(sit: Sit, small: Path, depth: None) -> None:
    seen = sit("s", "1.0030", "D 1.0031", "a", "q")
    assert seen.text.count("zero check") == 1
    assert settings_in(small) == []


STANDS = [
    "       What it stands on goes behind it:  1.0001 on 1in   or   0 on H.driver@a",
    "       in mic1",
]
LEAVE = "       s  leaves the check for now."
FAR = "       Not recorded. depth1 is said to show 1.0030 in on 0 in: 1.003 in off."


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1.0030", [FAR, *STANDS, LEAVE]),
        ("s later", ["       Not recorded. A zero check is made or left; it has no reason.",
                     "       s  alone leaves it."]),
        ("fine", ['       Not recorded. "fine" is not what a gauge shows.',
                  "       It reads like  1.0001   or   1.0001 on 1in   or   0 on H.driver@a in",
                  "       mic1", LEAVE]),
    ],
)  # fmt: skip
def test_what_is_no_zero_is_refused(
    sit: Sit, small: Path, depth: None, typed: str, said: list[str]
) -> None:
    seen = sit(typed, "q")
    assert seen.after(typed)[1 : len(said) + 1] == said
    assert settings_in(small) == []


def test_back_strikes_a_zero_check_and_asks_for_it_again(
    sit: Sit, small: Path, depth: None
) -> None:
    seen = sit("0.0010", "b", "0", "q")
    assert seen.after("b")[1:3] == [
        "       struck entry 3 (depth1 0.0010, slip at the bench)",
        "depth1: zero check, reads on its standard of 0 in [not yet today] > 0",
    ]


def test_it_is_asked_for_again_after_the_time_in_the_settings(
    sit: Sit, small: Path, depth: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("settings", "zero_check_after", "30 min")
    now = [dt.datetime.now().astimezone()]

    def clock() -> dt.datetime:
        now[0] += dt.timedelta(minutes=16)
        return now[0]

    monkeypatch.setattr(session, "clock", clock)
    monkeypatch.setattr(zero, "clock", clock)
    seen = sit("0", "1.0030", "D", "0", "q")
    assert seen.text.count("depth1: zero check") == 1
    assert seen.text.count("depth1: last zero check") == 1


@pytest.mark.parametrize(
    ("after", "times"),
    [("2 readings", 1), ("4 h or 2 readings", 1), ("3 readings", 0), ("4 h", 0)],
)
def test_it_is_asked_for_again_after_the_number_of_readings_in_the_settings(
    sit: Sit, small: Path, depth: None, after: str, times: int
) -> None:
    run("settings", "zero_check_after", after)
    seen = sit("0", "1.0030", "a", "1.0030", "D", "q")
    assert seen.text.count("depth1: zero check") == 1
    assert seen.text.count("depth1: last zero check") == times


def test_a_reading_typed_for_a_zero_is_asked_about(sit: Sit, small: Path) -> None:
    add_gauge("mic2", "--kind", "micrometer", "--range", "1..2 in")
    seen = sit("1.0030", "1.0031", "", "1.0001", "1.0002", "q")
    assert seen.after("1.0031")[1:5] == [
        "       mic2 would be 3.1 thou over on its standard: is that a reading?",
        "       what it shows on its standard, or k to keep >",
        "       what it shows on its standard, or k to keep > 1.0001",
        "  entry 4   zero check mic2: +0.0001, taken off every reading from here on",
    ]
    assert settings_in(small) == [("mic2", "1.0001 in", "1 in", None)]


@pytest.mark.parametrize(("answer", "kept"), [("k", 1), ("s", 0), ("q", 0), ("H.idler@a", 0)])
def test_a_zero_far_off_can_be_kept_or_left(sit: Sit, small: Path, answer: str, kept: int) -> None:
    add_gauge("mic2", "--kind", "micrometer", "--range", "1..2 in")
    sit("1.0030", "1.0031", answer, "q")
    assert len(settings_in(small)) == kept


@pytest.mark.parametrize("kind", ["report", "feeler gauge"])
def test_what_has_no_zero_is_not_asked_for_it(sit: Sit, small: Path, kind: str) -> None:
    add_gauge("odd", "--kind", kind)
    seen = sit("g odd", "1.0030", "q")
    assert "zero check" not in seen.text
    assert read_at(small) == {"D": ["1.0030 in"]}


def test_no_zero_is_asked_of_what_measures_no_length(sit: Sit, small: Path) -> None:
    run("gauge", "add", "gauge60", "--kind", "pressure gauge", "--resolution", "1 psi")
    assert "zero check" not in sit("g gauge60", "q").text


# ---- gauges that show differences


def test_a_gauge_of_differences_must_be_set_first(sit: Sit, small: Path, bore: None) -> None:
    seen = sit("1.0030", "0", "0.0 on 1.0000", "0.0001", "q")
    assert seen.after("1.0030")[1:7] == [
        "bore1: set it for H: what it shows, and on what (not set yet)",
        "  it reads like  0 on 1.0000",
        "  bore1 > 0",
        "       Not recorded. On what does bore1 stand, to show 0?",
        "       What it stands on goes behind it:  1.0001 on 1in   or   0 on H.driver@a",
        "       in mic1",
    ]
    assert settings_in(small) == [("bore1", "0.0 in", "1.0000 in", None)]
    assert "bore1 shows 0.0 in on 1.0000 in" in seen.text


def test_it_can_be_set_in_a_micrometer(sit: Sit, small: Path, bore: None) -> None:
    add_gauge("mic1", "--kind", "outside micrometer", "--range", "0..1 in")
    seen = sit("1.0030", "0 on 1in in mic1", "q")
    assert "  it reads like  0 on 1.0000   or   0 on 1.0000 in mic1" in seen.lines
    assert settings_in(small) == [("bore1", "0 in", "1in", "mic1")]


def test_it_is_set_anew_for_another_size(sit: Sit, small: Path, bore: None) -> None:
    seen = sit("1.0030", "0 on 1.5in", "0 on 1.000", "q")
    assert seen.text.count("bore1: set it for H") == 2
    assert seen.after("0 on 1.5in")[1:3] == [
        "  entry 4   bore1 shows 0 in on 1.5in",
        "bore1: set it for H: what it shows, and on what (last set on 1.5in 0 min ago)",
    ]


# ---- on a pipe


def test_on_a_pipe_no_zero_is_asked_for(
    small: Path, depth: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("1.0030\n"))
    assert main(["bench"]) == 0
    out, err = capsys.readouterr()
    assert "zero check" not in out + err
    assert read_at(small) == {"D": ["1.0030 in"]}
