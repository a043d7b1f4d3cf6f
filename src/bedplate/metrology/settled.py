"""What every reading comes to, corrected, with the draws it carries: worked out when asked for."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.metrology.error import (
    ZERO,
    Draw,
    Estimate,
    Gauge,
    average,
    is_whole_report,
    reading_draws,
)
from bedplate.metrology.scatter import LEAST_FREEDOM, Pool
from bedplate.metrology.settings import Bench, Ends, Reading, Setting, Stand


class Basis(NamedTuple):
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


def settle(events: Iterable[Setting | Reading], gauges: Mapping[str, Gauge]) -> Settled:
    """Return what every live reading comes to, with the draws it carries.

    Args:
        events: the live settings, and all readings, struck ones too (a setting on an address
            rests on the last reading that was live there when it was made), in any order.
        gauges: the gauges by name; every gauge an event names.

    Raises:
        KeyError: an event names a gauge that is not there.

    >>> from bedplate.metrology.axes import Spot
    >>> mic = Gauge("mic1", resolution=Fraction(1, 10000), zero_error=Fraction(1, 10000))
    >>> standard = Setting(1, "mic1", Fraction("1.0002"), Fraction(1))
    >>> typed = Fraction("0.9979")
    >>> reading = Reading(2, Spot("H"), typed, typed, "mic1")
    >>> settle([standard, reading], {"mic1": mic}).estimate(2).low == Fraction("0.9977")
    True
    """
    settled = Settled(gauges)
    for event in sorted(events, key=lambda event: event.n):
        settled.take(event)
    return settled


class Settled:
    """Every live reading, corrected; it grows by one event after another.

    What a reading comes to is worked out when it is asked for, with the readings that its gauge
    was set on. Two things of it are known only of all readings together: the finest step typed,
    and the pooled scatter. Where an event changes one of these, what was worked out is forgotten.

    Args:
        gauges: the gauges by name. One that no event has named yet may be put in later; what is
            said of one that was named may not change any more.

    Attributes:
        forgotten: how often; whoever keeps what follows from estimates looks whether it still is.
    """

    def __init__(self, gauges: Mapping[str, Gauge]) -> None:
        self.gauges = gauges
        self._bench = Bench(gauges)
        self.forgotten = 0
        self._forget()

    def _forget(self) -> None:
        """Have all worked out again when asked for; what was handed out keeps its figures."""
        self._variances: dict[Draw, Fraction] = {}
        self._made: dict[int, tuple[Estimate, Basis]] = {}
        self.forgotten += 1

    def take(self, event: Setting | Reading) -> None:
        """Take the next event, with a higher number than all before.

        Raises:
            KeyError: it names a gauge that is not there.
        """
        if isinstance(event, Setting):
            self._bench.set(event)
        elif self._bench.read(event):
            self._forget()

    @property
    def waiting(self) -> Mapping[int, int]:
        """Live readings that wait for a new setting, with the setting that fell."""
        return self._bench.waiting

    def offset(self, gauge: str) -> Ends | None:
        """Return what a gauge shows too much by its last setting, low and high.

        None where it was never set, or where what it was set on has been struck.
        """
        return self._bench.offset(gauge)

    @property
    def numbers(self) -> Collection[int]:
        """The live readings that do not wait, by entry number, in order."""
        return self._bench.live.keys()

    @property
    def pools(self) -> dict[str, Pool]:
        """The pooled scatter by what the gauge goes by."""
        return {called: scatter.pool for called, scatter in self._bench.scatters.items()}

    def estimate(self, n: int) -> Estimate:
        """Return what a reading comes to, corrected.

        Raises:
            KeyError: it is not among `numbers`.
        """
        return self._worked_out(n)[0]

    def basis(self, n: int) -> Basis:
        """Return what the uncertainty of a reading rests on.

        Raises:
            KeyError: it is not among `numbers`.
        """
        return self._worked_out(n)[1]

    def mean(self, numbers: Sequence[int]) -> Estimate | None:
        """Return the mean of repeats, None while one of them waits for a new setting."""
        if not all(n in self._bench.live for n in numbers):
            return None
        return average([*map(self.estimate, numbers)])

    def _worked_out(self, n: int) -> tuple[Estimate, Basis]:
        if n not in self._made:
            for source in sorted(self._rests_on(n)):  # the earlier ones first: no recursion
                self._made[source] = self._work_out(*self._bench.live[source])
        return self._made[n]

    def _rests_on(self, n: int) -> set[int]:
        """Return a reading, and those that its gauge was set on in turn, if not worked out yet."""
        found, wanted = {n}, [n]
        while wanted:
            _, stand = self._bench.live[wanted.pop()]
            new = [one for one in stand.sources if one not in found and one not in self._made]
            found.update(new)
            wanted += new
        return found

    def _work_out(self, reading: Reading, stand: Stand) -> tuple[Estimate, Basis]:
        scatter, how = self._scatter_of(reading)
        step = self._bench.steps.get((reading.spot.tag, reading.called), ZERO)
        own = self._own_draws(reading, stand, step, scatter)
        self._variances |= {**stand.along, **own}
        low, high = self._bench.at_20(reading)
        carried = self._carried_draws(stand)
        draws = {draw: carried.get(draw, ZERO) + (draw in own) for draw in {**own, **carried}}
        estimate = Estimate(low, high, draws, self._variances, (reading.n,))
        return estimate, self._basis(reading, stand, step, how)

    def _scatter_of(self, reading: Reading) -> tuple[Fraction, str]:
        """Return the variance of one reading, and how it is known: stated, pooled, or else 0."""
        gauges = self._bench.named(reading)
        stated = sum(((gauge.repeatability or ZERO) ** 2 for gauge in gauges), ZERO)
        if gauges and all(gauge.repeatability is not None for gauge in gauges):
            return stated, "stated"
        scatter = self._bench.scatters.get(reading.called)
        if scatter is not None and scatter.freedom >= LEAST_FREEDOM:
            return scatter.pool.variance, "pooled"
        return stated, "unknown"

    def _own_draws(
        self, reading: Reading, stand: Stand, step: Fraction, scatter: Fraction
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
        low, high = self._bench.at_20(reading)
        if low is not None and high is not None and low != high:
            own[Draw("width", (reading.n,))] = (high - low) ** 2 / 12
        return own

    def _carried_draws(self, stand: Stand) -> dict[Draw, Fraction]:
        """Return what a gauge set from elsewhere carries along, each draw once."""
        carried: dict[Draw, Fraction] = {}
        for source in stand.sources:
            for draw, count in self._made[source][0].draws.items():
                carried[draw] = carried.get(draw, ZERO) + count
        return {**dict.fromkeys(stand.along, Fraction(1)), **carried}

    def _basis(self, reading: Reading, stand: Stand, step: Fraction, how: str) -> Basis:
        """Return what a reading's uncertainty rests on, for what is said beside it."""
        gauge = self.gauges[reading.gauge] if reading.gauge else None
        whole = gauge is not None and is_whole_report(gauge)
        stated = gauge is not None and (gauge.resolution is not None or whole)
        described = whole or any(gauge.described for gauge in self._bench.named(reading))
        return Basis(stand.n, None if stated else step, described, how)
