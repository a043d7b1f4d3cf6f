"""Where a fit is formed: its rows by position, and in each the groups of addresses it rests on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, partial
from typing import NamedTuple

from bedplate.metrology import flatness, spread, stack
from bedplate.metrology.axes import Shape, Spot
from bedplate.metrology.error import Estimate, combine
from bedplate.sheet.layout import Layout, joined
from bedplate.sheet.model import Fit

Form = Callable[[Sequence[Estimate]], Estimate]
"""What makes one figure of the estimates at the addresses of a group, in their order."""


class Group(NamedTuple):
    """One combination of a stack, one line of a spread, or one plane.

    Attributes:
        spots: the addresses it needs, in order.
        parts: what the nominals at them add up to, as (coefficient, address) pairs.
        form: what makes its figure.
        brackets: whether a reading between two ends can be part of it.
        least: how many of its addresses are enough when the others were left out on purpose;
            None where one left out means that it is not formed.
        summed: whether its figure is what the figures at its parts add up to.
    """

    spots: tuple[Spot, ...]
    parts: tuple[tuple[Fraction, Spot], ...]
    form: Form
    brackets: bool = True
    least: int | None = None
    summed: bool = False


@dataclass(frozen=True)
class FitRow:
    """What is judged by itself: one setting of the free position axes.

    Attributes:
        position: the name on each of them, in the order first met.
        axes: their names.
        groups: every way of forming the fit there.
    """

    position: tuple[str, ...]
    axes: tuple[str, ...]
    groups: tuple[Group, ...]

    @cached_property
    def spots(self) -> tuple[Spot, ...]:
        """Every address of the row, each once, in order."""
        return tuple(dict.fromkeys(spot for group in self.groups for spot in group.spots))


def kind_of(layout: Layout, fit: Fit) -> str:
    """Return the kind of a fit: its own, else ``form``, ``direct`` or ``clearance``.

    A stack of one tag is read directly, whatever it is multiplied by or held at; ``D-H`` without
    blanks is a difference of two, unless a feature bears that tag.
    """
    if fit.kind is not None:
        return fit.kind
    if fit.stack is None:
        return "form"
    terms = layout.stack(fit.stack).terms
    return "direct" if len(terms) == 1 else "clearance"


def rows_of(layout: Layout, fit: Fit) -> list[FitRow]:
    """Return the rows of a fit.

    Raises:
        NotUnderstoodError: the sheet's text of it cannot be read.
    """
    if fit.stack is not None:
        return _stack_rows(layout, fit.stack)
    shape = _shape(layout, fit.spread or fit.flatness or "")
    if fit.spread is not None:
        return _spread_rows(shape, fit)
    return _plane_rows(shape, fit)


def addresses_of(layout: Layout, fit: Fit) -> list[str]:
    """Return the addresses of a fit at every position, ``EC.idler``, in the order of its rows."""
    return [joined(fit.tag, row.position) for row in rows_of(layout, fit)]


def tags_of(layout: Layout, fit: Fit) -> list[str]:
    """Return the features a fit rests on, each once, in the order first met."""
    if fit.stack is not None:
        terms = layout.stack(fit.stack).terms
        return list(dict.fromkeys(term.tag for term in terms))
    return [_shape(layout, fit.spread or fit.flatness or "").tag]


def _shape(layout: Layout, tag: str) -> Shape:
    return layout.shapes[layout.named(tag.strip(), "feature").name]


def _stack_rows(layout: Layout, text: str) -> list[FitRow]:
    shapes = layout.shapes
    return [
        FitRow(
            row.position,
            row.axes,
            tuple(_combination(combination.parts) for combination in row.combinations),
        )
        for row in stack.rows(layout.stack(text), shapes)
    ]


def _combination(parts: tuple[tuple[Fraction, Spot], ...]) -> Group:
    return Group(tuple([spot for _, spot in parts]), parts, partial(_sum, parts), summed=True)


def _sum(parts: tuple[tuple[Fraction, Spot], ...], estimates: Sequence[Estimate]) -> Estimate:
    return combine((count, one) for (count, _), one in zip(parts, estimates, strict=True))


def _spread_rows(shape: Shape, fit: Fit) -> list[FitRow]:
    return [
        FitRow(row.position, row.axes, tuple(_line(line.spots) for line in row.lines))
        for row in spread.spread_rows(shape, fit.along or "", fit.leave or ())
    ]


def _line(spots: tuple[Spot, ...]) -> Group:
    return Group(
        spots,
        ((Fraction(1), spots[0]),),
        lambda estimates: spread.spread_of(estimates)[0],
        brackets=False,
        least=spread.LEAST_STATIONS,
    )


def _plane_rows(shape: Shape, fit: Fit) -> list[FitRow]:
    return [
        FitRow(row.position, row.axes, (_plane(row, fit.method or "least squares"),))
        for row in flatness.grid_rows(shape)
    ]


def _plane(row: flatness.GridRow, method: flatness.Method) -> Group:
    points = [(place.x, place.y) for place in row.grid]
    spots = tuple(place.spot for place in row.grid)
    return Group(
        spots,
        ((Fraction(1), spots[0]),),
        lambda estimates: flatness.flatness(points, estimates, method)[0],
        brackets=False,
    )
