"""Whether a part may be decided on or changed, and what is asked back before it is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from bedplate.assembly import held
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import called, entry_and_time
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record.entries import Changed, Disposition, Entry
from bedplate.record.sets import LOCKED
from bedplate.sheet.layout import Named, Place, Selection, joined
from bedplate.sheet.model import Component, Feature, Size
from bedplate.text import listed, near_or_list, quoted, visible


class Question(NamedTuple):
    """What is asked back before an entry is made.

    Attributes:
        text: the question.
        needed: whether a yes given beforehand answers it; else it is put all the same.

    """

    text: str
    needed: bool = True


def may_decide(assembly: Assembly, entry: Disposition) -> None:
    """Refuse a disposition of what is not there.

    Raises:
        NotUnderstoodError: there is no such component or position.
        RefusedError: the place stands empty.

    """
    for place in _places(assembly, entry.component):
        _refuse_empty(assembly, place)


def may_change(assembly: Assembly, entry: Changed) -> None:
    """Refuse a change that cannot have happened, or may not happen now.

    Raises:
        NotUnderstoodError: component, place, mark, size or feature that there is not, or words
            that do not go together.
        RefusedError: the place is empty, clamped by a set that is tight, or held.

    """
    if _is_loose(assembly, entry):
        return
    selection = assembly.select(entry.component, "component")
    _check_words(assembly, entry, selection)
    _check_size(assembly, entry, selection.named)
    _check_touching(assembly, entry, selection.named)
    if assembly.job.announces_spare(entry):
        _check_mark(assembly, entry, selection)
        return
    places = [Place(selection.named.name, position) for position in selection.positions]
    if entry.mark is not None:
        _check_mark(assembly, entry, selection)
    elif entry.how == "new":
        for place in places:
            _refuse_unmarked(assembly, place)
    if entry.how in ("reworked", "found"):
        for place in places:
            _refuse_empty(assembly, place)
    if entry.how == "moved":
        places += _origin(assembly, entry, places[0])
    if entry.how != "found":
        for place in places:
            _refuse_clamped(assembly, place)
            held.refuse_held(assembly, place.component, place.position)


def _is_loose(assembly: Assembly, entry: Changed) -> bool:
    """Tell whether an entry is about a part without a place (``P.C``), and check it if so."""
    tag, _, mark = entry.component.partition(".")
    named = assembly.layout.find(tag, "component")
    if named is None or (named.name, mark) not in assembly.job.parts.loose:
        return False
    if entry.how not in ("reworked", "found"):
        raise NotUnderstoodError(
            f"Not recorded. {entry.component} has no place yet: first it is put into one.",
            f"Type:  bedplate change {named.name}.POSITION moved --from {mark}",
        )
    _check_origin_words(entry)
    _check_size(assembly, entry, named)
    _check_touching(assembly, entry, named)
    return True


def _places(assembly: Assembly, address: str) -> list[Place]:
    selection = assembly.select(address, "component")
    return [Place(selection.named.name, position) for position in selection.positions]


def _refuse_empty(assembly: Assembly, place: Place) -> None:
    if assembly.job.parts.at(place) is None:
        raise RefusedError(
            f"Refused. {place} stands empty: its part was moved.",
            f"Type:  bedplate change {place} {assembly.new_words(place)}",
            f"Or:  bedplate change {place} moved --from PLACE",
        )


def _refuse_unmarked(assembly: Assembly, place: Place) -> None:
    """Refuse a new part that would bear the mark of the part that was moved away."""
    words = assembly.new_words(place)
    if words != "new":
        raise RefusedError(
            f"Refused. {place} stands empty, and the part that was in it is still marked {place}: "
            "the new one needs a mark of its own.",
            f"Type:  bedplate change {place} {words}",
        )


def _refuse_clamped(assembly: Assembly, place: Place) -> None:
    state = assembly.clamping(place)
    if state is None:
        return
    name = called(assembly.layout, state.row.tag, state.position)
    last = max(fastener.entry for fastener in state.fasteners)
    when = entry_and_time(assembly.entry(last), assembly.now)
    raise RefusedError(
        f"Refused. {place} may not be changed: {name} holds it and is "
        f"{'locked' if state.count(LOCKED) else 'tight'} ({when}).",
        f"Take it off first:  bedplate fasten {state.address} removed",
    )


# ---- words that go together


def _check_origin_words(entry: Changed) -> None:
    """Refuse where from, or to which size, where it does not belong, or missing."""
    address = visible(entry.component)
    if entry.how == "moved" and entry.from_ is None:
        raise NotUnderstoodError(
            f"Not recorded. Where was {address} moved from?",
            f"Type:  bedplate change {address} moved --from PLACE",
        )
    if entry.how != "moved" and entry.from_ is not None:
        raise NotUnderstoodError(
            f"Not recorded. Only what is moved comes from a place, not what is {entry.how}.",
            f"Type:  bedplate change {address} moved --from {visible(entry.from_)}",
        )
    if entry.how == "found" and entry.size is None:
        raise NotUnderstoodError(
            f"Not recorded. To which size was {address} found?",
            f"Type:  bedplate change {address} found --size SIZE",
        )


def _check_words(assembly: Assembly, entry: Changed, selection: Selection) -> None:
    _check_origin_words(entry)
    address = visible(entry.component)
    if entry.how == "moved" and (entry.touching or entry.size or entry.mark):
        raise NotUnderstoodError(
            f"Not recorded. A part that is moved stays as it is: {address}.",
            f"First:  bedplate change {address} moved --from {visible(entry.from_ or '')}",
        )
    if entry.mark is not None and entry.how != "new":
        raise NotUnderstoodError(
            f"Not recorded. Only a new part is given a mark, not one that was {entry.how}.",
            f"Type:  bedplate change {address} {entry.how}",
        )
    one = entry.how == "moved" or entry.mark is not None
    if one and len(selection.positions) > 1 and not assembly.job.announces_spare(entry):
        raise NotUnderstoodError(
            f"Not recorded. {address} is {len(selection.positions)} places; one part fits one.",
            f"Name the place, such as  {joined(selection.named.name, selection.positions[0])}",
        )


def _check_mark(assembly: Assembly, entry: Changed, selection: Selection) -> None:
    """Refuse a mark that another part of the component bears, or that is a position's name."""
    mark, component = entry.mark or "", selection.named.name
    fold = mark.casefold()
    names = [name for axis in selection.named.positions for name in axis.names]
    if fold in (name.casefold() for name in names):
        raise NotUnderstoodError(
            f"Not recorded. {quoted(mark)} is a position of {component}, so it cannot be a mark.",
            f"Positions: {listed(names)}",
        )
    if "@" in mark or mark != mark.strip() or visible(mark) != mark:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(mark)} cannot be a mark: it would stand in addresses.",
            "A mark reads like  C  or  spare-2",
        )
    own = None
    if len(selection.positions) == 1:
        own = assembly.job.parts.at(Place(component, selection.positions[0]))
    for part in assembly.job.parts.all():
        if part.component == component and part.mark.casefold() == fold and part is not own:
            where = assembly.job.parts.place_of(part)
            address = visible(entry.component)
            raise NotUnderstoodError(
                f"Not recorded. There is a {component} marked {quoted(mark)} already"
                f"{f', in {where}' if where else ''}.",
                f"To put it there:  bedplate change {address} moved --from {part.mark}"
                if where is None and own is not None
                else "Give the new one a mark of its own:  --mark",
            )


# ---- sizes, features, where from


def _check_size(assembly: Assembly, entry: Changed, component: Named) -> None:
    if entry.size is None:
        return
    size = assembly.select(entry.size, "size").named.row
    tags = size.nominal if isinstance(size, Size) else {}
    if not any(_is_on(assembly, tag, component.name) for tag in tags):
        sizes = [
            name
            for name in assembly.layout.names("size")
            if any(_is_on(assembly, t, component.name) for t in _nominal(assembly, name))
        ]
        raise NotUnderstoodError(
            f"Not recorded. Size {quoted(entry.size)} names nothing that is measured on "
            f"{component.name}.",
            near_or_list(entry.size, sizes, f"Sizes of {component.name}"),
        )


def _nominal(assembly: Assembly, size: str) -> Iterable[str]:
    return assembly.layout.row(size, Size).nominal


def _is_on(assembly: Assembly, tag: str, component: str) -> bool:
    names = assembly.layout.row(tag, Feature).components
    return component.casefold() in (name.casefold() for name in names)


def _check_touching(assembly: Assembly, entry: Changed, component: Named) -> None:
    for address in entry.touching or ():
        tag = assembly.select(address, "feature").named.name
        if not _is_on(assembly, tag, component.name):
            tags = assembly.layout.names("feature")
            known = [name for name in tags if _is_on(assembly, name, component.name)]
            raise NotUnderstoodError(
                f"Not recorded. {quoted(address)} is not measured on {component.name}.",
                near_or_list(address, known, f"Features of {component.name}"),
            )


def _origin(assembly: Assembly, entry: Changed, place: Place) -> list[Place]:
    """Return the place a part is moved from, none for a spare.

    Raises:
        NotUnderstoodError: there is no part there, or it is the very place.

    """
    origin = entry.from_ or ""
    if (place.component, origin) in assembly.job.parts.loose:
        return []
    found = assembly.place_named(origin)
    if found is None or found.component != place.component or found == place:
        parts = assembly.job.parts
        known = [
            str(p)
            for p, part in parts.in_place.items()
            if part is not None and p.component == place.component and p != place
        ]
        known += [part.mark for part in parts.spares(place.component)]
        raise NotUnderstoodError(
            f"Not recorded. {quoted(origin)} is nowhere {place} can come from.",
            near_or_list(origin, known, "It can come from"),
        )
    _refuse_empty(assembly, found)
    return [found]


# ---- what is asked back


def keep_question(
    assembly: Assembly, entry: Changed, beside: Sequence[Entry] = ()
) -> Question | None:
    """Return the question whether matched parts are parted on purpose, None where none are.

    Asked of a new part and of a moved one; a part reworked stays with its mate. What is changed
    in the same breath (``beside``) is not parted from it.
    """
    if entry.how not in ("new", "moved"):
        return None
    if assembly.job.announces_spare(entry):
        return None
    changed = set(_places(assembly, entry.component))
    together = {
        place
        for other in beside
        if isinstance(other, Changed) and other.how == entry.how
        for place in assembly.job.places_named(other.component)
    }
    mates = [place for place in _mates(assembly, changed) if place not in changed | together]
    if not mates:
        return None
    here = listed([str(place) for place in sorted(changed, key=str)])
    return Question(
        f"{here} is matched to {listed([str(place) for place in mates])}. "
        f"Is {visible(entry.component)} alone {'new' if entry.how == 'new' else 'moved'}?"
    )


def _mates(assembly: Assembly, places: Iterable[Place]) -> list[Place]:
    """Return the places whose parts are matched to the parts in ``places``."""
    found: dict[Place, None] = {}
    for place in places:
        wanted = assembly.names_of(place.component, place.position)
        for name in assembly.layout.names("component"):
            keep = assembly.layout.row(name, Component).keep
            if keep is None:
                continue
            mate = assembly.layout.named(keep, "component").name
            if name == mate == place.component:
                found.update(dict.fromkeys(assembly.layout.agreeing(name, {})))
            elif name == place.component:
                found.update(dict.fromkeys(assembly.layout.agreeing(mate, wanted)))
            elif mate == place.component:
                found.update(dict.fromkeys(assembly.layout.agreeing(name, wanted)))
    return list(found)
