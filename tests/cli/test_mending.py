"""``remedy`` and ``match``: what would bring a fit in, and what goes where."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typist import Typist

PISTONS = """
format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2", "3"]
[[component]]
id = "block"
[[component]]
id = "piston"
positions = "cyl"
[[feature]]
tag = "B"
of = "block"
positions = "cyl"
[[feature]]
tag = "P"
of = "piston"
[[fit]]
tag = "PC"
stack = "B - P"
band = { limits = "0.040..0.060 mm" }
adjust = [{ feature = "B", make = "larger" }]
"""


def bored(typist: Typist) -> None:
    Path("c.toml").write_text(PISTONS, "utf-8")
    typist.type("open c --sheet c.toml")
    for cylinder, bore, piston in (
        ("1", "80.010", "79.950"), ("2", "80.000", "79.960"), ("3", "80.005", "79.940"),
    ):  # fmt: skip
        typist.type(f"measure B.{cylinder} {bore}")
        typist.type(f"measure P.{cylinder} {piston}")


def test_a_remedy_says_how_much_and_what_it_would_come_to(typist: Typist) -> None:
    bored(typist)
    answer = typist.type("remedy PC.2")
    assert answer.code == 0
    assert answer.out == ["B.2  0.010 mm larger", "  PC 2  0.050 ±0.0009 mm, in band"]


def test_where_nothing_allowed_reaches_the_answer_is_no(typist: Typist) -> None:
    bored(typist)
    answer = typist.type("remedy PC.3")
    assert answer.code == 1
    assert answer.out == ["B.3  cannot be made larger so that PC 3 comes in."]


def test_what_does_not_reach_says_so(typist: Typist) -> None:
    sizes = 'adjust = [{ feature = "P", sizes = ["79.950", "79.960 mm"] }]'
    adjust = next(line for line in PISTONS.splitlines() if line.startswith("adjust"))
    Path("c.toml").write_text(PISTONS.replace(adjust, sizes), "utf-8")
    typist.done("open c --sheet c.toml", "measure B.1 80.200", "measure P.1 79.940")
    answer = typist.type("remedy PC.1")
    assert answer.code == 1
    assert answer.out[-1] == "  No size there is brings PC 1 in."


def test_one_way_that_does_not_reach_is_no_matter_where_another_does(typist: Typist) -> None:
    """A gasket of one size for all does not cure all three; three bores, each by itself, do."""
    gasket = """
[[component]]
id = "gasket"
[[feature]]
tag = "G"
of = "gasket"
"""
    sheet = PISTONS.replace("[[fit]]", f"{gasket}[[fit]]").replace("B - P", "B + G - P")
    sizes = '{ feature = "G", sizes = ["0.01", "0.02 mm"] }]'
    Path("c.toml").write_text(sheet.replace('"larger" }]', f'"smaller" }}, {sizes}'), "utf-8")
    typist.type("open c --sheet c.toml")
    for line in (
        "B.1 80.060",
        "P.1 79.950",
        "B.2 80.100",
        "P.2 79.950",
        "B.3 80.150",
        "P.3 79.950",
    ):
        typist.type(f"measure {line}")
    typist.type("measure G 0.02")
    assert typist.type("remedy PC").code == 0


def test_parts_and_a_spare_go_where_the_worst_is_least(typist: Typist) -> None:
    bored(typist)
    typist.type("change piston new --mark C")
    typist.type("measure P.C 79.956")
    before = Path("c.job.jsonl").read_bytes()
    answer = typist.type("match PC --json")
    document = json.loads("\n".join(answer.out))
    assert [(place["position"], place["part"]) for place in document["places"]] == [
        ("1", "piston.2"), ("2", "piston.1"), ("3", "C"),
    ]  # fmt: skip
    assert [place["deviation"] for place in document["places"]] == ["0", "0", "-0.001"]
    assert Path("c.job.jsonl").read_bytes() == before


def test_too_few_parts_are_said(typist: Typist) -> None:
    Path("c.toml").write_text(PISTONS, "utf-8")
    typist.type("open c --sheet c.toml")
    for cylinder in "123":
        typist.type(f"measure B.{cylinder} 80.000")
    typist.type("measure P.1 79.950")
    answer = typist.type("match PC")
    assert answer.code == 2
    assert answer.err[0] == "Nothing to match. 1 part measured for 3 places of PC."


def test_an_unknown_fit_is_answered_with_the_nearest(typist: Typist) -> None:
    bored(typist)
    answer = typist.type("remedy PX")
    assert answer.code == 2
    assert answer.err == ['Nothing to say. There is no fit "PX".', "  Fits: PC"]


def test_a_match_of_too_many_arrangements_says_that_it_may_not_be_the_best(typist: Typist) -> None:
    names = [f"n{at}" for at in range(20)]
    sheet = PISTONS.replace('["1", "2", "3"]', str(names).replace("'", '"'))
    sheet = sheet.replace("B - P", "B - P - G")
    gasket = """
[[component]]
id = "crown-shim"
positions = "cyl"
[[feature]]
tag = "G"
of = "crown-shim"
"""
    Path("c.toml").write_text(sheet.replace("[[fit]]", f"{gasket}[[fit]]"), "utf-8")
    typist.type("open c --sheet c.toml")
    for at, name in enumerate(names):
        typist.type(f"measure B.{name} 80.000")
        typist.type(f"measure P.{name} {79 + at / 100:.3f} --yes")
        typist.type(f"measure G.{name} {0.95 - at / 100:.3f} --yes")
    assert typist.type("match PC").out[-3:] == [
        "All stay where they are.",
        "Parts of several kinds can be arranged in over a million ways; not all were tried.",
        "This is the best that was found; there may be a better one.",
    ]


def test_a_match_is_told_in_two_lines_where_one_would_be_too_long(
    typist: Typist, monkeypatch: pytest.MonkeyPatch
) -> None:
    bored(typist)
    monkeypatch.setenv("COLUMNS", "40")
    assert typist.type("match PC").out == [
        "PC 1  takes piston.2",
        "  0.050 ±0.0009 mm, on its aim",
        "PC 2  takes piston.3",
        "  0.060 ±0.0009 mm, +0.010 over its aim",
        "PC 3  takes piston.1",
        "  0.055 ±0.0009 mm, +0.005 over its aim",
    ]
