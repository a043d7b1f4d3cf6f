"""Verifying a job where it lies: its file, its attachments, its copies, the keys known here."""

from __future__ import annotations

from pathlib import Path

from bedplate.record.attachments import check_attachments
from bedplate.record.jobfile import report_on
from bedplate.seal.copies import find_copies
from bedplate.seal.facts import Verification
from bedplate.seal.known import read_known
from bedplate.seal.verify import Beside, Wanted, verify_report


def audit(path: Path, keys: Path, *, wanted: Wanted | None = None) -> Verification:
    """Return what a job's file shows, with all that lies beside it.

    Args:
        path: the job file, of whatever format and in whatever state.
        keys: the folder of keys; it need not exist.
        wanted: what it is held against.

    Raises:
        StorageError: the file, or the list of keys, cannot be read.
        NotUnderstoodError: the list of keys has a fault, or the head in ``wanted`` is none.
    """
    report = report_on(path)
    beside = Beside(check_attachments(path, report.entries), find_copies(path, report.lines))
    return verify_report(report, read_known(keys), wanted=wanted or Wanted(), beside=beside)
