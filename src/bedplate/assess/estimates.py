"""From the readings of a job to what is known of each address."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from fractions import Fraction
from functools import cached_property

from bedplate.assess.settlement import Known, Settlement
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Gauge
from bedplate.metrology.settled import Settled
from bedplate.record.job import Job, Taken
from bedplate.units import Typed


class Readings:
    """All readings of a job, corrected, with the errors they carry.

    Args:
        job: the job; it is not changed, and what it says is read once, when first asked for.
    """

    def __init__(self, job: Job) -> None:
        self.job = job
        self._known: dict[tuple[Spot, bool], Known] = {}
        self._since = 0

    @cached_property
    def _settlement(self) -> Settlement:
        return Settlement.of(self.job)

    @property
    def gauges(self) -> Mapping[str, Gauge]:
        """The gauges of the job by name, every figure in its base unit."""
        return self._settlement.gauges

    @property
    def typed(self) -> Mapping[int, Typed]:
        """The value of every reading that has one, as typed (from nominal: in full)."""
        return self._settlement.typed

    @property
    def settled(self) -> Settled:
        """Every live reading, corrected for settings and temperature, in its base unit."""
        return self._settlement.settled

    def known(self, spot: Spot, *, as_found: bool = False) -> Known | None:
        """Return what is known of an address, None where nothing stands there.

        Args:
            spot: the address in full.
            as_found: of the parts found there, in their first lives.
        """
        key = (spot, as_found)
        if key not in self._known:
            found = self._look_up(self.standing(spot, as_found=as_found))
            if found is None:
                return None
            self._known[key] = found
        return self._known[key]

    def standing(self, spot: Spot, *, as_found: bool = False) -> list[Taken]:
        """Return the readings that stand at an address, of those that count here."""
        taken = self.job.standing(spot, as_found=as_found)
        return [one for one in taken if one.entry.n > self._since] if self._since else taken

    def since(self, n: int) -> Readings:
        """Return these readings as if only those after entry ``n`` had been taken."""
        other = copy.copy(self)
        other._known, other._since = {}, n
        return other

    def overlaid(self, instead: Mapping[Spot, Known]) -> Readings:
        """Return these readings with other knowledge at some addresses, for a forecast."""
        other = copy.copy(self)
        other._known = {(spot, False): known for spot, known in instead.items()}
        return other

    def known_spare(self, spot: Spot) -> Known | None:
        """Return what is known of a part without a place, its mark standing for the position."""
        return self._look_up(self.job.standing_spare(spot))

    def _look_up(self, standing: list[Taken]) -> Known | None:
        if not standing:
            return None
        numbers = tuple([taken.entry.n for taken in standing if taken.entry.value is not None])
        if not numbers:
            return Known(None, left_out=standing[-1].entry.left_out)
        return self._settlement.known(numbers)

    def step(self, n: int) -> Fraction:
        """Return the step of a reading as typed, in its base unit; 0 for a bracket."""
        return self._settlement.steps[n]
