"""Assembly at the bench: steps, sets, proofs and findings, by words that are typed out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_session import Sat, entries_in, job_in, on_sheet, run

from bedplate.record.entries import Fasteners, PartUsed, Proof, Settled, Step

Sit = Callable[..., Sat]

COVER = """
unit = "in"
source = "Invented handbook"
[[component]]
id = "body"
[[component]]
id = "gasket"
renew = true
[[feature]]
tag = "D"
of = "body"
[[fit]]
tag = "DEEP"
stack = "D"
band = { limits = "1..2 in" }
[[fasteners]]
tag = "N"
name = "Cover nuts"
count = 4
stages = [{ limits = "16..18 lbf*ft" }]
order = ["1", "3", "2", "4"]
threads = "oiled"
lock = "tab washer"
prove = ["SPIN"]
spends = { tight = { gasket = 1 }, locked = { "tab washer" = 4 } }
[[proof]]
tag = "SPIN"
text = "Turns freely by hand"
when = ["N"]
[[step]]
id = "off"
text = "Cover off"
phase = "strip"
leaves = { N = "removed" }
caution = "It is spring loaded."
[[step]]
id = "on"
text = "Cover on"
leaves = { N = "tight" }
[[step]]
id = "lock"
text = "Turn up the tabs"
after = ["on"]
leaves = { N = "locked" }
"""
STRIPPED = ("1.5", "ok", "removed", "done")
"""The reading and the strip of the cover."""
BUILT = (*STRIPPED, "17", "done", "pass", "locked", "done")


@pytest.fixture
def cover() -> Path:
    """Open a job with a cover on four nuts."""
    return on_sheet(COVER)


def kinds(path: Path) -> list[str]:
    """Return the kinds of all entries but the first."""
    return [entry.kind for entry in entries_in(path)[1:]]


def test_the_whole_way_from_strip_to_lock(sit: Sit, cover: Path) -> None:
    seen = sit(*BUILT)
    assert seen.after("1.5") == [
        "  D    > 1.5",
        "       DEEP  1.5000 +-0.05774 in  in band  1 |--------=o==--------| 2",
        "All readings are in.  1 of 1 clearance in band.",
        "Step off: Cover off",
        "  CAUTION  It is spring loaded.",
        "  seen the caution? type  ok > ok",
        "N (cover nuts): 4",
        "  off? type  removed > removed",
        "  entry 3   N removed, 4 of 4",
        "  done? type  done > done",
        "  entry 4   step off",
        "Step on: Cover on",
        "N (cover nuts): 4, 16 to 18 lbf ft, gasket (new each time)",
        "  in this order: 1, 3, 2, 4",
        "  threads: oiled",
        "  torque reached > 17",
        "  entry 6   N tight, 4 of 4, 17 lbf ft     [ o ]  in band. 1 gasket used.",
        "  done? type  done > done",
        "  entry 7   step on",
        "Step lock: Turn up the tabs",
        "HOLD  before N is locked: SPIN",
        "      Turns freely by hand",
        "      type  pass  or  fail > pass",
        "  entry 8   SPIN passed",
        "N (cover nuts): 4, tab washers (new each time)",
        "  lock it (tab washer); then type  locked > locked",
        "  entry 10  N locked. 4 tab washers used.",
        "  done? type  done > done",
        "  entry 11  step lock",
        "next: body has no decision             bedplate decide body reuse --why REASON",
    ]
    assert kinds(cover) == [
        "reading", "fasteners", "step", "part-used", "fasteners", "step", "proof", "part-used",
        "fasteners", "step",
    ]  # fmt: skip


def test_what_is_taken_back_of_the_strip_is_asked_for_again(sit: Sit, cover: Path) -> None:
    seen = sit("off", "ok", "removed", "done", "b", "done", "q")
    assert seen.after("b")[:5] == [
        "  D    > b",
        "       struck entry 3 (step off, slip at the bench)",
        "Step off: Cover off",
        "  done? type  done > done",
        "  entry 5   step off",
    ]


@pytest.mark.parametrize("at", range(1, len(BUILT)))
def test_leaning_on_enter_passes_nothing(sit: Sit, cover: Path, at: int) -> None:
    sit(*BUILT[:at], *[""] * 20)
    before = len(entries_in(cover))
    sit(*[""] * 20)
    assert len(entries_in(cover)) == before


@pytest.mark.parametrize("at", range(1, len(BUILT)))
def test_a_value_from_a_gauge_passes_no_word(sit: Sit, cover: Path, at: int) -> None:
    sit(*BUILT[:at], "q")
    before = len(entries_in(cover))
    wanted = BUILT[at]
    if wanted == "17":
        return
    sit("1.5031", "0", "yes", "y", "q")
    assert len(entries_in(cover)) == before


def test_a_session_goes_on_where_another_was_left(sit: Sit, cover: Path) -> None:
    for answer in STRIPPED[:1]:
        sit(answer, "q")
    sit("ok", "removed", "q")
    seen = sit("ok", "done", "q")
    assert seen.lines[3:8] == [
        "All readings are in.  1 of 1 clearance in band.",
        "Step off: Cover off",
        "  CAUTION  It is spring loaded.",
        "  seen the caution? type  ok > ok",
        "  done? type  done > done",
    ]


def test_a_torque_out_of_its_stage_is_said_and_tightened_again(sit: Sit, cover: Path) -> None:
    seen = sit(*STRIPPED, "25", "17", "q")
    assert seen.after("25")[:4] == [
        "  torque reached > 25",
        "  entry 6   N tight, 4 of 4, 25 lbf ft     [   ]X  OUT, high. 1 gasket used.",
        "N (cover nuts): 4, 16 to 18 lbf ft",
        "  in this order: 1, 3, 2, 4",
    ]
    assert "tightened again: torque reached > 17" in seen.text
    assert [e.state for e in entries_in(cover) if isinstance(e, Fasteners)] == [
        "removed", "tight", "again",
    ]  # fmt: skip


def test_a_failed_proof_holds_until_it_passes(sit: Sit, cover: Path) -> None:
    seen = sit(*STRIPPED, "17", "done", "fail tight spot", "pass", "q")
    assert "entry 8   SPIN FAILED" in seen.text
    made = [(e.passed, e.note) for e in entries_in(cover) if isinstance(e, Proof)]
    assert made == [(False, "tight spot"), (True, None)]


@pytest.mark.parametrize("typed", ["okay", "1.2", "yes"])
def test_another_word_is_told_what_is_asked_for(sit: Sit, cover: Path, typed: str) -> None:
    seen = sit("1.5", typed, "q")
    assert seen.after(typed)[1:3] == [
        f'       Nothing recorded. "{typed}" is not what is asked for here.',
        "  seen the caution? type  ok > q",
    ]


def test_back_takes_back_a_lock_and_what_it_took(sit: Sit, cover: Path) -> None:
    seen = sit(*STRIPPED, "17", "done", "pass", "locked", "b", "b", "q")
    assert seen.after("b")[1:6] == [
        "       struck entries 9, 10 (N locked, slip at the bench)",
        "Step lock: Turn up the tabs",
        "N (cover nuts): 4, tab washers (new each time)",
        "  lock it (tab washer); then type  locked > b",
        "       struck entry 8 (SPIN pass, slip at the bench)",
    ]
    assert seen.lines[-2] == "      type  pass  or  fail > q"


def test_a_step_taken_back_is_announced_again_without_its_caution(sit: Sit, cover: Path) -> None:
    seen = sit("1.5", "ok", "removed", "done", "b", "done", "q")
    assert seen.after("b")[1:5] == [
        "       struck entry 4 (step off, slip at the bench)",
        "Step off: Cover off",
        "  done? type  done > done",
        "  entry 6   step off",
    ]
    assert seen.lines[seen.lines.index("  entry 6   step off") + 1] == "Step on: Cover on"


def test_a_step_is_announced_again_behind_another(sit: Sit, cover: Path) -> None:
    seen = sit("1.5", "s", "off", "s", "q")
    assert [line for line in seen.lines if line.startswith("Step")] == [
        "Step off: Cover off", "Step on: Cover on", "Step off: Cover off", "Step on: Cover on",
    ]  # fmt: skip


def test_a_caution_that_was_left_is_asked_for_again(sit: Sit, cover: Path) -> None:
    seen = sit("1.5", "D", "1.5", "i", "q")
    assert seen.text.count("  seen the caution? type  ok") == 2


def test_a_step_can_be_left_for_later(sit: Sit, cover: Path) -> None:
    seen = sit("1.5", "ok", "s", "q")
    assert seen.after("s")[1:4] == [
        "Step on: Cover on",
        "N (cover nuts): 4, 16 to 18 lbf ft, gasket (new each time)",
        "  in this order: 1, 3, 2, 4",
    ]
    assert kinds(cover) == ["reading"]


def test_a_step_a_set_and_a_proof_are_gone_to_by_name(sit: Sit, cover: Path) -> None:
    seen = sit("off", "ok", "N removed", "done", "1.5", "q")
    assert [line for line in seen.lines if " > " in line][:5] == [
        "  D    > off",
        "  seen the caution? type  ok > ok",
        "  off? type  removed > N removed",
        "  done? type  done > done",
        "  D    > 1.5",
    ]
    assert kinds(cover) == ["fasteners", "step", "reading"]


def test_a_set_as_found_is_asked_what_was_done_to_it(sit: Sit, cover: Path) -> None:
    seen = sit("N", "removed 3", "q")
    assert seen.after("N")[1:7] == [
        "N (cover nuts): 4, 16 to 18 lbf ft, gasket (new each time), tab washers (new",
        "  each time)",
        "  in this order: 1, 3, 2, 4",
        "  threads: oiled",
        "  what was done to it? > removed 3",
        "  entry 2   N removed, 3 of 4",
    ]
    (moved,) = [e for e in entries_in(cover) if isinstance(e, Fasteners)]
    assert (moved.state, moved.count) == ("removed", 3)


def test_a_refusal_of_the_rules_is_said_and_asks_again(sit: Sit, cover: Path) -> None:
    seen = sit("SPIN pass", "N locked", "q")
    assert "SPIN passed" in seen.text
    assert seen.after("N locked")[1].startswith("       Refused. N (cover nuts) may not be locked")


@pytest.mark.parametrize("typed", ["7", "pass", "Fail all"])
def test_a_finding_that_comes_back_must_be_answered_in_words(
    sit: Sit, cover: Path, typed: str
) -> None:
    run("inspect", "body", "screw was 7 turns out", "--back", "on")
    seen = sit(*STRIPPED, "", typed, "7 turns in again", "q")
    assert seen.after(typed)[:4] == [
        f"  answer in words > {typed}",
        f'       Not recorded. "{typed}" is no answer: say what was done about it.',
        "  answer in words > 7 turns in again",
        "  entry 6   answers entry 2",
    ]
    assert 'Found at body, entry 2: "screw was 7 turns out"' in seen.text
    (answer,) = [e for e in entries_in(cover) if isinstance(e, Settled)]
    assert (answer.entry, answer.how) == (2, "7 turns in again")


def test_a_part_that_is_always_new_is_drawn_where_no_set_takes_it(sit: Sit) -> None:
    path = on_sheet('unit = "mm"\n[[component]]\nid = "seal"\nrenew = true\n')
    seen = sit("new S-14")
    assert seen.lines[4:7] == [
        "Seal is always new, and has no new part yet",
        "  drawn? type  new  (and its number, if it has one) > new S-14",
        "  entry 2   new seal",
    ]
    (drawn,) = [e for e in entries_in(path) if isinstance(e, PartUsed)]
    assert (drawn.part, drawn.number) == ("seal", "S-14")


def test_a_note_behind_done_is_kept(sit: Sit, cover: Path) -> None:
    sit("1.5", "ok", "removed", "done gasket was hard", "q")
    (step,) = [e for e in entries_in(cover) if isinstance(e, Step)]
    assert step.note == "gasket was hard"


# ---- a fit that is out stops what comes after


def test_a_fit_out_of_band_stops_before_anything_is_built(sit: Sit, cover: Path) -> None:
    seen = sit("2.5", "ok", "removed", "done")
    assert seen.lines[-1] == (
        "next: DEEP is out of band, high                           bedplate remedy DEEP"
    )
    assert "All readings are in.  0 of 1 clearance in band, 1 not." in seen.text


def test_one_can_go_on_all_the_same_by_name(sit: Sit, cover: Path) -> None:
    sit("2.5", "ok", "removed", "done")
    seen = sit("17", "done", words=("on",))
    assert seen.lines[3] == "Step on: Cover on"
    assert isinstance(job_in(cover).entries[-1], Step)


# ---- hands and times


HANDS = """
unit = "mm"
[[component]]
id = "body"
[[proof]]
tag = "SIDE"
text = "Numbers on one side"
hand = "another"
[[proof]]
tag = "SEEN"
text = "The owner has seen the parts"
hand = "customer"
"""


def test_a_second_hand_is_named_behind_the_word(sit: Sit) -> None:
    path = on_sheet(HANDS)
    seen = sit("pass", "pass", "pass by Ben Lathe", "pass by A. Owner")
    assert seen.after("pass")[2:7] == [
        "PROOF  SIDE",
        "      Numbers on one side",
        "      passed 1 of 2 times so far, by Ann Fitter",
        "      a second hand: type  pass by NAME  or  fail by NAME > pass",
        "       Refused. SIDE asks for a second hand, and Ann Fitter has passed it",
    ]
    hands = [e.by for e in entries_in(path) if isinstance(e, Proof)]
    assert hands == ["Ann Fitter", "Ben Lathe", "A. Owner"]


PORTS = """
unit = "mm"
[[component]]
id = "head"
[[proof]]
tag = "LEAK"
text = "Paraffin stands in the port"
positions = { port = ["in", "ex"] }
hand = "another"
"""


def test_a_proof_is_passed_at_all_its_positions_at_once(sit: Sit) -> None:
    on_sheet(PORTS)
    seen = sit("pass", "LEAK.in", "pass all", "LEAK.in", "pass all by Ben Lathe", "q")
    assert seen.after("pass all")[1:3] == [
        "  entry 3   LEAK.ex passed",
        "       LEAK.in is left as it is: Ann Fitter has passed it already (entry 2).",
    ]
    assert seen.after("pass all by Ben Lathe")[1:3] == [
        "  entry 4   LEAK.in passed, by Ben Lathe",
        "  entry 5   LEAK.ex passed, by Ben Lathe",
    ]


def test_a_hand_needs_its_name(sit: Sit) -> None:
    on_sheet(HANDS)
    seen = sit("pass by", "q")
    assert seen.after("pass by")[1] == ("       Not recorded. Whose hand? Type  pass by NAME")


HEAVY = """
unit = "mm"
[[component]]
id = "case"
[[feature]]
tag = "EF"
of = "case"
when = ["C"]
[[fit]]
tag = "END"
stack = "EF"
[[fasteners]]
tag = "C"
count = 2
caution = "The cover is heavy."
"""


def test_the_caution_of_a_set_comes_before_a_trial_too(sit: Sit) -> None:
    on_sheet(HEAVY)
    run("fasten", "C", "removed")
    seen = sit("ok", "trial", "0.10", "q")
    assert seen.lines[3:10] == [
        "EF is read with C tight",
        "  CAUTION  The cover is heavy.",
        "  seen the caution? type  ok > ok",
        "  tight on trial? type  trial  or  s > trial",
        "  entry 3   C tight on trial, 2 of 2",
        "EF, case",
        "  tight: C",
    ]


def test_no_trial_is_made_for_what_waits_for_a_new_part(sit: Sit) -> None:
    on_sheet(HEAVY.replace('id = "case"', 'id = "case"\nrenew = true'))
    run("fasten", "C", "removed")
    assert "trial" not in sit("s", "q").text


def test_a_trial_whose_caution_is_skipped_is_left_and_the_tightening_is_not(sit: Sit) -> None:
    on_sheet(HEAVY)
    run("fasten", "C", "removed")
    seen = sit("s", "ok", "tight", "q")
    assert "trial" not in seen.text
    assert seen.after("ok")[:3] == [
        "  seen the caution? type  ok > ok",
        "  tight? type  tight > tight",
        "  entry 3   C tight, 2 of 2",
    ]


TWO_WAYS = """
unit = "mm"
source = "Invented handbook"
[[component]]
id = "shaft"
[[feature]]
tag = "G"
of = "shaft"
[[feature]]
tag = "EF"
of = "shaft"
[[fit]]
tag = "GAP"
stack = "G"
band = { limits = "0.05..0.15 mm" }
[[fit]]
tag = "FLT"
stack = "EF"
same_as = "GAP"
[[proof]]
tag = "FLOAT"
fit = "FLT"
[[step]]
id = "close"
text = "Close it"
hold = ["FLOAT"]
"""


def test_a_proof_asks_for_its_reading_though_another_way_was_read(sit: Sit) -> None:
    path = on_sheet(TWO_WAYS)
    seen = sit("0.10", "0.10 mm", "done")
    assert seen.after("0.10")[2:8] == [
        "All readings are in.  1 of 2 clearances in band, 1 waiting.",
        "Step close: Close it",
        "EF, shaft                                          band of FLT 0.05 to 0.15 mm",
        "  read: FLOAT has not passed: FLT was not read",
        "  EF   > 0.10 mm",
        "       FLT  0.100 +-0.0058 mm  in band  0.05 |--------=o==--------| 0.15",
    ]
    assert kinds(path) == ["reading", "reading", "step"]
