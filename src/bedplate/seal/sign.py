"""Signing: the seal over a job as the signer was shown it.

How a command signs: read the job file and show its head; open the key (`bedplate.seal.own`),
which may ask; make the seal over the bytes that were read; append it under the lock, with a clock
that gives the seal's own time::

    seal = make_seal(file.data, shown, draft, signer)
    job.append(only_as_shown(seal, shown), by=draft.name, now=lambda: at)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from bedplate.errors import RefusedError
from bedplate.record.appending import Propose
from bedplate.record.chain import ChainReport, check
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


def make_seal(data: bytes, shown: str, draft: Draft, signer: Signer) -> Signed:
    """Return the seal over a job, as an entry that is not yet stamped.

    Args:
        data: the bytes of the job file, up to now.
        shown: the head that the signer was shown, ``N:`` and all 64 digits.
        draft: what is signed, by whom, when.
        signer: the key.

    Raises:
        RefusedError: the job is not whole, or not as it was shown.
        NotUnderstoodError: a text of the draft cannot stand in a seal.

    """
    report = check(data)
    job = fit_to_sign(report, shown)
    sealed = Sealed(
        job=job,
        moment=draft.moment,
        entries=len(report.lines),
        sha256=sha256(data).hexdigest(),
        key=signer.public.hex,
        name=draft.name,
        role=draft.role,
        at=draft.at,
        statement=draft.statement,
    )
    text = sealed_text(sealed)
    signature = signer.sign(text.encode())
    return Signed(sealed=text, signature=signature.hex(), key=signer.public.hex)


def fit_to_say(draft: Draft, entries: int) -> None:
    """Refuse a draft whose texts cannot stand in a seal, before a key is opened or made for it.

    Args:
        draft: what is signed, by whom, when.
        entries: how many entries stand before the seal.

    Raises:
        NotUnderstoodError: a text cannot stand in a line of its own, or all are too long.

    """
    nought = "0" * 64
    sealed_text(
        Sealed(
            job=nought[:32],
            moment=draft.moment,
            entries=entries,
            sha256=nought,
            key=nought,
            name=draft.name,
            role=draft.role,
            at=draft.at,
            statement=draft.statement,
        )
    )


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
