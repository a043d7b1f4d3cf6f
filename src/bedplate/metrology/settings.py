"""What readings come to once the gauges' settings are taken off, and what error they carry.

A setting says what a gauge stood at and what it then showed. In force at a reading is the last
setting of that gauge before it: offset = shown − reference, corrected = typed − offset. (A gauge
that reads differences is the same sum: reference + typed − shown.) A gauge set on a reading
carries that reading's draws along; one set in another gauge carries that gauge's zero and
maximum error, and what that gauge had itself been set from. A setting looks back only, so two
gauges set in each other come to an end by themselves.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import (
    LEAST_FREEDOM,
    ZERO,
    Draw,
    Estimate,
    Gauge,
    is_whole_report,
    pooled_repeatability,
    reading_draws,
    rectangular,
)

Ends = tuple[Fraction | None, Fraction | None]


@dataclass(frozen=True, slots=True)
class Setting:
    """A live setting: what a gauge stood at, and what it showed.

    Attributes:
        n: its entry number.
        gauge: what was set.
        shown: what it showed.
        reference: what it stood at: a size, or the address of the reading it was set on.
        within: the gauge it was set in, if any.
    """

    n: int
    gauge: str
    shown: Fraction
    reference: Fraction | Spot
    within: str | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading as typed, in the fit's unit.

    Attributes:
        n: its entry number.
        spot: the address read.
        low, high: what was typed, equal for one figure; None is an open end.
        gauge: what it was read on, or None.
        felt: what it was felt with, where that is another gauge (TG of ``TG/MIC``).
        life: whatever tells parts and lives apart: only repeats on one life are pooled.
        factor: the temperature correction, applied after the offset.
        step: one in the last digit typed; 0 for a bracket.
        struck: the number of the strike that crossed it out, or None.
    """

    n: int
    spot: Spot
    low: Fraction | None
    high: Fraction | None
    gauge: str | None = None
    felt: str | None = None
    life: Hashable = 1
    factor: Fraction = Fraction(1)
    step: Fraction = ZERO
    struck: int | None = None

    @property
    def is_bracket(self) -> bool:
        """Whether two ends were typed, or an open one."""
        return self.low is None or self.low != self.high

    @property
    def called(self) -> str:
        """What the gauge goes by when readings are pooled: ``mic1``, ``tg/mic1``, or nothing."""
        return "/".join(name for name in (self.felt, self.gauge) if name)


class Pool(NamedTuple):
    """The scatter of one gauge's repeats in this job.

    Attributes:
        variance: of one reading; 0 below five degrees of freedom.
        freedom: degrees of freedom.
    """

    variance: Fraction
    freedom: int


@dataclass(frozen=True, slots=True)
class Basis:
    """What a reading's uncertainty rests on, for what is said beside it.

    Attributes:
        setting: the setting in force, 0 for none.
        step: the typed step that stands for the resolution, None where one is stated.
        described: whether anything but the typed step counts.
        scatter: ``stated``, ``pooled`` or ``unknown``.
    """

    setting: int
    step: Fraction | None
    described: bool
    scatter: str


@dataclass(frozen=True, slots=True)
class Settled:
    """Every live reading, corrected.

    Attributes:
        estimates: by entry number; without those that wait.
        waiting: readings that wait for a new setting, with the setting that fell.
        bases: what each estimate rests on, by entry number.
        pools: the pooled scatter by what the gauge goes by.
        variances: of every draw.
        offsets: what each gauge shows too much by its last setting; without those that wait.
    """

    estimates: Mapping[int, Estimate]
    waiting: Mapping[int, int]
    bases: Mapping[int, Basis]
    pools: Mapping[str, Pool]
    variances: Mapping[Draw, Fraction]
    offsets: Mapping[str, Ends]


@dataclass(frozen=True, slots=True)
class _Stand:
    """How a gauge stands after its last setting.

    Attributes:
        n: that setting, 0 before the first.
        offset: what it shows too much, low and high (two ends where it was set on a bracket).
        sources: the readings whose draws it carries along.
        along: the draws of other gauges it carries along.
        waits: whether the reading it was set on has been struck since.
    """

    n: int = 0
    offset: Ends = (ZERO, ZERO)
    sources: tuple[int, ...] = ()
    along: Mapping[Draw, Fraction] = field(default_factory=dict)
    waits: bool = False


_NEVER_SET = _Stand()


def settle(events: Iterable[Setting | Reading], gauges: Mapping[str, Gauge]) -> Settled:
    """Return what every live reading comes to, with the draws it carries.

    Args:
        events: the live settings, and all readings, struck ones too (a setting on an address
            rests on the last reading that was live there when it was made), in any order.
        gauges: the gauges by name; every gauge an event names.

    Raises:
        KeyError: an event names a gauge that is not there.

    >>> mic = Gauge("mic1", resolution=Fraction(1, 10000), zero_error=Fraction(1, 10000))
    >>> standard = Setting(1, "mic1", Fraction("1.0002"), Fraction(1))
    >>> typed = Fraction("0.9979")
    >>> reading = Reading(2, Spot("H"), typed, typed, "mic1")
    >>> settle([standard, reading], {"mic1": mic}).estimates[2].low == Fraction("0.9977")
    True
    """
    bench = _Bench(gauges)
    for event in sorted(events, key=lambda event: event.n):
        if isinstance(event, Setting):
            bench.set(event)
        else:
            bench.read(event)
    return bench.settled()


class _Bench:
    """The gauges as they stand while the events pass by in order."""

    def __init__(self, gauges: Mapping[str, Gauge]) -> None:
        self.gauges = gauges
        self.stands: dict[str, _Stand] = {}
        self.at: dict[Spot, list[Reading]] = {}
        self.raw: dict[int, Ends] = {}
        self.live: list[tuple[Reading, _Stand]] = []
        self.waiting: dict[int, int] = {}

    def set(self, setting: Setting) -> None:
        """Take note of a setting: from here on the gauge stands by it."""
        reference, source = self.reference(setting)
        if reference is None:
            self.stands[setting.gauge] = _Stand(setting.n, waits=True)
            return
        sources = () if source is None else (source,)
        along: Mapping[Draw, Fraction] = {}
        if setting.within is not None and setting.within != setting.gauge:
            inner = self.stands.get(setting.within, _NEVER_SET)
            along = {**inner.along, **self.carried(setting, inner)}
            sources = tuple(dict.fromkeys((*sources, *inner.sources)))
        low, high = (None if end is None else setting.shown - end for end in reference)
        self.stands[setting.gauge] = _Stand(setting.n, (low, high), sources, along)

    def reference(self, setting: Setting) -> tuple[Ends | None, int | None]:
        """Return what the gauge stood at, and the reading that says so; None if it fell."""
        if isinstance(setting.reference, Fraction):
            return (setting.reference, setting.reference), None
        then_live = [
            reading
            for reading in self.at.get(setting.reference, [])
            if reading.struck is None or reading.struck > setting.n
        ]
        if not then_live or then_live[-1].struck is not None:
            return None, None
        return self.raw.get(then_live[-1].n), then_live[-1].n

    def carried(self, setting: Setting, inner: _Stand) -> dict[Draw, Fraction]:
        """Return the zero and maximum error of the gauge a setting was made in."""
        gauge = self.gauges[setting.within or ""]
        place: tuple[object, ...] = ("setting", setting.n)
        if isinstance(setting.reference, Spot):
            place = (setting.reference.tag, setting.reference.position)
        drawn = {
            Draw("max_error", (gauge.name, *place)): rectangular(gauge.max_error),
            Draw("zero_error", (gauge.name, inner.n)): rectangular(gauge.zero_error),
        }
        return {draw: square for draw, square in drawn.items() if square}

    def read(self, reading: Reading) -> None:
        """Take a reading's offset off, if what its gauge was set on still stands."""
        self.at.setdefault(reading.spot, []).append(reading)
        if reading.struck is not None:
            return
        stand = self.stands.get(reading.gauge or "", _NEVER_SET)
        if stand.waits:
            self.waiting[reading.n] = stand.n
            return
        low, high = stand.offset
        self.raw[reading.n] = (_less(reading.low, low), _less(reading.high, high))
        self.live.append((reading, stand))

    def settled(self) -> Settled:
        """Return the whole, once every event has passed."""
        scatters = _Scatters(self)
        variances: dict[Draw, Fraction] = {}
        bases: dict[int, Basis] = {}
        estimates: dict[int, Estimate] = {}
        steps = self.steps()
        for reading, stand in self.live:
            scatter, how = scatters.of(reading)
            step = steps.get((reading.spot.tag, reading.called), ZERO)
            own = self.own_draws(reading, stand, step, scatter)
            variances |= {**stand.along, **own}
            low, high = self.at_20(reading)
            carried = _carried_draws(stand, estimates)
            draws = {draw: carried.get(draw, ZERO) + (draw in own) for draw in {**own, **carried}}
            estimates[reading.n] = Estimate(low, high, draws, variances, (reading.n,))
            bases[reading.n] = self.basis(reading, stand, step, how)
        offsets = {name: at.offset for name, at in self.stands.items() if not at.waits}
        return Settled(estimates, self.waiting, bases, scatters.pools, variances, offsets)

    def at_20(self, reading: Reading) -> Ends:
        """Return a live reading corrected for offset, then for temperature."""
        low, high = self.raw[reading.n]
        factor = reading.factor
        return None if low is None else low * factor, None if high is None else high * factor

    def steps(self) -> dict[tuple[str, str], Fraction]:
        """Return the finest step typed, by feature and by what the gauge goes by."""
        finest: dict[tuple[str, str], Fraction] = {}
        typed = [reading for reading, _ in self.live]
        for reading in typed + self.waiting_readings():
            key = reading.spot.tag, reading.called
            if reading.step and not reading.is_bracket:
                finest[key] = min(reading.step, finest.get(key, reading.step))
        return finest

    def waiting_readings(self) -> list[Reading]:
        """Return the live readings that wait for a new setting."""
        return [read for reads in self.at.values() for read in reads if read.n in self.waiting]

    def own_draws(
        self, reading: Reading, stand: _Stand, step: Fraction, scatter: Fraction
    ) -> dict[Draw, Fraction]:
        """Return the draws that are the reading's own, with the width of a bracket."""
        gauge = self.gauges[reading.gauge] if reading.gauge else None
        own = reading_draws(
            reading.n,
            reading.spot,
            gauge,
            setting=stand.n,
            step=step,
            scatter=scatter,
            called=reading.called,
        )
        low, high = self.at_20(reading)
        if low is not None and high is not None and low != high:
            own[Draw("width", (reading.n,))] = (high - low) ** 2 / 12
        return own

    def basis(self, reading: Reading, stand: _Stand, step: Fraction, how: str) -> Basis:
        """Return what a reading's uncertainty rests on, for what is said beside it."""
        gauge = self.gauges[reading.gauge] if reading.gauge else None
        whole = gauge is not None and is_whole_report(gauge)
        stated = gauge is not None and (gauge.resolution is not None or whole)
        described = whole or any(gauge.described for gauge in self.named(reading))
        return Basis(stand.n, None if stated else step, described, how)

    def named(self, reading: Reading) -> list[Gauge]:
        """Return the gauges a reading was taken with: felt with one, read on the other."""
        return [self.gauges[name] for name in (reading.felt, reading.gauge) if name]


class _Scatters:
    """The scatter of one reading: stated of all its gauges, or pooled, or 0."""

    def __init__(self, bench: _Bench) -> None:
        self.bench = bench
        groups: dict[str, dict[tuple[Spot, Hashable], list[Fraction]]] = {}
        for reading, _ in bench.live:
            figure, _high = bench.at_20(reading)
            if figure is not None and not reading.is_bracket and self.is_pooled(reading):
                address = groups.setdefault(reading.called, {})
                address.setdefault((reading.spot, reading.life), []).append(figure)
        self.pools = {
            called: Pool(*pooled_repeatability(by_life.values()))
            for called, by_life in groups.items()
        }

    def is_pooled(self, reading: Reading) -> bool:
        """Tell whether a reading's scatter is to be found from repeats."""
        gauges = self.bench.named(reading)
        stated = all(gauge.repeatability is not None for gauge in gauges)
        return any(gauge.described for gauge in gauges) and not stated

    def of(self, reading: Reading) -> tuple[Fraction, str]:
        """Return the variance of one reading, and how it is known."""
        gauges = self.bench.named(reading)
        stated = sum(((gauge.repeatability or ZERO) ** 2 for gauge in gauges), ZERO)
        if gauges and all(gauge.repeatability is not None for gauge in gauges):
            return stated, "stated"
        pool = self.pools.get(reading.called)
        if pool is not None and pool.freedom >= LEAST_FREEDOM:
            return pool.variance, "pooled"
        return stated, "unknown"


def _less(end: Fraction | None, offset: Fraction | None) -> Fraction | None:
    return None if end is None or offset is None else end - offset


def _carried_draws(stand: _Stand, estimates: Mapping[int, Estimate]) -> dict[Draw, Fraction]:
    """Return what a gauge set from elsewhere carries along, each draw once."""
    carried: dict[Draw, Fraction] = {}
    for source in stand.sources:
        for draw, count in estimates[source].draws.items():
            carried[draw] = carried.get(draw, ZERO) + count
    return {**dict.fromkeys(stand.along, Fraction(1)), **carried}
