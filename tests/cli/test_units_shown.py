"""``show`` and ``both_units``: what each screen makes of them, and what they never change."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from typist import Typist

SHEET = """
format = "bedplate-sheet/1"
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "body"
material = "bronze"
[[component]]
id = "gear"
positions = "gear"
material = "bronze"
[[feature]]
tag = "D"
of = "body"
[[feature]]
tag = "H"
of = "gear"
[[fit]]
tag = "EC"
name = "end clearance"
stack = "D - H"
band = { limits = "2..4 thou", source = "p. 31", aim = "3 thou" }
adjust = [{ feature = "H", make = "larger" }]
[[fit]]
tag = "FREE"
stack = "D - H"
"""

VALUES = ("measure D 1.0030", "measure H.driver 1.0000", "measure H.idler 0.9979")


def pump(typist: Typist, *settings: str) -> Typist:
    """Open a pump, read it, then set what is to be shown."""
    typist.open(SHEET).done(*VALUES)
    for each in settings:
        typist.done(f"settings {each}")
    return typist


BOTH = ("both_units yes", "show um")


def test_check_says_the_second_figures_below_each_row(typist: Typist) -> None:
    pump(typist, "both_units yes")
    assert typist.type("check EC").out[1:] == [
        "fit  place   tightest  loosest    ±U  band                  verdict",
        "EC   driver       3.0      3.0  0.09  2 to 4 thou   [ o ]   in band",
        "  (0.076 ±0.0021 mm, band 0.051 to 0.102 mm)",
        "EC   idler        5.1      5.1  0.09  2 to 4 thou   [   ]X  OUT, loose by 1.1",
        "  (0.130 ±0.0021 mm, band 0.051 to 0.102 mm, loose by 0.028 mm)",
        "EC driver  2 ├────────═o═─────────┤ 4",
        "EC idler  2 ├────────────────────┤ 4  X",
        "1 out of 2: to mend: bedplate remedy EC",
        "±U is from typed digits only where no gauge was named or described.",
    ]


def test_check_says_the_unit_of_what_has_no_band(typist: Typist) -> None:
    pump(typist)
    assert typist.done("check FREE.driver")[1:3] == [
        "fit   place   tightest  loosest       ±U  band               verdict",
        "FREE  driver    0.0030   0.0030  0.00009  none, in   -       recorded, no limit entered",
    ]
    typist.done("settings show um")
    assert typist.done("check FREE.driver")[2] == (
        "FREE  driver        76       76  2.1  none, µm   -       recorded, no limit entered"
    )


def test_a_reading_says_its_verdict_in_both(typist: Typist) -> None:
    pump(typist, *BOTH)
    said = typist.type("measure H.idler 1.0001 --instead")
    assert said.out[2:] == [
        "  EC idler    2.9 ±0.09 thou (74 ±2.1 µm)  in band  2 ├───────═o═──────────┤ 4",
        "  FREE idler  74 ±2.1 µm (2.9 ±0.09 thou)  recorded, no limit entered",
    ]


def test_a_line_that_is_too_long_is_set_below_itself(
    typist: Typist, monkeypatch: pytest.MonkeyPatch
) -> None:
    pump(typist, "both_units yes")
    assert typist.type("measure H.idler 0.9979..0.9982 --instead").out[2:4] == [
        "  EC idler    4.8 to 5.1 ±0.09 thou (0.122 to 0.130 ±0.0021 mm)",
        "              OUT, loose by 1.1 thou (0.028 mm)  2 ├────────────────────┤ 4  X",
    ]
    assert typist.type("measure H.idler 1.0001 --instead").out[2] == (
        "  EC idler    2.9 ±0.09 thou (0.074 ±0.0021 mm)      in band"
    )
    monkeypatch.setenv("COLUMNS", "76")
    assert typist.type("measure H.idler 0.9979..0.9982 --instead").out[2:5] == [
        "  EC idler    4.8 to 5.1 ±0.09 thou (0.122 to 0.130 ±0.0021 mm)",
        "              OUT, loose by 1.1 thou (0.028 mm)",
        "              2 ├────────────────────┤ 4  X",
    ]


def test_a_narrow_screen_puts_the_second_unit_below(
    typist: Typist, monkeypatch: pytest.MonkeyPatch
) -> None:
    pump(typist, "both_units yes")
    monkeypatch.setenv("COLUMNS", "40")
    assert typist.type("measure H.idler 1.0001 --instead").out[2:] == [
        "EC idler  2.9 ±0.09 thou",
        "  (0.074 ±0.0021 mm)",
        "  in band",
        "  2 ├────═o═─────┤ 4",
        "FREE idler  0.0029 ±0.00009 in",
        "  (0.074 ±0.0021 mm)",
        "  recorded, no limit entered",
    ]


def test_a_voice_says_both(typist: Typist) -> None:
    pump(typist, *BOTH)
    assert typist.type("check EC.idler --plain").out[1:] == [
        "Verdict: end clearance EC, idler: OUT, loose by 1.1 thou (28 um). 5.1 thou, plus or "
        "minus 0.09 (130 um, plus or minus 2.1). Band 2 to 4 thou (51 to 102 um).",
        "1 out of 1: to mend: bedplate remedy EC",
        "U is from typed digits only where no gauge was named or described.",
    ]


def test_a_sum_is_said_in_both(typist: Typist) -> None:
    typist.done("settings both_units yes")
    said = typist.type('calc "1.0030 - 0.9990" --band 2..4thou')
    assert said.out == [
        "4.0 ±0.09 thou (0.102 ±0.0021 mm)   in, close to high",
        "2 ├──────────────────═?┤ 4  =",
    ]
    assert said.err == ["It could be 4.1 thou (0.104 mm)."]
    assert typist.done('calc "48.043 - 47.990 mm"') == ["0.053 ±0.0009 mm (2.1 ±0.04 thou)"]


def test_a_sum_without_a_band_is_in_the_unit_preferred_unless_one_was_typed(
    typist: Typist,
) -> None:
    typist.done("settings show thou")
    assert typist.done('calc "1.0030 - 0.9990"') == ["4.0 ±0.09 thou"]
    assert typist.done('calc "48.043 - 47.990 mm"') == ["0.053 ±0.0009 mm"]


def test_a_remedy_is_said_in_both(typist: Typist) -> None:
    pump(typist, "both_units yes")
    assert typist.type("remedy EC.idler").out == [
        "H.idler  2.1 thou (0.053 mm) larger",
        "  EC idler  3.0 ±0.09 thou (0.076 ±0.0021 mm), in band",
    ]


def test_which_part_goes_where_is_said_in_both(typist: Typist) -> None:
    pump(typist, "both_units yes")
    assert typist.done("match EC") == [
        "EC driver  stays  3.0 ±0.09 thou (0.076 ±0.0021 mm), on its aim",
        "EC idler  stays",
        "  5.1 ±0.09 thou (0.130 ±0.0021 mm), +2.1 thou (0.053 mm) over its aim",
        "All stay where they are.",
    ]


def test_what_grows_is_said_in_both(typist: Typist) -> None:
    pump(typist, *BOTH)
    assert typist.type("check EC.driver --hot 120degC").out[-2:] == [
        "Grown as at 120degC; shown, not judged:",
        "  EC driver  3.0 thou (76 µm)",
    ]


def test_the_bench_says_its_verdicts_in_both(
    typist: Typist, monkeypatch: pytest.MonkeyPatch
) -> None:
    typist.open(SHEET).done("settings both_units yes", "measure D 1.0030")
    monkeypatch.setattr("sys.stdin", io.StringIO("1.0000\nq\n"))
    out = typist.done("bench")
    assert "       EC driver    3.0 ±0.09 thou (0.076 ±0.0021 mm)      in band" in out
    assert "                    2 ├────────═o═─────────┤ 4" in out


@pytest.mark.parametrize("reader", ["workshop", "customer", "public"])
def test_a_summary_is_as_whoever_writes_it_prefers(typist: Typist, reader: str) -> None:
    pump(typist, *BOTH)
    text = " ".join(" ".join(typist.done(f"summary --for {reader}")).split())
    assert "3.0 thou (76 µm)" in text
    assert "2 to 4 thou (51 to 102 µm)" in text
    typist.done(f"summary --for {reader} -o page.html")
    page = Path("page.html").read_text("utf-8")
    assert "3.0 thou (76 µm)" in page
    assert "2 to 4 thou (51 to 102 µm)" in page
    assert "thou thou" not in page


def test_the_summary_of_somebody_without_a_preference_is_as_entered(typist: Typist) -> None:
    pump(typist)
    before = typist.done("summary")
    typist.done("settings both_units yes", "settings both_units --unset")
    assert typist.done("summary") == before
    assert not any("mm" in line for line in before)


@pytest.mark.parametrize("show", ["thou", "in", "mm", "um"])
def test_no_setting_changes_data_verdict_or_record(typist: Typist, show: str) -> None:
    pump(typist)
    lines = (
        "check", "check --all", "check EC --hot 60degC", "status", "remedy EC", "match EC",
        "summary", "calc 1.0030-0.9990 --band 2..4thou", "calc 1.0030-0.9990", "log",
    )  # fmt: skip
    said = [typist.type(["--json", *line.split()]) for line in lines]
    record = typist.data
    typist.done(f"settings show {show}", "settings both_units yes")
    again = [typist.type(["--json", *line.split()]) for line in lines]
    assert [each.code for each in again] == [each.code for each in said]
    assert [each.out for each in again] == [each.out for each in said]
    assert typist.data == record
    document = typist.document("measure H.idler 1.0001 --instead")
    assert [(fit["unit"], fit["tightest"]) for fit in document["fits"]] == [
        ("thou", "2.9"), ("in", "0.0029"),
    ]  # fmt: skip


def test_the_file_beside_data_is_as_its_writer_prefers(typist: Typist) -> None:
    pump(typist, *BOTH)
    data = json.dumps(typist.document("summary -o page.html"))
    assert "(76" not in data
    assert "3.0 thou (76 µm)" in Path("page.html").read_text("utf-8")
