"""``export``: the record handed to another program, whole and safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from typist import Typist

READING_KEYS = [
    "entry", "address", "value", "gauge", "temp", "at", "note", "by", "corrected", "unit", "parts",
    "struck_by", "left_out", "kept",
]  # fmt: skip


@pytest.fixture
def written(typist: Typist) -> Typist:
    """Return a typist whose job has readings of every sort."""
    typist.open().done(
        'gauge add mic1 --resolution "1 tenth"',
        "gauge set mic1 1.0001 --on 1in",
        "measure D 1.0031 -g mic1 --note 'a, \"b\"' --at 2025-11-24T08:00:00Z",
        "measure H.idler@a 0.9979",
        "strike 5 --why slip",
        "measure Z -0.0002 --note '=HYPERLINK(1)'",
        "measure H.idler@b --left-out '+chipped'",
        "measure BL 4..5thou",
        "measure H.driver@a 0.9799 --yes",
    )
    return typist


def rows(typist: Typist, line: str = "export readings --format json") -> list[dict[str, Any]]:
    """Return the readings that an export gives."""
    (only,) = typist.done(line)
    found: list[dict[str, Any]] = json.loads(only)["readings"]
    return found


def test_readings_come_as_typed_and_as_corrected(written: Typist) -> None:
    found = rows(written)
    assert [list(row) for row in found] == [READING_KEYS] * 6
    assert found[0] == {
        "entry": 4, "address": "D", "value": "1.0031 in", "gauge": "mic1", "temp": None,
        "at": "2025-11-24T08:00:00+00:00", "note": 'a, "b"', "by": "Ann Fitter",
        "corrected": "1.003", "unit": "in", "parts": "body:1", "struck_by": None,
        "left_out": None, "kept": None,
    }  # fmt: skip
    told = ("entry", "value", "corrected", "struck_by", "left_out")
    assert [tuple(row[key] for key in told) for row in found[1:]] == [
        (5, "0.9979 in", None, 6, None),
        (7, "-0.0002 in", "-0.0002", None, None),
        (8, None, None, None, "+chipped"),
        (9, "4..5thou", None, None, None),
        (10, "0.9799 in", "0.9799", None, None),
    ]
    assert found[5]["kept"] == "0.9799 is 20.1 thou under nominal"


def test_the_document_of_the_readings(written: Typist) -> None:
    (only,) = written.done("export readings --json")
    found = json.loads(only)
    assert list(found) == ["format", "job", "entries", "readings"]
    assert (found["format"], found["job"], found["entries"]) == (
        "bedplate-out-export-readings/1", "pump", 10,
    )  # fmt: skip


def test_a_cell_that_would_be_a_formula_is_made_text(written: Typist) -> None:
    written.done("export readings -o readings.csv")
    data = Path("readings.csv").read_bytes()
    assert data.startswith(b"entry,address,value,gauge,temp,at,note,by,corrected,unit,parts,")
    assert data.endswith(b"\r\n")
    table = list(csv.DictReader(data.decode("utf-8").splitlines()))
    assert [row["note"] for row in table][:3] == ['a, "b"', "", "'=HYPERLINK(1)"]
    assert [row["left_out"] for row in table][3] == "'+chipped"
    assert [row["value"] for row in table][2:] == ["'-0.0002 in", "", "4..5thou", "0.9799 in"]
    assert [row["corrected"] for row in table][2] == "-0.0002"


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("-1", "-1"), ("+.5", "+.5"), ("--1", "'--1"), ("-", "'-"), ("@x", "'@x"), ("=1", "'=1"),
        ("-1e5", "'-1e5"), ("1=1", "1=1"), ("a\x1b[2Jb", "a\\x1b[2Jb"), ("\u0661", "\u0661"),
    ],
)  # fmt: skip
def test_only_numbers_may_begin_with_a_sign(typist: Typist, text: str, cell: str) -> None:
    typist.open().type(["measure", "Z", "0.0001", "--note", text])
    typist.done("export readings -o r.csv")
    (row,) = csv.DictReader(Path("r.csv").read_text("utf-8").splitlines())
    assert row["note"] == cell


def test_the_whole_job_comes_with_its_sheet_and_its_lines(written: Typist) -> None:
    (only,) = written.done("export job")
    found = json.loads(only)
    assert list(found) == ["format", "job", "entries", "head", "sheet", "struck", "lines"]
    assert found["format"] == "bedplate-out-export-job/1"
    assert found["lines"] == written.entries
    assert (found["struck"], found["sheet"]) == ([5], written.entries[0]["sheet"])
    assert found["head"] == json.loads(written.type("verify --json").out[0])["head"]


def test_the_schema_needs_no_job_and_names_every_kind(typist: Typist) -> None:
    (only,) = typist.done("export schema")
    found = json.loads(only)
    assert list(found) == ["format", "job", "entries", "entry", "sheet"]
    assert (found["format"], found["job"]) == ("bedplate-out-export-schema/1", None)
    kinds = found["entry"]["discriminator"]["mapping"]
    assert len(kinds) == 20
    assert kinds["reading"] == "#/$defs/Reading"
    assert found["sheet"]["title"] == "Sheet"


def test_a_file_is_written_whole_and_never_over_another(written: Typist) -> None:
    assert written.done("export readings -o r.csv") == ["r.csv written."]
    before = Path("r.csv").read_bytes()
    assert written.refused("export job -o r.csv") == [
        "Nothing written. r.csv is there already.",
        "  To write over it:  --force",
    ]
    assert Path("r.csv").read_bytes() == before
    assert written.document("export job -o r.csv --force") == {
        "format": "bedplate-out-export-job/1", "job": "pump", "entries": 10, "file": "r.csv",
    }  # fmt: skip
    assert json.loads(Path("r.csv").read_text("utf-8"))["job"] == "pump"


@pytest.mark.parametrize(
    ("line", "begins"),
    [
        ("export readings -o x.json", b'{"format"'),
        ("export readings -o x.csv --json", b"entry,"),
        ("export readings -o x.txt", b"entry,"),
        ("export readings --format json -o x.csv", b'{"format"'),
    ],
)
def test_the_ending_of_the_file_says_the_form(written: Typist, line: str, begins: bytes) -> None:
    written.done(line)
    (written_file,) = Path().glob("x.*")
    assert written_file.read_bytes().startswith(begins)


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("export jobs", 2, ['"jobs" cannot be exported.', "  Nearest: job"]),
        (
            "export job --format csv",
            2,
            [
                'There is no "csv" of job.',
                "  Readings are written as csv or json, job and schema as json.",
            ],
        ),
        (
            "export readings --format xml",
            2,
            [
                'There is no "xml" of readings.',
                "  Readings are written as csv or json, job and schema as json.",
            ],
        ),
        ("export readings -o no/r.csv", 3, ["no/r.csv: No such file or directory."]),
        ("export readings -o .", 2, [". is a folder."]),
    ],
)
def test_what_cannot_be_written_is_said(
    typist: Typist, line: str, code: int, said: list[str]
) -> None:
    first, *more = said
    assert typist.open().refused(line, code) == [f"Nothing written. {first}", *more]
