"""A job as it stands on the bench: its folds, its fits, the time; and what goes with what.

Everything in this layer is asked of one `Assembly`, made for one moment and thrown away.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from bedplate.assess.fits import Assessment
from bedplate.assess.geometry import tags_of
from bedplate.assess.result import FitResult
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Entry
from bedplate.record.job import Job
from bedplate.record.proofs import Made
from bedplate.record.sets import Sets, SetState
from bedplate.record.waiting import Waiting
from bedplate.sheet.layout import Layout, Place, Selection, Setting
from bedplate.sheet.model import Fit, Proof, Step

Wanted = Mapping[str, str]
"""Names that a position must bear, by axis (casefolded)."""


@dataclass(frozen=True)
class Assembly:
    """A job with what this layer works out from it.

    Attributes:
        job: the job as it stands.
        fits: every fit at every position, as left.
        now: the time, with its offset.

    """

    job: Job
    fits: Sequence[FitResult]
    now: datetime

    @cached_property
    def kept(self) -> dict[Hashable, Any]:
        """What was worked out of it once, for whoever asks again."""
        return {}

    @property
    def layout(self) -> Layout:
        """The names of the job's sheet."""
        return self.job.layout

    @cached_property
    def sets(self) -> Sets:
        """The sets of fasteners and the stock of one-use things."""
        return Sets.of(self.job)

    @cached_property
    def made(self) -> Made:
        """The proofs made and the steps done."""
        return Made.of(self.job)

    @cached_property
    def waiting(self) -> Waiting:
        """What is put off, asked or conceded."""
        return Waiting.of(self.job)

    def entry(self, n: int) -> Entry:
        """Return entry ``n``."""
        return self.job.entries[n - 1]

    # ---- addresses

    def select(self, address: str, *nouns: str) -> Selection:
        """Read an address; marks of parts without a place count as positions of a feature.

        Raises:
            NotUnderstoodError: it names nothing of these nouns.

        """
        try:
            if nouns == ("feature",):
                return self.job.select(address)
            return self.layout.select(address, *nouns)
        except NotUnderstoodError as error:
            raise NotUnderstoodError(f"Not recorded. {error.message}", *error.hint) from None

    def names_of(self, name: str, position: Setting) -> Wanted:
        """Return the names that a position of something bears, by axis."""
        axes = self.layout.named(name).positions
        return {axis.name.casefold(): n for axis, n in zip(axes, position, strict=True)}

    def agreeing(self, name: str, wanted: Wanted) -> list[Setting]:
        """Return the positions of something that bear the same names on the axes they share."""
        return [place.position for place in self.layout.agreeing(name, wanted)]

    def agreeing_sets(self, tags: Iterable[str] | None, wanted: Wanted) -> list[SetState]:
        """Return the sets called ``tags`` at all their positions that agree."""
        found = []
        for tag in tags or ():
            name = self.layout.named(tag, "fasteners").name
            found += [self.sets.at(name, position) for position in self.agreeing(name, wanted)]
        return found

    def held_places(self, state: SetState) -> tuple[Place, ...]:
        """Return the places that a set clamps when it is tight."""
        key = ("held", state.row.tag, state.position)
        if key not in self.layout.kept:
            wanted = self.names_of(state.row.tag, state.position)
            self.layout.kept[key] = tuple(
                place
                for component in state.row.holds or ()
                for place in self.layout.agreeing(component, wanted)
            )
        found: tuple[Place, ...] = self.layout.kept[key]
        return found

    def clamping(self, place: Place) -> SetState | None:
        """Return a set that clamps a place at present, None where nothing does."""
        for state in self.sets.states.values():
            if state.clamps and place in self.held_places(state):
                return state
        return None

    # ---- changes

    @cached_property
    def changes(self) -> dict[Place, list[int]]:
        """Numbers of the entries that changed what sits in a place, in order.

        A part that is moved leaves its place changed too; what it was called there (``--from``)
        may be its mark as well as a place, so it is followed by its mark.
        """
        found: dict[Place, list[int]] = {}
        there: dict[Place, str | None] = {}
        for entry, place, mark in self.job.changed:
            if place is None or entry.how == "found":
                continue
            found.setdefault(place, []).append(entry.n)
            if entry.how == "moved":
                origin = self._place_of(mark, place, there)
                if origin is not None:
                    found.setdefault(origin, []).append(entry.n)
                    there[origin] = None
            there[place] = mark
        return found

    def _place_of(
        self, mark: str, place: Place, there: Mapping[Place, str | None]
    ) -> Place | None:
        """Return where a part of the component of ``place`` sat, None where it had no place."""
        return next(
            (
                other
                for other in self.job.parts.in_place
                if other.component == place.component and there.get(other, str(other)) == mark
            ),
            None,
        )

    def place_named(self, text: str | None) -> Place | None:
        """Return the place whose address is ``text`` (case aside), None if there is none."""
        if text is None:
            return None
        fold = text.casefold()
        return next((p for p in self.job.parts.in_place if str(p).casefold() == fold), None)

    def changed(self, places: Iterable[Place], *, before: int) -> int:
        """Return the last entry before ``before`` that changed any of these places, 0 if none."""
        if not self.changes:
            return 0
        return max(
            (n for place in places for n in self.changes.get(place, ()) if n < before), default=0
        )

    def new_words(self, place: Place) -> str:
        """Return what to type behind a place for its new part: ``new``, with a mark if needed.

        A new part bears the mark of the one it replaces; in an empty place it would bear the
        name of the place, and so may the part that was moved away from there.
        """
        if self.job.parts.at(place) is not None:
            return "new"
        fold = str(place).casefold()
        marks = {part.mark.casefold() for part in self.job.parts.all()}
        return "new --mark MARK" if fold in marks else "new"

    # ---- moments

    @property
    def moments(self) -> tuple[str, ...]:
        """What the job is signed for, in order."""
        return self.job.sheet.signed_for

    def moment_index(self, moment: str | None) -> int | None:
        """Return which moment it is (the first, for None), None if the sheet has none such."""
        if moment is None:
            return 0
        folded = [name.casefold() for name in self.moments]
        fold = moment.strip().casefold()
        return folded.index(fold) if fold in folded else None

    def due(self, row: Fit | Proof | Step) -> int:
        """Return at which moment, counted from 0, a row of the sheet is due."""
        return self.moment_index(row.due) or 0

    # ---- fits

    @cached_property
    def fit_axes(self) -> dict[str, tuple[str, ...]]:
        """The position axes of every fit, casefolded, by its tag."""
        return {fit.tag: _axes_of(self.layout, fit) for fit in self.job.sheet.fit}

    def names_of_fit(self, result: FitResult) -> Wanted:
        """Return the names that the position of a fit bears, by axis."""
        return dict(zip(self.fit_axes[result.tag], result.position, strict=True))

    def fits_agreeing(self, tag: str, wanted: Wanted, *, since: int = 0) -> list[FitResult]:
        """Return the results of a fit at all its positions that agree.

        Args:
            tag: the fit.
            wanted: the names that its position must bear.
            since: the entry after which the readings must be taken that it is judged by: where
                it rests on older ones too it is judged by the newer alone.

        """
        name = self.layout.named(tag, "fit").name
        found = [
            result
            for result in self.fits
            if result.tag == name and _agree(self.names_of_fit(result), wanted)
        ]
        if not since or all(not fit.readings or min(fit.readings) > since for fit in found):
            return found
        key = ("since", name, since)
        kept = self.job.worked_out
        if key not in kept:
            kept[key] = Assessment(self.job).since(since).fits([name])
        return [fit for fit in kept[key] if _agree(self.names_of_fit(fit), wanted)]

    def rests_on(self, result: FitResult) -> list[Spot]:
        """Return the features and positions that a fit at its position rests on, no stations."""
        wanted = self.names_of_fit(result)
        return [
            Spot(tag, position)
            for tag in tags_of(self.layout, result.fit)
            for position in self.agreeing(tag, wanted)
        ]


def _agree(names: Wanted, wanted: Wanted) -> bool:
    return all(
        wanted.get(axis, name).casefold() == name.casefold() for axis, name in names.items()
    )


def _axes_of(layout: Layout, fit: Fit) -> tuple[str, ...]:
    """Return the position axes of a fit, casefolded, in the order of its results' positions."""
    shapes = layout.shapes
    if fit.stack is None:
        shape = shapes[tags_of(layout, fit)[0]]
        along = (fit.along or "").casefold()
        return tuple(a.name.casefold() for a in shape.positions if a.name.casefold() != along)
    free: dict[str, None] = {}
    positions: set[str] = set()
    for term in layout.stack(fit.stack).terms:
        held = {axis.casefold() for axis, _ in term.fixed}
        names = [a.name.casefold() for a in shapes[term.tag].axes if a.name.casefold() not in held]
        free.update(dict.fromkeys(names))
        own = {axis.name.casefold() for axis in shapes[term.tag].positions}
        positions |= own.intersection(names)
    return tuple(axis for axis in free if axis in positions)
