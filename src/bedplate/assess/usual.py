"""Which gauge a reading is on where none is named: never guessed between two."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from bedplate.assess.limits import nominal_of
from bedplate.metrology.axes import Spot
from bedplate.record.job import Job
from bedplate.sheet.model import Feature
from bedplate.units import convert, dimension, read_limits


def usual_gauge(
    job: Job,
    spot: Spot,
    cabinet: Mapping[str, Mapping[str, str]],
    usual: Mapping[str, str],
) -> tuple[str, str] | None:
    """Return the gauge that a reading is on, with why; None where that cannot be told.

    It is the one of the kind that the sheet expects, if exactly one in the cabinet covers the
    nominal; else the user's usual one for it.

    Args:
        job: the job.
        spot: where it is read.
        cabinet: the user's gauges by name.
        usual: gauge by unit and range of nominals: ``{"in 0..1": "mic1"}``.
    """
    nominal = nominal_of(job, spot)
    if nominal is None:
        return None
    wanted = job.layout.row(spot.tag, Feature).gauge
    if wanted is not None:
        fit = [
            name
            for name, keys in cabinet.items()
            if keys.get("kind", "").casefold() == wanted.casefold()
            and _covers(keys.get("range"), *nominal)
        ]
        if len(fit) == 1:
            return fit[0], f"the only {wanted} that covers the nominal"
    named = [name for span, name in _spans(usual) if _covers(span, *nominal)]
    return (named[0], "the usual one") if len(named) == 1 else None


def _spans(usual: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield the range of nominals, with its unit behind it, and the gauge."""
    for key, name in usual.items():
        unit, _, span = key.partition(" ")
        yield f"{span} {unit}", name


def _covers(span: str | None, nominal: Fraction, unit: str) -> bool:
    """Tell whether a range, as typed, covers a nominal; one that is not said covers none."""
    if span is None:
        return False
    low, high, given = read_limits(span, unit)
    if dimension(given) != dimension(unit):
        return False
    value = convert(nominal, unit, given)
    return (low is None or low <= value) and (high is None or value <= high)
