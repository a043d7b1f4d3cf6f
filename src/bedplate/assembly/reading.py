"""Whether a reading may be taken now, and which readings are due."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bedplate.assembly import held
from bedplate.assembly.proving import refuse_loose
from bedplate.assembly.renewing import lacking_new
from bedplate.assembly.state import Assembly
from bedplate.assess.result import FitResult
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Reading
from bedplate.record.sets import SetState
from bedplate.sheet.layout import Selection
from bedplate.sheet.model import Feature
from bedplate.text import visible


def may_read(assembly: Assembly, entry: Reading) -> None:
    """Refuse a reading that cannot stand, or may not be taken now.

    Raises:
        NotUnderstoodError: its address is none, or not a whole one.
        RefusedError: a place is empty, what sits there is not what it was taken on, a set that
            must be tight is not, or the address is held.

    """
    selection = assembly.select(entry.address, "feature")
    if len(selection.spots) != 1:
        raise NotUnderstoodError(
            f"Not recorded. {visible(entry.address)} is {len(selection.spots)} addresses.",
            f"Name one, such as  {selection.spots[0]}",
        )
    spot = selection.spots[0]
    if _is_of_old(assembly, entry, spot, selection):
        return
    item = held.holder_of_reading(assembly, spot) if selection.mark is None else None
    if item is not None:
        raise held.refusal(str(spot), item)
    if selection.mark is None and entry.left_out is None:
        loose = next((s for s in sets_for(assembly, spot) if not s.is_tight), None)
        if loose is not None:
            raise refuse_loose(assembly, f"{spot} may not be read", loose, on_trial=True)


def _is_of_old(assembly: Assembly, entry: Reading, spot: Spot, selection: Selection) -> bool:
    """Tell whether a reading puts right one of an earlier life, so that nothing is measured now.

    Raises:
        RefusedError: it is neither on what sits there now nor on what an earlier reading of that
            address was taken on.
    """
    job, told = assembly.job, set(entry.on or ())
    try:
        now = set(job.resting_on(spot.tag, spot.position, spare=selection.mark is not None))
        where = ", ".join(sorted(f"{on.part} (life {on.life})" for on in now))
        why = f"is read on {where} now: what sits there has changed"
    except NotUnderstoodError as empty:
        now, why = set(), f"may not be read. {empty.message.removesuffix('.')}"
    if now and told == now:
        return False
    if told and any(told == set(t.entry.on or ()) for t in job.all_readings if t.spot == spot):
        return True
    raise RefusedError(f"Refused. {spot} {why}.", f"Type:  bedplate measure {spot} VALUE")


def sets_for(assembly: Assembly, spot: Spot) -> list[SetState]:
    """Return the sets, at their positions, that must be tight for a reading."""
    row = assembly.layout.row(spot.tag, Feature)
    return assembly.agreeing_sets(row.when, assembly.names_of(spot.tag, spot.position))


def due_readings(assembly: Assembly, moment: int) -> list[Spot]:
    """Return the addresses to be read now, in the order of the sheet.

    These are what the fits due by a moment still miss, without those that another way to the
    same quantity makes needless, that are held, whose sets are not tight, or that stand on a
    part still to be renewed.

    Args:
        assembly: the job.
        moment: index of the moment.

    """
    missing = {
        spot
        for fit in owed(assembly, moment)
        for address in fit.missing
        for spot in assembly.layout.select(address, "feature").spots
    }
    return sorted((s for s in missing if _can_read(assembly, s)), key=_in_order(assembly))


def owed(assembly: Assembly, moment: int) -> list[FitResult]:
    """Return the fits due by a moment that have no verdict, and need one."""
    return [
        fit
        for fit in assembly.fits
        if assembly.due(fit.fit) <= moment
        and not fit.measured
        and not other_way(assembly.fits, fit)
    ]


def other_way(fits: Sequence[FitResult], fit: FitResult) -> bool:
    """Tell whether another way to the same quantity was measured at the same position."""
    mine = (fit.fit.same_as or "").casefold()
    for other in fits:
        theirs = (other.fit.same_as or "").casefold()
        pair = other.tag.casefold() == mine or theirs == fit.tag.casefold()
        if pair and other.measured and other.meets(fit):
            return True
    return False


def _can_read(assembly: Assembly, spot: Spot) -> bool:
    return is_ready(assembly, spot) and all(state.is_tight for state in sets_for(assembly, spot))


def is_ready(assembly: Assembly, spot: Spot) -> bool:
    """Tell whether an address could be read if its sets were tight: the parts there, none held."""
    places = assembly.layout.rests_on(spot.tag, spot.position)
    return (
        all(assembly.job.parts.at(place) is not None for place in places)
        and not any(place in lacking_new(assembly.job, place.component) for place in places)
        and held.holder_of_reading(assembly, spot) is None
    )


def _in_order(assembly: Assembly) -> Callable[[Spot], tuple[int, ...]]:
    """Return what puts addresses in the order of the sheet, last axis fastest."""
    tags = assembly.layout.names("feature")

    def key(spot: Spot) -> tuple[int, ...]:
        shape = assembly.layout.shapes[spot.tag]
        names = (*spot.position, *spot.station)
        places = (axis.names.index(name) for axis, name in zip(shape.axes, names, strict=True))
        return (tags.index(spot.tag), *places)

    return key
