"""Tables: point under point, never cut, stacked where the screen is narrow."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.cli.columns import Column, table

COLUMNS = [
    Column("fit", head=True),
    Column("place", head=True),
    Column("tightest", "point"),
    Column("+-U", "point", spoken="plus or minus"),
    Column("band", bare=True, spoken="band"),
    Column("", drawn=True, bare=True),
    Column("verdict", bare=True),
]
ROWS = [
    ["EC", "driver", "2.9", "0.19", "2 to 4 thou", " [ o ] ", "in band"],
    ["EC", "idler", "15", "0.19", "2 to 4 thou", " [   ]X", "OUT, loose by 11.0"],
    ["LASH", "-", "-", "-", "..8 thou", " (...]", "waiting: BL"],
]


def test_a_table_is_aligned_on_the_decimal_point() -> None:
    assert table(COLUMNS, ROWS, 80) == [
        "fit   place   tightest   +-U  band                  verdict",
        "EC    driver       2.9  0.19  2 to 4 thou   [ o ]   in band",
        "EC    idler       15    0.19  2 to 4 thou   [   ]X  OUT, loose by 11.0",
        "LASH  -              -     -  ..8 thou      (...]   waiting: BL",
    ]


def test_a_narrow_screen_has_each_row_stacked() -> None:
    assert table(COLUMNS, ROWS, 40) == [
        "EC driver",
        "  tightest 2.9  +-U 0.19  2 to 4 thou",
        "  [ o ]  in band",
        "EC idler",
        "  tightest 15  +-U 0.19  2 to 4 thou",
        "  [   ]X  OUT, loose by 11.0",
        "LASH -",
        "  ..8 thou  (...]  waiting: BL",
    ]


def test_a_last_column_too_long_is_wrapped_under_itself() -> None:
    rows = [["N", "one two three four five six seven"]]
    assert table([Column("set", head=True), Column("what")], rows, 30) == [
        "set  what",
        "N    one two three four five",
        "     six seven",
    ]


def test_a_pipe_takes_any_width() -> None:
    long = "x" * 300
    lines = table([Column("a"), Column("b")], [[long, "end"]], None)
    assert lines[1] == f"{long}  end"


def test_plain_says_one_fact_a_line_without_signs() -> None:
    assert table(COLUMNS, ROWS[:1] + ROWS[2:], 80, plain=True) == [
        "EC, driver.",
        "Tightest 2.9.",
        "Plus or minus 0.19.",
        "Band 2 to 4 thou.",
        "In band.",
        "LASH.",
        "Band ..8 thou.",
        "Waiting: BL.",
    ]


def test_weight_takes_no_room_and_wide_letters_take_two() -> None:
    rows = [["\x1b[1mab\x1b[0m", "x"], ["漢字", "x"], ["e\u0301abc", "x"]]
    assert table([Column("n"), Column("m")], rows, 80) == [
        "n     m",
        "\x1b[1mab\x1b[0m    x",
        "漢字  x",
        "e\u0301abc  x",
    ]


def test_no_rows_are_a_heading_alone() -> None:
    assert table([Column("a"), Column("b")], [], 80) == ["a  b"]


words = st.text(alphabet="ab 1.-", min_size=1, max_size=30).map(str.strip).filter(bool)


@given(st.lists(st.tuples(words, words, words), min_size=1, max_size=4), st.integers(20, 90))
def test_nothing_is_ever_cut(rows: list[tuple[str, str, str]], width: int) -> None:
    columns = [Column("one", head=True), Column("two", "point"), Column("three")]
    for wide in (width, None):
        shown = " ".join(table(columns, rows, wide)).split()
        kept = [word for row in rows for text in row if text != "-" for word in text.split()]
        assert [word for word in kept if word not in shown] == []


@pytest.mark.parametrize("width", [30, 40, 60])
def test_a_narrow_table_stays_within_its_screen(width: int) -> None:
    assert max(len(line) for line in table(COLUMNS, ROWS, width)) <= width
