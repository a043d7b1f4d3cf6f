"""What the unit consists of and what is measured on it: components, features, sizes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from bedplate.metrology.axes import Axis
from bedplate.sheet.line_index import Path
from bedplate.sheet.model import Component, Feature, Size
from bedplate.sheet.scope import Entry, Scope, dimension_of, instead
from bedplate.text import listed, quoted
from bedplate.units import read_expansion, read_value, unit_named


def check_parts(scope: Scope) -> None:
    """Check units, materials, nominals, and what components and features refer to."""
    if scope.sheet.unit is not None:
        _check_unit(scope, ("unit",), scope.sheet.unit)
    _check_some_unit(scope)
    for entry in scope.entries:
        if isinstance(entry.row, Component):
            _check_component(scope, entry, entry.row)
        elif isinstance(entry.row, Feature):
            _check_feature(scope, entry, entry.row)
        elif isinstance(entry.row, Size):
            _check_size(scope, entry, entry.row)


def _check_some_unit(scope: Scope) -> None:
    """Check that figures typed without a unit have one; said once for the whole sheet."""
    if not scope.lacks("unit"):
        return
    for entry in scope.of("feature"):
        if isinstance(entry.row, Feature) and entry.row.unit is None:
            scope.fault(
                entry.path,
                f"{entry.label} has no unit, and the sheet has none.\n"
                'At the top of the sheet:  unit = "mm"   or   unit = "in"',
            )
            return


def _check_unit(scope: Scope, path: Path, unit: str) -> bool:
    return scope.attempt(path, partial(unit_named, unit)) is not None


def _check_component(scope: Scope, entry: Entry, component: Component) -> None:
    if component.keep is not None:
        scope.refer((*entry.path, "keep"), component.keep, "component")
    if component.expansion is not None:
        scope.attempt((*entry.path, "expansion"), partial(read_expansion, component.expansion))


def _check_feature(scope: Scope, entry: Entry, feature: Feature) -> None:
    scope.refer_all((*entry.path, "when"), feature.when, "fasteners")
    if feature.unit is not None and not _check_unit(scope, (*entry.path, "unit"), feature.unit):
        scope.vague.add(feature.tag.casefold())
    unit = feature.unit or scope.sheet.unit
    if dimension_of(unit) is None or unit is None:
        return
    if isinstance(feature.nominal, str):
        check_figure(scope, (*entry.path, "nominal"), feature.nominal, unit)
    elif feature.nominal is not None:
        for names, figure in feature.nominal.items():
            check_figure(scope, (*entry.path, "nominal", names), figure, unit)
        _check_nominal_names(scope, entry, feature.nominal)


def check_figure(scope: Scope, path: Path, text: str, unit: str) -> None:
    """Check that a text is one figure of the dimension of ``unit``."""
    typed = scope.attempt(path, partial(read_value, text, unit))
    if typed is not None and typed.two_ended:
        scope.fault(path, f"{quoted(text)} has two ends; here stands one figure.")


def _check_nominal_names(scope: Scope, entry: Entry, nominal: Mapping[str, str]) -> None:
    """Check that nominals by name name positions or stations of their feature."""
    feature = entry.row
    if not isinstance(feature, Feature) or scope.is_vague(feature.tag):
        return
    named = scope.layout.find(feature.tag, "feature")
    if named is None:
        return
    by_name = axes_by_name((*named.positions, *named.stations))
    path: Path = (*entry.path, "nominal")
    taken: dict[frozenset[str], str] = {}
    for names in nominal:
        found = names_on(scope, (*path, names), names, by_name, entry.label)
        if found is None:
            continue
        key = frozenset(found.values())
        if key in taken:
            scope.fault((*path, names), f"{quoted(names)} says the same as {quoted(taken[key])}.")
        taken[key] = names
    if not nominal:
        scope.fault(path, 'Here stands no nominal:  nominal = { in = "7.980", ex = "7.965" }')


def axes_by_name(axes: Iterable[Axis]) -> dict[str, list[Axis]]:
    """Return for each name (casefolded) the axes it stands on."""
    found: dict[str, list[Axis]] = {}
    for axis in axes:
        for name in axis.names:
            found.setdefault(name.casefold(), []).append(axis)
    return found


def names_on(
    scope: Scope, path: Path, joined: str, by_name: Mapping[str, Sequence[Axis]], owner: str
) -> dict[str, str] | None:
    """Return the name given on each axis (both casefolded); None, a fault noted, if unclear.

    Args:
        scope: the check.
        path: where the names stand.
        joined: names joined by ``/``.
        by_name: for each name (casefolded) the axes it stands on.
        owner: whose axes these are, for the message.
    """
    found: dict[str, str] = {}
    for name in (part.strip() for part in joined.split("/")):
        on = by_name.get(name.casefold(), [])
        if not on:
            labels = {own: own for axes in by_name.values() for axis in axes for own in axis.names}
            help_ = instead(name, labels, "positions and stations")
            if not labels:
                help_ = f"{owner} has neither."
            scope.fault(path, f"{owner} has no position or station {quoted(name)}. {help_}")
            return None
        if len(on) > 1:
            names = listed([axis.name for axis in on])
            scope.fault(path, f"{quoted(name)} stands on several axes of {owner}: {names}.")
            return None
        axis = on[0].name.casefold()
        if axis in found:
            scope.fault(path, f"{quoted(joined)} has two names on the one axis {on[0].name}.")
            return None
        found[axis] = name.casefold()
    return found


def _check_size(scope: Scope, entry: Entry, size: Size) -> None:
    path: Path = (*entry.path, "nominal")
    if not size.nominal:
        scope.fault(path, 'A size says the nominals it changes:  nominal = { PJ = "47.490" }')
    seen: dict[str, str] = {}
    for tag, figure in size.nominal.items():
        other = scope.refer((*path, tag), tag, "feature")
        if seen.setdefault(tag.casefold(), tag) != tag:
            scope.fault((*path, tag), f"{quoted(tag)} stands twice here.")
        if other is None or not isinstance(other.row, Feature):
            continue
        unit = other.row.unit or scope.sheet.unit
        if unit is not None and dimension_of(unit) is not None:
            check_figure(scope, (*path, tag), figure, unit)
