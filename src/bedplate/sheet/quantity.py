"""What a fit is, as far as a sheet says it: its features, its axes, what it measures."""

from __future__ import annotations

from typing import NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape
from bedplate.metrology.stack import Stack, paired_axes, parse_stack
from bedplate.sheet.layout import Layout
from bedplate.sheet.model import Feature, Fit
from bedplate.sheet.scope import a
from bedplate.text import listed, near_or_list, quoted
from bedplate.units import dimension, unit_named

LEAST_STATIONS = 2
"""Stations that a spread needs, and distinct coordinates that a plane needs each way."""


class Quantity(NamedTuple):
    """A fit's make-up.

    Attributes:
        tags: the features it rests on, as the sheet spells them.
        positions: the axes along which it is judged apart.
        stations: the axes along which it is swept, a band being able to name what is on them.
        held: names (casefolded) of stations and positions that its stack fixes.
        unit: canonical unit of bare figures in its limits; None where that cannot be told.
    """

    tags: tuple[str, ...]
    positions: tuple[Axis, ...]
    stations: tuple[Axis, ...]
    held: frozenset[str]
    unit: str | None


def quantity_of(layout: Layout, fit: Fit) -> Quantity:
    """Return what a fit is.

    Raises:
        NotUnderstoodError: it cannot be formed, for a reason that the message gives.
    """
    if fit.stack is not None:
        return _of_stack(layout, fit, parse_stack(fit.stack, layout.shapes))
    if fit.spread is not None:
        return _of_spread(layout, fit, shape_of(layout, fit.spread))
    return _of_plane(layout, fit, shape_of(layout, fit.flatness or ""))


def shape_of(layout: Layout, tag: str) -> Shape:
    """Return a feature's shape by its tag.

    Raises:
        NotUnderstoodError: there is no such feature.
    """
    for shape in layout.shapes.values():
        if shape.tag.casefold() == tag.strip().casefold():
            return shape
    raise NotUnderstoodError(
        f"No feature {quoted(tag)}.", near_or_list(tag, list(layout.shapes), "Features")
    )


def _of_stack(layout: Layout, fit: Fit, stack: Stack) -> Quantity:
    positions, stations = paired_axes(stack, layout.shapes)
    tags = tuple(dict.fromkeys(term.tag for term in stack.terms))
    names = frozenset(name.casefold() for term in stack.terms for _, name in term.fixed)
    return Quantity(tags, positions, stations, names, _unit(layout, fit, tags))


def swept_axis(shape: Shape, fit: Fit) -> Axis:
    """Return the axis that a spread is taken along.

    Raises:
        NotUnderstoodError: none is named, the feature has none of that name, or fewer than two
            names on it are not left out.
    """
    if fit.along is None:
        axes = listed([axis.name for axis in shape.axes]) or "none"
        raise NotUnderstoodError(
            f"A spread needs the axis it is taken along; {shape.tag} has: {axes}.",
            f'For example:  along = "{shape.axes[-1].name if shape.axes else "round"}"',
        )
    along = next((a for a in shape.axes if a.name.casefold() == fit.along.casefold()), None)
    if along is None:
        names = [axis.name for axis in shape.axes]
        raise NotUnderstoodError(
            f"{shape.tag} has no axis {quoted(fit.along)}.", near_or_list(fit.along, names, "Axes")
        )
    left_out = {name.casefold() for name in fit.leave or ()}
    kept = [name for name in along.names if name.casefold() not in left_out]
    if len(kept) < LEAST_STATIONS:
        raise NotUnderstoodError(
            f"A spread needs two stations at least; "
            f"along {along.name} {shape.tag} has {len(kept)}."
        )
    return along


def _of_spread(layout: Layout, fit: Fit, shape: Shape) -> Quantity:
    along = swept_axis(shape, fit)
    positions = tuple(axis for axis in shape.positions if axis is not along)
    stations = tuple(axis for axis in shape.stations if axis is not along)
    return Quantity(
        (shape.tag,), positions, stations, frozenset(), _unit(layout, fit, (shape.tag,))
    )


def _of_plane(layout: Layout, fit: Fit, shape: Shape) -> Quantity:
    if len(shape.stations) != 2 or any(axis.coordinates is None for axis in shape.stations):
        raise NotUnderstoodError(
            f"A flatness needs two station axes with coordinates; {shape.tag} has not.",
            'Under [axes]:  across = { "1" = "0", "2" = "80" }',
        )
    for axis in shape.stations:
        if len(set(axis.coordinates or ())) < LEAST_STATIONS:
            raise NotUnderstoodError(
                f"All points of {shape.tag} lie in one line: {axis.name} has one coordinate.",
                "A plane needs two places at least each way.",
            )
    unit = _unit(layout, fit, (shape.tag,))
    return Quantity((shape.tag,), shape.positions, (), frozenset(), unit)


def _unit(layout: Layout, fit: Fit, tags: tuple[str, ...]) -> str | None:
    """Return the unit of bare limits: the fit's, its features' if they agree, the sheet's.

    Raises:
        NotUnderstoodError: features, or fit and features, measure different things.
    """
    units: dict[str, str] = {}
    for tag in tags:
        unit = layout.unit_of(layout.row(tag, Feature))
        if unit is None:
            return None
        units[tag] = unit_named(unit)
    first = tags[0]
    for tag, unit in units.items():
        if dimension(unit) != dimension(units[first]):
            raise NotUnderstoodError(
                f"{first} is {a(dimension(units[first]))} ({units[first]}) and {tag} "
                f"{a(dimension(unit))} ({unit}); they do not add up."
            )
    if fit.unit is not None:
        own = unit_named(fit.unit)
        if dimension(own) != dimension(units[first]):
            raise NotUnderstoodError(
                f"{own} measures {a(dimension(own))}, and {first} is {a(dimension(units[first]))}."
            )
        return own
    agreed = set(units.values())
    if len(agreed) == 1:
        return agreed.pop()
    sheet = layout.sheet.unit
    return unit_named(sheet) if sheet and dimension_agrees(sheet, units[first]) else units[first]


def dimension_agrees(one: str, other: str) -> bool:
    """Return whether two units measure the same."""
    return dimension(unit_named(one)) == dimension(unit_named(other))
