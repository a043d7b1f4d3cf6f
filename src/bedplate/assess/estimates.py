"""From the readings of a job to what is known of each address.

Everything of one dimension is reckoned in one base unit (lengths in metres, as exact fractions),
so that gauges and their shared errors mean the same wherever they were used; a fit converts once.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

from bedplate.assess.limits import base_unit, feature_unit
from bedplate.errors import BedplateError, NotUnderstoodError, StorageError
from bedplate.metrology import error, thermal
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Estimate, Gauge
from bedplate.metrology.settings import Reading, Setting, Settled, settle
from bedplate.record import entries as record
from bedplate.record.job import Job, Taken
from bedplate.sheet.model import Component, Feature
from bedplate.text import quoted
from bedplate.units import (
    Typed,
    convert,
    dimension,
    factor,
    read_expansion,
    read_temperature,
    read_value,
    unit_named,
)

ONE = Fraction(1)

_UNIT_AT_END = re.compile(r"[^\W\d_][^\W\d]*(?:[*/^ ·_][^\W_]+)*$|%$|\"$")


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one address.

    Attributes:
        estimate: the mean of the readings that stand there, in the base unit; None while one of
            them waits for a new setting of its gauge.
        left_out: why the address is left out on purpose; then there is no estimate.
    """

    estimate: Estimate | None
    left_out: str | None = None


def split_gauge(name: str | None) -> tuple[str | None, str | None]:
    """Return what a value was felt with and what it was read on.

    >>> split_gauge("tg/mic1"), split_gauge("mic1")
    (('tg', 'mic1'), (None, 'mic1'))
    """
    if name is None:
        return None, None
    felt, slash, read = name.partition("/")
    return (felt, read) if slash else (None, felt)


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
    def gauges(self) -> dict[str, Gauge]:
        """The gauges of the job by name, every figure in its base unit."""
        described = {
            entry.gauge["name"]: gauge_from(entry.told)
            for entry in self.job.live(record.GaugeDescribed)
        }
        return described | {
            name: Gauge(name) for name in self._gauges_named() if name not in described
        }

    def _gauges_named(self) -> Iterator[str]:
        for reading in self.job.all_readings:  # a struck one too: a gauge may have been set on it
            yield from (name for name in split_gauge(reading.entry.gauge) if name)
        for setting in self.job.live(record.Setting):
            yield from (name for name in (setting.gauge, setting.in_) if name)

    @cached_property
    def typed(self) -> dict[int, Typed]:
        """The value of every reading that has one, as typed (from nominal: in full)."""
        return {
            taken.entry.n: typed_in_full(self.job, taken)
            for taken in self.job.all_readings
            if taken.entry.value is not None
        }

    @cached_property
    def settled(self) -> Settled:
        """Every live reading, corrected for settings and temperature, in its base unit."""
        events: list[Setting | Reading] = [
            self._reading(taken) for taken in self.job.all_readings if taken.entry.n in self.typed
        ]
        events += [self._setting(entry) for entry in self.job.live(record.Setting)]
        return settle(events, self.gauges)

    def _reading(self, taken: Taken) -> Reading:
        entry, typed = taken.entry, self.typed[taken.entry.n]
        base = base_unit(typed.unit)
        felt, read = split_gauge(entry.gauge)
        low, high = (
            None if e is None else convert(e, typed.unit, base) for e in (typed.low, typed.high)
        )
        return Reading(
            n=entry.n,
            spot=taken.spot,
            low=low,
            high=high,
            gauge=read,
            felt=felt,
            life=taken.key,
            factor=self._temperature_factor(taken, typed.unit),
            step=scaled(typed.step, typed.unit, base),
            struck=self.job.struck.get(entry.n),
        )

    def _setting(self, entry: record.Setting) -> Setting:
        gauge = self.gauges[entry.gauge]
        base = self._base_of(entry)
        return Setting(
            n=entry.n,
            gauge=gauge.name,
            shown=in_base(entry.shown, base),
            reference=self._reference(entry, base),
            within=entry.in_,
        )

    def _base_of(self, entry: record.Setting) -> str:
        return base_unit(unit_in(entry.shown))

    def _reference(self, entry: record.Setting, base: str) -> Fraction | Spot:
        """Return what a gauge stood at: a size, or the address of the reading it was set on."""
        text = entry.reference or f"0 {base}"
        try:
            (spot,) = self.job.select(text).spots
        except (NotUnderstoodError, ValueError):
            # A part that has a place now was read by its mark while it had none.
            before = [taken.spot for taken in self.job.all_readings if taken.entry.n < entry.n]
            read = [spot for spot in before if str(spot) == text]
            return read[-1] if read else in_base(text, base)
        return spot

    def _temperature_factor(self, taken: Taken, unit: str) -> Fraction:
        entry = taken.entry
        known = self.job.layout.find(taken.spot.tag, "feature") is not None
        if entry.temp is None or dimension(unit) != "length" or not known:
            return ONE
        part = read_temperature(entry.temp)
        gauge = read_temperature(entry.gauge_temp) if entry.gauge_temp else part
        expansion = part_expansion(self.job, taken.spot.tag)
        if expansion is None:
            return ONE
        read_on = split_gauge(entry.gauge)[1]
        own = self.gauges[read_on].expansion if read_on else None
        return thermal.correction(expansion, part, own, gauge)

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
        numbers = [taken.entry.n for taken in standing if taken.entry.value is not None]
        if not numbers:
            return Known(None, left_out=standing[-1].entry.left_out)
        estimates = [self.settled.estimates[n] for n in numbers if n in self.settled.estimates]
        if len(estimates) < len(numbers):
            return Known(None)
        return Known(error.average(estimates))

    def step(self, n: int) -> Fraction:
        """Return the step of a reading as typed, in its base unit; 0 for a bracket."""
        typed = self.typed[n]
        return scaled(typed.step, typed.unit, base_unit(typed.unit))


def typed_in_full(job: Job, taken: Taken) -> Typed:
    """Return the value of a reading; what was counted from nominal has the nominal added.

    Raises:
        StorageError: the text in the record is no value of the feature.
    """
    entry = taken.entry
    text = entry.value or ""
    try:
        unit = feature_unit(job, taken.spot.tag) if taken.stranded is None else unit_in(text)
        typed = read_value(text, unit)
        if entry.nominal is None:
            return typed
        nominal = read_value(entry.nominal, unit)
    except BedplateError as fault:
        raise StorageError(f"Not read. Entry {entry.n}: {fault.message}") from fault
    if nominal.low is None:
        raise StorageError(f"Not read. Entry {entry.n} counts from a nominal with an open end.")
    shift = convert(nominal.low, nominal.unit, typed.unit)
    ends = [None if end is None else end + shift for end in (typed.low, typed.high)]
    return Typed(typed.text, typed.unit, ends[0], ends[1], typed.step, typed.sign, typed.two_ended)


def unit_in(text: str) -> str:
    """Return the unit that a text of the record ends in.

    >>> unit_in("0.700 in+3 tenths"), unit_in("17 lbf*ft")
    ('tenth', 'lbf*ft')
    """
    found = _UNIT_AT_END.search(text.strip())
    if found is None:
        raise NotUnderstoodError(f"{quoted(text)} has no unit.")
    return unit_named(found[0])


def in_base(text: str, base: str) -> Fraction:
    """Return a size in the base unit of its dimension.

    Raises:
        NotUnderstoodError: it is none, or has two ends.
    """
    typed = read_value(text, base)
    if typed.low is None or typed.two_ended:
        raise NotUnderstoodError(f"A size is one figure, not {text}.")
    return convert(typed.low, typed.unit, base)


def scaled(step: Fraction, unit: str, to: str) -> Fraction:
    """Return a difference in another unit (a temperature's nought does not matter)."""
    return step * factor(unit, to)


def gauge_from(described: dict[str, str]) -> Gauge:
    """Return a gauge as the arithmetic sees it, its figures in their base units.

    Args:
        described: its keys and texts, as the record keeps them.
    """

    def figure(key: str) -> Fraction | None:
        if key not in described:
            return None
        typed = read_value(described[key], unit_in(described[key]))
        if typed.low is None:
            raise NotUnderstoodError(f"{key} of {described['name']} is one figure.")
        return scaled(typed.low, typed.unit, base_unit(typed.unit))

    return Gauge(
        name=described["name"],
        kind=described.get("kind", ""),
        reads=described.get("reads", "sizes"),
        resolution=figure("resolution"),
        max_error=figure("max_error"),
        zero_error=figure("zero_error"),
        repeatability=figure("repeatability"),
        uncertainty=figure("uncertainty"),
        expansion=read_expansion(described["expansion"]) if "expansion" in described else None,
    )


@lru_cache(maxsize=256)
def _expansion_of(expansion: str | None, material: str | None) -> Fraction | None:
    if expansion is not None:
        return read_expansion(expansion)
    known = thermal.material_named(material) if material is not None else None
    return known.expansion if known is not None else None


def component_expansion(component: Component) -> Fraction | None:
    """Return how much a component grows per °C: its own figure, else its material's."""
    return _expansion_of(component.expansion, component.material)


def part_expansion(job: Job, tag: str) -> Fraction | None:
    """Return how much the parts a feature rests on grow per °C, None unless all have one."""
    components = job.layout.row(tag, Feature).components
    found = {component_expansion(job.layout.row(name, Component)) for name in components}
    return found.pop() if len(found) == 1 else None
