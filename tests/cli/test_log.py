"""``log``: every entry in order, the struck ones too, or those about something."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from typist import Typist


def undated(lines: list[str]) -> list[str]:
    """Return lines with their times taken out."""
    return [re.sub(r"\d+ \w{3} \d{4} \d\d:\d\d", "NOW", line) for line in lines]


@pytest.fixture
def written(typist: Typist) -> Typist:
    """Return a typist whose job has a few entries."""
    typist.open().done(
        "measure D 1.0031",
        "measure H.idler@a 0.9979",
        "strike 2 --why slip",
        "note rub --on gear.idler",
        "measure H.idler@b --left-out chipped",
    )
    return typist


def test_every_entry_is_a_line_and_a_struck_one_says_so(written: Typist) -> None:
    assert undated(written.done("log")) == [
        "n  when               by          entry",
        "1  NOW  Ann Fitter  opened: Fuel transfer gear pump",
        "2  NOW  Ann Fitter  [struck by 4] D  1.0031 in   bore depth",
        "3  NOW  Ann Fitter  H.idler@a  0.9979 in   gear height",
        "4  NOW  Ann Fitter  strikes 2 (1.0031 in): slip",
        "5  NOW  Ann Fitter  note on gear.idler: rub",
        "6  NOW  Ann Fitter  H.idler@b  left out: chipped",
    ]


def test_plain_is_an_entry_in_two_sentences(written: Typist) -> None:
    assert undated(written.done("log 4 --plain")) == [
        "Entry 4, NOW, Ann Fitter.",
        "Strikes 2 (1.0031 in): slip.",
    ]


@pytest.mark.parametrize(
    ("what", "numbers"),
    [
        ("2", [2, 4]),
        ("reading", [2, 3, 6]),
        ("H", [3, 6]),
        ("h.IDLER", [3, 6]),
        ("H.idler@a", [3]),
        ("gear.idler", [3, 5, 6]),
        ("strike", [4]),
        ("D", [2]),
        ("body", [2]),
    ],
)
def test_only_what_an_entry_is_about(written: Typist, what: str, numbers: list[int]) -> None:
    found = written.document(f"log {what}")
    assert list(found) == ["format", "job", "entries", "lines"]
    assert (found["format"], found["job"], found["entries"]) == ("bedplate-out-log/1", "pump", 6)
    assert [line["n"] for line in found["lines"]] == numbers


def test_the_lines_of_the_document_are_the_entries_as_stored(written: Typist) -> None:
    assert written.document("log")["lines"] == written.entries


def test_what_no_entry_is_about_is_refused(written: Typist) -> None:
    assert written.refused("log H.idle") == [
        'Nothing shown. No entry is about "H.idle".',
        "  Nearest: H.idler@b, H.idler@a, gear.idler",
    ]
    assert written.refused("log 99")[0] == 'Nothing shown. No entry is about "99".'
    assert written.refused("log ٢")[0] == 'Nothing shown. No entry is about "٢".'
    assert written.refused("log ²")[0] == 'Nothing shown. No entry is about "²".'


def test_raw_is_the_lines_of_the_file(written: Typist) -> None:
    assert written.done("log --raw") == written.data.decode().splitlines()
    found = written.document("log --raw")
    assert (found["format"], found["entries"]) == ("bedplate-out-log/1", None)
    assert [json.loads(line) for line in found["lines"]] == written.entries


def test_raw_shows_what_is_not_known_here(typist: Typist) -> None:
    line = '{"n":1,"format":"bedplate-job/9","sh\u00fc":"\u202e"}'
    typist.path.write_text(line + "\n", "utf-8")
    assert typist.done("log --raw") == [line.replace("\u202e", "\\u202e")]
    assert typist.type("log").code == 3


def test_hostile_text_is_shown_as_escapes(typist: Typist) -> None:
    typist.open().type(["note", "clear \x1b[2J the screen"])
    assert undated(typist.done("log 2"))[1:] == [
        "2  NOW  Ann Fitter  note: clear \\x1b[2J the screen"
    ]


def test_a_torn_tail_is_said_and_what_stands_before_it_shown(written: Typist) -> None:
    with Path("pump.job.jsonl").open("ab") as file:
        file.write(b'{"n":7')
    said = written.type("log 6")
    assert len(said.out) == 2
    assert said.err == [
        "6 bytes after entry 6 were left by a write that was cut short; they were never",
        "  acknowledged and are not counted.",
    ]


@pytest.mark.usefixtures("written")
def test_what_judges_and_what_writes_is_not_loaded_for_it() -> None:
    script = (
        "import sys; from bedplate.cli.main import main; code = main(['log']);"
        "print(code, [m for m in ('bedplate.metrology.judge', 'bedplate.assess.fits',"
        "'bedplate.assembly.rules', 'bedplate.record.appending', 'pint') if m in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines()[-1] == "0 []"
