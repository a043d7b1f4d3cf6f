"""Gauges at the moment of reading: their copy in the job, and what they cannot have shown."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bedplate.assess.doubts import Doubt, shown
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import GaugeDescribed
from bedplate.record.job import Job
from bedplate.text import listed, quoted
from bedplate.units import Typed, convert, decimal_text, dimension, read_limits, read_value
from bedplate.units.registry import unit_named


Gauges = Mapping[str, Mapping[str, str]]
"""What is known of gauges: their keys as text, by name."""

ReadOn = tuple[str | None, Gauges]
"""A gauge as the record names it, with what is known of all of them."""


def described(job: Job) -> dict[str, dict[str, str]]:
    """Return the gauges copied into a job, by name; the last live description of each."""
    return {
        entry.gauge["name"]: {str(key): text for key, text in entry.gauge.items()}
        for entry in job.live(GaugeDescribed)
    }


def copied_gauge(
    job: Job, name: str, cabinet: Mapping[str, Mapping[str, str]]
) -> tuple[str, GaugeDescribed | None]:
    """Return a gauge's name as the record spells it, and its copy if this is its first use.

    Args:
        job: the job.
        name: as typed, case aside.
        cabinet: the user's gauges by name.

    Raises:
        NotUnderstoodError: it is neither in the job nor in the cabinet.
    """
    known = described(job)
    for own in known:
        if own.casefold() == name.casefold():
            return own, None
    for own, keys in cabinet.items():
        if own.casefold() == name.casefold():
            return own, GaugeDescribed.model_validate({"gauge": {"name": own, **keys}})
    names = [*known, *(own for own in cabinet if own not in known)]
    there = f" There are: {listed(names)}." if names else ""
    raise NotUnderstoodError(
        f"Not recorded. There is no gauge {quoted(name)} in your cabinet yet.{there}",
        f"Describe it once:  bedplate gauge add {name} --kind micrometer "
        '--resolution "1 tenth"',
        "Or leave --gauge out: then only the last digit you type counts as doubt.",
    )


def reads_differences(gauge: str | None, gauges: Gauges) -> bool:
    """Tell whether a gauge shows differences from what it was set to."""
    if gauge is None:
        return False
    return gauges.get(gauge.rpartition("/")[2], {}).get("reads") == "differences"


def gauge_doubts(gauge: str | None, gauges: Gauges, typed: Typed) -> Iterator[Doubt]:
    """Yield why a gauge cannot have shown a value: out of its range, or finer than it reads."""
    if gauge is None:
        return
    name = gauge.rpartition("/")[2]
    keys = gauges.get(name, {})
    if "range" in keys and (doubt := _out_of_range(name, keys["range"], typed)):
        yield doubt
    if "resolution" in keys and (doubt := _too_fine(name, keys["resolution"], typed)):
        yield doubt


def _out_of_range(name: str, text: str, typed: Typed) -> Doubt | None:
    low, high, unit = read_limits(text, typed.unit)
    if dimension(unit) != dimension(typed.unit):
        return None
    for end in (typed.low, typed.high):
        if end is None:
            continue
        value = convert(end, typed.unit, unit)
        if (low is not None and value < low) or (high is not None and value > high):
            return Doubt(f"{shown(typed)} is outside the range of {name}, {text}")
    return None


def _too_fine(name: str, text: str, typed: Typed) -> Doubt | None:
    resolution = read_value(text, typed.unit)
    if resolution.low is None or typed.two_ended or not typed.step:
        return None
    step = convert(resolution.low, resolution.unit, typed.unit)
    if typed.low is None or (typed.low / step).denominator == 1:
        return None
    return Doubt(
        f"{shown(typed)} is finer than {name} reads ({decimal_text(step)} "
        f"{unit_named(typed.unit)})"
    )
