"""Which part goes where: parts, spares and matched sets to the positions of a fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.fits import Assessment
from bedplate.assess.geometry import FitRow, tags_of
from bedplate.assess.limits import base_unit, size_at
from bedplate.assess.remedies import aim_of
from bedplate.assess.result import FitResult
from bedplate.assess.settlement import Known
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Spot
from bedplate.metrology.match import assign
from bedplate.record.parts import FIRST_LIFE
from bedplate.sheet.layout import joined
from bedplate.sheet.model import Component, Feature, Fit
from bedplate.text import counted, listed
from bedplate.units import factor


class Seat(NamedTuple):
    """What goes to one position.

    Attributes:
        position: of the fit.
        part: what goes there: position or mark of where it comes from, as typed after ``--from``.
        stays: whether it is there already.
        deviation: of the middle of tightest and loosest from the aim.
        result: the fit there, then.
        moves: (place, where from) pairs to record, none where it stays.
    """

    position: tuple[str, ...]
    part: str
    stays: bool
    deviation: Fraction
    result: FitResult
    moves: tuple[tuple[str, str], ...]


class _Candidate(NamedTuple):
    """A part, or a matched set, that could go to any position: from a position or from stock."""

    row: FitRow | None
    mark: str | None = None


class _Moving(NamedTuple):
    """What changes places.

    Attributes:
        tags: the features that go along.
        components: what they are on, and what is matched to that.
        effect: by how much the fit moves with the figure of a part that its readings feel but
            its stack does not name; None where it is named.
    """

    tags: tuple[str, ...]
    components: tuple[str, ...]
    effect: Fraction | None = None


def matched(assessment: Assessment, fit: Fit) -> list[Seat]:
    """Return which part goes where, so that the worst deviation from the aim is least.

    Then the sum of squares is least, and ties are left where they are.

    Args:
        assessment: the job's fits.
        fit: one with positions, some of whose parts can change places.

    Raises:
        NotUnderstoodError: nothing can change places, an aim is wanting, or fewer parts are
            measured than there are places.
    """
    rows = assessment.rows(fit)
    best: list[Seat] | None = None
    refused: NotUnderstoodError | None = None
    for moving in _movings(assessment, fit, rows):
        try:
            seats = _seated(_Match(assessment, fit, rows, moving))
        except NotUnderstoodError as why:
            refused = refused or why
            continue
        if best is None or _off(seats) < _off(best):
            best = seats
    if best is None and refused is not None:
        raise refused
    return best or []


def _off(seats: Iterable[Seat]) -> tuple[Fraction, Fraction]:
    """Return how far parts in their seats lie from their aims: the worst, the sum of squares."""
    deviations = [abs(seat.deviation) for seat in seats]
    return max(deviations), sum((off**2 for off in deviations), Fraction(0))


def _seated(match: _Match) -> list[Seat]:
    """Return which of some parts goes where, for the least worst deviation."""
    fit, rows = match.fit, match.rows
    candidates = [_Candidate(row) for row in rows] + list(_spares(match.assessment, match.moving))
    table = [[match.deviation(row, candidate) for candidate in candidates] for row in rows]
    measured = [at for at in range(len(candidates)) if any(line[at] is not None for line in table)]
    if len(measured) < len(rows):
        raise NotUnderstoodError(
            f"Nothing to match. {counted(len(measured), 'part')} measured for "
            f"{counted(len(rows), 'place')} of {fit.tag}.",
            f"See what is wanted:  bedplate check {fit.tag}",
        )
    found = assign(table, [at if at in measured else None for at in range(len(rows))])
    if found is None:
        raise NotUnderstoodError(
            f"Nothing to match. Not every place of {fit.tag} can be filled by a measured part.",
            f"See what is wanted:  bedplate check {fit.tag}",
        )
    return [match.seat(row, candidates[part]) for row, part in zip(rows, found, strict=True)]


# ---- what can change places


def _movings(assessment: Assessment, fit: Fit, rows: Sequence[FitRow]) -> list[_Moving]:
    """Return what can change places among the positions of a fit: all together, and each alone.

    It is the parts its stack names, while others that it names stay: where all could go, the first
    one stays, with what goes along with it. Else it is a part that it may be adjusted by.
    """
    tags = tags_of(assessment.job.layout, fit)
    axes = {axis.casefold() for axis in rows[0].axes} if rows else set()
    moves = {tag: _goes_with(assessment, tag, axes) for tag in tags} if axes else {}
    along = [tag for tag in tags if moves.get(tag)]
    if len(along) == len(tags):
        along = [tag for tag in tags if set(moves[tag]).isdisjoint(moves[tags[0]])]
    if along:
        sets = list(dict.fromkeys(tuple(sorted(moves[tag])) for tag in along))
        alone = [[tag for tag in along if tuple(sorted(moves[tag])) == one] for one in sets]
        return [
            _Moving(tuple(tags), tuple(dict.fromkeys(n for tag in tags for n in moves[tag])))
            for tags in ([along, *alone] if len(alone) > 1 else [along])
        ]
    for adjust in (fit.adjust or ()) if axes else ():
        tag = assessment.job.layout.named(adjust.feature, "feature").name
        if tag not in tags and adjust.effect and (goes := _goes_with(assessment, tag, axes)):
            return [_Moving((tag,), tuple(goes), Fraction(adjust.effect))]
    raise NotUnderstoodError(
        f"Nothing to match. No part of {fit.tag} can change places so that it matters.",
        "A part can, if its component has the positions of the fit and other parts of it stay.",
    )


def _goes_with(assessment: Assessment, tag: str, axes: set[str]) -> list[str]:
    """Return the components that change places with a feature: its own and what keeps to them.

    There are none where one of them has not the positions of the fit.
    """
    layout = assessment.job.layout
    found = dict.fromkeys(
        layout.named(name, "component").name for name in layout.row(tag, Feature).components
    )
    for name in list(found):
        found |= dict.fromkeys(_kept_with(assessment, name))
    fast = any(
        {axis.name.casefold() for axis in layout.named(name, "component").positions} != axes
        for name in found
    )
    return [] if fast else list(found)


def _kept_with(assessment: Assessment, component: str) -> Iterator[str]:
    """Yield the components that are matched to one, either way."""
    layout = assessment.job.layout
    for name in layout.names("component"):
        keep = layout.row(name, Component).keep
        mate = layout.named(keep, "component").name if keep is not None else name
        if name != mate and component in (name, mate):
            yield mate if name == component else name


def _spares(assessment: Assessment, moving: _Moving) -> Iterator[_Candidate]:
    """Yield the spares of what moves; none that would come without its match."""
    if len(moving.components) != 1:
        return
    (component,) = moving.components
    if assessment.job.layout.row(component, Component).keep is not None:
        return
    for part in assessment.job.parts.spares(component):
        yield _Candidate(None, part.mark)


# ---- how it would be


class _Match(NamedTuple):
    """A fit whose parts change places."""

    assessment: Assessment
    fit: Fit
    rows: Sequence[FitRow]
    moving: _Moving

    def deviation(self, row: FitRow, candidate: _Candidate) -> Fraction | None:
        """Return how far a candidate would lie from the aim at a row, None if it is not known."""
        if self.moving.effect is None:
            instead = self.instead(row, candidate)
            if instead is None:
                return None
            if not self.sizes(instead, candidate):
                plain = self.assessment.off_aim(self.fit, row, instead)
                if plain is not None:
                    return plain
        result = self.result(row, candidate)
        if result is None:
            return None
        aim = aim_of(result)
        if aim is None:
            raise NotUnderstoodError(
                f"Nothing to match. {self.fit.tag} has limits on one side and no aim.",
                f'Type:  bedplate amend fit {self.fit.tag} --aim "3 thou" --why ...',
            )
        if result.tightest is None or result.loosest is None:
            return None
        return (result.tightest + result.loosest) / 2 - aim

    def result(self, row: FitRow, candidate: _Candidate) -> FitResult | None:
        """Return the fit at a row with a candidate there, None where something is not read."""
        if self.moving.effect is not None:
            return self.felt(row, candidate, self.moving.effect)
        instead = self.instead(row, candidate)
        if instead is None:
            return None
        first = {
            spot for spot in instead if self.is_first(self.source(spot, candidate), candidate)
        }
        forecast = self.assessment.forecast(
            instead, first=first, sizes=self.sizes(instead, candidate)
        )
        return _if_measured(forecast.row(self.fit, row)[-1])

    def sizes(self, spots: Iterable[Spot], candidate: _Candidate) -> dict[Spot, str | None]:
        """Return to which size a candidate is made, where it is not that of the part there now."""
        job = self.assessment.job
        if not job.sheet.size:
            return {}
        brought = {spot: size_at(job, self.source(spot, candidate)) for spot in spots}
        return {spot: size for spot, size in brought.items() if size != size_at(job, spot)}

    def instead(self, row: FitRow, candidate: _Candidate) -> dict[Spot, Known] | None:
        """Return what a candidate would bring to a row, None where something is not read."""
        found: dict[Spot, Known] = {}
        for spot in row.spots:
            if spot.tag in self.moving.tags:
                known = self.known(self.source(spot, candidate), candidate)
                if known is None or known.estimate is None:
                    return None
                found[spot] = known
        return found

    def felt(self, row: FitRow, candidate: _Candidate, effect: Fraction) -> FitResult | None:
        """Return the fit at a row with a part there that it feels without naming it."""
        now = self.assessment.row(self.fit, row)[-1]
        here = self.mean(row, _Candidate(row))
        then = self.mean(row, candidate)
        if not now.measured or here is None or then is None:
            return None
        if candidate.row is row:
            return now
        key = (self.fit.tag, row.position)
        sources = [self.source(spot, candidate) for spot in self.spots(row)]
        first = [key] if all(self.is_first(source, candidate) for source in sources) else []
        shift = effect * (then - here) * factor(base_unit(now.unit), now.unit)
        return self.assessment.forecast({}, {key: shift}, first).row(self.fit, row)[-1]

    def spots(self, row: FitRow) -> list[Spot]:
        """Return the addresses of a part that is felt, at a row."""
        (tag,) = self.moving.tags
        at = _names(row)
        axes = [axis.name.casefold() for axis in self.axes_of(tag)]
        return [
            spot
            for spot in self.assessment.job.layout.select(tag, "feature").spots
            if all(
                at.get(axis, own).casefold() == own.casefold()
                for axis, own in zip(axes, spot.position, strict=True)
            )
        ]

    def mean(self, row: FitRow, candidate: _Candidate) -> Fraction | None:
        """Return the mean figure of a part that is felt, in its base unit; None if not read."""
        middles = []
        for spot in self.spots(row):
            known = self.known(self.source(spot, candidate), candidate)
            if known is None or known.estimate is None or known.estimate.middle is None:
                return None
            middles.append(known.estimate.middle)
        return sum(middles, Fraction(0)) / len(middles)

    def axes_of(self, tag: str) -> Iterable[Axis]:
        """Return the position axes of a feature."""
        return self.assessment.job.layout.named(tag, "feature").positions

    def source(self, spot: Spot, candidate: _Candidate) -> Spot:
        """Return where a candidate is read now that would be read at ``spot``."""
        if candidate.row is None:
            return Spot(spot.tag, (candidate.mark or "",), spot.station)
        there = _names(candidate.row)
        position = tuple(
            axis.spelled(there.get(axis.name.casefold(), own)) or own
            for axis, own in zip(self.axes_of(spot.tag), spot.position, strict=True)
        )
        return Spot(spot.tag, position, spot.station)

    def known(self, source: Spot, candidate: _Candidate) -> Known | None:
        """Return what is known where a candidate is now."""
        readings = self.assessment.readings
        return (
            readings.known(source) if candidate.row is not None else readings.known_spare(source)
        )

    def is_first(self, source: Spot, candidate: _Candidate) -> bool:
        """Tell whether a candidate is in its first life; to be moved begins none."""
        job = self.assessment.job
        if candidate.row is not None:
            return job.is_as_found(source)
        (on,) = job.resting_on(source.tag, source.position, spare=True)
        return on.life == FIRST_LIFE

    def seat(self, row: FitRow, candidate: _Candidate) -> Seat:
        """Return what goes to a row."""
        result, deviation = self.result(row, candidate), self.deviation(row, candidate)
        if result is None or deviation is None:  # pragma: no cover - what was assigned is known
            raise NotUnderstoodError(
                f"{self.fit.tag} is not measured at {'/'.join(row.position)}."
            )
        stays = candidate.row is row
        moves = () if stays else tuple(self.moves(row, candidate))
        part = candidate.mark or listed([origin for _, origin in moves]) or "/".join(row.position)
        return Seat(row.position, part, stays, deviation, result, moves)

    def moves(self, row: FitRow, candidate: _Candidate) -> Iterator[tuple[str, str]]:
        """Yield the moves to record: every component that goes along."""
        for name in self.moving.components:
            yield (
                self.place(name, row),
                candidate.mark or self.place(name, candidate.row or row),
            )

    def place(self, component: str, row: FitRow) -> str:
        """Return the place of a component at a row, in the component's own order of axes."""
        at = _names(row)
        axes = self.assessment.job.layout.named(component, "component").positions
        names = [axis.spelled(at[axis.name.casefold()]) or "" for axis in axes]
        return joined(component, names)


def _names(row: FitRow) -> dict[str, str]:
    """Return the name that a row has on each of its axes."""
    return dict(zip(map(str.casefold, row.axes), row.position, strict=True))


def _if_measured(result: FitResult) -> FitResult | None:
    return result if result.measured else None
