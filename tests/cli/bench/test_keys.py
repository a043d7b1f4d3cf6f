"""The keys: back, again, skip, gauge, temperature, note, finding, due, keep."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_session import Sat, add_gauge, entries_in, job_in, read_at, run

from bedplate.record.entries import Finding, Reading

Sit = Callable[..., Sat]


def prompts(seen: Sat) -> list[str]:
    """Return the prompts with their answers, in order."""
    return [line.strip() for line in seen.lines if " > " in f"{line} "]


# ---- back


def test_back_strikes_the_last_entry_and_asks_for_it_again(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "1.0001", "b", "1.0002", "q")
    assert seen.after("b")[:4] == [
        "  @b   > b",
        "       struck entry 3 (H.driver@a 1.0001, slip at the bench)",
        "  @a   > 1.0002",
        "  @b   > q",
    ]
    assert read_at(small) == {"D": ["1.0030 in"], "H.driver@a": ["1.0002 in"]}


def test_back_goes_back_over_a_heading(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "b", "1.0031", "q")
    assert seen.after("b")[1:4] == [
        "       struck entry 2 (D 1.0030, slip at the bench)",
        "D bore depth, body                                           nominal 1.0030 in",
        "  D    > 1.0031",
    ]


def test_back_again_goes_further_back(sit: Sit, small: Path) -> None:
    sit("1.0030", "1.0001", "1.0000", "b", "b", "b", "q")
    assert read_at(small) == {}


def test_back_ends_where_the_session_began(sit: Sit, small: Path) -> None:
    sit("1.0030", "q")
    seen = sit("b", "q")
    assert seen.after("b")[1:2] == [
        "       Nothing changed. Nothing of this session is left to take back.",
    ]
    assert read_at(small) == {"D": ["1.0030 in"]}


def test_back_over_instead_leaves_what_was_struck_struck(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "1.0001", "H.driver@a 1.0002", "i", "b", "q")
    assert "struck entry 5 (H.driver@a 1.0002, slip at the bench)" in seen.text
    assert read_at(small) == {"D": ["1.0030 in"]}
    assert prompts(seen)[-1] == "@a   > q"


def test_back_says_what_a_verdict_is_without_the_repeat(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "1.0001 1.0000", "a 1.0004", "b", "q")
    assert seen.after("b")[1:4] == [
        "       struck entry 5 (H.driver@b 1.0004, slip at the bench)",
        "       EC driver  2.9 to 3.0 +-0.09 thou  in band  2 |--------=o=---------| 4",
        "  H.driver@b again > q",
    ]


# ---- again


def test_again_is_one_more_reading_where_the_last_was_taken(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "1.0001", "a", "1.0002", "a 1.0003", "q")
    assert prompts(seen)[2:] == [
        "@b   > a", "H.driver@a again > 1.0002", "@b   > a 1.0003", "@b   > q",
    ]  # fmt: skip
    assert read_at(small)["H.driver@a"] == ["1.0001 in", "1.0002 in", "1.0003 in"]


def test_again_without_a_reading_before_is_told_so(sit: Sit, small: Path) -> None:
    seen = sit("a", "q")
    assert seen.after("a")[1:4] == [
        "       Nothing recorded. Nothing was read in this session yet, so nothing is",
        "       read again.",
        "       Name the place, with the value behind it:  H.driver@a 1.0001",
    ]


# ---- skip


def test_skip_leaves_a_reading_for_later(sit: Sit, small: Path) -> None:
    seen = sit("s", "1.0001 1.0000 0.9999 1.0000", "6thou")
    assert seen.lines[-6:-2] == [
        "1 reading left for later.  1 of 3 clearances in band, 2 waiting.",
        "Left for later: D. Go on with: bedplate bench",
        "next: gear.driver has no decision",
        "   bedplate decide gear.driver reuse --why REASON",
    ]
    assert sit("q").lines[0] == (
        "job    1 reading due    recording as Ann Fitter    going on at D"
    )


def test_skip_with_a_reason_leaves_it_out_for_good(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "skip not-there", "q")
    assert seen.after("skip not-there")[1:3] == [
        "       entry 3   H.driver@a  left out: not-there",
        "  @b   > q",
    ]
    (left_out,) = [e for e in entries_in(small) if isinstance(e, Reading) and e.left_out]
    assert (left_out.address, left_out.left_out) == ("H.driver@a", "not-there")


def test_a_figure_is_no_reason(sit: Sit, small: Path) -> None:
    seen = sit("s 1.0031", "q")
    assert seen.after("s 1.0031")[1:3] == [
        '       Not recorded. "1.0031" is no reason for leaving D out.',
        "       s  alone leaves it for later.",
    ]


def test_leaving_out_where_something_stands_is_asked_about(sit: Sit, small: Path) -> None:
    sit("1.0030", "q")
    seen = sit("D", "s not there", "i", "q")
    assert seen.after("s not there")[1] == "       D was read before: 1.0030 in (entry 2)."
    assert read_at(small) == {"D": ["-"]}


def test_what_was_skipped_is_asked_for_if_somebody_goes_there(sit: Sit, small: Path) -> None:
    sit("s", "D", "1.0030", "q")
    assert read_at(small) == {"D": ["1.0030 in"]}


# ---- gauge


def test_a_gauge_holds_for_whatever_is_read_on_such_a_one(sit: Sit, small: Path) -> None:
    add_gauge("micA", "--kind", "micrometer")
    add_gauge("micB", "--kind", "micrometer")
    seen = sit("1.0030", "g micA", "s", "1.0001", "g MICB", "s", "1.0000", "0.9999", "q")
    gauges = [e.gauge for e in entries_in(small) if isinstance(e, Reading)]
    assert gauges == [None, "micA", "micB", "micB"]
    assert seen.after("g micA")[1:5] == [
        "       on micA from here on",
        "micA: zero check: what it shows, and on what (not set yet)",
        "  it reads like  0 on 0   or   1.0001 on 1in",
        "  micA > s",
    ]


def test_no_gauge_can_be_named_too(sit: Sit, small: Path, mic: None) -> None:
    seen = sit("1.0030", "g none", "1.0001", "q")
    assert seen.after("g none")[1:3] == [
        "       no gauge from here on: only the last digit typed counts as doubt",
        "H gear height, gear driver                                   nominal 1.0000 in",
    ]
    assert [e.gauge for e in entries_in(small) if isinstance(e, Reading)] == [None, None]


def test_an_unknown_gauge_is_refused(sit: Sit, small: Path, mic: None) -> None:
    seen = sit("g mic9", "q")
    assert seen.after("g mic9")[1:4] == [
        '       Not recorded. There is no gauge "mic9" in your cabinet yet. There are:',
        "       mic1.",
        "  D    > q",
    ]
    assert read_at(small) == {}


def test_g_alone_says_which_it_is_and_which_there_are(sit: Sit, small: Path, mic: None) -> None:
    seen = sit("1.0030", "s", "g", "q")
    assert seen.after("g")[1] == "       read on mic1. There are: mic1."


def test_a_gauge_with_what_it_shows_is_set_too(sit: Sit, small: Path, mic: None) -> None:
    seen = sit("1.0030", "g mic1 1.0002 on 1in", "1.0001", "q")
    assert "zero check mic1: +0.0002, taken off every reading from here on" in seen.text
    assert [e.kind for e in entries_in(small)[1:]] == ["reading", "gauge", "setting", "reading"]


def test_felt_with_one_and_read_on_another(sit: Sit, small: Path, mic: None) -> None:
    add_gauge("tg", "--kind", "telescopic gauge")
    sit("1.0030", "g tg/mic1", "s", "1.0001", "q")
    assert [e.gauge for e in entries_in(small) if isinstance(e, Reading)] == [None, "tg/mic1"]


# ---- temperature


def test_a_temperature_holds_from_here_on(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "t 24C", "1.0001", "t", "t none", "1.0000", "t 24", "q")
    temps = [e.temp for e in entries_in(small) if isinstance(e, Reading)]
    assert temps == [None, "24C", None]
    assert seen.after("t")[1] == "       part at 24C"
    assert seen.after("t none")[1] == "       no temperature from here on"
    assert seen.after("t 24")[1].startswith('       Not recorded. "24" has no unit')


# ---- what was seen


def test_a_note_is_about_the_place_in_hand(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "n burr on the edge", "q")
    assert seen.after("n burr on the edge")[1] == (
        "       entry 3   note on H.driver@a: burr on the edge"
    )


@pytest.mark.parametrize(
    ("typed", "severity", "text"),
    [
        ("f reject pitted flank", "reject", "pitted flank"),
        ("finding score across", "watch", "score across"),
        ("f Note dull", "note", "dull"),
    ],
)
def test_a_finding_is_about_the_part_in_hand(
    sit: Sit, small: Path, typed: str, severity: str, text: str
) -> None:
    sit("1.0030", typed, "q")
    (found,) = [e for e in entries_in(small) if isinstance(e, Finding)]
    assert (found.place, found.severity, found.note) == ("gear.driver", severity, text)


def test_of_several_parts_a_finding_names_the_feature(sit: Sit, small: Path) -> None:
    sit("BL", "f watch uneven", "q")
    (found,) = [e for e in entries_in(small) if isinstance(e, Finding)]
    assert found.place == "BL"


@pytest.mark.parametrize(
    ("typed", "place", "text"),
    [
        ("f reject Gear.Idler pitted flank", "gear.idler", "pitted flank"),
        ("f gear.idler pitted", "gear.idler", "pitted"),
        ("f gear.idler reject pitted", "gear.idler", "pitted"),
        ("n H.idler blued", "H.idler", "blued"),
        ("f gear pitted", "gear.driver", "gear pitted"),
        ("f No. 2 tooth", "gear.driver", "No. 2 tooth"),
        ("f gear.: pitted", "gear.driver", "gear.: pitted"),
        ("f No.3 tooth pitted", "gear.driver", "No.3 tooth pitted"),
        ("n H.all blued", "H.driver@a", "H.all blued"),
    ],
)
def test_a_finding_on_another_place_begins_with_its_address(
    sit: Sit, small: Path, typed: str, place: str, text: str
) -> None:
    sit("1.0030", typed, "q")
    (found,) = [e for e in entries_in(small) if isinstance(e, Finding)]
    assert (found.place, found.note) == (place, text)


def test_how_grave_a_finding_is_may_stand_behind_its_address(sit: Sit, small: Path) -> None:
    seen = sit("f gear.idler reject pitted", "q")
    assert (
        seen.after("f gear.idler reject pitted")[1]
        == "       entry 2   reject on gear.idler: pitted"
    )


def test_a_finding_at_a_position_that_there_is_not_is_refused(sit: Sit, small: Path) -> None:
    seen = sit("f gear.third pitted", "f reject gear.third pitted", "q")
    assert seen.after("f gear.third pitted")[1] == (
        '       Not recorded. gear has no position "third".'
    )
    assert len(entries_in(small)) == 1


def test_a_finding_leaves_a_question_as_it_is(sit: Sit, small: Path) -> None:
    seen = sit("1.3", "f reject cracked", "k", "q")
    assert seen.after("f reject cracked")[1] == "       entry 2   reject on body: cracked"
    assert read_at(small) == {"D": ["1.3 in"]}


@pytest.mark.parametrize("typed", ["n", "f", "f reject", "f gear.idler", "n gear.idler "])
def test_a_note_or_finding_needs_its_text(sit: Sit, small: Path, typed: str) -> None:
    seen = sit(typed, "q")
    assert seen.after(typed)[1].startswith(f"       Not recorded. {typed[0]}  takes ")
    assert len(entries_in(small)) == 1


# ---- due, keep, keys


def test_due_lists_what_is_due_with_what_was_skipped(sit: Sit, small: Path) -> None:
    seen = sit("1.0030", "s", "d", "q")
    assert seen.after("d")[:6] == [
        "  @b   > d",
        "  5 readings due:",
        "  H.driver  @a (skipped)  @b",
        "  H.idler  @a  @b",
        "  BL",
        "  @b   > q",
    ]


def test_due_says_what_is_held_and_by_what(sit: Sit, small: Path) -> None:
    run("defer", "at the grinder", "--until", "Quay", "--holds", "gear.idler", "--why", "out")
    seen = sit("d", "q")
    assert seen.after("d")[1:3] == [
        "  not asked for: gear.idler, until Quay (entry 2)",
        "  3 readings due:",
    ]


def test_keep_without_a_question_is_told_so(sit: Sit, small: Path) -> None:
    assert sit("k", "q").after("k")[1] == (
        "       Nothing is questioned, so there is nothing to keep."
    )


@pytest.mark.parametrize("typed", ["b 1.0", "d 1", "k 1", "? x"])
def test_a_key_that_stands_alone_refuses_what_is_behind_it(
    sit: Sit, small: Path, typed: str
) -> None:
    seen = sit("1.0030", typed, "q")
    said = seen.after(typed)[1]
    if typed[0] in "bk?":
        assert said.startswith(f"       Nothing done. {typed[0]}  stands alone")
    else:
        assert len(read_at(small)["D"]) == 1


def test_the_keys_are_shown_on_request(sit: Sit, small: Path) -> None:
    seen = sit("?", "q")
    assert seen.after("?")[1:5] == [
        "  VALUE     records it; several fill the following stations in order",
        "  b         back: takes back the last entry of this session, and asks again",
        "  a VALUE   again: one more reading where the last one was taken",
        "  s WHY     skip: leaves it for later; with a reason, it is left out for good",
    ]
    assert all(len(line) < 80 for line in seen.lines[3:])


def test_a_letter_that_is_a_tag_too_means_the_tag_with_a_value_behind_it(
    sit: Sit, small: Path
) -> None:
    sit("D 1.0030", "q")
    assert read_at(small) == {"D": ["1.0030 in"]}


def test_the_record_has_whose_hand_every_strike_was(sit: Sit, small: Path) -> None:
    sit("1.0030", "b", "q", words=("--by", "Ben Lathe"))
    assert {e.by for e in entries_in(small)[1:]} == {"Ben Lathe"}
    assert job_in(small).struck == {2: 3}
    assert run("log").count("slip at the bench") == 1
