"""A session: what is asked in which order, and what becomes of every kind of answer."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_session import Sat, Scripted, entries_in, job_in, on_sheet, read_at, run

from bedplate.record.entries import Finding, Reading, Strike

Sit = Callable[..., Sat]

VALUES = ("1.0030", "1.0001", "1.0000", "0.9999", "1.0000", "6 thou")
HEAD = [
    "job    6 readings due    recording as Ann Fitter  (someone else: q, then --by)",
    "keys: b back  a again  s skip  g gauge  t temp  n note  f finding  d due  q quit",
    "",
]


def test_readings_are_asked_for_in_the_order_of_the_sheet(sit: Sit, small: Path) -> None:
    seen = sit(*VALUES)
    assert seen.lines == [
        *HEAD,
        "D bore depth, body                                           nominal 1.0030 in",
        "  no gauge: only the last digit typed counts as doubt",
        "  D    > 1.0030",
        "H gear height, gear driver                                   nominal 1.0000 in",
        "  @a   > 1.0001",
        "  @b   > 1.0000",
        "       EC driver  2.9 to 3.0 +-0.09 thou  in band  2 |--------=o=---------| 4",
        "H gear height, gear idler                                    nominal 1.0000 in",
        "  @a   > 0.9999",
        "  @b   > 1.0000",
        "       EC idler  3.0 to 3.1 +-0.09 thou  in band  2 |---------=o=--------| 4",
        "BL backlash                                           band of LASH 4 to 8 thou",
        "  how: Dial on the pitch circle",
        "  BL   > 6 thou",
        "       LASH  6.0 +-0.58 thou  in band  4 |-------==o===-------| 8",
        "All readings are in.  3 of 3 clearances in band.",
        "next: body has no decision             bedplate decide body reuse --why REASON",
        "  b takes back, an address goes there, q ends >",
        "Stopped. 7 entries kept, nothing half written.",
    ]
    assert seen.code == 0
    assert read_at(small) == {
        "D": ["1.0030 in"],
        "H.driver@a": ["1.0001 in"],
        "H.driver@b": ["1.0000 in"],
        "H.idler@a": ["0.9999 in"],
        "H.idler@b": ["1.0000 in"],
        "BL": ["6 thou"],
    }


def test_an_empty_answer_shows_the_prompt_again_and_does_nothing_else(
    sit: Sit, small: Path
) -> None:
    seen = sit("1.0030", "", "", "1.0001")
    assert seen.after("")[:4] == ["  @a   >", "  @a   >", "  @a   > 1.0001", "  @b   >"]
    assert len(entries_in(small)) == 3


@pytest.mark.parametrize("ended", ["q", "quit", "Q", None])
def test_a_session_that_is_left_says_how_to_go_on(
    sit: Sit, small: Path, ended: str | None
) -> None:
    seen = sit("1.0030", "1.0001", *([ended] if ended else []))
    assert seen.code == 0
    assert seen.lines[-1] == (
        "Stopped. 3 entries kept, nothing half written. Go on with: bedplate bench"
    )


def test_ctrl_c_keeps_everything_and_is_told_from_a_quiet_end(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", KeyboardInterrupt)
    assert seen.code == 130
    assert seen.lines[-1] == (
        "Stopped. 2 entries kept, nothing half written. Go on with: bedplate bench"
    )


def test_another_session_goes_on_at_the_next_reading_due(sit: Sit, small: Path) -> None:
    sit("1.0030", "1.0001", "1.0000")
    seen = sit("0.9999", "q")
    assert seen.lines[0] == (
        "job    3 readings due    recording as Ann Fitter    going on at H.idler@a"
    )
    assert seen.lines[3:7] == [
        "H gear height, gear idler                                    nominal 1.0000 in",
        "  no gauge: only the last digit typed counts as doubt",
        "  @a   > 0.9999",
        "  @b   > q",
    ]


def test_the_last_reading_can_be_taken_back_too(sit: Sit, small: Path) -> None:
    seen = sit(*VALUES[:-1], "16 thou", "", "x", "b", "6 thou", "q")
    assert seen.after("16 thou")[1:] == [
        "       LASH  16.0 +-0.58 thou  OUT, high by 8.0  4 |--------------------| 8  X",
        "All readings are in.  2 of 3 clearances in band, 1 not.",
        "next: LASH is out of band, high                           bedplate remedy LASH",
        "  b takes back, an address goes there, q ends >",
        "  b takes back, an address goes there, q ends > x",
        '       Not recorded. "x" is neither a value, a key nor an address.',
        "       ?  shows the keys.",
        "  b takes back, an address goes there, q ends > b",
        "       struck entry 7 (BL 16 thou, slip at the bench)",
        "BL backlash                                           band of LASH 4 to 8 thou",
        "  how: Dial on the pitch circle",
        "  BL   > 6 thou",
        "       LASH  6.0 +-0.58 thou  in band  4 |-------==o===-------| 8",
        "next: body has no decision             bedplate decide body reuse --why REASON",
        "  b takes back, an address goes there, q ends > q",
        "Stopped. 9 entries kept, nothing half written.",
    ]


def test_several_values_fill_the_following_stations_in_order(sit: Sit, small: Path) -> None:
    sit("1.0030", "1.0001 1.0000 in 0.9999", "q")
    assert read_at(small) == {
        "D": ["1.0030 in"],
        "H.driver@a": ["1.0001 in"],
        "H.driver@b": ["1.0000 in"],
        "H.idler@a": ["0.9999 in"],
    }


def test_more_values_than_places_of_the_feature_are_refused_whole(sit: Sit, small: Path) -> None:
    seen = sit("1.0030 1.0001", "1.0030", "q")
    assert seen.after("1.0030 1.0001")[:3] == [
        "  D    > 1.0030 1.0001",
        "       Not recorded. 2 values were typed, and 1 place is left of D: D",
        "  D    > 1.0030",
    ]
    assert read_at(small) == {"D": ["1.0030 in"]}


def test_what_follows_a_value_that_is_not_understood_is_not_recorded(
    sit: Sit, small: Path
) -> None:
    seen = sit("1.0030", "1.0001 1.00x0 0.9999", "q")
    assert seen.after("1.0001 1.00x0 0.9999")[1:4] == [
        '       Not recorded. There is no unit "x0".',
        "       Units: m, mm, um, in, thou, tenth",
        "       Nor was what followed: 0.9999",
    ]
    assert read_at(small) == {"D": ["1.0030 in"], "H.driver@a": ["1.0001 in"]}


@pytest.mark.parametrize(
    ("typed", "kept", "echo"),
    [
        ("+0.0002", "+0.0002 in", "       = 1.0032 in"),
        ("1.000+0.003", "1.000 in+0.003 in", "       = 1.003 in"),
        ("1.000 + 3 thou", "1.000 in+3 thou", "       = 1.003 in"),
        ("1-3/1000 in", "1-3/1000 in", "       = 1.003 in"),
        ("1 3/1000 in", "1 3/1000 in", "       = 1.003 in"),
        ('1.0030"', '1.0030"', None),
        ("25.476 mm", "25.476 mm", None),
        ("25.476MM", "25.476MM", None),
        ("1,0030", "1,0030 in", None),
        ("1.0029..1.0031", "1.0029..1.0031 in", None),
    ],
)
def test_every_typed_form_is_taken_and_kept_as_typed(
    sit: Sit, small: Path, typed: str, kept: str, echo: str | None
) -> None:
    seen = sit(typed, "q")
    assert read_at(small) == {"D": [kept]}
    after = seen.after(typed)[1]
    assert after == (echo if echo else after)
    assert ("= " in after) == (echo is not None)


def test_a_sweep_covers_all_stations_of_an_address(sit: Sit, small: Path) -> None:
    seen = sit("H.driver 0.9999..1.0001", "b", "q")
    assert seen.after("H.driver 0.9999..1.0001")[:4] == [
        "  D    > H.driver 0.9999..1.0001",
        "       entry 2   H.driver@a  0.9999..1.0001 in   gear height",
        "       entry 3   H.driver@b  0.9999..1.0001 in   gear height",
        "H gear height, gear idler                                    nominal 1.0000 in",
    ]
    assert "struck entries 2, 3 (H.driver 0.9999..1.0001, slip at the bench)" in seen.text
    assert read_at(small) == {}


def test_an_address_is_gone_to_and_the_order_goes_on_from_there(sit: Sit, small: Path) -> None:
    seen = sit("H.idler@b", "1.0000", "6 thou", "1.0030", "q")
    assert [line for line in seen.lines if " > " in line] == [
        "  D    > H.idler@b",
        "  @b   > 1.0000",
        "  BL   > 6 thou",
        "  D    > 1.0030",
        "  @a   > q",
    ]


def test_a_value_typed_with_its_address_is_acknowledged_where_it_stands(
    sit: Sit, small: Path
) -> None:
    seen = sit("H.idler@b 1.0002", "6 thou", "q")
    assert seen.after("H.idler@b 1.0002")[1] == (
        "       entry 2   H.idler@b  1.0002 in   gear height"
    )
    assert "entry 3" not in seen.text


def test_a_voice_says_where_a_value_typed_with_its_address_stands(sit: Sit, small: Path) -> None:
    seen = sit("H.idler@b 1.0002", "6 thou", "q", words=("--plain",))
    assert "Recorded, entry 2, H.idler@b." in seen.text
    assert "Recorded, entry 3." in seen.text


def test_the_last_prompt_fits_a_narrow_screen(
    sit: Sit, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    assert sit(*VALUES, "q").lines[-3:] == [
        "  b back, q ends, or an address > q",
        "Stopped. 7 entries kept, nothing half",
        "written.",
    ]


def test_a_part_and_a_fit_are_addresses_too(sit: Sit, small: Path) -> None:
    seen = sit("gear.idler", "EC.driver", "q")
    assert seen.after("gear.idler")[:7] == [
        "  D    > gear.idler",
        "H gear height, gear idler                                    nominal 1.0000 in",
        "  @a   > EC.driver",
        "       EC driver  waiting for D, H.driver",
        "       EC idler   waiting for D, H.idler",
        "D bore depth, body                                           nominal 1.0030 in",
        "  D    > q",
    ]


def test_what_is_no_value_no_key_and_no_address_is_told_so(sit: Sit, small: Path) -> None:
    seen = sit("H.drivre@a", "hidler", "x", "q")
    assert seen.after("H.drivre@a")[1:3] == [
        '       H (gear height) has no position "drivre".',
        "       Nearest: driver",
    ]
    assert seen.after("hidler")[1:2] == [
        '       Not recorded. "hidler" is neither a value, a key nor an address.',
    ]
    assert seen.after("x")[1:3] == [
        '       Not recorded. "x" is neither a value, a key nor an address.',
        "       ?  shows the keys.",
    ]


def test_some_places_only_are_asked_for_if_they_are_named(sit: Sit, small: Path) -> None:
    seen = sit("1.0001", "1.0000", words=("H.driver",))
    assert seen.lines[0].startswith("job    2 readings due")
    assert seen.lines[-4:-2] == [
        "All that was asked for is in.",
        "next: measure D (bore depth)                          bedplate measure D VALUE",
    ]
    again = sit("1.0002", "a", "1.0001", "i", words=("H.driver",))
    assert again.lines[0].startswith("job    2 readings due")
    assert read_at(small) == {"H.driver@a": ["1.0001 in", "1.0002 in"],
                              "H.driver@b": ["1.0001 in"]}  # fmt: skip


def test_a_name_that_is_nowhere_on_the_sheet_is_refused(sit: Sit, small: Path) -> None:
    seen = sit(words=("gaer",))
    assert seen.code == 2
    assert seen.lines == [
        'Nothing done. There is nothing called "gaer".', "  Nearest: gear",
    ]  # fmt: skip


def test_what_is_held_is_not_asked_for(sit: Sit, small: Path) -> None:
    run("defer", "driver at the grinder", "--until", "Quay", "--holds", "gear.driver",
        "--why", "out")  # fmt: skip
    seen = sit("1.0030", "q")
    assert [line for line in seen.lines if " > " in line] == ["  D    > 1.0030", "  @a   > q"]
    assert "H gear height, gear idler" in seen.text


def test_an_entry_of_another_program_in_between_is_taken_up(
    sit: Sit, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = Scripted.read

    def reads(self: Scripted, prompt: str) -> str | None:
        if self.line == 1:
            run("measure", "H.driver@a", "1.0001")
        return read(self, prompt)

    monkeypatch.setattr(Scripted, "read", reads)
    seen = sit("1.0030", "H.driver@b 1.0000", "q")
    assert "EC driver  2.9 to 3.0 +-0.09 thou  in band" in seen.text
    assert seen.lines[-2].startswith("  @a   > q")
    assert "gear idler" in seen.lines[-3]


def test_two_ways_to_one_quantity_leave_the_other_one_out(sit: Sit) -> None:
    on_sheet("""
unit = "mm"
source = "Invented handbook"
[[component]]
id = "body"
[[feature]]
tag = "A"
of = "body"
[[feature]]
tag = "B"
of = "body"
[[fit]]
tag = "ONE"
stack = "A"
band = { limits = "1..2 mm" }
[[fit]]
tag = "OTHER"
stack = "B"
same_as = "ONE"
""")
    seen = sit("1.5")
    assert [line for line in seen.lines if " > " in line] == ["  A    > 1.5"]
    assert "All readings are in." in seen.text


def test_a_job_that_is_done_says_so(sit: Sit) -> None:
    on_sheet('unit = "mm"\n')
    seen = sit()
    assert seen.lines[0].startswith("job    0 readings due")
    assert seen.lines[-2:] == [
        "All readings are in.",
        "next: sign for handover                                 bedplate sign handover",
    ]
    assert seen.code == 0


def test_under_json_there_is_one_document_of_all_that_was_recorded(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "0.9799", "k", "1.0000", "q", words=("--json",))
    (line,) = [line for line in seen.lines if line.startswith("{")]
    document = json.loads(line)
    assert (document["format"], document["job"], document["entries"]) == (
        "bedplate-out-bench/1", "job", 4,
    )  # fmt: skip
    assert document["recorded"] == [2, 3, 4]
    assert document["questioned"] == [{"entry": 3, "kept": "0.9799 is 20.1 thou under nominal"}]
    assert [(f["tag"], f["position"], f["verdict"]) for f in document["fits"]] == [
        ("EC", "driver", "out"), ("EC", "idler", "unmeasured"),
    ]  # fmt: skip


def test_the_hand_is_the_one_named(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "q", words=("--by", "Ben Lathe"))
    assert "recording as Ben Lathe" in seen.lines[0]
    assert job_in(small).entries[-1].by == "Ben Lathe"


def test_nothing_but_readings_strikes_and_notes_comes_of_readings(sit: Sit, small: Path) -> None:
    sit("1.0030", "n oily", "b", "b", "1.0031", "q")
    kinds = [type(entry) for entry in entries_in(small)[1:]]
    assert kinds == [Reading, Finding, Strike, Strike, Reading]
