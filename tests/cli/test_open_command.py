"""``open``: a job from a sheet or from nothing, and never over another."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typist import PUMP, RECORDED_KEYS, Typist


def test_a_job_from_a_sheet_says_how_much_there_is_to_do(typist: Typist) -> None:
    Path("pump.toml").write_text(PUMP, "utf-8")
    said = typist.type('open pump --sheet pump.toml --customer "A. Owner"')
    assert said.out == [
        "entry 1   opened: Fuel transfer gear pump",
        "pump: opened. 9 readings due, 4 clearances to be judged.",
    ]
    assert said.err == ["next: measure D (bore depth)   bedplate measure D VALUE"]
    assert typist.entries[0]["sheet"]["component"] == [
        {"id": "body"},
        {"id": "gear", "positions": "gear"},
        {"id": "valve"},
    ]


def test_a_job_from_nothing_says_how_to_go_on(typist: Typist) -> None:
    assert typist.done('open pump --machine "Harbour launch"') == [
        "entry 1   opened: Harbour launch",
        "pump: opened, with no build sheet. Bare figures are inches.",
        "Add what you want to measure:",
        "   bedplate add component NAME",
        "   bedplate add feature TAG --of COMPONENT",
        '   bedplate add fit TAG --stack "D - H" --band 2..4thou --source "p. 31"',
    ]
    assert typist.entries[0]["sheet"] == {"format": "bedplate-sheet/1", "unit": "in"}


def test_bare_figures_are_metric_where_that_is_what_one_likes_to_see(typist: Typist) -> None:
    typist.done("settings show um")
    assert typist.done("open pump")[1] == (
        "pump: opened, with no build sheet. Bare figures are millimetres."
    )
    assert typist.entries[0]["sheet"]["unit"] == "mm"


def test_what_the_job_is_about_is_kept(typist: Typist) -> None:
    typist.done("open older")
    head = json.loads(typist.type("verify --json --job older").out[0])["head"]
    typist.done(
        'open pump --customer "A. Owner" --machine Launch --serial 7 --hours "1,200" '
        '--asked "end clearance" --previous older --note "came by water" '
        "--at 2025-11-24T08:00:00Z"
    )
    entry = typist.entries[0]
    assert len(entry.pop("job")) == 32
    assert {**entry, "at": "", "prev": ""} == {
        "n": 1, "at": "", "by": "Ann Fitter", "kind": "opened", "format": "bedplate-job/1",
        "customer": "A. Owner", "machine": "Launch", "serial": "7", "hours": "1,200",
        "asked": "end clearance", "previous": {"file": "older.job.jsonl", "head": head},
        "sheet": {"format": "bedplate-sheet/1", "unit": "in"}, "note": "came by water",
        "done_at": "2025-11-24T08:00:00+00:00", "prev": "",
    }  # fmt: skip
    assert list(entry)[:6] == ["n", "at", "by", "kind", "format", "customer"]


def test_the_document_of_an_opening(typist: Typist) -> None:
    found = typist.document("open pump")
    assert list(found) == RECORDED_KEYS
    assert {key: found[key] for key in RECORDED_KEYS[:6]} == {
        "format": "bedplate-out-open/1", "job": "pump", "entries": 1, "recorded": [1],
        "questioned": [], "fits": [],
    }  # fmt: skip


@pytest.mark.parametrize("name", ["pump", "./pump", "pump.job.jsonl", "../here/pump"])
def test_a_name_or_a_path_both_name_the_file(typist: Typist, name: str) -> None:
    typist.done(f"open {name}")
    assert [path.name for path in Path().iterdir()] == ["pump.job.jsonl"]


def test_two_jobs_are_never_of_one_number(typist: Typist) -> None:
    typist.done("open pump", "open head")
    other = json.loads(Path("head.job.jsonl").read_text("utf-8"))
    assert other["job"] != typist.entries[0]["job"]


# ---- what is there already


def test_a_job_is_never_overwritten(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    assert typist.refused("open pump") == [
        "Not opened. pump is already open (2 entries).",
        "  Just go on:  bedplate --job pump status",
    ]
    Path("sub folder").mkdir()
    typist.done('open "sub folder/pump"')
    assert typist.refused(["open", "sub folder/pump"])[1] == (
        '  Just go on:  bedplate --job "sub folder/pump" status'
    )


def test_an_empty_file_is_taken_as_new(typist: Typist) -> None:
    typist.path.touch()
    typist.done("open pump")
    assert [entry["kind"] for entry in typist.entries] == ["opened"]


def test_the_rest_of_an_opening_cut_short_is_kept_and_the_job_begun_anew(typist: Typist) -> None:
    typist.path.write_bytes(b'{"n":1,"at":"2025')
    said = typist.type("open pump")
    assert (said.code, [entry["kind"] for entry in typist.entries]) == (0, ["opened", "set-aside"])
    (kept,) = Path().glob("pump.job.jsonl.torn-*")
    assert kept.read_bytes() == b'{"n":1,"at":"2025'
    assert said.err[:2] == [
        "Recorded, but before it stood the rest of a write that was cut short; it is",
        f"  kept in {kept.name}.",
    ]


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("folder", ["Not opened. pump.job.jsonl is a folder, no job file."]),
        (
            "link",
            [
                "Not opened. pump.job.jsonl is a link; a job is opened only where it is.",
                "  Name the file that the link leads to.",
            ],
        ),
        (
            "letter",
            [
                "Not read. pump.job.jsonl is no job of bedplate.",
                "  A job's first line says that it was opened, and in which format.",
            ],
        ),
    ],
)
def test_what_is_no_job_is_left_alone(typist: Typist, what: str, said: list[str]) -> None:
    if what == "folder":
        typist.path.mkdir()
    elif what == "link":
        typist.path.symlink_to("elsewhere")
    else:
        typist.path.write_text("Dear sir,\n", "utf-8")
    assert typist.refused("open pump", 3) == said
    assert not Path("elsewhere").exists()


# ---- what is not understood


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("open ''", 2, ['Not opened. "" is no name of a job.', "  Type:  bedplate open pump"]),
        (
            "open pu:mp",
            2,
            [
                'Not opened. "pu:mp" cannot be a file name everywhere.',
                "  Letters, digits, - and _ can:  bedplate open pump",
            ],
        ),
        ("open no/pump", 3, ["Not opened. There is no folder no."]),
        ("open pump --customer ''", 2, ['Not opened. "customer" is empty.']),
        (
            f"open pump --asked {'x' * 4001}",
            2,
            ['Not opened. "asked" is longer than 4,000 characters.'],
        ),
        (
            "open pump --previous nope",
            3,
            ['Not read. There is no job "nope".', "  There is no job in this folder."],
        ),
        (
            "open pump --at 2999-01-01",
            2,
            ['Not recorded. "2999-01-01" is still to come.'],
        ),
    ],
)
def test_nothing_is_opened_by_what_is_not_understood(
    typist: Typist, line: str, code: int, said: list[str]
) -> None:
    assert typist.refused(line, code) == said
    assert not list(Path().iterdir())


def test_a_sheet_that_does_not_pass_opens_nothing(typist: Typist) -> None:
    Path("u16.toml").write_bytes(PUMP.encode("utf-16"))
    assert typist.refused("open pump --sheet u16.toml") == [
        "Not read. u16.toml is saved as UTF-16 (PowerShell's > does that). Save it as",
        "UTF-8.",
    ]
    curly = PUMP.replace('"Fuel transfer gear pump"', "“Fuel pump”")
    Path("curly.toml").write_text(curly, "utf-8")
    assert typist.refused("open pump --sheet curly.toml") == [
        "curly.toml: 1 thing to mend. Nothing else was read.",
        "",
        "line 3   title = “Fuel pump”",
        "         These are printer's quotes. Use the plain \" from the keyboard.",
    ]
    assert typist.refused("open pump --sheet lost.toml", 3) == [
        "Not read. There is no file lost.toml.",
        "  Sheets here: curly.toml, u16.toml",
    ]
    assert not typist.path.exists()


def test_a_byte_order_mark_before_a_sheet_is_dropped(typist: Typist) -> None:
    Path("pump.toml").write_bytes(b"\xef\xbb\xbf" + PUMP.encode())
    typist.done("open pump --sheet pump.toml")
    assert typist.entries[0]["sheet"]["title"] == "Fuel transfer gear pump"
