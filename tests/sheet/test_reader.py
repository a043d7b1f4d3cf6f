"""Reading a sheet from a file's bytes and from a job: a sheet or faults, never anything else."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.sheet.reader import (
    MOST_BYTES,
    faults_as_lines,
    read_sheet_file,
    read_sheet_text,
    sheet_from_json,
)

DATA = Path(__file__).parent / "data"
SHEETS = sorted(DATA.glob("*.toml"))


def printed(data: bytes | str) -> list[str]:
    raw = data.encode() if isinstance(data, str) else data
    sheet, faults = read_sheet_text(raw, "pump.toml")
    assert (sheet is None) == bool(faults)
    return faults_as_lines("pump.toml", faults) if faults else []


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_a_whole_sheet_passes(path: Path) -> None:
    sheet = read_sheet_file(path)
    assert sheet.title
    assert sheet_from_json(json.loads(json.dumps(sheet.as_json()))) == sheet


def test_figures_keep_the_digits_typed() -> None:
    sheet, _ = read_sheet_text(
        b'format = "bedplate-sheet/1"\nunit = "in"\n[[component]]\nid = "body"\n'
        b'[[feature]]\ntag = "D"\nof = "body"\nnominal = 1.0030\n',
        "x",
    )
    assert sheet is not None
    assert sheet.feature[0].nominal == "1.0030"


def test_several_faults_of_all_kinds_are_listed_in_file_order() -> None:
    assert printed("""format = "bedplate-sheet/1"
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "gear"
positions = "gear"
low = 2 thou
[[feature]]
tag = "H"
of = "gear"
name = “Gear height”
[[feature]]
tag = "P"
of = "gear"
positions = { gear2 = ["one", "two"] }
[[feature]]
tag = "Q"
of = "gear"
positions = { gear2 = ["1", "2"] }
[[fit]]
tag = "EC"
stack = "HH - Q"
[[fit]]
tag = "PC"
stack = "P - Q"
""") == [
        "pump.toml: 4 things to mend. Nothing else was read.",
        "",
        "line 9   low = 2 thou",
        '         A value with a unit needs straight quotes:  low = "2 thou"',
        "line 13  name = “Gear height”",
        "         These are printer's quotes. Use the plain \" from the keyboard.",
        'line 24  stack = "HH - Q"',
        '         No feature "HH". Nearest: H (Gear height)',
        'line 27  stack = "P - Q"',
        '         positions of P (one, two) and Q (1, 2) do not match, so "P - Q"',
        "         cannot be paired.",
    ]


def test_what_a_lost_line_names_is_no_stranger_elsewhere() -> None:
    assert printed("""format = "bedplate-sheet/1"
unit = "in"
[[component]]
id = "body" "x" = 3
[[feature]]
tag = "D"
of = "body"
[[fit]]
tag = "EC"
stack = "D - E"
[[feature]]
tag = ["E
of = "body"
""") == [
        "pump.toml: 2 things to mend. Nothing else was read.",
        "",
        'line 4   id = "body" "x" = 3',
        "         A comma is missing between two of these.",
        'line 12  tag = ["E',
        "         A quote is missing.",
        '         The [ is not closed with ]:  tag = ["E"]',
    ]


# ---- the file as a whole ------------------------------------------------------------------


def test_a_byte_order_mark_is_dropped() -> None:
    assert printed(b'\xef\xbb\xbfformat = "bedplate-sheet/1"\n') == []


@pytest.mark.parametrize("coding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_named(coding: str) -> None:
    assert printed('format = "bedplate-sheet/1"\n'.encode(coding)) == [
        "Not read. pump.toml is saved as UTF-16 (PowerShell's > does that). Save it as",
        "UTF-8.",
    ]


def test_another_coding_is_said_with_its_line_and_the_rest_is_checked() -> None:
    assert printed(
        'format = "bedplate-sheet/1"\ntitle = "Pompe à eau"\nunti = "mm"\n'.encode("cp1252")
    ) == [
        "pump.toml: 2 things to mend. Nothing else was read.",
        "",
        'line 2   title = "Pompe à eau"',
        '         "à" is not saved as UTF-8. Save the whole file as UTF-8.',
        'line 3   unti = "mm"',
        '         A sheet has no key "unti". Nearest: unit.',
    ]


def test_a_file_of_bytes_is_no_text() -> None:
    assert printed(b"x" * 300 + b"\x00") == [
        "Not read. pump.toml is no text: it has NUL bytes in it."
    ]


def test_a_file_may_have_256_kib() -> None:
    head = b'format = "bedplate-sheet/1"\n'
    whole = head + (b"#" * 499 + b"\n") * 525
    assert printed(whole[:MOST_BYTES]) == []
    assert printed(whole + b"#" * MOST_BYTES) == [
        "Not read. pump.toml is larger than 256 KiB, the most a sheet may have."
    ]


def test_a_line_may_have_500_bytes() -> None:
    line = 'title = "' + "é" * 245 + '"'
    assert len(line.encode()) == 500
    assert printed(f'format = "bedplate-sheet/1"\n{line}') == []
    assert printed(f'format = "bedplate-sheet/1"\n{line} ') == [
        "pump.toml: 1 thing to mend. Nothing else was read.",
        "",
        'line 2   title = "' + "é" * 57 + "...",
        "         This line has 501 bytes; 500 are the most. A list may go over",
        "         several.",
    ]


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_of_other_systems_are_read(end: str) -> None:
    text = (DATA / "fuel-transfer-pump.toml").read_text("utf-8")
    assert printed(text.replace("\n", end)) == []


def test_an_empty_file_says_what_a_sheet_begins_with() -> None:
    assert printed("") == [
        "pump.toml: 1 thing to mend. Nothing else was read.",
        "",
        'sheet    A sheet says first what it is:  format = "bedplate-sheet/1"',
    ]


def test_another_version_of_the_format_is_not_read_on() -> None:
    assert printed('format = "bedplate-sheet/2"\nnonsense = 1') == [
        "pump.toml: 1 thing to mend. Nothing else was read.",
        "",
        'line 1   format = "bedplate-sheet/2"',
        "         This sheet is of format 2; this bedplate reads 1.",
    ]


def test_control_characters_in_a_text_are_a_fault() -> None:
    assert printed(
        'format = "bedplate-sheet/1"\nsource = "C:\\new\\table.pdf"\ntitle = "a\\u001b[2Jb"\n'
    ) == [
        "pump.toml: 2 things to mend. Nothing else was read.",
        "",
        'line 2   source = "C:\\new\\table.pdf"',
        "         There is a \\x0a in this text, a control character.",
        "         A text is one line, and a backslash in it is written twice:  C:\\\\new",
        'line 3   title = "a\\u001b[2Jb"',
        "         There is a control character (\\x1b) in this text. Type it without.",
    ]


def test_figures_in_a_programmers_form_are_a_fault() -> None:
    text = 'format = "bedplate-sheet/1"\nrevision = %s\n'
    for typed in ("0x1F", "1_000", "+3", "0b1", "-0"):
        assert printed(text % typed)[2:] == [
            f"line 2   revision = {typed}",
            "         Write this figure in plain digits, or as it stands in straight",
            "         quotes.",
        ]
    assert printed(text % "17") == []
    assert printed(text % "-17") == []


def test_a_bare_date_is_a_fault() -> None:
    assert printed('format = "bedplate-sheet/1"\nrevision = 2026-03-01\n')[2:] == [
        "line 2   revision = 2026-03-01",
        '         A date needs straight quotes:  revision = "2026-03-01"',
    ]


# ---- files --------------------------------------------------------------------------------


def failure(path: Path) -> list[str]:
    with pytest.raises(StorageError) as caught:
        read_sheet_file(path)
    return caught.value.as_lines()


def test_a_missing_file_is_said_with_what_is_there(tmp_path: Path) -> None:
    assert failure(tmp_path / "pump.toml") == [
        f"Not read. There is no file {tmp_path / 'pump.toml'}.",
        "  Type:  bedplate sheet new pump.toml",
    ]
    (tmp_path / "head.toml").touch()
    assert failure(tmp_path / "pump.toml")[1] == "  Sheets here: head.toml"


def test_a_folder_is_no_sheet(tmp_path: Path) -> None:
    assert failure(tmp_path) == [
        f"Not read. {tmp_path} is a folder.",
        "  A build sheet is one file, such as  pump.toml",
    ]


def test_a_name_that_no_file_can_have_is_said(tmp_path: Path) -> None:
    assert failure(tmp_path / "a\x00b.toml") == [
        f"Not read. {tmp_path}/a\\x00b.toml cannot be opened: no file name."
    ]


def test_a_faulty_file_is_refused_with_all_its_faults(tmp_path: Path) -> None:
    path = tmp_path / "pump.toml"
    path.write_text('format = "bedplate-sheet/1"\nunti = "mm"\n')
    with pytest.raises(NotUnderstoodError) as caught:
        read_sheet_file(path)
    assert caught.value.as_lines() == [
        "pump.toml: 1 thing to mend. Nothing else was read.",
        "",
        'line 2   unti = "mm"',
        '         A sheet has no key "unti". Nearest: unit.',
    ]


# ---- a job's own copy ---------------------------------------------------------------------


def test_what_is_no_sheet_in_a_job_cannot_be_read() -> None:
    with pytest.raises(StorageError) as caught:
        sheet_from_json({"format": "bedplate-sheet/1", "component": [{"id": "x", "nam": "y"}]})
    assert str(caught.value) == (
        'The build sheet in this job is faulty (component.nam): A component has no key "nam". '
        "Nearest: name."
    )


def test_a_sheet_in_a_job_is_checked_too() -> None:
    with pytest.raises(StorageError) as caught:
        sheet_from_json({"format": "bedplate-sheet/1", "proof": [{"tag": "P", "fit": "EC"}]})
    assert str(caught.value) == (
        'The build sheet in this job is faulty (proof.fit proof P, fit): No fit "EC". '
        "This sheet has no fits."
    )


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"format": 1},
        {"format": "bedplate-sheet/9"},
        {"format": "bedplate-sheet/1", "title": "\ud800"},
        {"format": "bedplate-sheet/1", "fit": {"a": 1}},
        {"format": "bedplate-sheet/1", "fit": [1]},
        {"format": "bedplate-sheet/1", "axes": {"a": [1.5]}},
    ],
)
def test_no_data_is_taken_for_a_sheet_that_is_none(data: dict[str, Any]) -> None:
    with pytest.raises(StorageError):
        sheet_from_json(data)


# ---- anything at all ----------------------------------------------------------------------

PIECES = [
    'format = "bedplate-sheet/1"', "\n", "\n", "\n", "[[feature]]", "[[fit]]", "[axes]", "[fit]",
    "[[fit.band]]", "[component]", 'tag = "D"', "tag =", 'of = "body"', "stack = ", '"D - H"',
    "[", "]", "{", "}", ",", "=", '"', "'", '"""', "#", "\\", "“", "”", ";", ":", "//", "2 thou",
    ".75", "1.", "012", "19,057", "true", "True", "2026-03-01", "é", "\x00", "\x1b", "\ufeff",
    "\t", " ", "a", "a.b", "band", "nominal", "{ limits = ", "stations", "\r",
]  # fmt: skip


@settings(max_examples=60)
@given(st.lists(st.sampled_from(PIECES), max_size=60).map("".join))
def test_any_text_gives_a_sheet_or_faults(text: str) -> None:
    printed(text)


@settings(max_examples=40)
@given(st.binary(max_size=400))
def test_any_bytes_give_a_sheet_or_faults(data: bytes) -> None:
    printed(data)


@settings(max_examples=60)
@given(st.sampled_from(SHEETS), st.data())
def test_any_change_of_a_sheet_gives_a_sheet_or_faults(path: Path, data: st.DataObject) -> None:
    raw = path.read_bytes()
    start = data.draw(st.integers(0, len(raw)))
    end = data.draw(st.integers(start, min(len(raw), start + 40)))
    put = data.draw(st.sampled_from(PIECES) | st.just("")).encode("utf-8", "surrogatepass")
    printed(raw[:start] + put + raw[end:])


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.text(max_size=5) | st.just("D"),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["tag", "id", "of", "band", "limits", "a"]), inner, max_size=3
        )
    ),
    max_leaves=8,
)


@settings(max_examples=60)
@given(
    st.dictionaries(
        st.sampled_from(["axes", "component", "feature", "fit", "size", "unit", "moments", "x"]),
        JSON,
        max_size=4,
    )
)
def test_any_data_is_a_sheet_or_cannot_be_read(data: dict[str, Any]) -> None:
    try:
        sheet = sheet_from_json({"format": "bedplate-sheet/1", **data})
    except StorageError as error:
        said = error.message
    else:
        said = ""
        assert sheet_from_json(sheet.as_json()) == sheet
    assert not said or said.startswith("The build sheet in this job is faulty (")


def test_a_large_hostile_sheet_is_answered_in_time() -> None:
    rows = "".join(f'[[feature]]\ntag = "F{n}"\nof = "F{n + 1}"\n' for n in range(4_000))
    start = time.process_time()
    lines = printed(f'format = "bedplate-sheet/1"\n{rows}')
    assert lines[0] == "pump.toml: 60 things to mend. Nothing else was read."
    assert time.process_time() - start < 20
