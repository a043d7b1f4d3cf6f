"""Parts and their lives: what sits in which place, since when, made to which size.

A *part* is known by its mark and may change its place; ``reworked`` and ``new`` begin a new life,
of the named features only where the change says which it touched. A reading belongs to the lives
it was taken on.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from bedplate.sheet.layout import Place, Setting

Touched = frozenset[tuple[str, Setting | None]]
"""Features a change touched: tag, and the position within the part (None: at every one)."""

FIRST_LIFE = 1


class Event(NamedTuple):
    """Something that happened to a part.

    Attributes:
        n: number of the entry that says so.
        begins: whether it begins a new life.
        sizes: features whose size it settles; None where it settles that of every one.
        size: id of the size, None for the nominal one.
        touched: what it touched; None for the whole part.
    """

    n: int
    begins: bool
    touched: Touched | None = None
    size: str | None = None
    sizes: frozenset[str] | None = frozenset()

    def touches(self, tag: str, apart: Setting) -> bool:
        """Tell whether the feature of the part, at that position within it, was touched."""
        touched = self.touched
        return touched is None or (tag, apart) in touched or (tag, None) in touched

    def settles_size_of(self, tag: str) -> bool:
        """Tell whether it says to which size the feature is made."""
        return self.sizes is None or tag in self.sizes


@dataclass(slots=True)
class Part:
    """One part, wherever it sits now.

    Attributes:
        mark: what is written on it; by default the name of its first place.
        component: what it can serve as.
        born: number of the entry that brought it in, 1 for what was found in the engine.
        events: what has happened to it, in order.
    """

    mark: str
    component: str
    born: int = FIRST_LIFE
    events: list[Event] = field(default_factory=list)

    def life(self, tag: str, apart: Setting) -> int:
        """Return the number of the entry that began its present life, as regards a feature."""
        for event in reversed(self.events):
            if event.begins and event.touches(tag, apart):
                return event.n
        return self.born

    def lives(self) -> set[int]:
        """Return every life it ever had, of any feature."""
        return {self.born, *(event.n for event in self.events if event.begins)}

    def size(self, tag: str, apart: Setting, *, first: bool = False) -> tuple[int, str] | None:
        """Return the size a feature of it is made to, with the entry that says so.

        Args:
            tag: the feature.
            apart: its position within the part.
            first: as it was in the part's first life.
        """
        found: tuple[int, str] | None = None
        for event in self.events:
            touches = event.touches(tag, apart)
            if first and event.begins and touches:
                break
            if touches and event.settles_size_of(tag):
                found = (event.n, event.size) if event.size is not None else None
        return found


class Parts:
    """Which part sits where, and which parts have no place.

    Args:
        places: every place of the unit; each begins with the part found in it.
    """

    def __init__(self, places: list[Place]) -> None:
        self.in_place: dict[Place, Part | None] = {
            place: Part(str(place), place.component) for place in places
        }
        self.first: dict[Place, Part | None] = dict(self.in_place)
        """The part found in each place, whatever became of it."""
        self.loose: dict[tuple[str, str], Part] = {}
        """Parts without a place, by component and mark."""

    def add_places(self, places: list[Place]) -> None:
        """Take up places that a later sheet brought, each with the part found in it."""
        for place in places:
            if place not in self.in_place:
                self.first[place] = self.in_place[place] = Part(str(place), place.component)

    def at(self, place: Place) -> Part | None:
        """Return the part that sits in a place now."""
        return self.in_place.get(place)

    def all(self) -> list[Part]:
        """Return every part that is known, those in place first."""
        return [
            *(part for part in self.in_place.values() if part is not None),
            *self.loose.values(),
        ]

    def place_of(self, part: Part) -> Place | None:
        """Return where a part sits, None where it has no place."""
        return next((place for place, there in self.in_place.items() if there is part), None)

    def new(self, place: Place, mark: str | None, event: Event) -> Part:
        """Put a new part into a place; without a mark it bears the mark of the one it replaces."""
        old = self.in_place.get(place)
        mark = mark or (old.mark if old is not None else str(place))
        part = Part(mark, place.component, born=event.n, events=[event])
        if old is not None and old.mark != mark:
            self._lay_aside(old)
        self.loose.pop((place.component, mark), None)
        self.in_place[place] = part
        return part

    def announce(self, component: str, mark: str, event: Event) -> Part:
        """Take up a new or spare part that has no place yet."""
        part = self.loose[component, mark] = Part(mark, component, born=event.n, events=[event])
        return part

    def move(self, place: Place, origin: str) -> Part | None:
        """Put a loose part (by its mark), or one from another place, into ``place``.

        What sat there is loose from then on; the place it came from stands empty. Returns the
        part that moved, None where there is none at ``origin``.
        """
        part = self.loose.pop((place.component, origin), None)
        if part is None:
            source = next(
                (p for p in self.in_place if str(p).casefold() == origin.casefold()), None
            )
            part = self.in_place.get(source) if source is not None else None
            if source is None or part is None or source == place:
                return None
            self.in_place[source] = None
        old = self.in_place.get(place)
        if old is not None:
            self._lay_aside(old)
        self.in_place[place] = part
        return part

    def _lay_aside(self, part: Part) -> None:
        self.loose[part.component, part.mark] = part

    def spares(self, component: str) -> list[Part]:
        """Return the parts of a component that have no place."""
        return [part for (kind, _), part in self.loose.items() if kind == component]
