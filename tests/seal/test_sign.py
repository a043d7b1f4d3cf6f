from __future__ import annotations

from datetime import datetime
from hashlib import sha256
from pathlib import Path

import pytest
from signed_jobs import ANN, AT, JOB, KNOWN, Pen, reading, seal_over

from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record.appending import append
from bedplate.record.jobfile import read_job_file
from bedplate.seal.keys import signature_holds
from bedplate.seal.sealed import Sealed, read_sealed
from bedplate.seal.sign import Draft, only_as_shown
from bedplate.seal.verify import verify

DRAFT = Draft("handover", "Ann Fitter", "rebuild mechanic", AT, "Done as recorded.")


def refusal(data: bytes, shown: str) -> list[str]:
    with pytest.raises(RefusedError) as caught:
        seal_over(data, shown, DRAFT, ANN)
    return caught.value.as_lines()


GROWN = [
    "Not signed. The job is not any more as you were shown it.",
    "  See what came since, then sign again:  bedplate log",
]


def test_a_seal_says_what_was_signed_by_whom_and_over_which_bytes() -> None:
    pen = Pen().open().write(reading())
    seal = seal_over(pen.data, pen.head, DRAFT, ANN)
    assert read_sealed(seal.sealed) == Sealed(
        job=JOB,
        moment="handover",
        entries=2,
        sha256=sha256(pen.data).hexdigest(),
        key=ANN.public.hex,
        name="Ann Fitter",
        role="rebuild mechanic",
        at=AT,
        statement="Done as recorded.",
    )
    assert seal.key == ANN.public.hex
    assert signature_holds(ANN.public, bytes.fromhex(seal.signature), seal.sealed.encode())


def test_only_the_head_that_was_shown_is_signed() -> None:
    pen = Pen().open().write(reading())
    shown = pen.head
    assert refusal(pen.data, shown[:18]) == GROWN
    assert refusal(pen.data, shown.replace("2:", "1:")) == GROWN
    pen.write(reading(value="2 in"))
    assert refusal(pen.data, shown) == GROWN


def test_a_job_that_is_not_whole_is_not_signed() -> None:
    pen = Pen().open().write(reading(), reading(value="2 in"))
    not_whole = ["Not signed. The file is not whole.", "  Type:  bedplate verify"]
    assert refusal(pen.data.replace(b"1.0000", b"1.0001"), pen.head) == not_whole
    assert refusal(b"", "0:") == not_whole
    newer = pen.data.replace(b"bedplate-job/1", b"bedplate-job/2")
    assert refusal(newer, pen.head) == not_whole


def test_a_torn_tail_is_set_aside_before_signing() -> None:
    pen = Pen().open().write(reading())
    assert refusal(pen.data + b'{"n":3', pen.head) == [
        "Not signed. 6 bytes behind the last entry were left by a write that was cut short.",
        "  The next entry sets them aside. Record one, then sign:  bedplate note TEXT",
    ]


def test_a_name_that_cannot_stand_in_a_seal_is_not_signed_with() -> None:
    pen = Pen().open()
    with pytest.raises(NotUnderstoodError):
        seal_over(pen.data, pen.head, Draft("handover", "Ann\n", "", AT, ""), ANN)


def test_a_seal_goes_into_the_file_under_its_lock(tmp_path: Path) -> None:
    path = tmp_path / "pump.job.jsonl"
    path.write_bytes(Pen().open().write(reading()).data)
    file = read_job_file(path)
    shown, at = str(file.head), datetime.fromisoformat(AT)
    seal = seal_over(file.data, shown, DRAFT, ANN)
    append(path, only_as_shown(seal, shown), by=DRAFT.name, now=lambda: at)
    found = verify(path.read_bytes(), KNOWN)
    assert (found.ok, found.signed) == (True, ("handover",))


def test_a_job_that_grew_while_the_signer_read_is_not_signed(tmp_path: Path) -> None:
    path = tmp_path / "pump.job.jsonl"
    path.write_bytes(Pen().open().write(reading()).data)
    file = read_job_file(path)
    shown, at = str(file.head), datetime.fromisoformat(AT)
    seal = seal_over(file.data, shown, DRAFT, ANN)
    append(path, lambda _entries: [reading(value="2 in")], by="Bert", now=lambda: at)
    before = path.read_bytes()
    with pytest.raises(RefusedError) as caught:
        append(path, only_as_shown(seal, shown), by=DRAFT.name, now=lambda: at)
    assert caught.value.as_lines() == GROWN
    assert path.read_bytes() == before
