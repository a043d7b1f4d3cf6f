"""Where a figure stands: axes of names, features with axes, and single addresses."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple


class Axis(NamedTuple):
    """A named run of names, with coordinates where a plane is measured on it."""

    name: str
    names: tuple[str, ...]
    coordinates: tuple[Fraction, ...] | None = None

    def spelled(self, name: str) -> str | None:
        """Return ``name`` as this axis spells it, whatever its case, or None.

        >>> Axis("way", ("Crown", "split")).spelled("crown")
        'Crown'
        """
        wanted = name.casefold()
        return next((own for own in self.names if own.casefold() == wanted), None)


class Shape(NamedTuple):
    """A feature as the arithmetic sees it: its tag and its axes; axes of one name pair."""

    tag: str
    positions: tuple[Axis, ...] = ()
    stations: tuple[Axis, ...] = ()

    @property
    def axes(self) -> tuple[Axis, ...]:
        """Every axis, positions first: the order of an address."""
        return self.positions + self.stations


class Spot(NamedTuple):
    """One address: a tag with a name on each axis, in the feature's own axis order."""

    tag: str
    position: tuple[str, ...] = ()
    station: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Return the address as it is typed: ``H.idler@b``."""
        place = f".{'/'.join(self.position)}" if self.position else ""
        station = f"@{'/'.join(self.station)}" if self.station else ""
        return f"{self.tag}{place}{station}"
