"""The starter sheet."""

from __future__ import annotations

import tomllib

from bedplate.sheet.model import NOUNS, Limits
from bedplate.sheet.model_faults import MODELS
from bedplate.sheet.reader import read_sheet_text
from bedplate.sheet.starter import starter_toml


def test_the_starter_passes_the_check() -> None:
    sheet, faults = read_sheet_text(starter_toml().encode(), "pump.toml")
    assert faults == []
    assert sheet is not None


def test_the_starter_shows_and_explains_every_table() -> None:
    text = starter_toml()
    data = tomllib.loads(text)
    for noun in NOUNS:
        assert data[noun], noun
        plural = {"fasteners": "FASTENERS", "proof": "PROOFS"}.get(noun, f"{noun.upper()}S")
        assert f"# {plural}." in text
    assert "# AXES." in text


def test_the_starter_fits_a_screen() -> None:
    assert max(len(line) for line in starter_toml().split("\n")) <= 80


def test_the_starter_shows_most_keys() -> None:
    data = tomllib.loads(starter_toml())
    shown = {key for noun in NOUNS for row in data[noun] for key in row}
    known = {name for model in MODELS.values() for name in model.model_fields}
    assert len(shown) >= 0.6 * len(known)
    bands = {key for row in data["fit"] for key in row["band"]}
    assert bands <= {info.alias or name for name, info in Limits.model_fields.items()}
