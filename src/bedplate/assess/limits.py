"""What a fit is held against: its unit, its nominals, and the band that holds where.

Limits are the user's own entry and are only read here, never supplied.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from bedplate.assess.geometry import tags_of
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.job import Job
from bedplate.sheet.model import Feature, Fit, Limits, Size
from bedplate.units import convert, dimension, factor, read_limits, read_value, unit_named
from bedplate.units.registry import units_of


class BandHere(NamedTuple):
    """The limits that hold for one combination, in the unit of the fit, nominal added."""

    entry: Limits
    low: Fraction | None
    high: Fraction | None
    wear_low: Fraction | None
    wear_high: Fraction | None
    aim: Fraction | None
    source: str | None
    text: str

    @property
    def wish(self) -> Fraction | None:
        """The aim, else the middle of the band; None of a band with one side."""
        if self.aim is not None or self.low is None or self.high is None:
            return self.aim
        return (self.low + self.high) / 2


def base_unit(unit: str) -> str:
    """Return the unit that all readings of one dimension are reckoned in.

    >>> base_unit("thou"), base_unit("psi")
    ('m', 'Pa')
    """
    return units_of(dimension(unit))[0]


def feature_unit(job: Job, tag: str) -> str:
    """Return the canonical unit of a feature's bare figures.

    Raises:
        NotUnderstoodError: neither the feature nor the sheet has one.
    """
    feature = job.layout.row(tag, Feature)
    unit = job.layout.unit_of(feature)
    if unit is None:  # pragma: no cover - a sheet without is not let through
        raise NotUnderstoodError(f"{feature.title} has no unit, and the sheet has none.")
    return unit_named(unit)


def fit_unit(job: Job, fit: Fit, tags: Iterable[str]) -> str:
    """Return the unit a fit is shown in.

    It is the fit's own, else that of its first limits as typed (those it shares included), else
    its features' where they agree, else the sheet's.
    """
    if fit.unit is not None:
        return unit_named(fit.unit)
    units = {feature_unit(job, tag) for tag in tags}
    common = units.pop() if len(units) == 1 else unit_named(job.sheet.unit or "mm")
    for limits in shared_bands(job, fit):
        return _read_limits(limits.limits, common)[2]
    return common


def shared_bands(job: Job, fit: Fit) -> tuple[Limits, ...]:
    """Return the bands of a fit; of the fit it is another way to, where it has none itself."""
    return _owner(job, fit).bands


def _owner(job: Job, fit: Fit) -> Fit:
    """Return the fit whose bands hold for one: itself, or the one it is another way to."""
    seen = {fit.tag}
    while not fit.bands and fit.same_as is not None:
        other = job.layout.row(fit.same_as, Fit)
        if other.tag in seen:
            break
        seen.add(other.tag)
        fit = other
    return fit


_read_limits = lru_cache(maxsize=4096)(read_limits)
_read_value = lru_cache(maxsize=4096)(read_value)


Sizes = Mapping[Spot, str | None]
"""The size made to at some addresses where it is not that of the part there now."""


def nominal_of(
    job: Job, spot: Spot, *, first: bool = False, sizes: Sizes | None = None
) -> tuple[Fraction, str] | None:
    """Return the nominal of a feature at an address, with its unit; None where it has none.

    Args:
        job: the job; the size a part is made to shifts the nominal.
        spot: the address in full.
        first: with the sizes that the parts had as found.
        sizes: of a forecast: to which size is made what would be there.
    """
    if sizes and spot in sizes:
        return _nominal_of(job, spot, nominal_text(job, spot, sizes=sizes))
    kept, key = job.while_parts_stay, ("nominal", spot, first)
    if key not in kept:
        kept[key] = _nominal_of(job, spot, nominal_text(job, spot, first=first))
    found: tuple[Fraction, str] | None = kept[key]
    return found


def _nominal_of(job: Job, spot: Spot, text: str | None) -> tuple[Fraction, str] | None:
    if text is None:
        return None
    typed = _read_value(text, feature_unit(job, spot.tag))
    if typed.low is None:  # pragma: no cover - a sheet with such a one is not let through
        raise NotUnderstoodError(f"The nominal of {spot.tag} has an open end: {text}.")
    return typed.low, typed.unit


def nominal_text(
    job: Job, spot: Spot, *, first: bool = False, sizes: Sizes | None = None
) -> str | None:
    """Return the nominal at an address as the sheet has it, the present size's first."""
    feature = job.layout.row(spot.tag, Feature)
    size_id = sizes[spot] if sizes and spot in sizes else size_at(job, spot, first=first)
    if size_id is not None:
        for tag, figure in job.layout.row(size_id, Size).nominal.items():
            if tag.casefold() == spot.tag.casefold():
                return figure
    if feature.nominal is None or isinstance(feature.nominal, str):
        return feature.nominal
    names = {name.casefold() for name in (*spot.position, *spot.station)}
    held = [key for key in feature.nominal if _names(key) <= names]
    return feature.nominal[max(held, key=lambda key: len(_names(key)))] if held else None


def size_at(job: Job, spot: Spot, *, first: bool = False) -> str | None:
    """Return the id of the size a feature is made to at an address, None for nominal.

    A mark may stand for the position of a part that has no place yet.
    """
    if not _is_spare(job, spot):
        return job.size_of(spot, first=first)
    named = [job.layout.named(name).name for name in job.layout.row(spot.tag, Feature).components]
    for part in job.parts.spares(named[0]):
        if part.mark == spot.position[0]:
            size = part.size(spot.tag, spot.position[1:], first=first)
            return size[1] if size is not None else None
    return None


def _is_spare(job: Job, spot: Spot) -> bool:
    """Tell whether a mark stands for the position: the part has no place yet."""
    named = job.layout.named(spot.tag, "feature")
    return len(spot.position) != len(named.positions) or any(
        name not in axis.names for axis, name in zip(named.positions, spot.position, strict=True)
    )


def _names(joined: str) -> set[str]:
    return {name.strip().casefold() for name in joined.split("/")}


class Where(NamedTuple):
    """What tells which band holds: the addresses of a combination and the sizes in force."""

    names: frozenset[str]
    nominal: Fraction | None

    @staticmethod
    def of(
        job: Job, parts: Iterable[tuple[Fraction, Spot]], unit: str, *, first: bool = False,
        positions_only: bool = False, sizes: Sizes | None = None,
    ) -> Where:  # fmt: skip
        """Return the names at a combination and its nominal, in ``unit``.

        Args:
            job: the job.
            parts: (coefficient, address) pairs.
            unit: canonical unit of the fit.
            first: as the parts were found.
            positions_only: leave the stations' names out (a mean has none).
            sizes: of a forecast: to which size is made what would be there.
        """
        names: set[str] = set()
        nominal: Fraction | None = Fraction(0)
        for coefficient, spot in parts:
            names.update(name.casefold() for name in spot.position)
            if not positions_only:
                names.update(name.casefold() for name in spot.station)
            size = sizes[spot] if sizes and spot in sizes else job.size_of(spot, first=first)
            if size is not None:
                names.add(size.casefold())
            found = nominal_of(job, spot, first=first, sizes=sizes)
            if found is None or nominal is None:
                nominal = None
            else:
                nominal += coefficient * found[0] * factor(found[1], unit)
        return Where(frozenset(names), nominal)


class Bands:
    """The bands of a fit, each worked out once for all combinations that it holds for.

    Args:
        job: the job.
        fit: the fit.
        unit: canonical unit of the fit.
        first: as the parts were found.
        sizes: of a forecast: to which size is made what would be there.
    """

    def __init__(
        self, job: Job, fit: Fit, unit: str, *, first: bool = False, sizes: Sizes | None = None
    ) -> None:
        self.job, self.fit, self.unit, self.first, self.sizes = job, fit, unit, first, sizes
        bands = shared_bands(job, fit)
        self._told = frozenset(name for band in bands if band.for_ for name in _names(band.for_))
        self._from_nominal = any(band.from_ for band in bands)
        self._spots: dict[tuple[Spot, bool], Where] = {}
        self._found: dict[Where, BandHere | None] = {}

    def of(self, parts: Iterable[tuple[Fraction, Spot]]) -> BandHere | None:
        """Return the band that holds at a combination."""
        if not self._told and not self._from_nominal:
            return self._at(Where(frozenset(), None))
        return self._at(self._where(parts, positions_only=False))

    def of_mean(self, combinations: Iterable[Iterable[tuple[Fraction, Spot]]]) -> BandHere | None:
        """Return the band that the mean of combinations is held to: stations' names do not count.

        Its nominal is the mean of those there are.
        """
        wheres = [self._where(parts, positions_only=True) for parts in combinations]
        nominals = [where.nominal for where in wheres if where.nominal is not None]
        nominal = sum(nominals, Fraction(0)) / len(nominals) if nominals else None
        return self._at(Where(wheres[0].names, nominal))

    def _at(self, where: Where) -> BandHere | None:
        if where not in self._found:
            self._found[where] = band_here(self.job, self.fit, where, self.unit)
        return self._found[where]

    def _where(self, parts: Iterable[tuple[Fraction, Spot]], *, positions_only: bool) -> Where:
        """Return what tells which band holds: no names but those that a band is told by."""
        names: frozenset[str] = frozenset()
        nominal: Fraction | None = Fraction(0) if self._from_nominal else None
        for count, spot in parts:
            here = self._here(spot, positions_only=positions_only)
            names |= here.names
            if nominal is not None:
                nominal = None if here.nominal is None else nominal + count * here.nominal
        return Where(names, nominal)

    def _here(self, spot: Spot, *, positions_only: bool) -> Where:
        key = spot, positions_only
        if key not in self._spots:
            where = Where.of(
                self.job, [(Fraction(1), spot)], self.unit, first=self.first,
                positions_only=positions_only, sizes=self.sizes,
            )  # fmt: skip
            self._spots[key] = Where(where.names & self._told, where.nominal)
        return self._spots[key]


def band_here(job: Job, fit: Fit, where: Where, unit: str) -> BandHere | None:
    """Return the band that holds at a combination, None where there is none.

    Of several the most particular holds: the one that names most of the positions, stations and
    sizes there.
    """
    owner = _owner(job, fit)
    held = [
        limits
        for limits in owner.bands
        if limits.for_ is None or _names(limits.for_) <= where.names
    ]
    if not held:
        return None
    best = max(held, key=lambda limits: len(_names(limits.for_)) if limits.for_ else 0)
    shift = where.nominal if best.from_ == "nominal" else Fraction(0)
    if shift is None:
        return None
    # A bare figure is in the unit of the fit that it was entered for; beside limits, in theirs.
    bare = unit if owner is fit else fit_unit(job, owner, tags_of(job.layout, owner))
    low, high, typed_unit = _read_limits(best.limits, bare)
    wear_low, wear_high, wear_unit = (
        _read_limits(best.wear, typed_unit) if best.wear else (None, None, typed_unit)
    )
    aim = _read_value(best.aim, typed_unit) if best.aim else None
    return BandHere(
        entry=best,
        low=_shifted(low, typed_unit, unit, shift),
        high=_shifted(high, typed_unit, unit, shift),
        wear_low=_shifted(wear_low, wear_unit, unit, shift),
        wear_high=_shifted(wear_high, wear_unit, unit, shift),
        aim=_shifted(aim.low, aim.unit, unit, shift) if aim else None,
        source=best.source or job.sheet.source,
        text=best.limits,
    )


def _shifted(value: Fraction | None, unit: str, to: str, shift: Fraction) -> Fraction | None:
    return None if value is None else convert(value, unit, to) + shift
