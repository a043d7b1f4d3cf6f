"""A sheet written as TOML and read again."""

from __future__ import annotations

import string
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedplate.sheet.model import Sheet
from bedplate.sheet.reader import read_sheet_file, read_sheet_text
from bedplate.sheet.writer import sheet_as_toml

DATA = Path(__file__).parent / "data"


def read_again(sheet: Sheet) -> Sheet:
    text = sheet_as_toml(sheet)
    assert max(len(line.encode()) for line in text.split("\n")) <= 500
    again, faults = read_sheet_text(text.encode(), "x")
    assert faults == []
    assert again is not None
    return again


@pytest.mark.parametrize("path", sorted(DATA.glob("*.toml")), ids=lambda path: path.stem)
def test_a_whole_sheet_reads_back_equal(path: Path) -> None:
    sheet = read_sheet_file(path)
    assert read_again(sheet) == sheet


def test_a_sheet_is_written_in_the_order_of_the_pages() -> None:
    sheet = Sheet.model_validate(
        {
            "format": "bedplate-sheet/1",
            "unit": "in",
            "title": 'Pump "A"',
            "axes": {"gear": ["driver", "idler"], "across": {"1": "0", "2": "80"}},
            "component": [{"id": "body"}, {"id": "gear", "positions": "gear", "renew": True}],
            "feature": [{"tag": "D", "of": "body", "nominal": "1.0030"}],
            "fit": [
                {"tag": "EC", "stack": "D", "band": {"limits": "2..4 thou", "source": "p. 31"}}
            ],
        }
    )
    assert (
        sheet_as_toml(sheet)
        == """format = "bedplate-sheet/1"
title = "Pump \\"A\\""
unit = "in"

[axes]
gear = ["driver", "idler"]
across = {1 = "0", 2 = "80"}

[[component]]
id = "body"

[[component]]
id = "gear"
positions = "gear"
renew = true

[[feature]]
tag = "D"
of = "body"
nominal = "1.0030"

[[fit]]
tag = "EC"
stack = "D"
band = {limits = "2..4 thou", source = "p. 31"}
"""
    )


def test_what_is_long_goes_over_several_lines() -> None:
    names = [f"station-{n}" for n in range(60)]
    sheet = Sheet.model_validate(
        {
            "format": "bedplate-sheet/1",
            "unit": "mm",
            "source": "p. 1",
            "axes": {"long": names, "across": {name: str(n) for n, name in enumerate(names)}},
            "component": [{"id": "body", "name": "x" * 4000}],
            "feature": [
                {
                    "tag": "D",
                    "of": "body",
                    "stations": {"own": names},
                    "nominal": {name: f"{n}.000" for n, name in enumerate(names)},
                    "how": "as it   lies, " * 200,
                }
            ],
            "fit": [
                {
                    "tag": "F",
                    "stack": "D",
                    "band": [
                        {"limits": "2..4", "for": name, "source": "é" * 300} for name in names
                    ],
                },
                {"tag": "G", "stack": "D", "band": {"limits": "2..4", "source": "s" * 700}},
            ],
            "fasteners": [{"tag": "N", "spends": {"tight": dict.fromkeys(names, 1)}}],
        }
    )
    assert read_again(sheet) == sheet


TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=600
)
NAME = st.text(string.ascii_lowercase + string.digits + "-_", min_size=1, max_size=12).filter(
    lambda name: name != "all"
)
NAMES = st.lists(NAME, min_size=1, max_size=40, unique=True)


@st.composite
def sheets(draw: st.DrawFn) -> dict[str, Any]:
    """Return the data of a sound sheet with texts, lists and tables of any length."""
    rows = draw(st.lists(NAME.map("f".__add__), min_size=4, max_size=8, unique=True))
    names, axis = draw(NAMES), draw(NAME)
    features = [
        {
            "tag": tag,
            "of": rows[0],
            "stations": axis,
            "how": draw(TEXT),
            "nominal": {name: draw(st.sampled_from(["1.0", "2.50 mm"])) for name in names},
        }
        for tag in rows[1:-2]
    ]
    band = [{"limits": "0..1 mm", "for": name, "source": draw(TEXT)} for name in names]
    return {
        "format": "bedplate-sheet/1",
        "unit": "mm",
        "source": "p. 1",
        "title": draw(TEXT),
        "axes": {axis: names},
        "component": [{"id": rows[0], "name": draw(TEXT), "material": draw(TEXT)}],
        "feature": features,
        "fit": [{"tag": rows[-1], "stack": rows[1], "band": band}],
        "fasteners": [
            {"tag": rows[-2], "spends": {"tight": draw(st.dictionaries(TEXT, st.just(1)))}}
        ],
    }


@settings(max_examples=25)
@given(sheets())
def test_any_sheet_reads_back_equal(data: dict[str, Any]) -> None:
    sheet = Sheet.model_validate(data)
    assert read_again(sheet) == sheet
