"""Which reading comes next: those that are due, a feature at a time, in the order of the sheet."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from itertools import chain, islice

from bedplate.metrology.axes import Spot
from bedplate.sheet.layout import Layout


class Course:
    """The readings still to be asked for, and where the session has come to.

    Args:
        layout: the names of the sheet; they say the order.
        due: what is due.

    Attributes:
        skipped: what was left for later.
        seen: what was read, or left out, in this session.
    """

    def __init__(self, layout: Layout, due: Iterable[Spot]) -> None:
        self._layout = layout
        self._order = _ordered(layout)
        self._due: list[Spot] = []
        self.skipped: set[Spot] = set()
        self.seen: set[Spot] = set()
        self._here: Spot | None = None
        self._wanted: Spot | None = None
        self.renew(due)

    def renew(self, due: Iterable[Spot], layout: Layout | None = None) -> None:
        """Take what is due now in place of what was; by another sheet, if there is one."""
        if layout is not None and layout is not self._layout:
            self._layout, self._order = layout, _ordered(layout)
        self._due = self.in_order(due)

    def _place(self, spot: Spot) -> tuple[int, str]:
        """Return where an address stands; those that are not of the sheet, by name behind it."""
        place = self._order.get(spot)
        return (len(self._order), str(spot)) if place is None else (place, "")

    def in_order(self, spots: Iterable[Spot]) -> list[Spot]:
        """Return addresses in the order of the sheet, each once."""
        return sorted(set(spots), key=self._place)

    @property
    def due(self) -> list[Spot]:
        """What is due, in order; what was skipped is among it."""
        return list(self._due)

    @property
    def left(self) -> int:
        """How many are still to be asked for."""
        return sum(spot not in self.skipped for spot in self._due)

    def next(self) -> Spot | None:
        """Return what is asked for now: where somebody went, else the next from here on."""
        if self._wanted is not None:
            return self._wanted
        first = next(self._open(), None)
        if self._here is None or first is None:
            return first
        return next(self._open(self._here), first)

    def _open(self, start: Spot | None = None) -> Iterator[Spot]:
        """Yield what is due and was not skipped, in order; from an address on."""
        begin = 0 if start is None else bisect_left(self._due, self._place(start), key=self._place)
        for place in range(begin, len(self._due)):
            spot = self._due[place]
            if spot not in self.skipped:
                yield spot

    def following(self, spot: Spot, number: int) -> list[Spot]:
        """Return an address and those that are asked for after it, of the same feature."""
        after = (o for o in self._open(spot) if o.tag == spot.tag and o != spot)
        return list(islice(chain([spot], after), number))

    def go_to(self, spot: Spot) -> None:
        """Ask for an address next, be it due or not."""
        self._wanted = spot
        self._here = spot
        self.skipped.discard(spot)
        self.seen.discard(spot)

    def read(self, spot: Spot) -> None:
        """Note that an address was read, or left out."""
        place = self._found(spot)
        if place is not None:
            del self._due[place]
        self.skipped.discard(spot)
        self.seen.add(spot)
        self._here = spot
        if self._wanted == spot:
            self._wanted = None

    def skip(self, spot: Spot) -> None:
        """Leave an address for later."""
        self._here = spot
        if self._wanted == spot:
            self._wanted = None
        if self._found(spot) is not None:
            self.skipped.add(spot)

    def _found(self, spot: Spot) -> int | None:
        """Return where an address stands among what is due, None where it is not."""
        place = bisect_left(self._due, self._place(spot), key=self._place)
        return place if self._due[place : place + 1] == [spot] else None


def _ordered(layout: Layout) -> dict[Spot, int]:
    """Return every address of the sheet with its place in it."""
    spots = (spot for tag in layout.names("feature") for spot in layout.select(tag).spots)
    return {spot: place for place, spot in enumerate(spots)}
