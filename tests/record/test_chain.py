from __future__ import annotations

import gc
import json
import time
import tracemalloc
from hashlib import sha256

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.record.batch import Batch
from bedplate.record.chain import (
    LINES_AT_LEAST,
    SHORTEST,
    TORN_LINES,
    Chain,
    Head,
    LineEnds,
    check,
    held_against,
    lines_of,
    whole_length,
)
from bedplate.record.entries import NO_LINE, AnyEntry, Opened, Reading

AT = "2025-11-24T15:40:00+00:00"


def job_lines(readings: int = 4) -> list[bytes]:
    """Return the lines of a small job: opened, then some readings."""
    batch = Batch(0, NO_LINE, "Ann Fitter", AT)
    batch.add(Opened(job="0123456789abcdef" * 2, sheet={"unit": "in"}))
    for number in range(readings):
        batch.add(Reading(address=f"H.idler@{number}", value=f"0.750{number} in"))
    return batch.lines


LINES = job_lines()
DATA = b"".join(LINES)


def line_at(position: int) -> int:
    """Return the number of the line that a byte stands in."""
    return DATA.count(b"\n", 0, position) + 1


def test_a_sound_file_is_whole_and_its_head_is_the_hash_of_its_last_line() -> None:
    report = check(DATA)
    assert report.whole
    assert [entry.n for entry in report.entries] == [1, 2, 3, 4, 5]
    assert report.lines == tuple(LINES)
    assert report.head == Head(5, sha256(LINES[-1]).hexdigest())
    assert str(report.head) == "5:" + sha256(LINES[-1]).hexdigest()
    assert (report.torn, report.unknown, report.line_ends) == (b"", None, None)


def test_an_empty_file_has_no_head_and_nothing_wrong() -> None:
    report = check(b"")
    assert report.whole
    assert (report.head, report.entries, report.lines) == (None, (), ())


def test_every_change_of_a_byte_before_the_last_line_is_found_and_named() -> None:
    last = len(LINES)
    end = len(DATA) - len(LINES[-1])
    for position in range(end):
        where = line_at(position)
        for new in {DATA[position] ^ 1, DATA[position] ^ 0x20, DATA[position] ^ 0x80, 0, 0x0A}:
            if new == DATA[position]:
                continue
            altered = DATA[:position] + bytes([new]) + DATA[position + 1 :]
            broken = check(altered).broken
            assert broken is not None, (position, new)
            assert where in broken.suspects, (position, new, broken)
            if where < last - 1:
                assert broken.line == where, (position, new, broken)


def test_every_change_of_a_byte_of_the_last_line_is_found_by_a_head() -> None:
    head = str(check(DATA).head)
    for position in range(len(DATA) - len(LINES[-1]), len(DATA)):
        altered = DATA[:position] + bytes([DATA[position] ^ 1]) + DATA[position + 1 :]
        report = check(altered)
        assert report.broken is not None or held_against(report.lines, head) is not None


def test_what_stands_before_an_altered_line_is_still_read() -> None:
    altered = DATA.replace(b"0.7501", b"0.7591")
    report = check(altered)
    assert report.broken is not None
    assert report.broken.line == 3
    assert [entry.n for entry in report.entries] == [1, 2]
    assert report.head == Head(5, sha256(LINES[-1]).hexdigest())


def test_every_cut_leaves_the_whole_lines_and_a_torn_rest() -> None:
    for end in range(len(DATA) + 1):
        report = check(DATA[:end])
        whole = DATA[:end].count(b"\n")
        assert report.whole
        assert len(report.entries) == len(report.lines) == whole
        assert b"".join(report.lines) + report.torn == DATA[:end]


@pytest.mark.parametrize(
    ("tail", "whole"),
    [
        (b"", 2),
        (b'{"n":3', 2),
        (b"\0\0\0\0", 2),
        (b'{"n":3\0\0\0\n', 2),
        (b'{"n":3\0\0\0\n\0\0\n', 2),
        (b"\0\n{}\n", 4),
        (b"{}\n\0", 3),
    ],
)
def test_a_last_line_with_nul_bytes_is_torn(tail: bytes, whole: int) -> None:
    data = b"{}\n{}\n" + tail
    assert data.count(b"\n", 0, whole_length(data)) == whole


def test_nul_bytes_within_a_file_are_no_torn_tail_but_a_break() -> None:
    altered = DATA.replace(b"0.7501", b"0.75\x001")
    report = check(altered)
    assert report.torn == b""
    assert report.broken is not None
    assert report.broken.reason == (
        "line 3 is not as bedplate writes it: it holds the control character 0x00"
    )


def test_lines_are_split_at_lf_alone() -> None:
    data = "a\rb\x0b\x0c\x1c\u0085\u2028c\nd".encode()
    assert lines_of(data) == [data[:-1], b"d"]
    assert lines_of(b"") == []


def test_a_file_of_cr_lf_is_said_to_be_whole_with_line_ends_turned_back() -> None:
    report = check(DATA.replace(b"\n", b"\r\n"))
    assert report.line_ends == LineEnds(turned=5, lines=5, whole=True)
    assert report.broken is not None
    assert report.broken.line == 1
    assert report.broken.reason == (
        "every line ends in CR LF, as mail and some editors make it; with the line ends turned "
        "back it is whole"
    )
    assert [entry.n for entry in report.entries] == [1, 2, 3, 4, 5]


def test_a_file_of_which_some_lines_end_in_cr_lf_says_how_many() -> None:
    turned = [LINES[0], *(line[:-1] + b"\r\n" for line in LINES[1:3]), *LINES[3:]]
    report = check(b"".join(turned))
    assert report.line_ends == LineEnds(turned=2, lines=5, whole=True)
    assert report.broken is not None
    assert report.broken.line == 2
    assert report.broken.reason.startswith("2 lines end in CR LF, as mail")


def test_an_altered_file_of_cr_lf_is_not_said_to_be_whole() -> None:
    altered = DATA.replace(b"0.7501", b"0.7591").replace(b"\n", b"\r\n")
    report = check(altered)
    assert report.line_ends == LineEnds(turned=5, lines=5, whole=False)
    assert report.broken is not None
    assert report.broken.reason.endswith(
        "with the line ends turned back line 3 was altered after line 4 was written on it"
    )
    assert [entry.n for entry in report.entries] == [1, 2]


def test_a_single_line_of_cr_lf_is_said_so() -> None:
    report = check(b"".join([LINES[0][:-1] + b"\r\n", *LINES[1:]]))
    assert report.broken is not None
    assert report.broken.reason.startswith("1 line ends in CR LF, as mail")


def test_line_ends_are_turned_back_once() -> None:
    report = check(DATA.replace(b"\n", b"\r" * 5_000 + b"\n"))
    assert report.line_ends == LineEnds(turned=5, lines=5, whole=False)


def chained(*said: dict[str, object]) -> list[bytes]:
    """Return lines of any fields, with the numbers and hashes of a chain."""
    lines: list[bytes] = []
    prev = NO_LINE
    for number, own in enumerate(said, 1):
        line = json.dumps({"n": number, **own, "prev": prev}).encode() + b"\n"
        lines.append(line)
        prev = sha256(line).hexdigest()
    return lines


def test_a_file_of_another_format_is_checked_though_it_cannot_be_read() -> None:
    lines = chained({"kind": "opened", "format": "bedplate-job/2"}, {"kind": "new"}, {"odd": [1]})
    report = check(b"".join(lines), "pump.job.jsonl")
    assert report.whole
    assert report.entries == ()
    assert report.unknown is not None
    assert report.unknown.message == (
        "Not read. pump.job.jsonl is of format 2; this bedplate reads 1. Nothing was changed."
    )
    assert report.head == Head(3, sha256(lines[2]).hexdigest())


def test_a_break_in_a_file_of_another_format_is_found() -> None:
    lines = chained(
        {"kind": "opened", "format": "bedplate-job/2"}, {"a": 1}, {"a": 2}, {"a": 3}, {"a": 4}
    )
    lines[2] = lines[2].replace(b'"a": 2', b'"a": 7')
    report = check(b"".join(lines))
    assert report.broken is not None
    assert report.broken.line == 3
    assert report.unknown is not None


def test_a_kind_made_unknown_by_who_altered_it_is_a_break_and_no_newer_kind() -> None:
    altered = DATA.replace(b'"reading","address":"H.idler@1', b'"seating","address":"H.idler@1')
    report = check(altered)
    assert report.broken is not None
    assert report.broken.line == 3
    assert report.unknown is None


def test_entries_end_where_an_unknown_kind_begins() -> None:
    lines = LINES[:2]
    said = {"n": 3, "at": AT, "by": "Ann", "kind": "lubricated"}
    prev = sha256(lines[-1]).hexdigest()
    newer = json.dumps({**said, "prev": prev}, separators=(",", ":")).encode() + b"\n"
    report = check(b"".join([*lines, newer]))
    assert report.whole
    assert [entry.n for entry in report.entries] == [1, 2]
    assert report.unknown is not None
    assert report.head == Head(3, sha256(newer).hexdigest())


@pytest.mark.parametrize("n", ['"x"', "4"])
def test_an_unknown_kind_that_does_not_fit_is_a_break(n: str) -> None:
    prev = sha256(LINES[1]).hexdigest()
    line = f'{{"n":{n},"at":"{AT}","by":"Ann","kind":"oiled","prev":"{prev}"}}\n'
    report = check(b"".join([*LINES[:2], line.encode()]))
    assert report.broken is not None
    assert report.broken.line == 3
    assert report.unknown is None


def test_a_chain_goes_on_after_a_file_that_was_checked() -> None:
    chain = Chain.after(check(b"".join(LINES[:3])), "pump.job.jsonl")
    assert not chain.add(LINES[4])
    assert chain.count == 3
    assert chain.add(LINES[3])
    assert chain.add(LINES[4])
    assert [entry.n for entry in chain.entries] == [1, 2, 3, 4, 5]
    assert chain.link == sha256(LINES[4]).hexdigest()


def test_a_file_is_held_against_a_head_that_was_noted_of_it() -> None:
    full = sha256(LINES[3]).hexdigest()
    assert held_against(LINES, f"4:{full}") is None
    assert held_against(LINES, f"4:{full[:16]}") is None
    assert held_against(LINES, f"4:{full[:20].upper()}") is None
    assert held_against(LINES[:3], f"4:{full}") == (
        "the head is of 4 entries, the file has 3: lines were cut off"
    )
    assert held_against(LINES, f"3:{full}") == "entry 3 is not the one that the head was noted of"


@pytest.mark.parametrize(
    "head",
    ["", "4", "4:", "4:3f9ad1c277b0e52", "0:3f9ad1c277b0e52a", "4:" + "0" * 65, "x:" + "0" * 16],
)
def test_what_is_no_head_is_not_compared(head: str) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        held_against(LINES, head)
    assert caught.value.as_lines() == [
        f'Not compared. "{head if len(head) < 61 else head[:57] + "..."}" is no head.',
        "  A head is a count, a colon and at least 16 digits, like  41:3f9ad1c277b0e52a",
    ]


def test_the_collector_is_as_it_was_after_reading() -> None:
    assert gc.isenabled()
    check(DATA)
    assert gc.isenabled()
    gc.disable()
    try:
        check(DATA)
        assert not gc.isenabled()
    finally:
        gc.enable()


@pytest.mark.slow
def test_a_long_job_is_read_in_two_and_a_half_times_the_bare_loop() -> None:
    batch = Batch(0, NO_LINE, "Ann Fitter", AT)
    batch.add(Opened(job="0" * 32))
    entry: AnyEntry = Reading(address="H.idler@b", value="0.7503 in", gauge="mic1")
    for _ in range(99_999):
        batch.add(entry)
    data = b"".join(batch.lines)

    def bare() -> float:
        began = time.process_time()
        for line in lines_of(data):
            json.loads(line)
            sha256(line).hexdigest()
        return time.process_time() - began

    def ours() -> float:
        began = time.process_time()
        assert len(check(data).entries) == 100_000
        return time.process_time() - began

    assert min(ours() for _ in range(3)) <= 2.5 * min(bare() for _ in range(3))


@pytest.mark.parametrize("thing", [b"\n", b"\0\n", b"{}\n", b"x\0\n", b'{"n":1}\n'])
def test_a_file_of_a_million_lines_that_are_none_costs_no_more_than_its_size(thing: bytes) -> None:
    data = DATA + thing * ((8 << 20) // len(thing))
    tracemalloc.start()
    begun = time.process_time()
    report = check(data)
    took, (_, peak) = time.process_time() - begun, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert report.broken is not None
    assert report.broken.line == 6
    assert len(report.lines) <= len(data) // SHORTEST + 1
    assert (took < 4, peak < 3 * len(data)) == (True, True), (took, peak / len(data))


def test_a_line_too_short_to_be_one_is_always_among_those_looked_at() -> None:
    shortest = b'{"n":1,"prev":"' + b"0" * 64 + b'"}\n'
    assert len(shortest) == SHORTEST
    lines = lines_of(shortest * LINES_AT_LEAST * 2 + b"\n")
    assert lines[-1] == b"\n"
    assert len(lines) == LINES_AT_LEAST * 2 + 1


def test_a_thousand_lines_with_nul_bytes_are_torn_and_no_more() -> None:
    assert check(DATA + b"\0\n" * TORN_LINES).torn == b"\0\n" * TORN_LINES
    more = check(DATA + b"\0\n" * (TORN_LINES + 1)).broken
    assert more is not None
    assert more.reason == (
        "line 6 is not as bedplate writes it: it holds the control character 0x00"
    )


def test_a_job_is_opened_once() -> None:
    batch = Batch(5, sha256(LINES[-1]).hexdigest(), "Ann Fitter", AT)
    batch.add(Opened(job="0123456789abcdef" * 2))
    batch.add(Reading(address="D", value="1 in"))
    broken = check(DATA + b"".join(batch.lines)).broken
    assert broken is not None
    assert (broken.line, broken.reason) == (6, "line 6 opens the job a second time")
