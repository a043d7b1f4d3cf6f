"""The job that the entries of a file add up to.

`fold` says what each entry *did*; whether an entry *may* be made is for `bedplate.assembly`. It is
pure and linear in the number of entries: no clock, no file. Struck entries are passed over, so
that striking one undoes all that stood on it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from functools import cache
from typing import Any, NamedTuple, TypeVar

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.metrology.axes import Spot
from bedplate.record.changes import Happened, announces_spare, bring_about, places_named
from bedplate.record.entries import (
    AnyEntry,
    Changed,
    Disposition,
    Entry,
    On,
    Opened,
    Reading,
    SheetRevised,
    Strike,
)
from bedplate.record.parts import FIRST_LIFE, Parts
from bedplate.record.resting import Key, Resting
from bedplate.sheet.layout import Layout, Place, Selection, Setting, joined
from bedplate.sheet.model import FORMAT, Feature, Sheet
from bedplate.sheet.reader import sheet_from_json

E = TypeVar("E", bound=Entry)
F = TypeVar("F")

UNSTRIKABLE = frozenset({"opened", "signed", "reopened", "strike"})
"""Kinds of entry that cannot be struck."""


class Taken(NamedTuple):
    """A reading with what it was taken on.

    Attributes:
        entry: the entry.
        spot: its address in full; for a part without a place its mark stands for the position.
        key: what makes it a repeat of another.
        stranded: why it stands on nothing any more, None where it stands.
    """

    entry: Reading
    spot: Spot
    key: Key
    stranded: str | None = None


class Job:
    """A job as it stands: its sheet, parts, readings and decisions.

    Made by `fold`, which is the only one to change it.
    """

    def __init__(self, opened: Opened, read: dict[int, Layout] | None = None) -> None:
        self.opened = opened
        self.read: dict[int, Layout] = {} if read is None else read
        """The sheets read so far, by the number of the entry that holds them."""
        self.entries: list[AnyEntry] = []
        self.struck: dict[int, int] = {}
        self.layout = self._read_sheet(opened.n, opened.sheet or {"format": FORMAT})
        self.sheet: Sheet = self.layout.sheet
        self.parts = Parts(self.layout.all_places())
        self.all_readings: list[Taken] = []
        """Every reading, the struck ones too, in order."""
        self.readings: dict[int, Taken] = {}
        """The readings that have not been struck, by number."""
        self.decided: dict[Place, Disposition] = {}
        self.changed: list[Happened] = []
        self._live: dict[str, list[Entry]] = defaultdict(list)
        self._by_key: dict[Key, list[Taken]] = defaultdict(list)
        self._sat: set[tuple[str, str]] = set()
        """Every (place, mark) that has been so, by entries that are not struck."""
        self._lives: dict[str, set[int]] = defaultdict(set)
        """Every life that a part, by its mark, has had."""
        self.worked_out: dict[Hashable, Any] = {}
        """What was worked out of it as it stands, for whoever asks again before it grows."""
        self._followed: dict[Callable[[Job], Any], Any] = {}
        self._resting = Resting(self.layout, self.parts)
        self._keys: dict[Spot, Key] = {}
        self._selected: dict[str, Selection] = {}
        """What each feature rests on, where its readings stand, what its addresses select."""
        self.while_parts_stay: dict[Hashable, Any] = {}
        """What was worked out of parts and sheet as they are, for whoever asks again."""
        self._note_parts()

    def _read_sheet(self, n: int, sheet: dict[str, Any]) -> Layout:
        if n not in self.read:
            self.read[n] = Layout(sheet_from_json(sheet))
        return self.read[n]

    def followed(self, begun: Callable[[Job], F]) -> F:
        """Return what another fold of this job has come to, as it was left; begun where it is new.

        It is for that fold to take in what was recorded since. A revised sheet begins it anew.
        """
        if begun not in self._followed:
            self._followed[begun] = begun(self)
        found: F = self._followed[begun]
        return found

    # ---- entries

    @property
    def last(self) -> int:
        """Number of the last entry."""
        return len(self.entries)

    def is_live(self, n: int) -> bool:
        """Tell whether entry ``n`` exists and has not been struck."""
        return 1 <= n <= len(self.entries) and n not in self.struck

    def live(self, kind: type[E]) -> list[E]:
        """Return the entries of one kind that have not been struck, in order."""
        return [e for e in self._live[_kind_of(kind)] if isinstance(e, kind)]

    # ---- what sits where

    def resting_on(self, tag: str, position: Setting, *, spare: bool = False) -> Sequence[On]:
        """Return the parts, with their lives, that a reading taken now would be taken on.

        Args:
            tag: the feature.
            position: one of its positions; for a part without a place its mark, then the names
                within the part.
            spare: whether ``position`` begins with a mark.

        Raises:
            NotUnderstoodError: a place the feature rests on stands empty.
        """
        return self._resting.on(tag, position, spare=spare)

    def is_as_found(self, spot: Spot) -> bool:
        """Tell whether no part the feature rests on has left its first life, as regards it."""
        there = self._on_now(spot) or self._resting.still_there(spot.tag, spot.position)
        return all(on.life == FIRST_LIFE for on in there)

    def _on_now(self, spot: Spot) -> Sequence[On]:
        try:
            return self.resting_on(spot.tag, spot.position)
        except NotUnderstoodError:
            return []

    def size_of(self, spot: Spot, *, first: bool = False) -> str | None:
        """Return the id of the size that a feature is made to at a position, None for nominal.

        Of several parts the one sized last counts.
        """
        found: list[tuple[int, str]] = []
        there = self.parts.first if first else self.parts.in_place
        for place in self.layout.rests_on(spot.tag, spot.position):
            part = there.get(place)
            apart = self.layout.apart(spot.tag, place.component, spot.position)
            size = part.size(spot.tag, apart, first=first) if part is not None else None
            if size is not None:
                found.append(size)
        return max(found)[1] if found else None

    # ---- readings

    def spares_of(self, tag: str) -> list[str]:
        """Return the marks of parts without a place on which a feature can be measured."""
        components = self.layout.row(tag, Feature).components
        if len(components) != 1:
            return []
        return [p.mark for p in self.parts.spares(self.layout.named(components[0]).name)]

    def spare_spot(self, spot: Spot, mark: str) -> Spot:
        """Return where a part without a place is read that would be read at ``spot`` in one."""
        component = self.layout.row(spot.tag, Feature).components[0]
        apart = self.layout.apart(spot.tag, component, spot.position)
        return Spot(spot.tag, (mark, *apart), spot.station)

    def select(self, address: str) -> Selection:
        """Read the address of a feature; marks of parts without a place count as positions.

        Raises:
            NotUnderstoodError: it names nothing on the sheet.
        """
        if address not in self._selected:
            self._selected[address] = self._select(address)
        return self._selected[address]

    def _select(self, address: str) -> Selection:
        tag = address.partition("@")[0].partition(".")[0].strip()
        found = self.layout.find(tag, "feature")
        marks = self.spares_of(found.name) if found is not None else []
        try:
            return self.layout.select(address, "feature", marks=marks)
        except NotUnderstoodError:
            if found is not None:
                self._refuse_mark_in_place(found.name, address)
            raise

    def _refuse_mark_in_place(self, tag: str, address: str) -> None:
        """Say where a part sits whose mark stands in an address as if it had no place."""
        head, at, station = address.partition("@")
        mark = head.partition(".")[2].casefold()
        components = self.layout.row(tag, Feature).components
        one = self.layout.named(components[0])
        if len(components) > 1 or self.layout.named(tag).positions != one.positions:
            return
        for place, part in self.parts.in_place.items():
            if part and place.component == one.name and part.mark.casefold() == mark:
                raise NotUnderstoodError(
                    f"{part.mark} sits in {place}.",
                    f"Its address is  {joined(tag, place.position)}{at}{station}",
                )

    def standing(self, spot: Spot, *, as_found: bool = False) -> list[Taken]:
        """Return the readings that stand at an address: of the parts there now, in this life.

        Args:
            spot: the address in full.
            as_found: those of the parts found there, in their first lives, instead.
        """
        if as_found:
            first = self._resting.first_on(spot.tag, spot.position)
            return self._by_key.get(self._resting.key(spot, first), []) if first else []
        if spot not in self._keys:
            on = self._on_now(spot)
            if not on:
                return []
            self._keys[spot] = self._resting.key(spot, on)
        return self._by_key.get(self._keys[spot], [])

    def standing_spare(self, spot: Spot) -> list[Taken]:
        """Return the readings of a part without a place, its mark standing for the position."""
        on = self.resting_on(spot.tag, spot.position, spare=True)
        return self._by_key.get(self._resting.key(spot, on, spare=True), [])

    def stranded(self) -> list[Taken]:
        """Return the live readings that stand on nothing any more, in order."""
        return [
            taken
            for taken in self.readings.values()
            if taken.stranded or self.layout.find(taken.spot.tag, "feature") is None
        ]

    # ---- what the kinds of entry do

    def _take(self, entry: AnyEntry) -> None:
        self.worked_out.clear()
        self.entries.append(entry)
        if isinstance(entry, Reading):
            self._read(entry)
        if entry.n in self.struck:
            return
        self._live[entry.kind].append(entry)
        does = _DOES.get(entry.kind)
        if does is not None:
            does(self, entry)

    def _revise(self, entry: SheetRevised) -> None:
        self.layout = self._read_sheet(entry.n, entry.sheet)
        self.sheet = self.layout.sheet
        self._followed.clear()
        self.parts.add_places(self.layout.all_places())
        self._note_parts()

    def _note_parts(self) -> None:
        """Note what sits where now, and in which life."""
        self._resting = Resting(self.layout, self.parts)
        self._keys, self._selected, self.while_parts_stay = {}, {}, {}
        for place, part in self.parts.in_place.items():
            if part is not None:
                self._sat.add((str(place), part.mark))
                self._lives[part.mark] |= part.lives()
        for part in self.parts.loose.values():
            self._sat.add((part.component, part.mark))
            self._lives[part.mark] |= part.lives()

    def _read(self, entry: Reading) -> None:
        try:
            selection = self.select(entry.address)
            (spot,) = selection.spots
            on = self.resting_on(spot.tag, spot.position, spare=selection.mark is not None)
        except (NotUnderstoodError, ValueError) as lost:
            spot = self._named(entry.address)
            self._keep(Taken(entry, spot, ("lost", entry.n), stranded=str(lost)))
            return
        told = entry.on or on
        key = self._resting.key(spot, told, spare=selection.mark is not None)
        self._keep(Taken(entry, spot, key, stranded=self._why_stranded(told, on)))

    def _named(self, address: str) -> Spot:
        """Return what an address that leads nowhere names: a feature, if there is one, and where.

        Its feature still has that reading, which is live (its step counts, say).
        """
        head, _, station = address.partition("@")
        tag, _, position = head.partition(".")
        found = self.layout.find(tag, "feature")
        if found is None:
            return Spot(address)
        names = (tuple(filter(None, text.split("/"))) for text in (position, station))
        return Spot(found.name, *names)

    def _why_stranded(self, told: Sequence[On], expected: Sequence[On]) -> str | None:
        """Return why a reading stands on nothing, None if all it was taken on has been so.

        What it was taken on need not be there now: a reading of an earlier life may be put right
        later. But the part must have sat in that place, in that life, by what is not struck.
        """
        if sorted(on.place for on in told) != sorted(on.place for on in expected):
            return "the sheet says now that it rests on other parts"
        for on in told:
            if (on.place, on.part) not in self._sat or on.life not in self._lives[on.part]:
                return f"it was taken on {on.part} in a life or place that has been struck out"
        return None

    def _keep(self, taken: Taken) -> None:
        self.all_readings.append(taken)
        if taken.entry.n not in self.struck:
            self.readings[taken.entry.n] = taken
            if taken.stranded is None:
                self._by_key[taken.key].append(taken)

    def _decide(self, entry: Disposition) -> None:
        for place in self.places_named(entry.component):
            self.decided[place] = entry

    def places_named(self, address: str) -> list[Place]:
        """Return the places that the address of a component names, none where it names none."""
        return places_named(self.layout, address)

    def announces_spare(self, entry: Changed) -> bool:
        """Tell whether a change announces a part that has no place yet."""
        return announces_spare(self.layout, entry)

    def _change(self, entry: Changed) -> None:
        try:
            self.changed += bring_about(entry, self.layout, self.parts)
        except NotUnderstoodError:
            # The sheet that named what was changed was struck out: nothing is left to change, and
            # `changed` does not have the entry.
            return
        self._note_parts()


@cache
def _kind_of(kind: type[Entry]) -> str:
    default = kind.model_fields["kind"].default
    return str(default)


_DOES: dict[str, Callable[[Job, Any], None]] = {
    "sheet-revised": Job._revise,
    "disposition": Job._decide,
    "changed": Job._change,
}


def fold(entries: Iterable[AnyEntry], read: dict[int, Layout] | None = None) -> Job:
    """Return the job that entries add up to.

    Args:
        entries: all entries of one job, the ``opened`` one first, in order of ``n``.
        read: the sheets of these very entries, where they were read before.

    Raises:
        StorageError: the first is no ``opened`` entry, or the sheet in it is none.
    """
    listed = list(entries)
    if not listed or not isinstance(listed[0], Opened):
        raise StorageError("Not read. This is no job: it does not begin with its opening.")
    job = Job(listed[0], read)
    strikes = [e for e in reversed(listed) if isinstance(e, Strike) and e.entry < e.n]
    job.struck = {strike.entry: strike.n for strike in strikes}
    for entry in listed:
        job._take(entry)
    return job


def extended(job: Job, entries: Sequence[AnyEntry]) -> Job:
    """Return the job with further entries: ``job`` itself, grown, unless one of them strikes."""
    if any(isinstance(entry, Strike) for entry in entries):
        return fold([*job.entries, *entries], job.read)
    for entry in entries:
        job._take(entry)
    return job
