"""What a check works in."""

from __future__ import annotations

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.faults import MOST_FAULTS, EnoughError
from bedplate.sheet.model import Component, Feature, Sheet, Size
from bedplate.sheet.scope import Gaps, Scope, a, dimension_of, instead, told

SHEET = Sheet(
    format="bedplate-sheet/1",
    component=(Component(id="body", name="pump body"), Component(id="Gear")),
    feature=(Feature(tag="D", of="body", name="bore depth"),),
    size=(
        Size(id="u25", nominal={"D": "1", "E": "2"}),
        Size(id="u50", nominal={"e": "2"}),
        Size(id="g1", nominal={"G": "2"}),
    ),
)


def scope(gaps: Gaps | None = None) -> Scope:
    return Scope(SHEET, None, gaps or Gaps())


def test_a_fault_without_a_file_says_its_row_and_key() -> None:
    found = scope()
    found.fault(("component", 1, "keep"), "Wrong.")
    found.fault(("unit",), "Wrong.")
    assert [(fault.line, fault.key, fault.shown) for fault in found.faults] == [
        (None, "component.keep", "component Gear, keep"),
        (None, "unit", ""),
    ]


def test_so_many_faults_are_enough() -> None:
    found = scope()
    for _ in range(MOST_FAULTS - 1):
        found.fault(("unit",), "Wrong.")
    with pytest.raises(EnoughError):
        found.fault(("unit",), "Wrong.")
    assert len(found.faults) == MOST_FAULTS


def test_names_are_found_without_case() -> None:
    entry = scope().refer(("x",), "gear", "component")
    assert entry is not None
    assert entry.label == "Gear"


def test_an_unknown_name_is_a_fault_with_what_it_could_be() -> None:
    found = scope()
    assert found.refer(("x",), "bdy", "component") is None
    assert found.refer(("x",), "D", "component", "step") is None
    assert [fault.text for fault in found.faults] == [
        'No component "bdy". Nearest: body (pump body)',
        "D is a feature; here belongs a component or step. Components and steps: "
        "body (pump body), Gear",
    ]


def test_a_name_that_a_faulty_line_hides_is_no_fault() -> None:
    found = scope(Gaps(lost='id = "Lid" "x"'))
    assert found.refer(("x",), "lid", "component") is None
    assert found.faults == []
    assert found.is_hidden("D - LID")
    assert not found.is_hidden("D - H")


def test_a_key_of_a_faulty_line_is_not_missed() -> None:
    assert scope().lacks("unit")
    assert not scope(Gaps(lost='  unit = "mm" mm')).lacks("unit")


def test_damaged_rows_are_vague() -> None:
    found = scope(Gaps(damaged=frozenset({"d"})))
    assert found.is_vague("D")
    assert found.is_hidden("2*D")


def test_sizes_that_change_one_feature_exclude_each_other() -> None:
    found = scope()
    assert [found.size_group(size) for size in SHEET.size] == ["u25", "u25", "g1"]
    assert found.size_group(Size(id="none", nominal={})) == "none"


def test_what_is_not_understood_becomes_a_fault() -> None:
    def fail() -> str:
        raise NotUnderstoodError("There is no X.", "Nearest: D", "Type:  D")

    found = scope()
    assert found.attempt(("x",), lambda: "read") == "read"
    assert found.attempt(("x",), fail) is None
    assert found.faults[0].text == "There is no X. Nearest: D\nType:  D"


def test_the_nearest_feature_is_named_with_its_title() -> None:
    def fail() -> str:
        raise NotUnderstoodError("No feature DD.", "Nearest: D")

    found = scope()
    found.attempt(("x",), fail)
    assert found.faults[0].text == "No feature DD. Nearest: D (bore depth)"


def test_help_after_an_unknown_name() -> None:
    labels = {"body": "body (pump body)", "gear": "gear"}
    assert instead("bodi", labels, "components") == "Nearest: body (pump body)"
    assert instead("x", labels, "components") == "Components: body (pump body), gear"
    assert instead("x", {}, "fits") == "This sheet has no fits."


def test_words_and_units() -> None:
    assert (a("axis"), a("fit")) == ("an axis", "a fit")
    assert (dimension_of("thou"), dimension_of("x"), dimension_of(None)) == ("length", None, None)
    assert told(NotUnderstoodError("No.", "Type:  x")) == "No.\nType:  x"
