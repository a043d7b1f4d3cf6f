"""The trade's units: how they are spelled, what they measure, and exact conversion.

Conversion is pint's, in a registry of our own small definition file (``units.txt``) whose every
figure is a `Fraction`. Pint is imported only when two different units meet that are no lengths:
what it makes of those is kept in a table here, since every job has them and loading pint takes
longer than all the rest of a command.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from bedplate.text import nearest
from bedplate.units import refusals

if TYPE_CHECKING:
    from pint import UnitRegistry


class _Unit(NamedTuple):
    """One unit: its canonical spelling, what it measures, and how else people spell it."""

    name: str
    dimension: str
    others: tuple[str, ...] = ()
    system: str | None = None
    pint_name: str = ""


def _unit(name: str, dimension: str, others: str = "", system: str | None = None) -> _Unit:
    return _Unit(name, dimension, tuple(others.split()), system)


_UNITS: tuple[_Unit, ...] = (
    _unit("m", "length", "metre metres meter meters", "metric"),
    _unit("mm", "length", "millimetre millimetres millimeter millimeters", "metric"),
    _unit(
        "um",
        "length",
        "micron microns micrometre micrometres micrometer micrometers",
        "metric",
    ),
    _unit("in", "length", 'inch inches ins "', "inch"),
    _unit("thou", "length", "thous thousandth thousandths", "inch"),
    _unit("tenth", "length", "tenths", "inch"),
    _unit("degree", "angle", "degrees deg degs"),
    _unit("arcmin", "angle", "arcmins"),
    _unit("turn", "angle", "turns rev revs"),
    _unit("flat", "angle", "flats"),
    _unit("N", "force", "newton newtons"),
    _unit("kgf", "force"),
    _unit("lbf", "force"),
    _unit("N*m", "torque", "nm"),
    _unit("kgf*m", "torque", "kgfm"),
    # "lb ft" is torque: no other quantity of the trade is spelled so.
    _unit("lbf*ft", "torque", "lbfft ft*lbf ftlbf lb*ft lbft ft*lb ftlb lbs*ft ft*lbs"),
    _unit("lbf*in", "torque", "lbfin in*lbf inlbf lb*in lbin in*lb inlb lbs*in in*lbs"),
    _unit("g*cm", "unbalance", "gcm"),
    _unit("Pa", "pressure"),
    _unit("kPa", "pressure"),
    _unit("bar", "pressure", "bars"),
    _unit("psi", "pressure", "lbf/in^2 lbf/in2 lb/in^2 lb/in2 lbs/in^2 lbs/in2"),
    _unit("kgf/cm^2", "pressure", "kgf/cm2 kg/cm^2 kg/cm2"),
    _unit("inHg", "pressure", "in*hg"),
    _unit("N/mm", "stiffness"),
    _unit("lbf/in", "stiffness", "lb/in lbs/in"),
    _unit("g", "mass", "gram grams gramme grammes"),
    _unit("kg", "mass", "kilogram kilograms"),
    _unit("lb", "mass", "lbs"),
    _unit("s", "time", "sec secs second seconds"),
    _unit("min", "time", "mins minute minutes"),
    _unit("h", "time", "hr hrs hour hours"),
    _unit("rpm", "speed", "r/min rev/min turn/min turns/min"),
    _unit("degC", "temperature", "c deg*c degree*c degrees*c celsius"),
    _unit("degF", "temperature", "f deg*f degree*f degrees*f fahrenheit"),
    _unit("K", "temperature", "kelvin"),
    _unit("mL", "volume", "millilitre millilitres milliliter milliliters"),
    _unit("L", "volume", "litre litres liter liters"),
    _unit("cm^3", "volume", "cm3 cc cu*cm"),
    _unit("in^3", "volume", "in3 cu*in"),
    _unit("L/min", "flow", "lpm litre/min litres/min liter/min liters/min"),
    _unit("gal_us/min", "flow", "us*gal/min us*gpm usgpm"),
    _Unit("%", "ratio", ("percent",), pint_name="percent"),
)
_BY_NAME = {unit.name: unit for unit in _UNITS}

LENGTHS = {
    "m": Fraction(1000),
    "mm": Fraction(1),
    "um": Fraction(1, 1000),
    "in": Fraction(127, 5),
    "thou": Fraction(127, 5_000),
    "tenth": Fraction(127, 50_000),
}
"""Millimetres in every unit of length, as pint makes them of ``units.txt``; a test holds each."""

_SIGNS = str.maketrans(
    {
        "µ": "u",
        "μ": "u",
        "°": "deg",
        "²": "^2",
        "³": "^3",
        "·": "*",
        "⋅": "*",
        "″": '"',
        "”": '"',
        "“": '"',
        "\u00a0": " ",
        "\u202f": " ",
    }
)


def _folded(text: str) -> str:
    """Return a spelling without case, with ``*`` for whatever joins two factors."""
    flat = " ".join(text.translate(_SIGNS).casefold().split(" "))
    for joint in ("*", "/", "^", "-", "."):
        flat = joint.join(part.strip(" ") for part in flat.split(joint))
    return "*".join(flat.replace("-", "*").replace(".", "*").split())


def _spellings() -> dict[str, str]:
    return {
        _folded(spelling): unit.name for unit in _UNITS for spelling in (unit.name, *unit.others)
    }


_BY_SPELLING = _spellings()


def is_unit(text: str) -> bool:
    """Return whether ``text`` spells a unit."""
    return text in _BY_NAME or _folded(text) in _BY_SPELLING


@lru_cache(maxsize=512)
def unit_named(text: str, kind: str = "") -> str:
    """Return the canonical spelling of a unit, however it was typed.

    Case does not matter; blank, ``*``, ``·``, ``-`` and ``.`` join factors alike.

    Args:
        text: what was typed.
        kind: the dimension expected: its units are listed where none is near.

    Raises:
        NotUnderstoodError: no such unit; names the nearest.

    >>> unit_named("µm"), unit_named("INCHES"), unit_named("lbf ft"), unit_named("°C")
    ('um', 'in', 'lbf*ft', 'degC')
    """
    if text in _BY_NAME:
        return text
    name = _BY_SPELLING.get(_folded(text))
    if name is None:
        near = dict.fromkeys(_BY_SPELLING[spelling] for spelling in nearest(text, _BY_SPELLING))
        known = units_of(kind) or list(_BY_NAME)
        raise refusals.unknown_unit(text, list(near), known)
    return name


def dimension(unit: str) -> str:
    """Return what a unit measures: "length", "angle", "torque" and so on.

    >>> dimension("thou"), dimension("g*cm"), dimension("%")
    ('length', 'unbalance', 'ratio')
    """
    return _BY_NAME[unit_named(unit)].dimension


def system(unit: str) -> str | None:
    """Return "inch" or "metric" for a unit of length, None for any other."""
    return _BY_NAME[unit_named(unit)].system


def units_of(kind: str) -> list[str]:
    """Return the canonical units that measure ``kind``, in the order of the table."""
    return [unit.name for unit in _UNITS if unit.dimension == kind]


def convert(value: Fraction, unit: str, to: str) -> Fraction:
    """Return ``value`` of ``unit`` in ``to``, exactly; temperatures with their offset.

    Raises:
        NotUnderstoodError: an unknown unit, or two that measure different things.

    >>> convert(Fraction(212), "degF", "degC")
    Fraction(100, 1)
    """
    if unit == to:
        return value
    slope, offset = _line(unit, to)
    return value * slope + offset


def factor(unit: str, to: str) -> Fraction:
    """Return how many ``to`` one ``unit`` is, exactly: for differences and uncertainties.

    >>> factor("in", "thou"), factor("degC", "degF")
    (Fraction(1000, 1), Fraction(9, 5))
    """
    return Fraction(1) if unit == to else _line(unit, to)[0]


@lru_cache(maxsize=512)
def _line(unit: str, to: str) -> tuple[Fraction, Fraction]:
    """Return slope and offset of the straight line from ``unit`` to ``to``."""
    source, target = _BY_NAME[unit_named(unit)], _BY_NAME[unit_named(to)]
    if source.dimension != target.dimension:
        raise refusals.other_dimension(source.name, source.dimension, target.dimension)
    if source is target:
        return Fraction(1), Fraction(0)
    if source.dimension == "length":
        return LENGTHS[source.name] / LENGTHS[target.name], Fraction(0)
    ends = source.pint_name or source.name, target.pint_name or target.name
    offset: Fraction = registry().convert(Fraction(0), *ends)
    one: Fraction = registry().convert(Fraction(1), *ends)
    return one - offset, offset


@lru_cache(maxsize=1)
def registry() -> UnitRegistry[Fraction]:
    """Return pint's registry of our own units, built once a process."""
    # Imported here: it costs more than the rest of a command's start.
    from pint import UnitRegistry  # noqa: PLC0415

    return UnitRegistry(
        str(Path(__file__).with_name("units.txt")), non_int_type=Fraction, cache_folder=None
    )
