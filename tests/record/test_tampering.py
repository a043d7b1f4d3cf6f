from __future__ import annotations

import pytest

from bedplate.record.batch import Batch
from bedplate.record.chain import check
from bedplate.record.entries import NO_LINE, AnyEntry, Finding, Opened, Reading
from bedplate.record.tampering import Break, find_break

AT = "2025-11-24T15:40:00+00:00"


def chain(count: int, link: str, *entries: AnyEntry) -> list[bytes]:
    batch = Batch(count, link, "Ann Fitter", AT)
    for entry in entries:
        batch.add(entry)
    return batch.lines


LINES = chain(
    0,
    NO_LINE,
    Opened(job="0123456789abcdef" * 2),
    *(Reading(address=f"H.idler@{number}", value="0.7503 in") for number in range(2, 10)),
)


def link_of(line: bytes) -> str:
    broken = check(b"".join(LINES[: LINES.index(line) + 1]))
    assert broken.head is not None
    return broken.head.sha256


def forged(number: int) -> bytes:
    """Return a line that belongs as line ``number`` by its chain, but was not written there."""
    entry = Finding(severity="note", note="never seen")
    return chain(number - 1, link_of(LINES[number - 2]), entry)[0]


def said(lines: list[bytes]) -> Break | None:
    return check(b"".join(lines)).broken


def replaced(line: int, old: bytes, new: bytes) -> list[bytes]:
    assert old in LINES[line - 1]
    return [*LINES[: line - 1], LINES[line - 1].replace(old, new), *LINES[line:]]


def test_an_altered_line_is_named_by_those_after_it() -> None:
    assert said(replaced(4, b"0.7503", b"0.7530")) == Break(
        4, (4, 5), "line 4 was altered after line 5 was written on it"
    )


def test_the_last_but_one_is_one_of_two_suspects() -> None:
    assert said(replaced(8, b"0.7503", b"0.7530")) == Break(
        9, (8, 9), "line 8 or line 9 was altered: they do not agree"
    )


def test_an_altered_hash_is_named_itself() -> None:
    prev = link_of(LINES[2]).encode()
    assert said(replaced(4, prev, b"f" * 64)) == Break(
        4, (3, 4), "line 3 or line 4 was altered: they do not agree"
    )


def test_the_first_line_has_none_before_it() -> None:
    assert said(replaced(1, NO_LINE.encode(), b"f" * 64)) == Break(
        1, (1,), "line 1 is written as if a line stood before it"
    )


def test_an_altered_number_is_named() -> None:
    assert said(replaced(4, b'"n":4', b'"n":8')) == Break(4, (4,), "line 4 is numbered 8")
    assert said(replaced(4, b'"n":4', b'"n":3')) == Break(4, (4,), "line 4 is numbered 3")


def test_a_line_that_is_none_is_named_with_its_fault() -> None:
    assert said(replaced(4, b'"by"', b'"by')) == Break(
        4, (4,), "line 4 is not as bedplate writes it: it is no JSON"
    )


def test_a_removed_line_is_named() -> None:
    assert said([*LINES[:3], *LINES[4:]]) == Break(4, (4,), "entry 4 is missing")


def test_several_removed_lines_are_named() -> None:
    assert said([*LINES[:3], *LINES[6:]]) == Break(4, (4,), "entries 4 to 6 are missing")


def test_removed_first_lines_are_named() -> None:
    assert said(LINES[1:]) == Break(1, (1,), "entry 1 is missing")
    assert said(LINES[8:]) == Break(1, (1,), "entries 1 to 8 are missing")


def test_a_doubled_line_is_named() -> None:
    assert said([*LINES[:4], LINES[3], *LINES[4:]]) == Break(5, (5,), "line 5 is line 4 once more")
    assert said([*LINES, LINES[2]]) == Break(10, (10,), "line 10 is line 3 once more")


def test_two_lines_that_changed_places_are_named() -> None:
    lines = [*LINES[:3], LINES[4], LINES[3], *LINES[5:]]
    assert said(lines) == Break(4, (4,), "line 4 is entry 5, moved from its place")


def test_a_line_moved_back_is_named_where_it_is_missing() -> None:
    lines = [*LINES[:3], *LINES[4:7], LINES[3], *LINES[7:]]
    assert said(lines) == Break(4, (4,), "entry 4 is not in place: entry 4 was moved to line 7")


def test_lines_moved_back_together_are_named() -> None:
    lines = [*LINES[:3], *LINES[5:7], *LINES[3:5], *LINES[7:]]
    assert said(lines) == Break(
        4, (4,), "entries 4 to 5 are not in place: entry 5 was moved to line 7"
    )


def test_a_line_moved_forward_is_named() -> None:
    lines = [*LINES[:3], LINES[6], *LINES[3:6], *LINES[7:]]
    assert said(lines) == Break(4, (4,), "line 4 is entry 7, moved from its place")


def test_a_line_put_in_is_named_though_its_own_hash_agrees() -> None:
    assert said([*LINES[:3], forged(4), *LINES[3:]]) == Break(
        4, (4, 5), "line 4 was put in: line 5 follows on line 3"
    )


def test_several_lines_put_in_are_named() -> None:
    new = chain(3, link_of(LINES[2]), *[Finding(severity="note", note="no")] * 2)
    assert said([*LINES[:3], *new, *LINES[3:]]) == Break(
        4, (4, 6), "lines 4 to 5 were put in: line 6 follows on line 3"
    )


def test_a_line_put_in_before_the_last_cannot_be_told_from_it() -> None:
    assert said([*LINES[:8], forged(9), LINES[8]]) == Break(
        10, (9, 10), "line 9 and line 10 both follow on line 8"
    )


def test_a_line_of_no_chain_put_in_is_named() -> None:
    strange = chain(3, "f" * 64, Finding(severity="note", note="no"))
    assert said([*LINES[:3], *strange, *LINES[3:]]) == Break(
        4, (4,), "line 4 was put in: line 5 follows on the line before it"
    )
    assert said([*LINES[:3], b"{}\n", *LINES[3:]]) == Break(
        4, (4,), 'line 4 was put in, and is not as bedplate writes it: "n" is missing'
    )


def test_a_second_beginning_is_named() -> None:
    other = chain(0, NO_LINE, Opened(job="f" * 32))
    assert said([*other, *LINES]) == Break(
        1, (1, 2), "line 1 was put in: line 2 follows on the beginning"
    )


def test_a_line_of_a_lower_number_and_no_line_here_is_named() -> None:
    strange = chain(1, "f" * 64, Finding(severity="note", note="no"))
    assert said([*LINES, *strange]) == Break(
        10, (10,), "line 10 is numbered 2 and follows on no line of this file"
    )


@pytest.mark.parametrize("line", range(2, 9))
def test_each_removed_line_is_the_one_named(line: int) -> None:
    broken = said([*LINES[: line - 1], *LINES[line:]])
    assert broken is not None
    assert broken.line == line


def test_lines_unknown_here_are_not_held_against_the_fields_that_are() -> None:
    lines = [*LINES[:3], b"{}\n"]
    assert find_break(lines, 4, known=False) == Break(
        4, (4,), 'line 4 is not as bedplate writes it: it has no "n" and "prev"'
    )
