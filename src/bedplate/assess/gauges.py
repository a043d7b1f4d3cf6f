"""Gauges at the moment of reading: their copy in the job, and what they cannot have shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction

from bedplate.assess.doubts import Doubt, shown
from bedplate.assess.recorded import split_gauge, unit_in
from bedplate.assess.slips import THIMBLE
from bedplate.cabinet.settings import GAUGE_NAME
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Entry, Fasteners, GaugeDescribed, Reading
from bedplate.record.job import Job
from bedplate.sheet.scope import a
from bedplate.text import listed, quoted
from bedplate.units import (
    Typed,
    convert,
    decimal_text,
    dimension,
    read_expansion,
    read_limits,
    read_value,
    system,
    unit_named,
)

Gauges = Mapping[str, Mapping[str, str]]
"""What is known of gauges: their keys as text, by name."""


def described(job: Job) -> dict[str, dict[str, str]]:
    """Return the gauges copied into a job, by name; the last live description of each."""
    return described_by(job.live(GaugeDescribed))


def described_by(entries: Iterable[Entry]) -> dict[str, dict[str, str]]:
    """Return the gauges that some entries describe, by name; the last description of each."""
    return {e.gauge["name"]: e.told for e in entries if isinstance(e, GaugeDescribed)}


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
            try:
                told = checked_description(own, keys)
            except NotUnderstoodError as fault:
                raise NotUnderstoodError(f"Not recorded. {fault.message}", *fault.hint) from None
            return own, GaugeDescribed.model_validate({"gauge": {"name": own, **told}})
    names = [*known, *(own for own in cabinet if own not in known)]
    there = f" There are: {listed(names)}." if names else ""
    offered = name if GAUGE_NAME.allows(name) else "NAME"
    raise NotUnderstoodError(
        f"Not recorded. There is no gauge {quoted(name)} in your cabinet yet.{there}",
        f'Describe it once:  bedplate gauge add {offered} --resolution "1 tenth"',
        "Or leave --gauge out: then only the last digit you type counts as doubt.",
    )


def reads_differences(gauge: str | None, gauges: Gauges) -> bool:
    """Tell whether a gauge shows differences from what it was set to."""
    if gauge is None:
        return False
    return gauges.get(gauge.rpartition("/")[2], {}).get("reads") == "differences"


def refuse_other_kind(gauge: str | None, gauges: Gauges, unit: str, address: str) -> None:
    """Refuse a gauge whose figures measure something else than what is read on it.

    Its errors could not be weighed against the value.

    Args:
        gauge: what a value was read on, as the record names it.
        gauges: what is known of the gauges.
        unit: of the value.
        address: where it is read.
    """
    for name in split_gauge(gauge):
        keys = gauges.get(name or "", {})
        stated = next((keys[key] for key in FIGURES if key in keys), None)
        if stated is None:
            continue
        own, read = dimension(unit_in(stated)), dimension(unit)
        if own != read:
            raise NotUnderstoodError(
                f"Not recorded. {name} measures {a(own)}, and {address} is {a(read)}.",
                f"Leave --gauge out, or name another:  bedplate measure {address} VALUE -g GAUGE",
            )


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
        # A micrometer reads a little over its range; one turn of its thimble is not a slip.
        spare = _turn(unit)
        too_low = low is not None and value < low - spare
        if too_low or (high is not None and value > high + spare):
            return Doubt(f"{shown(typed)} is outside the range of {name}, {text}")
    return None


def _turn(unit: str) -> Fraction:
    if dimension(unit) != "length":
        return Fraction(0)
    turn, turn_unit = THIMBLE[system(unit) or "metric"]
    return convert(turn, turn_unit, unit)


def _too_fine(name: str, text: str, typed: Typed) -> Doubt | None:
    resolution = read_value(text, typed.unit)
    if resolution.low is None or typed.two_ended or not typed.step:
        return None
    step = convert(resolution.low, resolution.unit, typed.unit)
    # In another unit than the gauge's own a figure is seldom a whole number of its steps.
    if typed.low is None or typed.step >= step or (typed.low / step).denominator == 1:
        return None
    return Doubt(
        f"{shown(typed)} is finer than {name} reads ({decimal_text(step)} "
        f"{unit_named(typed.unit)})"
    )


FIGURES = ("resolution", "max_error", "zero_error", "repeatability", "uncertainty")
"""Keys of a gauge that say an error, each a figure with its unit."""


def checked_description(name: str, keys: Mapping[str, str]) -> dict[str, str]:
    """Return what is said of a gauge with every figure as the record keeps it.

    Args:
        name: of the gauge.
        keys: as typed, or as they stand in the cabinet.

    Raises:
        NotUnderstoodError: a figure that is none, is not above nought, has no unit, or measures
            something else than the others; an expansion that is no expansion.
    """
    told = dict(keys)
    kinds: dict[str, str] = {}
    for key in FIGURES:
        if key in told:
            told[key], kinds[key] = _figure(name, key, told[key])
    if "range" in told:
        kinds["range"] = dimension(_range_unit(name, told["range"]))
    if len(set(kinds.values())) > 1:
        first, *rest = kinds.items()
        odd = next(pair for pair in rest if pair[1] != first[1])
        raise NotUnderstoodError(
            f"{name}: its {first[0].replace('_', ' ')} is a {first[1]}, and its "
            f"{odd[0].replace('_', ' ')} a {odd[1]}."
        )
    if told.get("reads", "sizes") not in ("sizes", "differences"):
        raise NotUnderstoodError(
            f"{name} cannot read {quoted(told['reads'])}.", "It reads  sizes  or  differences"
        )
    if "expansion" in told:
        read_expansion(told["expansion"])
    return told


def _figure(name: str, key: str, text: str) -> tuple[str, str]:
    said = f"{name}: {key.replace('_', ' ')}"
    if text.strip().replace(".", "").replace(",", "").isdigit():
        raise NotUnderstoodError(
            f"{said} {quoted(text)} has no unit.", f'Type it with one:  "{text.strip()} mm"'
        )
    typed = read_value(text, unit_in(text))
    if typed.two_ended or typed.low is None:
        raise NotUnderstoodError(f"{said} is one figure, not {quoted(text)}.")
    nought_is_said = key in ("max_error", "zero_error", "repeatability")
    if typed.low < 0 or (typed.low == 0 and not nought_is_said):
        raise NotUnderstoodError(f"{said} must be above nought, and {quoted(text)} is not.")
    return typed.text, dimension(typed.unit)


def _range_unit(name: str, text: str) -> str:
    low, high, unit = read_limits(text, unit_in(text))
    if low is None or high is None or low == high:
        raise NotUnderstoodError(
            f"{name}: a range has two ends, unlike {quoted(text)}.", 'Such as  "0..1 in"'
        )
    return unit


def _day(text: str) -> date | None:
    """Return a day as written, None where a file from elsewhere says none."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def overdue(job: Job, today: date) -> tuple[str, ...]:
    """Return the gauges of a job that were used after the day they were due.

    Args:
        job: the job; a reading counts by the day it was taken, and so does a torque.
        today: the present day, for readings whose day cannot be told.
    """
    days = {name: _day(keys.get("due", "")) for name, keys in described(job).items()}
    due = {name: day for name, day in days.items() if day is not None}
    late: dict[str, None] = {}
    used: list[Reading | Fasteners] = [taken.entry for taken in job.readings.values()]
    for entry in [*used, *job.live(Fasteners)]:
        for name in split_gauge(entry.gauge):
            stamp = (entry.done_at or entry.at)[:10]
            day = date.fromisoformat(stamp) if stamp else today
            if name in due and day > due[name]:
                late[name] = None
    return tuple(late)
