"""The form for a pencil agrees with the sheet it is made from."""

from __future__ import annotations

from summaries import PLANE, PUMP
from tiny import sheet_of

from bedplate.report.document import Document, Item, Items, Table, filled
from bedplate.report.form import form, form_html

BLOCK = """
unit = "mm"
source = "Invented handbook"
[axes]
pin = ["1", "2"]
depth = ["front", "mid", "rear"]
way = ["v", "h", "d"]
[[component]]
id = "crank"
[[component]]
id = "shell"
renew = true
[[feature]]
tag = "PJ"
of = "crank"
positions = "pin"
stations = "depth/way"
nominal = { "1" = "47.990", "2" = "47.980" }
how = "Shaft at rest"
[[feature]]
tag = "SH"
of = "shell"
when = ["R"]
[[fit]]
tag = "OOR"
spread = "PJ"
along = "way"
band = [{ limits = "..0.010 mm", for = "1" }, { limits = "..0.012 mm", for = "2" }]
[[fasteners]]
tag = "R"
positions = "pin"
order = ["a", "b"]
stages = [{ limits = "30 N*m" }, { limits = "60..65 degree" }]
"""


def tables(document: Document, key: str) -> list[Table]:
    blocks = next(section.blocks for section in document.sections if section.key == key)
    return [block for block in blocks if isinstance(block, Table)]


def rows(document: Document, key: str, number: int = 0) -> list[tuple[str, ...]]:
    table = tables(document, key)[number]
    width = sum(column.kind != "blank" for column in table.columns)
    return [row.cells[:width] for row in table.rows]


def blanks(document: Document, key: str, number: int = 0) -> list[str]:
    columns = tables(document, key)[number].columns
    return [column.title for column in columns if column.kind == "blank"]


def test_readings_stand_in_the_order_of_the_sheet_with_a_cell_for_each() -> None:
    document = form(sheet_of(PUMP))
    assert [table.caption for table in tables(document, "readings")] == [
        "D pocket depth, nominal 1.0030 in",
        "H gear height, nominal 1.0000 in",
        "RP, unit psi",
    ]
    assert rows(document, "readings", 1) == [
        ("H.driver", "as found"),
        ("H.driver", "as left"),
        ("H.idler", "as found"),
        ("H.idler", "as left"),
    ]
    assert blanks(document, "readings", 1) == ["@a", "@b"]
    assert blanks(document, "readings") == ["reading"]


def test_many_stations_have_a_line_each() -> None:
    document = form(sheet_of(BLOCK))
    assert tables(document, "readings")[0].caption == (
        "PJ, nominal 1 47.990, 2 47.980 mm, Shaft at rest"
    )
    assert rows(document, "readings")[:2] == [("PJ.1@front/v",), ("PJ.1@front/h",)]
    assert len(rows(document, "readings")) == 18
    assert blanks(document, "readings") == ["as found", "as left"]


def test_what_is_always_new_owes_no_reading_as_found() -> None:
    document = form(sheet_of(BLOCK))
    assert tables(document, "readings")[1].caption == "SH, unit mm, with R tight"
    assert rows(document, "readings", 1) == [("SH", "as left")]


def test_limits_are_as_entered_with_their_source() -> None:
    assert rows(form(sheet_of(PUMP)), "fits") == [
        (
            "EC", "end clearance: D - H",
            "2 to 4 thou, worn ..6 thou, aim 3 thou (Handbook p. 31)",
        ),
        (
            "RUN", "gear height along the teeth: spread of H along tooth",
            "..0.0004 in (Handbook p. 32)",
        ),
        ("RELIEF", "relief setting: RP", "28 to 32 psi (Handbook p. 33)"),
    ]  # fmt: skip
    assert rows(form(sheet_of(BLOCK)), "fits") == [
        ("OOR", "spread of PJ along way", "1: ..0.010 mm; 2: ..0.012 mm")
    ]
    assert rows(form(sheet_of(PLANE)), "fits") == [("FACE", "flatness of DK", "..0.05 mm (p. 21)")]


def test_sets_stand_at_every_place_with_their_stages_and_order() -> None:
    assert rows(form(sheet_of(BLOCK)), "fasteners") == [
        ("R.1", "2 R, in the order a b", "stage 1: 30 N m; stage 2: 60 to 65 degree", ""),
        ("R.2", "2 R, in the order a b", "stage 1: 30 N m; stage 2: 60 to 65 degree", ""),
    ]


def test_parts_proofs_steps_and_cautions_are_there() -> None:
    document = form(sheet_of(PUMP))
    assert rows(document, "parts") == [
        ("body", "pump body"),
        ("gear.driver", "pump gear"),
        ("gear.idler", "pump gear"),
        ("gasket", "(always new)"),
    ]
    assert rows(document, "proofs") == [("SPIN", "Turns freely by hand")]
    assert rows(document, "build") == [
        ("warm", "Set the relief warm (for first run)", "Hot oil under pressure.")
    ]
    (cautions,) = next(s.blocks for s in document.sections if s.key == "cautions")
    assert cautions == Items((Item("The cover is spring loaded.", "cover nuts"),))


def test_open_cells_are_kept_though_nothing_stands_in_them() -> None:
    table = tables(form(sheet_of(PUMP)), "gauges")[0]
    columns, kept = filled(table.columns, table.rows)
    assert [column.title for column in columns] == ["gauge", "set on", "shows", "when", "by"]
    assert len(kept) == 6


def test_a_form_says_in_which_unit_bare_figures_are() -> None:
    assert form(sheet_of(PUMP)).by == (
        "unit of bare figures: in, revision A, limits from Invented handbook"
    )
    assert "Form to fill in" in form_html(sheet_of(PUMP))
