"""From the standing readings of a job to its fits with verdicts."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from bedplate.assess.estimates import Known, Readings
from bedplate.assess.geometry import FitRow, Group, kind_of, rows_of, tags_of
from bedplate.assess.limits import BandHere, Where, band_here, base_unit, fit_unit
from bedplate.assess.notes import notes_on
from bedplate.assess.result import Band, FitResult
from bedplate.metrology import crosscheck, figures
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Estimate, average, combine
from bedplate.metrology.judge import Case, Limits, judge, passes, word
from bedplate.metrology.roots import root
from bedplate.record.job import Job
from bedplate.sheet.model import Fit, Judge, Rule
from bedplate.units import factor

AS_LEFT, AS_FOUND = "as left", "as found"

RowKey = tuple[str, tuple[str, ...]]
"""A row of a fit: its tag and the position."""

E_N_DIGITS = 30
"""Significant digits kept of E_n, which is shown to 12 decimals and decides nothing."""


@dataclass(frozen=True, slots=True)
class _Formed:
    """The groups of a row that are complete, and what the others still need."""

    groups: tuple[Group, ...]
    estimates: tuple[Estimate, ...]
    missing: tuple[Spot, ...]
    left_out: tuple[Spot, ...]
    readings: tuple[int, ...]
    step: Fraction


@dataclass(frozen=True, slots=True)
class _Facts:
    """What is the same at every position of a fit: its unit, base units in it, kind and rules."""

    unit: str
    scale: Fraction
    kind: str
    how: Judge
    rule: Rule


class Assessment:
    """Every fit of a job, worked out once, when asked for.

    Args:
        job: the job as it stands; a changed job needs a new assessment.
    """

    def __init__(self, job: Job) -> None:
        self.job = job
        self.readings = Readings(job)
        self._rows: dict[str, list[FitRow]] = {}
        self._facts: dict[str, _Facts] = {}
        self._left: dict[RowKey, FitResult] = {}
        self._shifts: Mapping[RowKey, Fraction] = {}
        self._lives: dict[Spot | RowKey, bool] = {}
        """Of a forecast: whether what is changed would be in its first life then."""

    def forecast(
        self,
        instead: Mapping[Spot, Known],
        shifts: Mapping[RowKey, Fraction] | None = None,
        first: Container[Spot | RowKey] = (),
    ) -> Assessment:
        """Return the fits as they would be with other figures at some addresses.

        Args:
            instead: what would be known at them.
            shifts: by how much rows would move that feel a part without naming it, in the unit
                of their fit.
            first: which of all these would be in their first life then, so that wear limits hold;
                what is changed has left it.
        """
        other = Assessment(self.job)
        other.readings = self.readings.overlaid(instead)
        other._rows, other._facts = self._rows, self._facts
        other._shifts = shifts or {}
        changed: list[Spot | RowKey] = [*instead, *other._shifts]
        other._lives = {key: key in first for key in changed}
        return other

    def rows(self, fit: Fit) -> list[FitRow]:
        """Return where a fit is formed."""
        if fit.tag not in self._rows:
            self._rows[fit.tag] = rows_of(self.job.layout, fit)
        return self._rows[fit.tag]

    def facts(self, fit: Fit) -> _Facts:
        """Return what is the same at every position of a fit."""
        if fit.tag not in self._facts:
            layout, sheet = self.job.layout, self.job.sheet
            unit = fit_unit(self.job, fit, tags_of(layout, fit))
            scale = factor(base_unit(unit), unit)
            kind = kind_of(layout, fit)
            how, rule = sheet.judge_of(fit), sheet.rule_of(fit)
            self._facts[fit.tag] = _Facts(unit, scale, kind, how, rule)
        return self._facts[fit.tag]

    def fits(self, tags: Iterable[str] | None = None, *, both: bool = False) -> list[FitResult]:
        """Return the fits asked for, one result a position, in the sheet's order.

        Args:
            tags: tags of fits as the sheet spells them; all fits, without.
            both: add the as-found result where a fit has left its first life.
        """
        wanted = None if tags is None else set(tags)
        found: list[FitResult] = []
        for fit in self.job.sheet.fit:
            if wanted is None or fit.tag in wanted:
                for row in self.rows(fit):
                    found += self.row(fit, row, both=both)
        return found

    @cached_property
    def all(self) -> list[FitResult]:
        """Every fit at every position, as left."""
        return self.fits()

    def touched_by(self, spots: Iterable[Spot]) -> list[FitResult]:
        """Return the fits, as left, that any of these addresses enters.

        Another way to the same quantity that both were measured for is touched too: it is
        compared with them.
        """
        wanted = set(spots)
        found = []
        for fit in self.job.sheet.fit:
            for row in self.rows(fit):
                if not wanted.isdisjoint(row.spots):
                    found += self.row(fit, row)
                elif (other := self._other_way(fit, row)) and not wanted.isdisjoint(other.spots):
                    found += [result for result in self.row(fit, row) if result.is_compared]
        return found

    def row(self, fit: Fit, row: FitRow, *, both: bool = False) -> list[FitResult]:
        """Return the result of one row as left, the as-found one before it if wanted."""
        key = (fit.tag, row.position)
        first = self._lives.get(key, True) and self._first_life(row)
        if key not in self._left:
            worked_out = self._worked_out(fit, row, as_found=False, first=first)
            self._left[key] = self._compared(fit, row, worked_out)
        if both and not first:
            return [self._worked_out(fit, row, as_found=True, first=True), self._left[key]]
        return [self._left[key]]

    def _first_life(self, row: FitRow) -> bool:
        return all(
            self._lives[spot] if spot in self._lives else self.job.is_as_found(spot)
            for spot in row.spots
        )

    def _worked_out(self, fit: Fit, row: FitRow, *, as_found: bool, first: bool) -> FitResult:
        facts = self.facts(fit)
        unit, kind = facts.unit, facts.kind
        formed = self._formed(row, as_found=as_found)
        estimates = self._in_unit(fit, row, formed.estimates)
        shown = figures.figures(estimates, kind)
        result = FitResult(
            fit=fit,
            position=row.position,
            kind=kind,
            stage=AS_FOUND if first or as_found else AS_LEFT,
            verdict="unmeasured",
            unit=unit,
            mean=shown.mean.middle if shown.mean is not None else None,
            tightest=shown.tightest,
            loosest=shown.loosest,
            step=formed.step * facts.scale,
            readings=formed.readings,
            missing=tuple(map(str, formed.missing)),
            left_out=tuple(map(str, formed.left_out)),
            same_as=self.job.layout.named(fit.same_as, "fit").name if fit.same_as else None,
        )
        bands = self._bands(fit, formed, facts, first=as_found)
        if formed.missing or not estimates:
            band = self._first_band(fit, row, facts, first=as_found)
            result = replace(result, band=_band(band), aim=band.aim if band else None)
            return replace(result, notes=notes_on(self.readings, result, formed.readings))
        limits = [_limits(band, worn=first or fit.wear_for == "any") for band in bands]
        cases = figures.cases(estimates, limits, kind, facts.how)
        verdict = judge(cases, shown.mean)
        deciding = self._deciding(
            bands, limits, verdict.deciding.limits if verdict.deciding else None
        )
        worn = verdict.deciding.limits if verdict.deciding else Limits()
        has_wear = worn.wear_low is not None or worn.wear_high is not None
        result = replace(
            result,
            verdict=verdict.verdict,
            side=verdict.side,
            word=word(kind, verdict.side),
            passes=passes(verdict.verdict, facts.rule),
            judged=verdict.judged,
            variance=verdict.variance,
            band=_band(deciding),
            wear=Band(worn.wear_low, worn.wear_high, None) if has_wear else None,
            margin=verdict.margin,
            aim=deciding.aim if deciding else None,
            probability=verdict.probability,
            capability=verdict.capability,
        )
        return replace(result, notes=notes_on(self.readings, result, formed.readings, verdict))

    def judged_values(self, fit: Fit, row: FitRow) -> list[Case]:
        """Return the values of a row that are judged as left, none until every reading is in.

        They are held to the band alone, as what has been changed is.
        """
        facts = self.facts(fit)
        formed = self._formed(row, as_found=False)
        if formed.missing or not formed.estimates:
            return []
        bands = self._bands(fit, formed, facts, first=False)
        limits = [_limits(band, worn=False) for band in bands]
        estimates = self._in_unit(fit, row, formed.estimates)
        return figures.cases(estimates, limits, facts.kind, facts.how)

    # ---- readings

    def _formed(self, row: FitRow, *, as_found: bool) -> _Formed:
        """Return what the standing readings make of a row's groups."""
        groups: list[Group] = []
        estimates: list[Estimate] = []
        missing: dict[Spot, None] = {}
        left_out: dict[Spot, None] = {}
        for group in row.groups:
            knowns = {s: self.readings.known(s, as_found=as_found) for s in group.spots}
            out = [spot for spot, known in knowns.items() if known and known.left_out]
            left_out.update(dict.fromkeys(out))
            if out and (group.least is None or len(group.spots) - len(out) < group.least):
                continue
            wanted = {spot: known for spot, known in knowns.items() if spot not in out}
            values = [known.estimate for known in wanted.values() if known and known.estimate]
            if not group.brackets and any(value.is_bracket for value in values):
                continue
            if len(values) < len(wanted):
                missing.update(
                    dict.fromkeys(
                        s for s, known in wanted.items() if not known or not known.estimate
                    )
                )
                continue
            groups.append(group)
            estimates.append(group.form(values))
        return _Formed(
            tuple(groups), tuple(estimates), tuple(missing), tuple(left_out),
            *self._rests_on(row, as_found=as_found),
        )  # fmt: skip

    def _rests_on(self, row: FitRow, *, as_found: bool) -> tuple[tuple[int, ...], Fraction]:
        """Return every standing reading of a row, and the finest step among them."""
        numbers: set[int] = set()
        steps: list[Fraction] = []
        for spot in row.spots:
            for taken in self.job.standing(spot, as_found=as_found):
                if taken.entry.value is not None:
                    numbers.add(taken.entry.n)
                    steps.append(self.readings.step(taken.entry.n))
        return tuple(sorted(numbers)), min((step for step in steps if step), default=Fraction(0))

    def _in_unit(self, fit: Fit, row: FitRow, estimates: Iterable[Estimate]) -> list[Estimate]:
        """Return estimates in the unit of their fit, moved as a forecast has it."""
        scale = self.facts(fit).scale
        shift = self._shifts.get((fit.tag, row.position), Fraction(0))
        return [moved(_scaled(estimate, scale), shift) for estimate in estimates]

    # ---- limits

    def _bands(
        self, fit: Fit, formed: _Formed, facts: _Facts, *, first: bool
    ) -> list[BandHere | None]:
        """Return the band of every complete group; under ``mean`` the one of the row."""
        if facts.how == "mean" and formed.groups:
            return [self._mean_band(fit, formed.groups, facts.unit, first=first)]
        return [self._group_band(fit, group, facts.unit, first=first) for group in formed.groups]

    def _group_band(self, fit: Fit, group: Group, unit: str, *, first: bool) -> BandHere | None:
        where = Where.of(self.job, group.parts, unit, first=first)
        return band_here(self.job, fit, where, unit)

    def _mean_band(
        self, fit: Fit, groups: Sequence[Group], unit: str, *, first: bool
    ) -> BandHere | None:
        wheres = [
            Where.of(self.job, group.parts, unit, first=first, positions_only=True)
            for group in groups
        ]
        nominals = [where.nominal for where in wheres if where.nominal is not None]
        nominal = sum(nominals, Fraction(0)) / len(nominals) if nominals else None
        return band_here(self.job, fit, Where(wheres[0].names, nominal), unit)

    def _first_band(self, fit: Fit, row: FitRow, facts: _Facts, *, first: bool) -> BandHere | None:
        """Return the band that an unmeasured row is waiting for."""
        if not row.groups:
            return None
        if facts.how == "mean":
            return self._mean_band(fit, row.groups, facts.unit, first=first)
        return self._group_band(fit, row.groups[0], facts.unit, first=first)

    @staticmethod
    def _deciding(
        bands: Sequence[BandHere | None], limits: Sequence[Limits], decided: Limits | None
    ) -> BandHere | None:
        for band, here in zip(bands, limits, strict=True):
            if here is decided:
                return band
        return None

    # ---- two ways to one quantity

    def _compared(self, fit: Fit, row: FitRow, result: FitResult) -> FitResult:
        """Return the result with its E_n against the other way to the same quantity."""
        other = self._other_way(fit, row) if result.measured else None
        if other is None:
            return result
        ways = [self._mean_of(row), self._mean_of(other)]
        if any(mean is None for mean in ways):
            return result
        mine, theirs = (mean for mean in ways if mean is not None)
        compared = crosscheck.compare(mine, theirs)
        if compared is None:
            return result
        return replace(result, e_n=_e_n(compared), disagrees=compared.disagree)

    def _other_way(self, fit: Fit, row: FitRow) -> FitRow | None:
        """Return the row of the other way to the same quantity that a fit names, if it does."""
        if fit.same_as is None:
            return None
        other = self.job.layout.row(fit.same_as, Fit)
        return next((r for r in self.rows(other) if r.position == row.position), None)

    def _mean_of(self, row: FitRow) -> Estimate | None:
        formed = self._formed(row, as_found=False)
        if formed.missing or not formed.estimates:
            return None
        return average(formed.estimates)


def _e_n(compared: crosscheck.Agreement) -> Fraction | None:
    """Return E_n to more digits than are ever shown; None where it is infinite."""
    if compared.variance:
        return Fraction(root(compared.difference**2 / (4 * compared.variance), E_N_DIGITS))
    return None if compared.difference else Fraction(0)


def _scaled(estimate: Estimate, scale: Fraction) -> Estimate:
    return combine([(scale, estimate)]) if scale != 1 else estimate


def moved(estimate: Estimate, shift: Fraction) -> Estimate:
    """Return an estimate moved by a figure that is known exactly."""
    if not shift:
        return estimate
    low, high = (None if end is None else end + shift for end in (estimate.low, estimate.high))
    return replace(estimate, low=low, high=high)


def _limits(band: BandHere | None, *, worn: bool) -> Limits:
    if band is None:
        return Limits()
    if not worn:
        return Limits(band.low, band.high)
    return Limits(band.low, band.high, band.wear_low, band.wear_high)


def _band(band: BandHere | None) -> Band | None:
    return None if band is None else Band(band.low, band.high, band.source, band.text)
