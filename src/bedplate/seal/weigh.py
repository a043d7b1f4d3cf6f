"""Weighing one seal: whether its signature holds, over these bytes, in this very line."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from bedplate.errors import NotUnderstoodError, RefusedError, StorageError
from bedplate.record.entries import NO_LINE, Signed
from bedplate.record.spelling import SpellingError, read_line, spell
from bedplate.record.stamping import stamped
from bedplate.seal.facts import SealFact
from bedplate.seal.keys import fingerprint, public_key, signature_holds
from bedplate.seal.known import KnownKey
from bedplate.seal.sealed import Sealed, read_sealed
from bedplate.text import quoted

MARK = b',"kind":"signed",'
"""What every line of a seal holds; within a text its quotes would be escaped."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A ``signed`` line and what it is worth.

    Attributes:
        line: its number in the file, from 1.
        signed: what it says.
        sealed: what was signed; None where that cannot be read.
        authentic: the signature holds over ``sealed``.
        fits: the bytes before it are those that were sealed.
        fault: why it is not sound, as the end of a sentence; None where it is.

    """

    line: int
    signed: Signed
    sealed: Sealed | None
    authentic: bool
    fits: bool
    fault: str | None


@dataclass(frozen=True, slots=True)
class _Place:
    """A line in its file: its bytes and number, the hash of all before it, and of the last."""

    line: bytes
    number: int
    before: str
    prev: str


def weigh_all(lines: Sequence[bytes], job: str | None) -> list[Weighed]:
    """Return every seal among the lines of a file, sound or not, in order.

    Args:
        lines: all whole lines, each with its LF.
        job: the 32 hex digits of the job, None where its first line cannot be read.

    """
    found = []
    before, hashed = sha256(), 0
    for index in [k for k, line in enumerate(lines) if MARK in line]:
        signed = _signed(lines[index])
        if signed is None:
            continue
        before.update(b"".join(lines[hashed:index]))
        hashed = index
        prev = sha256(lines[index - 1]).hexdigest() if index else NO_LINE
        place = _Place(lines[index], index + 1, before.hexdigest(), prev)
        found.append(_weigh(signed, place, job))
    return found


def _signed(line: bytes) -> Signed | None:
    try:
        entry = read_line(line)
    except SpellingError:
        return None
    return entry if isinstance(entry, Signed) else None


def _weigh(signed: Signed, place: _Place, job: str | None) -> Weighed:
    number = place.number
    try:
        sealed = read_sealed(signed.sealed)
    except NotUnderstoodError as err:
        unread = f"what entry {number} sealed cannot be read: {err.message}"
        return Weighed(number, signed, None, authentic=False, fits=False, fault=unread)
    authentic, no_key = _is_authentic(signed, sealed)
    fits = (sealed.entries, sealed.sha256) == (number - 1, place.before)
    fault: str | None = None
    if no_key:
        fault = f"the key of the seal in entry {number} is none: {no_key}"
    elif not authentic:
        fault = f"the signature in entry {number} does not hold over what it seals"
    elif sealed.job != job:
        fault = f"the seal in entry {number} was made for another job"
    elif not fits:
        fault = f"what stands before entry {number} is not what was sealed in it"
    elif not _is_line(signed, sealed, place):
        fault = f"entry {number} was altered around its seal"
    return Weighed(number, signed, sealed, authentic, fits, fault)


def _is_authentic(signed: Signed, sealed: Sealed) -> tuple[bool, str | None]:
    """Tell whether the signature holds, and what is wrong with the key, if anything."""
    try:
        key = public_key(bytes.fromhex(sealed.key))
    except RefusedError as err:
        return False, err.message
    signature = bytes.fromhex(signed.signature)
    return signature_holds(key, signature, signed.sealed.encode()), None


def _is_line(signed: Signed, sealed: Sealed, place: _Place) -> bool:
    """Write the whole line again from what was sealed, the signature and the chain."""
    own = Signed(sealed=signed.sealed, signature=signed.signature, key=sealed.key)
    try:
        again = stamped(own, n=place.number, at=sealed.at, by=sealed.name, prev=place.prev)
        return spell(again) == place.line
    except (ValueError, StorageError):  # a time that is none: nothing such was ever written
        return False


def fact_of(weighed: Weighed, known: Mapping[bytes, KnownKey]) -> SealFact:
    """Return what a seal is worth here, where some keys are known by their 32 bytes."""
    sealed, signed = weighed.sealed, weighed.signed
    raw = bytes.fromhex(signed.key)
    owner = known.get(raw)
    sound = weighed.fault is None
    return SealFact(
        entry=weighed.line,
        covers=sealed.entries if sealed else None,
        by=sealed.name if sealed else signed.by,
        role=(sealed.role or None) if sealed else None,
        moment=sealed.moment if sealed else None,
        key=fingerprint(raw),
        known_as=owner.name if owner else None,
        ok=sound and owner is not None and why_not_his(weighed, owner) is None,
        fault=weighed.fault,
        at=sealed.at if sealed else None,
        statement=(sealed.statement or None) if sealed else None,
    )


def why_not_his(weighed: Weighed, owner: KnownKey) -> str | None:
    """Return why a sound seal is not its key's owner's, as he is known here; None where it is."""
    signed = weighed.signed
    if unicodedata.normalize("NFC", signed.by) != owner.name:
        claimed = f"not as {quoted(signed.by)}"
        return f"signed by a key known here as {quoted(owner.name)}, {claimed}"
    if owner.retired and _after(signed.at, owner.retired):
        return f"signed on {signed.at} by a key that was retired on {owner.retired}"
    return None


def _after(one: str, other: str) -> bool:
    return datetime.fromisoformat(one) > datetime.fromisoformat(other)
