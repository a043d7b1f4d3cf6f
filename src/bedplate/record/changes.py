"""What a ``changed`` entry brings about: a part made new, reworked, moved, or found so.

Part of the fold of `bedplate.record.job`: what an entry did, not whether it may be made.
"""

from __future__ import annotations

from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Changed
from bedplate.record.parts import Event, Part, Parts, Touched
from bedplate.sheet.layout import Layout, Place, Setting
from bedplate.sheet.model import Size

Happened = tuple[Changed, Place | None, str]
"""A change, where it happened (None for a part without a place), and the mark of the part."""


def places_named(layout: Layout, address: str) -> list[Place]:
    """Return the places that the address of a component names, none where it names none."""
    try:
        selection = layout.select(address, "component")
    except NotUnderstoodError:
        return []
    return [Place(selection.named.name, position) for position in selection.positions]


def announces_spare(layout: Layout, entry: Changed) -> bool:
    """Tell whether a change announces a part that has no place yet."""
    component = layout.find(entry.component, "component")
    marked = entry.how == "new" and entry.mark is not None
    return component is not None and marked and bool(component.positions)


def bring_about(entry: Changed, layout: Layout, parts: Parts) -> list[Happened]:
    """Do to the parts what a change says, and return what happened where.

    Raises:
        NotUnderstoodError: the sheet does not name what was changed; nothing was done.
    """
    event = Event(
        entry.n,
        begins=entry.how in ("reworked", "new"),
        touched=_touched(entry, layout),
        size=entry.size,
        sizes=_sizes(entry, layout),
    )
    if announces_spare(layout, entry):
        component = layout.named(entry.component, "component")
        part = parts.announce(component.name, entry.mark or "", event)
        return [(entry, None, part.mark)]
    spare = _spare(entry.component, layout, parts)
    if spare is not None:
        if entry.how not in ("reworked", "found"):
            return []
        spare.events.append(event)
        return [(entry, None, spare.mark)]
    places = places_named(layout, entry.component)
    there = ((place, _apply(place, entry, event, parts)) for place in places)
    return [(entry, place, part.mark) for place, part in there if part is not None]


def _spare(address: str, layout: Layout, parts: Parts) -> Part | None:
    """Return the part without a place that an address names by its mark, None where none is."""
    component, _, mark = address.partition(".")
    named = layout.find(component, "component")
    return parts.loose.get((named.name, mark)) if named is not None else None


def _apply(place: Place, entry: Changed, event: Event, parts: Parts) -> Part | None:
    if entry.how == "new":
        return parts.new(place, entry.mark, event)
    if entry.how == "moved":
        return parts.move(place, entry.from_ or "")
    part = parts.at(place)
    if part is not None:
        part.events.append(event)
    return part


def _touched(entry: Changed, layout: Layout) -> Touched | None:
    if not entry.touching:
        return None
    component = entry.component.partition(".")[0]
    touched: set[tuple[str, Setting | None]] = set()
    for address in entry.touching:
        selection = layout.select(address, "feature")
        tag = selection.named.name
        if all(name is None for name in selection.position):
            touched.add((tag, None))
        else:
            name = layout.named(component).name
            touched |= {(tag, layout.apart(tag, name, p)) for p in selection.positions}
    return frozenset(touched)


def _sizes(entry: Changed, layout: Layout) -> frozenset[str] | None:
    """Return the features whose size a change settles, None for all (new, to nominal)."""
    if entry.size is None:
        return None if entry.how == "new" else frozenset()
    named = layout.row(entry.size, Size).nominal
    return frozenset(layout.named(tag, "feature").name for tag in named)
