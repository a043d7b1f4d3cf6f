"""Rejoining two copies of one job that went on apart: what can be taken over, and what not.

Pure: it proposes entries, and lists what must be done again. Whether an entry may be made *now*
is for the rules to say when it is appended, as of every other.

What is taken keeps, in ``taken``, which entry of the other copy it was: number, time, hand, and
the head of that copy at that entry. The hash in it tells the entry from every other, so that one
that is here already is never taken twice, from whichever copy.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from typing import Final, Literal, TypeGuard

from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record.chain import ChainReport
from bedplate.record.entries import (
    AnyEntry,
    Attachment,
    Changed,
    Finding,
    GaugeDescribed,
    PartUsed,
    Reading,
    Setting,
    Strike,
    Taken,
)
from bedplate.record.job import Job, fold
from bedplate.seal.copies import common_lines
from bedplate.sheet.layout import Place

Observation = GaugeDescribed | Setting | Reading | Finding | PartUsed | Attachment
"""What was seen, and stays true whatever was decided on either side."""

_OBSERVED: Final = (GaugeDescribed, Setting, Reading, Finding, PartUsed, Attachment)
_NOTHING_TO_DO: Final = frozenset({"strike", "set-aside"})

STRUCK: Final = "struck out there"
CHANGED: Final = "its part was changed since"
GAUGE_HERE: Final = "its gauge was described or set anew here since"
OF_GAUGE: Final = "this gauge was described otherwise here since"
NOT_ON_SHEET: Final = "it is not on the sheet of this job"
NOT_SEEN: Final = "not an observation"


@dataclass(frozen=True, slots=True)
class Again:
    """An entry of the other copy that is not taken, and why; it is to be done again."""

    entry: AnyEntry
    why: str


@dataclass(frozen=True, slots=True)
class Rejoin:
    """What can be made of two copies of one job.

    Attributes:
        common: how many entries both begin with.
        further: which copy is further on where one is the beginning of the other: ``here``,
            ``there``, or ``same``; None where they went on apart.
        take: entries to propose, in the order of the other copy.
        again: what is to be done again, in that order.
        already: how many entries of the other copy are here already.
        tail: the other copy's lines behind what is common, to be kept as an attachment; empty
            where it is kept already, or where nothing went on apart.

    """

    common: int
    further: Literal["here", "there", "same"] | None
    take: tuple[Observation, ...]
    again: tuple[Again, ...]
    already: int
    tail: bytes


def rejoin(ours: ChainReport, theirs: ChainReport, other: str = "OTHER") -> Rejoin:
    """Return what can be taken over from another copy of a job.

    Args:
        ours: the report on this copy.
        theirs: the report on the other.
        other: how that one is named on a command line.

    Raises:
        RefusedError: one of them is not whole, or they are not of one job.

    """
    _refuse_unfit(ours, "This job", "")
    _refuse_unfit(theirs, "The other", f" {other}")
    here, there = list(ours.lines), list(theirs.lines)
    common = common_lines(here, there)
    if not common:
        raise RefusedError("Nothing was taken. The two are not of one job.")
    if common == len(there):
        further: Literal["here", "same"] = "here" if len(here) > common else "same"
        return Rejoin(common, further, (), (), 0, b"")
    if common == len(here):
        return Rejoin(common, "there", (), (), 0, b"")
    return _Fork(ours, theirs, common).rejoined()


def _refuse_unfit(report: ChainReport, which: str, named: str) -> None:
    if report.broken is not None or report.unknown is not None or not report.entries:
        msg = f"Nothing was taken. {which} is not whole."
        raise RefusedError(msg, f"Type:  bedplate verify{named}")


def is_observation(entry: AnyEntry) -> TypeGuard[Observation]:
    """Tell whether an entry is of a kind that can be taken over."""
    return isinstance(entry, _OBSERVED)


class _Fork:
    """Two copies that went on apart behind ``common`` entries."""

    def __init__(self, ours: ChainReport, theirs: ChainReport, common: int) -> None:
        self.common = common
        self.here, self.there = ours.entries[common:], theirs.entries[common:]
        self.tail = b"".join(theirs.lines[common:])
        self.heads = _heads(theirs, common)
        self.known = {*_heads(ours, common).values(), *_taken_from(self.here)}
        self.rows = {key for entry in self.here if (key := _row(entry))}
        self.job, other = fold(ours.entries), fold(theirs.entries)
        self.changed = _changed_since(self.job, common) | _changed_since(other, common)
        self.changed |= _unchanged_since(self.job, common) | _unchanged_since(other, common)
        self.struck = set(other.struck)
        self.live_here = [entry for entry in self.here if self.job.is_live(entry.n)]
        self.described_here = {
            _gauge_of(entry): entry.gauge
            for entry in self.live_here
            if isinstance(entry, GaugeDescribed)
        }
        self.set_here = {
            _gauge_of(entry)
            for entry in self.live_here
            if isinstance(entry, GaugeDescribed | Setting)
        }

    def rejoined(self) -> Rejoin:
        """Sort the other copy's entries behind the fork."""
        take: list[Observation] = []
        again: list[Again] = []
        already = 0
        for entry in self.there:
            if self._is_here(entry):
                already += 1
                self.set_here.discard(_gauge_of(entry))
            elif entry.kind in _NOTHING_TO_DO and not self._strikes_common(entry):
                continue
            elif why := self._why_not(entry):
                if why != STRUCK:
                    again.append(Again(entry, why))
            elif is_observation(entry):
                take.append(self._taken(entry))
                if isinstance(entry, GaugeDescribed | Setting):
                    self.set_here.discard(_gauge_of(entry))
        kept = sha256(self.tail).hexdigest() in {
            entry.sha256 for entry in self.live_here if isinstance(entry, Attachment)
        }
        tail = b"" if kept else self.tail
        return Rejoin(self.common, None, tuple(take), tuple(again), already, tail)

    def _is_here(self, entry: AnyEntry) -> bool:
        """Tell whether an entry is here already.

        It was taken from there or there from here, imported on both sides from one row of one
        file, or is a gauge that is described here in the same words.
        """
        described = entry.gauge if isinstance(entry, GaugeDescribed) else None
        if described and self.described_here.get(_gauge_of(entry)) == described:
            return True
        if self.heads[entry.n] in self.known or _row(entry) in self.rows:
            return True
        return any(head in self.known for head in _taken_from([entry]))

    def _strikes_common(self, entry: AnyEntry) -> bool:
        return isinstance(entry, Strike) and entry.entry <= self.common

    def _why_not(self, entry: AnyEntry) -> str | None:
        """Return why an entry is not taken over, None where it is."""
        if entry.n in self.struck:
            return STRUCK
        if not is_observation(entry):
            return NOT_SEEN
        if isinstance(entry, GaugeDescribed) and _gauge_of(entry) in self.described_here:
            return OF_GAUGE
        if isinstance(entry, Reading):
            if not self._is_on_sheet(entry.address):
                return NOT_ON_SHEET
            if _gauge_of(entry) in self.set_here:
                return GAUGE_HERE
        return CHANGED if self._on(entry) & self.changed else None

    def _is_on_sheet(self, address: str) -> bool:
        try:
            return bool(self.job.select(address).spots)
        except NotUnderstoodError:
            return False

    def _on(self, entry: Observation) -> set[str]:
        """Return the places and marks that an observation is of."""
        if isinstance(entry, Reading):
            return _folded(name for on in entry.on or () for name in (on.place, on.part))
        if isinstance(entry, Finding | Attachment):
            return _named(self.job, entry.place)
        if isinstance(entry, Setting):
            return _named(self.job, entry.reference)
        return set()

    def _taken(self, entry: Observation) -> Observation:
        taken = Taken(n=entry.n, at=entry.at, by=entry.by, head=self.heads[entry.n])
        own = {"n": 0, "at": "", "by": "", "prev": ""}
        done_at = entry.done_at or entry.at
        return entry.model_copy(update=own | {"taken": taken, "done_at": done_at})


def _heads(report: ChainReport, common: int) -> dict[int, str]:
    """Return the head of a copy at each entry behind the fork, by the entry's number."""
    return {
        n: f"{n}:{sha256(line).hexdigest()}"
        for n, line in enumerate(report.lines[common:], common + 1)
    }


def _taken_from(entries: Iterable[AnyEntry]) -> set[str]:
    found = (getattr(entry, "taken", None) for entry in entries)
    return {taken.head for taken in found if isinstance(taken, Taken)}


def _row(entry: AnyEntry) -> tuple[str, int] | None:
    """Return the row of the file that an entry was imported from."""
    origin = getattr(entry, "from_file", None)
    return (origin.sha256, origin.row) if origin is not None else None


def _gauge_of(entry: AnyEntry) -> str | None:
    """Return the name of the gauge that an entry speaks of, without case."""
    if isinstance(entry, GaugeDescribed):
        return entry.gauge["name"].casefold()
    if isinstance(entry, Setting | Reading) and entry.gauge is not None:
        return entry.gauge.casefold()
    return None


def _changed_since(job: Job, common: int) -> set[str]:
    """Return the places and marks of parts that were changed behind the fork."""
    found: set[str] = set()
    for entry, place, mark in job.changed:
        if entry.n > common:
            found |= _folded(name for name in (mark, place, entry.from_) if name is not None)
    return found


def _unchanged_since(job: Job, common: int) -> set[str]:
    """Return the places and marks of parts of which an older change was struck behind the fork."""
    found: set[str] = set()
    for n, by in job.struck.items():
        entry = job.entries[n - 1] if n <= common < by else None
        if isinstance(entry, Changed):
            found |= _named(job, entry.component)
            found |= _folded(name for name in (entry.mark, entry.from_) if name is not None)
    return found


def _named(job: Job, text: str | None) -> set[str]:
    """Return the places that an address of a component or a feature names, and their parts."""
    if text is None:
        return set()
    try:
        found = job.layout.select(text, "component", "feature")
    except NotUnderstoodError:
        return set()
    name = found.named.name
    if found.named.noun == "component":
        places = [Place(name, position) for position in found.positions]
    else:
        places = [place for p in found.positions for place in job.layout.rests_on(name, p)]
    parts = (job.parts.at(place) for place in places)
    return _folded([*places, *(part.mark for part in parts if part is not None)])


def _folded(names: Iterable[object]) -> set[str]:
    return {str(name).casefold() for name in names}
