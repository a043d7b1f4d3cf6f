"""Which gauge a reading is on."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from bedplate.assess.limits import feature_unit, nominal_of
from bedplate.assess.usual import usual_gauge
from bedplate.metrology.axes import Spot
from bedplate.record.job import Job
from bedplate.sheet.model import Feature
from bedplate.units import convert, dimension, read_limits

Cabinet = Mapping[str, Mapping[str, str]]
"""The user's gauges by name, each with its keys as text."""


def kind_of(job: Job, spot: Spot) -> tuple[str, str]:
    """Return what tells features apart that are read on the same gauge: kind and dimension."""
    feature = job.layout.row(spot.tag, Feature)
    return (feature.gauge or "").casefold(), dimension(feature_unit(job, spot.tag))


class Choice:
    """Which gauge a reading is on: the one named at the bench, else the one it surely is on.

    Args:
        cabinet: the user's gauges by name.
        usual: gauge by unit and range of nominals.
    """

    def __init__(self, cabinet: Cabinet, usual: Mapping[str, str]) -> None:
        self.cabinet = cabinet
        self._usual = usual
        self._named: dict[tuple[str, str], tuple[str | None, str]] = {}
        self._found: dict[tuple[int, Spot], str | None] = {}

    def name(self, job: Job, spot: Spot, gauge: str | None) -> None:
        """Take a gauge (None for none) for whatever is read on such a one from here on."""
        self._named[kind_of(job, spot)] = gauge, spot.tag

    def of(self, job: Job, spot: Spot) -> str | None:
        """Return the gauge that a reading is on, None where nothing says so."""
        gauge, tag = self._named.get(kind_of(job, spot), ("", ""))
        if tag == spot.tag or (tag and self._may_reach(job, spot, gauge)):
            return gauge
        key = (id(job.sheet), spot)
        if key not in self._found:
            found = usual_gauge(job, spot, self.cabinet, self._usual)
            self._found[key] = found[0] if found is not None else None
        return self._found[key]

    def _may_reach(self, job: Job, spot: Spot, gauge: str | None) -> bool:
        """Tell whether a gauge named at another feature can read this one, by what is known."""
        nominal = nominal_of(job, spot)
        span = self.cabinet.get((gauge or "").rpartition("/")[2], {}).get("range")
        return nominal is None or span is None or _covers(span, *nominal)


def _covers(span: str, nominal: Fraction, unit: str) -> bool:
    """Tell whether a nominal lies within a range, as typed."""
    low, high, given = read_limits(span, unit)
    if dimension(given) != dimension(unit):
        return False
    value = convert(nominal, unit, given)
    return (low is None or low <= value) and (high is None or value <= high)


def covering(job: Job, spot: Spot, cabinet: Cabinet) -> str | None:
    """Return a micrometer to set a gauge in, to the nominal of an address; None without one.

    Args:
        job: the job.
        spot: the address.
        cabinet: the user's gauges by name.
    """
    nominal = nominal_of(job, spot)
    if nominal is None:
        return None
    for name, keys in cabinet.items():
        kind, span = keys.get("kind", "").casefold(), keys.get("range")
        if "micrometer" not in kind or "depth" in kind or span is None:
            continue
        if keys.get("reads") != "differences" and _covers(span, *nominal):
            return name
    return None
