"""Nothing of a file reaches screen, page or table as anything but text.

Every text of a job, a sheet, a table, a cabinet is hostile here, and every command reads it. The
net that `screen.write_line` is, is taken away: each place must show by itself what it is given.
"""

from __future__ import annotations

import csv
import io
import json
import shlex
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import hostile_text as hostile
import pytest
from hostile_text import ALL, MARKERS, raw_in

from bedplate.cli import ask, screen
from bedplate.cli.bench import keyboard
from bedplate.cli.main import main
from bedplate.report import pdf
from bedplate.text import visible

JOB = Path("pump.job.jsonl")

EACH = [
    pytest.param(hostile.UNSEEN, id="all"),
    *(pytest.param(mark, id=name, marks=pytest.mark.slow) for name, mark in MARKERS.items()),
]
"""All that is hostile at once; and, among the long tests, one by one."""

READS = """
status
status --plain
log
log --raw
log --plain
log H
log 13
log nothing
check
check --all
check --all --plain
check --hot 80degC
check NONE
summary
summary --plain
summary --for customer
summary --for public
export readings
verify
verify --head 3:0123456789abcdef
verify --save-sound nowhere/x
sheet show
sheet show --plain
sheet show --format json
remedy EC
remedy EC --plain
match EC
gauge list
done
use
fasten
prove
decide
change
settle
inspect
concede
bench
bench H
bench close
measure
measure Q 1.0
measure H 1.0
measure H.x 1.0
measure H.driver 1.0
measure H.driver@a 1.0
measure H.driver@a 9.0
measure D 3psi
measure D 1.0 -g zz
strike 99 --why x
strike 1 --why x
strike 2
correct 3 1.0
correct 6 1.0
settle 3
settle 23
fasten N locked
fasten N again
fasten N removed --count 9
fasten M tight
prove SPIN pass
prove X pass
done close
done drain --undone
done zzz
use zzz
decide body rework
decide zz reuse --why x
change gear moved
change gear.idler moved --from zz
change gear.idler new --size u9
concede zz --accepted-by x --why y
sign
sign zzz
reopen
defer x --until zz
defer x --until handover --holds zz --why y
note x --on zz
attach nothing.jpg
gauge set mic1 0.5
gauge set zz 0.5
gauge set mic1 0 --on zz
amend fit EC
amend fit EC --name x --why y
amend feature D --of zz --why y
add feature D
add fit EX --stack D-ZZ
rejoin other.jsonl
""".strip().split("\n")
PAGES = [f"summary --for {whom} --format html -o -" for whom in ("workshop", "customer", "public")]
PAGES += ["sheet show --format html"]
DOCUMENTS = [
    f"{command} --json"
    for command in (
        "status", "log", "check --all", "verify", "export readings", "export job", "sheet show",
        "gauge list", "done", "bench", "measure D 1.0031in --again", "decide body reuse --why x",
        "strike 14 --why x", "sign", "summary -o x.txt",
    )
]  # fmt: skip


FREE = hostile.free(hostile.ENTRIES, ALL)


@cache
def a_job(kind: str) -> bytes:
    """Return the job of a kind, made once."""
    return hostile.described() if kind == "described" else hostile.named()


@pytest.fixture(autouse=True)
def _no_net(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    for module in (screen, ask, keyboard):
        monkeypatch.setattr(module, "visible", str)


def said(capsys: pytest.CaptureFixture[str], words: str | list[str], allowed: str = "\n") -> str:
    """Type a line; nothing raw may be said, whatever else comes of it. Return all that was."""
    capsys.readouterr()
    code = main(shlex.split(words) if isinstance(words, str) else words)
    answer = capsys.readouterr()
    both = answer.out + answer.err
    assert code in (0, 1, 2, 3), both
    assert raw_in(both, allowed) == []
    return both


# --- the job -------------------------------------------------------------------------------------


def put_job(kind: str) -> None:
    """Put a job here, and a copy of it that is a line behind."""
    data = a_job(kind)
    JOB.write_bytes(data)
    Path("other.jsonl").write_bytes(data[: data.rindex(b"\n", 0, -1) + 1])


@pytest.mark.parametrize("kind", ["described", "named"])
@pytest.mark.parametrize("line", READS)
def test_a_job_is_shown_as_text(line: str, kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    put_job(kind)
    allowed = "\n\r" if line == "export readings" else "\n"  # a table's lines end in CR LF
    said(capsys, f"--job pump {line}", allowed)


def test_what_is_shown_is_all_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    """So that the tests here do not pass because nothing is shown."""
    put_job("described")
    for line in ("log", "summary", "summary --for customer", "status", "export readings"):
        shown = said(capsys, line, "\n\r")
        assert "\\u202e" in shown, line
        assert "\\x1b[2J" in shown, line
    assert "\\u202e" in said(capsys, "sheet show")


class Page(HTMLParser):
    """Notes the elements of a page, and its text."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: set[str] = set()
        self.handlers: set[str] = set()
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.add(tag)
        self.handlers |= {name for name, _ in attrs if name.startswith("on")}

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("kind", ["described", "named"])
@pytest.mark.parametrize("line", PAGES)
def test_a_page_has_it_as_text(line: str, kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    put_job(kind)
    page = Page()
    page.feed(said(capsys, line))
    assert not page.elements & {"script", "iframe", "object", "embed", "base", "form"}
    assert page.handlers == set()
    if kind == "described":
        assert "</script><script>alert(1)</script>" in page.text


@pytest.mark.parametrize("kind", ["described", "named"])
@pytest.mark.parametrize("whom", ["workshop", "customer"])
def test_a_pdf_is_given_it_as_text(
    whom: str, kind: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[dict[str, Any]] = []

    def compiled(_template: str, data: dict[str, Any], _pictures: object) -> bytes:
        given.append(data)
        return b"%PDF"

    monkeypatch.setattr(pdf, "compiled", compiled)
    put_job(kind)
    said(capsys, f"summary --for {whom} --format pdf -o x.pdf")
    (data,) = given
    texts = [hostile.at(data, path) for path in hostile.leaves(data)]
    assert [text for text in texts if raw_in(text, "")] == []


@pytest.mark.parametrize("kind", ["described", "named"])
@pytest.mark.parametrize("line", DOCUMENTS)
def test_a_document_is_ascii(line: str, kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    put_job(kind)
    capsys.readouterr()
    main(shlex.split(line))
    answer = capsys.readouterr()
    assert raw_in(answer.err) == []
    assert answer.out.isascii()
    assert raw_in(answer.out) == []
    if answer.out:
        json.loads(answer.out)


def test_no_cell_of_a_table_is_a_formula(capsys: pytest.CaptureFixture[str]) -> None:
    put_job("described")
    rows = list(csv.reader(io.StringIO(said(capsys, "export readings", "\n\r"), newline="")))
    formulas = [cell for row in rows for cell in row if cell[:1] in tuple("=+-@\t\r")]
    assert [cell for cell in formulas if cell[1:].replace(".", "", 1).isdigit() is False] == []
    assert any(cell.startswith("'=") for row in rows for cell in row)


@pytest.mark.slow
@pytest.mark.parametrize("path", FREE, ids=lambda path: "-".join(map(str, path)))
def test_each_text_alone(path: hostile.Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One hostile text in a lawful job, so that no refusal of another hides what it does."""
    data = hostile.job_of(hostile.put(hostile.ENTRIES, path, ALL))
    for line in READS + PAGES:
        JOB.write_bytes(data)
        said(capsys, f"--job pump {line}", "\n\r")


ANSWERS = ["s", "?", "d", "b", "1.0031in", "a", "g", "t", "n", "f", "", "x", ALL, "mic1", "y", "i"]


@pytest.mark.parametrize("plain", [[], ["--plain"]], ids=["drawn", "plain"])
@pytest.mark.parametrize("what", [[], ["H"], ["close"], ["drain"]], ids=" ".join)
def test_the_bench_asks_in_text(
    what: list[str], plain: list[str], capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    opened = {**hostile.ENTRIES[0], "sheet": hostile.hostile_sheet()}
    gauge = hostile.put(hostile.ENTRIES[1], ("gauge", "title"), ALL)
    for answers in (ANSWERS, ["s"] * 20, ["1.0031in"] * 20, ["", "y"] * 20, ["d", "", "?"] * 9):
        JOB.write_bytes(hostile.job_of([opened, gauge]))
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{word}\n" for word in answers)))
        shown = said(capsys, ["bench", *what, *plain])
        assert "\\u202e" in shown


# --- lines that are no entries -------------------------------------------------------------------

LINES = {
    "half a character": (b"A. Owner", b"\\ud800"),
    "half a character in a key": (b'"customer"', b'"\\ud800"'),
    "raw ESC": (b"A. Owner", b"\x1b[2J"),
    "raw CR": (b"A. Owner", b"A\rB"),
    "C1": (b"A. Owner", b"\xc2\x9b31m"),
    "a kind": (b'"kind":"opened"', '"kind":"\u202e"'.encode()),
    "a kind escaped": (b'"kind":"opened"', b'"kind":"\\u001b[2J"'),
    "a field": (b'"customer"', '"\u202e\u2028"'.encode()),
    "a field escaped": (b'"customer"', b'"\\u001b]0;x\\u0007"'),
    "a format": (b"bedplate-job/1", "bedplate-job/\u202e".encode()),
    "a number": (b'"n":1,', b'"n":1,"\xe2\x80\xae":1e5,'),
    "twice": (b'"customer"', '"\u202e":1,"\u202e":1,"customer"'.encode()),
    "no UTF-8": (b"A. Owner", b"\xff\x1b"),
    "a key of the sheet": (b'"title"', b'"\\u001b"'),
    "a text of the sheet": (b'"Fuel pump"', b'"\\u001b[2J"'),
    "half a text of the sheet": (b'"Fuel pump"', b'"\\udfff"'),
    "a name in the sheet": (b'"id":"body"', '"id":"\u202e"'.encode()),
    "a unit": (b'"unit":"thou"', '"unit":"\u202e\u00ad"'.encode()),
    "a stack": (b'"stack":"D - H"', '"stack":"D - \u202e"'.encode()),
    "limits": (b'"2..4 thou"', '"2..4 \u202ethou"'.encode()),
    "a nominal": (b'"1.0030"', '"1.0\u200b030"'.encode()),
    "positions": (b'"positions":"gear"', '"positions":"\u202e"'.encode()),
    "a moment": (b'"moments":["handover"', '"moments":["\u202e"'.encode()),
}


@pytest.mark.parametrize("name", LINES)
@pytest.mark.parametrize("line", ["status", "log", "log --raw", "verify", "sheet show", "note x"])
def test_a_line_that_is_no_entry_is_said_as_text(
    line: str, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new = LINES[name]
    data = hostile.job_of(hostile.ENTRIES)
    assert old in data
    for at in (data.replace(old, new, 1), hostile.chained_again(data.replace(old, new))):
        JOB.write_bytes(at)
        said(capsys, line)


# --- the sheet -----------------------------------------------------------------------------------

SHEET_TEXTS = list(hostile.leaves(hostile.SHEET))


@pytest.mark.parametrize("mark", [*EACH, pytest.param(hostile.IN_A_SHEET, id="lawful")])
def test_every_text_of_a_sheet_is_said_as_text(
    mark: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for path in SHEET_TEXTS:
        changed = hostile.put(hostile.SHEET, path, f"={mark}[/]")
        Path("x.toml").write_text(hostile.toml(changed), "utf-8")
        said(capsys, "sheet check x.toml")


@pytest.mark.parametrize("mark", EACH)
@pytest.mark.parametrize("line", ["sheet check x.toml", "open new --sheet x.toml"])
def test_bytes_of_a_sheet_are_said_as_text(
    line: str, mark: str, capsys: pytest.CaptureFixture[str]
) -> None:
    file, good = Path("x.toml"), hostile.toml(hostile.SHEET)
    for old in ("title", '"Fuel pump"', "[[component]]", '"body"', "= 4", "true", '"D - H"'):
        assert old in good
        for new in (f"{mark}{old}", f"{old}{mark}", f'"{mark}"'):
            file.write_bytes(good.replace(old, new, 1).encode())
            Path("new.job.jsonl").unlink(missing_ok=True)
            said(capsys, line)


# --- tables of readings --------------------------------------------------------------------------

COLUMNS = ("address", "value", "gauge", "temp", "at", "note")
GOOD = ("D", "1.0031in", "", "", "", "")


@pytest.mark.parametrize("mark", EACH)
def test_every_cell_of_a_table_is_said_as_text(
    mark: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for at in range(2 * len(COLUMNS)):
        cells = [list(COLUMNS), list(GOOD)]
        cells[at // len(COLUMNS)][at % len(COLUMNS)] = f"=q{mark}w[/]"
        text = io.StringIO()
        csv.writer(text).writerows(cells)
        Path("x.csv").write_text(text.getvalue(), "utf-8", newline="")
        JOB.write_bytes(hostile.job_of(hostile.ENTRIES))
        said(capsys, "measure --from x.csv --again --yes")
        said(capsys, "log 36")


# --- settings, gauges, keys ----------------------------------------------------------------------

SETTINGS = """
name = "Ann"
unit = "in"
paper = "a4"
screen = "full"
colour = "auto"
"""
GAUGES = """
format = "bedplate-gauges/1"
[mic1]
name = "Micrometer"
kind = "micrometer"
resolution = "0.0001in"
due = "2027-01-01"
"""


@pytest.mark.parametrize("mark", EACH)
@pytest.mark.parametrize(
    ("name", "good", "lines"),
    [
        ("config.toml", SETTINGS, ("settings", "settings name", "status", "settings unit mm")),
        ("gauges.toml", GAUGES, ("gauge list", "measure D 1.0031 -g mic1 --again --yes")),
    ],
)
def test_every_text_of_the_cabinet_is_said_as_text(
    name: str, good: str, lines: tuple[str, ...], mark: str, home: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    home.mkdir(exist_ok=True)
    JOB.write_bytes(hostile.job_of(hostile.ENTRIES))
    escaped = "".join(f"\\U{ord(char):08x}" for char in mark)
    words = {word for line in good.split("\n") for word in line.replace('"', "").split(" = ")}
    for word in words - {""}:
        for new in (f"{word}{escaped}", f"{word}{mark}"):
            bad = new if f'"{word}"' in good else f'"{new}"'
            (home / name).write_bytes(good.replace(word, bad, 1).encode())
            for line in lines:
                said(capsys, line)


def test_the_name_of_a_known_key_is_said_as_text(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    key = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIIqI44Ewdlrt4zjLVhfF4fd2MbVHIpWa7VBV5V4RsF8K"
    for mark in MARKERS.values():
        Path("x.pub").write_bytes(f"{key} q{mark}w\n".encode())
        said(capsys, "key trust Ben x.pub")
        said(capsys, ["key", "trust", f"q{mark}w", "x.pub"])
        said(capsys, "key show")
        said(capsys, ["key", "retire", f"q{mark}w"])


# --- names of files, and what is typed -----------------------------------------------------------


@pytest.mark.parametrize("mark", EACH)
def test_the_name_of_a_file_is_said_as_text(mark: str, capsys: pytest.CaptureFixture[str]) -> None:
    odd = f"q{mark.replace('/', '')}w"
    data = hostile.job_of(hostile.ENTRIES)
    sheet, job, table = Path(f"{odd}.toml"), Path(f"{odd}.job.jsonl"), Path(f"{odd}.csv")
    sheet.write_text(hostile.toml(hostile.SHEET) + "x = ", "utf-8")
    table.write_text("address,value\nD,1.0031in\nQ,1\n", "utf-8")
    job.write_bytes(data)
    for words in (
        ["sheet", "check", str(sheet)], ["open", odd], ["open", "z", "--sheet", str(sheet)],
        ["--job", odd, "status"], ["--job", odd, "attach", str(table)], ["--job", odd, "log"],
        ["--job", odd, "measure", "--from", str(table)], ["--job", odd, "verify"], ["status"],
        ["verify", str(job)], ["--job", odd, "summary", "-o", str(table)], ["rejoin", str(job)],
        ["--job", odd, "summary"], ["export", "readings", "-o", str(table)],
        ["sheet", "save", str(sheet)], ["sheet", "new", str(sheet)],
    ):  # fmt: skip
        said(capsys, words)
    JOB.write_bytes(data[: data.rindex(b"\n", 0, -1) + 1])
    for line in ("status", "--job pump status", "--job pump verify", "--job pump sign", "log"):
        said(capsys, line)


TYPED = """
Q
open Q
measure Q 1
measure D Q
measure D 1 -g Q
measure D 1 --temp Q
measure D 1 --at Q
measure D 1 --left-out Q
check Q
check --hot Q
remedy Q
match Q
log Q
inspect Q x
inspect body Q
note Q
note x --on Q
decide Q reuse --why x
decide body Q --why x
decide body reuse --why Q
change Q new
change body Q
change body new --mark Q
change gear.idler moved --from Q
fasten Q tight
fasten N Q
fasten N tight --count Q
fasten N tight --reached Q
prove Q pass
prove SPIN Q
done Q
use Q
use gasket --count Q
defer Q --until x --why y
defer x --until Q --why y
settle Q
concede Q --accepted-by x --why y
strike Q --why x
strike last --why Q
correct Q 1
sign Q
summary Q
summary --for Q
summary --format Q
export Q
export readings --format Q
verify Q
verify --head Q
rejoin Q
key Q
key show Q
settings Q
settings Q x
settings unit Q
completion Q
help Q
sheet Q
sheet check Q
gauge add Q
gauge add m2 --resolution Q
gauge set Q 1
add component Q
add feature Q --of Q
add feature zz --of Q
add fit zz --stack Q
add fit zz --stack D --band Q
amend fit Q --why x
calc Q
calc D-H D=Q
bench Q
status --Q
--job Q status
--by Q note x
""".strip().split("\n")


@pytest.mark.parametrize("line", TYPED)
def test_what_is_typed_is_said_as_text(line: str, capsys: pytest.CaptureFixture[str]) -> None:
    typed = hostile.UNSEEN + "".join(hostile.MARKUP)
    for text in (typed, f"={typed}", f"D{MARKERS['RLO']}", f"1{MARKERS['ESC']}"):
        JOB.write_bytes(hostile.job_of(hostile.ENTRIES))
        said(capsys, [word.replace("Q", text) for word in shlex.split(line)])


# --- the Tab key ---------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", EACH)
@pytest.mark.parametrize("shell", ["fish", "zsh", "powershell"])
def test_the_tab_key_offers_no_name_that_is_not_text(
    shell: str, mark: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    data = hostile.job_of(hostile.ENTRIES)
    monkeypatch.setenv("_BEDPLATE_COMPLETE", f"complete_{shell}")
    monkeypatch.setenv("_TYPER_COMPLETE_WORD_TO_COMPLETE", "")
    for path in SHEET_TEXTS:
        entry = {**hostile.ENTRIES[0], "sheet": hostile.put(hostile.SHEET, path, f"{mark}$(x)")}
        JOB.write_bytes(hostile.job_of([entry]))
        for line in ("measure ", "fasten ", "done ", "sign ", "use ", "decide "):
            monkeypatch.setenv("_TYPER_COMPLETE_ARGS", f"bedplate {line}")
            capsys.readouterr()
            main([])
            answer = capsys.readouterr()
            assert raw_in(answer.out + answer.err) == []
            assert "$(x)" not in answer.out
    JOB.write_bytes(data)
    monkeypatch.setenv("_TYPER_COMPLETE_ARGS", "bedplate fasten ")
    assert main([]) == 0
    assert "N" in capsys.readouterr().out


def test_the_net_itself_lets_nothing_through_but_our_colours(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    out = io.StringIO()
    monkeypatch.setattr(screen, "visible", visible)
    for coloured in (False, True):
        screen.write_line(out, ALL, coloured=coloured)
    screen.write_line(out, "\x1b[1mclose\x1b[0m\x1b[2J", coloured=True)
    *shown, last = out.getvalue().rstrip("\n").split("\n")
    assert raw_in("".join(shown)) == []
    assert last == "\x1b[1mclose\x1b[0m\\x1b[2J"
