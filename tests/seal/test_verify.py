"""What was done to a job, family by family, and what is said of it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256

import pytest
from signed_jobs import ANN, AT, BERT, KNOWN, Pen, reading, signer

from bedplate.errors import NotUnderstoodError
from bedplate.record import entries as e
from bedplate.record.attachments import AttachmentFact
from bedplate.record.batch import Batch
from bedplate.record.spelling import read_line, spell
from bedplate.seal.copies import Copy
from bedplate.seal.facts import SealFact, Verification
from bedplate.seal.known import KnownKey
from bedplate.seal.openssh import Signer
from bedplate.seal.sealed import read_sealed, sealed_text
from bedplate.seal.verify import Beside, Wanted, verify


def lines_of(data: bytes) -> list[bytes]:
    return data.splitlines(keepends=True)


def named(data: bytes, *, wanted: Wanted | None = None) -> tuple[int | None, str | None]:
    """Return the entry that is named, and the reason; the answer must be a no."""
    found = verify(data, KNOWN, wanted=wanted or Wanted())
    assert not found.ok
    assert found.signed == ()
    return found.first_bad_entry, found.reason


def forged(data: bytes, number: int, change: Callable[[e.AnyEntry], e.AnyEntry]) -> bytes:
    """Return a job with one entry changed and the chain worked out anew, as a forger would."""
    batch = Batch(0, e.NO_LINE, "", "")
    for line in lines_of(data):
        entry = read_line(line)
        batch.by, batch.at = entry.by, entry.at
        batch.add(change(entry) if entry.n == number else entry)
    return b"".join(batch.lines)


def resealed(data: bytes, change: Callable[[str], str], key: Signer | None = None) -> bytes:
    """Return a job whose last seal says something else; signed with ``key`` if one is given."""
    *before, last = lines_of(data)
    signed = read_line(last)
    assert isinstance(signed, e.Signed)
    text = change(signed.sealed)
    signature = key.sign(text.encode()).hex() if key else signed.signature
    changed = signed.model_copy(update={"sealed": text, "signature": signature})
    return b"".join([*before, spell(changed)])


# --- yes -----------------------------------------------------------------------------------------


def test_a_whole_signed_job_is_a_yes(job: bytes) -> None:
    link = sha256(lines_of(job)[-1]).hexdigest()
    assert verify(job, KNOWN).as_json() == {
        "ok": True,
        "first_bad_entry": None,
        "reason": None,
        "head": f"5:{link}",
        "signed": ["handover"],
        "torn_bytes": 0,
        "copies": [],
        "attachments": [],
        "seals": [
            {
                "entry": 5,
                "covers": 4,
                "by": "Ann Fitter",
                "role": "rebuild mechanic",
                "moment": "handover",
                "key": ANN.public.fingerprint,
                "known_as": "Ann Fitter",
                "ok": True,
            }
        ],
    }
    assert verify(job, KNOWN).said == ()
    assert verify(job, KNOWN).sound == job


def test_the_json_has_the_keys_of_the_contract_in_their_order(job: bytes) -> None:
    found = verify(job, KNOWN).as_json()
    assert list(found) == [
        "ok", "first_bad_entry", "reason", "head", "signed", "torn_bytes", "copies",
        "attachments", "seals",
    ]  # fmt: skip
    assert list(found["seals"][0]) == [
        "entry", "covers", "by", "role", "moment", "key", "known_as", "ok",
    ]  # fmt: skip
    assert json.loads(json.dumps(found)) == found


def test_an_unsigned_job_is_a_yes_that_says_so() -> None:
    found = verify(Pen().open().write(reading()).data, KNOWN)
    assert (found.ok, found.reason, found.signed, found.seals) == (True, None, (), ())
    assert found.said == ("It is not signed.",)


def test_an_unsigned_job_is_a_no_where_a_signed_one_is_wanted() -> None:
    found = verify(Pen().open().write(reading()).data, KNOWN, wanted=Wanted(signed=True))
    assert (found.ok, found.first_bad_entry, found.reason) == (
        False,
        None,
        "whole, but not signed",
    )


def test_an_empty_file_holds_nothing() -> None:
    found = verify(b"", KNOWN)
    assert (found.ok, found.head, found.reason) == (False, None, "it holds no whole entry")
    assert found.as_json()["head"] is None
    torn = verify(b'{"n":1', KNOWN)
    assert (torn.ok, torn.head, torn.torn_bytes) == (False, None, 6)


def test_a_torn_tail_behind_a_seal_takes_nothing_from_it(job: bytes) -> None:
    found = verify(job + b'{"n":6,"at":"2025', KNOWN)
    assert (found.ok, found.signed, found.torn_bytes) == (True, ("handover",), 17)
    assert found.said == ("17 bytes behind entry 5 were never recorded and are not counted.",)


# --- whose ---------------------------------------------------------------------------------------


def test_a_key_that_nobody_here_knows_is_a_no_to_a_whole_job(job: bytes) -> None:
    found = verify(job, KNOWN[1:])
    assert (found.ok, found.first_bad_entry) == (False, None)
    assert found.reason == "whole, but signed by a key not known here"
    (seal,) = found.seals
    assert (seal.known_as, seal.ok, seal.fault) == (None, False, None)
    assert found.signed == ()
    assert found.sound == job


def test_a_key_known_under_another_name_is_a_no(job: bytes) -> None:
    found = verify(job, [KnownKey(ANN.public, "Ann Filter")])
    assert (found.ok, found.first_bad_entry) == (False, None)
    assert found.reason == (
        'whole, but signed by a key known here as "Ann Filter", not as "Ann Fitter"'
    )
    assert (found.seals[0].known_as, found.seals[0].ok) == ("Ann Filter", False)


def test_a_name_is_the_same_however_its_accents_are_composed() -> None:
    pen = Pen(by="Ju\u0308rgen").open().sign(ANN, "Ju\u0308rgen")
    assert verify(pen.data, [KnownKey(ANN.public, "J\u00fcrgen")]).ok


def test_a_second_signers_key_must_be_known_too(job: bytes) -> None:
    both = Pen(job).sign(BERT).data
    assert verify(both, KNOWN).ok
    found = verify(both, KNOWN[:1])
    assert (found.ok, found.reason) == (False, "whole, but signed by a key not known here")
    assert [seal.ok for seal in found.seals] == [True, False]
    assert found.signed == ("handover",)


def test_a_retired_key_vouches_for_what_it_signed_before(job: bytes) -> None:
    later = replace(KNOWN[0], retired="2025-11-24T14:40:01Z")
    assert verify(job, [later]).ok
    earlier = replace(KNOWN[0], retired="2025-11-24T14:39:59Z")
    found = verify(job, [earlier])
    assert (found.ok, found.seals[0].ok) == (False, False)
    assert found.reason == (
        f"whole, but signed on {AT} by a key that was retired on 2025-11-24T14:39:59Z"
    )


# --- lines altered, removed, moved, put in -------------------------------------------------------


def long_job() -> bytes:
    pen = Pen().open()
    for k in range(8):
        pen.write(reading(value=f"1.000{k} in"))
    return pen.sign().data


LONG = long_job()


@pytest.mark.parametrize("number", range(2, 10))
def test_an_altered_line_is_named(number: int) -> None:
    lines = lines_of(LONG)
    lines[number - 1] = lines[number - 1].replace(b"1.000", b"1.001")
    entry, reason = named(b"".join(lines))
    assert entry == number
    after = "sealed it" if number == 9 else "was written on it"
    assert reason == f"line {number} was altered after line {number + 1} {after}"


@pytest.mark.parametrize("number", range(1, 10))
def test_a_line_that_is_gone_is_named(number: int) -> None:
    lines = lines_of(LONG)
    del lines[number - 1]
    assert named(b"".join(lines))[0] == number


@pytest.mark.parametrize("number", range(1, 11))
def test_a_line_that_stands_twice_is_named(number: int) -> None:
    lines = lines_of(LONG)
    lines.insert(number, lines[number - 1])
    assert named(b"".join(lines)) == (
        number + 1,
        f"line {number + 1} is line {number} once more",
    )


@pytest.mark.parametrize("number", range(2, 10))
def test_a_line_put_in_is_named(number: int) -> None:
    lines = lines_of(LONG)
    before = Pen(b"".join(lines[: number - 1]))
    lines.insert(number - 1, before.write(reading(value="2 in")).batch.lines[-1])
    entry, reason = named(b"".join(lines))
    assert entry == number
    assert reason is not None
    assert reason.startswith(f"line {number} was put in")


@pytest.mark.parametrize(("here", "there"), [(2, 5), (5, 2), (9, 3), (3, 9), (4, 5)])
def test_a_line_that_was_moved_is_found_where_it_left_or_came(here: int, there: int) -> None:
    lines = lines_of(LONG)
    lines.insert(there - 1, lines.pop(here - 1))
    assert named(b"".join(lines))[0] == min(here, there)


def test_the_last_two_lines_are_told_apart_by_the_seal() -> None:
    *before, seal = lines_of(LONG)
    before[-1] = before[-1].replace(b"1.000", b"1.001")
    assert named(b"".join([*before, seal])) == (
        9,
        "line 9 was altered after line 10 sealed it",
    )
    changed = seal.replace(lines_of(LONG)[-1][-20:-4], b"0123456789abcdef")
    assert named(b"".join([*lines_of(LONG)[:-1], changed])) == (
        10,
        "line 10 was altered: what it sealed is as it was",
    )


def test_the_line_behind_a_seal_is_told_by_it() -> None:
    *before, last = lines_of(Pen(LONG).write(reading(value="3 in")).data)
    link = sha256(before[-1]).hexdigest().encode()
    changed = last.replace(link, b"1" * 64)
    assert named(b"".join([*before, changed])) == (
        11,
        "line 11 was altered: the seal in line 10 holds",
    )


def test_without_seal_or_head_either_of_the_last_two_may_be_the_one() -> None:
    pen = Pen().open().write(reading(), reading(value="2 in"))
    first, second, third = lines_of(pen.data)
    altered = first + second.replace(b"1.0000", b"1.0001") + third
    assert named(altered) == (3, "line 2 or line 3 was altered: they do not agree")


def test_a_head_noted_elsewhere_tells_the_last_two_lines_apart() -> None:
    pen = Pen().open().write(reading(), reading(value="2 in"))
    first, second, third = lines_of(pen.data)
    altered = first + second.replace(b"1.0000", b"1.0001") + third
    assert named(altered, wanted=Wanted(head=pen.head)) == (
        2,
        "line 2 was altered: line 3 is the one the head was noted of",
    )
    other = first + second + third.replace(sha256(second).hexdigest().encode(), b"1" * 64)
    second_head = f"2:{sha256(second).hexdigest()}"
    assert named(other, wanted=Wanted(head=second_head)) == (
        3,
        "line 3 was altered: line 2 is the one the head was noted of",
    )


# --- spelling ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [
        lambda line: line.replace(b'"n":', b'"n": '),
        lambda line: line.replace(b"{", b"{ ", 1),
        lambda line: line.replace(b"}\n", b"} \n"),
        lambda line: line.replace(b"}\n", b"}\r\n"),
        lambda line: line.replace(b'"by":"Ann', b'"by":"\\u0041nn'),
        lambda line: line.replace(b'"by":"Ann Fitter",', b'"by":"Bert","by":"Ann Fitter",'),
        lambda line: line.replace(b'"by":"Ann Fitter",', b'"by":"Ann Fitter","by":"Bert",'),
        lambda line: line.replace(b'"n":10', b'"n":10.0'),
        lambda line: line.replace(b'"n":10', b'"n":1e1'),
        lambda line: line.replace(b'"n":10,', b'"n":10,"z":1,'),
        lambda line: line.replace(b'{"n":10,', b"{").replace(b"}\n", b',"n":10}\n'),
        lambda line: line.replace(b'"kind"', b'"note":"x","kind"'),
        lambda line: b"\xef\xbb\xbf" + line,
        lambda line: line.upper(),
        lambda line: json.dumps(json.loads(line), sort_keys=True).encode() + b"\n",
    ],
)
def test_a_seal_spelled_in_another_way_is_named(change: Callable[[bytes], bytes]) -> None:
    *before, seal = lines_of(LONG)
    changed = change(seal)
    assert changed != seal
    assert named(b"".join([*before, changed]))[0] == 10


def test_every_line_end_turned_is_said_and_whether_that_is_all() -> None:
    turned = LONG.replace(b"\n", b"\r\n")
    found = verify(turned, KNOWN)
    assert (found.ok, found.first_bad_entry, found.signed) == (False, 1, ())
    assert found.reason == (
        "every line ends in CR LF, as mail and some editors make it; with the line ends turned "
        "back it is whole"
    )
    assert [seal.ok for seal in found.seals] == [False]
    assert found.sound == LONG
    stranger = verify(turned, [])
    assert stranger.reason == (
        "every line ends in CR LF, as mail and some editors make it; with the line ends turned "
        "back it is whole, but signed by a key not known here"
    )


@pytest.mark.parametrize("times", [2, 3, 5_000])
def test_line_ends_turned_more_than_once_are_a_no_without_end(times: int) -> None:
    found = verify(LONG.replace(b"\n", b"\r" * times + b"\n"), KNOWN)
    assert (found.ok, found.first_bad_entry, found.sound) == (False, 1, b"")
    assert found.reason is not None
    assert found.reason.startswith("every line ends in CR LF")
    assert found.reason.endswith("it holds the control character 0x0d")


def test_a_single_line_end_turned_is_named_as_one() -> None:
    found = verify(LONG.replace(b"}\n", b"}\r\n", 1), KNOWN)
    assert (found.ok, found.first_bad_entry) == (False, 1)
    assert found.reason == (
        "1 line ends in CR LF, as mail and some editors make it; with the line ends turned back "
        "it is whole"
    )


def test_a_line_altered_under_turned_line_ends_is_still_named() -> None:
    altered = LONG.replace(b"1.0003", b"1.0004").replace(b"\n", b"\r\n")
    found = verify(altered, KNOWN)
    assert (found.ok, found.first_bad_entry) == (False, 1)
    assert found.reason == (
        "every line ends in CR LF, as mail and some editors make it; with the line ends turned "
        "back line 5 was altered after line 6 was written on it"
    )
    assert found.sound == b"".join(lines_of(LONG)[:4])


# --- seals ---------------------------------------------------------------------------------------


def test_a_forger_who_works_the_chain_out_anew_is_found_by_the_seal() -> None:
    for number in range(2, 10):
        changed = forged(LONG, number, lambda entry: entry.model_copy(update={"note": "x"}))
        assert named(changed) == (10, "what stands before entry 10 is not what was sealed in it")


def test_a_seal_of_another_job_does_not_hold_here() -> None:
    other = Pen().open("ab" * 16)
    for k in range(8):
        other.write(reading(value=f"1.000{k} in"))
    other.sign()
    theirs = read_line(other.batch.lines[-1])
    here = Pen(b"".join(lines_of(LONG)[:-1])).write(theirs)
    assert named(here.data) == (10, "the seal in entry 10 was made for another job")


def test_a_seal_used_again_later_in_its_own_job_does_not_hold() -> None:
    seal = read_line(lines_of(LONG)[-1])
    later = Pen(LONG).write(e.Reopened(why="more"), seal)
    assert named(later.data) == (12, "what stands before entry 12 is not what was sealed in it")


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("handover", "first run"),
        lambda text: text.replace("name: Ann Fitter", "name: Bert Witness"),
        lambda text: text.replace("Done as recorded.", "Done, all limits met."),
        lambda text: text.replace("rebuild mechanic", "owner"),
        lambda text: text.replace("15:40", "15:41"),
        lambda text: text.replace("entries: 9", "entries: 8"),
    ],
)
def test_a_word_changed_in_what_was_sealed_breaks_the_signature(
    change: Callable[[str], str],
) -> None:
    assert named(resealed(LONG, change)) == (
        10,
        "the signature in entry 10 does not hold over what it seals",
    )


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (
            lambda text: text.replace("name: Ann Fitter", "name: Bert Witness"),
            "entry 10 was altered around its seal",
        ),
        (lambda text: text.replace("15:40", "15:41"), "entry 10 was altered around its seal"),
        (
            lambda text: text.replace("at: 2025", "at: in 2025"),
            "entry 10 was altered around its seal",
        ),
        (
            lambda text: text.replace("entries: 9", "entries: 8"),
            "what stands before entry 10 is not what was sealed in it",
        ),
        (
            lambda text: text.replace("job: 5f", "job: 6f"),
            "the seal in entry 10 was made for another job",
        ),
        (
            lambda text: text.replace("\n", "\n\n", 1),
            "what entry 10 sealed cannot be read: it is not of 10 lines",
        ),
        (
            lambda text: text.replace("entries: 9", "entries: 09"),
            "what entry 10 sealed cannot be read: its entries is not of its form",
        ),
    ],
)
def test_a_seal_that_its_own_key_made_wrongly_does_not_hold(
    change: Callable[[str], str], reason: str
) -> None:
    assert named(resealed(LONG, change, ANN)) == (10, reason)


def test_the_key_beside_a_seal_is_the_one_within_it() -> None:
    *before, last = lines_of(LONG)
    changed = read_line(last).model_copy(update={"key": BERT.public.hex})
    assert named(b"".join([*before, spell(changed)])) == (
        10,
        "entry 10 was altered around its seal",
    )


def test_a_seal_by_a_key_of_small_order_is_none() -> None:
    weak = "01" + "00" * 31

    def change(text: str) -> str:
        return sealed_text(replace(read_sealed(text), key=weak))

    *before, last = lines_of(resealed(LONG, change))
    changed = read_line(last).model_copy(update={"key": weak, "signature": weak + "00" * 32})
    entry, reason = named(b"".join([*before, spell(changed)]))
    assert entry == 10
    assert reason == (
        "the key of the seal in entry 10 is none: It is a key of small order: anybody can sign "
        "under it."
    )


def test_a_bad_seal_before_a_break_is_the_first_bad_entry() -> None:
    bad = resealed(LONG, lambda text: text.replace("Done", "Gone"))
    pen = Pen(bad).write(e.Reopened(why="more"), reading(value="2 in"), reading(value="3 in"))
    altered = pen.data.replace(b'"2 in"', b'"4 in"')
    found = verify(altered, KNOWN)
    assert (found.first_bad_entry, found.reason) == (
        10,
        "the signature in entry 10 does not hold over what it seals",
    )
    assert found.sound == b"".join(lines_of(LONG)[:9]), "what is saved is whole"
    other = resealed(LONG, lambda text: text.replace("job: 5f", "job: 6f"), ANN)
    assert named(Pen(other).write(reading()).data + b"{}\n")[0] == 10
    turned = Pen(bad).write(reading()).data.replace(b'}\n{"n":11', b'}\n\r\n{"n":11')
    assert named(turned)[0] == 10


def test_a_kind_that_the_format_lacks_is_what_was_altered_of_two_lines() -> None:
    pen = Pen().open().write(reading(), reading(value="2 in"))
    first, second, third = lines_of(pen.data)
    changed = second.replace(b'"reading"', b'"weighed"')
    assert named(first + changed + third) == (
        2,
        'line 2 was altered: it has the kind "weighed", not known here, and line 3 does not '
        "follow on it",
    )
    assert named(first + changed) == (
        2,
        'line 2 cannot be judged here: it has the kind "weighed", not known here',
    )
    later = Pen(first + second).write(reading(value="2 in"), reading(value="3 in")).data
    lines = lines_of(later)
    lines[3] = lines[3].replace(b"3 in", b"4 in").replace(b'"n":4', b'"n":5')
    assert named(first + changed + b"".join(lines[2:]))[0] == 2


def test_seals_behind_a_break_are_listed_and_are_none() -> None:
    both = Pen(LONG).sign(BERT).data
    lines = lines_of(both)
    lines[4] = lines[4].replace(b"1.0003", b"1.0004")
    found = verify(b"".join(lines), KNOWN)
    assert found.first_bad_entry == 5
    assert [(seal.entry, seal.ok, seal.fault) for seal in found.seals] == [
        (10, False, "what stands before entry 10 is not what was sealed in it"),
        (11, False, "what stands before entry 11 is not what was sealed in it"),
    ]


def test_a_seal_that_is_sound_stays_so_before_a_break() -> None:
    pen = Pen(LONG).write(e.Reopened(why="more"), reading(value="2 in"), reading(value="3 in"))
    lines = lines_of(pen.data)
    lines[11] = lines[11].replace(b"2 in", b"4 in")
    found = verify(b"".join(lines), KNOWN, wanted=Wanted(head=pen.head))
    assert (found.first_bad_entry, found.seals[0].ok, found.signed) == (12, True, ())
    assert found.sound == b"".join(lines[:11])


def test_a_seal_with_a_hole_in_it_is_not_passed_over_as_torn() -> None:
    *before, last = lines_of(LONG)
    for damaged in (last.replace(b" ", b"\0", 1), last[:-1] + b"\x0b", last[:-1] + b" \xff"):
        assert named(b"".join(before) + damaged) == (10, "line 10 was a seal and is damaged")
    for cut in (last[:-1], last[:200], last[:200] + b"\0" * 50):
        found = verify(b"".join(before) + cut, KNOWN)
        assert (found.ok, found.signed, found.torn_bytes) == (True, (), len(cut))


# --- what is not known here ----------------------------------------------------------------------


def test_a_newer_kind_is_not_judged() -> None:
    pen = Pen().open().write(reading())
    link = sha256(pen.batch.lines[-1]).hexdigest()
    newer = f'{{"n":3,"at":"{AT}","by":"Ann","kind":"weighed","prev":"{link}"}}\n'
    found = verify(pen.data + newer.encode(), KNOWN)
    assert (found.ok, found.first_bad_entry) == (False, 3)
    assert found.reason == (
        'line 3 cannot be judged here: it has the kind "weighed", not known here'
    )


def test_a_newer_format_is_not_judged_and_no_entry_is_blamed(job: bytes) -> None:
    first = lines_of(job)[0].replace(b"bedplate-job/1", b"bedplate-job/2")
    found = verify(first, KNOWN)
    assert (found.ok, found.first_bad_entry, found.sound) == (False, None, b"")
    assert found.reason == "line 1 cannot be judged here: it is of format 2"


def test_what_opens_no_job_is_none() -> None:
    found = verify(Pen().write(reading()).data, KNOWN)
    assert (found.ok, found.first_bad_entry) == (False, 1)
    assert found.reason == "line 1 does not open a job"


# --- heads ---------------------------------------------------------------------------------------


def test_a_head_of_the_job_as_it_is_or_was_is_a_yes(job: bytes) -> None:
    for number, line in enumerate(lines_of(job), 1):
        link = sha256(line).hexdigest()
        for digits in (16, 20, 64):
            head = f"{number}:{link[:digits]}"
            assert verify(job, KNOWN, wanted=Wanted(head=head)).ok
            assert verify(job, KNOWN, wanted=Wanted(head=head.upper())).ok


def test_lines_cut_off_whole_are_found_by_the_head(job: bytes) -> None:
    head = str(verify(job, KNOWN).head)
    for left in range(1, 5):
        cut = b"".join(lines_of(job)[:left])
        assert named(cut, wanted=Wanted(head=head)) == (
            left + 1,
            f"the head is of 5 entries, the file has {left}: lines were cut off",
        )


def test_a_last_line_forged_is_found_by_the_head() -> None:
    pen = Pen().open().write(reading())
    other = Pen().open().write(reading(value="2 in"))
    assert named(other.data, wanted=Wanted(head=pen.head)) == (
        2,
        "entry 2 is not the one that the head was noted of",
    )


@pytest.mark.parametrize(
    "head", ["", "5", "5:3f9a", "0:" + "0" * 64, "5:" + "g" * 16, "٥:" + "0" * 16]
)
def test_what_is_no_head_is_not_understood(job: bytes, head: str) -> None:
    if not head:
        return
    with pytest.raises(NotUnderstoodError):
        verify(job, KNOWN, wanted=Wanted(head=head))


# --- what follows a seal -------------------------------------------------------------------------


def after(*entries: e.AnyEntry) -> Verification:
    return verify(Pen(LONG).write(*entries).data, KNOWN)


def test_a_job_stays_signed_while_only_what_may_follow_follows() -> None:
    gauge = e.GaugeDescribed(gauge={"name": "mic1", "kind": "micrometer"})
    setting = e.Setting(gauge="mic1", shown="0.0001 in")
    aside = e.SetAside(bytes=3, sha256="ab" * 32)
    found = after(gauge, setting, aside, e.Strike(entry=12, why="misread"))
    assert (found.ok, found.signed, found.said) == (True, ("handover",), ())
    both = verify(Pen(LONG).sign(BERT).data, KNOWN)
    assert (both.ok, both.signed) == (True, ("handover",))


def test_a_reopened_job_is_signed_up_to_its_seal() -> None:
    found = after(e.Reopened(why="gasket weeps"))
    assert (found.ok, found.signed) == (True, ())
    assert found.said == ("Signed up to entry 9, reopened by entry 11.",)
    wanted = verify(Pen(LONG).write(e.Reopened(why="x")).data, KNOWN, wanted=Wanted(signed=True))
    assert (wanted.ok, wanted.first_bad_entry) == (False, None)
    assert wanted.reason == "whole, but signed up to entry 9, reopened by entry 11"


def test_work_that_no_later_moment_asks_for_ends_the_signature() -> None:
    found = after(reading(value="2 in"))
    assert (found.ok, found.signed) == (True, ())
    assert found.said == ("Signed up to entry 9, changed since by entry 11.",)


def test_striking_what_was_signed_ends_the_signature() -> None:
    found = after(e.Strike(entry=4, why="misread"))
    assert found.said == ("Signed up to entry 9, changed since by entry 11.",)


def test_what_a_later_moment_asks_for_may_follow() -> None:
    pen = Pen(LONG).write(reading("W"))
    assert verify(pen.data, KNOWN).signed == ("handover",)
    pen.sign(moment="first run")
    assert verify(pen.data, KNOWN).signed == ("handover", "first run")
    pen.write(reading("W", "2 in"))
    assert verify(pen.data, KNOWN).signed == ("handover",)
    pen.write(reading("H.idler@a"))
    found = verify(pen.data, KNOWN)
    assert (found.ok, found.signed) == (True, ())
    assert found.said == (
        "Signed up to entry 9, changed since by entry 14.",
        "Signed up to entry 11, changed since by entry 13.",
    )


def test_a_job_that_adds_up_to_none_has_nothing_asked_for_later() -> None:
    sheet = {"format": "bedplate-sheet/1", "fit": [{"tag": "X", "stack": "NONE - SUCH"}]}
    opened = e.Opened.model_validate({"job": "5f" * 16, "sheet": sheet})
    found = verify(Pen().write(opened).sign().write(reading("W")).data, KNOWN)
    assert (found.ok, found.signed) == (True, ())


def test_a_job_signed_again_is_signed_again() -> None:
    pen = Pen(LONG).write(e.Reopened(why="more"), reading(value="2 in")).sign()
    found = verify(pen.data, KNOWN, wanted=Wanted(signed=True))
    assert (found.ok, found.signed) == (True, ("handover",))
    assert found.said == ("Signed up to entry 9, reopened by entry 11.",)


# --- beside --------------------------------------------------------------------------------------


def fact(state: str) -> AttachmentFact:
    return AttachmentFact(12, f"pump.files/{'ab' * 8}.jpg", "bore.jpg", state)  # type: ignore[arg-type]


def test_an_altered_attachment_is_a_no_and_a_missing_one_is_said(job: bytes) -> None:
    missing = verify(job, KNOWN, beside=Beside((fact("whole"), fact("missing"))))
    assert (missing.ok, missing.signed) == (True, ("handover",))
    assert missing.said == (
        "The attachment pump.files/abababababababab.jpg (entry 12) is missing.",
    )
    assert missing.as_json()["attachments"][1] == {
        "entry": 12,
        "file": "pump.files/abababababababab.jpg",
        "name": "bore.jpg",
        "state": "missing",
    }
    altered = verify(job, KNOWN, beside=Beside((fact("altered"),)))
    assert (altered.ok, altered.first_bad_entry) == (False, None)
    assert altered.reason == (
        "the attachment pump.files/abababababababab.jpg (entry 12) was altered"
    )


def test_a_copy_that_holds_more_is_said(job: bytes) -> None:
    found = verify(job, KNOWN, beside=Beside(copies=(Copy("pump (2).job.jsonl", 4, 3),)))
    assert (found.ok, found.copies) == (True, ("pump (2).job.jsonl",))
    assert found.said == (
        '"pump (2).job.jsonl" holds 3 entries of this job that this file lacks.',
    )


def test_a_clock_that_was_set_back_is_said() -> None:
    pen = Pen().open().write(reading(), at="2025-11-24T15:41:00+01:00")
    pen.write(reading(), at="2025-11-24T14:40:59Z").write(
        reading(), at="2025-11-24T16:41:00+02:00"
    )
    found = verify(pen.data, KNOWN)
    assert found.said == ("It is not signed.", "The clock was set back before entry 3.")


def test_a_stranger_who_signs_what_he_altered_is_a_stranger() -> None:
    eve = signer(9)
    changed = forged(LONG, 5, lambda entry: entry.model_copy(update={"note": "x"}))
    own = Pen(b"".join(lines_of(changed)[:-1])).sign(eve, "Ann Fitter")
    found = verify(own.data, KNOWN)
    assert (found.ok, found.first_bad_entry) == (False, None)
    assert found.reason == "whole, but signed by a key not known here"
    assert isinstance(found.seals[0], SealFact)
    assert found.seals[0].key == eve.public.fingerprint
