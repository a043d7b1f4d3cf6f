"""Parts that are always new: which places have no new part yet, changed or drawn for them."""

from __future__ import annotations

from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Changed, PartUsed
from bedplate.record.job import Job
from bedplate.record.sets import Sets
from bedplate.sheet.layout import Layout, Place
from bedplate.sheet.model import Component


def is_measured(layout: Layout, component: str) -> bool:
    """Tell whether any feature is measured on a component."""
    name = layout.named(component, "component").name.casefold()
    return any(
        name == of.strip().casefold() for row in layout.sheet.feature for of in row.components
    )


def lacking_new(job: Job, component: str) -> list[Place]:
    """Return the places of a component that is always new (``renew``) which have no new part yet.

    What was changed for a new part has one. Of a component that nothing is measured on, a part of
    its name that was drawn (`use`) is one too, until it is spent: the one of that very place if
    it was drawn for it (``spring.2``), else of the first that needs one. Where something is
    measured, the new part begins a life of its own, so that only a change brings it; once the
    last of those drawn is spent, the place needs one again.
    """
    row = job.layout.row(component, Component)
    if not row.renew:
        return []
    sets = Sets.of(job)
    renewed = {
        place for entry, place, _mark in job.changed if entry.how == "new" and place is not None
    }
    places = job.layout.agreeing(job.layout.named(component).name, {})
    if is_measured(job.layout, component):
        return [p for p in places if p not in renewed or _is_spent(sets, p)]
    lacking = [place for place in places if place not in renewed]
    if lacking and lacking[0].position:
        lacking = [place for place in lacking if _unspent(sets, str(place)) <= 0]
    return lacking[max(0, _unspent(sets, row.id)) :]


def _unspent(sets: Sets, thing: str) -> int:
    stock = sets.stock.get(thing.casefold())
    return stock.drawn - stock.spent if stock is not None else 0


def _is_spent(sets: Sets, place: Place) -> bool:
    """Tell whether all that was drawn for a place, or its component, was spent again."""
    stocks = [sets.stock.get(name.casefold()) for name in (str(place), place.component)]
    drawn = [stock for stock in stocks if stock is not None and stock.drawn]
    return bool(drawn) and all(stock.drawn <= stock.spent for stock in drawn)


def new_parts(job: Job, used: PartUsed) -> list[AnyEntry]:
    """Return the changes that drawing a part brings about, none where it is no part of the unit.

    A part of a component that is always new, and that something is measured on, is the new part
    of the place it was drawn for, or of the first that has none yet: what was read of the old one
    does not count for it.
    """
    tag = used.part.partition(".")[0].strip()
    named = job.layout.find(tag, "component")
    if named is None or not is_measured(job.layout, named.name):
        return []
    try:
        selection = job.layout.select(used.part, "component")
    except NotUnderstoodError:
        return []
    places = [p for p in lacking_new(job, named.name) if p.position in selection.positions]
    told = {"how": "new", "number": used.number, "done_at": used.done_at}
    return [
        Changed.model_validate({"component": str(place), **told})
        for place in places[: used.count or 1]
    ]
