"""A reading as it was typed; what is no plain decimal is also shown as one."""

from __future__ import annotations

from bedplate.assess.written import unit_in
from bedplate.record.entries import Reading
from bedplate.report import figures
from bedplate.units import convert, factor, read_value


def reading_shown(entry: Reading) -> str:
    """Return the value of a reading: ``0.7500 in``, ``3/8 in (0.3750)``, ``left out``.

    One counted from nominal says what it comes to: ``+0.0003 in from 1.0000 in (1.0003 in)``.
    """
    if entry.value is None:
        return "left out"
    if entry.nominal is not None:
        return f"{entry.value} from {entry.nominal}{_in_full(entry.value, entry.nominal)}"
    if figures.is_plain(entry.value.removeprefix("+")):
        return entry.value  # without a nominal beside it, a plus is the value's own sign
    typed = read_value(entry.value, unit_in(entry.value))
    if typed.low is None or typed.low != typed.high:
        return entry.value
    places = figures.places_for(typed.unit, typed.step or None)
    return figures.echoed(entry.value, typed.low, places)


def _in_full(text: str, nominal: str) -> str:
    """Return what a reading counted from nominal comes to, in the unit of the nominal."""
    unit = unit_in(nominal)
    typed, base = read_value(text, unit), read_value(nominal, unit)
    if typed.low is None or typed.low != typed.high or base.low is None:
        return ""
    value = convert(typed.low, typed.unit, unit) + base.low
    step = typed.step * factor(typed.unit, unit)
    shown = figures.shown(value, figures.places_for(unit, step or None))
    return f" ({figures.amount(shown, unit)})"
