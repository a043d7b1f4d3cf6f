"""The check as a whole: every fault at once, none that only follows from another."""

from __future__ import annotations

from sheet_faults import said

from bedplate.sheet.checker import check_sheet
from bedplate.sheet.faults import MOST_FAULTS
from bedplate.sheet.model import Fit, Proof, Sheet, Step
from bedplate.sheet.scope import Gaps


def test_an_empty_sheet_is_sound() -> None:
    assert check_sheet(Sheet(format="bedplate-sheet/1")) == []


def test_faults_of_every_table_are_found_in_one_go() -> None:
    sheet = Sheet(
        format="bedplate-sheet/1",
        unit="mmm",
        moments=(),
        fit=(Fit(tag="EC", stack="D"),),
        proof=(Proof(tag="P", fit="EX"),),
        step=(Step(id="s", text="x", wait="long"),),
    )
    assert [
        (fault.key, fault.shown, fault.text.split("\n")[0]) for fault in check_sheet(sheet)
    ] == [
        ("moments", "", 'Name a moment at least:  moments = ["handover"]'),
        ("unit", "", 'There is no unit "mmm". Nearest: mm'),
        ("fit.stack", "fit EC, stack", 'No feature "D".'),
        ("proof.fit", "proof P, fit", 'No fit "EX". Fits: EC'),
        ("step.wait", "step s, wait", '"long" is not a figure.'),
    ]


def test_so_many_faults_are_found_and_no_more() -> None:
    steps = tuple(Step(id=f"s{n}", text="") for n in range(200))
    assert len(check_sheet(Sheet(format="bedplate-sheet/1", step=steps))) == MOST_FAULTS


def test_rows_keep_their_lines_though_others_before_them_are_lost() -> None:
    found = said("""
[[step]]
text = "no id"
[[step]]
id = "a"
text = "x"
wait = "12"
""")
    assert [fault.split("\n")[0] for fault in found] == [
        '2: A step needs its id:  id = "close"',
        '7: "12" has no unit.',
    ]


def test_nothing_is_concluded_from_a_damaged_row() -> None:
    sheet = Sheet(format="bedplate-sheet/1", unit="mm", fit=(Fit(tag="EC", same_as="E2"),))
    gaps = Gaps(damaged=frozenset({"ec"}), lost='tag = "E2" "x"')
    assert check_sheet(sheet, gaps=gaps) == []
