"""The models of a sheet's tables: what they keep, what they take for what."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from bedplate.sheet.model import (
    NOUNS,
    Component,
    Fasteners,
    Feature,
    Fit,
    Limits,
    Proof,
    Sheet,
    Size,
    Step,
    name_of,
)

FORMAT = "bedplate-sheet/1"


def test_whole_numbers_are_taken_for_names_and_figures() -> None:
    fasteners = Fasteners.model_validate({"tag": 1, "order": [1, "3"], "count": 2})
    assert (fasteners.tag, fasteners.order, fasteners.count) == ("1", ("1", "3"), 2)
    assert Limits.model_validate({"limits": 3, "for": 2}).for_ == "2"


def test_keys_that_are_words_of_the_language_keep_their_names_outside() -> None:
    limits = Limits.model_validate({"limits": "0..1", "from": "nominal", "for": "ex"})
    assert limits.as_json() == {"limits": "0..1", "from": "nominal", "for": "ex"}


def test_a_sheet_goes_into_a_job_as_it_was() -> None:
    data: dict[str, Any] = {
        "format": FORMAT,
        "axes": {"a": ["1"], "x": {"1": "0"}},
        "component": [{"id": "body", "renew": False}],
        "fit": [{"tag": "F", "stack": "D", "band": [{"limits": "0..1"}]}],
    }
    sheet = Sheet.model_validate(data)
    assert sheet.as_json() == data
    assert Sheet.model_validate(sheet.as_json()) == sheet


def test_an_unknown_key_is_refused_in_every_table() -> None:
    for model in (Component, Feature, Size, Fit, Fasteners, Proof, Step, Limits, Sheet):
        with pytest.raises(ValidationError):
            model.model_validate({"nonsense": "x"})


def test_a_sheet_cannot_be_changed_in_place() -> None:
    sheet = Sheet.model_validate({"format": FORMAT})
    with pytest.raises(ValidationError):
        sheet.title = "other"  # type: ignore[misc]  # what the test is of


@pytest.mark.parametrize("name", ["a b", "a.b", "a/b", "a@b", "ä", "", "x" * 65, "a\n"])
def test_names_have_letters_digits_and_two_signs(name: str) -> None:
    with pytest.raises(ValidationError):
        Component.model_validate({"id": name})
    assert Component.model_validate({"id": "Az-9_"}).id == "Az-9_"


@pytest.mark.parametrize("given", ["yes", "true", 1, 0])
def test_yes_and_no_are_not_guessed_at(given: object) -> None:
    with pytest.raises(ValidationError):
        Component.model_validate({"id": "a", "renew": given})


@pytest.mark.parametrize("given", ["4", 4.0, True, 0, 100_001])
def test_a_count_is_a_whole_number(given: object) -> None:
    with pytest.raises(ValidationError):
        Fasteners.model_validate({"tag": "N", "count": given})


def test_a_row_is_called_by_its_name_else_by_its_tag() -> None:
    assert Component(id="body").title == "body"
    assert Component(id="body", name="Pump body").title == "Pump body"
    assert Size(id="u50", nominal={}).title == "u50"
    assert Fit(tag="EC", stack="D").title == "EC"
    assert Feature(tag="D", of="body").title == "D"
    assert Fasteners(tag="N", name="Nuts").title == "Nuts"
    assert Proof(tag="P", fit="EC").title == "EC in band"
    assert Proof(tag="P").title == "P"
    assert Step(id="s", text="Close").title == "Close"
    assert [name_of(row) for row in (Component(id="a"), Fit(tag="b", stack="D"))] == ["a", "b"]


def test_what_a_set_is_left_as_follows_from_its_lock() -> None:
    assert Fasteners(tag="N").final_state == "tight"
    assert Fasteners(tag="N", lock="wire").final_state == "locked"
    assert Fasteners(tag="N", lock="wire", final="tight").final_state == "tight"


def test_how_many_fasteners_there_are_follows_from_count_or_order() -> None:
    assert Fasteners(tag="N").number is None
    assert Fasteners(tag="N", count=4).number == 4
    assert Fasteners(tag="N", order=("a", "b")).number == 2


def test_one_or_several_read_alike() -> None:
    assert Feature(tag="D", of="body").components == ("body",)
    assert Feature(tag="D", of=("body", "gear")).components == ("body", "gear")
    limits = Limits(limits="0..1")
    assert Fit(tag="F", stack="D").bands == ()
    assert Fit(tag="F", stack="D", band=limits).bands == (limits,)
    assert Fit(tag="F", stack="D", band=(limits, limits)).bands == (limits, limits)


def test_a_sheet_is_signed_for_its_handover_unless_it_says_more() -> None:
    assert Sheet(format=FORMAT).signed_for == ("handover",)
    assert Sheet(format=FORMAT, moments=("a", "b")).signed_for == ("a", "b")


def test_rows_are_found_by_their_noun() -> None:
    sheet = Sheet(format=FORMAT, step=(Step(id="s", text="Close"),))
    assert [noun for noun in NOUNS if sheet.rows(noun)] == ["step"]
