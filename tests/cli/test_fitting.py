"""``fasten``, ``prove``, ``done`` and ``use`` as they are typed."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from typist import Typist

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def pump(typist: Typist) -> Typist:
    """Return somebody beside a pump that is about to be stripped."""
    shutil.copyfile(EXAMPLES / "transfer-pump.toml", "transfer-pump.toml")
    typist.type("open pump --sheet transfer-pump.toml")
    return typist


def test_fasteners_are_counted_and_the_caution_comes_first(pump: Typist) -> None:
    assert pump.type("fasten").out == ["N  4 of 4 as found"]
    answer = pump.type("fasten N removed --count 2")
    assert answer.out == ["entry 2   N removed, 2"]
    assert answer.err[:2] == [
        "CAUTION  The cover is spring loaded: keep a hand on it as the last nut comes",
        "         off.",
    ]
    assert pump.type("fasten").out == ["N  2 of 4 as found, 2 of 4 removed"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "fasten N loose",
            ['Not recorded. "loose" is no state of fasteners.',
             "  They are:  removed, fitted, tight, locked, backed-off, again"],
        ),
        ("fasten N tight --count x", ['Not recorded. --count takes a whole number, not "x".']),
        (
            "fasten X tight",
            ['Not recorded. There is no set of fasteners "X".', "  There are: N"],
        ),
        (
            "prove SPIN maybe",
            ['Not recorded. "maybe" is neither pass nor fail.',
             "  Type:  bedplate prove SPIN pass"],
        ),
        (
            "done drain --undone",
            ["Not recorded. Undoing a step needs its reason.",
             '  Type:  bedplate done drain --undone --why "..."'],
        ),
        ("use gasket --count 0", ['Not recorded. --count takes a whole number, not "0".']),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_not_recorded(pump: Typist, line: str, said: list[str]) -> None:
    before = Path("pump.job.jsonl").read_bytes()
    answer = pump.type(line)
    assert (answer.out, answer.err, answer.code) == ([], said, 2)
    assert Path("pump.job.jsonl").read_bytes() == before


def test_what_is_nearly_a_thing_the_sheet_takes_is_said_to_be_another(pump: Typist) -> None:
    said = pump.type('use "tab washers"')
    assert said.out == ["entry 2   used tab washers"]
    assert said.err[:2] == [
        'Recorded, but the sheet takes no "tab washers". Nearest: tab washer',
        "  A slip?  bedplate strike 2 --why slip",
    ]
    for part in ("'Tab Washer'", "'joint sealant'", "gasket"):
        assert not pump.type(f"use {part}").err[0].startswith("Recorded")


def test_a_lock_waits_for_its_proof_and_a_spent_washer_is_not_used_again(pump: Typist) -> None:
    for line in (
        "fasten N removed", "use gasket", 'use "tab washer" --count 4',
        "fasten N tight --reached 17",
    ):  # fmt: skip
        assert pump.type(line).code == 0
    refused = pump.type("fasten N locked")
    assert refused.code == 1
    assert refused.err[2].startswith("Refused. N (cover nuts) may not be locked: SPIN has not")
    assert pump.type("prove SPIN pass").out == ["entry 6   SPIN passed"]
    assert pump.type("fasten N locked").out == ["entry 7   N locked"]
    assert pump.type("fasten N backed-off --count 1").code == 0
    assert pump.type("fasten N tight --count 1 --reached 17").code == 0
    assert pump.type("prove SPIN pass").code == 0
    spent = pump.type("fasten N locked")
    assert spent.code == 1
    assert "tab washer" in " ".join(spent.err)
    assert "  Type:  bedplate use" in spent.err[-1]


def test_a_torque_out_of_its_limits_is_recorded_and_in_the_way(pump: Typist) -> None:
    for line in ("fasten N removed", "use gasket", "fasten N tight --reached 21"):
        assert pump.type(line).code == 0
    blockers = pump.document("status")["blockers"]
    assert any(blocker["kind"] == "fasteners" and "21" in blocker["text"] for blocker in blockers)


def test_done_alone_says_what_is_next(pump: Typist) -> None:
    assert pump.type("done").out == [
        "next: shut the fuel cock, drain and label the pipes",
        "   bedplate done drain",
    ]
    assert pump.type("done drain").out == ["entry 2   step drain done"]
    assert pump.type("done lock").code == 1


STAGES = """
format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
[axes]
main = ["1", "2"]
[[component]]
id = "block"
[[fasteners]]
tag = "N"
name = "cover nuts"
stages = [{ limits = "16..18 N*m" }]
[[fasteners]]
tag = "M"
positions = "main"
count = 2
stages = [{ limits = "30 N*m" }, { limits = "58..62 N*m" }, { limits = "..90 degree" }]
"""


def test_a_judged_stage_shows_its_verdict_below_its_entry(typist: Typist) -> None:
    typist.open(STAGES)
    assert typist.done("fasten N tight --reached 17")[1:] == [
        "  N  17 N m  in band  [ o ]  16 to 18 N m"
    ]
    assert typist.done('fasten N again --reached "14 lbf*ft"')[1:] == [
        "  N  14 lbf ft  OUT, high by 1.0  [   ]X  16 to 18 N m"
    ]
    # A setting to reach is recorded, not judged.
    assert len(typist.done("fasten M tight --stage 1 --reached 30")) == 2
    assert typist.done("fasten M tight --stage 2 --reached 60")[2:] == [
        "  M.1 stage 2  60 N m  in band  [ o ]  58 to 62 N m",
        "  M.2 stage 2  60 N m  in band  [ o ]  58 to 62 N m",
    ]
    assert typist.done("fasten M.2 tight --stage 3 --reached 95")[1:] == [
        "  M.2 stage 3  95 degrees  OUT, high by 5  (   ]X  ..90 degrees"
    ]
    assert typist.done("--plain fasten M.2 again --count 1 --reached 80")[-1] == (
        "M.2 stage 3: 80 degrees, in band; ..90 degrees."
    )


def test_the_verdict_of_a_stage_fits_a_narrow_screen(
    typist: Typist, monkeypatch: pytest.MonkeyPatch
) -> None:
    typist.open(STAGES)
    monkeypatch.setenv("COLUMNS", "40")
    lines = typist.done("fasten N tight --reached 15")[-2:]
    assert lines == ["  N  15 N m", "  OUT, low by 1  X[   ]  16 to 18 N m"]


CAPS = """
format = "bedplate-sheet/1"
unit = "mm"
[axes]
main = ["1", "2"]
[[component]]
id = "crank"
renew = true
[[fasteners]]
tag = "M"
positions = "main"
count = 2
"""


def test_where_one_position_is_so_already_the_others_are_moved(typist: Typist) -> None:
    Path("caps.toml").write_text(CAPS, encoding="utf-8")
    typist.done("open caps --sheet caps.toml", "fasten M.1 removed")
    assert typist.type("fasten M removed").out == [
        "entry 3   M.2 removed",
        "  M.1 is left as it is: removed (entry 2).",
    ]
    refused = typist.type("fasten M removed")
    assert (refused.code, refused.out) == (1, [])
    assert refused.err[0].startswith("Refused. M.1 may not be removed: it is removed already")
