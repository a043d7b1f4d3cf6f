"""What would bring a fit in: the changes and sizes that its sheet allows, and what they spoil.

A forecast is the arithmetic of the fits over figures as they would be; nothing is recorded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.fits import Assessment
from bedplate.assess.forming import moved
from bedplate.assess.geometry import FitRow, tags_of
from bedplate.assess.limits import base_unit, feature_unit, nominal_of
from bedplate.assess.result import FitResult
from bedplate.assess.settlement import Known
from bedplate.errors import NotUnderstoodError
from bedplate.metrology import remedy
from bedplate.metrology.axes import Spot
from bedplate.metrology.judge import Case, judge
from bedplate.sheet.choices import read_choices
from bedplate.sheet.model import Adjust, Feature, Fit
from bedplate.units import convert, factor

GRAIN = Fraction(1, 10**9)
"""The step to which U is rounded up where a value must be inside a limit by it."""


class Remedy(NamedTuple):
    """One way to bring a fit in, at the positions that share the part.

    Attributes:
        feature: address of what is changed.
        make: ``smaller`` or ``larger``; None for a choice of size or of another part, and where
            the sheet says nothing of it.
        change: of the figure, in ``unit``, with its sign; None where nothing allowed reaches.
        size: the figure then, where it is chosen from sizes or stock.
        part: mark of the part from stock, None for a size to make or buy.
        unit: of change and size.
        fits: the fit as it would be, at each position.
        spoils: other fits that pass now and would not.
        reaches: whether every one of ``fits`` would pass.
    """

    feature: str
    make: str | None
    change: Fraction | None
    size: Fraction | None
    part: str | None
    unit: str
    fits: tuple[FitResult, ...]
    spoils: tuple[FitResult, ...]
    reaches: bool


class _Way(NamedTuple):
    """One ``adjust`` of a fit over rows that share the part."""

    fit: Fit
    adjust: Adjust
    tag: str
    rows: tuple[FitRow, ...]
    spots: tuple[Spot, ...]
    effect: Fraction
    named: bool


def remedies(assessment: Assessment, fit: Fit) -> list[Remedy]:
    """Return what the sheet allows to bring a fit in, stock first.

    Where the sheet says nothing of it, what each feature of the stack would have to change.

    Args:
        assessment: the job's fits.
        fit: the fit; positions that are not yet measured are left out.

    Raises:
        NotUnderstoodError: the sheet allows nothing to a spread or a flatness, or nothing is
            measured yet.
    """
    adjusts = fit.adjust or _each_term(assessment, fit)
    if not adjusts:
        tag = tags_of(assessment.job.layout, fit)[0]
        component = assessment.job.layout.row(tag, Feature).components[0]
        raise NotUnderstoodError(
            f"Nothing to say. No change of one figure brings {fit.tag} in: it is how much "
            "readings of a part differ.",
            f"Type:  bedplate decide {component} rework --why REASON",
        )
    measured = [row for row in assessment.rows(fit) if assessment.judged_values(fit, row)]
    if not measured:
        raise NotUnderstoodError(
            f"Nothing to say. {fit.tag} has no position with every reading in.",
            f"See what is wanted:  bedplate check {fit.tag}",
        )
    found: list[Remedy] = []
    for adjust in adjusts:
        for way in _ways(assessment, fit, adjust, measured):
            if _in_as_it_stands(assessment, way):
                continue
            found += _from_stock(assessment, way) if adjust.sizes is not None else []
            found.append(_by_size(assessment, way) if adjust.sizes is not None
                         else _by_change(assessment, way))  # fmt: skip
    return found


def _each_term(assessment: Assessment, fit: Fit) -> list[Adjust]:
    """Return a change, one way or the other, of each feature that the stack of a fit names."""
    if fit.stack is None:
        return []
    return [Adjust(feature=tag) for tag in tags_of(assessment.job.layout, fit)]


def _in_as_it_stands(assessment: Assessment, way: _Way) -> bool:
    return all(judge(assessment.judged_values(way.fit, row)).verdict == "in" for row in way.rows)


def _ways(
    assessment: Assessment, fit: Fit, adjust: Adjust, rows: Sequence[FitRow]
) -> Iterator[_Way]:
    """Yield an adjustment for each part of its own: one for all rows that share it."""
    layout = assessment.job.layout
    named = layout.named(adjust.feature, "feature")
    own = [axis.name.casefold() for axis in named.positions]
    shared: dict[tuple[tuple[str, str], ...], list[FitRow]] = {}
    for row in rows:
        names = zip((axis.casefold() for axis in row.axes), row.position, strict=True)
        key = tuple((axis, name) for axis, name in names if axis in own)
        shared.setdefault(key, []).append(row)
    for key, group in shared.items():
        spots = [s for s in layout.select(named.name, "feature").spots if _agrees(s, own, key)]
        in_stack = {s for row in group for s in row.spots if s.tag == named.name}
        effect, is_named = _effect(adjust, group, named.name)
        chosen = [spot for spot in spots if spot in in_stack or not in_stack]
        yield _Way(fit, adjust, named.name, tuple(group), tuple(chosen), effect, is_named)


def _agrees(spot: Spot, own: Sequence[str], key: Iterable[tuple[str, str]]) -> bool:
    at = dict(zip(own, spot.position, strict=True))
    return all(at[axis] == name for axis, name in key)


def _effect(adjust: Adjust, rows: Sequence[FitRow], tag: str) -> tuple[Fraction, bool]:
    """Return by how much the fit moves with the figure, and whether its stack names it."""
    counts = {
        sum((count for count, spot in group.parts if spot.tag == tag), Fraction(0))
        for row in rows
        for group in row.groups
    }
    counts.discard(Fraction(0))
    if counts:
        return counts.pop(), True
    return Fraction(adjust.effect or "0"), False


# ---- a change of the figure


def _by_change(assessment: Assessment, way: _Way) -> Remedy:
    shift = _wanted_shift(assessment, way)
    change = shift / way.effect if shift is not None and way.effect else None
    make = way.adjust.make
    if change is not None and make is not None and not remedy.is_allowed(change, make):
        change = None
    return _told(assessment, way, change)


def _wanted_shift(assessment: Assessment, way: _Way) -> Fraction | None:
    """Return by how much the fit is to move: onto the aim, or else just in."""
    places = _places(assessment, way)
    by_mean = assessment.job.sheet.judge_of(way.fit) == "mean"
    if places is not None:
        return remedy.centring_shift(places, by_mean=by_mean)
    window = remedy.window(_cases(assessment, way), GRAIN)
    return None if window is None else window.nearest


def _cases(assessment: Assessment, way: _Way) -> list[Case]:
    return [case for row in way.rows for case in assessment.judged_values(way.fit, row)]


def _places(assessment: Assessment, way: _Way) -> list[remedy.Place] | None:
    """Return the rows as places with an aim, None where one has none, or an open end."""
    places = []
    for row in way.rows:
        result = assessment.row(way.fit, row)[-1]
        aim = aim_of(result)
        ends = ends_of(assessment, result)
        if aim is None or ends is None:
            return None
        places.append(remedy.Place(*ends, aim))
    return places


def ends_of(assessment: Assessment, result: FitResult) -> tuple[Fraction, Fraction] | None:
    """Return the least and the greatest of what is put on the aim; under ``mean``, the mean.

    None where an end is open.
    """
    ends = (result.tightest, result.loosest)
    if assessment.job.sheet.judge_of(result.fit) == "mean":
        ends = (result.mean, result.mean)
    if ends[0] is None or ends[1] is None:
        return None
    return min(ends[0], ends[1]), max(ends[0], ends[1])


def aim_of(result: FitResult) -> Fraction | None:
    """Return what is wished for of a fit: its aim, else its band's middle; None if one-sided."""
    if result.aim is not None:
        return result.aim
    band = result.band
    if band is None or band.low is None or band.high is None:
        return None
    return (band.low + band.high) / 2


# ---- a choice of size


def _by_size(assessment: Assessment, way: _Way) -> Remedy:
    """Return the size to take of those offered."""
    unit, now = _figure_now(assessment, way)
    sizes = read_choices(way.adjust.sizes or (), unit)
    scale = factor(unit, _unit(assessment, way))
    choices = [_choice(assessment, way, (size - now) * scale) for size in sizes]
    aimed = _places(assessment, way) is not None
    best = remedy.best_choice(choices, aimed=aimed)
    if best is None:
        return _told(assessment, way, None)
    told = _told(assessment, way, choices[best].change)
    return told._replace(size=convert(sizes[best], unit, told.unit))


def _choice(assessment: Assessment, way: _Way, change: Fraction) -> remedy.Choice:
    """Return what a change of the figure (in the fit's unit) would do."""
    cases = remedy.shifted(_cases(assessment, way), change * way.effect)
    shift = change * way.effect
    places = _places(assessment, way) or []
    deviations = tuple(
        end + shift - place.aim for place in places for end in (place.low, place.high)
    )
    return remedy.Choice(change, deviations, all_in=judge(cases).verdict == "in")


def _mean(knowns: Iterable[Known | None]) -> Fraction | None:
    """Return the mean of what is known of some addresses, None where nothing is."""
    values = [known.estimate.middle for known in knowns if known and known.estimate]
    figures = [value for value in values if value is not None]
    return sum(figures, Fraction(0)) / len(figures) if figures else None


def _figure_now(assessment: Assessment, way: _Way) -> tuple[str, Fraction]:
    """Return the feature's figure as it is now, in its unit: read, else nominal."""
    unit = feature_unit(assessment.job, way.tag)
    mean = _mean(assessment.readings.known(spot) for spot in way.spots)
    if mean is not None:
        return unit, convert(mean, base_unit(unit), unit)
    nominal = nominal_of(assessment.job, way.spots[0])
    if nominal is None:
        raise NotUnderstoodError(
            f"Nothing to say. {way.tag} is neither read nor has it a nominal.",
            f"Type:  bedplate measure {way.spots[0]} VALUE",
        )
    return unit, convert(nominal[0], nominal[1], unit)


def _from_stock(assessment: Assessment, way: _Way) -> list[Remedy]:
    """Return the measured spare that serves best, if one brings the fit in."""
    unit, now = _figure_now(assessment, way)
    scale = factor(unit, _unit(assessment, way))
    stock: list[tuple[str, Fraction]] = []
    for mark in assessment.job.spares_of(way.tag):
        spots = {assessment.job.spare_spot(spot, mark) for spot in way.spots}
        mean = _mean(assessment.readings.known_spare(spot) for spot in spots)
        if mean is not None:
            stock.append((mark, convert(mean, base_unit(unit), unit)))
    choices = [_choice(assessment, way, (size - now) * scale) for _, size in stock]
    best = remedy.best_choice(choices, aimed=_places(assessment, way) is not None)
    if best is None:
        return []
    told = _told(assessment, way, choices[best].change)
    size = convert(stock[best][1], unit, told.unit)
    return [told._replace(size=size, part=stock[best][0])] if told.reaches else []


# ---- what it would do


def _unit(assessment: Assessment, way: _Way) -> str:
    return assessment.row(way.fit, way.rows[0])[-1].unit


def _told(assessment: Assessment, way: _Way, change: Fraction | None) -> Remedy:
    """Return a change (in the fit's unit) with its forecast."""
    unit = _unit(assessment, way)
    positions = {spot.position for spot in way.spots}
    feature = str(Spot(way.tag, positions.pop() if len(positions) == 1 else ()))
    if change is None:
        now = tuple(assessment.row(way.fit, row)[-1] for row in way.rows)
        return Remedy(feature, way.adjust.make, None, None, None, unit, now, (), reaches=False)
    after, spoils = _forecast(assessment, way, change, unit)
    reaches = all(result.passes for result in after)
    return Remedy(
        feature, way.adjust.make, change, None, None, unit, after, spoils, reaches=reaches
    )


def _forecast(
    assessment: Assessment, way: _Way, change: Fraction, unit: str
) -> tuple[tuple[FitResult, ...], tuple[FitResult, ...]]:
    """Return the fit as it would be, and other fits that would not pass any more."""
    shift = change * factor(unit, base_unit(unit))
    instead: dict[Spot, Known] = {}
    for spot in way.spots:
        known = assessment.readings.known(spot)
        if known is not None and known.estimate is not None:
            instead[spot] = replace(known, estimate=moved(known.estimate, shift))
    felt = (
        {} if way.named else {(way.fit.tag, row.position): change * way.effect for row in way.rows}
    )
    later = assessment.forecast(instead, felt)
    positions = {row.position for row in way.rows}
    after = [r for r in later.fits([way.fit.tag]) if r.position in positions]
    touched = {r.address for r in later.touched_by(instead)}
    passing = {r.address for r in assessment.all if r.passes}
    spoils = [
        r
        for r in later.fits()
        if r.address in touched & passing and not r.passes and r.tag != way.fit.tag
    ]
    return tuple(after), tuple(spoils)
