"""What each key of a sheet wants, said for every key there is."""

from __future__ import annotations

import tomllib

import pytest

from bedplate.sheet.expected import expected, missing, other_home
from bedplate.sheet.model import Adjust, Limits, Sheet
from bedplate.sheet.model_faults import MODELS

KEYS = sorted(
    {
        info.alias or name
        for model in (*MODELS.values(), Limits, Adjust, Sheet)
        for name, info in model.model_fields.items()
    }
)


@pytest.mark.parametrize("key", KEYS)
def test_every_key_is_told_with_an_example(key: str) -> None:
    text = expected(key)
    assert key in text or key.capitalize() in text
    assert " = " in text


@pytest.mark.parametrize(
    ("noun", "key"),
    [
        (noun, info.alias or name)
        for noun, model in MODELS.items()
        for name, info in model.model_fields.items()
        if info.is_required()
    ],
)
def test_the_cure_of_a_missing_key_is_toml(noun: str, key: str) -> None:
    cure = missing(noun, key).partition(":  ")[2]
    assert list(tomllib.loads(cure)) == [key]


def test_the_innermost_key_that_is_known_counts() -> None:
    assert expected("in", "nominal", "feature") == expected("nominal")
    assert expected("in") == 'in is a text in straight quotes:  in = "..."'
    assert expected() == 'This is a text in straight quotes:  This = "..."'


def test_what_is_missing_is_said_with_its_article() -> None:
    assert missing("component", "id") == 'A component needs its id:  id = "body"'
    assert missing("fasteners", "tag") == 'A set of fasteners needs its tag:  tag = "N"'
    assert missing("adjust", "feature") == 'An adjust needs its feature:  feature = "D"'


def test_keys_in_the_wrong_place_are_told_the_right_one() -> None:
    assert other_home("min").startswith("Both limits stand in one text:")
    assert other_home("aim", ["band"]).startswith('"aim" belongs inside the band:')
    assert other_home("aim", ["name"]) == ""
    assert other_home("title").startswith('"title" belongs at the top of the sheet')
    assert other_home("colour") == ""
