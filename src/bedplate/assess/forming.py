"""What the standing readings make of a row: which groups are complete, and their values."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.estimates import Readings
from bedplate.assess.geometry import FitRow, Group
from bedplate.assess.limits import base_unit
from bedplate.assess.settlement import Known
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Estimate
from bedplate.metrology.sweep import Listed, Sweep
from bedplate.units import factor


class Formed(NamedTuple):
    """The groups of a row that are complete, and what the others still need.

    Attributes:
        groups: those that are complete.
        values: what they come to, in the unit of the fit; None where there are none.
        missing: addresses that are still to be read.
        left_out: addresses left out on purpose.
        readings: every standing reading of the row.
        step: the finest step among them, in the unit of the fit.
    """

    groups: tuple[Group, ...]
    values: Sweep | Listed | None
    missing: tuple[Spot, ...]
    left_out: tuple[Spot, ...]
    readings: tuple[int, ...]
    step: Fraction


class Standing(NamedTuple):
    """What stands at the addresses of a row, and which groups are complete by it.

    Attributes:
        known: what is known of every address.
        estimated: those of them with an estimate.
        brackets: those that were read between two ends.
        groups: those that are complete.
        missing: addresses that are still to be read.
        left_out: addresses left out on purpose.
    """

    known: Mapping[Spot, Known | None]
    estimated: Mapping[Spot, Known]
    brackets: Collection[Spot]
    groups: tuple[Group, ...]
    missing: tuple[Spot, ...]
    left_out: tuple[Spot, ...]

    @property
    def measured(self) -> bool:
        """Whether every reading that the row needs is there."""
        return bool(self.groups) and not self.missing


def stands(readings: Readings, row: FitRow, *, as_found: bool = False) -> Standing:
    """Return what stands at the addresses of a row.

    Args:
        readings: of the job.
        row: of a fit.
        as_found: of the parts found there, in their first lives.
    """
    known = {spot: readings.known(spot, as_found=as_found) for spot in row.spots}
    left_out = tuple(spot for spot, here in known.items() if here and here.left_out)
    there = {spot: here for spot, here in known.items() if here and here.estimate}
    brackets = {spot for spot, here in there.items() if here.estimate and here.estimate.is_bracket}
    missing: dict[Spot, None] = {}
    groups = tuple(_complete(row, there, brackets, frozenset(left_out), missing))
    return Standing(known, there, brackets, groups, tuple(missing), left_out)


def formed(
    readings: Readings,
    row: FitRow,
    unit: str,
    shift: Fraction,
    *,
    as_found: bool,
    standing: Standing | None = None,
) -> Formed:
    """Return what the standing readings make of a row.

    Args:
        readings: of the job.
        row: of a fit.
        unit: of the fit.
        shift: by how much a forecast moves every value, in the unit of the fit.
        as_found: of the parts found there, in their first lives.
        standing: what `stands` there, where that is known already.
    """
    there = standing if standing is not None else stands(readings, row, as_found=as_found)
    known, estimated = there.known, there.estimated
    # Where nothing is read, another unit than of length need not be loaded for it.
    scale = factor(base_unit(unit), unit) if any(known.values()) else Fraction(1)
    numbers, step = _rests_on(readings, known, as_found=as_found)
    values = None
    if groups := there.groups:
        whole = len(groups) == len(row.groups)
        used = estimated if whole else {spot for group in groups for spot in group.spots}
        estimates = {spot: one.scaled(scale) for spot, one in estimated.items() if spot in used}
        values = _values(groups, estimates, shift, plain=not shift and not there.brackets)
    return Formed(groups, values, there.missing, there.left_out, numbers, step * scale)


def _complete(
    row: FitRow,
    known: Collection[Spot],
    brackets: Collection[Spot],
    out: frozenset[Spot],
    missing: dict[Spot, None],
) -> Iterator[Group]:
    """Yield the groups that are complete; note what the others need, but for what is left out."""
    whole = len(known) == len(row.spots)
    for group in row.groups:
        if whole and group.brackets:
            yield group
            continue
        wanted = [spot for spot in group.spots if spot not in out]
        if len(wanted) < (len(group.spots) if group.least is None else group.least):
            continue
        if not group.brackets and any(spot in brackets for spot in wanted):
            continue
        lacking = [spot for spot in wanted if spot not in known]
        if lacking:
            missing.update(dict.fromkeys(lacking))
        else:
            yield group


def _values(
    groups: tuple[Group, ...], estimates: Mapping[Spot, Estimate], shift: Fraction, *, plain: bool
) -> Sweep | Listed:
    if plain and all(group.summed for group in groups):
        return Sweep([group.parts for group in groups], estimates)
    return Listed([
        moved(group.form([estimates[spot] for spot in group.spots if spot in estimates]), shift)
        for group in groups
    ])  # fmt: skip


def _rests_on(
    readings: Readings, known: Mapping[Spot, Known | None], *, as_found: bool
) -> tuple[tuple[int, ...], Fraction]:
    """Return every standing reading of a row, and the finest step among them.

    In a forecast they are those of the part that would be there.
    """
    numbers: set[int] = set()
    for spot, here in known.items():
        if here is not None and here.estimate is not None and here.estimate.entries:
            numbers.update(here.estimate.entries)
            continue
        standing = readings.standing(spot, as_found=as_found)
        numbers.update(taken.entry.n for taken in standing if taken.entry.value is not None)
    steps = [step for step in map(readings.step, numbers) if step]
    return tuple(sorted(numbers)), min(steps, default=Fraction(0))


def moved(estimate: Estimate, shift: Fraction) -> Estimate:
    """Return an estimate moved by a figure that is known exactly."""
    if not shift:
        return estimate
    low, high = (None if end is None else end + shift for end in (estimate.low, estimate.high))
    return estimate._replace(low=low, high=high)
