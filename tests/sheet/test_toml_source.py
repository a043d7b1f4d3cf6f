"""From a sheet's text to its data: slips mended, lines known."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from bedplate.sheet.statements import split
from bedplate.sheet.toml_source import MOST_FAULTS, read_toml

DATA = Path(__file__).parent / "data"


def slips(text: str) -> list[tuple[int | None, str]]:
    return [(fault.line, fault.text) for fault in read_toml(text).faults]


@pytest.mark.parametrize("name", sorted(path.name for path in DATA.glob("*.toml")))
def test_a_sound_sheet_is_read_as_the_standard_reader_does(name: str) -> None:
    text = (DATA / name).read_text("utf-8")
    source = read_toml(text)
    assert source.faults == []
    assert source.data == tomllib.loads(text, parse_float=str)


def test_every_key_of_a_sheet_has_its_line() -> None:
    text = (DATA / "cylinders.toml").read_text("utf-8")
    lines = text.split("\n")
    index = read_toml(text).index
    assert lines[index.line(("fit", 0, "band", 1, "limits")) or 0 - 1].startswith("  {")
    assert '"os100"' in index.shown(("fit", 0, "band", 1, "for"))
    assert index.shown(("axes", "ring")) == 'ring  = ["compression", "scraper", "oil"]'
    assert index.shown(("size", 1, "nominal", "B")) == 'nominal = { B = "81.000", PD = "80.940" }'
    assert index.shown(("fit", 2, "band", 0, "limits")) == 'band = { limits = "..0.015 mm" }'
    assert index.shown(("step", 3)) == "[[step]]"
    assert index.line(("proof", 0, "nothing")) == index.line(("proof", 0))
    assert index.line(("nothing",)) is None
    assert index.shown(("nothing",)) == ""


def test_keys_of_a_table_below_a_row_have_their_lines() -> None:
    index = read_toml('[[fit]]\ntag = "A"\n[fit.band]\nlimits = "2..3"\n[[fit]]\na.b = 1').index
    assert index.line(("fit", 0, "band", "limits")) == 4
    assert index.line(("fit", 0, "band", 0, "limits")) == 4
    assert index.line(("fit", 1, "a", "b")) == 6


def test_slips_in_several_lines_are_said_at_once() -> None:
    assert slips('a = .75\nb = "x"\nc = tab washer\n[[fit]]\ntag = "A”') == [
        (1, 'A figure written so needs straight quotes:  a = ".75"'),
        (3, 'A text needs straight quotes:  c = "tab washer"'),
        (5, "These are printer's quotes. Use the plain \" from the keyboard."),
    ]


def test_what_can_be_mended_is_read_as_meant() -> None:
    source = read_toml('id = "a"; name = “b”\n[component]\nid = "c"\n[component]\nid = "d"')
    assert source.data == {"id": "a", "name": "b", "component": [{"id": "c"}, {"id": "d"}]}
    assert source.lost == ""


def test_what_cannot_be_mended_is_remembered_as_lost() -> None:
    source = read_toml('a = 1\nof = ["body, "gear"]\nb = 2')
    assert source.data == {"a": 1, "b": 2}
    assert source.lost == 'of = ["body, "gear"]'


def test_single_brackets_twice_are_said_for_each() -> None:
    text = "There may be several of them, so it takes double brackets:  [[component]]"
    assert slips("[component]\na = 1\n[component]\na = 2") == [(1, text), (3, text)]


def test_a_table_written_in_two_ways_is_said_once() -> None:
    assert slips(
        'component = [{ id = "a" }]\n[[component]]\nid = "b"\n[[component]]\nid = "c"'
    ) == [
        (
            2,
            "component is written in two ways: as a list in line 1, and with\n"
            "[[component]] here. Keep to one of them.",
        )
    ]


def test_a_key_twice_in_a_row_hints_at_the_missing_header() -> None:
    assert slips('[[feature]]\ntag = "D"\nof = "body"\ntag = "H"\nof = "gear"') == [
        (
            4,
            '"tag" stands twice here, first in line 2.\n'
            "Another feature begins with  [[feature]]  on a line of its own.",
        ),
        (5, '"of" stands twice here, first in line 3.'),
    ]


def test_axes_twice_are_put_together() -> None:
    source = read_toml('[axes]\na = ["1"]\n[[fit]]\ntag = "A"\n[axes]\nb = ["2"]')
    assert [(fault.line, fault.text) for fault in source.faults] == [
        (5, "[axes] stands here a second time (first in line 1). Put its keys together.")
    ]
    assert source.data == {"axes": {"a": ["1"], "b": ["2"]}, "fit": [{"tag": "A"}]}


def test_a_key_that_is_a_value_and_a_table_is_a_slip() -> None:
    assert slips("a = 1\na.b = 2") == [(2, '"a" stands twice here, first in line 1.')]


def test_what_no_single_statement_shows_has_its_line_all_the_same() -> None:
    assert slips("a = { b = 1 }\na.c = 2") == [
        (
            2,
            'This line is not understood. A line reads  key = "value"  or  [[feature]]  or '
            "begins with # as a remark.",
        )
    ]


def test_brackets_far_too_deep_are_a_slip() -> None:
    found = slips("a = [\n" * 3 + "[\n" * 5000)
    assert len(found) >= 1
    assert found[0][0] == 1


def test_so_many_slips_are_said_and_no_more() -> None:
    source = read_toml("".join(f"a{n} = .5\n" for n in range(500)))
    assert source.data is None
    assert len(source.faults) == MOST_FAULTS


def test_cutting_and_reading_take_time_in_proportion() -> None:
    hostile = ['a = """\\"""', "a = {", "a = [", "'''", '"', "[[", "[[component]"]
    for line in hostile:
        assert len(list(split([line] * 20_000))) <= 20_000
        read_toml("\n".join([line] * 2_000))
