"""Units: how they are spelled, what they measure, and that every conversion is exact."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from itertools import permutations

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.units import convert, dimension, factor, system, unit_named
from bedplate.units.registry import LENGTHS, registry, units_of

INCH = Fraction(254, 10000)
POUND = Fraction("0.45359237")
FALL = Fraction("9.80665")
FOOT = 12 * INCH

# Each unit by hand, in the SI unit of its dimension, from the sources that units.txt names.
BY_HAND = {
    "length": {
        "m": Fraction(1),
        "mm": Fraction(1, 1000),
        "um": Fraction(1, 10**6),
        "in": INCH,
        "thou": INCH / 1000,
        "tenth": INCH / 10000,
    },
    "angle": {
        "degree": Fraction(1, 360),
        "arcmin": Fraction(1, 21600),
        "turn": Fraction(1),
        "flat": Fraction(1, 6),
    },
    "force": {"N": Fraction(1), "kgf": FALL, "lbf": POUND * FALL},
    "torque": {
        "N*m": Fraction(1),
        "kgf*m": FALL,
        "lbf*ft": POUND * FALL * FOOT,
        "lbf*in": POUND * FALL * INCH,
    },
    "unbalance": {"g*cm": Fraction(1, 10**5)},
    "pressure": {
        "Pa": Fraction(1),
        "kPa": Fraction(1000),
        "bar": Fraction(100000),
        "psi": POUND * FALL / INCH**2,
        "kgf/cm^2": FALL * 10000,
        "inHg": Fraction("13595.1") * FALL * INCH,
    },
    "stiffness": {"N/mm": Fraction(1000), "lbf/in": POUND * FALL / INCH},
    "mass": {"g": Fraction(1, 1000), "kg": Fraction(1), "lb": POUND},
    "time": {"s": Fraction(1), "min": Fraction(60), "h": Fraction(3600)},
    "speed": {"rpm": Fraction(1, 60)},
    "volume": {
        "mL": Fraction(1, 10**6),
        "L": Fraction(1, 1000),
        "cm^3": Fraction(1, 10**6),
        "in^3": INCH**3,
    },
    "flow": {"L/min": Fraction(1, 60000), "gal_us/min": 231 * INCH**3 / 60},
    "ratio": {"%": Fraction(1)},
}

PAIRS = [
    (unit, to, ours[unit] / ours[to])
    for ours in BY_HAND.values()
    for unit, to in permutations(ours, 2)
]


@pytest.mark.parametrize(("unit", "to", "expected"), PAIRS)
def test_every_conversion_is_exact(unit: str, to: str, expected: Fraction) -> None:
    assert factor(unit, to) == expected
    assert type(factor(unit, to)) is Fraction
    assert convert(Fraction(7, 3), unit, to) == Fraction(7, 3) * expected


@pytest.mark.parametrize("kind", BY_HAND)
def test_a_dimension_has_the_units_of_the_trade_and_no_others(kind: str) -> None:
    assert sorted(units_of(kind)) == sorted(BY_HAND[kind])
    assert {dimension(unit) for unit in BY_HAND[kind]} == {kind}


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        ("0", "degC", "K", "273.15"),
        ("100", "degC", "degF", "212"),
        ("-40", "degF", "degC", "-40"),
        ("68", "degF", "degC", "20"),
        ("0", "K", "degF", "-459.67"),
    ],
)
def test_temperatures_convert_with_their_offset(
    value: str, unit: str, to: str, expected: str
) -> None:
    assert convert(Fraction(value), unit, to) == Fraction(expected)
    assert convert(Fraction(expected), to, unit) == Fraction(value)


def test_a_difference_of_temperatures_has_no_offset() -> None:
    assert factor("degF", "degC") == Fraction(5, 9)
    assert factor("degC", "K") == 1
    assert units_of("temperature") == ["degC", "degF", "K"]


def test_an_inch_of_mercury_is_the_conventional_one() -> None:
    assert round(convert(Fraction(1), "inHg", "Pa"), 3) == Fraction("3386.389")


def test_one_unit_in_two_spellings_is_left_alone() -> None:
    assert convert(Fraction(1, 3), "µm", "um") == Fraction(1, 3)
    assert factor("inch", "in") == 1
    assert factor("in", "in") == 1


SPELLINGS = {
    "m": "m M metre Meters",
    "mm": "mm MM Mm millimetres",
    "um": "um µm μm UM micron microns",
    "in": 'in IN inch inches Ins " ″ ”',
    "thou": "thou thous THOU thousandths",
    "tenth": "tenth tenths",
    "degree": "degree degrees deg °",
    "arcmin": "arcmin",
    "turn": "turn turns rev",
    "flat": "flat flats",
    "N": "N n newton",
    "kgf": "kgf KGF",
    "lbf": "lbf",
    "N*m": "N*m Nm nm N·m N⋅m N.m N-m",
    "kgf*m": "kgf*m kgfm",
    "lbf*ft": "lbf*ft lbf·ft lbf-ft lbfft ft-lbf ft*lb ft-lbs lb-ft lbft",
    "lbf*in": "lbf*in lbf-in in-lb inlbf",
    "g*cm": "g*cm gcm g·cm",
    "Pa": "Pa",
    "kPa": "kPa KPA",
    "bar": "bar Bar bars",
    "psi": "psi PSI lbf/in^2 lb/in²",
    "kgf/cm^2": "kgf/cm^2 kgf/cm² kg/cm2",
    "inHg": "inHg inhg INHG",
    "N/mm": "N/mm",
    "lbf/in": "lbf/in lb/in",
    "g": "g G grams",
    "kg": "kg KG",
    "lb": "lb lbs",
    "s": "s S sec seconds",
    "min": "min minutes",
    "h": "h H hr hours",
    "rpm": "rpm RPM rev/min",
    "degC": "degC °C C c Celsius",
    "degF": "degF °F F f",
    "K": "K k",
    "mL": "mL ml ML",
    "L": "L l litre",
    "cm^3": "cm^3 cm³ cm3 cc",
    "in^3": "in^3 in³ in3",
    "L/min": "L/min l/min",
    "gal_us/min": "gal_us/min",
    "%": "% percent",
}
WITH_BLANKS = {
    "lbf ft": "lbf*ft",
    "lbf  ft": "lbf*ft",
    "lbf * ft": "lbf*ft",
    "lb ft": "lbf*ft",
    "FT LBS": "lbf*ft",
    "lbf in": "lbf*in",
    "N m": "N*m",
    "g cm": "g*cm",
    "kgf m": "kgf*m",
    "kgf / cm^2": "kgf/cm^2",
    "in Hg": "inHg",
    "cu in": "in^3",
    "deg C": "degC",
    "° F": "degF",
    " mm ": "mm",
    "us gal/min": "gal_us/min",
    "lbf\u00a0ft": "lbf*ft",
}


@pytest.mark.parametrize(
    ("spelling", "name"),
    [(word, name) for name, words in SPELLINGS.items() for word in words.split()]
    + list(WITH_BLANKS.items()),
)
def test_a_unit_is_known_however_it_is_spelled(spelling: str, name: str) -> None:
    assert unit_named(spelling) == name


def test_the_spellings_above_leave_no_unit_out() -> None:
    every = {unit for kind in (*BY_HAND, "temperature") for unit in units_of(kind)}
    assert set(SPELLINGS) == every


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("tho", ['There is no unit "tho".', "  Nearest: thou"]),
        ("psig", ['There is no unit "psig".', "  Nearest: psi"]),
        (
            "furlong",
            [
                'There is no unit "furlong".',
                "  Units: m, mm, um, in, thou, tenth, degree, arcmin and 35 more",
            ],
        ),
        (
            "x\x1b[2J",
            [
                'There is no unit "x\\x1b[2J".',
                "  Units: m, mm, um, in, thou, tenth, degree, arcmin and 35 more",
            ],
        ),
    ],
)
def test_an_unknown_unit_names_the_nearest(text: str, lines: list[str]) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        unit_named(text)
    assert caught.value.as_lines() == lines


@pytest.mark.parametrize("text", ["", "mil", "ft", "MPa", "m m", "kg m", "in.", "nm*m", "2 thou"])
def test_what_is_no_unit_here_is_refused(text: str) -> None:
    with pytest.raises(NotUnderstoodError):
        unit_named(text)


def test_units_of_different_dimensions_do_not_convert() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        convert(Fraction(1), "psi", "in")
    assert caught.value.as_lines() == [
        '"psi" is a pressure, not a length.',
        '  A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"',
    ]
    with pytest.raises(NotUnderstoodError):
        factor("lb", "lbf")


def test_only_lengths_belong_to_a_system() -> None:
    assert [system(unit) for unit in ("in", "thou", "tenth")] == ["inch"] * 3
    assert [system(unit) for unit in ("m", "mm", "um")] == ["metric"] * 3
    assert [system(unit) for unit in ("lbf*ft", "N*m", "psi", "degC", "%")] == [None] * 5


@pytest.mark.parametrize(("unit", "to"), list(permutations(LENGTHS, 2)))
def test_the_table_of_lengths_is_what_pint_makes_of_the_definitions(unit: str, to: str) -> None:
    assert list(LENGTHS) == units_of("length")
    assert registry().convert(Fraction(1), unit, to) == factor(unit, to)
    assert registry().convert(Fraction(0), unit, to) == 0


def test_pint_is_left_alone_until_two_units_meet_that_are_no_lengths() -> None:
    code = (
        "import sys; from fractions import Fraction; from bedplate import units\n"
        "units.read_value('0.700+0.050', 'in'); units.read_limits('2..4 thou', 'in')\n"
        "units.convert(Fraction(1), 'in', 'in'); print('pint' in sys.modules)\n"
        "units.convert(Fraction(1), 'in', 'thou'); print('pint' in sys.modules)\n"
        "units.convert(Fraction(1), 'N', 'lbf'); print('pint' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False", "True"]
