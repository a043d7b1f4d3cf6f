"""When a zero is checked, on what, and what it then takes off."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest
from bench_session import SMALL
from tiny import Tiny

from bedplate.cabinet.settings import Interval
from bedplate.cli.bench.checks import (
    Checks,
    ago,
    is_set_for,
    offset_of,
    read_shown,
    standard_of,
)
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Setting

START = dt.datetime(2025, 11, 24, 15, 40, tzinfo=dt.UTC)


def test_a_check_is_due_once_a_session_and_after_its_time() -> None:
    checks = Checks(Interval(Fraction(1800), None))
    assert checks.due("mic1", START)
    checks.made("mic1", START)
    assert not checks.due("MIC1", START + dt.timedelta(minutes=29))
    assert checks.due("mic1", START + dt.timedelta(minutes=30))
    checks.made("mic1", START)
    checks.undone("mic1")
    assert checks.due("mic1", START)


def test_a_check_is_due_after_a_number_of_readings() -> None:
    checks = Checks(Interval(None, 2))
    checks.made("mic1", START)
    checks.read("mic1")
    later = START + dt.timedelta(days=1)
    assert not checks.due("mic1", later)
    checks.read("Mic1")
    assert checks.due("mic1", later)


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(0, "0 min"), (59, "59 min"), (60, "1 h 0 min"), (190, "3 h 10 min"), (2 * 1440, "2 days"),
     (-5, "0 min")],
)  # fmt: skip
def test_how_long_ago(minutes: int, said: str) -> None:
    then = (START - dt.timedelta(minutes=minutes)).isoformat()
    assert ago(then, START) == said


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("1.0001", ("1.0001", None, None)),
        ("1.0001 in", ("1.0001 in", None, None)),
        ("1.0001 on 1in", ("1.0001", "1in", None)),
        ("0 on 1 in in mic1", ("0", "1 in", "mic1")),
        ("-0.002 ON H.driver@a IN mic1", ("-0.002", "H.driver@a", "mic1")),
    ],
)
def test_a_setting_is_taken_apart(text: str, parts: tuple[str, str | None, str | None]) -> None:
    shown = read_shown(text)
    assert (shown.shown, shown.on, shown.within) == parts


@pytest.mark.parametrize("text", ["on 1in", "fine", "in mic1"])
def test_a_setting_begins_with_what_is_shown(text: str) -> None:
    with pytest.raises(NotUnderstoodError, match="is not what a gauge shows"):
        read_shown(text)


@pytest.mark.parametrize(
    ("shown", "reference", "resolution", "said"),
    [
        ("0 in", "0 in", "1 tenth", "0.0000"),
        ("0.0001 in", "0 in", None, "+0.0001"),
        ("0.9998 in", "1 in", None, "-0.0002"),
        ("25.001 mm", "25 mm", "1 um", "+0.001"),
        ("0 in", "H.driver@a", None, None),
    ],
)
def test_what_a_setting_takes_off(
    shown: str, reference: str, resolution: str | None, said: str | None
) -> None:
    keys = {"resolution": resolution} if resolution else {}
    assert offset_of(Setting(gauge="mic1", shown=shown, reference=reference), keys) == said


CABINET = {
    "mic1": {"kind": "micrometer", "range": "0..1 in"},
    "mic2": {"kind": "micrometer", "range": "25..50 mm"},
    "mic3": {"kind": "micrometer"},
    "bore": {"kind": "bore gauge", "range": "1..2 in", "reads": "differences"},
    "shop": {"kind": "report"},
    "psi": {"resolution": "1 psi"},
}


@pytest.mark.parametrize(
    ("gauge", "on"), [("mic1", "0 in"), ("MIC2", "25 mm"), ("mic3", None), ("tg/mic1", "0 in")]
)
def test_the_standard_is_the_low_end_of_the_range(gauge: str, on: str | None) -> None:
    found = standard_of(Tiny(SMALL).job, gauge, CABINET)
    assert found is not None
    assert (found.on, found.last, found.differences) == (on, None, False)


@pytest.mark.parametrize("gauge", ["shop", "psi"])
def test_what_has_no_zero_has_no_standard(gauge: str) -> None:
    assert standard_of(Tiny(SMALL).job, gauge, CABINET) is None


@pytest.mark.parametrize(
    ("said", "fits"),
    [(None, False), ("1in", True), ("1.020in", True), ("1.030in", False), ("D", True)],
)
def test_differences_are_read_near_what_they_were_set_on(said: str | None, fits: bool) -> None:
    job = Tiny(SMALL, CABINET).say("D 1.0030").describe(name="bore", reads="differences")
    if said is not None:
        job.say(f"set bore shown 0in on {said}")
    standard = standard_of(job.job, "bore", CABINET)
    assert standard is not None
    assert is_set_for(job.job, standard, Spot("H", ("driver",), ("a",))) is fits
    assert is_set_for(job.job, standard, Spot("BL")) is True
