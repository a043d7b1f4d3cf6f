"""Which parts, in which lives, a reading would be taken on now; and what makes it a repeat."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import On
from bedplate.record.parts import FIRST_LIFE, Parts
from bedplate.sheet.layout import Layout, Setting
from bedplate.sheet.model import Feature

Key = tuple[Any, ...]
"""What readings must share to be readings of one thing: feature, station, parts and lives."""


class Resting:
    """What the features of a sheet rest on, each looked up once.

    Args:
        layout: the names of the sheet.
        parts: which part sits where; once that changes, another of these is wanted.
    """

    def __init__(self, layout: Layout, parts: Parts) -> None:
        self._layout = layout
        self._parts = parts
        self._found: dict[tuple[str, Setting], Sequence[On]] = {}

    def on(self, tag: str, position: Setting, *, spare: bool = False) -> Sequence[On]:
        """Return the parts, with their lives, that a reading taken now would be taken on.

        Args:
            tag: the feature.
            position: one of its positions; for a part without a place its mark, then the names
                within the part.
            spare: whether ``position`` begins with a mark.

        Raises:
            NotUnderstoodError: a place the feature rests on stands empty.
        """
        if spare:
            component = self._layout.row(tag, Feature).components[0]
            name = self._layout.named(component).name
            part = self._parts.loose[name, position[0]]
            return [On(place=name, part=part.mark, life=part.life(tag, position[1:]))]
        if (tag, position) not in self._found:
            self._found[tag, position] = self._sitting(tag, position)
        return self._found[tag, position]

    def _sitting(self, tag: str, position: Setting) -> list[On]:
        places = self._layout.rests_on(tag, position)
        empty = next((place for place in places if self._parts.at(place) is None), None)
        if empty is not None:
            raise NotUnderstoodError(f"Nothing sits in {empty}: its part was moved.")
        return self.still_there(tag, position)

    def still_there(self, tag: str, position: Setting) -> list[On]:
        """Return the parts, with their lives, that a feature rests on, but for those gone."""
        found: list[On] = []
        for place in self._layout.rests_on(tag, position):
            part = self._parts.at(place)
            if part is not None:
                apart = self._layout.apart(tag, place.component, position)
                found.append(On(place=str(place), part=part.mark, life=part.life(tag, apart)))
        return found

    def first_on(self, tag: str, position: Setting) -> list[On]:
        """Return the parts as found, in their first lives, that a feature rested on."""
        return [
            On(place=str(place), part=str(place), life=FIRST_LIFE)
            for place in self._layout.rests_on(tag, position)
        ]

    def key(self, spot: Spot, on: Sequence[On], *, spare: bool = False) -> Key:
        """Return what makes readings repeats of each other.

        A reading of one part follows the part; one of several together belongs to the places.
        """
        if len(on) == 1:
            component = on[0].place.partition(".")[0]
            apart = (
                spot.position[1:]
                if spare
                else self._layout.apart(spot.tag, component, spot.position)
            )
            return (spot.tag, apart, spot.station, on[0].part, on[0].life)
        lives = tuple((o.place, o.part, o.life) for o in on)
        return (spot.tag, spot.position, spot.station, lives)
