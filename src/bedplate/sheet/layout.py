"""What the names of a sheet refer to: axes, places, addresses.

A `Layout` is built once from a checked sheet; it finds a row by its name (without case), knows the
axes each row runs along, the places a feature rests on, and reads an address as people type it.
"""

from __future__ import annotations

import itertools
from collections.abc import Hashable, Iterable, Iterator, Mapping
from fractions import Fraction
from functools import cached_property
from typing import Any, NamedTuple, TypeVar

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape, Spot
from bedplate.metrology.stack import Stack, parse_stack
from bedplate.sheet.model import (
    NOUNS,
    Along,
    Component,
    Fasteners,
    Feature,
    Fit,
    Proof,
    Row,
    Sheet,
    Size,
    Step,
    name_of,
)
from bedplate.text import counted, listed, near_or_list, quoted, titled
from bedplate.units import Typed, convert, read_value, unit_named

R = TypeVar("R", Component, Feature, Size, Fit, Fasteners, Proof, Step)

Setting = tuple[str, ...]
"""One name on each axis of something, in its own order of axes."""


def joined(tag: str, position: Iterable[str] = (), station: Iterable[str] = ()) -> str:
    """Return an address as it is typed and kept.

    >>> joined("S", ("2", "ex"), ("mid", "rock"))
    'S.2/ex@mid/rock'
    """
    place, spot = "/".join(position), "/".join(station)
    return tag + (f".{place}" if place else "") + (f"@{spot}" if spot else "")


class Place(NamedTuple):
    """Where a part sits: a component at one of its positions."""

    component: str
    position: Setting = ()

    def __str__(self) -> str:
        return joined(self.component, self.position)


class Named(NamedTuple):
    """A row of the sheet with the axes it runs along."""

    noun: str
    name: str
    row: Row
    positions: tuple[Axis, ...]
    stations: tuple[Axis, ...] = ()


class Selection(NamedTuple):
    """What an address names: a row, at one or several positions, at one or several stations.

    Attributes:
        named: the row.
        position: the name given on each position axis, None where all are meant.
        station: the name given on each station axis, None where all are meant.
        mark: the mark of a part without a place, given instead of the names of one.
        apart: the position axes that are left then: those within the part.
    """

    named: Named
    position: tuple[str | None, ...]
    station: tuple[str | None, ...]
    mark: str | None = None
    apart: tuple[Axis, ...] = ()

    @property
    def positions(self) -> list[Setting]:
        """Every position meant; the mark first for a part without a place."""
        if self.mark is not None:
            return [(self.mark, *names) for names in _settings(self.apart, self.position)]
        return list(_settings(self.named.positions, self.position))

    @property
    def stations(self) -> list[Setting]:
        """Every station meant, in the order of the sheet, the last axis fastest."""
        return list(_settings(self.named.stations, self.station))

    @property
    def spots(self) -> list[Spot]:
        """Every full address meant."""
        tag = self.named.name
        return [Spot(tag, p, s) for p in self.positions for s in self.stations]


def _settings(axes: tuple[Axis, ...], given: tuple[str | None, ...]) -> Iterator[Setting]:
    choices = [
        axis.names if name is None else (name,) for axis, name in zip(axes, given, strict=True)
    ]
    return itertools.product(*choices)


class Layout:
    """The names of one sheet, resolved.

    Args:
        sheet: a sheet without faults (`bedplate.sheet.checker` finds them); a name that does not
            resolve here raises NotUnderstoodError all the same.
    """

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.axes: dict[str, Axis] = {}
        self._named: dict[str, Named] = {}
        self._places: dict[tuple[str, Setting], tuple[Place, ...]] = {}
        self._stacks: dict[str, Stack] = {}
        self._agreeing: dict[tuple[str, tuple[tuple[str, str], ...]], tuple[Place, ...]] = {}
        self._apart: dict[tuple[str, str, Setting], Setting] = {}
        self.kept: dict[Hashable, Any] = {}
        """What the layers above have worked out of it once."""
        for name, names in (sheet.axes or {}).items():
            self.admit_axis(name, names)
        for noun in NOUNS:
            for row in sheet.rows(noun):
                self.admit(noun, row)

    def admit_axis(self, name: str, names: Iterable[str] | Mapping[str, str]) -> None:
        """Take in one more axis.

        Raises:
            NotUnderstoodError: a coordinate cannot be read.
        """
        self.axes[name.casefold()] = self._axis(name, names)

    def admit(self, noun: str, row: Row) -> None:
        """Take in one more row, of a component before what rests on it.

        Raises:
            NotUnderstoodError: an axis or component that it names is not there.
        """
        self._named[name_of(row).casefold()] = self._resolve(noun, row)
        self._agreeing.clear()
        self._apart.clear()
        self._stacks.clear()
        self.kept.clear()

    def _resolve(self, noun: str, row: Row) -> Named:
        if isinstance(row, Size | Fit):
            return Named(noun, name_of(row), row, ())
        stations: tuple[Axis, ...] = ()
        if isinstance(row, Feature):
            stations = self.axes_of(row.stations)
        if row.positions is None and isinstance(row, Feature):
            return Named(noun, row.tag, row, self._united(row.components), stations)
        return Named(noun, name_of(row), row, self.axes_of(row.positions), stations)

    def _united(self, components: Iterable[str]) -> tuple[Axis, ...]:
        """Return the union of the components' position axes, in the order first met."""
        axes: dict[str, Axis] = {}
        for component in components:
            for axis in self.named(component, "component").positions:
                axes.setdefault(axis.name, axis)
        return tuple(axes.values())

    def axes_of(self, along: Along | None) -> tuple[Axis, ...]:
        """Return the axes that a ``positions`` or ``stations`` key names, in its order."""
        if along is None or along == "":
            return ()
        if isinstance(along, Mapping):
            return tuple(self._axis(name, names) for name, names in along.items())
        return tuple(self.axis(name) for name in along.split("/"))

    def _axis(self, name: str, names: Iterable[str] | Mapping[str, str]) -> Axis:
        """Return an axis; its coordinates, if any, in the sheet's unit."""
        if not isinstance(names, Mapping):
            return Axis(name, tuple(names))
        unit = unit_named(self.sheet.unit or "mm")
        points = [read_value(figure, unit) for figure in names.values()]
        return Axis(name, tuple(names), tuple(_exact(point, unit) for point in points))

    def axis(self, name: str) -> Axis:
        """Return an axis of the sheet by its name.

        Raises:
            NotUnderstoodError: no axis bears that name.
        """
        found = self.axes.get(name.strip().casefold())
        if found is None:
            known = [axis.name for axis in self.axes.values()]
            raise NotUnderstoodError(
                f"There is no axis {quoted(name)}.", near_or_list(name, known, "Axes")
            )
        return found

    def names(self, *nouns: str) -> list[str]:
        """Return the names of all rows of these nouns (of all, without any), sheet's order."""
        return [n.name for n in self._named.values() if not nouns or n.noun in nouns]

    def find(self, name: str, *nouns: str) -> Named | None:
        """Return the row called ``name`` (case aside), None where there is none of ``nouns``."""
        found = self._named.get(name.casefold())
        return found if found is not None and (not nouns or found.noun in nouns) else None

    def named(self, name: str, *nouns: str) -> Named:
        """Return the row called ``name``, of one of ``nouns`` if any are given.

        Raises:
            NotUnderstoodError: there is none; the message names the nearest.
        """
        found = self._named.get(name.casefold())
        if found is None or (nouns and found.noun not in nouns):
            what = " or ".join(nouns) or "name"
            known = self.names(*nouns)
            raise NotUnderstoodError(
                f"There is no {what} {quoted(name)}.", near_or_list(name, known, "There are")
            )
        return found

    def row(self, name: str, kind: type[R]) -> R:
        """Return the row called ``name``, which must be of the model ``kind``."""
        row = self.named(name, kind.__name__.lower()).row
        if not isinstance(row, kind):  # pragma: no cover - nouns and models go together
            raise TypeError(f"{name} is no {kind.__name__}")
        return row

    @cached_property
    def shapes(self) -> dict[str, Shape]:
        """Every feature as a stack sees it, by its tag."""
        return {
            named.name: Shape(named.name, named.positions, named.stations)
            for named in self._named.values()
            if named.noun == "feature"
        }

    def stack(self, text: str) -> Stack:
        """Return the stack that an expression of the sheet stands for.

        Raises:
            NotUnderstoodError: it is no stack of features of this sheet.
        """
        if text not in self._stacks:
            self._stacks[text] = parse_stack(text, self.shapes)
        return self._stacks[text]

    def unit_of(self, feature: Feature) -> str | None:
        """Return the unit of a feature's bare figures, as written: its own, else the sheet's."""
        return feature.unit or self.sheet.unit

    def places_of(self, component: str) -> list[Place]:
        """Return every place of a component, in the order of its axes."""
        return list(self.agreeing(self.named(component, "component").name, {}))

    def all_places(self) -> list[Place]:
        """Return every place of the unit, in the order of the sheet."""
        return [place for name in self.names("component") for place in self.places_of(name)]

    def rests_on(self, tag: str, position: Setting) -> tuple[Place, ...]:
        """Return the places a feature rests on at one of its positions.

        These are all places of its components that agree with the position on the axes they
        have (main bore 3: the block, cap 3, shell 3).
        """
        key = (tag, position)
        if key not in self._places:
            named = self.named(tag, "feature")
            wanted = {a.name.casefold(): n for a, n in zip(named.positions, position, strict=True)}
            feature = self.row(tag, Feature)
            self._places[key] = tuple(
                place
                for component in feature.components
                for place in self.agreeing(component, wanted)
            )
        return self._places[key]

    def apart(self, tag: str, component: str, position: Setting) -> Setting:
        """Return the names of a feature's position on axes its component has not.

        They tell alike features of one part from each other (journal 3 of a crank: ``("3",)``);
        what is left out tells parts from each other and goes with the part.
        """
        key = (tag, component, position)
        if key not in self._apart:
            named = self.named(tag, "feature")
            own = {axis.name.casefold() for axis in self.named(component, "component").positions}
            pairs = zip(named.positions, position, strict=True)
            self._apart[key] = tuple(n for axis, n in pairs if axis.name.casefold() not in own)
        return self._apart[key]

    def _axes_apart(self, named: Named) -> tuple[Axis, ...]:
        """Return the position axes of a feature that the one component it is of has not."""
        if not isinstance(named.row, Feature):
            return ()
        own = self.named(named.row.components[0], "component").positions
        return tuple(axis for axis in named.positions if axis not in own)

    def agreeing(self, name: str, wanted: Mapping[str, str]) -> tuple[Place, ...]:
        """Return the places (positions, for a set or a proof) that agree on the shared axes.

        Args:
            name: a component, set, proof or step.
            wanted: names by axis name (casefolded).
        """
        key = (name, tuple(wanted.items()))
        if key not in self._agreeing:
            self._agreeing[key] = tuple(self._places_agreeing(self.named(name), wanted))
        return self._agreeing[key]

    @staticmethod
    def _places_agreeing(named: Named, wanted: Mapping[str, str]) -> Iterator[Place]:
        choices = []
        for axis in named.positions:
            name = wanted.get(axis.name.casefold())
            choices.append(axis.names if name is None else (name,) if name in axis.names else ())
        for position in itertools.product(*choices):
            yield Place(named.name, position)

    def select(self, text: str, *nouns: str, marks: Iterable[str] = ()) -> Selection:
        """Read an address: ``TAG[.POSITION][@STATION]``, ``all`` standing for one whole axis.

        Args:
            text: as typed.
            nouns: what it may be an address of; all, if none are given.
            marks: marks of parts without a place, which may stand for a position.

        Raises:
            NotUnderstoodError: naming what there is, or the nearest.
        """
        head, at, station = text.strip().partition("@")
        tag, dot, position = head.partition(".")
        if (at and not station) or (dot and not position) or not tag:
            raise NotUnderstoodError(
                f"{quoted(text)} is no whole address.", "An address reads like  H.idler@b"
            )
        named = self.named(tag, *nouns)
        for mark in sorted(marks, key=len, reverse=True) if position else ():
            name, rest = position[: len(mark)], position[len(mark) :]
            if name.casefold() == mark.casefold() and rest[:1] in ("", "/"):
                spot = _given(named, "station", named.stations, station, dot + position)
                axes = self._axes_apart(named)
                within = _given(named, "position within a part", axes, rest[1:])
                return Selection(named, within, spot, mark, axes)
        return Selection(
            named,
            _given(named, "position", named.positions, position),
            _given(named, "station", named.stations, station, dot + position),
        )


def _given(
    named: Named, what: str, axes: tuple[Axis, ...], text: str, before: str = ""
) -> tuple[str | None, ...]:
    """Return the name given on each axis, None where all of that axis are meant."""
    if not text:
        return tuple(axis.names[0] if len(axis.names) == 1 else None for axis in axes)
    parts = text.split("/")
    title = titled(named.name, named.row.title)
    if not axes:
        raise NotUnderstoodError(
            f"{title} has no {what}s, so {quoted(text)} names none.",
            f"Its address is  {named.name}{before}",
        )
    if len(parts) != len(axes):
        pattern = "/".join(axis.name for axis in axes)
        raise NotUnderstoodError(
            f"{title} has {counted(len(axes), what + ' axis', what + ' axes')} "
            f"({pattern}), and {quoted(text)} names {len(parts)}.",
            "They read  " + "  ".join(f"{a.name}: {listed(a.names)}" for a in axes),
        )
    return tuple(_on_axis(title, what, a, p) for a, p in zip(axes, parts, strict=True))


def _on_axis(title: str, what: str, axis: Axis, text: str) -> str | None:
    if text in axis.names:  # as it is written by bedplate: of a thousand names none is folded
        return text
    for name in axis.names:
        if name.casefold() == text.casefold():
            return name
    if text.casefold() == "all":
        return None
    raise NotUnderstoodError(
        f"{title} has no {what} {quoted(text)}.", near_or_list(text, axis.names, "There are")
    )


def _exact(point: Typed, unit: str) -> Fraction:
    """Return one coordinate in ``unit``; a two-ended value has no place on an axis."""
    if point.low is None or point.two_ended:
        raise NotUnderstoodError(f"A coordinate is one figure, not {quoted(point.text)}.")
    return convert(point.low, point.unit, unit)
