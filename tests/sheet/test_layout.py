"""Names resolved: axes, places, addresses."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Spot
from bedplate.sheet.layout import Layout, Place, joined
from bedplate.sheet.model import Component, Feature, Fit, Sheet
from bedplate.sheet.reader import read_sheet_file

DATA = Path(__file__).parent / "data"
PUMP = Layout(read_sheet_file(DATA / "fuel-transfer-pump.toml"))
BOTTOM = Layout(read_sheet_file(DATA / "bottom-end.toml"))
HEAD = Layout(read_sheet_file(DATA / "head.toml"))


def refusal(layout: Layout, text: str, *nouns: str) -> list[str]:
    with pytest.raises(NotUnderstoodError) as caught:
        layout.select(text, *nouns)
    return caught.value.as_lines()


# ---- axes ---------------------------------------------------------------------------------


def test_a_feature_takes_the_positions_of_its_component() -> None:
    assert [axis.name for axis in HEAD.named("S").positions] == ["cyl", "port"]
    assert [axis.name for axis in HEAD.named("S").stations] == ["depth", "way"]


def test_a_feature_of_several_components_has_the_union_of_their_axes() -> None:
    assert [axis.name for axis in BOTTOM.named("MB").positions] == ["main"]
    assert [axis.name for axis in BOTTOM.named("PB").positions] == ["throw"]


def test_positions_said_to_be_none_are_none() -> None:
    assert BOTTOM.named("EF").positions == ()
    assert PUMP.named("BL").positions == ()


def test_an_axis_in_place_belongs_to_what_it_stands_in() -> None:
    assert PUMP.named("B").stations == (Axis("way", ("suction", "across")),)


def test_coordinates_are_in_the_unit_of_the_sheet() -> None:
    sheet = Sheet.model_validate(
        {"format": "bedplate-sheet/1", "unit": "mm", "axes": {"x": {"1": "0", "2": "1 in"}}}
    )
    assert Layout(sheet).axis("X").coordinates == (Fraction(0), Fraction("25.4"))


def test_a_coordinate_has_one_end() -> None:
    sheet = Sheet.model_validate(
        {"format": "bedplate-sheet/1", "unit": "mm", "axes": {"x": {"1": "0..1"}}}
    )
    with pytest.raises(NotUnderstoodError) as caught:
        Layout(sheet)
    assert str(caught.value) == 'A coordinate is one figure, not "0..1 mm".'


def test_an_unknown_axis_is_refused_with_the_nearest() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        PUMP.axis("geer")
    assert caught.value.as_lines() == ['There is no axis "geer".', "  Nearest: gear"]


# ---- names --------------------------------------------------------------------------------


def test_names_match_without_case() -> None:
    assert PUMP.named("ec").name == "EC"
    assert PUMP.row("h", Feature).tag == "H"
    assert PUMP.find("H", "component") is None
    assert PUMP.find("nothing") is None


def test_names_are_listed_by_noun() -> None:
    assert PUMP.names("component") == ["body", "cover", "gear", "gasket"]
    assert PUMP.names("proof", "step") == ["SPIN", "gears-in", "close", "lock"]
    assert len(PUMP.names()) == 19


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        PUMP.named("geer", "component")
    assert caught.value.as_lines() == ['There is no component "geer".', "  Nearest: gear"]


def test_rows_are_taken_in_one_by_one() -> None:
    layout = Layout(Sheet(format="bedplate-sheet/1", unit="mm"))
    layout.admit_axis("gear", ("driver", "idler"))
    layout.admit("component", Component(id="gear", positions="gear"))
    layout.admit("feature", Feature(tag="H", of="gear"))
    assert [str(place) for place in layout.places_of("gear")] == ["gear.driver", "gear.idler"]
    with pytest.raises(NotUnderstoodError):
        layout.admit("feature", Feature(tag="D", of="body"))


def test_the_unit_of_a_feature_is_its_own_else_the_sheets() -> None:
    assert PUMP.unit_of(PUMP.row("RP", Feature)) == "psi"
    assert PUMP.unit_of(PUMP.row("D", Feature)) == "in"


def test_a_fit_runs_along_no_axes_of_its_own() -> None:
    assert PUMP.named("EC").positions == ()
    assert PUMP.row("EC", Fit).stack == "D - H"


def test_every_feature_has_its_shape() -> None:
    assert list(PUMP.shapes) == ["D", "H", "B", "O", "BL", "RP"]
    assert PUMP.shapes["D"].axes == (PUMP.axis("gear"), PUMP.axis("round"))


# ---- places -------------------------------------------------------------------------------


def test_places_run_with_the_last_axis_fastest() -> None:
    assert [str(place) for place in HEAD.places_of("valve")[:3]] == [
        "valve.1/in", "valve.1/ex", "valve.2/in"
    ]  # fmt: skip
    assert [str(place) for place in PUMP.all_places()] == [
        "body", "cover", "gear.driver", "gear.idler", "gasket"
    ]  # fmt: skip


def test_a_feature_rests_on_every_place_that_agrees() -> None:
    assert BOTTOM.rests_on("MB", ("3",)) == (
        Place("block"), Place("cap", ("3",)), Place("mshell", ("3",))
    )  # fmt: skip
    assert len(BOTTOM.rests_on("EF", ())) == 4
    assert HEAD.rests_on("LK", ("2",)) == (
        Place("valve", ("2", "in")), Place("valve", ("2", "ex")),
        Place("seat", ("2", "in")), Place("seat", ("2", "ex")),
    )  # fmt: skip


def test_what_tells_features_of_one_part_apart_is_told_from_what_tells_parts() -> None:
    assert BOTTOM.apart("MB", "block", ("3",)) == ("3",)
    assert BOTTOM.apart("MB", "cap", ("3",)) == ()


# ---- addresses ----------------------------------------------------------------------------


def test_an_address_names_one_spot() -> None:
    selection = PUMP.select("h.IDLER@B")
    assert selection.spots == [Spot("H", ("idler",), ("b",))]
    assert joined("S", ("2", "ex"), ("mid", "rock")) == "S.2/ex@mid/rock"


def test_what_is_left_out_of_an_address_is_meant_whole() -> None:
    assert [str(spot) for spot in PUMP.select("O").spots] == [
        "O.driver@1", "O.driver@2", "O.idler@1", "O.idler@2"
    ]  # fmt: skip


def test_all_stands_for_one_axis() -> None:
    assert [str(spot) for spot in HEAD.select("VL.all/ex").spots] == [
        "VL.1/ex", "VL.2/ex", "VL.3/ex", "VL.4/ex"
    ]  # fmt: skip


def test_an_axis_of_one_name_need_not_be_named() -> None:
    layout = Layout(read_sheet_file(DATA / "cylinders.toml"))
    assert layout.select("PD.1").station == ("thrust",)


def test_sets_and_proofs_are_addressed_alike() -> None:
    assert BOTTOM.select("M.3", "fasteners").positions == [("3",)]
    assert BOTTOM.select("turn", "proof").positions == [("1",), ("2",), ("3",), ("4",), ("5",)]


def test_a_mark_stands_for_a_part_without_a_place() -> None:
    selection = PUMP.select("H.c@a", marks=["C"])
    assert selection.spots == [Spot("H", ("C",), ("a",))]
    assert selection.mark == "C"


def test_an_address_that_is_none_is_refused() -> None:
    assert refusal(PUMP, "H.") == [
        '"H." is no whole address.',
        "  An address reads like  H.idler@b",
    ]
    assert refusal(PUMP, "H@")[0] == '"H@" is no whole address.'
    assert refusal(PUMP, ".idler")[0] == '".idler" is no whole address.'
    assert refusal(PUMP, "X") == [
        'There is no name "X".',
        "  There are: body, cover, gear, gasket, D, H, B, O and 11 more",
    ]
    assert refusal(PUMP, "H.idle@a") == ['H has no position "idle".', "  Nearest: idler"]
    assert refusal(PUMP, "H.idler@d") == ['H has no station "d".', "  There are: a, b, c"]
    assert refusal(PUMP, "BL.driver") == [
        'BL has no positions, so "driver" names none.',
        "  Its address is  BL",
    ]
    assert refusal(HEAD, "S.1@top/rock") == [
        'S (valve stem) has 2 position axes (cyl/port), and "1" names 1.',
        "  They read  cyl: 1, 2, 3, 4  port: in, ex",
    ]
