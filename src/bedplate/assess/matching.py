"""Which part goes where: parts, spares and matched sets to the positions of a fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from bedplate.assess.estimates import Known
from bedplate.assess.fits import Assessment
from bedplate.assess.geometry import FitRow, tags_of
from bedplate.assess.remedies import aim_of
from bedplate.assess.result import FitResult
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.metrology.match import assign
from bedplate.sheet.model import Feature, Fit
from bedplate.text import counted, listed


@dataclass(frozen=True, slots=True)
class Seat:
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


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A part, or a matched set, that could go to any position: from a position or from stock."""

    name: str
    position: tuple[str, ...] | None
    mark: str | None = None


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
    moving = _moving(assessment, fit, rows)
    candidates = _candidates(assessment, rows, moving)
    table = [[_deviation(assessment, fit, row, c, moving) for c in candidates] for row in rows]
    measured = [at for at in range(len(candidates)) if any(line[at] is not None for line in table)]
    if len(measured) < len(rows):
        raise NotUnderstoodError(
            f"Nothing to match. {counted(len(measured), 'part')} measured for "
            f"{counted(len(rows), 'place')} of {fit.tag}.",
            f"See what is wanted:  bedplate check {fit.tag}",
        )
    present = [
        at if candidates[at].position == row.position and at in measured else None
        for at, row in enumerate(rows)
    ]
    found = assign(table, present)
    if found is None:
        raise NotUnderstoodError(
            f"Nothing to match. Not every place of {fit.tag} can be filled by a measured part.",
            f"See what is wanted:  bedplate check {fit.tag}",
        )
    return [
        _seat(
            assessment,
            fit,
            row,
            candidates[part],
            deviation=table[at][part] or Fraction(0),
            moving=moving,
        )
        for at, (row, part) in enumerate(zip(rows, found, strict=True))
    ]


def _moving(assessment: Assessment, fit: Fit, rows: Sequence[FitRow]) -> list[str]:
    """Return the features whose parts can change places among the positions of a fit."""
    layout = assessment.job.layout
    axes = {axis.casefold() for axis in rows[0].axes} if rows else set()
    tags = tags_of(layout, fit)
    found = [tag for tag in tags if axes and _moves(assessment, tag, axes)]
    if not found or len(found) == len(tags):
        raise NotUnderstoodError(
            f"Nothing to match. No part of {fit.tag} can change places so that it matters.",
            "A part can, if its component has the positions of the fit and another has not.",
        )
    return found


def _moves(assessment: Assessment, tag: str, axes: set[str]) -> bool:
    layout = assessment.job.layout
    feature = layout.row(tag, Feature)
    return all(
        axes <= {axis.name.casefold() for axis in layout.named(name, "component").positions}
        for name in feature.components
    )


def _candidates(
    assessment: Assessment, rows: Sequence[FitRow], moving: Sequence[str]
) -> list[_Candidate]:
    placed = [_Candidate("/".join(row.position), row.position) for row in rows]
    if len(moving) != 1:
        return placed
    marks = assessment.job.spares_of(moving[0])
    return [*placed, *(_Candidate(mark, None, mark) for mark in marks)]


def _known_of(assessment: Assessment, spot: Spot, candidate: _Candidate) -> Known | None:
    """Return what is known of a candidate at the station of an address."""
    if candidate.mark is not None:
        return assessment.readings.known_spare(Spot(spot.tag, (candidate.mark,), spot.station))
    return assessment.readings.known(Spot(spot.tag, candidate.position or (), spot.station))


def _instead(
    assessment: Assessment, row: FitRow, candidate: _Candidate, moving: Sequence[str]
) -> dict[Spot, Known] | None:
    """Return what would be known at a row's addresses with a candidate there, None if not read."""
    found: dict[Spot, Known] = {}
    for spot in row.spots:
        if spot.tag not in moving:
            continue
        known = _known_of(assessment, spot, candidate)
        if known is None or known.estimate is None:
            return None
        found[spot] = known
    return found


def _result(
    assessment: Assessment, fit: Fit, row: FitRow, candidate: _Candidate, moving: Sequence[str]
) -> FitResult | None:
    instead = _instead(assessment, row, candidate, moving)
    if instead is None:
        return None
    result = assessment.forecast(instead).row(fit, row)[-1]
    return result if result.measured else None


def _deviation(
    assessment: Assessment, fit: Fit, row: FitRow, candidate: _Candidate, moving: Sequence[str]
) -> Fraction | None:
    """Return how far a candidate would lie from the aim at a row, None where it is not known."""
    result = _result(assessment, fit, row, candidate, moving)
    if result is None:
        return None
    aim = aim_of(result)
    if aim is None:
        raise NotUnderstoodError(
            f"Nothing to match. {fit.tag} has limits on one side and no aim.",
            f'Type:  bedplate amend fit {fit.tag} --aim "3 thou" --why ...',
        )
    if result.tightest is None or result.loosest is None:
        return None
    return (result.tightest + result.loosest) / 2 - aim


def _seat(
    assessment: Assessment,
    fit: Fit,
    row: FitRow,
    candidate: _Candidate,
    *,
    deviation: Fraction,
    moving: Sequence[str],
) -> Seat:
    result = _result(assessment, fit, row, candidate, moving)
    if result is None:  # pragma: no cover - what was assigned was measured
        raise NotUnderstoodError(f"{candidate.name} is not measured.")
    stays = candidate.position == row.position
    moves = [] if stays else _changes(assessment, row, candidate, moving)
    part = candidate.mark or listed([origin for _, origin in moves]) or candidate.name
    return Seat(row.position, part, stays, deviation, result, tuple(moves))


def _changes(
    assessment: Assessment, row: FitRow, candidate: _Candidate, moving: Sequence[str]
) -> list[tuple[str, str]]:
    """Return the moves to record: each component of the features that move."""
    layout = assessment.job.layout
    components = dict.fromkeys(
        layout.named(name, "component").name
        for tag in moving
        for name in layout.row(tag, Feature).components
    )
    place = "/".join(row.position)
    origin = candidate.mark or "/".join(candidate.position or ())
    return [(f"{name}.{place}", candidate.mark or f"{name}.{origin}") for name in components]
