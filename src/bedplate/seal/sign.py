"""Signing: the seal over a job as the signer was shown it.

How a command signs: read the job file and show its head; say what is to be sealed, over the bytes
that were read; open the key (`bedplate.seal.own`), which may ask; make the seal; append it under
the lock, with a clock that gives the seal's own time::

    job = fit_to_sign(file.report, shown)
    ready = ready_to_sign(job, file.head.entries, file.data, draft)
    seal = make_seal(ready, signer)
    file.append(only_as_shown(seal, shown), by=draft.name, now=lambda: at)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from bedplate.errors import RefusedError
from bedplate.record.appending import Propose
from bedplate.record.chain import ChainReport
from bedplate.record.entries import AnyEntry, Opened, Signed
from bedplate.record.spelling import spell
from bedplate.seal.openssh import Signer
from bedplate.seal.sealed import Sealed, sealed_text
from bedplate.text import counted


@dataclass(frozen=True, slots=True)
class Draft:
    """What a person is about to sign.

    Attributes:
        moment: what for, one of the sheet's moments.
        name: who; must also be the hand (``by``) that the entry is recorded with.
        role: as what; may be empty.
        at: when, as `bedplate.record.stamping.moment_text` writes it; must also be the entry's.
        statement: what is declared; may be empty.

    """

    moment: str
    name: str
    role: str
    at: str
    statement: str


@dataclass(frozen=True, slots=True)
class Ready:
    """A seal but for its key.

    Attributes:
        draft: what is signed, by whom, when.
        job: the id of the job.
        entries: how many entries stand before the seal.
        sha256: of their bytes, in hex.

    """

    draft: Draft
    job: str
    entries: int
    sha256: str

    def text(self, key: str) -> str:
        """Return the text to be signed by a key, given in hex.

        Raises:
            NotUnderstoodError: a text cannot stand in a line of its own, or all are too long.

        """
        draft = self.draft
        return sealed_text(
            Sealed(
                job=self.job,
                moment=draft.moment,
                entries=self.entries,
                sha256=self.sha256,
                key=key,
                name=draft.name,
                role=draft.role,
                at=draft.at,
                statement=draft.statement,
            )
        )


def ready_to_sign(job: str, entries: int, data: bytes, draft: Draft) -> Ready:
    """Return a seal but for its key, before one is opened or made for it.

    Args:
        job: the id of the job, from `fit_to_sign`.
        entries: how many entries it has.
        data: its bytes.
        draft: what is signed, by whom, when.

    Raises:
        NotUnderstoodError: a text of the draft cannot stand in a seal, whatever its key.

    """
    ready = Ready(draft, job, entries, sha256(data).hexdigest())
    ready.text("0" * 64)
    return ready


def make_seal(ready: Ready, signer: Signer) -> Signed:
    """Return a seal, as an entry that is not yet stamped."""
    key = signer.public.hex
    text = ready.text(key)
    return Signed(sealed=text, signature=signer.sign(text.encode()).hex(), key=key)


def fit_to_sign(report: ChainReport, shown: str) -> str:
    """Return the id of a job that can be signed as it stands.

    Args:
        report: on the job.
        shown: the head that the signer was shown, in full.

    Raises:
        RefusedError: it is not whole, ends in a torn tail, or is not as it was shown.

    """
    first = report.entries[0] if report.entries else None
    if report.broken is not None or report.unknown is not None or not isinstance(first, Opened):
        raise RefusedError("Not signed. The file is not whole.", "Type:  bedplate verify")
    if report.torn:
        raise RefusedError(
            f"Not signed. {counted(len(report.torn), 'byte')} behind the last entry were left by "
            "a write that was cut short.",
            "The next entry sets them aside. Record one, then sign:  bedplate note TEXT",
        )
    if str(report.head) != shown:
        raise _grown()
    return first.job


def _grown() -> RefusedError:
    return RefusedError(
        "Not signed. The job is not any more as you were shown it.",
        "See what came since, then sign again:  bedplate log",
    )


def only_as_shown(seal: Signed, shown: str) -> Propose:
    """Return what proposes a seal to a job file: only while the job is as it was shown.

    Args:
        seal: from `make_seal`.
        shown: the head that the signer was shown, in full.

    Returns:
        a function of all entries as of now, under the lock; it refuses (`RefusedError`) a job
        that grew, or is another.

    """

    def propose(entries: Sequence[AnyEntry]) -> Sequence[AnyEntry]:
        link = sha256(spell(entries[-1])).hexdigest() if entries else ""
        if f"{len(entries)}:{link}" != shown:
            raise _grown()
        return [seal]

    return propose
