"""What the texts of the record say, as figures of the arithmetic.

Everything of one dimension is reckoned in one base unit (lengths in metres, as exact fractions),
so that gauges and their shared errors mean the same wherever they were used; a fit converts once.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from bedplate.assess.limits import base_unit, feature_unit
from bedplate.assess.written import unit_in
from bedplate.errors import BedplateError, NotUnderstoodError, StorageError
from bedplate.metrology import thermal
from bedplate.metrology.error import Gauge
from bedplate.record.job import Job, Taken
from bedplate.sheet.model import Component, Feature
from bedplate.units import Typed, convert, factor, read_expansion, read_value


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
