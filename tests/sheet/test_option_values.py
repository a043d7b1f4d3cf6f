"""From the text of an option to the value of a key."""

from __future__ import annotations

from typing import Any

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.option_values import Given, pairs, read_option, spaced, split_names
from bedplate.sheet.options import OPTIONS, Form, Option


def read(form: Form, given: Given) -> Any:
    return read_option(Option("key", "", form), given)


def refusal(form: Form, given: Given, key: str = "key") -> list[str]:
    with pytest.raises(NotUnderstoodError) as caught:
        read_option(Option(key, "", form), given)
    return caught.value.as_lines()


def test_flags() -> None:
    assert [read("flag", text) for text in ("", "true", "YES", "false", "no")] == [
        True, True, True, False, False
    ]  # fmt: skip
    assert refusal("flag", "maybe") == [
        '--key stands alone, or with true or false; "maybe" is neither.'
    ]


def test_counts() -> None:
    assert read("count", " 12 ") == 12
    for text in ("two", "1.5", "-1", "1234567", "٣"):
        assert refusal("count", text)[1] == "  Type:  --key 4"


def test_names_come_joined_or_one_by_one() -> None:
    assert read("names", "a, b,,c") == ["a", "b", "c"]
    assert read("names", ["a", "b,c"]) == ["a", "b", "c"]
    assert split_names("") == []


def test_a_nominal_is_a_figure_or_figures_by_name() -> None:
    assert read("nominal", "1.0030") == "1.0030"
    assert read("nominal", "in=7.980, ex=7,965 mm") == {"in": "7.980", "ex": "7,965 mm"}
    assert read("nominal", "1/in=7.9") == {"1/in": "7.9"}


@pytest.mark.parametrize("text", ["=7", "in=", "in=7,=8", "7,in=3"])
def test_pairs_that_are_none_are_refused(text: str) -> None:
    assert refusal("nominal", text, "nominal") == [
        f'--nominal "{text}" does not read as names with values.',
        "  Type it like:  --nominal in=7.980,ex=7.965",
    ]


def test_a_name_twice_in_pairs_is_refused() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        pairs(Option("nominal", "", "nominal"), "in=1,in=2")
    assert str(caught.value) == '--nominal has "in" twice.'


def test_what_a_set_is_left_as() -> None:
    assert read("leaves", ["M=tight", "N=locked,O=fitted"]) == {
        "M": "tight", "N": "locked", "O": "fitted"
    }  # fmt: skip


def test_what_a_state_uses_up() -> None:
    assert read("spends", ["tight:gasket=1,tight:O-ring=2", "locked:tab washer=4"]) == {
        "tight": {"gasket": 1, "O-ring": 2},
        "locked": {"tab washer": 4},
    }
    for text in ("gasket=1", "tight:gasket", "tight:=1", "tight:gasket=x"):
        assert refusal("spends", text) == [
            f'--spends "{text}" says not what a state uses up.',
            '  Type it like:  --spends tight:gasket=1   or   --spends "locked:tab washer=4"',
        ]


@pytest.mark.parametrize(
    ("text", "adjust"),
    [
        ("D smaller", {"feature": "D", "make": "smaller"}),
        ("TW -1 2.310..2.410 step 0.050 mm",
         {"feature": "TW", "effect": "-1", "sizes": "2.310..2.410 step 0.050 mm"}),
        ("SH larger 1/2", {"feature": "SH", "make": "larger", "effect": "1/2"}),
        ("SH −1 2.65,2.70, 2.75 mm",
         {"feature": "SH", "effect": "-1", "sizes": ["2.65", "2.70", "2.75 mm"]}),
        ("SH 2.65..2.70 step 0.01 mm", {"feature": "SH", "sizes": "2.65..2.70 step 0.01 mm"}),
        ("SH", {"feature": "SH"}),
    ],
)  # fmt: skip
def test_ways_to_adjust(text: str, adjust: dict[str, Any]) -> None:
    assert read("adjust", [text]) == [adjust]


def test_other_options_are_one_text() -> None:
    assert read("text", " as it is ") == "as it is"
    assert refusal("text", ["a", "b"]) == ["--key was given 2 times; once is right."]


def test_limits_are_kept_with_a_blank_before_the_unit() -> None:
    assert [spaced(text) for text in ("2..4thou", "..4 thou", "2in..3in", "16..18lbf*ft")] == [
        "2..4 thou", "..4 thou", "2 in..3 in", "16..18 lbf*ft"
    ]  # fmt: skip


@pytest.mark.parametrize(("noun", "option"), [(n, o) for n, os in OPTIONS.items() for o in os])
def test_any_text_is_read_or_refused_in_words_of_the_option(noun: str, option: Option) -> None:
    refused = []
    for text in ("", "x", "=", ":", ",", "a=b,c", "\x00"):
        try:
            read_option(option, text)
        except NotUnderstoodError as error:
            refused.append(error.message)
    assert all(message.startswith(f"--{option.name} ") for message in refused), noun
    assert bool(refused) == (
        option.form in {"flag", "count", "nominal", "size", "leaves", "spends"}
    )
