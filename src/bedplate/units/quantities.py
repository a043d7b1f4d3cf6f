"""Readers of the other things people type: limits, plain figures, temperatures, times.

All rest on the one strict reader of `bedplate.units.typed`.
"""

from __future__ import annotations

from fractions import Fraction

from bedplate.units import refusals
from bedplate.units.figures import Figure
from bedplate.units.grammar import Parsed, clean, parse
from bedplate.units.registry import convert, dimension, factor, unit_named
from bedplate.units.typed import Typed, weigh

_LARGEST_EXPANSION = Fraction(1, 1000)
"""Per degC. Metals lie between 1e-6 and 40e-6; from here on the power of ten is missing."""

_ABSOLUTE_ZERO = Fraction("-273.15")


def read_limits(text: str, unit: str) -> tuple[Fraction | None, Fraction | None, str]:
    """Read limits: ``2..4 thou``, ``..4 thou``, ``-0.010..0 mm``, ``60..65 degree``.

    Args:
        text: two ends, one of which may be absent. They may be equal.
        unit: the unit of figures typed without one; a typed unit may measure anything else.

    Returns:
        Lower and higher limit (None for an absent one) and the canonical unit of both: as typed.

    Raises:
        NotUnderstoodError: one figure alone, the higher first, ends that cannot be compared.

    >>> read_limits("..4 thou", "in")
    (None, Fraction(4, 1), 'thou')
    """
    parsed = parse(text, dimension(unit))
    if not parsed.two_ended:
        raise refusals.one_limit(parsed.text)
    default = unit_named(unit)
    typed = weigh(parsed, default, _kind_of_ends(parsed, default))
    return typed.low, typed.high, typed.unit


def _kind_of_ends(parsed: Parsed, default: str) -> str:
    units = [term.unit for term in (*parsed.low, *parsed.high)]
    kinds = list(dict.fromkeys(dimension(unit) for unit in (*units, parsed.last) if unit))
    if len(kinds) > 1:
        raise refusals.two_dimensions(parsed.text, *kinds[:2])
    return kinds[0] if kinds else dimension(default)


def read_exact(text: str) -> Fraction:
    """Read a bare decimal or fraction with or without a sign: ``0.0002``, ``1/3``, ``-5``.

    Raises:
        NotUnderstoodError: a unit, a sum, two ends, a mixed number, three digits after a comma.
    """
    parsed = parse(text, "figure")
    figure = _one_figure(parsed, "0.0002  or  1/3")
    term = parsed.low[0]
    if term.unit:
        raise refusals.not_bare(parsed.text)
    if figure.mixed:
        raise refusals.no_mixed(parsed.text)
    if figure.doubtful:
        raise refusals.comma_of_three(*figure.doubtful)
    return term.amount


def _one_figure(parsed: Parsed, example: str) -> Figure:
    if parsed.two_ended or len(parsed.low) > 1:
        raise refusals.not_one_figure(parsed.text, example)
    return parsed.low[0].figure


def read_expansion(text: str) -> Fraction:
    """Read a coefficient of thermal expansion, per degC: ``11.7e-6``, ``6.5e-6 /degF``.

    The only quantity in which a power of ten is understood.

    Raises:
        NotUnderstoodError: another unit, below nought, or 1/1000 and more: then its power of ten
            is missing.

    >>> read_expansion("11.7e-6") == read_expansion("0.0000117 /degC")
    True
    """
    cleaned = clean(text, "expansion")
    figure_text, per = _parted(cleaned)
    parsed = parse(figure_text, "expansion", exponent=True)
    figure = _one_figure(parsed, "11.7e-6")
    if parsed.low[0].unit or dimension(per) != "temperature":
        raise refusals.not_expansion(cleaned)
    if figure.doubtful:
        raise refusals.comma_of_three(*figure.doubtful)
    value = parsed.low[0].amount * factor("degC", per)
    if value < 0:
        raise refusals.below_zero(cleaned)
    if value >= _LARGEST_EXPANSION:
        meant = f"{figure_text}e-6" if 1 <= value < 1000 and "/" not in figure_text else ""
        raise refusals.large_expansion(cleaned, meant)
    return value


def _parted(text: str) -> tuple[str, str]:
    """Return the figure and the unit behind its stroke (degC where there is none)."""
    figure, stroke, per = text.rpartition("/")
    if stroke and not per.strip()[:1].isdigit():
        return figure.rstrip(), unit_named(per.strip(), "temperature")
    return text, "degC"


def read_temperature(text: str, default: str | None = None) -> Fraction:
    """Read a temperature and return it in degC: ``24C``, ``75 degF``, ``297 K``.

    Args:
        text: what was typed.
        default: the unit of a bare figure; None: a bare figure is refused.

    Raises:
        NotUnderstoodError: no unit, another quantity, a sum, two ends, below absolute zero.
    """
    unit = unit_named(default) if default else None
    parsed = parse(text, "temperature")
    value = _in_unit(parsed, weigh(parsed, unit, "temperature"), "degC", "24C")
    if value < _ABSOLUTE_ZERO:
        raise refusals.too_cold(parsed.text)
    return value


def read_duration(text: str) -> Fraction:
    """Read a time and return it in seconds: ``12 h``, ``10 min``, ``30 s``, ``1 h + 30 min``.

    Raises:
        NotUnderstoodError: no unit, another quantity, two ends, below nought.
    """
    parsed = parse(text, "time")
    seconds = _in_unit(parsed, weigh(parsed, None, "time"), "s", "12 h")
    if seconds < 0:
        raise refusals.below_zero(parsed.text)
    return seconds


def _in_unit(parsed: Parsed, typed: Typed, unit: str, example: str) -> Fraction:
    """Return the one value of what was typed, in ``unit``."""
    if typed.two_ended or typed.low is None:
        raise refusals.not_one_figure(parsed.text, example)
    return convert(typed.low, typed.unit, unit)
