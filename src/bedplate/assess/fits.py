"""From the standing readings of a job to its fits with verdicts."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from bedplate.assess.estimates import Readings
from bedplate.assess.forming import Formed, Standing, formed, stands
from bedplate.assess.geometry import FitRow, kind_of, tags_of
from bedplate.assess.limits import BandHere, Bands, Sizes, base_unit, fit_unit
from bedplate.assess.notes import notes_on
from bedplate.assess.result import Band, FitResult
from bedplate.assess.row_index import RowIndex
from bedplate.assess.settlement import Known
from bedplate.metrology import crosscheck, figures
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Estimate, combine
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


class _Facts(NamedTuple):
    """What is the same at every position of a fit: its unit, kind and rules."""

    unit: str
    kind: str
    how: Judge
    rule: Rule

    @property
    def scale(self) -> Fraction:
        """The base unit in the unit of the fit."""
        return factor(base_unit(self.unit), self.unit)


LEAVES_FITS = frozenset({"fasteners", "proof", "step", "finding", "settled", "deferred"})
"""Kinds of entry by which no fit becomes another one."""


class Assessment:
    """Every fit of a job, worked out once, when asked for.

    Args:
        job: the job as it stands; a changed job needs a new assessment.
    """

    def __init__(self, job: Job) -> None:
        self.job = job
        self.readings = Readings(job)
        self._facts: dict[str, _Facts] = {}
        self._left: dict[RowKey, FitResult] = {}
        self._standing: dict[RowKey, Standing] = {}
        self._shifts: Mapping[RowKey, Fraction] = {}
        self._sizes: Sizes | None = None
        self._aims: dict[RowKey, Fraction | None] = {}
        self._lives: dict[Spot | RowKey, bool] = {}
        """Of a forecast: whether what is changed would be in its first life then."""

    def forecast(
        self,
        instead: Mapping[Spot, Known],
        shifts: Mapping[RowKey, Fraction] | None = None,
        first: Container[Spot | RowKey] = (),
        sizes: Sizes | None = None,
    ) -> Assessment:
        """Return the fits as they would be with other figures at some addresses.

        Args:
            instead: what would be known at them.
            shifts: by how much rows would move that feel a part without naming it, in the unit
                of their fit.
            first: which of all these would be in their first life then, so that wear limits hold;
                what is changed has left it.
            sizes: to which size is made what would be at some addresses.
        """
        other = Assessment(self.job)
        other._sizes = sizes
        other.readings = self.readings.overlaid(instead)
        other._facts = self._facts
        other._shifts = shifts or {}
        changed: list[Spot | RowKey] = [*instead, *other._shifts]
        other._lives = {key: key in first for key in changed}
        return other

    def since(self, n: int) -> Assessment:
        """Return the fits as the readings after entry ``n`` alone make them."""
        other = Assessment(self.job)
        other.readings = self.readings.since(n)
        other._facts = self._facts
        return other

    def rows(self, fit: Fit) -> list[FitRow]:
        """Return where a fit is formed."""
        return RowIndex.of(self.job.layout).rows(fit)

    def facts(self, fit: Fit) -> _Facts:
        """Return what is the same at every position of a fit."""
        if fit.tag not in self._facts:
            layout, sheet = self.job.layout, self.job.sheet
            unit = fit_unit(self.job, fit, tags_of(layout, fit))
            kind = kind_of(layout, fit)
            how, rule = sheet.judge_of(fit), sheet.rule_of(fit)
            self._facts[fit.tag] = _Facts(unit, kind, how, rule)
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
        found = []
        for fit, row, own in RowIndex.of(self.job.layout).touched(spots):
            found += [result for result in self.row(fit, row) if own or result.is_compared]
        return found

    def measured_by(self, spots: Iterable[Spot]) -> list[FitResult]:
        """Return those of `touched_by` that are measured; the others are not worked out for it."""
        found = []
        for fit, row, own in RowIndex.of(self.job.layout).touched(spots):
            key = (fit.tag, row.position)
            if key not in self._standing:
                self._standing[key] = stands(self.readings, row)
            if self._standing[key].measured:
                found += [result for result in self.row(fit, row) if own or result.is_compared]
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
        formed = self._formed(fit, row, as_found=as_found)
        shown = formed.values.figures(kind) if formed.values else figures.Figures(None, None, None)
        result = FitResult(
            fit=fit,
            position=row.position,
            axes=row.axes,
            kind=kind,
            stage=AS_FOUND if first or as_found else AS_LEFT,
            verdict="unmeasured",
            unit=unit,
            mean=shown.mean.middle if shown.mean is not None else None,
            tightest=shown.tightest,
            loosest=shown.loosest,
            step=formed.step,
            readings=formed.readings,
            missing=tuple(map(str, formed.missing)),
            left_out=tuple(map(str, formed.left_out)),
            same_as=self.job.layout.named(fit.same_as, "fit").name if fit.same_as else None,
        )
        wears = first or fit.wear_for == "any"
        if formed.missing or formed.values is None:
            band = self._first_band(fit, row, facts, first=as_found)
            wear = _wear(_limits_of(band, worn=wears))
            result = replace(result, band=_band(band), wear=wear, aim=band.aim if band else None)
            return replace(result, notes=notes_on(self.readings, result, formed.readings))
        bands = self._bands(fit, formed, facts, first=as_found)
        limits = _limits(bands, worn=wears)
        verdict = judge(formed.values.cases(limits, kind, facts.how), shown.mean)
        deciding = self._deciding(
            bands, limits, verdict.deciding.limits if verdict.deciding else None
        )
        result = replace(
            result,
            verdict=verdict.verdict,
            side=verdict.side,
            word=word(kind, verdict.side),
            passes=passes(verdict.verdict, facts.rule),
            judged=verdict.judged,
            variance=verdict.variance,
            band=_band(deciding),
            wear=_wear(verdict.deciding.limits if verdict.deciding else Limits()),
            margin=verdict.margin,
            aim=deciding.aim if deciding else None,
            probability=verdict.probability,
            capability=verdict.capability,
        )
        return replace(result, notes=notes_on(self.readings, result, formed.readings, verdict))

    def judged_values(self, fit: Fit, row: FitRow) -> list[Case]:
        """Return the values of a row that can decide as left, none until every reading is in.

        They are held to the band alone, as what has been changed is.
        """
        facts = self.facts(fit)
        formed = self._formed(fit, row, as_found=False)
        if formed.missing or formed.values is None:
            return []
        bands = self._bands(fit, formed, facts, first=False)
        return formed.values.cases(_limits(bands, worn=False), facts.kind, facts.how)

    def off_aim(self, fit: Fit, row: FitRow, instead: Mapping[Spot, Known]) -> Fraction | None:
        """Return how far the middle of a row would lie from its aim, without judging it.

        Args:
            fit: whose row it is.
            row: where it is formed.
            instead: what would be known at some of its addresses.

        Returns:
            None where only a judgement tells: a figure is not read, or is a bracket, or they are
            not added up, or not one aim holds for all.
        """
        aim = self._only_aim(fit, row)
        if aim is None or not all(group.summed for group in row.groups):
            return None
        figures: dict[Spot, Fraction] = {}
        for spot in row.spots:
            known = instead.get(spot) or self.readings.known(spot)
            estimate = known.estimate if known is not None else None
            if estimate is None or estimate.is_bracket or estimate.low is None:
                return None
            figures[spot] = estimate.low
        sums = [
            sum((count * figures[spot] for count, spot in group.parts), Fraction(0))
            for group in row.groups
        ]
        return (min(sums) + max(sums)) / 2 * self.facts(fit).scale - aim

    def _only_aim(self, fit: Fit, row: FitRow) -> Fraction | None:
        """Return what is wished for at a row, None where no one aim holds for all of it."""
        key = fit.tag, row.position
        if key not in self._aims:
            bands = Bands(self.job, fit, self.facts(fit).unit, first=False)
            first, *others = [bands.of(group.parts) for group in row.groups] or [None]
            one = self.facts(fit).how != "mean" and all(other == first for other in others)
            self._aims[key] = first.wish if one and first is not None else None
        return self._aims[key]

    # ---- readings

    def _formed(self, fit: Fit, row: FitRow, *, as_found: bool) -> Formed:
        key = (fit.tag, row.position)
        return formed(
            self.readings,
            row,
            self.facts(fit).unit,
            self._shifts.get(key, Fraction(0)),
            as_found=as_found,
            standing=None if as_found else self._standing.get(key),
        )

    # ---- limits

    def _bands(
        self, fit: Fit, formed: Formed, facts: _Facts, *, first: bool
    ) -> list[BandHere | None]:
        """Return the band of every complete group; under ``mean`` the one of the row."""
        bands = Bands(self.job, fit, facts.unit, first=first, sizes=self._sizes)
        if facts.how == "mean" and formed.groups:
            return [bands.of_mean(group.parts for group in formed.groups)]
        return [bands.of(group.parts) for group in formed.groups]

    def _first_band(self, fit: Fit, row: FitRow, facts: _Facts, *, first: bool) -> BandHere | None:
        """Return the band that an unmeasured row is waiting for."""
        if not row.groups:
            return None
        bands = Bands(self.job, fit, facts.unit, first=first, sizes=self._sizes)
        if facts.how == "mean":
            return bands.of_mean(group.parts for group in row.groups)
        return bands.of(row.groups[0].parts)

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
        other = RowIndex.of(self.job.layout).other_way(fit, row) if result.measured else None
        if other is None:
            return result
        mine, theirs = self._mean_of(fit, row), self._mean_of(self._same(fit), other)
        if mine is None or theirs is None:
            return result
        compared = crosscheck.compare(mine, theirs)
        if compared is None:
            return result
        return replace(result, e_n=_e_n(compared), disagrees=compared.disagree)

    def _same(self, fit: Fit) -> Fit:
        return self.job.layout.row(fit.same_as or fit.tag, Fit)

    def _mean_of(self, fit: Fit, row: FitRow) -> Estimate | None:
        """Return the mean of a row in the base unit, None until every reading is in."""
        formed = self._formed(fit, row, as_found=False)
        if formed.missing or formed.values is None:
            return None
        return combine([(1 / self.facts(fit).scale, formed.values.mean)])


def _e_n(compared: crosscheck.Agreement) -> Fraction | None:
    """Return E_n to more digits than are ever shown; None where it is infinite."""
    if compared.variance:
        return Fraction(root(compared.difference**2 / (4 * compared.variance), E_N_DIGITS))
    return None if compared.difference else Fraction(0)


def _limits(bands: Sequence[BandHere | None], *, worn: bool) -> list[Limits]:
    """Return what each value is held to: one object for all that have one band."""
    known: dict[int, Limits] = {}
    for band in bands:
        if id(band) not in known:
            known[id(band)] = _limits_of(band, worn=worn)
    return [known[id(band)] for band in bands]


def _limits_of(band: BandHere | None, *, worn: bool) -> Limits:
    if band is None:
        return Limits()
    if not worn:
        return Limits(band.low, band.high)
    return Limits(band.low, band.high, band.wear_low, band.wear_high)


def _wear(limits: Limits) -> Band | None:
    if limits.wear_low is None and limits.wear_high is None:
        return None
    return Band(limits.wear_low, limits.wear_high, None)


def _band(band: BandHere | None) -> Band | None:
    return None if band is None else Band(band.low, band.high, band.source, band.text)
