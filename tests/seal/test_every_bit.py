"""A small signed job, every bit and every length of it."""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate

from bedplate.seal.facts import Verification
from bedplate.seal.known import KnownKey
from bedplate.seal.verify import Wanted, verify

Known = tuple[KnownKey, ...]


def test_every_bit_of_a_signed_job_is_covered_and_its_line_is_named(
    job: bytes, known: Known
) -> None:
    lines = job.splitlines(keepends=True)
    ends = list(accumulate(len(line) for line in lines))
    assert verify(job, known).ok
    altered = bytearray(job)
    missed = []
    for index in range(len(job)):
        for bit in range(8):
            altered[index] ^= 1 << bit
            found = verify(bytes(altered), known)
            if found.ok or found.signed or found.first_bad_entry != bisect_right(ends, index) + 1:
                missed.append((index, bit, found.first_bad_entry, found.reason))
            altered[index] ^= 1 << bit
    assert missed == []


def test_a_job_cut_at_any_byte_is_never_taken_for_the_signed_one(job: bytes, known: Known) -> None:
    lines = job.splitlines(keepends=True)
    ends = list(accumulate(len(line) for line in lines))
    whole = verify(job, known)
    head = str(whole.head)
    for length in range(len(job)):
        left = bisect_right(ends, length)
        torn = length - ([0, *ends][left])
        found = verify(job[:length], known)
        assert (found.signed, found.seals, found.torn_bytes) == ((), (), torn)
        assert found.ok is bool(left)
        assert_a_no(verify(job[:length], known, wanted=Wanted(signed=True)), None)
        assert_a_no(
            verify(job[:length], known, wanted=Wanted(head=head)), left + 1 if left else None
        )


def assert_a_no(found: Verification, named: int | None) -> None:
    assert not found.ok
    assert found.first_bad_entry == named
    assert found.reason


def test_no_byte_can_be_put_in_or_taken_out(job: bytes, known: Known) -> None:
    lines = job.splitlines(keepends=True)
    ends = list(accumulate(len(line) for line in lines))
    for index in range(len(job)):
        line = bisect_right(ends, index) + 1
        without = verify(job[:index] + job[index + 1 :], known)
        if index == len(job) - 1:  # the last line end: a write that was cut short looks the same
            assert (without.ok, without.signed, without.torn_bytes > 0) == (True, (), True)
        else:
            assert (without.ok, without.first_bad_entry) == (False, line), index
        for byte in (b" ", b"\0", b"\n", b"0"):
            more = verify(job[:index] + byte + job[index:], known)
            empty_line = byte == b"\n" and index + 1 in ends
            named = line + 1 if empty_line else line
            assert (more.ok, more.first_bad_entry) == (False, named), (index, byte)


def test_whatever_is_put_behind_a_signed_job_is_seen(job: bytes, known: Known) -> None:
    whole = verify(job, known)
    for byte in range(256):
        found = verify(job + bytes([byte]), known)
        if byte == 0x0A:
            assert (found.ok, found.first_bad_entry) == (False, 6)
        else:
            assert (found.ok, found.signed, found.torn_bytes) == (True, whole.signed, 1)
            assert found.said == (
                "1 byte behind entry 5 were never recorded and are not counted.",
            )
