"""Limits: bands and stages, their figures, their sources, and which of several holds."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import partial
from typing import NamedTuple, TypeAlias

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis
from bedplate.sheet.check_parts import axes_by_name, check_figure
from bedplate.sheet.line_index import Path
from bedplate.sheet.model import Feature, Fit, Limits, Size, name_of
from bedplate.sheet.quantity import Quantity
from bedplate.sheet.scope import Entry, Scope, a, instead, told
from bedplate.text import listed, quoted
from bedplate.units import convert, dimension, read_limits

Ends: TypeAlias = tuple[Fraction | None, Fraction | None, str]
"""Low, high, unit."""

MOST_PAIRS = 20_000
"""Pairs of bands of one fit that are held against each other."""

MOST_NAMES = 8
"""Names of two bands together whose every subset is looked for."""

MOST_SETTINGS = 2_000
"""Positions and stations at which a nominal by name is looked for."""


class _Band(NamedTuple):
    """A band with the names it is for, by axis; both casefolded, sizes on axes of their own."""

    path: Path
    limits: Limits
    names: dict[str, str]


def check_bands(scope: Scope, entry: Entry, fit: Fit, quantity: Quantity | None) -> None:
    """Check all limits of a fit.

    Args:
        scope: the check.
        entry: the fit's row.
        fit: the same.
        quantity: what it is, None where that cannot be told.
    """
    unit = (quantity.unit if quantity else None) or scope.layout.sheet.unit or "mm"
    known = quantity is not None and quantity.unit is not None
    named = _Named.of(scope, fit, quantity, entry.label) if quantity else None
    bands: list[_Band] = []
    for path, limits in _bands_of(entry, fit):
        ends = _check_figures(scope, path, limits, unit, measures=entry.label if known else "")
        if ends is not None and fit.unit is None and not bands:
            unit = ends[2]
        _check_source(scope, path, limits, "band")
        names: dict[str, str] | None = {}
        if limits.for_ is not None:
            names = named.read((*path, "for"), limits.for_) if named else None
        if names is not None:
            bands.append(_Band(path, limits, names))
        if limits.from_ is not None and quantity is not None and names is not None:
            _check_nominals(scope, path, fit, quantity, names)
    _check_ties(scope, bands)


def _bands_of(entry: Entry, fit: Fit) -> Iterator[tuple[Path, Limits]]:
    if isinstance(fit.band, Limits):
        yield (*entry.path, "band"), fit.band
    elif fit.band is not None:
        for at, limits in enumerate(fit.band):
            yield (*entry.path, "band", at), limits


# ---- figures and source --------------------------------------------------------------------


def _check_figures(
    scope: Scope, path: Path, limits: Limits, unit: str, measures: str
) -> Ends | None:
    """Check limits, wear limits and aim; return the limits if they can be read."""
    ends = _read(scope, (*path, "limits"), limits.limits, unit, measures)
    if ends is None:
        return None
    if limits.wear is not None:
        wear = _read(scope, (*path, "wear"), limits.wear, ends[2], measures)
        if wear is not None:
            _check_wear(scope, (*path, "wear"), ends, wear)
    if limits.aim is not None:
        check_figure(scope, (*path, "aim"), limits.aim, ends[2])
    return ends


def _read(scope: Scope, path: Path, text: str, unit: str, measures: str) -> Ends | None:
    """Return a pair of limits; with ``measures``, what they are of, also its dimension counts."""
    ends = scope.attempt(path, partial(read_limits, text, unit))
    if ends is None or not measures or dimension(ends[2]) == dimension(unit):
        return ends
    scope.fault(
        path, f"{quoted(text)} is {a(dimension(ends[2]))}; {measures} is {a(dimension(unit))}."
    )
    return None


def _check_wear(scope: Scope, path: Path, band: Ends, wear: Ends) -> None:
    """Check that each wear limit has the band's limit on its side and does not lie inside it."""
    if dimension(band[2]) != dimension(wear[2]):
        return
    for side, place, sign in (("low", 0, 1), ("high", 1, -1)):
        limit, worn = band[place], wear[place]
        if not isinstance(worn, Fraction):
            continue
        if not isinstance(limit, Fraction):
            scope.fault(path, f"A {side} wear limit needs a {side} limit; here is none.")
        elif sign * (convert(worn, wear[2], band[2]) - limit) > 0:
            scope.fault(
                path, f"The {side} wear limit lies inside the limits; it is the wider one."
            )


def _check_source(scope: Scope, path: Path, limits: Limits, what: str) -> None:
    if not limits.source and (scope.sheet.source == "" or scope.lacks("source")):
        scope.fault(
            (*path, "limits"),
            f"A {what} needs its source: where does {limits.limits} come from?\n"
            'source = "p. 31"  beside it, or once for all at the top of the sheet.',
        )


def check_stage(scope: Scope, path: Path, limits: Limits) -> None:
    """Check one stage of tightening: a torque or an angle, limits or a setting to reach."""
    _check_source(scope, path, limits, "stage")
    for key in ("wear", "aim", "from_", "for_"):
        if getattr(limits, key) is not None:
            name = key.rstrip("_")
            scope.fault((*path, name), f"A stage has limits and a source; {name} is for bands.")
    try:
        found = {_stage_dimension(limits.limits, unit) for unit in ("N*m", "degree")}
    except NotUnderstoodError as error:
        scope.fault((*path, "limits"), told(error))
        return
    if len(found) > 1 or not found <= {"torque", "angle"}:
        scope.fault(
            (*path, "limits"),
            f"{quoted(limits.limits)} is no torque and no angle. A stage reads like\n"
            '"16..18 lbf*ft"   "60 N*m"   "60..65 degree"',
        )


def _stage_dimension(text: str, unit: str) -> str:
    """Return what a stage measures, a bare figure taken in ``unit``."""
    if ".." in text:
        return dimension(read_limits(text, unit)[2])
    return dimension(read_limits(f"{text}..", unit)[2])


# ---- for ------------------------------------------------------------------------------------


class _Named(NamedTuple):
    """What a fit's bands can be for."""

    scope: Scope
    quantity: Quantity
    owner: str
    by_mean: bool
    by_name: Mapping[str, Sequence[Axis]]

    @staticmethod
    def of(scope: Scope, fit: Fit, quantity: Quantity, owner: str) -> _Named:
        """Return what the bands of a fit can be for; under the mean no station counts."""
        by_mean = fit.stack is not None and scope.sheet.judge_of(fit) == "mean"
        stations = () if by_mean else quantity.stations
        by_name = axes_by_name((*quantity.positions, *stations))
        return _Named(scope, quantity, owner, by_mean, by_name)

    def read(self, path: Path, text: str) -> dict[str, str] | None:
        """Return the names a band is for, by axis; None where they are unclear, a fault noted."""
        found: dict[str, str] = {}
        for given in text.split("/"):
            name = given.strip()
            axes = self.axes_with(name)
            if not axes:
                if not self.scope.excused(name):
                    self.scope.fault(path, self.no_such(name))
                return None
            if len(axes) > 1:
                where = listed(axes)
                self.scope.fault(path, f"{quoted(name)} can be one of several here: {where}.")
                return None
            if axes[0] in found:
                self.scope.fault(path, f"{quoted(text)} has two names on one axis.")
                return None
            found[axes[0]] = name.casefold()
        return found

    def axes_with(self, name: str) -> list[str]:
        """Return the axes that have a name, sizes being on axes of their own."""
        axes = [f"axis {axis.name}" for axis in self.by_name.get(name.casefold(), ())]
        if not axes and name.casefold() in self.quantity.held:
            axes = [f"held {name.casefold()}"]
        entry = self.scope.by_name.get(name.casefold())
        if entry is not None and isinstance(entry.row, Size):
            axes.append(f"size {self.scope.size_group(entry.row)}")
        return axes

    def no_such(self, name: str) -> str:
        """Return what is said of a name that is none here."""
        quantity = self.quantity
        if self.by_mean and any(axis.spelled(name) for axis in quantity.stations):
            return (
                f"{self.owner} is judged by its mean, all stations together: its band is for "
                f"positions and sizes only, not for {quoted(name)}."
            )
        names = [own for axis in (*quantity.positions, *quantity.stations) for own in axis.names]
        sizes = [name_of(entry.row) for entry in self.scope.of("size")]
        labels = {own: own for own in (*names, *sizes)}
        help_ = instead(name, labels, "positions, stations and sizes")
        return f"{self.owner} has no position, station or size {quoted(name)}. {help_}"


def _check_ties(scope: Scope, bands: Sequence[_Band]) -> None:
    """Check that nowhere two bands hold that are equally particular."""
    alike: dict[frozenset[tuple[str, str]], _Band] = {}
    for band in bands:
        key = frozenset(band.names.items())
        if key in alike:
            where = f" for {quoted(band.limits.for_)}" if band.limits.for_ else ""
            other = scope.line_of(alike[key].path)
            scope.fault(band.path, f"Another band{other} holds{where} already; keep one of them.")
        alike.setdefault(key, band)
    pairs = itertools.islice(itertools.combinations(alike, 2), MOST_PAIRS)
    for one, two in pairs:
        if len(one) != len(two) or _apart(one, two):
            continue
        if any(frozenset(key) in alike for key in _between(one, two)):
            continue
        band, first = alike[two], alike[one]
        both = "/".join(name for _, name in sorted(one | two))
        scope.fault(
            (*band.path, "for"),
            f"At {both} this band and that for {quoted(first.limits.for_ or '')}"
            f"{scope.line_of(first.path)} hold alike.\n"
            f'Add one for both:  for = "{both}"',
        )
        return


def _between(
    one: frozenset[tuple[str, str]], other: frozenset[tuple[str, str]]
) -> Iterator[tuple[tuple[str, str], ...]]:
    """Yield what is more particular than either of two and holds wherever both do."""
    both = sorted(one | other)
    least = len(one) + 1 if len(both) <= MOST_NAMES else len(both)
    for length in range(least, len(both) + 1):
        yield from itertools.combinations(both, length)


def _apart(one: frozenset[tuple[str, str]], other: frozenset[tuple[str, str]]) -> bool:
    """Return whether two bands can never hold at once: they differ on an axis."""
    names = dict(one)
    return any(names.get(axis, name) != name for axis, name in other)


# ---- from nominal ---------------------------------------------------------------------------


def _check_nominals(
    scope: Scope, path: Path, fit: Fit, quantity: Quantity, names: dict[str, str]
) -> None:
    """Check that limits from nominal have nominals to be from."""
    if fit.stack is None:
        scope.fault((*path, "from"), "Only a stack has a nominal that limits can be from.")
        return
    sizes = {name for axis, name in names.items() if axis.startswith("size ")}
    chosen = {name for axis, name in names.items() if not axis.startswith("size ")}
    for tag in quantity.tags:
        if any(tag.casefold() in _tags_of(scope, size) for size in sizes):
            continue
        lacking = _without_nominal(scope, tag, chosen | quantity.held)
        if lacking is not None:
            at = f" for {lacking}" if lacking else ""
            scope.fault(
                (*path, "from"), f"Limits from nominal need a nominal; {tag} has none{at}."
            )


def _tags_of(scope: Scope, size: str) -> set[str]:
    row = scope.by_name[size].row
    return {tag.casefold() for tag in row.nominal} if isinstance(row, Size) else set()


def _without_nominal(scope: Scope, tag: str, chosen: set[str] | frozenset[str]) -> str | None:
    """Return where a feature has no nominal: "" everywhere, None nowhere.

    Args:
        scope: the check.
        tag: the feature.
        chosen: names (casefolded) at which alone it counts, each on its axis.
    """
    nominal = scope.layout.row(tag, Feature).nominal
    if nominal is None:
        return ""
    if isinstance(nominal, str):
        return None
    named = scope.layout.named(tag, "feature")
    keys = [{n.strip().casefold() for n in key.split("/")} for key in nominal]
    used = set().union(*keys)
    runs = []
    for axis in (*named.positions, *named.stations):
        folds = [name.casefold() for name in axis.names]
        if used.isdisjoint(folds):
            continue
        runs.append([name for name in folds if name in chosen] or folds)
    for setting in itertools.islice(itertools.product(*runs), MOST_SETTINGS):
        if not any(key <= set(setting) for key in keys):
            return "/".join(setting)
    return None
