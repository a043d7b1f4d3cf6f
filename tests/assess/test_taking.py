"""From what was typed to the entries that record it, and what only a person can say."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from tiny import Tiny

from bedplate.assess.questions import DoubtedError, QuestionError
from bedplate.assess.request import Request, joined_values
from bedplate.assess.taking import readings_to_record
from bedplate.errors import BedplateError
from bedplate.record.entries import AnyEntry, FromFile, GaugeDescribed, On, Reading, Strike

SHEET = """
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
tooth = ["a", "b", "c"]
[[component]]
id = "body"
[[component]]
id = "gear"
positions = "gear"
[[feature]]
tag = "D"
of = "body"
name = "depth of the body"
nominal = "1.0030"
[[feature]]
tag = "H"
of = "gear"
stations = "tooth"
nominal = "1.0000"
[[feature]]
tag = "S"
of = "body"
name = "seat width"
[[feature]]
tag = "X"
of = "body"
signed = true
unit = "mm"
[[feature]]
tag = "W"
of = "body"
unit = "degC"
[[feature]]
tag = "EF"
of = ["gear", "body"]
unit = "thou"
"""
CABINET = {
    "Mic1": {"kind": "micrometer", "resolution": "1 tenth"},
    "tg1": {"kind": "telescopic", "repeatability": "2 tenths"},
    "dial1": {"reads": "differences", "resolution": "1 tenth"},
}


@pytest.fixture
def pump() -> Tiny:
    return Tiny(SHEET, CABINET)


def proposed(tiny: Tiny, address: str, *values: str, **more: Any) -> list[AnyEntry]:
    """Return the entries that a request would record; of a question the refusal is raised."""
    answers = more.pop("answers", {})
    request = Request(address=address, values=values, **more)
    return readings_to_record(tiny.job, request, answers, tiny.cabinet)


def read(tiny: Tiny, address: str, *values: str, **more: Any) -> list[tuple[str, str | None]]:
    """Return (address, value) of the readings that a request would record."""
    entries = proposed(tiny, address, *values, **more)
    return [(e.address, e.value) for e in entries if isinstance(e, Reading)]


def said(call: Callable[[], object]) -> list[str]:
    """Return what is said when something is not recorded."""
    with pytest.raises(BedplateError) as refused:
        call()
    return refused.value.as_lines()


# ---- words and values


@pytest.mark.parametrize(
    ("words", "values"),
    [
        (["19.057", "mm", "0.7503"], ["19.057 mm", "0.7503"]),
        (["1", "2", "3"], ["1", "2", "3"]),
        (["mm"], ["mm"]),
        (["1.0", "lbf*ft"], ["1.0 lbf*ft"]),
        (["0.75", "3/8"], ["0.75", "3/8"]),
        (["1", "3/x"], ["1", "3/x"]),
    ],
)
def test_a_unit_apart_belongs_to_its_figure(words: list[str], values: list[str]) -> None:
    assert joined_values(words) == values


@pytest.mark.parametrize("fraction", ["3/8", "3/8in"])
def test_a_whole_number_and_a_fraction_apart_could_be_either(fraction: str) -> None:
    assert said(lambda: joined_values(["1", fraction])) == [
        f'Not recorded. "1" and "{fraction}" stand apart: two readings, or 1 and {fraction}?',
        f'  Type:  "1 {fraction} in"   or   1-{fraction}in   or   1 and the decimal figure',
    ]


def test_values_at_one_full_address_are_repeats(pump: Tiny) -> None:
    assert read(pump, "h.Idler@B", "0.9979", "0.9978") == [
        ("H.idler@b", "0.9979 in"), ("H.idler@b", "0.9978 in"),
    ]  # fmt: skip


def test_as_many_values_as_stations_are_one_each_in_order(pump: Tiny) -> None:
    assert read(pump, "H.idler", "0.9979", "0.9978", "0.9980") == [
        ("H.idler@a", "0.9979 in"), ("H.idler@b", "0.9978 in"), ("H.idler@c", "0.9980 in"),
    ]  # fmt: skip


def test_one_value_of_two_ends_covers_all_stations(pump: Tiny) -> None:
    swept = "0.9978..0.9981"
    assert read(pump, "H.idler", swept) == [(f"H.idler@{tooth}", f"{swept} in") for tooth in "abc"]


@pytest.mark.parametrize(
    ("values", "given"), [(["0.9979"], "1 value was"), (["0.9979", "1.0"], "2 values were")]
)
def test_another_number_of_values_is_refused_with_the_order(
    pump: Tiny, values: list[str], given: str
) -> None:
    assert said(lambda: proposed(pump, " H.idler", *values)) == [
        f"Not recorded. H.idler has 3 stations (a, b, c) and {given} given.",
        "  Give 3 in that order, or name the station:",
        "  Type:  bedplate measure H.idler@a 0.9979",
    ]


def test_stations_on_two_axes_are_named_in_full() -> None:
    sheet = SHEET.replace('stations = "tooth"', 'stations = "tooth/way"')
    sheet = sheet.replace("[axes]", '[axes]\nway = ["x", "y"]')
    asked = said(lambda: proposed(Tiny(sheet), "H.idler", "0.9979"))
    assert asked[0] == (
        "Not recorded. H.idler has 6 stations (a/x, a/y, b/x, b/y, c/x, c/y) and 1 value was "
        "given."
    )


def test_a_reading_without_a_value_is_refused(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "D")) == [
        "Not recorded. There is no value.",
        "  Type:  bedplate measure D VALUE",
    ]


def test_an_address_of_several_parts_is_asked_to_name_one(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "h@b", "0.9979")) == [
        "Not recorded. H is on the gear, and there are 2: driver, idler.",
        "  Type:  bedplate measure H.driver@b 0.9979   or   H.idler@b",
    ]
    assert said(lambda: proposed(pump, "EF", "3")) == [
        "Not recorded. EF is on the gear and body, and there are 2: driver, idler.",
        "  Type:  bedplate measure EF.driver 3   or   EF.idler",
    ]
    assert said(lambda: proposed(pump, "H", "1.0000 in", "1", temp="24 degC"))[1] == (
        '  Type:  bedplate measure H.driver "1.0000 in" 1 --temp "24 degC"   or   H.idler'
    )
    assert said(lambda: proposed(pump, "H@b", left_out="burr"))[1] == (
        "  Type:  bedplate measure H.driver@b --left-out burr   or   H.idler@b"
    )


def test_all_is_no_address_of_a_value(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "H.idler@all", "1", "1", "1")) == [
        'Not recorded. "H.idler@all" names 3 stations, and a value is read at one.',
        "  They are:  H.idler@a, H.idler@b, H.idler@c",
    ]


def test_an_unknown_feature_is_answered_with_the_nearest(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "Q", "1")) == [
        'Not recorded. There is no feature "Q".',
        "  There are: D, H, S, X, W, EF",
    ]


# ---- what the entry keeps


def test_a_reading_keeps_everything_that_was_said_of_it(pump: Tiny) -> None:
    row = FromFile(name="bench.csv", sha256="0" * 64, row=3)
    (reading,) = proposed(
        pump, "EF.idler", "3.2", temp="21C", gauge_temp="20C", note="by lamp",
        done_at="2025-11-24T10:00:00+01:00", from_file=row,
    )  # fmt: skip
    assert reading == Reading(
        address="EF.idler", value="3.2 thou", temp="21C", gauge_temp="20C", note="by lamp",
        done_at="2025-11-24T10:00:00+01:00", from_file=row,
        on=(On(place="gear.idler", part="gear.idler", life=1),
            On(place="body", part="body", life=1)),
    )  # fmt: skip


def test_a_spare_is_read_under_its_mark_on_itself(pump: Tiny) -> None:
    pump.say("gear new mark K")
    (reading, *_) = proposed(pump, "H.K", "0.9991", "0.9992", "0.9990")
    assert isinstance(reading, Reading)
    assert (reading.address, reading.on) == ("H.K@a", (On(place="gear", part="K", life=2),))


def test_what_is_read_on_no_part_says_how_one_gets_there(pump: Tiny) -> None:
    pump.say("gear.driver moved from gear.idler")
    assert said(lambda: proposed(pump, "H.idler@a", "1.0000")) == [
        "Not recorded. Nothing sits in gear.idler: its part was moved.",
        "  Type:  bedplate change gear.idler new --mark MARK",
        "  Or:  bedplate change gear.idler moved --from PLACE",
    ]


def test_left_out_on_purpose_stands_at_every_station(pump: Tiny) -> None:
    entries = proposed(pump, "H.idler", left_out="teeth chipped")
    assert [(e.address, e.value, e.left_out) for e in entries if isinstance(e, Reading)] == [
        (f"H.idler@{tooth}", None, "teeth chipped") for tooth in "abc"
    ]


# ---- from nominal


def test_a_sign_counts_from_nominal_and_keeps_it(pump: Tiny) -> None:
    (reading,) = proposed(pump, "D", "-0.0004")
    assert isinstance(reading, Reading)
    assert (reading.value, reading.nominal) == ("-0.0004 in", "1.0030 in")
    pump.put(reading)
    assert pump.say("D 1.0027 again").job.standing(pump.job.select("D").spots[0])
    (whole,) = proposed(pump, "S", "1.0030")
    assert isinstance(whole, Reading)
    assert whole.nominal is None


@pytest.mark.parametrize(("address", "value"), [("X", "-0.04"), ("X", "+0.04"), ("W", "-4")])
def test_a_sign_is_the_values_own_where_it_may_be_negative(
    pump: Tiny, address: str, value: str
) -> None:
    (reading,) = proposed(pump, address, value)
    assert isinstance(reading, Reading)
    assert (reading.value, reading.nominal) == (f"{value} {'mm' if address == 'X' else 'degC'}",
                                                None)  # fmt: skip


@pytest.mark.parametrize("gauge", ["dial1", "tg1/dial1"])
def test_on_a_gauge_of_differences_a_sign_is_its_own(pump: Tiny, gauge: str) -> None:
    pump.describe(name="dial1", reads="differences").say("set dial1 shown 0in on 1.0030in")
    *_, reading = proposed(pump, "D", "-0.0004", gauge=gauge)
    assert isinstance(reading, Reading)
    assert (reading.value, reading.nominal, reading.gauge) == ("-0.0004 in", None, gauge)


def test_a_deviation_without_a_nominal_is_refused(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "S", "+0.0003")) == [
        'Not recorded. "+0.0003" is counted from nominal, and S (seat width) has none.',
        "  Type the whole value, or give it one:  bedplate amend feature S --nominal VALUE "
        "--why ...",
    ]


def test_a_size_below_nothing_is_refused(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "S", "0.0010-0.0030")) == [
        'Not recorded. "0.0010 in-0.0030 in" is below nothing, and S (seat width) is a size.',
        "  Only what is marked  signed = true  on the sheet may be negative.",
    ]
    assert read(pump, "S", "0.0010-0.0010") == [("S", "0.0010 in-0.0010 in")]


def test_what_cannot_be_read_is_refused_by_its_feature(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "D", "3 kg")) == [
        'Not recorded. "3 kg" is a mass; D (depth of the body) is a length.',
        '  A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"',
    ]
    assert said(lambda: proposed(pump, "H.idler@a", "3 kg"))[0] == (
        'Not recorded. "3 kg" is a mass; H is a length.'
    )


# ---- gauges and temperatures


def test_the_first_use_of_a_gauge_copies_it_before_the_reading(pump: Tiny) -> None:
    entries = proposed(pump, "D", "1.0031", gauge="mic1")
    copy, reading = entries
    assert isinstance(copy, GaugeDescribed)
    assert copy.told == {"name": "Mic1", "kind": "micrometer", "resolution": "1 tenth"}
    assert isinstance(reading, Reading)
    assert reading.gauge == "Mic1"
    pump.put(*entries)
    (second,) = proposed(pump, "S", "0.5000", gauge="MIC1")
    assert isinstance(second, Reading)
    assert second.gauge == "Mic1"


def test_felt_with_one_and_read_on_the_other_copies_both(pump: Tiny) -> None:
    felt, read_on, reading = proposed(pump, "D", "1.0031", gauge="TG1/mic1")
    assert isinstance(felt, GaugeDescribed)
    assert isinstance(read_on, GaugeDescribed)
    assert (felt.told["name"], read_on.told["name"]) == ("tg1", "Mic1")
    assert isinstance(reading, Reading)
    assert reading.gauge == "tg1/Mic1"


@pytest.mark.parametrize("gauge", ["mic1", "tg1/wrench1", "shop1"])
def test_a_gauge_that_measures_something_else_is_refused(pump: Tiny, gauge: str) -> None:
    pump.describe(name="wrench1", kind="torque wrench").describe(name="shop1", uncertainty="2 um")
    name = {"mic1": "Mic1", "tg1/wrench1": "tg1", "shop1": "shop1"}[gauge]
    assert said(lambda: proposed(pump, "W", "412", gauge=gauge)) == [
        f"Not recorded. {name} measures a length, and W is a temperature.",
        "  Leave --gauge out, or name another:  bedplate measure W VALUE -g GAUGE",
    ]
    assert read(pump, "W", "412", gauge="wrench1") == [("W", "412 degC")]


def test_the_temperature_of_the_gauge_needs_the_parts(pump: Tiny) -> None:
    assert said(lambda: proposed(pump, "D", "1.0031", gauge_temp="30C")) == [
        "Not recorded. The gauge's temperature needs the part's beside it.",
        "  Type:  bedplate measure D 1.0031 --temp T --gauge-temp 30C",
    ]


@pytest.mark.parametrize("which", ["temp", "gauge_temp"])
def test_what_is_no_temperature_is_refused(pump: Tiny, which: str) -> None:
    how = {"temp": "20C", which: "warm"}
    assert said(lambda: proposed(pump, "D", "1.0031", **how)) == [
        '"warm" is not a figure.', "  A temperature reads like  24C  75F  297K",
    ]  # fmt: skip


# ---- again, or instead


def test_a_later_value_is_asked_about_where_one_stands(pump: Tiny) -> None:
    pump.say("D 1.0030", "D 1.0031 again")
    with pytest.raises(QuestionError) as asked:
        proposed(pump, "D", "1.0028")
    assert asked.value.as_lines() == [
        "Not recorded. D was read before: 1.0031 in (entry 3). There is no terminal to ask on: "
        "is 1.0028 a repeat, or instead of it?",
        "  Type:  bedplate measure D 1.0028 --again     or   --instead",
    ]
    assert asked.value.key == ("repeat", "D")
    assert asked.value.lines == [
        "D was read before: 1.0031 in (entry 3). This is",
        "  i  instead of it (a slip)    a  again (a repeat, averaged)    q  neither: ",
    ]
    assert asked.value.answers == {
        "i": "instead", "a": "again", "instead": "instead", "again": "again",
    }  # fmt: skip


def test_instead_strikes_all_that_stands_there_and_again_none(pump: Tiny) -> None:
    pump.say("D 1.0030", "D 1.0031 again")
    assert proposed(pump, "D", "1.0028", repeat="instead")[:-1] == [
        Strike(entry=2, why="slip"), Strike(entry=3, why="slip"),
    ]  # fmt: skip
    why = proposed(pump, "D", "1.0028", repeat="instead", note="wrong gauge")
    assert why[0] == Strike(entry=2, why="wrong gauge")
    assert read(pump, "D", "1.0028", repeat="again") == [("D", "1.0028 in")]
    assert len(proposed(pump, "D", "1.0028", repeat="again")) == 1
    assert len(proposed(pump, "D", "1.0028", answers={("repeat", "D"): "instead"})) == 3


def test_several_values_instead_strike_once(pump: Tiny) -> None:
    pump.say("D 1.0030")
    entries = proposed(pump, "D", "1.0028", "1.0029", repeat="instead")
    assert [type(entry) for entry in entries] == [Strike, Reading, Reading]
    pump.say("H.idler 0.9990 0.9990 0.9990")
    entries = proposed(pump, "H.idler", "0.9991", "0.9991", "0.9991", repeat="instead")
    assert [e.entry if isinstance(e, Strike) else e.address for e in entries
            if isinstance(e, Strike | Reading)] == [
        3, "H.idler@a", 4, "H.idler@b", 5, "H.idler@c",
    ]  # fmt: skip


def test_a_value_takes_the_place_of_what_was_left_out_without_a_question(pump: Tiny) -> None:
    pump.say("D left-out seized")
    assert proposed(pump, "D", "1.0028", repeat="again")[0] == Strike(entry=2, why="slip")
    assert proposed(pump, "D", "1.0028")[0] == Strike(entry=2, why="slip")


@pytest.mark.parametrize(("why", "typed"), [("seized", "seized"), ("is bent", '"is bent"')])
def test_leaving_out_what_was_read_is_asked_about(pump: Tiny, why: str, typed: str) -> None:
    pump.say("D 1.0030")
    assert said(lambda: proposed(pump, "D", left_out=why)) == [
        "Not recorded. D was read before: 1.0030 in (entry 2). There is no terminal to ask on: "
        "is leaving it out a repeat, or instead of it?",
        f"  Type:  bedplate measure D --left-out {typed} --again     or   --instead",
    ]


def test_a_value_of_several_words_is_quoted_where_it_is_to_be_typed_again(pump: Tiny) -> None:
    pump.say("D 1.0030")
    assert said(lambda: proposed(pump, "D", "1 3/1000 in"))[1] == (
        '  Type:  bedplate measure D "1 3/1000 in" --again     or   --instead'
    )
    assert said(lambda: proposed(pump, "H.idler", "1 3/1000 in"))[2] == (
        '  Type:  bedplate measure H.idler@a "1 3/1000 in"'
    )


def test_what_is_left_out_though_another_value_stands_is_no_gap(pump: Tiny) -> None:
    pump.say("D 1.0030")
    pump.put(*proposed(pump, "D", left_out="seized", repeat="again"))
    with pytest.raises(QuestionError):
        proposed(pump, "D", "1.0031")


def test_a_spare_read_before_is_asked_about_by_its_mark(pump: Tiny) -> None:
    pump.say("gear new mark K", "H.K@a 0.9991")
    with pytest.raises(QuestionError) as asked:
        proposed(pump, "H.K@a", "0.9992")
    assert asked.value.key == ("repeat", "H.K@a")


# ---- what is odd is asked about


def test_a_doubtful_value_is_refused_with_the_way_to_keep_it(pump: Tiny) -> None:
    with pytest.raises(DoubtedError) as asked:
        proposed(pump, "H.idler@a", "0.9799")
    doubted = asked.value
    assert doubted.as_lines() == [
        "Not recorded. 0.9799 is 20.1 thou under nominal: Two figures changed places?",
        "  0.9979 would be 2.1 thou under. There is no terminal to ask on.",
        "  If 0.9799 is right:  bedplate measure H.idler@a 0.9799 --yes",
    ]
    assert doubted.lines == [
        "0.9799 is 20.1 thou under nominal. Two figures changed places?",
        "  0.9979 would be 2.1 thou under.",
        "  Type the right value, or k to keep 0.9799, or q to record nothing: ",
    ]
    assert doubted.answers == {"k": "keep 0.9799", "keep": "keep 0.9799", "*": "value"}
    assert (doubted.key, doubted.figure) == (("value", "H.idler@a", 0), "0.9799")


def test_what_is_typed_again_keeps_its_gauge_and_temperatures(pump: Tiny) -> None:
    pump.describe(name="mic1", resolution="1 tenth")
    on = {"gauge": "mic1", "temp": "24C", "gauge_temp": "20 C"}
    told = '-g mic1 --temp 24C --gauge-temp "20 C"'
    assert said(lambda: proposed(pump, "D", "1.5 in", **on))[-1] == (
        f'  If 1.5 in is right:  bedplate measure D "1.5 in" {told} --yes'
    )
    pump.say("D 1.0030")
    assert said(lambda: proposed(pump, "D", "1.0028", **on))[-1] == (
        f"  Type:  bedplate measure D 1.0028 {told} --again     or   --instead"
    )


GIVEN = {"note": "by lamp light", "done_at": "2025-11-24T14:52:00+00:00", "at": "14:52"}


@pytest.mark.parametrize(
    ("address", "values", "more", "last"),
    [
        ("H", ("1.0", "1.0"), {}, "H.driver 1.0 1.0 {}   or   H.idler"),
        ("H@b", ("1.0",), {"repeat": "again"}, "H.driver@b 1.0 {} --again   or   H.idler@b"),
        ("H.idler", ("1.0", "1.0"), {"yes": True}, "H.idler@a 1.0 {} --yes"),
        ("H.idler@a", (), {"repeat": "instead"}, "H.idler@a VALUE {} --instead"),
        ("H.driver", ("1.0..1.001",), {}, "H.driver 1.0..1.001 {} --again     or   --instead"),
    ],
)
def test_what_is_typed_again_keeps_all_that_was_given(
    pump: Tiny, address: str, values: tuple[str, ...], more: dict[str, Any], last: str
) -> None:
    pump.say("H.driver@b 1.0005")
    told = '--at 14:52 --note "by lamp light"'
    assert said(lambda: proposed(pump, address, *values, **GIVEN, **more))[-1] == (
        f"  Type:  bedplate measure {last.format(told)}"
    )


def test_where_nothing_comes_to_mind_nothing_is_guessed(pump: Tiny) -> None:
    with pytest.raises(DoubtedError) as asked:
        proposed(pump, "H.idler@a", "0.9500")
    assert asked.value.as_lines() == [
        "Not recorded. 0.9500 is 50.0 thou under nominal.",
        "  There is no terminal to ask on.",
        "  If 0.9500 is right:  bedplate measure H.idler@a 0.9500 --yes",
    ]
    assert asked.value.lines == [
        "0.9500 is 50.0 thou under nominal.",
        "  Type the right value, or k to keep 0.9500, or q to record nothing: ",
    ]


@pytest.mark.parametrize(
    ("typed", "shown", "again"),
    [
        ("24.0 mm", "24.0 mm", '"24.0 mm"'),
        ("24.0mm", "24.0mm", "24.0mm"),
        ("25 mm - 2 mm", "25 mm - 2 mm", '"25 mm - 2 mm"'),
        ("1.0030-0.2", "1.0030 in-0.2", "1.0030-0.2"),
        ('0.9"', '0.9"', "'0.9\"'"),
    ],
)
def test_the_way_to_keep_a_value_records_that_very_value(
    pump: Tiny, typed: str, shown: str, again: str
) -> None:
    assert said(lambda: proposed(pump, "H.idler@a", typed))[-1] == (
        f"  If {shown} is right:  bedplate measure H.idler@a {again} --yes"
    )


def test_yes_keeps_a_doubtful_value_and_the_record_says_why(pump: Tiny) -> None:
    (reading,) = proposed(pump, "H.idler@a", "0.9799", yes=True)
    assert isinstance(reading, Reading)
    assert reading.kept == "0.9799 is 20.1 thou under nominal"
    (sound,) = proposed(pump, "H.idler@a", "0.9979", yes=True)
    assert isinstance(sound, Reading)
    assert sound.kept is None


def test_each_value_of_a_request_is_asked_about_by_itself(pump: Tiny) -> None:
    with pytest.raises(DoubtedError) as asked:
        proposed(pump, "H.idler", "0.9979", "0.9978", "0.9799")
    assert asked.value.key == ("value", "H.idler@c", 2)
    answers = {("value", "H.idler@c", 2): "0.9979"}
    assert read(pump, "H.idler", "0.9979", "0.9978", "0.9799", answers=answers) == [
        ("H.idler@a", "0.9979 in"), ("H.idler@b", "0.9978 in"), ("H.idler@c", "0.9979 in"),
    ]  # fmt: skip
