"""The one strict reader of typed values: readings, sizes and nominals, kept as typed and exact.

A value is a sum of figures, each with or without its unit, or two ends with ``..`` between them.
The same reader reads what a person types and what a file holds.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from bedplate.units import refusals
from bedplate.units.grammar import MOST_CHARACTERS, Parsed, Term, parse
from bedplate.units.registry import convert, dimension, factor, system, unit_named


@dataclass(frozen=True, slots=True)
class Typed:
    """One typed value, exact.

    Attributes:
        text: as the record keeps it: as typed, minus signs and blanks in ASCII, every bare figure
            with its unit. Read again it gives the same value.
        unit: canonical unit of ``low``, ``high`` and ``step``.
        low: the value, or the lower of two ends; None for an open end.
        high: the same as ``low`` for an ordinary value.
        step: the finest step typed (one in the last decimal, ``1/d``); 0 for two ends.
        sign: "+" or "-" where a leading sign was typed (at either end), else "". ``low`` and
            ``high`` carry it.
        two_ended: whether the value has two ends.
        bare: whether it was typed without a unit, so that it is retyped without one. No part of
            the value: what the record keeps has its unit.
    """

    text: str
    unit: str
    low: Fraction | None
    high: Fraction | None
    step: Fraction
    sign: str
    two_ended: bool
    bare: bool = field(default=False, compare=False)


def read_value(
    text: str, unit: str, *, expect: str | None = None, what: str = "", exponent: bool = False
) -> Typed:
    """Read one typed value.

    Args:
        text: what was typed: ``0.7503``, ``3 thou``, ``1-3/8in``, ``0.700+0.050``, ``4..5 thou``.
        unit: the unit of figures typed without one.
        expect: what it must measure; by default what ``unit`` does.
        what: the quantity in words, for messages: ``H (gear height)``.
        exponent: whether a power of ten is understood (``11.7e-6``).

    Raises:
        NotUnderstoodError: anything that does not read as one value of that dimension.

    >>> read_value("0.700+0.050+3 tenths", "in").text
    '0.700 in+0.050 in+3 tenths'
    >>> read_value("1-3/8in", "mm").low
    Fraction(11, 8)
    """
    return _read(text, unit, expect or dimension(unit), what, exponent=exponent)


@lru_cache(maxsize=8192)
def _read(text: str, unit: str, kind: str, what: str, *, exponent: bool) -> Typed:
    """Read it, or remember what it came to: a job is worked out again and again at the bench."""
    default = unit_named(unit) if dimension(unit) == kind else None
    parsed = parse(text, kind, exponent=exponent)
    typed = weigh(parsed, default, kind, what)
    if typed.two_ended and typed.low == typed.high:
        raise refusals.equal_ends(parsed.text)
    return typed


def weigh(parsed: Parsed, default: str | None, kind: str, what: str = "") -> Typed:
    """Give every figure its unit and add them up.

    Args:
        parsed: the value taken apart.
        default: canonical unit of bare figures; None: each must have its own.
        kind: the dimension that all of it must have.
        what: the quantity in words, for messages.

    Raises:
        NotUnderstoodError: a wrong dimension, inch and metric in one value, a comma that may mark
            thousands, ends in the wrong order.
    """
    _check_decimal_signs(parsed)
    weighed = _two_ends if parsed.two_ended else _total
    return weighed(parsed, default, kind, what)


def _total(parsed: Parsed, default: str | None, kind: str, what: str) -> Typed:
    terms = parsed.low
    units = [
        _unit_of(
            term.text if len(terms) > 1 else parsed.text, term, term.unit or default, kind, what
        )
        for term in terms
    ]
    _check_together(parsed.text, units)
    if kind == "temperature" and len(terms) > 1:
        raise refusals.temperatures_added(parsed.text)
    unit = units[0]
    pairs = list(zip(terms, units, strict=True))
    value = sum((convert(term.amount, own, unit) for term, own in pairs), Fraction(0))
    step = min(term.figure.step * factor(own, unit) for term, own in pairs)
    return Typed(
        _kept(parsed, units),
        unit,
        value,
        value,
        step,
        terms[0].sign,
        two_ended=False,
        bare=all(term.unit is None for term in terms),
    )


def _kept(parsed: Parsed, units: Iterable[str]) -> str:
    """Return the text with its unit behind every bare figure."""
    pieces: list[str] = []
    done = 0
    for term, unit in zip(parsed.low, units, strict=True):
        if term.unit is None:
            pieces += [parsed.text[done : term.figure.end], " ", unit]
            done = term.figure.end
    return _bounded("".join([*pieces, parsed.text[done:]]))


def _bounded(text: str) -> str:
    if len(text) > MOST_CHARACTERS:
        raise refusals.too_long(len(text), MOST_CHARACTERS)
    return text


def _two_ends(parsed: Parsed, default: str | None, kind: str, what: str) -> Typed:
    text = parsed.text
    low, high = next(iter(parsed.low), None), next(iter(parsed.high), None)
    last = high.unit if high else parsed.last
    first = low.unit if low else None
    if first and high and not last:
        raise refusals.unit_on_low(text, first)
    if first and parsed.last:
        raise refusals.two_units(text)
    ends = [
        (term, _unit_of(text, term, own or last or default, kind, what))
        for term, own in ((low, first), (high, last))
        if term
    ]
    _check_together(text, [own for _, own in ends])
    unit = ends[0][1]
    amounts = [convert(term.amount, own, unit) for term, own in ends]
    if len(amounts) == 2 and amounts[0] > amounts[1]:
        raise refusals.reversed_ends(text)
    sign = next((term.sign for term, _ in ends if term.sign), "")
    kept = text if first or last else _bounded(f"{text} {unit}")
    return Typed(
        kept,
        unit,
        amounts[0] if low else None,
        amounts[-1] if high else None,
        Fraction(0),
        sign,
        two_ended=True,
        bare=not (first or last),
    )


def _unit_of(text: str, term: Term, unit: str | None, kind: str, what: str) -> str:
    """Return the unit of a term, if it measures ``kind`` and its comma is none of thousands."""
    if unit is None:
        raise refusals.no_unit(text, kind)
    found = dimension(unit)
    if found != kind:
        raise refusals.other_dimension(text, found, kind, what)
    if term.figure.doubtful and unit != "mm":
        raise refusals.comma_of_three(*term.figure.doubtful)
    return unit


def _check_together(text: str, units: Iterable[str]) -> None:
    if len({system(unit) for unit in units}) > 1:
        raise refusals.two_systems(text)


def _check_decimal_signs(parsed: Parsed) -> None:
    marks = {term.figure.mark for term in (*parsed.low, *parsed.high)}
    if {".", ","} <= marks:
        raise refusals.point_and_comma(parsed.text)
