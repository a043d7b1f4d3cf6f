"""Every family of alterations, through the command, against a checker that shares no code.

What is asserted of each: the exit code, the entry that is named, and that the stranger's checker
(tests/support/stranger.py) says no as well.
"""

from __future__ import annotations

import itertools
import json
import random
import re
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from altered import (
    EVE,
    LATER,
    PLAIN,
    SEAL,
    SIGNED,
    SPELLINGS,
    Change,
    changed,
    dumped,
    followed,
    forged,
    lines_of,
    put,
    resealed,
    sealed_again,
    swapped,
)
from at_the_bench import bedplate, done
from hostile import mutated_bytes, mutated_job
from signed_jobs import ANN, BERT, NAMES, Pen, reading
from signed_jobs import KNOWN as TRUSTED
from stranger import examine

from bedplate.record import entries as e
from bedplate.seal.verify import verify

KNOWN = {raw.hex(): name for raw, name in NAMES.items()}
HEAD = f"8:{sha256(lines_of(PLAIN)[-1]).hexdigest()}"


@pytest.fixture(autouse=True)
def _keys(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Know Ann's and Bert's keys, and nobody else's."""
    monkeypatch.setenv("BEDPLATE_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    for key in (ANN, BERT):
        done("key", "trust", NAMES[key.public.raw], key.public.line("x"))


def verified(data: bytes, *options: str) -> tuple[int, dict[str, Any]]:
    """Return the exit code of ``bedplate verify FILE --json``, and its document."""
    Path("x.job.jsonl").write_bytes(data)
    answer = bedplate("verify", "x.job.jsonl", "--json", *options)
    assert answer.code in (0, 1), answer
    assert answer.err == ""
    document = answer.document
    assert document["ok"] is (answer.code == 0)
    assert (document["reason"] is None) is document["ok"]
    return answer.code, document


def named(data: bytes, *options: str) -> int | None:
    """Return the entry that is named; bedplate and the stranger must both say no."""
    code, document = verified(data, *options)
    assert code == 1
    assert document["signed"] == []
    if not options and not lost_its_end(data):
        assert not examine(data).yes(KNOWN), "the stranger takes it"
    bad = document["first_bad_entry"]
    assert bad is None or isinstance(bad, int)
    return bad


def lost_its_end(data: bytes) -> bool:
    """Tell whether a seal at the end has a NUL in it, or something else for its line end.

    By the description's letter it is torn then, and was never there; bedplate sees more.
    """
    return len(data) == len(SIGNED) and examine(data).torn.startswith(b'{"n":9')


def is_yes(data: bytes, *options: str) -> bool:
    code, _ = verified(data, *options)
    assert (code == 0) is examine(data).yes(KNOWN)
    return code == 0


# --- before anything is altered ------------------------------------------------------------------


def test_the_stranger_and_verify_agree_on_jobs_that_are_whole() -> None:
    assert is_yes(PLAIN)
    assert is_yes(SIGNED)
    assert is_yes(LATER)
    seals = examine(LATER).seals
    _, document = verified(LATER)
    assert [
        (seal["entry"], seal["by"], seal["moment"], seal["key"]) for seal in document["seals"]
    ] == [(seal.line, seal.name, seal.moment, seal.fingerprint) for seal in seals]
    assert document["head"] == examine(LATER).head
    assert document["signed"] == ["handover", "first run"]


# --- one spelling --------------------------------------------------------------------------------

ODD_LINES = [
    pytest.param(number, change, id=f"{family}, {index}")
    for family, cases in SPELLINGS.items()
    for index, (number, change) in enumerate(cases)
]


@pytest.mark.parametrize(("number", "change"), ODD_LINES)
def test_a_line_as_none_is_written_is_named(number: int, change: Change) -> None:
    assert named(changed(number, change)) == number


@pytest.mark.parametrize(
    ("number", "change"), [case for case in ODD_LINES if case.values[0] != SEAL]
)
def test_it_is_named_too_where_chain_and_seal_were_made_anew_by_a_known_key(
    number: int, change: Change
) -> None:
    assert named(forged(number, change, key=ANN)) == number


def test_another_format_is_not_judged_and_blames_no_entry() -> None:
    later = changed(1, lambda line: line.replace(b"bedplate-job/1", b"bedplate-job/2"), PLAIN)
    assert named(lines_of(later)[0]) is None
    assert named(forged(1, lambda line: line.replace(b"job/1", b"job/2"), key=ANN)) is None
    for odd in (b"bedplate-job/01", b"bedplate-job/", b"bedplate-job/1 ", b"BEDPLATE-JOB/1"):
        assert named(forged(1, swapped(b"bedplate-job/1", odd))) == 1


# --- bits, bytes and cuts ------------------------------------------------------------------------


def line_at(data: bytes, index: int) -> int:
    return data.count(b"\n", 0, index) + 1


def flipped(data: bytes, every: int) -> Iterator[tuple[bytes, int]]:
    """Yield a job with one bit turned, and the number of its line."""
    for step, index in enumerate(range(0, len(data), every)):
        for bit in range(8) if every == 1 else (step % 8,):
            turned = bytearray(data)
            turned[index] ^= 1 << bit
            yield bytes(turned), line_at(data, index)


def missed_bits(every: int) -> list[tuple[int | None, int]]:
    found = []
    for data, line in flipped(SIGNED, every):
        found.append((named(data), line))
    return [(bad, line) for bad, line in found if bad != line]


def test_a_bit_of_a_signed_job_is_found_and_its_line_named() -> None:
    assert missed_bits(every=11) == []


@pytest.mark.slow
def test_every_bit_of_a_signed_job_is_found_and_its_line_named() -> None:
    assert missed_bits(every=1) == []


def test_a_bit_before_the_last_line_of_an_unsigned_job_is_found() -> None:
    *before, last = lines_of(PLAIN)
    for data, line in flipped(b"".join(before), every=29):
        suspects = {line, line + 1} if line == len(before) else {line}
        assert named(data + last) in suspects
        assert named(data + last, "--head", HEAD) == line


def test_a_bit_of_the_last_line_of_an_unsigned_job_is_found_by_the_head() -> None:
    before = b"".join(lines_of(PLAIN)[:-1])
    for data, _ in flipped(lines_of(PLAIN)[-1], every=9):
        assert named(before + data, "--head", HEAD) == 8
        assert named(before + data, "--head", HEAD[:18]) == 8


def test_a_job_cut_anywhere_is_never_taken_for_the_signed_one() -> None:
    whole = f"9:{sha256(lines_of(SIGNED)[-1]).hexdigest()}"
    for length in [*range(0, len(SIGNED), 61), *range(len(SIGNED) - 8, len(SIGNED))]:
        cut = SIGNED[:length]
        left = cut.count(b"\n")
        _, document = verified(cut)
        assert is_yes(cut) is bool(left)
        assert (document["signed"], document["seals"]) == ([], [])
        assert document["torn_bytes"] == length - (cut.rfind(b"\n") + 1)
        assert named(cut, "--signed") is None
        assert named(cut, "--head", whole) == (left + 1 if left else None)


# --- anything ------------------------------------------------------------------------------------


def disagreements(count: int, seed: int) -> list[tuple[int, str | None, str | None]]:
    """Return where `verify` and the stranger differ on files mutated by chance.

    They must agree on yes and no; and on the line, or on which of two neighbours does not fit.
    """
    dice, found = random.Random(seed), []
    for number in range(count):
        base = dice.choice((PLAIN, SIGNED, LATER))
        mutated = mutated_bytes if dice.random() < 0.5 else mutated_job
        data = mutated(base, dice)
        ours, theirs = verify(data, TRUSTED), examine(data)
        bad, wrong = ours.first_bad_entry, theirs.wrong_line
        alike = ours.ok is theirs.yes(KNOWN) or "was a seal and is damaged" in (ours.reason or "")
        if not alike or (bad and wrong and bad not in {wrong - 1, wrong}):
            found.append((number, ours.reason, theirs.wrong))
    return found


def test_the_stranger_and_verify_agree_on_a_thousand_files_mutated_by_chance() -> None:
    assert disagreements(1_000, seed=1) == []


@pytest.mark.slow
def test_the_stranger_and_verify_agree_on_a_hundred_thousand_mutated_files() -> None:
    assert disagreements(100_000, seed=2) == []


# --- lines ---------------------------------------------------------------------------------------


def test_a_line_removed_is_named_where_it_is_missing() -> None:
    for number in range(1, SEAL):
        lines = lines_of(SIGNED)
        del lines[number - 1]
        assert named(b"".join(lines)) == number


def test_lines_removed_from_the_end_are_found_by_the_head_or_where_a_seal_is_asked_for() -> None:
    head = f"9:{sha256(lines_of(SIGNED)[-1]).hexdigest()}"
    for left in range(1, SEAL):
        cut = b"".join(lines_of(SIGNED)[:left])
        assert named(cut, "--head", head) == left + 1
        assert named(cut, "--signed") is None


def test_a_line_doubled_is_named() -> None:
    for number in range(1, SEAL + 1):
        lines = lines_of(SIGNED)
        lines.insert(number, lines[number - 1])
        assert named(b"".join(lines)) == number + 1


def test_a_line_moved_is_found_where_the_order_first_fails() -> None:
    for here, there in itertools.permutations(range(1, SEAL + 1), 2):
        lines = lines_of(SIGNED)
        lines.insert(there - 1, lines.pop(here - 1))
        bad = named(b"".join(lines))
        assert bad == min(here, there), (here, there)


def test_a_line_put_in_is_named_however_well_it_is_made() -> None:
    for number in range(2, SEAL + 1):
        lines = lines_of(SIGNED)
        own = Pen(b"".join(lines[: number - 1])).write(reading(value="2 in")).batch.lines[-1]
        assert named(b"".join([*lines[: number - 1], own, *lines[number - 1 :]])) == number
        foreign = lines_of(Pen().open("ab" * 16).write(reading()).data)[-1]
        assert named(b"".join([*lines[: number - 1], foreign, *lines[number - 1 :]])) == number


def test_two_jobs_put_together_are_none() -> None:
    assert named(SIGNED + PLAIN) == SEAL + 1
    assert named(PLAIN + SIGNED) == 9
    again = lines_of(PLAIN)[0].replace(b'"n":1,', b'"n":9,')
    second = PLAIN + followed(again, lines_of(PLAIN)[-1])
    assert named(second) == 9


def test_a_number_altered_is_named_also_with_the_chain_made_anew() -> None:
    for number in range(1, SEAL):
        other = put(n=number + 1)
        assert named(changed(number, other)) == number
        assert named(forged(number, other)) == number
        assert named(forged(number, other, key=ANN)) == number


def test_line_ends_turned_are_said_and_name_the_first() -> None:
    _, document = verified(SIGNED.replace(b"\n", b"\r\n"))
    assert document["first_bad_entry"] == 1
    assert document["reason"] == (
        "every line ends in CR LF, as mail and some editors make it; with the line ends turned "
        "back it is whole"
    )
    assert named(SIGNED.replace(b"\n", b"\r\n")) == 1
    assert named(SIGNED.replace(b"\n", b"\r")) is None, "then there is no line at all"
    for number in range(1, SEAL + 1):
        assert named(changed(number, lambda line: line[:-1] + b"\r\n")) == number


# --- forgers -------------------------------------------------------------------------------------


def test_a_forger_who_makes_the_chain_anew_is_found_by_the_seal() -> None:
    for number in range(1, SEAL):
        for change in (
            put(at="2025-11-23T15:40:00+01:00"),
            put(by="Bert Witness"),
            lambda line: line.replace(b"Ann", b"Eve"),
        ):
            assert named(forged(number, change)) == SEAL


def test_a_forger_with_a_key_of_his_own_is_a_stranger() -> None:
    data = forged(4, put(note="well within limits"), key=EVE)
    code, document = verified(data)
    assert (code, document["first_bad_entry"]) == (1, None)
    assert document["reason"] == "whole, but signed by a key not known here"
    assert [(seal["by"], seal["known_as"], seal["ok"]) for seal in document["seals"]] == [
        ("Ann Fitter", None, False)
    ]
    assert named(data) is None


def test_a_forger_who_leaves_the_seal_out_is_found_where_one_is_asked_for() -> None:
    data = b"".join(lines_of(forged(4, put(note="well within limits")))[:-1])
    assert is_yes(data)
    assert named(data, "--signed") is None


def other_job() -> bytes:
    """Return the like job under another id, signed by Ann."""
    lines = lines_of(forged(1, lambda line: line.replace(b"5f" * 16, b"5e" * 16), PLAIN))
    return Pen(b"".join(lines)).sign().data


SEALS: dict[str, bytes] = {
    "of another job": followed(lines_of(other_job())[-1], lines_of(PLAIN)[-1]),
    "for another moment": put(
        sealed=json.loads(lines_of(SIGNED)[-1])["sealed"].replace("handover", "first run")
    )(lines_of(SIGNED)[-1]),
    "of fewer entries": followed(
        lines_of(Pen(b"".join(lines_of(PLAIN)[:-1])).sign().data)[-1].replace(b'"n":8', b'"n":9'),
        lines_of(PLAIN)[-1],
    ),
    "by another key": put(key=BERT.public.hex)(lines_of(SIGNED)[-1]),
    "by another hand": put(by="Bert Witness")(lines_of(SIGNED)[-1]),
    "at another time": put(at="2025-11-24T15:40:01+01:00")(lines_of(SIGNED)[-1]),
    "at the same time otherwise told": put(at="2025-11-24T14:40:00Z")(lines_of(SIGNED)[-1]),
    "signed by a stranger in a known key's name": put(
        signature=EVE.sign(json.loads(lines_of(SIGNED)[-1])["sealed"].encode()).hex()
    )(lines_of(SIGNED)[-1]),
    "with no signature": put(signature="0" * 128)(lines_of(SIGNED)[-1]),
}


@pytest.mark.parametrize("line", SEALS.values(), ids=SEALS)
def test_a_seal_that_is_not_of_these_bytes_in_this_place_is_named(line: bytes) -> None:
    assert named(PLAIN + line) == SEAL


def test_a_signature_has_one_form_only() -> None:
    order = 2**252 + 27742317777372353535851937790883648493
    for line in lines_of(SIGNED)[SEAL - 1 :]:
        raw = bytes.fromhex(json.loads(line)["signature"])
        large = int.from_bytes(raw[32:], "little") + order
        other = raw[:32] + large.to_bytes(32, "little")
        assert named(PLAIN + put(signature=other.hex())(line)) == SEAL


def resealed_as(pattern: str, by: str) -> Change:
    return resealed(lambda text: re.sub(pattern, by, text))


WORDS: dict[str, Change] = {
    "of other bytes": resealed_as("sha256: ..", "sha256: 00"),
    "of other numbers": resealed_as("entries: 8", "entries: 7"),
    "of a number with a zero before it": resealed_as("entries: 8", "entries: 08"),
    "of a number in other figures": resealed_as("entries: 8", "entries: \u0668"),
    "of another job": resealed_as("job: 5f", "job: 5e"),
    "of a job in capitals": resealed_as("job: (.*)", f"job: {'5F' * 16}"),
    "in another's name": resealed_as("name: .*", "name: Bert Witness"),
    "at another time": resealed_as("at: 2025", "at: 2024"),
    "with a line twice": resealed_as("(role: .*\n)", r"\1\1"),
    "with a line more": resealed_as(r"\Z", "more: x\n"),
    "with a line less": resealed_as("role: .*\n", ""),
    "with lines in another order": resealed_as("(name: .*\n)(role: .*\n)", r"\2\1"),
    "without its last line end": resealed_as(r"\n\Z", ""),
    "with CR LF": resealed_as("\n", "\r\n"),
    "with a space before a value": resealed_as("role: ", "role:  "),
    "with a space behind a value": resealed_as("handover", "handover "),
    "with a hard space behind a value": resealed_as("handover", "handover\u00a0"),
    "with a control character": resealed_as("handover", "hand\x1bover"),
    "with another first line": resealed_as("bedplate-seal/1", "bedplate-seal/2"),
    "with a byte-order mark": resealed_as(r"\Abed", "\ufeffbed"),
}


@pytest.mark.parametrize("change", WORDS.values(), ids=WORDS)
def test_a_text_that_is_none_is_no_seal_though_its_own_key_signed_it(change: Change) -> None:
    assert named(changed(SEAL, change)) == SEAL


@pytest.mark.parametrize(
    "change",
    [resealed_as("handover", "hand\u2028over"), resealed_as("moment: .*", "moment: "),
     resealed_as("at: .*", "at: ")],
)  # fmt: skip
def test_what_the_description_leaves_open_in_a_sealed_text_is_none_either(change: Change) -> None:
    assert verified(changed(SEAL, change))[1]["first_bad_entry"] == SEAL


def test_a_seal_replayed_later_in_its_own_job_is_named() -> None:
    seal = lines_of(SIGNED)[-1]
    later = Pen(SIGNED).write(e.Reopened(why="more"), reading(value="9 in"))
    replayed = followed(seal.replace(b'"n":9', b'"n":12'), lines_of(later.data)[-1])
    assert named(later.data + replayed) == 12
    moved = followed(lines_of(LATER)[-1].replace(b'"n":12', b'"n":10'), seal)
    assert named(SIGNED + moved) == 10


def test_what_was_counter_signed_cannot_lose_its_first_seal() -> None:
    lines = lines_of(Pen(SIGNED).sign(BERT).data)
    lines[9] = followed(lines[9].replace(b'"n":10', b'"n":9'), lines[7])
    assert named(b"".join([*lines[:8], lines[9]])) == 9
    rebuilt = sealed_again(lines[9], lines[:8], EVE)
    assert named(b"".join([*lines[:8], rebuilt])) is None


def test_a_key_of_small_order_signs_nothing() -> None:
    weak = "01" + "00" * 31
    entry = json.loads(lines_of(SIGNED)[-1])
    entry["sealed"] = re.sub("(?m)^key: .*$", f"key: {weak}", entry["sealed"])
    entry |= {"signature": weak + "00" * 32, "key": weak}
    code, document = verified(PLAIN + dumped(entry))
    assert (code, document["first_bad_entry"]) == (1, SEAL)


# --- what follows --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "data",
    [
        changed(4, put(note="x")),
        SIGNED.replace(b"\n", b"\r\n"),
        changed(4, put(kind="weighed")),
        changed(1, lambda line: line.replace(b"job/1", b"job/2")),
        changed(4, lambda _: b"[" * 100_000 + b"\n"),
    ],
)
def test_an_altered_job_is_read_but_never_added_to(
    data: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    Path("x.job.jsonl").write_bytes(data)
    for words in (["measure", "D", "1.0030"], ["finding"], ["note", "x"], ["sign"],
                  ["reopen", "--why", "x"], ["strike", "2", "--why", "x"]):  # fmt: skip
        answer = bedplate("--job", "x", *words)
        assert answer.code in {1, 2, 3}, (words, answer)
        assert answer.out == ""
    for words in (["log"], ["status"], ["check"], ["summary"], ["log", "--raw"],
                  ["export", "readings"], ["sheet", "show"]):  # fmt: skip
        answer = bedplate("--job", "x", *words)
        assert answer.code in {0, 1, 3}, (words, answer)
    assert Path("x.job.jsonl").read_bytes() == data


@pytest.mark.parametrize("number", range(2, 9))
def test_what_stands_before_the_altered_line_is_saved_as_a_job_to_go_on_with(
    number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    Path("x.job.jsonl").write_bytes(changed(number, put(note="x")))
    answer = bedplate("verify", "x", "--save-sound", "y.job.jsonl")
    assert answer.code == 1
    saved = Path("y.job.jsonl").read_bytes()
    assert saved == b"".join(lines_of(SIGNED)[: number - 1])
    assert is_yes(saved)
    done("--job", "y", "measure", "D", "1.0031", "--again", "--yes")
    assert is_yes(Path("y.job.jsonl").read_bytes())
    again = bedplate("verify", "x", "--save-sound", "y.job.jsonl")
    assert (again.code, again.err.splitlines()[0]) == (
        3,
        "Not saved. y.job.jsonl is there already.",
    )
