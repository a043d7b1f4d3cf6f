"""Gauges at the moment of reading: their copy in the job, what they cannot show, when due."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import pytest
from tiny import Tiny

from bedplate.assess.gauge_doubts import gauge_doubts, reads_differences
from bedplate.assess.gauges import (
    checked_description,
    copied_gauge,
    described,
    described_by,
    overdue,
)
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Fasteners, GaugeDescribed, Reading
from bedplate.units import read_value

SHEET = """
unit = "in"
[[component]]
id = "body"
[[feature]]
tag = "D"
of = "body"
"""
TENTHS = {"kind": "micrometer", "resolution": "1 tenth"}


def told(name: str, **keys: str) -> GaugeDescribed:
    return GaugeDescribed.model_validate({"gauge": {"name": name, **keys}})


def refusal(keys: Mapping[str, str]) -> list[str]:
    """Return why a description of mic1 is refused."""
    with pytest.raises(NotUnderstoodError) as refused:
        checked_description("mic1", keys)
    return refused.value.as_lines()


def doubted(gauge: str | None, keys: Mapping[str, str], typed: str, unit: str = "in") -> list[str]:
    """Return why a gauge cannot have shown a value."""
    known = {"mic1": keys}
    return [doubt.text for doubt in gauge_doubts(gauge, known, read_value(typed, unit))]


# ---- in the job


def test_the_last_live_description_of_a_gauge_counts() -> None:
    tiny = Tiny(SHEET).describe(name="mic1", kind="micrometer").describe(name="mic1", serial="7")
    assert described(tiny.job) == {"mic1": {"name": "mic1", "serial": "7"}}
    assert described(tiny.say("strike 3").job) == {"mic1": {"name": "mic1", "kind": "micrometer"}}


def test_of_proposed_entries_only_descriptions_describe() -> None:
    entries = [told("mic1"), Reading(address="D", value="1 in"), told("dial1", kind="dial")]
    assert described_by(entries) == {
        "mic1": {"name": "mic1"}, "dial1": {"name": "dial1", "kind": "dial"},
    }  # fmt: skip


def test_a_gauge_in_the_job_goes_before_the_same_in_the_cabinet() -> None:
    tiny = Tiny(SHEET).describe(name="Mic1", kind="micrometer")
    assert copied_gauge(tiny.job, "mIC1", {"mic1": TENTHS}) == ("Mic1", None)


def test_the_first_use_copies_what_the_cabinet_has() -> None:
    name, copy = copied_gauge(Tiny(SHEET).job, "MIC1", {"dial1": {}, "Mic1": TENTHS})
    assert name == "Mic1"
    assert copy == told("Mic1", kind="micrometer", resolution="1 tenth")


def test_an_unknown_gauge_is_answered_with_those_there_are() -> None:
    tiny = Tiny(SHEET).describe(name="mic1")
    with pytest.raises(NotUnderstoodError) as refused:
        copied_gauge(tiny.job, "mic9", {"mic1": TENTHS, "dial1": {}})
    assert refused.value.as_lines() == [
        'Not recorded. There is no gauge "mic9" in your cabinet yet. There are: mic1, dial1.',
        '  Describe it once:  bedplate gauge add mic9 --resolution "1 tenth"',
        "  Or leave --gauge out: then only the last digit you type counts as doubt.",
    ]
    with pytest.raises(NotUnderstoodError) as refused:
        copied_gauge(Tiny(SHEET).job, "mic9", {})
    assert refused.value.message == ('Not recorded. There is no gauge "mic9" in your cabinet yet.')


@pytest.mark.parametrize(
    ("sheet", "unit", "step"),
    [
        (SHEET, None, "1 tenth"),
        (SHEET, "mm", "0.01 mm"),
        (SHEET, "psi", "1 psi"),
        (SHEET.replace('unit = "in"', 'unit = "mm"'), None, "0.01 mm"),
    ],
)
def test_a_gauge_is_offered_with_a_resolution_in_what_it_reads(
    sheet: str, unit: str | None, step: str
) -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        copied_gauge(Tiny(sheet).job, "new1", {}, unit)
    assert refused.value.hint[0] == (
        f'Describe it once:  bedplate gauge add new1 --resolution "{step}"'
    )


def test_a_cabinet_that_says_nonsense_stops_the_recording() -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        copied_gauge(Tiny(SHEET).job, "mic1", {"mic1": {"resolution": "0.1"}})
    assert refused.value.as_lines() == [
        'Not recorded. mic1: resolution "0.1" has no unit.',
        '  Type it with one:  "0.1 mm"',
    ]


@pytest.mark.parametrize(
    ("gauge", "differences"),
    [("dial1", True), ("tg1/dial1", True), ("dial1/mic1", False), ("mic1", False),
     ("other", False), (None, False)],
)  # fmt: skip
def test_what_shows_differences_is_what_a_value_is_read_on(
    gauge: str | None, differences: bool
) -> None:
    known = {"dial1": {"reads": "differences"}, "mic1": {"reads": "sizes"}}
    assert reads_differences(gauge, known) is differences


# ---- what it cannot have shown


@pytest.mark.parametrize(
    ("span", "typed", "unit", "outside"),
    [
        ("0..1 in", "1.0000", "in", False),
        ("0..1 in", "1.0250", "in", False),
        ("0..1 in", "1.0251", "in", True),
        ("1..2 in", "0.9750", "in", False),
        ("1..2 in", "0.9749", "in", True),
        ("25..50 mm", "50.500", "mm", False),
        ("25..50 mm", "50.501", "mm", True),
        ("25..50 mm", "24.499", "mm", True),
        ("25..50 mm", "1.9900", "in", True),
        ("0..1 in", "0.9..1.03", "in", True),
        ("1..2 in", "..0.5", "in", True),
        ("1..2 in", "0.5..", "in", True),
        ("0..20 lbf*ft", "20", "lbf*ft", False),
        ("0..20 lbf*ft", "20.1", "lbf*ft", True),
        ("0..20 lbf*ft", "30", "in", False),
    ],
)
def test_a_value_more_than_a_turn_outside_the_range_is_doubted(
    span: str, typed: str, unit: str, outside: bool
) -> None:
    said = [f"{typed} is outside the range of mic1, {span}"] if outside else []
    assert doubted("tg1/mic1", {"range": span}, typed, unit) == said


@pytest.mark.parametrize(
    ("resolution", "typed", "said"),
    [
        ("1 thou", "0.9975", ["0.9975 is finer than mic1 reads (0.001 in)"]),
        ("1 thou", "0.997", []),
        ("5 tenths", "0.9975", []),
        ("0.01 mm", "25.005 mm", ["25.005 mm is finer than mic1 reads (0.01 mm)"]),
        ("0.01 mm", "25.01 mm", []),
        ("0.01 mm", "0.98 in", []),
        ("0.01 mm", "0.9801 in", ["0.9801 in is finer than mic1 reads (0.000393700787 in)"]),
        ("1 thou", "0.9975..0.9985", []),
    ],
)
def test_a_value_between_two_marks_of_the_gauge_is_doubted(
    resolution: str, typed: str, said: list[str]
) -> None:
    assert doubted("mic1", {"resolution": resolution}, typed) == said


def test_out_of_range_is_graver_than_too_fine() -> None:
    keys = {"range": "0..1 in", "resolution": "1 thou"}
    assert doubted("mic1", keys, "1.5005") == [
        "1.5005 is outside the range of mic1, 0..1 in",
        "1.5005 is finer than mic1 reads (0.001 in)",
    ]
    assert doubted(None, keys, "1.5005") == []
    assert doubted("other", keys, "1.5005") == []


# ---- what is said of it


def test_a_description_keeps_every_figure_with_its_unit() -> None:
    keys = {
        "kind": "micrometer", "resolution": " 1 tenth", "max_error": "0 in", "zero_error": "0 in",
        "repeatability": "0 in", "range": "0..1 in", "reads": "sizes", "expansion": "11.5e-6",
    }  # fmt: skip
    assert checked_description("mic1", keys) == {**keys, "resolution": "1 tenth"}


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"resolution": "0.1"}, ['mic1: resolution "0.1" has no unit.',
                                 '  Type it with one:  "0.1 mm"']),
        ({"max_error": " 0,1 "}, ['mic1: max error " 0,1 " has no unit.',
                                  '  Type it with one:  "0,1 mm"']),
        ({"zero_error": "1..2 um"}, ['mic1: zero error is one figure, not "1..2 um".']),
        ({"zero_error": "1.. um"}, ['mic1: zero error is one figure, not "1.. um".']),
        ({"resolution": "0 mm"}, ['mic1: resolution must be above nought, and "0 mm" is not.']),
        ({"uncertainty": "0 mm"}, ['mic1: uncertainty must be above nought, and "0 mm" is not.']),
        ({"max_error": "-1 um"}, ['mic1: max error must be above nought, and "-1 um" is not.']),
        ({"range": "..1 in"}, ['mic1: a range has two ends, unlike "..1 in".',
                               '  Such as  "0..1 in"']),
        ({"range": "0.. in"}, ['mic1: a range has two ends, unlike "0.. in".',
                               '  Such as  "0..1 in"']),
        ({"range": "1..1 in"}, ['mic1: a range has two ends, unlike "1..1 in".',
                                '  Such as  "0..1 in"']),
        ({"resolution": "1 um", "max_error": "2 N"},
         ["mic1: its resolution is a length, and its max error a force."]),
        ({"resolution": "1 um", "zero_error": "1 um", "range": "0..1 bar"},
         ["mic1: its resolution is a length, and its range a pressure."]),
        ({"reads": "angles"}, ['mic1 cannot read "angles".',
                               "  It reads  sizes  or  differences"]),
        ({"expansion": "some"}, ['"some" is not a figure.',
                                 "  An expansion reads like  11.7e-6  0.0000117"]),
    ],
)  # fmt: skip
def test_a_description_that_cannot_be_is_refused(keys: dict[str, str], said: list[str]) -> None:
    assert refusal(keys) == said


# ---- due


def test_a_gauge_used_after_the_day_it_was_due_is_overdue() -> None:
    tiny = (
        Tiny(SHEET).describe(name="mic1", due="2025-11-23").describe(name="tg1", due="2025-11-23")
    )
    tiny.say("D 1.0 on tg1/mic1")
    assert overdue(tiny.job, date(2020, 1, 1)) == ("tg1", "mic1")
    assert overdue(tiny.say("strike 4").job, date(2030, 1, 1)) == ()


def test_a_torque_tells_of_its_wrench_as_a_reading_of_its_gauge() -> None:
    tiny = Tiny(SHEET).describe(name="wrench1", due="2025-11-23")
    tiny.put(Fasteners(set="N", state="tight", value="17 N*m", gauge="wrench1"))
    assert overdue(tiny.job, date(2020, 1, 1)) == ("wrench1",)


@pytest.mark.parametrize(
    ("due", "late"),
    [("2025-11-23", ("mic1",)), ("2025-11-24", ()), ("2025-11-25", ()), ("soon", ())],
)
def test_on_its_day_it_may_still_be_used(due: str, late: tuple[str, ...]) -> None:
    tiny = Tiny(SHEET).describe(name="mic1", due=due).say("D 1.0 on mic1")
    assert overdue(tiny.job, date(2025, 11, 30)) == late


def test_the_day_it_was_done_counts_before_the_day_it_was_written_down() -> None:
    tiny = Tiny(SHEET).describe(name="mic1", due="2025-11-20").describe(name="mic2")
    early = Reading(address="D", value="1 in", gauge="mic1", done_at="2025-11-20T10:00:00+01:00")
    tiny.put(early, Reading(address="D", value="1 in", gauge="mic2"))
    assert overdue(tiny.job, date(2025, 11, 30)) == ()


def test_a_reading_not_yet_written_down_is_of_today() -> None:
    tiny = Tiny(SHEET).describe(name="mic1", due="2025-11-20").say("D 1.0 on mic1")
    job = tiny.job
    taken = job.readings[3]
    job.readings[3] = type(taken)(taken.entry.model_copy(update={"at": ""}), taken.spot, taken.key)
    assert overdue(job, date(2025, 11, 20)) == ()
    assert overdue(job, date(2025, 11, 21)) == ("mic1",)
