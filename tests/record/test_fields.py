from __future__ import annotations

from calendar import isleap
from datetime import date, datetime
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from bedplate.record import fields


@cache
def adapter_of(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def accepts(kind: Any, value: object) -> bool:
    try:
        adapter_of(kind).validate_python(value, strict=True)
    except ValidationError:
        return False
    return True


@pytest.mark.parametrize(
    "text",
    [
        "2025-11-24T15:40:00+01:00",
        "2025-11-24T15:40:00Z",
        "2024-02-29T00:00:00-00:00",
        "2025-11-24T15:40:00.123456+05:45",
        "1000-01-01T00:00:00+23:59",
        "8999-12-31T23:59:59-23:59",
        "2000-02-29T12:00:00Z",
    ],
)
def test_a_moment_of_rfc_3339_with_its_offset_is_taken(text: str) -> None:
    assert accepts(fields.Moment, text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2025-11-24",
        "2025-11-24T15:40:00",
        "2025-11-24 15:40:00+01:00",
        "2025-11-24t15:40:00z",
        "2025-11-24T15:40+01:00",
        "2025-11-24T15:40:00+0100",
        "2025-11-24T15:40:00+01",
        "2025-11-24T15:40:00+24:00",
        "2025-11-24T15:40:00+01:60",
        "2025-02-29T15:40:00+01:00",
        "2025-13-01T15:40:00+01:00",
        "2025-11-24T24:00:00+01:00",
        "2025-11-24T15:40:60+01:00",
        "2025-11-24T15:40:00,5+01:00",
        "2025-11-24T15:40:00.+01:00",
        "２025-11-24T15:40:00+01:00",
        "2025-11-24T15:40:00+01:00\n",
        " 2025-11-24T15:40:00+01:00",
        "20251124T154000+0100",
        "2025-W48-1T15:40:00+01:00",
        "0999-01-01T00:00:00Z",
        "9000-01-01T00:00:00Z",
        "2100-02-29T12:00:00Z",
        "2025-00-10T12:00:00Z",
        "2025-10-00T12:00:00Z",
    ],
)
def test_anything_else_is_no_moment(text: str) -> None:
    assert not accepts(fields.Moment, text)


@given(st.dates(min_value=date(1000, 1, 1), max_value=date(8999, 12, 31)))
def test_every_day_there_is_is_taken(day: date) -> None:
    assert accepts(fields.Moment, f"{day.isoformat()}T15:40:00+01:00")


@given(st.integers(1_000, 8_999), st.integers(0, 13), st.integers(0, 32))
def test_a_day_is_taken_if_and_only_if_it_is_one(year: int, month: int, day: int) -> None:
    text = f"{year}-{month:02}-{day:02}T15:40:00+01:00"
    try:
        datetime.fromisoformat(text)
    except ValueError:
        assert not accepts(fields.Moment, text)
    else:
        assert accepts(fields.Moment, text)


def test_the_29th_of_february_is_taken_in_leap_years_alone() -> None:
    taken = {y for y in range(1_000, 9_000) if accepts(fields.Moment, f"{y}-02-29T00:00:00Z")}
    assert taken == {year for year in range(1_000, 9_000) if isleap(year)}


def test_a_text_has_1_to_4000_characters_each_of_them_whole() -> None:
    assert accepts(fields.Text, "µ" * 4_000)
    assert not accepts(fields.Text, "µ" * 4_001)
    assert not accepts(fields.Text, "")
    assert not accepts(fields.Text, "half \ud83d")
    assert not accepts(fields.Text, 5)


def test_a_number_is_a_whole_one_of_at_most_20_digits_and_no_truth_value() -> None:
    assert accepts(fields.Number, 1)
    assert accepts(fields.Number, 10**20 - 1)
    assert not accepts(fields.Number, 10**20)
    assert not accepts(fields.Number, 0)
    assert not accepts(fields.Number, True)
    assert not accepts(fields.Number, 1.0)
    assert not accepts(fields.Number, "1")
    assert accepts(fields.Count, 0)
    assert not accepts(fields.Count, -1)


def test_hashes_are_lower_case_hex_of_their_exact_length() -> None:
    assert accepts(fields.Sha256, "0123456789abcdef" * 4)
    assert not accepts(fields.Sha256, "0123456789ABCDEF" * 4)
    assert not accepts(fields.Sha256, "0" * 63)
    assert not accepts(fields.Sha256, "0" * 64 + "\n")
    assert accepts(fields.Hex32, "0" * 32)
    assert not accepts(fields.Hex32, "0" * 33)
    assert accepts(fields.Hex128, "f" * 128)
    assert not accepts(fields.Hex128, "g" * 128)


def test_a_head_is_a_count_a_colon_and_16_to_64_digits() -> None:
    assert accepts(fields.Head, "41:3f9ad1c277b0e52a")
    assert accepts(fields.Head, "41:" + "0" * 64)
    assert not accepts(fields.Head, "41:3f9ad1c277b0e52")
    assert not accepts(fields.Head, "0:3f9ad1c277b0e52a")
    assert not accepts(fields.Head, "041:3f9ad1c277b0e52a")
    assert not accepts(fields.Head, "3f9ad1c277b0e52a")


def nested(levels: int) -> dict[str, Any]:
    inner: Any = "steel"
    for _ in range(levels):
        inner = {"a": inner}
    assert isinstance(inner, dict)
    return inner


@pytest.mark.parametrize(
    "sheet",
    [
        {},
        {"title": "Pump", "count": 4, "renew": True, "axes": {"gear": ["driver", "idler"]}},
        {"a": 10**20 - 1, "b": -(10**20) + 1},
        nested(15),
    ],
)
def test_a_sheet_holds_objects_lists_texts_truth_and_whole_numbers(sheet: dict[str, Any]) -> None:
    assert accepts(fields.SheetObject, sheet)


@pytest.mark.parametrize(
    ("sheet", "fault"),
    [
        ({"a": 1.5}, "holding something that is no text, list or whole number"),
        ({"a": None}, "holding something that is no text, list or whole number"),
        ({"a": 10**20}, "with a number of more than 20 digits"),
        ({"a": ["x" * 4_001]}, "with a text of more than 4000 characters"),
        ({"x" * 4_001: "a"}, "with a text of more than 4000 characters"),
        ({"a": "\ud800"}, "with half of a character (a lone surrogate)"),
        ({"a": {5: "b"}}, "with a key that is no text"),
        (nested(16), "nested more than 16 deep"),
        ({"a": [[[[[[[[[[[[[[[]]]]]]]]]]]]]]]}, "nested more than 16 deep"),
        (nested(900), "nested more than 16 deep"),
    ],
)
def test_a_sheet_holding_anything_else_is_refused(sheet: dict[str, Any], fault: str) -> None:
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(fields.SheetObject).validate_python(sheet)
    assert caught.value.errors()[0]["msg"] == f"Value error, {fault}"
