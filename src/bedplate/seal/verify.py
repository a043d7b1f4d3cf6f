"""Verifying a job: the chain, every seal, a head noted elsewhere, what belongs to it.

`verify` is pure: it gets bytes and facts, and finds. What it shows, where it says yes: the file
is whole, and the holder of each key saw the bytes before his seal. Not the time, not that nothing
followed, not who sat at the keyboard.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from bedplate.record.attachments import AttachmentFact
from bedplate.record.chain import ChainReport, check, check_turned, held_against
from bedplate.record.entries import AnyEntry, Opened
from bedplate.record.spelling import UnknownFormatError
from bedplate.record.tampering import Break
from bedplate.seal.copies import Copy
from bedplate.seal.facts import UNKNOWN_KEY, Verification
from bedplate.seal.known import KnownKey
from bedplate.seal.standing import Standing, standing_of
from bedplate.seal.weigh import MARK, Weighed, fact_of, weigh_all, why_not_his
from bedplate.text import counted, listed, quoted, visible

_SEALED = b'"sealed":"bedplate-seal/'
"""What else tells a seal's line, also if its kind is what was hit."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What else a job is held against.

    Attributes:
        head: ``N:HEX`` as a summary printed it, None for none.
        signed: whether one that is not signed is a no.

    """

    head: str | None = None
    signed: bool = False


@dataclass(frozen=True, slots=True)
class Beside:
    """What was found beside a job's file.

    Attributes:
        attachments: the state of every attachment.
        copies: other files that hold lines which the job lacks.

    """

    attachments: tuple[AttachmentFact, ...] = ()
    copies: tuple[Copy, ...] = ()


_NOTHING = Wanted()
_ALONE = Beside()


def verify(
    data: bytes,
    trusted: Iterable[KnownKey],
    *,
    wanted: Wanted = _NOTHING,
    beside: Beside = _ALONE,
    file: str = "the file",
) -> Verification:
    """Return what the bytes of a job file show.

    Args:
        data: the whole file.
        trusted: the keys known here.
        wanted: what it is held against.
        beside: what lies beside it.
        file: its name as it may be shown.

    Raises:
        NotUnderstoodError: the head is none.

    """
    return verify_report(check(data, file), trusted, wanted=wanted, beside=beside)


def verify_report(
    report: ChainReport,
    trusted: Iterable[KnownKey],
    *,
    wanted: Wanted = _NOTHING,
    beside: Beside = _ALONE,
) -> Verification:
    """Return what a file shows of which the chain was checked before; see `verify`."""
    known = {each.key.raw: each for each in trusted}
    if report.line_ends is None:
        return _Case(report, known, wanted, beside).verdict()
    return _on_its_way(_Case(check_turned(report), known, wanted, beside).verdict(), report)


def _on_its_way(inner: Verification, report: ChainReport) -> Verification:
    """Return the verdict on a file with CR LF, given that on it with the line ends turned back."""
    broken = report.broken
    first = broken.line if broken is not None else 1
    reason = broken.reason if broken is not None else ""
    if inner.first_bad_entry is not None and inner.first_bad_entry < first:
        first, reason = inner.first_bad_entry, inner.reason or ""
    if report.line_ends is not None and report.line_ends.whole and inner.reason:
        reason = f"{reason.removesuffix('it is whole')}it is {inner.reason.removeprefix('it is ')}"
    seals = tuple(replace(seal, ok=False) for seal in inner.seals)
    return replace(
        inner, ok=False, first_bad_entry=first, reason=reason, head=report.head, signed=(),
        seals=seals,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Fault:
    """What is wrong: the entry that is named, if one is, the reason, and the lines before it."""

    entry: int | None
    reason: str
    sound: int


class _Case:
    """One file being verified."""

    def __init__(
        self,
        report: ChainReport,
        known: Mapping[bytes, KnownKey],
        wanted: Wanted,
        beside: Beside,
    ) -> None:
        self.report = report
        self.lines = report.lines
        self.wanted = wanted
        self.beside = beside
        self.known = known
        self.weighed = weigh_all(self.lines, _job_of(report.entries))
        self.seals = tuple(fact_of(each, known) for each in self.weighed)
        self.off_head = held_against(self.lines, wanted.head) if wanted.head else None

    def verdict(self) -> Verification:
        """Return what was found."""
        fault = next(self._faults(), None)
        standing = self._standing() if fault is None or fault.entry is None else ()
        if fault is None or fault.entry is None:
            fault = fault or self._not_signed(standing)
        sound = fault.sound if fault else len(self.lines)
        return Verification(
            ok=fault is None,
            first_bad_entry=fault.entry if fault else None,
            reason=fault.reason if fault else None,
            head=self.report.head,
            signed=tuple(dict.fromkeys(each.moment for each in standing if each.stands)),
            torn_bytes=len(self.report.torn),
            copies=tuple(copy.name for copy in self.beside.copies),
            attachments=self.beside.attachments,
            seals=self.seals,
            said=tuple(self._said(standing)),
            sound=b"".join(self.lines[:sound]),
        )

    def _standing(self) -> tuple[Standing, ...]:
        """Return how far each good seal still holds the job signed."""
        good = [each for each, fact in zip(self.weighed, self.seals, strict=True) if fact.ok]
        return standing_of(self.report.entries, good)

    def _faults(self) -> Iterator[_Fault]:
        """Yield what is wrong: the first bad line, then what is missing, and whose it is."""
        report, whole = self.report, len(self.lines)
        yield from sorted(self._bad_lines(), key=lambda fault: fault.entry or 0)
        if isinstance(report.unknown, UnknownFormatError):
            yield _Fault(None, f"line 1 cannot be judged here: {report.unknown.reason}", 0)
        if not whole:
            yield _Fault(None, "it holds no whole entry", 0)
        if _is_damaged_seal(report.torn):
            yield _Fault(whole + 1, f"line {whole + 1} was a seal and is damaged", whole)
        if self.off_head is not None:
            at = min(int((self.wanted.head or "0").partition(":")[0]), whole + 1)
            yield _Fault(at, self.off_head, at - 1)
        for fact in self.beside.attachments:
            if fact.state == "altered":
                shown = f"{visible(fact.file)} (entry {fact.entry})"
                yield _Fault(None, f"the attachment {shown} was altered", whole)
        yield from self._not_theirs()

    def _bad_lines(self) -> Iterator[_Fault]:
        """Yield the lines that are bad in bytes, in what they say, and in what they seal.

        A seal may be bad in a chain that holds, and stand before a line that breaks it.
        """
        report = self.report
        if report.broken is not None:
            broken = _chosen(report.broken, self.lines, self.weighed, self.wanted.head)
            yield _Fault(broken.line, broken.reason, broken.line - 1)
        if isinstance(report.unknown, UnknownFormatError):
            return  # what its lines say, and how it is sealed, is not known here
        at = len(report.entries) + 1
        if report.unknown is not None:
            yield _Fault(at, f"line {at} cannot be judged here: {report.unknown.reason}", at - 1)
        elif self.lines and at > 1 and not isinstance(report.entries[0], Opened):
            yield _Fault(1, "line 1 does not open a job", 0)
        for each in self.weighed:
            if each.fault is not None:
                yield _Fault(each.line, each.fault, each.line - 1)

    def _not_theirs(self) -> Iterator[_Fault]:
        """Yield the seals by a key that nobody here vouches for under that name."""
        for each in self.weighed:
            owner = self.known.get(bytes.fromhex(each.signed.key))
            if owner is None:
                yield _Fault(None, UNKNOWN_KEY, len(self.lines))
            elif reason := why_not_his(each, owner):
                yield _Fault(None, f"whole, but {reason}", len(self.lines))

    def _not_signed(self, standing: Sequence[Standing]) -> _Fault | None:
        if not self.wanted.signed or any(each.stands for each in standing):
            return None
        last = standing[-1].said if standing else "not signed"
        return _Fault(None, f"whole, but {last}", len(self.lines))

    def _said(self, standing: Sequence[Standing]) -> Iterator[str]:
        if self.lines and not self.weighed:
            yield "It is not signed."
        for each in standing:
            if not each.stands:
                yield f"{each.said[:1].upper()}{each.said[1:]}."
        if torn := len(self.report.torn):
            behind = f" behind entry {len(self.lines)}" if self.lines else ""
            yield f"{counted(torn, 'byte')}{behind} were never recorded and are not counted."
        for fact in self.beside.attachments:
            if fact.state == "missing":
                yield f"The attachment {visible(fact.file)} (entry {fact.entry}) is missing."
        for copy in self.beside.copies:
            lines = counted(copy.lacking, "entry", "entries")
            yield f"{quoted(copy.name)} holds {lines} of this job that this file lacks."
        if back := _set_back(self.report.entries):
            yield f"The clock was set back before entry {listed(back, most=3)}."


def _job_of(entries: Sequence[AnyEntry]) -> str | None:
    first = entries[0] if entries else None
    return first.job if isinstance(first, Opened) else None


def _set_back(entries: Sequence[AnyEntry]) -> list[str]:
    """Return the numbers of entries that are dated before the one they follow."""
    times = [datetime.fromisoformat(entry.at) for entry in entries]
    return [str(n) for n, (one, later) in enumerate(pairwise(times), 2) if later < one]


def _chosen(
    broken: Break, lines: Sequence[bytes], weighed: Sequence[Weighed], head: str | None
) -> Break:
    """Choose, where line k does not agree with line k-1 and nothing follows, by seal or head.

    A seal in k knows what stood before it; a sound one in k-1 can be no other than it is; a head
    noted elsewhere bears out the line it is of.
    """
    if len(broken.suspects) < 2 or broken.line != broken.suspects[1]:
        return broken
    before, here = broken.suspects
    seals = {each.line: each for each in weighed}
    if (seal := seals.get(here)) and seal.authentic:
        if seal.fits:
            return broken._replace(reason=f"line {here} was altered: what it sealed is as it was")
        reason = f"line {before} was altered after line {here} sealed it"
        return broken._replace(line=before, reason=reason)
    if (seal := seals.get(before)) and seal.fault is None:
        return broken._replace(reason=f"line {here} was altered: the seal in line {before} holds")
    for this, other in ((here, before), (before, here)):
        if head and head.startswith(f"{this}:") and held_against(lines, head) is None:
            reason = f"line {other} was altered: line {this} is the one the head was noted of"
            return broken._replace(line=other, reason=reason)
    return broken


def _is_damaged_seal(torn: bytes) -> bool:
    """Tell whether what stands behind the last whole line is a seal that was tampered with.

    A write that is cut short leaves the beginning of a line, with NUL bytes behind it at most. So
    a seal with a NUL in its middle, or with something else where its line end was, was whole once.
    """
    written = torn.rstrip(b"\0")
    if MARK not in written and _SEALED not in written:
        return False
    if b"\0" in written:
        return True
    try:
        text = written.decode()
    except UnicodeDecodeError:
        return True
    try:
        _, end = json.JSONDecoder().raw_decode(text)
    except (json.JSONDecodeError, RecursionError):
        return False
    return end < len(text)
