"""Setting a gauge: what it stood at and showed, as an entry; what it does to the readings."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.result import FitResult
from bedplate.assess.setting import setting_to_record
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, GaugeDescribed, Setting

SHEET = """
unit = "in"
source = "Invented handbook"
[axes]
end = ["a", "b"]
[[component]]
id = "body"
[[component]]
id = "shaft"
[[feature]]
tag = "B"
of = "body"
stations = "end"
[[feature]]
tag = "J"
of = "shaft"
[[fit]]
tag = "GAP"
stack = "B - J"
band = { limits = "1..4 thou" }
"""
MIC = {"resolution": "1 tenth"}
CABINET = {
    "mic1": MIC,
    "mic2": MIC,
    "mic3": MIC,
    "bore1": {"reads": "differences", "resolution": "1 tenth"},
    "wrench1": {"resolution": "1 N*m"},
    "plain1": {},
    "cheap1": {"max_error": "1 um"},
}


def proposed(
    tiny: Tiny, gauge: str, shown: str, *, on: str | None = None, within: str | None = None
) -> list[AnyEntry]:
    return setting_to_record(tiny.job, gauge, shown, on=on, within=within, cabinet=CABINET)


def setting(
    tiny: Tiny, gauge: str, shown: str, *, on: str | None = None, within: str | None = None
) -> Setting:
    """Return the setting that would be recorded, without the copies before it."""
    *_, entry = proposed(tiny, gauge, shown, on=on, within=within)
    assert isinstance(entry, Setting)
    return entry


def refusal(
    tiny: Tiny, gauge: str, shown: str, *, on: str | None = None, within: str | None = None
) -> list[str]:
    with pytest.raises(NotUnderstoodError) as refused:
        proposed(tiny, gauge, shown, on=on, within=within)
    return refused.value.as_lines()


@pytest.fixture
def bush() -> Tiny:
    return Tiny(SHEET, CABINET)


# ---- as an entry


def test_gauges_are_copied_before_the_setting_that_uses_them_first(bush: Tiny) -> None:
    entries = proposed(bush, "BORE1", "0", on="1", within="Mic1")
    copies = [e.told["name"] for e in entries if isinstance(e, GaugeDescribed)]
    assert copies == ["bore1", "mic1"]
    assert entries[2:] == [
        Setting.model_validate(
            {"gauge": "bore1", "shown": "0 in", "reference": "1 in", "in": "mic1"}
        )
    ]
    bush.put(*entries)
    assert len(proposed(bush, "bore1", "0", on="1", within="mic1")) == 1


def test_without_a_size_it_stood_at_nought(bush: Tiny) -> None:
    assert setting(bush, "mic1", "0.0002") == Setting(
        gauge="mic1", shown="0.0002 in", reference="0 in"
    )


def test_set_on_an_address_it_keeps_the_address(bush: Tiny) -> None:
    bush.say("B@a 1.0030")
    assert setting(bush, "bore1", "0", on="b@A").reference == "B@a"


@pytest.mark.parametrize(
    ("gauge", "unit", "shown"),
    [
        ("mic1", '"in"', "0.0002 in"),
        ("mic1", '"mm"', "0.0002 mm"),
        ("wrench1", '"in"', "0.0002 N*m"),
        ("plain1", '"in"', "0.0002 in"),
        ("cheap1", '"in"', "0.0002 in"),
    ],
)
def test_bare_figures_are_in_the_unit_of_the_sheet_for_lengths(
    gauge: str, unit: str, shown: str
) -> None:
    sheet = SHEET.replace('unit = "in"', f"unit = {unit}", 1)
    assert setting(Tiny(sheet), gauge, "0.0002").shown == shown


@pytest.mark.parametrize(
    ("gauge", "shown"), [("mic1", "0 tenth"), ("cheap1", "0 um"), ("plain1", "0 mm")]
)
def test_without_one_on_the_sheet_they_are_in_that_of_the_gauge(gauge: str, shown: str) -> None:
    sheet = 'source = "Invented handbook"\n[[component]]\nid = "body"\n'
    assert setting(Tiny(sheet), gauge, "0").shown == shown


def test_a_gauge_shows_one_figure(bush: Tiny) -> None:
    said = ['Not recorded. A gauge shows one figure, not "1..2".']
    assert refusal(bush, "mic1", "1..2", on="1") == said
    assert refusal(bush, "mic1", "1", on="1..2") == said


def test_it_is_set_at_one_place(bush: Tiny) -> None:
    bush.say("B 1.0030 1.0031")
    assert refusal(bush, "bore1", "0", on="B") == [
        'Not recorded. "B" names 2 places; a gauge is set at one.',
        "  Type:  --on B@a",
    ]


def test_where_nothing_was_read_nothing_can_be_set(bush: Tiny) -> None:
    said = [
        "Not recorded. Nothing was read at J yet, so nothing can be set on it.",
        "  Type:  bedplate measure J VALUE",
    ]
    assert refusal(bush, "bore1", "0", on="J") == said
    assert refusal(bush.say("J left-out rusty"), "bore1", "0", on="J") == said
    assert refusal(bush.say("J 1.0000", "strike 4"), "bore1", "0", on="J") == said


def test_a_gauge_may_be_set_on_a_part_without_a_place() -> None:
    sheet = SHEET.replace('id = "shaft"', 'id = "shaft"\npositions = { no = ["1", "2"] }')
    tiny = Tiny(sheet, CABINET).say("shaft new mark K")
    assert refusal(tiny, "bore1", "0", on="J.K") == [
        "Not recorded. Nothing was read at J.K yet, so nothing can be set on it.",
        "  Type:  bedplate measure J.K VALUE",
    ]
    tiny.say("J.K 1.0000")
    assert setting(tiny, "bore1", "0", on="J.K").reference == "J.K"
    tiny.put(*proposed(tiny, "bore1", "0", on="J.K"))
    tiny.say("J.2 0.9990", "B@a 0.0030 on bore1", "B@b 0.0030 on bore1")
    assert tiny.fit("GAP.2").mean == 4
    assert tiny.say("shaft.1 moved from K").fit("GAP.1").mean == 3


def test_what_is_neither_size_nor_address_is_refused(bush: Tiny) -> None:
    assert refusal(bush, "bore1", "0", on="ring") == [
        'Not recorded. "ring" is neither a size nor an address.',
        "  Type:  --on 1in   or   --on H.idler@a",
    ]


def test_an_unknown_gauge_is_refused_wherever_it_stands(bush: Tiny) -> None:
    first = 'Not recorded. There is no gauge "mic9" in your cabinet yet.'
    assert refusal(bush, "mic9", "0")[0].startswith(first)
    assert refusal(bush, "bore1", "0", on="1", within="mic9")[0].startswith(first)


@pytest.mark.parametrize(
    ("shown", "on", "off"),
    [
        ("1.0150", "1in", None),
        ("1.0151", "1in", "0.0151 in"),
        ("0.9849", "1in", "0.0151 in"),
        ("25.700 mm", "1in", None),
        ("25.701 mm", "1in", "0.301 mm"),
    ],
)
def test_an_offset_that_no_gauge_of_sizes_has_is_refused(
    bush: Tiny, shown: str, on: str, off: str | None
) -> None:
    if off is None:
        assert setting(bush, "mic1", shown, on=on).reference == on
        return
    text = shown if "mm" in shown else f"{shown} in"
    assert refusal(bush, "mic1", shown, on=on) == [
        f"Not recorded. mic1 is said to show {text} on 1in: {off} off.",
        "  Say what it stood on:  --on 1in",
        "  Or, for a dial or comparator:  "
        'bedplate gauge add mic1 --resolution "1 tenth" --reads differences',
    ]


def test_what_shows_differences_or_is_no_length_may_be_far(bush: Tiny) -> None:
    assert setting(bush, "bore1", "0", on="1in").shown == "0 in"
    assert setting(bush, "wrench1", "40", on="35 N*m").reference == "35 N*m"
    bush.say("J 1.0000")
    assert setting(bush, "mic1", "0", on="J").shown == "0 in"


def test_a_gauge_set_in_another_says_at_what_size(bush: Tiny) -> None:
    assert refusal(bush, "BORE1", "0", within="Mic1") == [
        "Not recorded. bore1 was set in mic1: what did mic1 stand at?",
        "  Type:  bedplate gauge set bore1 0 --on SIZE --in mic1",
    ]


def test_gauges_set_in_a_ring_are_refused(bush: Tiny) -> None:
    assert refusal(bush, "mic1", "0", within="MIC1") == [
        "Not recorded. The gauges would be set on each other in a ring: mic1 in mic1.",
        "  Set mic1 on a standard first:  bedplate gauge set mic1 SHOWN --on SIZE",
    ]
    for gauge, within in (("mic2", "mic1"), ("mic3", "mic2")):
        bush.put(*proposed(bush, gauge, "0", on="0", within=within))
    assert refusal(bush, "mic1", "0", within="mic3") == [
        "Not recorded. The gauges would be set on each other in a ring: "
        "mic1 in mic3 in mic2 in mic1.",
        "  Set mic3 on a standard first:  bedplate gauge set mic3 SHOWN --on SIZE",
    ]
    bush.put(*proposed(bush, "mic3", "1", on="1"))
    assert setting(bush, "mic1", "0", on="0", within="mic3").in_ == "mic3"


def test_a_ring_among_others_does_not_go_on_for_ever(bush: Tiny) -> None:
    for gauge, within in (("mic2", "mic3"), ("mic3", "mic2")):
        bush.describe(name=gauge)
        bush.put(Setting.model_validate({"gauge": gauge, "shown": "0 in", "in": within}))
    assert setting(bush, "mic1", "0", on="0", within="mic2").in_ == "mic2"


# ---- what it does


def ends(fit: FitResult) -> tuple[str, str]:
    return str(fit.tightest), str(fit.loosest)


def test_the_offset_is_what_it_showed_too_much(bush: Tiny) -> None:
    bush.say("B 1.0030 1.0030")
    bush.put(*proposed(bush, "mic1", "1.0002", on="1"))
    fit = bush.say("J 1.0002 on mic1").fit("GAP")
    assert fit.mean == 3


def test_differences_are_added_to_what_it_stood_at(bush: Tiny) -> None:
    """Value = reference + typed − shown: 1.0000 + 0.0035 − 0.0005."""
    bush.say("J 1.0000")
    bush.put(*proposed(bush, "bore1", "0.0005", on="J"))
    fit = bush.say("B@a 0.0035 on bore1", "B@b 0.0045 on bore1").fit("GAP")
    assert ends(fit) == ("3", "4")
    assert fit.readings == (2, 5, 6)


def test_in_force_is_the_last_setting_before_the_reading_in_the_file(bush: Tiny) -> None:
    bush.say("J 1.0000")
    bush.put(*proposed(bush, "mic1", "1.0002", on="1"))
    bush.say("B@a 1.0032 on mic1")
    bush.put(*proposed(bush, "mic1", "0.9999", on="1"))
    bush.say("B@b 1.0029 on mic1")
    fit = bush.fit("GAP")
    assert ends(fit) == ("3", "3")
    bush.say("strike 6")
    fit = bush.fit("GAP")
    assert ends(fit) == ("27/10", "3")


def test_a_reading_struck_from_under_a_gauge_leaves_its_readings_waiting(bush: Tiny) -> None:
    bush.say("J 1.0000")
    bush.put(*proposed(bush, "bore1", "0", on="J"))
    bush.say("B@a 0.0030 on bore1", "B@b 0.0030 on bore1", "J 1.0001 instead")
    fit = bush.fit("GAP")
    assert (fit.verdict, fit.missing) == ("unmeasured", ("B@a", "B@b"))
    assert fit.notes[-2:] == (
        "entry 5 waits for a new setting of bore1: what entry 4 was set on has been struck",
        "entry 6 waits for a new setting of bore1: what entry 4 was set on has been struck",
    )
    bush.put(*proposed(bush, "bore1", "0", on="J"))
    assert bush.say("B@a 0.0029 on bore1 instead", "B@b 0.0029 on bore1 instead").fit(
        "GAP"
    ).mean == Fraction("2.9")
