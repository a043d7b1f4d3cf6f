"""What stands over a prompt: for wide screens, narrow ones, and a voice."""

from __future__ import annotations

import io

import pytest

from bedplate.cli.bench import heads
from bedplate.cli.bench.heads import Heading
from bedplate.cli.screen import Screen

H = Heading("H", "gear height", "gear driver", "mic1", "nominal 1.0000 in",
            spoken="nominal 1.0000 inch")  # fmt: skip
BL = Heading("BL", "BL", "", None, "band of LASH 4 to 8 thou", "Dial on the pitch circle",
             ("M.1 (main cap bolts)", "M.2 (main cap bolts)"), "band 4 to 8 thou")  # fmt: skip


def screen(columns: int = 80, *, plain: bool = False) -> Screen:
    stream = io.StringIO()
    return Screen(stream, stream, columns, 24, terminal=True, plain=plain, can_draw=False,
                  can_colour="")  # fmt: skip


def test_a_heading_on_a_wide_screen() -> None:
    assert heads.heading(H, screen()) == [
        "H gear height, gear driver                            mic1   nominal 1.0000 in",
    ]
    assert heads.heading(BL, screen()) == [
        "BL                                                    band of LASH 4 to 8 thou",
        "  how: Dial on the pitch circle",
        "  tight: M.1 (main cap bolts), M.2 (main cap bolts)",
    ]


def test_a_heading_at_forty_columns() -> None:
    assert heads.heading(H, screen(40)) == [
        "H gear height, gear driver         mic1",
        "  nominal 1.0000 in",
    ]
    assert heads.heading(BL, screen(40)) == [
        "BL",
        "  band of LASH 4 to 8 thou",
        "  how: Dial on the pitch circle",
        "  tight: M.1 (main cap bolts), M.2",
        "  (main cap bolts)",
    ]


def test_a_heading_that_does_not_fit_is_never_cut() -> None:
    long = Heading("H", "height over " * 6 + "all", "gear", "mic1", "nominal 1.0000 in")
    lines = heads.heading(long, screen())
    assert lines[-1].strip() == "mic1   nominal 1.0000 in"
    assert " ".join(" ".join(lines).split()).startswith("H height over height over")
    assert all(len(line) < 80 for line in lines)


def test_a_voice_says_all_of_it_once_and_then_the_station() -> None:
    assert heads.heading(H, screen(plain=True)) == []
    assert heads.spoken(H, "@b", first=True) == [
        "Next: H, gear height, gear driver, station b. Gauge mic1. Nominal 1.0000 inch."
    ]
    assert heads.spoken(H, "@c", first=False) == ["Next: H, station c."]
    assert heads.spoken(BL, "BL", first=True) == [
        "Next: BL. No gauge. Band 4 to 8 thou.",
        "How: Dial on the pitch circle.",
        "Must be tight: M.1 (main cap bolts), M.2 (main cap bolts).",
    ]
    assert heads.spoken(BL, "BL", first=False) == ["Next: BL, BL."]


@pytest.mark.parametrize(
    ("columns", "label", "labels", "prompt"),
    [
        (80, "@a", ["@a", "@b"], "  @a   > "),
        (80, "@12", ["@12", "@4"], "  @12  > "),
        (80, "@rear/v", ["@front/v", "@rear/v"], "  @rear/v  > "),
        (80, "TW.fore", [], "  TW.fore > "),
        (40, "@4", ["@12", "@4"], "@4  > "),
        (40, "@a", ["@a"], "@a > "),
    ],
)
def test_answers_stand_under_each_other(
    columns: int, label: str, labels: list[str], prompt: str
) -> None:
    assert heads.station_prompt(label, labels, screen(columns)) == prompt


@pytest.mark.parametrize(
    ("columns", "plain", "lines", "prompt"),
    [
        (80, False, [], "       Meant as mm?    right value, or k to keep > "),
        (40, False, ["  Meant as mm?"], "  right value, or k to keep > "),
        (24, False, ["  Meant as mm?", "  right value, or k"], "  to keep > "),
        (80, True, ["Meant as mm?"], "Right value, or k to keep: "),
    ],
)
def test_a_question_stands_beside_its_reason_where_there_is_room(
    columns: int, plain: bool, lines: list[str], prompt: str
) -> None:
    found = heads.prompt_after("Meant as mm?", "right value, or k to keep",
                               screen(columns, plain=plain))  # fmt: skip
    assert found == (lines, prompt)


def test_the_keys_in_one_line_where_they_fit() -> None:
    assert [len(line) for line in heads.key_line(screen())] == [80]
    assert heads.key_line(screen(64)) == [
        "keys: b back  a again  s skip  g gauge  t temp  n note",
        "      f finding  d due  q quit",
    ]
    assert heads.key_line(screen(40)) == ["? for the keys"]
    assert heads.key_line(screen(plain=True)) == ["Type a question mark for the keys."]


@pytest.mark.parametrize("columns", [40, 60, 80, 200])
def test_the_table_of_keys_fits(columns: int) -> None:
    lines = heads.key_table(screen(columns))
    assert max(map(len, lines)) < columns
    text = " ".join(" ".join(lines).split())
    assert "temp: temperature of the part from here on: t 24C or t none" in text


def test_an_acknowledgment_is_set_in() -> None:
    assert heads.set_in("entry 7   zero check", screen()) == ["  entry 7   zero check"]
    assert heads.set_in("entry 7   zero check mic1: +0.0001, taken off", screen(30)) == [
        "  entry 7   zero check mic1:", "  +0.0001, taken off",
    ]  # fmt: skip


def test_a_prompt_is_spoken_with_its_words_apart() -> None:
    aloud = screen(plain=True)
    assert heads.work_prompt("b takes back", aloud) == "B takes back: "
    assert heads.work_prompt("type  pass  or  fail", aloud) == "Type pass or fail: "
    assert heads.prompt_after("Odd.", "right value, or k", aloud) == (
        ["Odd."], "Right value, or k: ",
    )  # fmt: skip
