"""``docs/sheet.md`` names every key of the build sheet, and no other; its pieces are one sheet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import pytest
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from bedplate.metrology.thermal import MATERIALS
from bedplate.sheet.model import Adjust, Limits, Sheet
from bedplate.sheet.model_faults import MODELS
from bedplate.sheet.reader import read_sheet_text

PAGE = (Path(__file__).parents[2] / "docs" / "sheet.md").read_text("utf-8")
TABLES: dict[str, type[BaseModel]] = {
    "the head of the sheet": Sheet,
    "limits": Limits,
    "adjust": Adjust,
    **MODELS,
}


def told(heading: str) -> dict[str, str]:
    """Return the keys that a section of the page tells of, each with what it says of it."""
    found = re.search(rf"^##+ {heading}\n(.*?)(?=^## |^### |\Z)", PAGE, re.M | re.S | re.I)
    assert found is not None, heading
    keys: dict[str, str] = {}
    for item in re.findall(r"^- (`.*?)(?=^- |^\n|\Z)", found[1], re.M | re.S):
        names, _, says = item.partition(":")
        for key in re.findall(r"`(\w+)`", names):
            keys[key] = " ".join(f"{names.rpartition('`')[2]}: {says}".split())
    return keys


def fields(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """Return the fields of a table by the key that is typed."""
    return {info.alias or name: info for name, info in model.model_fields.items()}


def words(annotation: Any) -> Iterator[str]:
    """Return the words that a key may take, where it takes some only."""
    if get_origin(annotation) is Literal:
        yield from get_args(annotation)
    for part in get_args(annotation):
        yield from words(part)


def example() -> str:
    """Return the sheet that the pieces of the page come to."""
    return "\n".join(re.findall(r"^```toml\n(.*?)^```", PAGE, re.M | re.S))


@pytest.mark.parametrize("heading", TABLES)
def test_the_page_names_every_key_and_no_other(heading: str) -> None:
    assert list(told(heading)) != []
    assert set(told(heading)) == set(fields(TABLES[heading]))


@pytest.mark.parametrize("heading", TABLES)
def test_the_page_says_which_keys_are_needed(heading: str) -> None:
    needed = {key for key, says in told(heading).items() if says.startswith(", needed")}
    assert needed == {key for key, info in fields(TABLES[heading]).items() if info.is_required()}


@pytest.mark.parametrize("heading", TABLES)
def test_the_page_lists_every_word_that_a_key_takes(heading: str) -> None:
    says = told(heading)
    for key, info in fields(TABLES[heading]).items():
        if key in MODELS:
            continue
        quoted = set(re.findall(r'`"?([^`"]+)"?`', says[key]))
        assert set(words(info.annotation)) <= quoted, key


def test_the_pieces_of_the_page_are_one_sheet_without_a_fault() -> None:
    sheet, faults = read_sheet_text(example().encode(), "docs/sheet.md")
    assert faults == []
    assert sheet is not None
    assert sheet.title == "Liners and pistons, Fulmar Twin"
    counted = {noun: len(sheet.rows(noun)) for noun in MODELS}
    assert counted == {
        "component": 7, "feature": 7, "size": 1, "fit": 7, "fasteners": 2, "proof": 3, "step": 5,
    }  # fmt: skip


def test_the_pieces_of_the_page_show_every_key_once_at_least() -> None:
    shown = example()
    for heading, model in TABLES.items():
        missing = [key for key in fields(model) if not re.search(rf"\b{key}( =|\])", shown)]
        assert missing == [], heading


def test_the_material_of_the_page_is_known() -> None:
    named = set(re.findall(r'^material = "(.*)"$', example(), re.M))
    assert named
    assert named <= {material.name for material in MATERIALS}
