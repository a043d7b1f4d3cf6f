"""What a fit is: its features, its axes, its unit."""

from __future__ import annotations

from pathlib import Path

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.layout import Layout
from bedplate.sheet.model import Fit
from bedplate.sheet.quantity import Quantity, dimension_agrees, quantity_of, shape_of, swept_axis
from bedplate.sheet.reader import read_sheet_file

DATA = Path(__file__).parent / "data"
LAYOUTS = {path.stem: Layout(read_sheet_file(path)) for path in DATA.glob("*.toml")}


def quantity(sheet: str, tag: str) -> Quantity:
    return quantity_of(LAYOUTS[sheet], LAYOUTS[sheet].row(tag, Fit))


def axes(of: Quantity) -> tuple[list[str], list[str]]:
    return [axis.name for axis in of.positions], [axis.name for axis in of.stations]


def test_a_stack_is_judged_along_positions_and_swept_along_stations() -> None:
    found = quantity("bottom-end", "MC")
    assert found.tags == ("MB", "MJ")
    assert axes(found) == (["main"], ["depth", "round"])
    assert found.held == {"crown"}
    assert found.unit == "mm"


def test_a_spread_takes_its_axis_away() -> None:
    assert axes(quantity("bottom-end", "MTAP")) == (["main"], ["round"])
    assert axes(quantity("cylinders", "WT")) == ([], [])


def test_a_plane_has_positions_only() -> None:
    found = quantity("head", "FACE")
    assert (found.tags, axes(found)) == (("HD",), ([], []))


def test_a_fit_has_the_unit_of_its_features_where_they_agree() -> None:
    assert quantity("head", "SLF").unit == "N"
    assert quantity("fuel-transfer-pump", "RELIEF").unit == "psi"
    assert quantity("cylinders", "WT").unit == "g"


def test_a_unit_of_the_fit_comes_first() -> None:
    layout = LAYOUTS["fuel-transfer-pump"]
    fit = Fit(tag="X", stack="D - H", unit="thou")
    assert quantity_of(layout, fit).unit == "thou"


def test_a_shape_is_found_without_case() -> None:
    layout = LAYOUTS["fuel-transfer-pump"]
    assert shape_of(layout, " bl ").tag == "BL"
    with pytest.raises(NotUnderstoodError) as caught:
        shape_of(layout, "BLL")
    assert caught.value.as_lines() == ['No feature "BLL".', "  Nearest: BL"]


def test_the_axis_of_a_spread_is_found_without_case() -> None:
    layout = LAYOUTS["bottom-end"]
    fit = Fit(tag="X", spread="MJ", along="Round")
    assert swept_axis(shape_of(layout, "MJ"), fit).name == "round"


def test_units_agree_in_what_they_measure() -> None:
    assert dimension_agrees("thou", "mm")
    assert not dimension_agrees("thou", "psi")
