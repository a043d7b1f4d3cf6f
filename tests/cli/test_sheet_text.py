"""A sheet on the screen: whoever typed it can see there everything he typed."""

from __future__ import annotations

import io
from typing import Any

import pytest
from tiny import sheet_of

from bedplate.cabinet import Settings
from bedplate.cli.screen import Screen
from bedplate.cli.sheet_text import sheet_lines
from bedplate.sheet.model import (
    Adjust,
    Component,
    Fasteners,
    Feature,
    Fit,
    Limits,
    Proof,
    Sheet,
    Size,
    Step,
    Table,
)

FULL = """
title = "Whole sheet"
revision = "R7"
unit = "mm"
source = "Invented handbook"
moments = ["handover", "first run"]
rule = "guarded"
judge = "mean"
[axes]
cyl = ["1", "2"]
side = ["port", "starboard"]
across = { a = "0", b = "80.5" }
along = { f = "0", g = "90.5" }
[[component]]
id = "block"
name = "the block"
material = "grey iron"
part_number = "PN-77"
keep = "cap"
[[component]]
id = "cap"
positions = "side"
expansion = "18.4e-6"
[[component]]
id = "gasket"
renew = true
[[feature]]
tag = "B"
of = ["block", "cap"]
name = "bore diameter"
positions = "cyl"
stations = { way = ["p", "q", "r"] }
unit = "in"
nominal = { 1 = "3.1500", 2 = "3.1600" }
how = "At mid stroke"
gauge = "bore gauge"
when = ["M"]
[[feature]]
tag = "J"
of = "block"
nominal = "2.4999"
positions = "cyl"
[[feature]]
tag = "DK"
of = "block"
stations = "across/along"
signed = true
[[size]]
id = "u50"
name = "half millimetre under"
nominal = { J = "1.9999" }
[[fit]]
tag = "OIL"
name = "oil clearance"
kind = "clearance"
stack = "B - J"
unit = "um"
judge = "loosest"
rule = "simple"
wear_for = "any"
due = "first run"
adjust = [
  { feature = "J", make = "smaller" },
  { feature = "B", sizes = "2.40..3.10 step 0.05 mm", effect = "-1" },
]
[[fit.band]]
limits = "38..51 um"
source = "p. 31"
wear = "..63 um"
aim = "44 um"
[[fit.band]]
limits = "-1..2 um"
from = "nominal"
for = "u50"
[[fit]]
tag = "ROUND"
spread = "B"
along = "way"
leave = ["q"]
[[fit]]
tag = "FLAT"
flatness = "DK"
method = "minimum zone"
[[fit]]
tag = "OTHER"
stack = "J"
same_as = "OIL"
[[fasteners]]
tag = "M"
name = "main nuts"
positions = "cyl"
count = 6
stages = [{ limits = "16..18 N*m", source = "p. 34" }]
threads = "oiled"
lock = "tab washer"
holds = ["cap"]
prove = ["SPIN"]
spends = { fitted = { washer = 6 }, locked = { "tab washer" = 3 } }
final = "tight"
caution = "Heavy cap"
[[fasteners]]
tag = "N"
order = ["n1", "n3", "n2"]
[[proof]]
tag = "SPIN"
text = "Turns freely"
positions = "side"
when = ["M"]
fit = "OIL"
hand = "another"
times = 3
due = "first run"
[[step]]
id = "close"
text = "Close it up"
positions = "side"
after = ["strip1"]
leaves = { M = "tight" }
hold = ["SPIN"]
wait = "12 h"
due = "first run"
caution = "Crushed fingers"
[[step]]
id = "strip1"
text = "Take it apart"
phase = "strip"
"""
"""A sheet in which every key stands."""

UNSAID = {("Sheet", "format")}
"""What no reader of a sheet types anything into."""

MODELS: tuple[type[Table], ...] = (
    Sheet, Component, Feature, Size, Fit, Adjust, Limits, Fasteners, Proof, Step,
)  # fmt: skip
FIELDS = [
    (model.__name__, name)
    for model in MODELS
    for name in model.model_fields
    if (model.__name__, name) not in UNSAID
]


def shown(sheet: Sheet, *, plain: bool = False) -> str:
    settings = Settings(screen="plain" if plain else "full")
    screen = Screen.made(io.StringIO(), None, settings, {})
    return "\n".join(sheet_lines(sheet, screen))


def tables_of(data: Any, model: Any) -> list[tuple[type[Table], dict[str, Any]]]:
    """Return every table inside a sheet as JSON data, with the model it is of."""
    found = [(type(model), data)]
    for name, info in type(model).model_fields.items():
        value, key = getattr(model, name), info.alias or name
        inner = value if isinstance(value, tuple) else (value,)
        below = data.get(key) if isinstance(data.get(key), list) else [data.get(key)]
        for one, there in zip(inner, below or [], strict=False):
            if isinstance(one, Table):
                found += tables_of(there, one)
    return found


def words_of(value: Any) -> list[str]:
    """Return the words in which a value stands on the screen."""
    if isinstance(value, bool):
        return []
    if isinstance(value, dict):
        return [word for key, each in value.items() for word in (key, *words_of(each))]
    if isinstance(value, list):
        return [word for each in value for word in words_of(each)]
    return str(value).split("/")


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize(("model", "field"), FIELDS)
def test_every_key_that_is_set_is_shown(model: str, field: str, *, plain: bool) -> None:
    sheet = sheet_of(FULL)
    data = sheet.as_json()
    known = next(kind for kind in MODELS if kind.__name__ == model).model_fields[field]
    key = known.alias or field
    of = [table for kind, table in tables_of(data, sheet) if kind.__name__ == model]
    holders = [table for table in of if key in table]
    assert holders, f"no {model} of the sheet sets {key}"
    whole = shown(sheet, plain=plain)
    value = holders[0][key]
    if not (isinstance(value, list) and value and isinstance(value[0], dict)):
        assert all(word.casefold() in whole.casefold() for word in words_of(value))
    if model == "Sheet" and key in {"component", "feature", "size", "fit", "fasteners"}:
        return
    if known.is_required() or key in {"axes", "stack", "spread", "along", "flatness"}:
        return
    del holders[0][key]
    assert shown(Sheet.model_validate(data), plain=plain) != whole


def test_the_fits_of_a_sheet_read_like_this() -> None:
    lines = shown(sheet_of(FULL)).splitlines()
    start = lines.index("Fits") + 1
    assert lines[start : start + 4] == [
        "OIL    oil clearance  clearance; B - J; unit um; "
        "38..51 um, worn ..63 um, aim 44 um (p. 31); -1..2 um from nominal for u50; "
        "judged: loosest; rule: simple; wear limits hold for any part; "
        "brought in by J made smaller; "
        "brought in by B in sizes 2.40..3.10 step 0.05 mm, effect -1; due first run",
        "ROUND                 spread of B along way without q; no limits",
        "FLAT                  flatness of DK by minimum zone; no limits",
        "OTHER                 J; another way to OIL",
    ]
