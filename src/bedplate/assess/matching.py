"""Which part goes where: parts, spares and matched sets to the positions of a fit."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from bedplate.assess.fits import Assessment
from bedplate.assess.geometry import FitRow, tags_of
from bedplate.assess.placing import Candidate, Moving, Names, Placing, Seat
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.arrange import Choice, arrange
from bedplate.metrology.match import assign
from bedplate.sheet.model import Component, Feature, Fit
from bedplate.text import counted

MOST_FITS = 6_000
"""How many fits are worked out at most, one for each choice of parts at each position, to try
parts of several kinds together."""

MOST_WITH_THE_FIRST = 100_000
"""Arrangements up to which, where everything could go, the first one named is moved too: more of
them are mostly the same pairs in other places."""


class Matched(NamedTuple):
    """Which part goes where.

    Attributes:
        seats: what goes to each position.
        untried: how many arrangements of several kinds there are, where they were too many to
            be sure that none is better; None where this is the best.
    """

    seats: list[Seat]
    untried: int | None = None


def matched(assessment: Assessment, fit: Fit) -> Matched:
    """Return which part goes where, so that the worst deviation from the aim is least.

    Then the sum of squares is least, and ties are left where they are.

    Args:
        assessment: the job's fits.
        fit: one with positions, some of whose parts can change places.

    Raises:
        NotUnderstoodError: nothing can change places, an aim is wanting, or fewer parts are
            measured than there are places.
    """
    rows = assessment.rows(fit)
    kinds, first = _kinds(assessment, fit, rows)
    best: list[Seat] | None = None
    refused: NotUnderstoodError | None = None
    for moving in _ways(kinds):
        try:
            seats = _one_kind(Placing(assessment, fit, rows, (moving,)))
        except NotUnderstoodError as why:
            refused = refused or why
            continue
        if best is None or _off(seats) < _off(best):
            best = seats
    jointly = _jointly(assessment, fit, rows, kinds, first)
    if jointly.seats and (best is None or _off(jointly.seats) < _off(best)):
        best = jointly.seats
    if best is None:
        raise refused or _unfilled(fit)
    return Matched(best, jointly.untried)


def _off(seats: Iterable[Seat]) -> tuple[Fraction, Fraction, int]:
    """Return what is to be least: the worst deviation, the sum of squares, what moves."""
    listed = list(seats)
    deviations = [abs(seat.deviation) for seat in listed]
    moves = sum(len(seat.moves) for seat in listed)
    return max(deviations), sum((off**2 for off in deviations), Fraction(0)), moves


def _unfilled(fit: Fit) -> NotUnderstoodError:
    return NotUnderstoodError(
        f"Nothing to match. Not every place of {fit.tag} can be filled by a measured part.",
        f"See what is wanted:  bedplate check {fit.tag}",
    )


# ---- one kind


def _ways(kinds: Sequence[Moving]) -> Iterator[Moving]:
    """Yield what can be moved as one, a part for each position: all together, then each alone."""
    single = [kind for kind in kinds if len(kind.seats) == 1]
    if len(single) > 1 and len({kind.seats for kind in single}) == 1:
        yield Moving(
            tuple(tag for kind in single for tag in kind.tags),
            tuple(dict.fromkeys(name for kind in single for name in kind.components)),
            single[0].seats,
        )
    yield from single


def _one_kind(placing: Placing) -> list[Seat]:
    """Return which parts of one kind go where, for the least worst deviation."""
    fit, rows = placing.fit, placing.rows
    (pool,) = _pools(placing)
    table = [[placing.deviation(row, (candidate,)) for candidate in pool] for row in rows]
    measured = [at for at in range(len(pool)) if any(line[at] is not None for line in table)]
    if len(measured) < len(rows):
        raise NotUnderstoodError(
            f"Nothing to match. {counted(len(measured), 'part')} measured for "
            f"{counted(len(rows), 'place')} of {fit.tag}.",
            f"See what is wanted:  bedplate check {fit.tag}",
        )
    found = assign(table, [at if at in measured else None for at in range(len(rows))])
    if found is None:
        raise _unfilled(fit)
    return [placing.seat(row, (pool[part],)) for row, part in zip(rows, found, strict=True)]


# ---- several kinds


def _jointly(
    assessment: Assessment,
    fit: Fit,
    rows: Sequence[FitRow],
    kinds: Sequence[Moving],
    first: Moving | None,
) -> Matched:
    """Return how parts of several kinds are arranged best, each free to go by itself.

    Args:
        assessment: the job's fits.
        fit: whose rows they are.
        rows: the positions.
        kinds: what changes places.
        first: what else could, if everything can: it stays where there are too many ways.
    """
    untried = None
    if first is not None:
        whole = Placing(assessment, fit, rows, (first, *kinds))
        if (ways := _arrangements(whole)) <= MOST_WITH_THE_FIRST:
            return _arranged(whole)
        untried = ways if any(_spares(assessment, first)) else None
    if len(kinds) == 1 and len(kinds[0].seats) == 1:
        return Matched([], untried)
    found = _arranged(Placing(assessment, fit, rows, tuple(kinds)))
    return Matched(found.seats, untried or found.untried)


def _arranged(placing: Placing) -> Matched:
    """Return the best arrangement of all kinds that change places, each by itself."""
    pools = _pools(placing)
    of_seat = [at for at, moving in enumerate(placing.movings) for _ in moving.seats]
    choices = math.prod(len(pools[pool]) for pool in of_seat)
    if choices * len(placing.rows) > MOST_FITS:
        return Matched([], _arrangements(placing))
    options = []
    for row in placing.rows:
        here: dict[Choice, Fraction | None] = {}
        for choice in product(*(range(len(pools[pool])) for pool in of_seat)):
            here[choice] = placing.deviation(row, _chosen(pools, of_seat, choice))
        options.append(here)
    present = [
        tuple(
            pools[pool].index(candidate)
            for pool, candidate in zip(of_seat, placing.present(row), strict=True)
        )
        for row in placing.rows
    ]
    found = arrange(options, of_seat, present)
    if found is None:
        return Matched([])
    seats = [
        placing.seat(row, _chosen(pools, of_seat, choice))
        for row, choice in zip(placing.rows, found.chosen, strict=True)
    ]
    return Matched(seats, None if found.is_best else _arrangements(placing))


def _chosen(
    pools: Sequence[Sequence[Candidate]], of_seat: Sequence[int], choice: Choice
) -> tuple[Candidate, ...]:
    return tuple(pools[pool][part] for pool, part in zip(of_seat, choice, strict=True))


def _arrangements(placing: Placing) -> int:
    """Return in how many ways the parts could be arranged."""
    places = [len(moving.seats) * len(placing.rows) for moving in placing.movings]
    return math.prod(
        math.perm(len(pool), count) for pool, count in zip(_pools(placing), places, strict=True)
    )


def _pools(placing: Placing) -> list[list[Candidate]]:
    """Return what of each kind could go anywhere: what sits there by position, then spares."""
    return [
        [
            *(Candidate(at) for row in placing.rows for at in placing.places(row, moving)),
            *_spares(placing.assessment, moving),
        ]
        for moving in placing.movings
    ]


def _spares(assessment: Assessment, moving: Moving) -> Iterator[Candidate]:
    """Yield the spares of what moves; none that would come without its match."""
    if len(moving.components) != 1:
        return
    (component,) = moving.components
    if assessment.job.layout.row(component, Component).keep is not None:
        return
    for part in assessment.job.parts.spares(component):
        yield Candidate(None, part.mark)


# ---- what can change places


def _kinds(
    assessment: Assessment, fit: Fit, rows: Sequence[FitRow]
) -> tuple[list[Moving], Moving | None]:
    """Return what can change places among the positions of a fit, each kind by itself.

    It is the parts its stack names, while others that it names stay. Where all could go, the
    first one, with what goes along with it, stands apart. Else it is a part that the fit may be
    adjusted by.
    """
    tags = tags_of(assessment.job.layout, fit)
    axes = {axis.casefold() for axis in rows[0].axes} if rows else set()
    goes = {tag: _goes_with(assessment, tag, axes, rows[0]) for tag in tags} if axes else {}
    kinds = _by_what_goes({tag: there for tag, there in goes.items() if there is not None})
    if kinds and sum(len(kind.tags) for kind in kinds) == len(tags):
        first, *others = kinds
        if others:
            return others, first
        kinds = kinds if len(first.seats) > 1 else []
    if kinds:
        return kinds, None
    for adjust in (fit.adjust or ()) if axes else ():
        tag = assessment.job.layout.named(adjust.feature, "feature").name
        if tag in tags or not adjust.effect:
            continue
        components, seats = _goes_with(assessment, tag, axes, None) or ((), ())
        if components:
            return [Moving((tag,), components, seats, Fraction(adjust.effect))], None
    raise NotUnderstoodError(
        f"Nothing to match. No part of {fit.tag} can change places so that it matters.",
        "A part can, if its component has the positions of the fit and other parts of it stay.",
    )


Going = tuple[tuple[str, ...], tuple[Names, ...]]
"""The components that change places with a feature, and where they sit at one position."""


def _by_what_goes(goes: Mapping[str, Going]) -> list[Moving]:
    """Return the kinds of parts, in the order of their features: what has a part in common is one.

    A kind that would not sit everywhere on the same axes does not change places.
    """
    kinds: list[Moving] = []
    for tag, (components, seats) in goes.items():
        one = Moving((tag,), components, seats)
        common = [kind for kind in kinds if not set(kind.components).isdisjoint(components)]
        for kind in common:
            one = Moving(
                (*kind.tags, *one.tags),
                tuple(dict.fromkeys((*kind.components, *one.components))),
                tuple(dict.fromkeys((*kind.seats, *one.seats))),
            )
        place = kinds.index(common[0]) if common else len(kinds)
        kinds = [kind for kind in kinds if kind not in common]
        kinds.insert(place, one)
    return [kind for kind in kinds if len({_axes_named(seat) for seat in kind.seats}) == 1]


def _axes_named(seat: Names) -> frozenset[str]:
    return frozenset(axis for axis, _ in seat)


def _goes_with(
    assessment: Assessment, tag: str, axes: set[str], row: FitRow | None = None
) -> Going | None:
    """Return what changes places with a feature: its components and what keeps to them.

    Args:
        assessment: the job's fits.
        tag: the feature.
        axes: the positions of the fit, without case.
        row: one of them; None where the fit does not name the feature.

    Returns:
        None where one of the components has not the positions of the fit.
    """
    layout = assessment.job.layout
    found = dict.fromkeys(
        layout.named(name, "component").name for name in layout.row(tag, Feature).components
    )
    for name in list(found):
        found |= dict.fromkeys(_kept_with(assessment, name))
    had = {
        frozenset(axis.name.casefold() for axis in layout.named(name, "component").positions)
        for name in found
    }
    if len(had) != 1 or not axes <= (own := had.pop()):
        return None
    more = own - axes
    own_axes = [axis.name.casefold() for axis in layout.named(tag, "feature").positions]
    if more and (row is None or not more <= set(own_axes)):
        return None
    named = [spot.position for spot in row.spots if spot.tag == tag] if row else [()]
    seats = [
        tuple(
            (axis, name.casefold())
            for axis, name in sorted(zip(own_axes, position, strict=bool(position)))
            if axis in more
        )
        for position in named
    ]
    return tuple(found), tuple(dict.fromkeys(seats))


def _kept_with(assessment: Assessment, component: str) -> Iterator[str]:
    """Yield the components that are matched to one, either way."""
    layout = assessment.job.layout
    for name in layout.names("component"):
        keep = layout.row(name, Component).keep
        mate = layout.named(keep, "component").name if keep is not None else name
        if name != mate and component in (name, mate):
            yield mate if name == component else name
