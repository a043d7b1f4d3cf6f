"""What verifying a job has shown, as values: the seals, the attachments, the verdict."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from bedplate.record.chain import Head

if TYPE_CHECKING:
    from bedplate.record.attachments import AttachmentFact

UNKNOWN_KEY = "whole, but signed by a key not known here"
"""The reason where nothing is wrong but that nobody here vouches for a key."""


@dataclass(frozen=True, slots=True)
class SealFact:
    """What one ``signed`` entry is worth.

    Attributes:
        entry: its number.
        covers: how many entries it says it covers; None where it cannot be read.
        by: the name it claims.
        role: as what that person signs; None where none is given.
        moment: what for; None where it cannot be read.
        key: fingerprint of its key.
        known_as: the name that the key is known under here, None where it is not known.
        ok: it is sound, of these bytes, and by a key known here under the name it claims.
        fault: why it is not sound, as the end of a sentence; None where it is, also where its
            key is not known.
        at: when it was signed, by the signer's clock; None where it cannot be read.
        statement: what the signer declares; None where nothing, or where it cannot be read.

    """

    entry: int
    covers: int | None
    by: str
    role: str | None
    moment: str | None
    key: str
    known_as: str | None
    ok: bool
    fault: str | None = None
    at: str | None = None
    statement: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Return what ``verify --json`` gives of it."""
        facts = asdict(self)
        for name in ("fault", "at", "statement"):
            del facts[name]
        return facts


@dataclass(frozen=True, slots=True)
class Verification:
    """What `verify` has found.

    Attributes:
        ok: the file is whole, nothing that belongs to it is altered, and every seal's key is
            known here under the name it claims.
        first_bad_entry: the entry that is named, None where no entry is at fault.
        reason: why it is not ok, as the end of a sentence; None where it is.
        head: of the whole lines as they stand, None for a file without one.
        signed: the moments that the job is still signed for, in the order of their seals.
        torn_bytes: how many bytes stand behind the last whole line; they were never recorded.
        copies: names of files that hold lines of this job which this one lacks.
        attachments: every attachment with its state.
        seals: every ``signed`` line, sound or not, in order.
        said: what else there is to say, each a whole sentence.
        sound: the bytes of the lines that stand before what is bad; all whole lines where
            nothing is.

    """

    ok: bool
    first_bad_entry: int | None
    reason: str | None
    head: Head | None
    signed: tuple[str, ...]
    torn_bytes: int
    copies: tuple[str, ...]
    attachments: tuple[AttachmentFact, ...]
    seals: tuple[SealFact, ...]
    said: tuple[str, ...]
    sound: bytes

    def as_json(self) -> dict[str, Any]:
        """Return the keys of ``bedplate-verify/1`` behind ``format``, ``job`` and ``entries``."""
        return {
            "ok": self.ok,
            "first_bad_entry": self.first_bad_entry,
            "reason": self.reason,
            "head": str(self.head) if self.head is not None else None,
            "signed": list(self.signed),
            "torn_bytes": self.torn_bytes,
            "copies": list(self.copies),
            "attachments": [fact._asdict() for fact in self.attachments],
            "seals": [seal.as_json() for seal in self.seals],
        }
