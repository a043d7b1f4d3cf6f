"""Parts that are always new: which places have no new part yet, changed or drawn for them."""

from __future__ import annotations

from bedplate.assembly.state import Assembly
from bedplate.sheet.layout import Place
from bedplate.sheet.model import Component


def lacking_new(assembly: Assembly, component: str) -> list[Place]:
    """Return the places of a component that is always new (``renew``) which have no new part yet.

    A part of its name that was drawn (`use`) is one, until it is spent: the one of that very
    place if it was drawn for it (``spring.2``), else of the first that needs one.
    """
    row = assembly.layout.row(component, Component)
    if not row.renew:
        return []
    renewed = {
        place
        for entry, place, _mark in assembly.job.changed
        if entry.how == "new" and place is not None
    }
    places = [p for p in assembly.layout.agreeing(component, {}) if p not in renewed]
    if places and places[0].position:
        places = [place for place in places if _unspent(assembly, str(place)) <= 0]
    return places[max(0, _unspent(assembly, row.id)) :]


def _unspent(assembly: Assembly, thing: str) -> int:
    stock = assembly.sets.stock.get(thing.casefold())
    return stock.drawn - stock.spent if stock is not None else 0
