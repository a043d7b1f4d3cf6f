"""Faults as they are printed."""

from __future__ import annotations

from bedplate.sheet.faults import WHOLE_FILE, Fault, faults_as_lines, in_file_order


def test_faults_of_a_file_are_listed_with_their_lines() -> None:
    faults = [
        Fault(
            14, "fit", "low = 2 thou", 'A value with a unit needs straight quotes:  low = "2 thou"'
        ),
        Fault(
            33,
            "fit.stack",
            "",
            'positions of H (driver, idler) and P (one, two) do not match, so "P - H" cannot be '
            "paired.",
        ),
    ]
    assert faults_as_lines("pump.toml", faults) == [
        "pump.toml: 2 things to mend. Nothing else was read.",
        "",
        "line 14  low = 2 thou",
        '         A value with a unit needs straight quotes:  low = "2 thou"',
        "line 33  positions of H (driver, idler) and P (one, two) do not match, so",
        '         "P - H" cannot be paired.',
    ]


def test_one_fault_is_one_thing() -> None:
    lines = faults_as_lines("pump.toml", [Fault(None, "unit", "", "Missing.")])
    assert lines[0] == "pump.toml: 1 thing to mend. Nothing else was read."
    assert lines[2] == "sheet    Missing."


def test_a_fault_of_the_whole_file_is_one_sentence() -> None:
    fault = Fault(None, WHOLE_FILE, "pump.toml", "is saved as UTF-16. Save it as UTF-8.")
    assert faults_as_lines("pump.toml", [fault]) == [
        "Not read. pump.toml is saved as UTF-16. Save it as UTF-8."
    ]


def test_a_long_line_is_cut_and_what_hides_in_it_is_shown() -> None:
    fault = Fault(1234, "x", "\x1b[2J" + "a" * 200, "Wrong.")
    lines = faults_as_lines("p\x07.toml", [fault])
    assert lines[0] == r"p\x07.toml: 1 thing to mend. Nothing else was read."
    assert lines[2] == r"line 1234  \x1b[2J" + "a" * 57 + "..."
    assert lines[3] == " " * 11 + "Wrong."
    assert all(len(line) <= 78 for line in lines)


def test_a_long_cure_stands_whole_on_its_own_line() -> None:
    text = (
        'A fit has no key "low". Both limits stand in one text:  band = { limits = "2..4 thou" }'
    )
    assert faults_as_lines("p", [Fault(1, "x", "low = 2", text)])[3:] == [
        '         A fit has no key "low". Both limits stand in one text:',
        '         band = { limits = "2..4 thou" }',
    ]


def test_faults_stand_in_file_order() -> None:
    faults = [Fault(9, "a", "", "x"), Fault(None, "b", "", "x"), Fault(2, "c", "", "x")]
    assert [fault.key for fault in in_file_order(faults)] == ["b", "c", "a"]
