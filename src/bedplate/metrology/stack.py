"""Stacks: a fit written as a signed sum of tags, and its axes paired into combinations.

``MB@crown - MJ`` names features. `parse_stack` turns the text into terms, each a tag times an
exact figure; `rows` pairs the axes of the features it names: one row for each setting of the
position axes, and in it one combination for each setting of the station axes.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape, Spot
from bedplate.metrology.expression import Fixed, read_expression
from bedplate.text import listed, quoted

__all__ = [
    "MOST_COMBINATIONS",
    "Axis",
    "Combination",
    "Row",
    "Shape",
    "Spot",
    "Stack",
    "Term",
    "paired_axes",
    "parse_stack",
    "rows",
]

MOST_COMBINATIONS = 100_000
"""The most combinations one fit may have, over all its rows."""

Setting = dict[str, str]
"""The name chosen on each axis; axis and name both folded to one case."""


class Term(NamedTuple):
    """One tag in a stack: how often it counts, and the names it is held at.

    Attributes:
        coefficient: what the feature's figure is multiplied by; never 0.
        tag: the feature, spelled as its shape spells it.
        fixed: (axis name, name) pairs, in the order of the feature's axes.
    """

    coefficient: Fraction
    tag: str
    fixed: Fixed = ()


class Stack(NamedTuple):
    """A stack as typed, and the terms it comes to, in the order first met."""

    text: str
    terms: tuple[Term, ...]


class Combination(NamedTuple):
    """One way of forming the fit: what is added up, and the stations it is swept at.

    Attributes:
        parts: (coefficient, address) pairs, each address once.
        station: the name on each swept station axis, for display.
    """

    parts: tuple[tuple[Fraction, Spot], ...]
    station: tuple[str, ...] = ()


class Row(NamedTuple):
    """What is judged by itself: one setting of the free position axes.

    Attributes:
        position: the name on each free position axis, in the order first met in the stack.
        axes: the names of those axes.
        combinations: every way of forming the fit there.
    """

    position: tuple[str, ...]
    axes: tuple[str, ...]
    combinations: tuple[Combination, ...]


def parse_stack(text: str, shapes: Mapping[str, Shape]) -> Stack:
    """Return the terms that a stack's text comes to.

    Grammar: tags, ``+ - * /``, brackets, exact decimals and fractions; linear. ``TAG@name/name``
    holds a feature at one position or station of an axis; ``/`` before anything that is no name
    on a further axis of that tag divides. The longest known tag wins, so ``D-H`` is D less H
    unless there is a tag ``D-H``. Tags and names match without case.

    Args:
        text: the stack as typed.
        shapes: every feature that may be named.

    Raises:
        NotUnderstoodError: no such text, an unknown tag or name, a figure added to a tag, a
            product of tags, a division by one, or a tag that cancels.

    >>> shapes = {"D": Shape("D"), "H": Shape("H")}
    >>> for term in parse_stack("(D - h)/2", shapes).terms:
    ...     print(term.coefficient, term.tag)
    1/2 D
    -1/2 H
    """
    form = read_expression(text, shapes)
    if isinstance(form, Fraction):
        raise NotUnderstoodError(f"{quoted(text)} names no tag; a stack adds tags.")
    for (tag, fixed), count in form.items():
        if count == 0:
            name = f"{tag}@{'/'.join(name for _, name in fixed)}" if fixed else tag
            raise NotUnderstoodError(f"{name} cancels in {quoted(text)}: it would not count.")
    terms = (Term(count, tag, fixed) for (tag, fixed), count in form.items())
    return Stack(text, tuple(terms))


def rows(stack: Stack, shapes: Mapping[str, Shape]) -> list[Row]:
    """Return the rows of a stack: position axes judged apart, station axes swept.

    An axis that any feature of the stack has among its positions is one of the fit's position
    axes. Axes of one name pair, name by name; the others meet in every combination. An address
    that a combination names twice stands in it once, its coefficients added.

    Raises:
        NotUnderstoodError: two features list different names on an axis they share, or the fit
            has more than `MOST_COMBINATIONS` combinations.

    >>> ends = Axis("end", ("a", "b"))
    >>> gear = Axis("gear", ("driver", "idler"))
    >>> shapes = {"D": Shape("D"), "H": Shape("H", (gear,), (ends,))}
    >>> for row in rows(parse_stack("D - H", shapes), shapes):
    ...     print(row.position, [str(spot) for c in row.combinations for _, spot in c.parts])
    ('driver',) ['D', 'H.driver@a', 'D', 'H.driver@b']
    ('idler',) ['D', 'H.idler@a', 'D', 'H.idler@b']
    """
    named = {shape.tag: shape for shape in shapes.values()}
    positions, stations = paired_axes(stack, shapes)
    return [
        Row(
            names,
            tuple(axis.name for axis in positions),
            tuple(_combinations(stack, named, setting, stations)),
        )
        for names, setting in _settings(positions)
    ]


def paired_axes(
    stack: Stack, shapes: Mapping[str, Shape]
) -> tuple[tuple[Axis, ...], tuple[Axis, ...]]:
    """Return the fit's position axes and its swept station axes, each once, as first met.

    Raises:
        NotUnderstoodError: as `rows`, which forms what these axes come to.

    >>> gear, end = Axis("gear", ("driver", "idler")), Axis("end", ("a", "b", "c"))
    >>> shapes = {"H": Shape("H", (gear,), (end,)), "D": Shape("D")}
    >>> positions, stations = paired_axes(parse_stack("D - H", shapes), shapes)
    >>> positions == (gear,), stations == (end,)
    (True, True)
    """
    named = {shape.tag: shape for shape in shapes.values()}
    axes: dict[str, Axis] = {}
    apart: set[str] = set()
    for term in stack.terms:
        shape = named[term.tag]
        for axis in _free(term, shape):
            fold = axis.name.casefold()
            if not _same_names(axes.setdefault(fold, axis), axis):
                raise _mismatch(stack, axis.name, shapes)
            if axis in shape.positions:
                apart.add(fold)
    if (count := math.prod(len(axis.names) for axis in axes.values())) > MOST_COMBINATIONS:
        raise NotUnderstoodError(
            f"{quoted(stack.text)} comes to {count} combinations; "
            f"{MOST_COMBINATIONS} are the most a fit may have.",
            "Hold a station with @, or measure at fewer.",
        )
    positions = tuple(axis for fold, axis in axes.items() if fold in apart)
    return positions, tuple(axis for fold, axis in axes.items() if fold not in apart)


def _free(term: Term, shape: Shape) -> list[Axis]:
    held = {axis for axis, _ in term.fixed}
    return [axis for axis in shape.axes if axis.name not in held]


def _same_names(one: Axis, other: Axis) -> bool:
    return {name.casefold() for name in one.names} == {name.casefold() for name in other.names}


def _settings(axes: Sequence[Axis]) -> Iterator[tuple[tuple[str, ...], Setting]]:
    """Yield every choice of a name on each axis, last axis fastest."""
    folds = [axis.name.casefold() for axis in axes]
    for names in itertools.product(*(axis.names for axis in axes)):
        yield names, dict(zip(folds, (name.casefold() for name in names), strict=True))


def _combinations(
    stack: Stack, named: Mapping[str, Shape], position: Setting, stations: Sequence[Axis]
) -> Iterator[Combination]:
    """Yield every combination at a position; what two have in common is one object in both."""
    pickers = [_Picker(term, named[term.tag], position, stations) for term in stack.terms]
    single = len({term.tag for term in stack.terms}) == len(stack.terms)
    for names in itertools.product(*(axis.names for axis in stations)):
        parts = tuple([picker.part(names) for picker in pickers])
        yield Combination(parts if single else _added_up(parts), names)


def _added_up(parts: Sequence[tuple[Fraction, Spot]]) -> tuple[tuple[Fraction, Spot], ...]:
    """Return parts with each address once."""
    counts: dict[Spot, Fraction] = {}
    for count, spot in parts:
        counts[spot] = counts.get(spot, Fraction(0)) + count
    return tuple((count, spot) for spot, count in counts.items())


class _Picker:
    """Finds the address a term stands for at a setting of the swept axes, each once.

    Args:
        term: the term.
        shape: its feature.
        position: the name on each position axis.
        stations: the swept axes, in the order of a setting.
    """

    def __init__(
        self, term: Term, shape: Shape, position: Setting, stations: Sequence[Axis]
    ) -> None:
        self.tag, self.count = shape.tag, term.coefficient
        self.fixed = position | {axis.casefold(): name.casefold() for axis, name in term.fixed}
        self.axes = [_spellings(axis) for axis in shape.axes]
        self.positions = len(shape.positions)
        own = {axis for axis, _ in self.axes}
        self.places = [
            (axis.name.casefold(), place)
            for place, axis in enumerate(stations)
            if axis.name.casefold() in own and axis.name.casefold() not in self.fixed
        ]
        self.found: dict[tuple[str, ...], tuple[Fraction, Spot]] = {}

    def part(self, names: tuple[str, ...]) -> tuple[Fraction, Spot]:
        """Return how often it counts, and its address at names on the swept axes."""
        key = tuple([names[place] for _, place in self.places])
        if key not in self.found:
            swept = {axis: names[place].casefold() for axis, place in self.places}
            chosen = swept | self.fixed
            spelled = tuple(own[chosen[axis]] for axis, own in self.axes)
            spot = Spot(self.tag, spelled[: self.positions], spelled[self.positions :])
            self.found[key] = self.count, spot
        return self.found[key]


@lru_cache(maxsize=64)
def _spellings(axis: Axis) -> tuple[str, dict[str, str]]:
    return axis.name.casefold(), {name.casefold(): name for name in axis.names}


def _mismatch(stack: Stack, axis: str, shapes: Mapping[str, Shape]) -> NotUnderstoodError:
    """Return the fault of two features that list different names on one axis."""
    named = {shape.tag: shape for shape in shapes.values()}
    found: dict[str, tuple[str, Axis]] = {}
    for term in stack.terms:
        shape = named[term.tag]
        for own in _free(term, shape):
            if own.name.casefold() == axis.casefold():
                role = "positions" if own in shape.positions else "stations"
                found[term.tag] = role, own
    in_order = [(tag, *found[tag]) for tag in named if tag in found]
    one = in_order[0]
    other = next(entry for entry in in_order if not _same_names(one[2], entry[2]))
    what = one[1] if one[1] == other[1] else f'names on "{axis}"'
    listed_names = " and ".join(f"{tag} ({listed(own.names)})" for tag, _, own in (one, other))
    return NotUnderstoodError(
        f"{what} of {listed_names} do not match, so {quoted(stack.text)} cannot be paired."
    )
