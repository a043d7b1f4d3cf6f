"""What ``prove`` says of a proof at several positions, and of one that lacks a hand or a look."""

from __future__ import annotations

from pathlib import Path

import pytest
from typist import Typist

SHEET = """
format = "bedplate-sheet/1"
unit = "mm"
[axes]
cyl = ["1", "2"]
[[component]]
id = "rod"
positions = "cyl"
renew = true
[[proof]]
tag = "MARKS"
text = "Marks in line"
positions = "cyl"
hand = "another"
[[proof]]
tag = "LOOK"
text = "No tight spot"
times = 3
"""


@pytest.fixture
def rods(typist: Typist) -> Typist:
    """Return Ann beside two rods, whose marks two people look at."""
    Path("rods.toml").write_text(SHEET, encoding="utf-8")
    typist.done("open rods --sheet rods.toml")
    return typist


def test_a_proof_that_asks_for_a_second_hand_says_so(rods: Typist) -> None:
    assert rods.type("prove MARKS.1 pass").out == [
        "entry 2   MARKS.1 passed",
        "  MARKS.1 has passed by one hand (Ann Fitter) and asks for a second.",
    ]
    assert rods.type("prove MARKS.1 pass --by Ben").out == ["entry 3   MARKS.1 passed"]


def test_a_proof_that_asks_for_another_look_says_so(rods: Typist) -> None:
    told = [rods.type(f"prove LOOK pass{plain}").out[1:] for plain in ("", " --plain", "")]
    assert told == [["  LOOK has passed 1 of 3 times."], ["LOOK has passed 2 of 3 times."], []]


def test_at_all_positions_what_this_hand_has_passed_is_left_and_said(rods: Typist) -> None:
    rods.done("prove MARKS.1 pass")
    assert rods.type("prove MARKS pass").out == [
        "entry 3   MARKS.2 passed",
        "  MARKS.1 is left as it is: Ann Fitter has passed it already (entry 2).",
        "  MARKS.2 has passed by one hand (Ann Fitter) and asks for a second.",
    ]
    assert rods.type("prove MARKS fail").out == [
        "entry 4   MARKS.1 FAILED",
        "entry 5   MARKS.2 FAILED",
    ]


def test_where_this_hand_has_passed_them_all_it_is_refused(rods: Typist) -> None:
    rods.done("prove MARKS pass")
    said = rods.type("prove MARKS pass")
    assert (said.code, said.out) == (1, [])
    assert said.err == [
        "Refused. MARKS.1 asks for a second hand, and Ann Fitter has passed it already",
        "(entry 2).",
        '  Type:  bedplate prove MARKS.1 pass --by "SECOND HAND"',
    ]
