"""Random stacks of random readings against the `uncertainties` package.

The package keeps its own book of what is correlated: each error is one of its variables, and a
reading is typed in as true size plus errors, by the rules as they stand in words. Nothing of the
code under test takes part in that.
"""

from __future__ import annotations

import math
import random
import statistics
from fractions import Fraction

import pytest
from uncertainties import UFloat, nominal_value, std_dev, ufloat  # type: ignore[import-untyped]  # it ships no types

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Gauge, average, combine
from bedplate.metrology.settings import Reading, Setting
from bedplate.metrology.settled import settle
from bedplate.metrology.spread import spread_of

F = Fraction


class Bench:
    """A small job made up at random, booked twice: as events, and in the package's variables."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.errors: dict[tuple[object, ...], UFloat] = {}
        self.events: list[Setting | Reading] = []
        self.booked: dict[int, UFloat] = {}
        self.offsets: dict[str, UFloat] = {}
        self.in_force: dict[str, int] = {}
        self.at: dict[Spot, list[int]] = {}
        self.gauges = {name: self.gauge(name) for name in ("mic", "bore", "dial")}

    def figure(self, most: int = 9) -> Fraction:
        return F(self.random.randint(1, most), 10_000)

    def gauge(self, name: str) -> Gauge:
        return Gauge(name, "", "sizes", *(self.figure() for _ in range(4)))

    def error(self, half_width: Fraction | None, *key: object, divisor: float = 3) -> UFloat:
        spread = float(half_width or 0) / math.sqrt(divisor)
        return self.errors.setdefault(key, ufloat(0, spread))

    def zero(self, gauge: Gauge) -> UFloat:
        return self.error(gauge.zero_error, "zero", gauge.name, self.in_force.get(gauge.name, 0))

    def set_gauge(self, n: int) -> None:
        name, other = self.random.sample(sorted(self.gauges), 2)
        inner = self.gauges[other]
        shown = self.figure()
        if self.at and self.random.random() < 0.4:
            spot = self.random.choice(sorted(self.at))
            self.events.append(Setting(n, name, shown, spot))
            stood_at = self.booked[self.at[spot][-1]]
        else:
            size = 1 + self.figure()
            within = other if self.random.random() < 0.5 and other not in self.offsets else None
            self.events.append(Setting(n, name, shown, size, within))
            stood_at = float(size)
            if within:
                stood_at += self.zero(inner) + self.error(inner.max_error, "max in", other, n)
        self.in_force[name] = n
        self.offsets[name] = float(shown) - stood_at

    def read(self, n: int) -> None:
        gauge = self.gauges[self.random.choice(sorted(self.gauges))]
        spot = Spot(
            self.random.choice("BJ"),
            (self.random.choice("12"),),
            (self.random.choice("ab"),),
        )
        typed = 1 + self.figure(99)
        self.events.append(Reading(n, spot, typed, typed, gauge.name))
        self.booked[n] = (
            float(typed)
            - self.offsets.get(gauge.name, 0)
            + self.error(gauge.resolution, "digit", gauge.name, spot, divisor=12)
            + self.error(gauge.max_error, "max", gauge.name, spot.tag, spot.position)
            + self.zero(gauge)
            + self.error(gauge.repeatability, "hand", n, divisor=1)
        )
        self.at.setdefault(spot, []).append(n)

    def fill(self, entries: int) -> None:
        for n in range(1, entries + 1):
            if self.random.random() < 0.25:
                self.set_gauge(n)
            else:
                self.read(n)


@pytest.mark.parametrize("seed", range(200))
def test_u_of_a_random_stack_agrees_with_the_package(seed: int) -> None:
    bench = Bench(seed)
    bench.fill(bench.random.randint(3, 14))
    settled = settle(bench.events, bench.gauges)
    total = 0.0
    parts = []
    for numbers in bench.at.values():
        count = F(bench.random.choice([-2, -1, 1, 2, 3]), bench.random.choice([1, 2, 4]))
        parts.append((count, average([settled.estimate(n) for n in numbers])))
        total = total + float(count) * sum(bench.booked[n] for n in numbers) / len(numbers)
    stack = combine(parts)
    value, u = nominal_value(total), std_dev(total)
    assert math.isclose(float(stack.low or 0), value, rel_tol=1e-9, abs_tol=1e-12)
    assert math.isclose(math.sqrt(stack.variance), u, rel_tol=1e-9, abs_tol=1e-15)


def test_the_bench_makes_up_every_kind_of_setting() -> None:
    met = set()
    for seed in range(50):
        bench = Bench(seed)
        bench.fill(14)
        for event in bench.events:
            if isinstance(event, Setting):
                met.add((isinstance(event.reference, Spot), event.within is not None))
    assert met == {(True, False), (False, True), (False, False)}


@pytest.mark.parametrize("seed", range(6))
def test_u_of_a_spread_is_the_scatter_of_its_two_extremes_when_drawn_again(seed: int) -> None:
    """Draw every error twenty thousand times, by the rules in words; compare the scatter."""
    chance = random.Random(seed)
    mic, other = Gauge("mic", "", "sizes", F(6), F(9), F(8), F(2)), Gauge("rod", max_error=F(4))
    typed = {name: F(1000 * place + chance.randint(-5, 5)) for place, name in enumerate("abcd")}
    events = [
        Reading(n, Spot("B", ("1",), (name,)), size, size, "mic" if n % 3 else "rod", step=F(3))
        for n, (name, size) in enumerate(typed.items(), start=1)
    ]
    settled = settle(events, {"mic": mic, "rod": other})
    spread, (low, high) = spread_of([*map(settled.estimate, settled.numbers)])
    assert (low, high) == (0, 3)

    drawn = []
    for _ in range(20_000):
        shared = {
            "mic": chance.uniform(-9, 9) + chance.uniform(-8, 8),
            "rod": chance.uniform(-4, 4),
        }
        own = {
            "mic": lambda: chance.uniform(-3, 3) + chance.gauss(0, 2),
            "rod": lambda: chance.uniform(-1.5, 1.5),
        }
        sizes = [
            float(event.low or 0) + own[event.gauge or ""]() + shared[event.gauge or ""]
            for event in events
        ]
        drawn.append(max(sizes) - min(sizes))
    assert math.isclose(math.sqrt(spread.variance), statistics.stdev(drawn), rel_tol=0.02)
