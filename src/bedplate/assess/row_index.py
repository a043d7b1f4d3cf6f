"""Which rows the fits of a sheet have, and which of them an address enters: worked out once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from bedplate.assess.geometry import FitRow, rows_of
from bedplate.assess.result import same_position
from bedplate.metrology.axes import Spot
from bedplate.sheet.layout import Layout
from bedplate.sheet.model import Fit


class RowIndex:
    """The rows of every fit of one sheet, in its order.

    Args:
        layout: the names of the sheet.
    """

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._rows: dict[str, list[FitRow]] = {}

    @classmethod
    def of(cls, layout: Layout) -> RowIndex:
        """Return the index of a sheet: of one layout it is always the same."""
        if "row index" not in layout.kept:
            layout.kept["row index"] = cls(layout)
        found: RowIndex = layout.kept["row index"]
        return found

    def rows(self, fit: Fit) -> list[FitRow]:
        """Return where a fit is formed."""
        if fit.tag not in self._rows:
            self._rows[fit.tag] = rows_of(self._layout, fit)
        return self._rows[fit.tag]

    def other_way(self, fit: Fit, row: FitRow) -> FitRow | None:
        """Return the row of the other way to the same quantity that a fit names, if it does."""
        if fit.same_as is None:
            return None
        other = self._layout.row(fit.same_as, Fit)
        return next(
            (
                there
                for there in self.rows(other)
                if same_position(row.axes, row.position, there.axes, there.position)
            ),
            None,
        )

    def touched(self, spots: Iterable[Spot]) -> Iterator[tuple[Fit, FitRow, bool]]:
        """Yield the rows that any of these addresses enters.

        Each with whether one of them is its own; else it is one of the other way to the same
        quantity.
        """
        touched: dict[int, bool] = {}
        for spot in set(spots):
            for place, own in self._entered.get(spot, ()):
                touched[place] = own or touched.get(place, False)
        for place, own in sorted(touched.items()):
            yield (*self._all[place], own)

    @cached_property
    def _all(self) -> Sequence[tuple[Fit, FitRow]]:
        return [(fit, row) for fit in self._layout.sheet.fit for row in self.rows(fit)]

    @cached_property
    def _entered(self) -> Mapping[Spot, list[tuple[int, bool]]]:
        """The rows that every address enters, by their place; whether it is their own."""
        index: dict[Spot, list[tuple[int, bool]]] = {}
        for place, (fit, row) in enumerate(self._all):
            for spot in row.spots:
                index.setdefault(spot, []).append((place, True))
            other = self.other_way(fit, row)
            for spot in other.spots if other is not None else ():
                index.setdefault(spot, []).append((place, False))
        return index
