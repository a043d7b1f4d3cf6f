"""How gauges stand while settings and readings pass by, and what readings come to by it.

A setting says what a gauge stood at and what it then showed. In force at a reading is the last
setting of that gauge before it: offset = shown − reference, corrected = typed − offset. (A gauge
that reads differences is the same sum: reference + typed − shown.) A gauge set on a reading
carries that reading's draws along; one set in another gauge carries that gauge's zero and
maximum error, and what that gauge had itself been set from. A setting looks back only, so two
gauges set in each other come to an end by themselves.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import ZERO, Draw, Gauge, rectangular
from bedplate.metrology.scatter import LEAST_FREEDOM, Scatter

Ends = tuple[Fraction | None, Fraction | None]


class Setting(NamedTuple):
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


class Reading(NamedTuple):
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


@dataclass(frozen=True, slots=True)
class Stand:
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


NEVER_SET = Stand()


class Bench:
    """The gauges as they stand while the events pass by in order.

    Args:
        gauges: the gauges by name.

    Attributes:
        live: the live readings that do not wait, by number, each with how its gauge stood.
        raw: what they come to without the offset, before the temperature correction.
        waiting: live readings that wait for a new setting, with the setting that fell.
        steps: the finest step typed, by feature and by what the gauge goes by; of those that
            wait too.
        scatters: the repeats by what the gauge goes by, where its scatter is to be found.
    """

    def __init__(self, gauges: Mapping[str, Gauge]) -> None:
        self.gauges = gauges
        self.live: dict[int, tuple[Reading, Stand]] = {}
        self.raw: dict[int, Ends] = {}
        self.waiting: dict[int, int] = {}
        self.steps: dict[tuple[str, str], Fraction] = {}
        self.scatters: dict[str, Scatter] = {}
        self._stands: dict[str, Stand] = {}
        self._at: dict[Spot, list[Reading]] = {}

    def set(self, setting: Setting) -> None:
        """Take note of a setting: from here on the gauge stands by it."""
        reference, source = self._reference(setting)
        if reference is None:
            self._stands[setting.gauge] = Stand(setting.n, waits=True)
            return
        sources = () if source is None else (source,)
        along: Mapping[Draw, Fraction] = {}
        if setting.within is not None and setting.within != setting.gauge:
            inner = self._stands.get(setting.within, NEVER_SET)
            along = {**inner.along, **self._carried(setting, inner)}
            sources = tuple(dict.fromkeys((*sources, *inner.sources)))
        low, high = (None if end is None else setting.shown - end for end in reference)
        self._stands[setting.gauge] = Stand(setting.n, (low, high), sources, along)

    def offset(self, gauge: str) -> Ends | None:
        """Return what a gauge shows too much by its last setting, None without one that counts."""
        stand = self._stands.get(gauge)
        return None if stand is None or stand.waits else stand.offset

    def _reference(self, setting: Setting) -> tuple[Ends | None, int | None]:
        """Return what the gauge stood at, and the reading that says so; None if it fell."""
        if isinstance(setting.reference, Fraction):
            return (setting.reference, setting.reference), None
        then_live = (
            reading
            for reading in reversed(self._at.get(setting.reference, ()))
            if reading.struck is None or reading.struck > setting.n
        )
        last = next(then_live, None)
        if last is None or last.struck is not None:
            return None, None
        return self.raw.get(last.n), last.n

    def _carried(self, setting: Setting, inner: Stand) -> dict[Draw, Fraction]:
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

    def read(self, reading: Reading) -> bool:
        """Take a reading's offset off, if what its gauge was set on still stands.

        Returns:
            Whether readings before it come to something else by it, having a finer step in
            common, or more repeats.
        """
        named = self.named(reading)
        self._at.setdefault(reading.spot, []).append(reading)
        if reading.struck is not None:
            return False
        finer = self._note_step(reading)
        stand = self._stands.get(reading.gauge or "", NEVER_SET)
        if stand.waits:
            self.waiting[reading.n] = stand.n
            return finer
        low, high = stand.offset
        self.raw[reading.n] = (_less(reading.low, low), _less(reading.high, high))
        self.live[reading.n] = reading, stand
        pooled = not reading.is_bracket and _is_pooled(named) and self._pool(reading)
        return finer or pooled

    def _note_step(self, reading: Reading) -> bool:
        """Note a step if it is the finest of its feature and gauge; return whether it is."""
        key = reading.spot.tag, reading.called
        finest = self.steps.get(key)
        if not reading.step or reading.is_bracket or (finest or reading.step) < reading.step:
            return False
        self.steps[key] = reading.step
        return finest != reading.step

    def _pool(self, reading: Reading) -> bool:
        """Add a figure to the scatter of its gauge; return whether that changes it."""
        figure, _ = self.at_20(reading)
        if figure is None:
            return False
        scatter = self.scatters.setdefault(reading.called, Scatter())
        repeats = scatter.take((reading.spot, reading.life), figure)
        return repeats and scatter.freedom >= LEAST_FREEDOM

    def named(self, reading: Reading) -> list[Gauge]:
        """Return the gauges a reading was taken with: felt with one, read on the other."""
        return [self.gauges[name] for name in (reading.felt, reading.gauge) if name]

    def at_20(self, reading: Reading) -> Ends:
        """Return a live reading corrected for offset, then for temperature."""
        low, high = self.raw[reading.n]
        factor = reading.factor
        return None if low is None else low * factor, None if high is None else high * factor


def _is_pooled(gauges: Sequence[Gauge]) -> bool:
    """Tell whether a reading's scatter is to be found from repeats: its gauges do not state it."""
    stated = all(gauge.repeatability is not None for gauge in gauges)
    return any(gauge.described for gauge in gauges) and not stated


def _less(end: Fraction | None, offset: Fraction | None) -> Fraction | None:
    return None if end is None or offset is None else end - offset
