"""A value that cannot be right, and one on a place already read: retyping is the answer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_session import Sat, Scripted, entries_in, job_in, read_at, run

from bedplate.record.entries import Reading, Strike

Sit = Callable[..., Sat]
D = ("1.0030",)
"""The reading that comes first in the small job."""


def kept_in(path: Path) -> list[tuple[str, str | None]]:
    """Return the values recorded, with what was questioned of them and kept."""
    return [(e.value or "-", e.kept) for e in entries_in(path) if isinstance(e, Reading)]


def test_a_value_that_cannot_be_right_is_not_recorded_until_it_is_answered(
    sit: Sit, small: Path
) -> None:
    seen = sit(*D, "0.9799", "0.9979", "q")
    assert seen.after("0.9799")[:5] == [
        "  @a   > 0.9799",
        "       0.9799 is 20.1 thou under nominal.",
        "       Two figures changed places?  0.9979 would be 2.1 thou under.",
        "       right value, or k to keep > 0.9979",
        "  @b   > q",
    ]
    assert kept_in(small) == [("1.0030 in", None), ("0.9979 in", None)]


def test_the_neighbour_is_shown_for_the_eye(sit: Sit, small: Path) -> None:
    seen = sit(*D, "0.9980", "0.9799", "q")
    assert seen.after("0.9799")[1] == (
        "       0.9799 is 20.1 thou under nominal; its neighbour @a was 0.9980."
    )


@pytest.mark.parametrize("word", ["k", "K", "keep"])
def test_k_keeps_and_the_mark_stays_in_the_record(sit: Sit, small: Path, word: str) -> None:
    seen = sit(*D, "0.9799", word, "q")
    assert seen.after("0.9799")[3:5] == [
        f"       right value, or k to keep > {word}",
        "       entry 3   H.driver@a  0.9799 in   gear height   kept though questioned",
    ]
    assert kept_in(small)[1] == ("0.9799 in", "0.9799 is 20.1 thou under nominal")


def test_what_is_kept_is_what_was_typed_last(sit: Sit, small: Path) -> None:
    sit(*D, "0.9799", "0.9789", "k", "q")
    assert kept_in(small)[1] == ("0.9789 in", "0.9789 is 21.1 thou under nominal")


def test_an_empty_answer_asks_the_same_again_without_repeating_the_doubt(
    sit: Sit, small: Path
) -> None:
    seen = sit(*D, "0.9799", "", "0.9979", "q")
    assert seen.after("0.9799")[3:6] == [
        "       right value, or k to keep >",
        "       right value, or k to keep > 0.9979",
        "  @b   > q",
    ]


@pytest.mark.parametrize(
    ("answer", "next_prompt"),
    [("s", "  @b   > q"), ("H.idler@a", "  @a   > q"), ("q", "")],
)
def test_any_other_answer_leaves_the_question_and_records_nothing(
    sit: Sit, small: Path, answer: str, next_prompt: str
) -> None:
    seen = sit(*D, "0.9799", answer, "q")
    assert kept_in(small) == [("1.0030 in", None)]
    assert next_prompt in seen.lines or not next_prompt


@pytest.mark.parametrize("answer", ["d", "?", "n oily", "t 24C"])
def test_looking_about_leaves_the_question_standing(sit: Sit, small: Path, answer: str) -> None:
    seen = sit(*D, "0.9799", answer, "0.9979", "q")
    assert kept_in(small)[1] == ("0.9979 in", None)
    assert seen.text.count("0.9799 is 20.1 thou under nominal.") == 2


def test_a_word_in_answer_to_a_doubt_is_told_so_and_the_doubt_shown_again(
    sit: Sit, small: Path
) -> None:
    seen = sit(*D, "0.9799", "yes", "0.9979", "q")
    assert seen.after("0.9799")[4:9] == [
        '       Not recorded. "yes" is neither a value, a key nor an address.',
        "       ?  shows the keys.",
        "       0.9799 is 20.1 thou under nominal.",
        "       Two figures changed places?  0.9979 would be 2.1 thou under.",
        "       right value, or k to keep > 0.9979",
    ]


def test_the_rest_of_an_answer_waits_for_the_question(sit: Sit, small: Path) -> None:
    sit(*D, "0.9799 0.9980 0.9981", "0.9979", "q")
    assert read_at(small) == {
        "D": ["1.0030 in"],
        "H.driver@a": ["0.9979 in"],
        "H.driver@b": ["0.9980 in"],
        "H.idler@a": ["0.9981 in"],
    }


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("0.9728", "One turn of the thimble?  0.9978 would be 2.2 thou under."),
        ("25.35", "Meant as mm?  25.35 mm would be 2.0 thou under."),
        ("9.981", "Decimal point slipped?  0.9981 would be 1.9 thou under."),
    ],
)
def test_a_slip_is_named_as_what_it_probably_is(
    sit: Sit, small: Path, typed: str, said: str
) -> None:
    assert f"       {said}" in sit(*D, typed, "q").lines


def test_without_a_nominal_the_limits_say_what_is_far(sit: Sit, small: Path) -> None:
    seen = sit("BL 6", "6 thou", "q")
    assert seen.after("BL 6")[1:4] == [
        "       6 in is far from its limits.",
        "       Meant as thou?  6 thou would be within its limits.",
        "       right value, or k to keep > 6 thou",
    ]


def test_a_station_apart_from_its_neighbours_is_asked_about(sit: Sit, small: Path) -> None:
    seen = sit(*D, "0.9980", "0.9920", "k", "q")
    assert seen.after("0.9920")[1:3] == [
        "       0.9920 is 6.0 thou under its neighbour @a (0.9980).",
        "       right value, or k to keep > k",
    ]
    assert kept_in(small)[2][1] == "0.9920 is 6.0 thou under its neighbour @a (0.9980)"


def test_a_repeat_that_scatters_is_asked_about(sit: Sit, small: Path, mic: None) -> None:
    run("measure", "D", "1.0030")
    seen = sit("s", "0.9980", "a 0.9990", "a 0.9981", "q")
    assert seen.after("a 0.9990")[1:3] == [
        "       0.9990 is 1.0 thou over the repeat before it (0.9980, entry 4), more",
        "       than mic1 explains.",
    ]
    assert read_at(small)["H.driver@a"] == ["0.9980 in", "0.9981 in"]


def test_a_gauge_that_was_never_set_can_be_set_at_the_question(sit: Sit, small: Path) -> None:
    run("gauge", "add", "dial1", "--reads", "differences", "--resolution", "1 tenth")
    seen = sit(*D, "g dial1", "s", "0.0004", "0 on 1in", "1.0003", "0.0003", "q")
    assert seen.after("0.0004")[1:6] == [
        "       0.0004 on dial1, which was never set, makes 0.0004 in, 999.6 thou under",
        "       nominal.",
        "       what it was set to, like 0 on 1.0000; right value, or k to",
        "       keep > 0 on 1in",
        "  entry 4   dial1 shows 0 in on 1in",
    ]
    assert seen.after("1.0003")[1:4] == [
        "       1.0003 on dial1, set to 0 in on 1in, makes 2.0003 in, 1000.3 thou over",
        "       nominal; its neighbour @a was 0.0004.",
        "       The size in full, not the difference?  0.0003 would be 0.3 thou over.",
    ]
    assert read_at(small)["H.driver@b"] == ["0.0003 in"]


# ---- a place already read


@pytest.mark.parametrize(
    ("word", "values"), [("i", ["1.0001 in"]), ("a", ["1.0011 in", "1.0001 in"])]
)
def test_a_value_where_something_stands_asks_repeat_or_instead(
    sit: Sit, small: Path, word: str, values: list[str]
) -> None:
    sit(*D, "1.0011", "q")
    seen = sit("H.driver@a 1.0001", word, "k", "q")
    assert seen.after("H.driver@a 1.0001")[1:3] == [
        "       H.driver@a was read before: 1.0011 in (entry 3).",
        f"       i instead of it (a slip)   a again (averaged)   s neither > {word}",
    ]
    assert read_at(small)["H.driver@a"] == values


def test_instead_strikes_what_stands_there_as_a_slip(sit: Sit, small: Path) -> None:
    sit(*D, "1.0011", "q")
    seen = sit("H.driver@a 1.0001", "i", "q")
    assert seen.after("H.driver@a 1.0001")[3:5] == [
        "       entry 4   strikes 3 (1.0011 in): slip",
        "       entry 5   H.driver@a  1.0001 in   gear height",
    ]
    (strike,) = [e for e in entries_in(small) if isinstance(e, Strike)]
    assert (strike.entry, strike.why) == (3, "slip")


@pytest.mark.parametrize("word", ["s", "q", "n"])
def test_neither_records_nothing(sit: Sit, small: Path, word: str) -> None:
    sit(*D, "1.0011", "q")
    sit("H.driver@a 1.0001", word, "q")
    assert read_at(small)["H.driver@a"] == ["1.0011 in"]


def test_another_value_in_answer_takes_the_place_of_the_first(sit: Sit, small: Path) -> None:
    sit(*D, "1.0011", "q")
    sit("H.driver@a 1.0001", "1.0002", "i", "q")
    assert read_at(small)["H.driver@a"] == ["1.0002 in"]


# ---- a decimal comma


def test_a_comma_that_only_the_nominal_can_explain_is_asked_about(sit: Sit, small: Path) -> None:
    seen = sit("1,003", "k", "q")
    assert seen.after("1,003")[1:3] == [
        '       "1,003" could be thousands; by the nominal it is 1.003.',
        "       value with a point, or k for 1.003 > k",
    ]
    assert read_at(small) == {"D": ["1.003 in"]}


def test_another_value_answers_a_comma_too(sit: Sit, small: Path) -> None:
    sit("1,003in", "1.0031", "q")
    assert read_at(small) == {"D": ["1.0031 in"]}


@pytest.mark.parametrize("typed", ["7,003", "1,003 mm", "BL 1,003"])
def test_a_comma_that_the_nominal_does_not_explain_is_not_asked_about(
    sit: Sit, small: Path, typed: str
) -> None:
    assert "could be thousands" not in sit(typed, "q").text


# ---- the bell


@pytest.mark.parametrize(("set_to", "rung"), [("yes", 1), ("no", 0)])
def test_one_bell_is_rung_on_a_question_if_the_settings_say_so(
    sit: Sit, small: Path, set_to: str, rung: int
) -> None:
    run("settings", "bell", set_to)
    sit(*D, "0.9799", "", "0.9979", "q")
    assert Scripted.bells == rung


def test_the_rules_are_asked_of_a_value_that_was_questioned_too(sit: Sit, small: Path) -> None:
    run("defer", "at the grinder", "--until", "Quay", "--holds", "gear.driver", "--why", "x")
    seen = sit("H.driver@a 0.9799", "0.9979", "q")
    assert seen.after("0.9979")[1:3] == [
        '       Refused. H.driver@a may not go on: it waits for "at the grinder" (entry',
        "       2), put off until Quay.",
    ]
    assert job_in(small).readings == {}
