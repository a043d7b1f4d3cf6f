"""Limits, plain figures, expansions, temperatures and times."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.units import (
    read_duration,
    read_exact,
    read_expansion,
    read_limits,
    read_temperature,
)

LENGTH = 'A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"'
TEMPERATURE = "A temperature reads like  24C  75F  297K"
TIME = "A time reads like  30s  10min  12h"
ONE_LIMIT = "limits have two ends, or one left open."


def refusal(read: Callable[[], object]) -> list[str]:
    """Return the lines that ``read`` refuses with."""
    with pytest.raises(NotUnderstoodError) as caught:
        read()
    return caught.value.as_lines()


@pytest.mark.parametrize(
    ("text", "bare", "low", "high", "unit"),
    [
        ("2..4 thou", "in", "2", "4", "thou"),
        ("2..4thou", "mm", "2", "4", "thou"),
        ("2..4", "thou", "2", "4", "thou"),
        ("..4 thou", "in", None, "4", "thou"),
        ("..4", "in", None, "4", "in"),
        ("2.. thou", "in", "2", None, "thou"),
        ("2 thou..", "in", "2", None, "thou"),
        ("2..", "in", "2", None, "in"),
        ("0.030..0.070 mm", "in", "0.03", "0.07", "mm"),
        ("0,030..0,070 mm", "in", "0.03", "0.07", "mm"),
        ("-0.010..0 mm", "mm", "-0.01", "0", "mm"),
        ("\u22120.010..+0.005 mm", "mm", "-0.01", "0.005", "mm"),
        ("-2..-1", "thou", "-2", "-1", "thou"),
        ("2 thou..30 tenths", "in", "2", "3", "thou"),
        ("3..3 thou", "in", "3", "3", "thou"),
        ("60..65 degree", "mm", "60", "65", "degree"),
        ("16..18 lbf*ft", "in", "16", "18", "lbf*ft"),
        ("16..18 lbf ft", "in", "16", "18", "lbf*ft"),
        ("28..32 psi", "in", "28", "32", "psi"),
        (".. 90 °C", "in", None, "90", "degC"),
        ("1/16..1/8 in", "mm", "1/16", "1/8", "in"),
        ("0..1 in", "in", "0", "1", "in"),
    ],
)
def test_limits_are_read(
    text: str, bare: str, low: str | None, high: str | None, unit: str
) -> None:
    assert read_limits(text, bare) == (
        None if low is None else Fraction(low),
        None if high is None else Fraction(high),
        unit,
    )


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        (
            "4 thou",
            [
                f'"4 thou" is one figure; {ONE_LIMIT}',
                "  At most:  ..4 thou     at least:  4 thou..     both:  2..4 thou",
            ],
        ),
        (
            "4",
            [
                f'"4" is one figure; {ONE_LIMIT}',
                "  At most:  ..4     at least:  4..     both:  2..4 thou",
            ],
        ),
        (
            "4..2 thou",
            ['"4..2 thou" has its higher end first.', "  Type the lower end first:  4..5"],
        ),
        (
            "..",
            ['".." has no figure at either end.', "  Type one end or both:  ..4  4..5  4.."],
        ),
        (
            "2 thou..4 psi",
            [
                '"2 thou..4 psi" has a length at one end and a pressure at the other.',
                "  Type the unit once, at the end:  2..4 thou",
            ],
        ),
        (
            "2 thou..4 mm",
            [
                '"2 thou..4 mm" mixes inch and metric.',
                "  Type all of it in one of them; a figure without a unit takes the feature's.",
            ],
        ),
        (
            "2 thou..4",
            [
                '"2 thou..4" has its unit at the first end alone.',
                "  Type it last, for both ends:  4..5 thou",
            ],
        ),
        ("2..4 tho", ['There is no unit "tho".', "  Nearest: thou"]),
        ("", ["There is no value.", f"  {LENGTH}"]),
        ("two..four", ['"two..four" is not a figure.', f"  {LENGTH}"]),
    ],
)
def test_what_are_no_limits_is_refused(text: str, lines: list[str]) -> None:
    assert refusal(lambda: read_limits(text, "in")) == lines


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0.0002", "1/5000"),
        ("1/3", "1/3"),
        ("-5", "-5"),
        ("\u22125", "-5"),
        ("+5", "5"),
        (" 80 ", "80"),
        ("0,5", "1/2"),
        (".5", "1/2"),
    ],
)
def test_a_plain_figure_is_read_exactly(text: str, value: str) -> None:
    assert read_exact(text) == Fraction(value)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        (
            "5 mm",
            ['"5 mm" has a unit where a plain figure is wanted.', "  Type the figure alone."],
        ),
        ("1+2", ['"1+2" is not one figure.', "  Type one:  0.0002  or  1/3"]),
        ("1..2", ['"1..2" is not one figure.', "  Type one:  0.0002  or  1/3"]),
        (
            "1-3/8",
            ['"1-3/8" can be a mixed number or a sum.', "  Type one figure:  0.0002  or  1/3"],
        ),
        (
            "212,345",
            [
                '"212,345" can be 212.345 or two hundred and twelve thousand three hundred and '
                "forty-five.",
                "  Type it with a point:  212.345     (in PowerShell a comma splits values)",
            ],
        ),
        ("1e5", ['"1e5" has an exponent.', "  Type the figure out, with a point:  0.0002"]),
        ("x", ['"x" is not a figure.', "  A figure reads like  0.0002  1/3"]),
    ],
)
def test_what_is_no_plain_figure_is_refused(text: str, lines: list[str]) -> None:
    assert refusal(lambda: read_exact(text)) == lines


@pytest.mark.parametrize(
    ("text", "per_degree"),
    [
        ("11.7e-6", "0.0000117"),
        ("11.7E-6", "0.0000117"),
        ("11.7e\u22126", "0.0000117"),
        ("11,7e-6", "0.0000117"),
        ("0.0000117", "0.0000117"),
        ("1.17e-5 /degC", "0.0000117"),
        ("11.7e-6/K", "0.0000117"),
        ("11.7e-6 /°C", "0.0000117"),
        ("6.5e-6 /degF", "0.0000117"),
        ("1/85000", "1/85000"),
        ("0", "0"),
        ("999e-6", "0.000999"),
    ],
)
def test_an_expansion_is_read_per_degree_celsius(text: str, per_degree: str) -> None:
    assert read_expansion(text) == Fraction(per_degree)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("1", ['"1" is more than any metal expands per degC.', "  Did you mean  1e-6"]),
        (
            "0.001",
            [
                '"0.001" is more than any metal expands per degC.',
                "  An expansion reads like  11.7e-6  0.0000117",
            ],
        ),
        ("12", ['"12" is more than any metal expands per degC.', "  Did you mean  12e-6"]),
        (
            "11.7 /degC",
            ['"11.7 /degC" is more than any metal expands per degC.', "  Did you mean  11.7e-6"],
        ),
        (
            "0.0117",
            [
                '"0.0117" is more than any metal expands per degC.',
                "  An expansion reads like  11.7e-6  0.0000117",
            ],
        ),
        (
            "3/2",
            [
                '"3/2" is more than any metal expands per degC.',
                "  An expansion reads like  11.7e-6  0.0000117",
            ],
        ),
        ("-11.7e-6", ['"-11.7e-6" is below nought.', "  Type it without the minus."]),
        (
            "11.7e-6 mm",
            [
                '"11.7e-6 mm" is not an expansion per degree.',
                "  An expansion reads like  11.7e-6  0.0000117",
            ],
        ),
        (
            "11.7e-6 /mm",
            [
                '"11.7e-6 /mm" is not an expansion per degree.',
                "  An expansion reads like  11.7e-6  0.0000117",
            ],
        ),
        ("11.7e-6 /deg Q", ['There is no unit "deg Q".', "  Nearest: degree, degF"]),
        (
            "/degC",
            ["There is no value.", "  An expansion reads like  11.7e-6  0.0000117"],
        ),
        ("1e-6+1e-6", ['"1e-6+1e-6" is not one figure.', "  Type one:  11.7e-6"]),
        (
            "1e-99",
            ['"1e-99" has an exponent above 30.', "  An expansion reads like  11.7e-6  0.0000117"],
        ),
        (
            "11,700e-6",
            [
                '"11,700" can be 11.700 or eleven thousand seven hundred.',
                "  Type it with a point:  11.700     (in PowerShell a comma splits values)",
            ],
        ),
    ],
)
def test_what_is_no_expansion_is_refused(text: str, lines: list[str]) -> None:
    assert refusal(lambda: read_expansion(text)) == lines


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("24 degC", "24"),
        ("24C", "24"),
        ("24 °C", "24"),
        ("-5degC", "-5"),
        ("68 degF", "20"),
        ("75 °F", "215/9"),
        ("75f", "215/9"),
        ("300 K", "26.85"),
        ("0 K", "-273.15"),
        ("23.5 C", "23.5"),
    ],
)
def test_a_temperature_is_read_in_degrees_celsius(text: str, celsius: str) -> None:
    assert read_temperature(text) == Fraction(celsius)


def test_a_bare_temperature_takes_the_unit_of_the_settings() -> None:
    assert read_temperature("24", default="C") == 24
    assert read_temperature("68", default="F") == 20
    assert read_temperature("68 F", default="C") == 20


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("24", ['"24" has no unit.', f"  {TEMPERATURE}"]),
        ("24 in", ['"24 in" is a length, not a temperature.', f"  {TEMPERATURE}"]),
        ("-300 degC", ['"-300 degC" is below absolute zero.', f"  {TEMPERATURE}"]),
        ("-1 K", ['"-1 K" is below absolute zero.', f"  {TEMPERATURE}"]),
        ("20..24 C", ['"20..24 C" is not one figure.', "  Type one:  24C"]),
        ("..24 C", ['"..24 C" is not one figure.', "  Type one:  24C"]),
        ("20C + 4C", ['"20C + 4C" adds temperatures.', "  Type the temperature that was read."]),
        ("warm", ['"warm" is not a figure.', f"  {TEMPERATURE}"]),
    ],
)
def test_what_is_no_temperature_is_refused(text: str, lines: list[str]) -> None:
    assert refusal(lambda: read_temperature(text)) == lines


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("12 h", 43200),
        ("12H", 43200),
        ("10 min", 600),
        ("30 s", 30),
        ("0.5 h", 1800),
        ("1/2 h", 1800),
        ("1 h + 30 min", 5400),
        ("0 s", 0),
    ],
)
def test_a_time_is_read_in_seconds(text: str, seconds: int) -> None:
    assert read_duration(text) == seconds


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("12", ['"12" has no unit.', f"  {TIME}"]),
        ("2 d", ['There is no unit "d".', "  Units: s, min, h"]),
        ("2 mm", ['"2 mm" is a length, not a time.', f"  {TIME}"]),
        ("-2 h", ['"-2 h" is below nought.', "  Type it without the minus."]),
        ("2..3 h", ['"2..3 h" is not one figure.', "  Type one:  12 h"]),
    ],
)
def test_what_is_no_time_is_refused(text: str, lines: list[str]) -> None:
    assert refusal(lambda: read_duration(text)) == lines
