"""Fastener sets, proofs, steps, and what each waits for."""

from __future__ import annotations

from sheet_faults import said_after

NUTS = '[[fasteners]]\ntag = "N"\nname = "Cover nuts"\n'
SPIN = '[[proof]]\ntag = "SPIN"\ntext = "Turns"\n'


def test_a_whole_order_of_work_is_sound() -> None:
    assert (
        said_after(f"""
{NUTS}lock = "tab washer"
order = ["1", "2"]
holds = ["body", "gear"]
prove = ["SPIN"]
spends = {{ locked = {{ "tab washer" = 2 }} }}
{SPIN}when = ["N"]
[[step]]
id = "close"
text = "Cover on"
leaves = {{ N = "tight" }}
hold = ["SPIN"]
wait = "12 h"
[[step]]
id = "lock"
text = "Tabs"
after = ["close"]
leaves = {{ N = "locked" }}
due = "handover"
""")
        == []
    )


def test_a_set_holds_components_and_is_proved_by_proofs() -> None:
    assert said_after(f'{NUTS}holds = ["D", "bodi"]\nprove = ["SPN"]\n{SPIN}') == [
        "4: D is a feature; here belongs a component. Components: body, gear",
        '4: No component "bodi". Nearest: body',
        '5: No proof "SPN". Nearest: SPIN (Turns)',
    ]


def test_an_order_names_each_fastener_once() -> None:
    assert said_after(f'{NUTS}order = ["1", "3", "1"]') == ['4: "1" stands twice in this order.']
    assert said_after(f"{NUTS}order = []") == [
        '4: This order is empty:  order = ["1", "3", "2", "4"]'
    ]


def test_count_and_order_agree() -> None:
    assert said_after(f"{NUTS}order = [1, 2, 3]\ncount = 4") == [
        "5: count is 4, and order names 3 fasteners."
    ]
    assert said_after(f"{NUTS}order = [1, 2, 3]\ncount = 3") == []


def test_without_a_lock_nothing_is_locked() -> None:
    assert said_after(f'{NUTS}final = "locked"\nspends = {{ locked = {{ wire = 1 }} }}') == [
        "4: N (Cover nuts) has no lock, so it cannot end up locked. Say what locks it:\n"
        'lock = "tab washer"',
        "5: N (Cover nuts) has no lock, so nothing is spent by locking it. Say what locks it:\n"
        'lock = "tab washer"',
    ]
    assert said_after(f'{NUTS}[[step]]\nid = "s"\ntext = "x"\nleaves = {{ N = "locked" }}') == [
        "7: N (Cover nuts) has no lock, so it is never locked. It can be left tight."
    ]


def test_a_proof_says_what_is_proved() -> None:
    assert said_after('[[proof]]\ntag = "SPIN"\ntext = " "') == [
        '1: A proof says what is to be proved:  text = "Turns freely by hand"\n'
        'or by which fit it passes:  fit = "EFL"'
    ]


def test_a_proof_names_sets_a_fit_and_a_moment() -> None:
    assert said_after('[[proof]]\ntag = "P"\nfit = "EC"\nwhen = ["N"]\ndue = "later"') == [
        '3: No fit "EC". This sheet has no fits.',
        '4: No fastener set "N". This sheet has no fastener sets.',
        '5: No moment "later". Moments: handover',
    ]


def test_a_step_names_steps_sets_and_proofs() -> None:
    assert said_after(f"""
{NUTS}[[step]]
id = "close"
text = "Cover on"
after = ["clean"]
leaves = {{ M = "tight" }}
hold = ["SPIN"]
""") == [
        '7: No step "clean". Nearest: close (Cover on)',
        '8: No fastener set "M". Fastener sets: N (Cover nuts)',
        '9: No proof "SPIN". This sheet has no proofs.',
    ]


def test_a_step_says_what_is_done() -> None:
    assert said_after('[[step]]\nid = "s"\ntext = ""') == [
        "3: The text is empty: say what is to be done."
    ]


def test_a_wait_is_a_time() -> None:
    assert said_after('[[step]]\nid = "s"\ntext = "x"\nwait = 12') == [
        '4: "12" has no unit.\nA time reads like  30s  10min  12h'
    ]


def test_steps_do_not_wait_for_each_other() -> None:
    steps = "".join(
        f'[[step]]\nid = "{one}"\ntext = "x"\nafter = ["{other}"]\n'
        for one, other in (("a", "b"), ("b", "C"), ("c", "a"))
    )
    assert said_after(steps) == ["4: These steps wait for each other: a, b, c, a."]


def test_a_step_does_not_wait_for_itself() -> None:
    assert said_after('[[step]]\nid = "s"\ntext = "x"\nafter = ["s"]') == [
        "4: s waits for itself."
    ]


def test_a_step_without_its_text_is_checked_all_the_same() -> None:
    assert said_after('[[step]]\nid = "a"\nafter = ["z"]\nwait = "12 mm"') == [
        '1: A step needs its text:  text = "Cover, new gasket, nuts"',
        '3: No step "z". Steps: a',
        '4: "12 mm" is a length, not a time.\nA time reads like  30s  10min  12h',
    ]
