"""Seals, the head, and what the record's bytes show, as blocks."""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.record.chain import HEAD_DIGITS
from bedplate.report import figures
from bedplate.report.document import Column, Fingerprint, Row, Table, Words
from bedplate.report.evidence import Evidence
from bedplate.seal.facts import SealFact
from bedplate.text import counted, shown_text

SEALS = (
    Column("entry", head=True),
    Column("signed for", head=True),
    Column("by"),
    Column("as"),
    Column("covers"),
    Column("when"),
    Column("key"),
    Column("worth"),
    Column("declares"),
)


def seals_table(evidence: Evidence) -> Table:
    """Return every seal with its fingerprint, and whether it holds."""
    rows = [Row(tuple(_cells(seal))) for seal in evidence.verification.seals]
    return Table("Every seal", SEALS, tuple(rows))


def _cells(seal: SealFact) -> Iterator[str]:
    yield str(seal.entry)
    yield shown_text(seal.moment or "")
    yield shown_text(seal.by)
    yield shown_text(seal.role or "")
    yield "" if seal.covers is None else f"{counted(seal.covers, 'entry', 'entries')}"
    yield seal_time(seal)
    yield shown_text(seal.key)
    yield seal_worth(seal)
    yield shown_text(seal.statement or "")


def seal_time(seal: SealFact) -> str:
    """Return when a seal was made by its signer's clock, empty where that cannot be read."""
    try:
        return figures.date_shown(seal.at) if seal.at else ""
    except ValueError:
        return shown_text(seal.at or "")


def seal_worth(seal: SealFact) -> str:
    """Return whether a seal holds, and under which name its key is known here."""
    if seal.fault is not None:
        return f"does not hold: {shown_text(seal.fault)}"
    if seal.known_as is None:
        return "holds, by a key not known here"
    return f"holds, by the key of {shown_text(seal.known_as)}"


def foot(evidence: Evidence) -> str:
    """Return the head in short: ``41 entries, head 3f9ad1c277b0e52a``."""
    at = evidence.verification.head
    if at is None:
        return ""
    return f"{counted(at.entries, 'entry', 'entries')}, head {at.sha256[:HEAD_DIGITS]}"


def head(evidence: Evidence) -> Fingerprint | None:
    """Return the head in full, None where there is none."""
    at = evidence.verification.head
    return Fingerprint(str(at)) if at is not None else None


def record_words(evidence: Evidence) -> Iterator[Words]:
    """Yield what verifying the file has shown, each a sentence or two."""
    proof = evidence.verification
    if proof.reason is not None:
        reason = shown_text(proof.reason)
        yield Words(f"Verifying it says no: {reason}.")
    for said in proof.said:
        yield Words(shown_text(said))
    if proof.head is not None:
        yield Words(
            "This page was made from a record whose head is printed below. Held against it with "
            "bedplate verify --head, the record shows whether a line before it was changed."
        )
