"""Gauges at the moment of reading: their copy in the job, and what they cannot have shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from bedplate.assess.written import split_gauge, unit_in
from bedplate.cabinet.settings import GAUGE_NAME
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Entry, Fasteners, GaugeDescribed, Reading
from bedplate.record.job import Job
from bedplate.text import listed, quoted, shell
from bedplate.units import (
    dimension,
    read_expansion,
    read_limits,
    read_value,
    system,
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
    job: Job, name: str, cabinet: Mapping[str, Mapping[str, str]], unit: str | None = None
) -> tuple[str, GaugeDescribed | None]:
    """Return a gauge's name as the record spells it, and its copy if this is its first use.

    Args:
        job: the job.
        name: as typed, case aside.
        cabinet: the user's gauges by name.
        unit: of what is read on it, that of the sheet where it is not said.

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
        f'Describe it once:  bedplate gauge add {offered} --resolution "{_step(job, unit)}"',
        "Or leave --gauge out: then only the last digit you type counts as doubt.",
    )


def _step(job: Job, unit: str | None) -> str:
    """Return a resolution such as a gauge has that reads a unit: ``0.01 mm``, ``1 N*m``."""
    unit = unit or job.sheet.unit or "mm"
    if dimension(unit) != "length":
        return f"1 {unit}"
    return "0.01 mm" if system(unit) == "metric" else "1 tenth"


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


def described_again(name: str, keys: Mapping[str, str], key: str, value: str) -> str:
    """Return the command that describes a gauge as before but for one key.

    A gauge is described as a whole, so the command says again what is known of it.

    >>> described_again("mic1", {"resolution": "1 tenth"}, "due", "DATE")
    'bedplate gauge add mic1 --resolution "1 tenth" --due DATE'
    """
    kept = {k: text for k, text in keys.items() if k not in ("name", key)}
    told = "".join(f" --{k.replace('_', '-')} {shell(text)}" for k, text in kept.items())
    return f"bedplate gauge add {shell(name)}{told} --{key.replace('_', '-')} {value}"


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
