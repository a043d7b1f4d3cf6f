"""What stands beside a new value: its nominal or limits, its repeats, its neighbours.

From the job as it is to the plain figures that `bedplate.assess.doubts` weighs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.doubts import (
    Beside,
    Doubt,
    Zero,
    apart,
    far_from_limits,
    far_from_nominal,
    scattered,
)
from bedplate.assess.estimates import Readings
from bedplate.assess.gauge_doubts import gauge_doubts, reads_differences
from bedplate.assess.gauges import Gauges
from bedplate.assess.limits import Where, band_here, base_unit, feature_unit, fit_unit, nominal_of
from bedplate.assess.written import split_gauge
from bedplate.metrology.axes import Spot
from bedplate.record.entries import AnyEntry, Reading, Setting, Strike
from bedplate.record.job import Job
from bedplate.sheet.model import Feature
from bedplate.units import Typed, convert, dimension, factor, read_value

STEPS_UNKNOWN = 10
"""Typed steps that two repeats may differ by where nothing is known of the gauge."""
STEPS_KNOWN = 5
"""Steps of its resolution that they may differ by where nothing more is known of it."""


class NewValue(NamedTuple):
    """A value about to be recorded.

    Attributes:
        spot: where it was read; the mark stands for the position of a part without a place.
        typed: what was typed; a deviation where ``nominal`` is given.
        nominal: what it was counted from.
        gauge: what it was read on, as the record names it.
        temp: the temperature it was taken at, as the entry keeps it.
        spare: whether a mark stands for the position.
    """

    spot: Spot
    typed: Typed
    nominal: str | None
    gauge: str | None
    temp: str | None
    spare: bool


def doubts(
    job: Job, new: NewValue, gauges: Gauges, proposed: Sequence[AnyEntry]
) -> Iterator[Doubt]:
    """Yield what is questionable in a new value, the gravest first.

    Args:
        job: the job as it stands.
        new: the value.
        gauges: what is known of the gauges.
        proposed: the entries to be recorded before it by the same request.
    """
    differences = reads_differences(new.gauge, gauges)
    nominal = _nominal(job, new)
    full = _in_full(new.typed, nominal if new.nominal is not None else None)
    zero = _zero(job, new) if differences else None
    if not differences or zero is not None:
        yield from _far(job, new, full, nominal, zero)
    known = _as_read(new.gauge, gauges) if differences else gauges
    yield from gauge_doubts(new.gauge, known, full)
    company = list(_company(job, new, proposed))
    yield from _beside(job, new, gauges, _like(new, company, differences=differences))


def _as_read(gauge: str | None, gauges: Gauges) -> Gauges:
    """Return the gauges without the range of one that shows differences: it is one of sizes."""
    name = split_gauge(gauge)[1] or ""
    keys = {key: text for key, text in gauges.get(name, {}).items() if key != "range"}
    return {**gauges, name: keys}


def _nominal(job: Job, new: NewValue) -> Fraction | None:
    found = nominal_of(job, new.spot)
    return convert(found[0], found[1], new.typed.unit) if found is not None else None


def _in_full(typed: Typed, nominal: Fraction | None) -> Typed:
    if nominal is None:
        return typed
    low, high = (None if end is None else end + nominal for end in (typed.low, typed.high))
    return replace(typed, low=low, high=high)


def _zero(job: Job, new: NewValue) -> Zero | None:
    """Return what a gauge of differences counts from; None while it waits for a new setting."""
    gauge, unit = split_gauge(new.gauge)[1] or "", new.typed.unit
    settings = _settings(job, gauge)
    if not settings:
        cure = f"gauge set {gauge} 0 --on SIZE"
        return Zero(Fraction(0), f"{gauge}, which was never set", cure)
    low, high = Readings(job).settled.offset(gauge) or (None, None)
    # Where it was set on a value with two ends, the middle is near enough to ask by.
    ends = [end for end in (low, high) if end is not None]
    if not ends:
        return None
    last = settings[-1]
    size = -sum(ends, Fraction(0)) / len(ends) * factor(base_unit(unit), unit)
    return Zero(size, f"{gauge}, set to {last.shown} on {last.reference}")


def _far(
    job: Job, new: NewValue, full: Typed, nominal: Fraction | None, zero: Zero | None
) -> Iterator[Doubt]:
    if nominal is not None:
        feature = job.layout.row(new.spot.tag, Feature)
        counts = not (feature.signed or zero or dimension(full.unit) == "temperature")
        found = far_from_nominal(full, nominal, zero, counts=counts and new.nominal is None)
    else:
        found = far_from_limits(full, *_limits(job, new.spot, full.unit), zero)
    if found is not None:
        yield found


def _limits(job: Job, spot: Spot, unit: str) -> tuple[Fraction | None, Fraction | None]:
    """Return the limits that a feature is held against by itself; none where there are none."""
    for fit in job.sheet.fit:
        if (fit.stack or "").strip().casefold() != spot.tag.casefold():
            continue
        own = fit_unit(job, fit, [spot.tag])
        names = frozenset(name.casefold() for name in (*spot.position, *spot.station))
        band = band_here(job, fit, Where(names, None), own)
        if band is not None:
            low, high = (
                None if end is None else end * factor(own, unit) for end in (band.low, band.high)
            )
            return low, high
    return None, None


# ---- what was read before


class _Read(NamedTuple):
    """A reading beside the new one.

    Attributes:
        spot: where it was taken.
        entry: it; its number is 0 where it is only proposed yet.
        value: in full, in the unit of the new one.
        step: the finest step typed.
        setting: number of the setting of its gauge that was in force.
    """

    spot: Spot
    entry: Reading
    value: Fraction
    step: Fraction
    setting: int


def _company(job: Job, new: NewValue, proposed: Sequence[AnyEntry]) -> Iterator[_Read]:
    """Yield the readings at all stations of the feature, on the same parts in the same lives.

    One that was questioned itself and kept is no measure for others.
    """
    struck = {entry.entry for entry in proposed if isinstance(entry, Strike)}
    unit = feature_unit(job, new.spot.tag)
    standing = job.standing_spare if new.spare else job.standing
    for station in job.layout.select(new.spot.tag, "feature").stations:
        spot = Spot(new.spot.tag, new.spot.position, station)
        entries = [t.entry for t in standing(spot) if t.entry.n not in struck]
        here = [e for e in proposed if isinstance(e, Reading) and e.address == str(spot)]
        for entry in (*entries, *here):
            typed = read_value(entry.value, unit) if entry.value is not None else None
            if typed is None or typed.two_ended or typed.low is None or entry.kept:
                continue
            value = convert(typed.low, typed.unit, new.typed.unit)
            if entry.nominal is not None:
                value += _size(entry.nominal, unit, new.typed.unit)
            step = typed.step * factor(typed.unit, new.typed.unit)
            yield _Read(spot, entry, value, step, _setting(job, entry))


def _size(text: str, unit: str, to: str) -> Fraction:
    typed = read_value(text, unit)
    return convert(typed.low, typed.unit, to) if typed.low is not None else Fraction(0)


def _setting(job: Job, entry: Reading) -> int:
    """Return the number of the setting in force at a reading, 0 where there was none."""
    settings = _settings(job, split_gauge(entry.gauge)[1])
    return max((s.n for s in settings if not entry.n or s.n < entry.n), default=0)


def _settings(job: Job, gauge: str | None) -> list[Setting]:
    """Return the settings of a gauge that stand, in order."""
    return [setting for setting in job.live(Setting) if setting.gauge == gauge]


def _like(new: NewValue, company: Sequence[_Read], *, differences: bool) -> list[_Read]:
    """Return the readings that can be compared: sizes with sizes, or of the very same setting."""
    if not differences:
        return list(company)
    return [read for read in company if read.entry.gauge == new.gauge]


def _beside(job: Job, new: NewValue, gauges: Gauges, company: Sequence[_Read]) -> Iterator[Doubt]:
    nominal = _nominal(job, new)
    full = _in_full(new.typed, nominal if new.nominal is not None else None)
    now = _setting(job, Reading(address=str(new.spot), value=full.text, gauge=new.gauge))
    repeats = [
        read
        for read in company
        if (read.spot, read.entry.gauge, read.entry.temp, read.setting)
        == (new.spot, new.gauge, new.temp, now)
    ]
    named = [Beside(r.value, f"entry {r.entry.n}" if r.entry.n else "typed") for r in repeats]
    known = gauges.get(split_gauge(new.gauge)[1] or "", {})
    step = min([full.step, *(read.step for read in repeats)])
    found = scattered(
        full, named, explained(known, step, full.unit), new.gauge or "the last digit"
    )
    if found is not None:
        yield found
    neighbours = [
        Beside(read.value - shift, f"@{'/'.join(read.spot.station)}")
        for read, shift in _shifted(job, new, company)
    ]
    if found is None and not repeats and (lonely := apart(full, neighbours)):
        yield lonely


def _shifted(
    job: Job, new: NewValue, company: Sequence[_Read]
) -> Iterator[tuple[_Read, Fraction]]:
    """Yield the neighbours, with how much their nominal lies above that of the new value."""
    own = nominal_of(job, new.spot)
    for read in company:
        if read.spot == new.spot:
            continue
        other = nominal_of(job, read.spot)
        shift = Fraction(0)
        if own is not None and other is not None:
            there, here = (convert(*found, new.typed.unit) for found in (other, own))
            shift = there - here
        yield read, shift


def explained(gauge: Mapping[str, str], step: Fraction, unit: str) -> tuple[Fraction, Fraction]:
    """Return what two repeats may differ by, and the variance that may add to it.

    Args:
        gauge: what is known of the gauge, its keys as text.
        step: the finest step typed; it stands for a resolution that is not known.
        unit: unit of both, and of ``step``.
    """
    resolution = _figure(gauge, "resolution", unit)
    least = resolution if resolution is not None else step
    repeatability = _figure(gauge, "repeatability", unit)
    if repeatability is not None:
        return least, repeatability**2
    error = _figure(gauge, "max_error", unit)
    if error is not None:
        return least + 2 * error, Fraction(0)
    return least * (STEPS_UNKNOWN if resolution is None else STEPS_KNOWN), Fraction(0)


def _figure(gauge: Mapping[str, str], key: str, unit: str) -> Fraction | None:
    if key not in gauge:
        return None
    typed = read_value(gauge[key], unit)
    return None if typed.low is None else typed.low * factor(typed.unit, unit)
