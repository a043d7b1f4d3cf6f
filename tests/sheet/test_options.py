"""The options of `add` and `amend`: the keys of the sheet, each with one line of help."""

from __future__ import annotations

from bedplate.sheet.model import Limits
from bedplate.sheet.model_faults import MODELS
from bedplate.sheet.options import OPTIONS


def test_every_key_of_a_row_is_an_option_of_its_noun() -> None:
    parts = {info.alias or name for name, info in Limits.model_fields.items()} - {"limits"}
    for noun, model in MODELS.items():
        keys = {option.key for option in OPTIONS[noun]}
        expected = set(model.model_fields) - {"id", "tag"}
        if noun == "fit":
            expected |= parts
        if noun == "fasteners":
            expected |= {"source"}
        assert keys == expected, noun
        assert len(keys) == len(OPTIONS[noun])


def test_options_are_typed_with_hyphens() -> None:
    names = {option.name for options in OPTIONS.values() for option in options}
    assert {"part-number", "same-as", "wear-for"} <= names
    assert not any("_" in name for name in names)


def test_every_option_has_one_line_of_help() -> None:
    for options in OPTIONS.values():
        for option in options:
            assert option.help
            assert "\n" not in option.help
            assert len(option.help) <= 60


def test_flags_and_lists_are_told_apart() -> None:
    component = {option.key: option for option in OPTIONS["component"]}
    assert component["renew"].is_flag
    assert not component["name"].is_flag
    assert {o.key for o in OPTIONS["fit"] if o.is_many} == {
        "leave", "band", "source", "wear", "aim", "from", "for", "adjust"
    }  # fmt: skip
