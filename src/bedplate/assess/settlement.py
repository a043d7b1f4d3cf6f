"""The readings of a job, corrected, as they are recorded one after another.

What a gauge was set on, how well it repeats and how finely it is read are known of all readings
together. They are gathered once and grown by what is recorded, so that one reading more costs what
it touches, however long the job is.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from bedplate.assess.limits import base_unit
from bedplate.assess.recorded import (
    gauge_from,
    in_base,
    part_expansion,
    scaled,
    typed_in_full,
)
from bedplate.assess.written import split_gauge, unit_in
from bedplate.errors import NotUnderstoodError
from bedplate.metrology import thermal
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Estimate, Gauge, combine
from bedplate.metrology.settings import Reading, Setting
from bedplate.metrology.settled import Settled
from bedplate.record import entries as record
from bedplate.record.job import Job, Taken
from bedplate.units import Typed, convert, dimension, read_temperature

ONE = Fraction(1)


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
    _scaled: dict[Fraction, Estimate] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def scaled(self, scale: Fraction) -> Estimate:
        """Return the estimate in a unit of which the base unit has ``scale``.

        Raises:
            ValueError: there is none.
        """
        if self.estimate is None:
            raise ValueError("nothing was read here, or it waits")
        if scale == 1:
            return self.estimate
        if scale not in self._scaled:
            self._scaled[scale] = combine([(scale, self.estimate)])
        return self._scaled[scale]


class Settlement:
    """The readings of one job with all that they have in common.

    Made by `Settlement.of`, which is the only one to change it.

    Attributes:
        gauges: the gauges of the job by name, every figure in its base unit.
        typed: the value of every reading that has one, as typed (from nominal: in full).
        steps: one in the last digit of each, in its base unit; 0 for a bracket.
        settled: every live reading, corrected for settings and temperature, in its base unit.
    """

    def __init__(self, job: Job) -> None:
        self._job = job
        self._begin()

    @classmethod
    def of(cls, job: Job) -> Settlement:
        """Return the settlement of a job as it stands.

        Of one job it is always the same, grown by what was recorded since.

        Raises:
            StorageError: a text in the record is no value of its feature.
        """
        found = job.followed(cls)
        found._follow()
        return found

    def _begin(self) -> None:
        """Take in the whole job: of each gauge the last live description counts, for all."""
        self.gauges: dict[str, Gauge] = {
            entry.gauge["name"]: gauge_from(entry.told)
            for entry in self._job.live(record.GaugeDescribed)
        }
        self.typed: dict[int, Typed] = {}
        self.steps: dict[int, Fraction] = {}
        self.settled = Settled(self.gauges)
        self._last = self._readings = 0
        self._read_at: dict[str, Spot] = {}
        self._known: dict[tuple[int, ...], Known] = {}
        self._forgotten = self.settled.forgotten
        for entry in self._job.entries:
            self._take(entry)

    def known(self, numbers: tuple[int, ...]) -> Known:
        """Return what is known of an address where these readings stand, each with a value."""
        if self._forgotten != self.settled.forgotten:
            self._known, self._forgotten = {}, self.settled.forgotten
        if numbers not in self._known:
            self._known[numbers] = Known(self.settled.mean(numbers))
        return self._known[numbers]

    def _follow(self) -> None:
        """Take in what was recorded since."""
        new = self._job.entries[self._last :]
        if any(map(self._unsettles, new)):
            self._begin()
            return
        for entry in new:
            self._take(entry)

    def _unsettles(self, entry: record.AnyEntry) -> bool:
        """Tell whether an entry makes something else of earlier ones.

        Another description of a gauge does, and a change of parts: by it an address that a gauge
        was set on can come to name something else. (A strike or another sheet makes another job.)
        """
        if isinstance(entry, record.GaugeDescribed):
            return entry.gauge["name"] in self.gauges
        return isinstance(entry, record.Changed)

    def _take(self, entry: record.AnyEntry) -> None:
        if isinstance(entry, record.Reading):
            self._take_reading(self._job.all_readings[self._readings])
            self._readings += 1
        elif isinstance(entry, record.Setting) and self._job.is_live(entry.n):
            self._name(entry.gauge, entry.in_)
            self.settled.take(self._setting(entry))
        elif isinstance(entry, record.GaugeDescribed) and self._job.is_live(entry.n):
            self.gauges.setdefault(entry.gauge["name"], gauge_from(entry.told))
        self._last = entry.n

    def _name(self, *names: str | None) -> None:
        """Note gauges that may be named without being described."""
        for name in names:
            if name and name not in self.gauges:
                self.gauges[name] = Gauge(name)

    def _take_reading(self, taken: Taken) -> None:
        """Take a reading; a struck one too, for a gauge may have been set on it."""
        typed = typed_in_full(self._job, taken) if taken.entry.value is not None else None
        self._name(*split_gauge(taken.entry.gauge))
        if typed is not None:
            reading = self._reading(taken, typed)
            self.typed[reading.n], self.steps[reading.n] = typed, reading.step
            self.settled.take(reading)
        self._read_at[str(taken.spot)] = taken.spot

    def _reading(self, taken: Taken, typed: Typed) -> Reading:
        entry = taken.entry
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
            struck=self._job.struck.get(entry.n),
        )

    def _setting(self, entry: record.Setting) -> Setting:
        base = base_unit(unit_in(entry.shown))
        return Setting(
            n=entry.n,
            gauge=entry.gauge,
            shown=in_base(entry.shown, base),
            reference=self._reference(entry, base),
            within=entry.in_,
        )

    def _reference(self, entry: record.Setting, base: str) -> Fraction | Spot:
        """Return what a gauge stood at: a size, or the address of the reading it was set on."""
        text = entry.reference or f"0 {base}"
        try:
            (spot,) = self._job.select(text).spots
        except (NotUnderstoodError, ValueError):
            # A part that has a place now was read by its mark while it had none.
            return self._read_at[text] if text in self._read_at else in_base(text, base)
        return spot

    def _temperature_factor(self, taken: Taken, unit: str) -> Fraction:
        entry = taken.entry
        known = self._job.layout.find(taken.spot.tag, "feature") is not None
        if entry.temp is None or dimension(unit) != "length" or not known:
            return ONE
        part = read_temperature(entry.temp)
        gauge = read_temperature(entry.gauge_temp) if entry.gauge_temp else part
        expansion = part_expansion(self._job, taken.spot.tag)
        if expansion is None:
            return ONE
        read_on = split_gauge(entry.gauge)[1]
        own = self.gauges[read_on].expansion if read_on else None
        return thermal.correction(expansion, part, own, gauge)
