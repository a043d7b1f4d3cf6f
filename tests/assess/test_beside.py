"""What a new value is held beside, in the user's own format: what is asked, and what is not."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.beside import explained
from bedplate.assess.questions import KEEP, DoubtedError
from bedplate.assess.request import Request
from bedplate.assess.taking import readings_to_record
from bedplate.record.entries import Reading

SHEET = """
unit = "in"
source = "Handbook (invented)"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "gear"
positions = "gear"
[[component]]
id = "body"
[[feature]]
tag = "H"
of = "gear"
stations = { tooth = ["a", "b", "c"] }
nominal = "1.0000"
[[feature]]
tag = "BL"
of = "body"
stations = { mesh = ["1", "2"] }
[[feature]]
tag = "S"
of = "body"
stations = { end = ["in", "ex"] }
nominal = { in = "2.0000", ex = "1.5000" }
[[fit]]
tag = "LASH"
stack = "BL"
band = { limits = "4..8 thou" }
"""
MIC = {"resolution": "1 tenth", "max_error": "1 tenth"}
DIAL = {"reads": "differences", "resolution": "1 tenth"}
CABINET = {"mic1": MIC, "dial1": DIAL}


def question(job: Tiny, address: str, *values: str, gauge: str | None = None,
             temp: str | None = None) -> str | None:  # fmt: skip
    """Return why a value would be asked about, None where it would be recorded as it is."""
    request = Request(address, values, repeat="again", gauge=gauge, temp=temp)
    try:
        readings_to_record(job.job, request, {}, CABINET)
    except DoubtedError as asked:
        return asked.doubt.text
    return None


def read_on(job: Tiny, address: str, value: str, gauge: str) -> None:
    job.put(*readings_to_record(job.job, Request(address, (value,), gauge=gauge), {}, CABINET))


@pytest.fixture
def pump() -> Tiny:
    return Tiny(SHEET, CABINET)


def test_stations_that_agree_are_not_asked_about(pump: Tiny) -> None:
    pump.say("H.driver@a 0.9980", "H.driver@b 0.9979")
    assert question(pump, "H.driver@c", "0.9985") is None


def test_a_station_is_held_beside_the_others_of_its_own_part(pump: Tiny) -> None:
    pump.say("H.driver@a 0.9980", "H.driver@b 0.9979")
    assert question(pump, "H.driver@c", "0.9930") == (
        "0.9930 is 4.9 thou under its neighbour @b (0.9979)"
    )
    assert question(pump, "H.idler@c", "0.9930") is None


def test_what_was_struck_or_belongs_to_an_earlier_life_is_no_neighbour(pump: Tiny) -> None:
    pump.say("H.driver@a 0.9930", "strike 2")
    assert question(pump, "H.driver@c", "0.9990") is None
    pump.say("H.driver@a 0.9930", "gear.driver new")
    assert question(pump, "H.driver@c", "0.9990") is None


def test_what_was_kept_though_questioned_is_no_measure_for_others(pump: Tiny) -> None:
    pump.say("H.driver@a 0.9799")
    assert question(pump, "H.driver@b", "0.9979") is None


def test_values_of_one_answer_stand_beside_each_other(pump: Tiny) -> None:
    assert question(pump, "H.driver", "0.9980", "0.9979", "0.9930") == (
        "0.9930 is 4.9 thou under its neighbour @b (0.9979)"
    )
    assert question(pump, "H.driver@a", "0.9980", "0.9970", gauge="mic1") == (
        "0.9970 is 1.0 thou under the repeat before it (0.9980, typed), more than mic1 explains"
    )


def test_stations_of_different_nominals_are_held_to_their_own(pump: Tiny) -> None:
    pump.say("S@in 2.0010")
    assert question(pump, "S@ex", "1.5005") is None
    assert question(pump, "S@ex", "1.4930") == (
        "1.4930 is 8.0 thou under its neighbour @in (1.5010)"
    )


def test_a_value_from_nominal_stands_beside_whole_ones(pump: Tiny) -> None:
    pump.say("H.driver@a -0.0020", "H.driver@b 0.9979")
    assert question(pump, "H.driver@c", "-0.0021") is None
    assert question(pump, "H.driver@c", "+0.0060") == (
        "+0.0060 is 8.0 thou over its neighbour @a (0.9980)"
    )


def test_a_repeat_must_be_explained_by_the_gauge_it_is_read_on(pump: Tiny) -> None:
    read_on(pump, "H.driver@a", "0.9980", "mic1")
    assert question(pump, "H.driver@a", "0.9983", gauge="mic1") is None
    assert question(pump, "H.driver@a", "0.9984", gauge="mic1") == (
        "0.9984 is 0.4 thou over the repeat before it (0.9980, entry 3), more than mic1 explains"
    )


@pytest.mark.parametrize(
    ("between", "how"),
    [
        ([], {}),
        ([], {"gauge": "mic1", "temp": "30 degC"}),
        (["set mic1 shown 1.0005in on 1in"], {"gauge": "mic1"}),
    ],
)
def test_under_other_conditions_it_is_no_repeat_to_be_explained(
    pump: Tiny, between: list[str], how: dict[str, str]
) -> None:
    read_on(pump, "H.driver@a", "0.9980", "mic1")
    pump.say(*between)
    assert question(pump, "H.driver@a", "0.9986", **how) is None


def test_of_an_unknown_gauge_ten_of_the_last_digit_are_explained(pump: Tiny) -> None:
    pump.say("H.driver@a 0.9980")
    assert question(pump, "H.driver@a", "0.9990") is None
    assert question(pump, "H.driver@a", "0.9991") == (
        "0.9991 is 1.1 thou over the repeat before it (0.9980, entry 2), "
        "more than the last digit explains"
    )


def test_differences_are_held_beside_those_of_the_same_gauge_alone(pump: Tiny) -> None:
    pump.describe(name="dial1", **DIAL).say("set dial1 shown 0in on 1in")
    read_on(pump, "H.driver@a", "0.9980", "mic1")
    assert question(pump, "H.driver@b", "0.0001", gauge="dial1") is None


def test_a_difference_is_weighed_with_what_its_gauge_was_set_to(pump: Tiny) -> None:
    pump.describe(name="dial1", **DIAL).say("set dial1 shown 0.002in on 1in")
    assert question(pump, "H.driver@a", "-0.0130", gauge="dial1") is None
    assert question(pump, "H.driver@a", "-0.0131", gauge="dial1") == (
        "-0.0131 on dial1, set to 0.002in on 1in, makes 0.9849 in, 15.1 thou under nominal"
    )
    assert question(pump, "H.driver@a", "0.9980", gauge="dial1") == (
        "0.9980 on dial1, set to 0.002in on 1in, makes 1.9960 in, 996.0 thou over nominal"
    )


def test_a_difference_from_a_reading_is_weighed_with_it(pump: Tiny) -> None:
    pump.describe(name="dial1", **DIAL).say("S@in 2.0003", "set dial1 shown 0in on S@in")
    assert question(pump, "S@ex", "-0.5001", gauge="dial1") is None
    assert question(pump, "S@ex", "0.0001", gauge="dial1") == (
        "0.0001 on dial1, set to 0in on S@in, makes 2.0004 in, 500.4 thou over nominal"
    )


def test_a_difference_that_waits_for_a_new_setting_is_not_weighed(pump: Tiny) -> None:
    pump.describe(name="dial1", **DIAL).say("S@in 2.0003", "set dial1 shown 0in on S@in")
    pump.say("strike 3")
    assert question(pump, "S@ex", "0.0001", gauge="dial1") is None


def test_a_difference_without_a_nominal_is_weighed_against_its_limits(pump: Tiny) -> None:
    pump.describe(name="dial1", **DIAL).say("set dial1 shown 0in on 1in")
    assert question(pump, "BL@1", "-0.994", gauge="dial1") is None
    assert question(pump, "BL@1", "0.006", gauge="dial1") == (
        "0.006 on dial1, set to 0in on 1in, makes 1.0060 in, far from its limits"
    )


def test_a_gauge_of_differences_that_was_never_set_is_asked_about(pump: Tiny) -> None:
    """But not where a difference is all there is to read."""
    pump.describe(name="dial1", **DIAL)
    request = Request("H.driver@a", ("0.0004",), gauge="dial1")
    with pytest.raises(DoubtedError) as asked:
        readings_to_record(pump.job, request, {}, CABINET)
    assert asked.value.as_lines() == [
        "Not recorded. 0.0004 on dial1, which was never set, makes 0.0004 in, "
        "999.6 thou under nominal.",
        "  Set it first:  bedplate gauge set dial1 0 --on SIZE",
        "  There is no terminal to ask on.",
        "  If 0.0004 is right:  bedplate measure H.driver@a 0.0004 -g dial1 --yes",
    ]
    assert question(pump, "BL@1", "0.006", gauge="dial1") is None
    with pytest.raises(DoubtedError) as asked:
        readings_to_record(pump.job, Request("BL@1", ("0.060",), gauge="dial1"), {}, CABINET)
    doubt = asked.value.doubt
    assert doubt.text == (
        "0.060 on dial1, which was never set, makes 0.0600 in, far from its limits"
    )
    assert doubt.cure == "gauge set dial1 0 --on SIZE"
    assert (doubt.instead, doubt.then) == ("0.006", "within its limits")


def test_a_spare_is_held_beside_what_was_read_on_itself(pump: Tiny) -> None:
    pump.say("H.driver@a 0.9980", "gear new mark K", "H.K@a 0.9920")
    assert question(pump, "H.K@b", "0.9921") is None
    assert question(pump, "H.K@b", "0.9980") == (
        "0.9980 is 6.0 thou over its neighbour @a (0.9920)"
    )


def test_neighbours_without_nominals_are_compared_as_they_are(pump: Tiny) -> None:
    pump.say("BL@1 6 thou")
    assert question(pump, "BL@2", "7 thou") is None
    assert question(pump, "BL@2", "12 thou") == "12 thou is 6.0 thou over its neighbour @1 (6)"


def test_a_feature_about_nought_may_lie_off_it(pump: Tiny) -> None:
    sheet = SHEET.replace('tag = "BL"', 'tag = "BL"\nnominal = "0"\nsigned = true')
    job = Tiny(sheet, CABINET)
    assert question(job, "BL@1", "0.0150") is None
    assert question(job, "BL@1", "-0.0151") == "-0.0151 is 15.1 thou under nominal"


@pytest.mark.parametrize(
    ("typed", "instead"), [("6 thou", "+6 thou"), ("0.006", "+0.006"), ("6 tenths", "+6 tenths")]
)
def test_a_figure_that_forgot_its_sign_is_guessed(pump: Tiny, typed: str, instead: str) -> None:
    with pytest.raises(DoubtedError) as asked:
        readings_to_record(pump.job, Request("H.driver@a", (typed,)), {}, CABINET)
    doubt = asked.value.doubt
    assert (doubt.guess, doubt.instead) == ("Counted from nominal?", instead)
    assert doubt.then == f"{'0.6' if 'tenths' in typed else '6.0'} thou over"
    assert doubt.text.startswith(f"{typed} is 99")


def test_without_a_nominal_the_limits_alone_say_what_is_far(pump: Tiny) -> None:
    assert question(pump, "BL@1", "6 thou") is None
    assert question(pump, "BL@1", "6") == "6 in is far from its limits"


def test_a_correction_is_not_held_beside_what_it_corrects(pump: Tiny) -> None:
    pump.say("H.driver@a 0.9890")
    request = Request("H.driver@a", ("0.9980",), repeat="again", corrects=2)
    (reading,) = readings_to_record(pump.job, request, {}, {})
    assert isinstance(reading, Reading)
    assert (reading.value, reading.kept) == ("0.9980 in", None)


def test_what_is_kept_is_the_value_last_typed_and_marked(pump: Tiny) -> None:
    request = Request("H.driver@a", ("0.9799",))
    with pytest.raises(DoubtedError) as asked:
        readings_to_record(pump.job, request, {}, {})
    answers = {asked.value.key: "0.9789"}
    with pytest.raises(DoubtedError) as again:
        readings_to_record(pump.job, request, answers, {})
    assert again.value.figure == "0.9789"
    assert again.value.answers["k"] == f"{KEEP}0.9789"
    answers[again.value.key] = again.value.answers["k"]
    (reading,) = readings_to_record(pump.job, request, answers, {})
    assert isinstance(reading, Reading)
    assert (reading.value, reading.kept) == ("0.9789 in", "0.9789 is 21.1 thou under nominal")


@pytest.mark.parametrize(
    ("gauge", "least", "variance"),
    [
        ({}, "0.0010", "0"),
        ({"resolution": "1 thou"}, "0.005", "0"),
        ({"resolution": "1 tenth", "max_error": "1 tenth"}, "0.0003", "0"),
        ({"max_error": "2 tenths"}, "0.0005", "0"),
        ({"resolution": "1 tenth", "repeatability": "0.00005 in"}, "0.0001", "0.0000000025"),
    ],
)
def test_what_a_gauge_explains(gauge: dict[str, str], least: str, variance: str) -> None:
    found = explained(gauge, Fraction(1, 10000), "in")
    assert found == (Fraction(least), Fraction(variance))
