"""Names: axes and what stands on them, one namespace for all rows, positions and stations."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from functools import partial

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis
from bedplate.sheet.line_index import Path
from bedplate.sheet.model import Along, Coordinates, Feature, Fit, Names, Size, name_of
from bedplate.sheet.scope import SINGULAR, Entry, Scope, instead, told
from bedplate.text import quoted

MOST_SPOTS = 100_000
"""Positions times stations that one row may have."""


def check_names(scope: Scope) -> None:
    """Check all names and take every row whose axes are sound into the scope's layout."""
    _check_moments(scope)
    for name, names in (scope.sheet.axes or {}).items():
        _check_axis(scope, name, names)
    _check_namespace(scope)
    for entry in scope.entries:
        _admit(scope, entry)


def _check_moments(scope: Scope) -> None:
    if scope.sheet.moments is not None and not scope.sheet.moments:
        scope.fault(("moments",), 'Name a moment at least:  moments = ["handover"]')
    _check_doubles(scope, ("moments",), scope.sheet.moments or ())


def _check_axis(scope: Scope, name: str, names: tuple[str, ...] | dict[str, str]) -> None:
    """Check one axis of the sheet and take it in."""
    path: Path = ("axes", name)
    if name.casefold() in scope.layout.axes:
        other = scope.layout.axes[name.casefold()].name
        scope.fault(path, f"{name} and {other} differ only by capitals; they would be one axis.")
        return
    sound = _check_names_on(scope, path, name, names)
    try:
        scope.layout.admit_axis(name, names)
    except NotUnderstoodError as error:
        scope.fault(path, told(error))
        scope.layout.admit_axis(name, list(names))
        sound = False
    if not sound:
        scope.vague.add(_vague_axis(name))


def _vague_axis(name: str) -> str:
    """Return the mark of an axis from which nothing is concluded; rows have their own names."""
    return f"axis {name.casefold()}"


def _check_names_on(scope: Scope, path: Path, axis: str, names: Iterable[str]) -> bool:
    """Check the names that stand on an axis; return whether they are sound."""
    listed = list(names)
    before = len(scope.faults)
    if not listed:
        scope.fault(path, f'{quoted(axis)} has no names:  {axis} = ["a", "b"]')
    if any(name.casefold() == "all" for name in listed):
        scope.fault(path, '"all" stands for every name of an axis and cannot be one of them.')
    _check_doubles(scope, path, listed)
    return len(scope.faults) == before


def _check_doubles(scope: Scope, path: Path, names: Iterable[str]) -> None:
    seen: dict[str, str] = {}
    for name in names:
        first = seen.get(name.casefold())
        seen.setdefault(name.casefold(), name)
        if first is None:
            continue
        if first == name:
            scope.fault(path, f"{quoted(name)} stands twice here.")
        else:
            scope.fault(path, f"{quoted(first)} and {quoted(name)} differ only by capitals.")


def _check_namespace(scope: Scope) -> None:
    """Check that no two rows are called alike."""
    for entry in scope.entries:
        name = name_of(entry.row)
        first = scope.by_name[name.casefold()]
        if first is entry:
            continue
        key = "tag" if hasattr(entry.row, "tag") else "id"
        what = f"{SINGULAR[first.noun]} {name_of(first.row)}{scope.line_of(first.path)}"
        if name_of(first.row) == name:
            text = f"{quoted(name)} is taken by the {what}; choose another {key}."
        else:
            text = f"{quoted(name)} differs only by capitals from the {what}."
        scope.fault((*entry.path, key), text)
        scope.vague.add(name.casefold())


def _admit(scope: Scope, entry: Entry) -> None:
    """Take one row into the layout, or say why that cannot be."""
    row = entry.row
    if scope.by_name[name_of(row).casefold()] is not entry:
        return
    before = len(scope.faults)
    if not isinstance(row, Size | Fit):
        _check_along(scope, (*entry.path, "positions"), row.positions)
    if isinstance(row, Feature):
        _check_along(scope, (*entry.path, "stations"), row.stations)
        _check_components(scope, entry, row)
    if len(scope.faults) == before and not _resolves(scope, entry):
        scope.vague.add(name_of(row).casefold())
    if len(scope.faults) > before:
        scope.vague.add(name_of(row).casefold())


def _resolves(scope: Scope, entry: Entry) -> bool:
    """Take a row in; return whether its axes are sound and can be relied on."""
    row = entry.row
    sure = True
    if isinstance(row, Feature) and row.positions is None:
        sure = not any(scope.is_vague(component) for component in row.components)
        sure = sure and _check_union(scope, entry, row)
    try:
        scope.layout.admit(entry.noun, row)
    except NotUnderstoodError:  # an axis or component that a faulty line hides
        return False
    named = scope.layout.named(name_of(row))
    _check_extent(scope, entry, named.positions, named.stations)
    return sure and not any(
        scope.is_vague(_vague_axis(axis.name)) for axis in (*named.positions, *named.stations)
    )


def _check_along(scope: Scope, path: Path, along: Along | None) -> None:
    """Check what a ``positions`` or ``stations`` key says."""
    if along is None or along == "":
        return
    if isinstance(along, Mapping):
        _check_in_place(scope, path, along)
        return
    names = [name.strip() for name in along.split("/")]
    for name in names:
        if name.casefold() not in scope.layout.axes and not scope.excused(name):
            known = {axis.name: axis.name for axis in scope.layout.axes.values()}
            scope.fault(path, f"No axis {quoted(name)}. {instead(name, known, 'axes')}")
    _check_doubles(scope, path, names)


def _check_in_place(scope: Scope, path: Path, along: Mapping[str, Names | Coordinates]) -> None:
    if len(along) != 1:
        scope.fault(
            path,
            f"One axis may be written in place, and here are {len(along)}. Name them under "
            '[axes] and join them:  "cyl/port"',
        )
    for name, names in along.items():
        if name.casefold() in scope.layout.axes:
            where = scope.line_of(("axes", name))
            scope.fault(
                path,
                f"{quoted(name)} is an axis under [axes]{where}. Write  {quoted(name)}  alone to "
                "use it, or give this one another name.",
            )
        _check_names_on(scope, path, name, names)
        scope.attempt(path, partial(scope.layout.axes_of, {name: names}))


def _check_components(scope: Scope, entry: Entry, feature: Feature) -> None:
    if not feature.of:
        scope.fault((*entry.path, "of"), 'A feature is measured on a component:  of = "body"')
    path: Path = (*entry.path, "of")
    if isinstance(feature.of, str):
        scope.refer(path, feature.of, "component")
    else:
        scope.refer_all(path, feature.of, "component")


def _check_union(scope: Scope, entry: Entry, feature: Feature) -> bool:
    """Check that the components of a feature agree on the axes they share."""
    met: dict[str, tuple[str, Axis]] = {}
    for component in feature.components:
        named = scope.layout.find(component, "component")
        for axis in named.positions if named else ():
            name, other = met.setdefault(axis.name.casefold(), (component, axis))
            if not _same_names(other, axis):
                scope.fault(
                    (*entry.path, "of"),
                    f"positions of {name} ({', '.join(other.names)}) and {component} "
                    f"({', '.join(axis.names)}) do not match.",
                )
                return False
    return True


def _same_names(one: Axis, other: Axis) -> bool:
    return {name.casefold() for name in one.names} == {name.casefold() for name in other.names}


def _check_extent(
    scope: Scope, entry: Entry, positions: tuple[Axis, ...], stations: tuple[Axis, ...]
) -> None:
    """Check that a row has no axis twice, and not too many places."""
    shared = {a.name.casefold() for a in positions} & {a.name.casefold() for a in stations}
    for name in sorted(shared):
        scope.fault(
            (*entry.path, "stations"),
            f"{quoted(name)} is an axis of its positions already; stations need another.",
        )
    spots = math.prod(len(axis.names) for axis in (*positions, *stations))
    if spots > MOST_SPOTS:
        scope.fault(
            (*entry.path, "positions"),
            f"This comes to {spots:,} places; {MOST_SPOTS:,} are the most.",
        )
