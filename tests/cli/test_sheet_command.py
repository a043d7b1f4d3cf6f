"""``sheet``: starting, checking, showing and saving build sheets."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typist import PUMP, Typist

FAULTY = """format = "bedplate-sheet/1"
unit = "in"
[[component]]
id = "body"
[[feature]]
tag = "D"
of = "bdy"
[[fit]]
tag = "EC"
stack = "D"
band = { limits = "4..2 thou", source = "p. 31" }
"""


def test_the_starter_passes_and_says_how_to_go_on(typist: Typist) -> None:
    assert typist.done("sheet new pump.toml") == [
        "pump.toml written. Change it to your unit, then:  bedplate sheet check pump.toml"
    ]
    assert typist.done("sheet check pump.toml") == [
        "pump.toml: nothing to mend. 5 components, 4 features, 1 size, 3 fits, 1 set of "
        "fasteners, 2 proofs, 3 steps."
    ]
    assert Path("pump.toml").read_text("utf-8").startswith("#")


def test_a_sheet_with_nothing_on_it_says_so(typist: Typist) -> None:
    Path("pump.toml").write_text('format = "bedplate-sheet/1"\n', "utf-8")
    assert typist.done("sheet check pump.toml") == [
        "pump.toml: nothing to mend. Nothing is on it yet."
    ]


def test_a_sheet_is_never_written_over_unless_told_to(typist: Typist) -> None:
    Path("pump.toml").write_text("mine", "utf-8")
    for line in ("sheet new pump.toml", "sheet save pump.toml --job pump"):
        typist.open() if "save" in line else None
        kept = Path("pump.toml").read_bytes()
        assert typist.refused(line) == [
            "Nothing written. pump.toml is there already.",
            "  To write over it:  --force",
        ]
        assert Path("pump.toml").read_bytes() == kept
    assert typist.document("sheet new pump.toml --force") == {
        "format": "bedplate-out-sheet-new/1", "job": None, "entries": None, "file": "pump.toml",
    }  # fmt: skip


# ---- check


def test_every_fault_is_told_at_once_and_the_answer_is_no(typist: Typist) -> None:
    Path("pump.toml").write_text(FAULTY, "utf-8")
    said = typist.type("sheet check pump.toml")
    assert (said.code, said.err) == (1, [])
    assert said.out == [
        "pump.toml: 2 things to mend. Nothing else was read.",
        "",
        'line 7   of = "bdy"',
        '         No component "bdy". Nearest: body',
        'line 11  band = { limits = "4..2 thou", source = "p. 31" }',
        '         "4..2 thou" has its higher end first.',
        "         Type the lower end first:  4..5",
    ]


def test_the_document_of_a_check(typist: Typist) -> None:
    Path("pump.toml").write_text(FAULTY, "utf-8")
    found = typist.document("sheet check pump.toml", 1)
    assert list(found) == ["format", "job", "entries", "ok", "faults"]
    assert (found["format"], found["job"], found["ok"]) == (
        "bedplate-out-sheet-check/1", None, False,
    )  # fmt: skip
    assert found["faults"][0] == {
        "line": 7, "key": "feature.of", "shown": 'of = "bdy"',
        "text": 'No component "bdy". Nearest: body',
    }  # fmt: skip
    Path("pump.toml").write_text(PUMP, "utf-8")
    assert typist.document("sheet check pump.toml") == {
        "format": "bedplate-out-sheet-check/1", "job": None, "entries": None, "ok": True,
        "faults": [],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (
            PUMP.encode("utf-16"),
            ["Not read. pump.toml is saved as UTF-16 (PowerShell's > does that). Save it as",
             "UTF-8."],
        ),
        (
            PUMP.replace('"Fuel transfer gear pump"', "“Fuel pump”").encode(),
            ["pump.toml: 1 thing to mend. Nothing else was read.", "",
             "line 3   title = “Fuel pump”",
             "         These are printer's quotes. Use the plain \" from the keyboard."],
        ),
    ],
)  # fmt: skip
def test_what_editors_do_to_a_sheet_is_named(typist: Typist, data: bytes, said: list[str]) -> None:
    Path("pump.toml").write_bytes(data)
    answer = typist.type("sheet check pump.toml")
    assert (answer.code, answer.out, answer.err) == (1, said, [])


def test_a_sheet_that_cannot_be_opened_is_named(typist: Typist) -> None:
    assert typist.refused("sheet check lost.toml", 3) == [
        'Not read. "lost.toml" cannot be opened: No such file or directory.'
    ]
    assert typist.refused("sheet check .", 3) == ['Not read. "." is a folder.']
    assert typist.refused(["sheet", "check", "a\0b"], 3) == [
        'Not read. "a\\x00b" cannot be opened: no file name.'
    ]


# ---- show


def test_a_sheet_is_shown_table_by_table(typist: Typist) -> None:
    typist.open()
    shown = [
        "Fuel transfer gear pump, unit in, limits from Invented handbook",
        "Signed for: handover, first run",
        "",
        "Axes",
        "gear     driver idler",
        "tooth    a b c",
        "",
        "Components",
        "body",
        "gear     gear: driver idler",
        "valve",
        "",
        "Features",
        "D   bore depth       on body; nominal 1.0030",
        "H   gear height      on gear; gear: driver idler; @ tooth: a b c; nominal 1.0000",
        "BL  backlash         on gear, body",
        "Z   face             on body; may be negative",
        "RP  relief pressure  on valve; unit psi",
        "",
        "Fits",
        "EC      end clearance  D - H; 2..4 thou (p. 31)",
        "LASH                   BL; ..8 thou (p. 32)",
        "RELIEF                 RP; 28..32 psi (p. 33); due first run",
    ]
    assert typist.done("sheet show") == shown
    assert typist.done("sheet show pump.toml") == shown
    assert typist.done("sheet show pump.toml -o shown.txt") == ["shown.txt written."]
    assert Path("shown.txt").read_text("utf-8").splitlines() == shown


def test_the_document_of_a_sheet_is_the_sheet(typist: Typist) -> None:
    typist.open()
    found = typist.document("sheet show")
    assert list(found) == ["format", "job", "entries", "sheet"]
    assert found["format"] == "bedplate-out-sheet-show/1"
    assert found["sheet"] == typist.entries[0]["sheet"]
    assert typist.document("sheet show -o s.txt") == {
        "format": "bedplate-out-sheet-show/1", "job": None, "entries": None, "file": "s.txt",
    }  # fmt: skip


def test_a_form_that_there_is_not_is_refused(typist: Typist) -> None:
    assert typist.open().refused("sheet show --format xml") == [
        'Nothing shown. There is no format "xml".',
        "  There are  text  html  pdf",
    ]


# ---- save


def test_a_sheet_saved_opens_the_next_job(typist: Typist) -> None:
    typist.open().done("add fit DD --stack D --band 1..2in --source 'p. 9'")
    assert typist.done("sheet save next.toml") == [
        "next.toml written. The next one:  bedplate open NAME --sheet next.toml"
    ]
    typist.done("open next --sheet next.toml")
    other = json.loads(Path("next.job.jsonl").read_text("utf-8").splitlines()[0])
    assert other["sheet"] == typist.entries[1]["sheet"]
    assert typist.document("sheet save again.toml --job pump") == {
        "format": "bedplate-out-sheet-save/1", "job": "pump", "entries": 2, "file": "again.toml",
    }  # fmt: skip
