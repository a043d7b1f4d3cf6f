"""What a gauge cannot have shown, or cannot measure at all."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from bedplate.assess.doubts import Doubt, shown
from bedplate.assess.gauges import FIGURES, Gauges
from bedplate.assess.slips import THIMBLE
from bedplate.assess.written import split_gauge, unit_in
from bedplate.errors import NotUnderstoodError
from bedplate.sheet.scope import a
from bedplate.units import (
    Typed,
    convert,
    decimal_text,
    dimension,
    read_limits,
    read_value,
    system,
    unit_named,
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
