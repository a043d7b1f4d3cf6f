from __future__ import annotations

from pathlib import Path

import pytest
from signed_jobs import ANN, AT, Pen, reading

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.record.attachments import AttachmentFact, store_bytes
from bedplate.seal.audit import audit
from bedplate.seal.known import KNOWN_FILE, trust
from bedplate.seal.verify import Wanted


@pytest.fixture
def keys(tmp_path: Path) -> Path:
    folder = tmp_path / "home" / "keys"
    trust(folder, "Ann Fitter", ANN.public.line(""))
    return folder


@pytest.fixture
def path(tmp_path: Path) -> Path:
    job = tmp_path / "pump.job.jsonl"
    pen = Pen().open().write(reading(), store_bytes(job, b"a report", "report.txt"))
    job.write_bytes(pen.sign().data)
    return job


def test_a_job_is_verified_with_all_that_lies_beside_it(path: Path, keys: Path) -> None:
    found = audit(path, keys)
    assert (found.ok, found.signed, found.copies, found.said) == (True, ("handover",), (), ())
    (fact,) = found.attachments
    assert fact == AttachmentFact(3, fact.file, "report.txt", "whole")


def test_an_attachment_altered_or_gone_is_seen(path: Path, keys: Path) -> None:
    (kept,) = path.with_name("pump.files").iterdir()
    kept.write_bytes(b"A report")
    found = audit(path, keys)
    assert (found.ok, found.reason) == (
        False,
        f"the attachment pump.files/{kept.name} (entry 3) was altered",
    )
    kept.unlink()
    found = audit(path, keys)
    assert (found.ok, found.said) == (
        True,
        (f"The attachment pump.files/{kept.name} (entry 3) is missing.",),
    )


def test_a_copy_beside_it_that_holds_more_is_named(path: Path, keys: Path) -> None:
    more = Pen(path.read_bytes()).write(reading(value="2 in")).data
    path.with_name("pump (2).job.jsonl").write_bytes(more)
    found = audit(path, keys)
    assert (found.ok, found.copies) == (True, ("pump (2).job.jsonl",))


def test_where_nobody_is_known_every_key_is_unknown(path: Path, tmp_path: Path) -> None:
    found = audit(path, tmp_path / "none")
    assert (found.ok, found.reason) == (False, "whole, but signed by a key not known here")


def test_what_is_wanted_is_passed_on(path: Path, keys: Path) -> None:
    head = str(audit(path, keys).head)
    assert audit(path, keys, wanted=Wanted(head=head, signed=True)).ok
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
    cut = audit(path, keys, wanted=Wanted(head=head))
    assert (cut.ok, cut.first_bad_entry) == (False, 4)


def test_a_newer_format_is_still_answered(path: Path, keys: Path) -> None:
    path.write_bytes(Pen().open().data.replace(b"bedplate-job/1", b"bedplate-job/2"))
    found = audit(path, keys)
    assert (found.ok, found.reason) == (False, "line 1 cannot be judged here: it is of format 2")


def test_what_cannot_be_read_is_said(path: Path, keys: Path) -> None:
    with pytest.raises(StorageError):
        audit(path.with_name("none.job.jsonl"), keys)
    (keys / KNOWN_FILE).write_text("nonsense\n")
    with pytest.raises(NotUnderstoodError):
        audit(path, keys)


def test_the_clock_of_the_seal_is_the_entrys_own(path: Path, keys: Path) -> None:
    (seal,) = audit(path, keys).seals
    assert (seal.at, seal.statement) == (AT, "Done as recorded.")
