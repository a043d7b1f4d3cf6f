"""How a fit would be with parts in other places: what each brings along, and what it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.fits import Assessment
from bedplate.assess.geometry import FitRow
from bedplate.assess.limits import base_unit, size_at
from bedplate.assess.remedies import aim_of, ends_of
from bedplate.assess.result import FitResult
from bedplate.assess.settlement import Known
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Spot
from bedplate.record.parts import FIRST_LIFE
from bedplate.sheet.layout import joined
from bedplate.sheet.model import Fit
from bedplate.text import listed
from bedplate.units import factor

Names = tuple[tuple[str, str], ...]
"""A name on each of some axes, both without case."""


class Seat(NamedTuple):
    """What goes to one position.

    Attributes:
        position: of the fit.
        part: what goes there: position or mark of where it comes from, as typed after ``--from``.
        stays: whether it is there already.
        deviation: of the middle of tightest and loosest (under ``mean``: the mean) from the aim.
        result: the fit there, then.
        moves: (place, where from) pairs to record, none where it stays.
    """

    position: tuple[str, ...]
    part: str
    stays: bool
    deviation: Fraction
    result: FitResult
    moves: tuple[tuple[str, str], ...]


class Moving(NamedTuple):
    """What changes places, all of it together.

    Attributes:
        tags: the features that go along.
        components: what they are on, and what is matched to that.
        seats: where it sits at one position of the fit, on the axes that the fit does not have:
            one seat with nothing to say, as a rule; front and rear where a stack names both.
        effect: by how much the fit moves with the figure of a part that its readings feel but
            its stack does not name; None where it is named.
    """

    tags: tuple[str, ...]
    components: tuple[str, ...]
    seats: tuple[Names, ...] = ((),)
    effect: Fraction | None = None


class Candidate(NamedTuple):
    """A part, or a matched set, that could go to any seat: from a place or from stock."""

    at: Names | None
    mark: str | None = None


Chosen = tuple[Candidate, ...]
"""What goes to each seat at one position."""


class Placing(NamedTuple):
    """A fit whose parts change places."""

    assessment: Assessment
    fit: Fit
    rows: Sequence[FitRow]
    movings: tuple[Moving, ...]

    @property
    def seats(self) -> list[tuple[Moving, Names]]:
        """Every seat at one position, with what may sit there."""
        return [(moving, seat) for moving in self.movings for seat in moving.seats]

    def present(self, row: FitRow) -> Chosen:
        """Return what sits at a row now."""
        return tuple(Candidate(_place(row, seat)) for _, seat in self.seats)

    def places(self, row: FitRow, moving: Moving) -> list[Names]:
        """Return where one kind sits at a row."""
        return [_place(row, seat) for seat in moving.seats]

    def deviation(self, row: FitRow, chosen: Chosen) -> Fraction | None:
        """Return how far candidates would lie from the aim at a row, None if it is not known."""
        if self._felt is None:
            instead = self._instead(row, chosen)
            if instead is None:
                return None
            if not self._sizes(row, chosen):
                plain = self.assessment.off_aim(self.fit, row, instead)
                if plain is not None:
                    return plain
        result = self._result(row, chosen)
        if result is None:
            return None
        aim = aim_of(result)
        if aim is None:
            raise NotUnderstoodError(
                f"Nothing to match. {self.fit.tag} has limits on one side and no aim.",
                f'Type:  bedplate amend fit {self.fit.tag} --aim "3 thou" --why ...',
            )
        ends = ends_of(self.assessment, result)
        return None if ends is None else sum(ends, Fraction(0)) / 2 - aim

    def seat(self, row: FitRow, chosen: Chosen) -> Seat:
        """Return what goes to a row."""
        result, deviation = self._result(row, chosen), self.deviation(row, chosen)
        if result is None or deviation is None:  # pragma: no cover - what was assigned is known
            raise NotUnderstoodError(
                f"{self.fit.tag} is not measured at {'/'.join(row.position)}."
            )
        moves = tuple(self._moves(row, chosen))
        part = listed([origin for _, origin in moves]) or "/".join(row.position)
        return Seat(row.position, part, not moves, deviation, result, moves)

    @property
    def _felt(self) -> Fraction | None:
        """The effect of a part that the fit feels without naming it; None where it is named."""
        return self.movings[0].effect

    def _result(self, row: FitRow, chosen: Chosen) -> FitResult | None:
        """Return the fit at a row with candidates there, None where something is not read."""
        if self._felt is not None:
            return self._moved(row, chosen[0], self._felt)
        instead = self._instead(row, chosen)
        if instead is None:
            return None
        first = {
            spot
            for spot, candidate in self._brought(row, chosen)
            if self._is_first(self._read_at(spot, candidate), candidate)
        }
        forecast = self.assessment.forecast(instead, first=first, sizes=self._sizes(row, chosen))
        result = forecast.row(self.fit, row)[-1]
        return result if result.measured else None

    def _brought(self, row: FitRow, chosen: Chosen) -> Iterator[tuple[Spot, Candidate]]:
        """Yield the addresses of a row at which what moves is read, with what would sit there."""
        seats = list(zip(self.seats, chosen, strict=True))
        for spot in row.spots:
            there = set(self._spot_names(spot))
            for (moving, seat), candidate in seats:
                if spot.tag in moving.tags and there.issuperset(seat):
                    yield spot, candidate

    def _sizes(self, row: FitRow, chosen: Chosen) -> dict[Spot, str | None]:
        """Return to which size candidates are made, where it is not that of what is there now."""
        job = self.assessment.job
        if not job.sheet.size:
            return {}
        brought = {
            spot: size_at(job, self._read_at(spot, candidate))
            for spot, candidate in self._brought(row, chosen)
        }
        return {spot: size for spot, size in brought.items() if size != size_at(job, spot)}

    def _instead(self, row: FitRow, chosen: Chosen) -> dict[Spot, Known] | None:
        """Return what candidates would bring to a row, None where something is not read."""
        found: dict[Spot, Known] = {}
        for spot, candidate in self._brought(row, chosen):
            known = self._known(self._read_at(spot, candidate), candidate)
            if known is None or known.estimate is None:
                return None
            found[spot] = known
        return found

    def _moved(self, row: FitRow, candidate: Candidate, effect: Fraction) -> FitResult | None:
        """Return the fit at a row with a part there that it feels without naming it."""
        now = self.assessment.row(self.fit, row)[-1]
        here = self._mean(row, Candidate(_place(row, ())))
        then = self._mean(row, candidate)
        if not now.measured or here is None or then is None:
            return None
        if candidate.at == _place(row, ()):
            return now
        key = (self.fit.tag, row.position)
        sources = [self._read_at(spot, candidate) for spot in self._felt_spots(row)]
        first = [key] if all(self._is_first(source, candidate) for source in sources) else []
        shift = effect * (then - here) * factor(base_unit(now.unit), now.unit)
        return self.assessment.forecast({}, {key: shift}, first).row(self.fit, row)[-1]

    def _felt_spots(self, row: FitRow) -> list[Spot]:
        """Return the addresses of a part that is felt, at a row."""
        ((tag,), *_) = (moving.tags for moving in self.movings)
        at = dict(_place(row, ()))
        return [
            spot
            for spot in self.assessment.job.layout.select(tag, "feature").spots
            if all(at.get(axis, own) == own for axis, own in self._spot_names(spot))
        ]

    def _mean(self, row: FitRow, candidate: Candidate) -> Fraction | None:
        """Return the mean figure of a part that is felt, in its base unit; None if not read."""
        middles = []
        for spot in self._felt_spots(row):
            known = self._known(self._read_at(spot, candidate), candidate)
            if known is None or known.estimate is None or known.estimate.middle is None:
                return None
            middles.append(known.estimate.middle)
        return sum(middles, Fraction(0)) / len(middles)

    def _axes_of(self, tag: str) -> Iterable[Axis]:
        """Return the position axes of a feature."""
        return self.assessment.job.layout.named(tag, "feature").positions

    def _spot_names(self, spot: Spot) -> Names:
        """Return the name that an address has on each of its position axes."""
        return tuple(
            (axis.name.casefold(), name.casefold())
            for axis, name in zip(self._axes_of(spot.tag), spot.position, strict=True)
        )

    def _read_at(self, spot: Spot, candidate: Candidate) -> Spot:
        """Return where a candidate is read now that would be read at ``spot``."""
        if candidate.at is None:
            return self.assessment.job.spare_spot(spot, candidate.mark or "")
        there = dict(candidate.at)
        position = tuple(
            axis.spelled(there.get(axis.name.casefold(), own)) or own
            for axis, own in zip(self._axes_of(spot.tag), spot.position, strict=True)
        )
        return Spot(spot.tag, position, spot.station)

    def _known(self, source: Spot, candidate: Candidate) -> Known | None:
        """Return what is known where a candidate is now."""
        readings = self.assessment.readings
        return readings.known(source) if candidate.at is not None else readings.known_spare(source)

    def _is_first(self, source: Spot, candidate: Candidate) -> bool:
        """Tell whether a candidate is in its first life; to be moved begins none."""
        job = self.assessment.job
        if candidate.at is not None:
            return job.is_as_found(source)
        (on,) = job.resting_on(source.tag, source.position, spare=True)
        return on.life == FIRST_LIFE

    def _moves(self, row: FitRow, chosen: Chosen) -> Iterator[tuple[str, str]]:
        """Yield the moves to record: every component that goes along."""
        for (moving, seat), candidate in zip(self.seats, chosen, strict=True):
            here = _place(row, seat)
            if candidate.at == here:
                continue
            for name in moving.components:
                origin = candidate.mark or self._placed(name, dict(candidate.at or ()))
                yield self._placed(name, dict(here)), origin

    def _placed(self, component: str, at: Mapping[str, str]) -> str:
        """Return the place of a component, in its own order of axes."""
        axes = self.assessment.job.layout.named(component, "component").positions
        names = [axis.spelled(at[axis.name.casefold()]) or "" for axis in axes]
        return joined(component, names)


def _place(row: FitRow, seat: Names) -> Names:
    """Return the names of a seat at a row: those of the row and its own."""
    at = zip(map(str.casefold, row.axes), map(str.casefold, row.position), strict=True)
    return tuple(sorted((*at, *seat)))
