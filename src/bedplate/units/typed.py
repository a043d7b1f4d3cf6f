"""The one strict reader of typed values: readings, sizes and nominals, kept as typed and exact.

A value is a sum of figures, each with or without its unit, or two ends with ``..`` between them.
The same reader reads what a person types and what a file holds.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from bedplate.errors import NotUnderstoodError
from bedplate.text import HIDDEN
from bedplate.units import refusals
from bedplate.units.figures import Figure, read_figure, starts_figure
from bedplate.units.registry import convert, dimension, factor, is_unit, system, unit_named

MOST_CHARACTERS = 4000
"""Characters that one value may have, as typed and as kept."""

_AS_ASCII = str.maketrans({"\u2212": "-", "\u2013": "-", "\u00a0": " ", "\u202f": " "})
_SUPERSCRIPTS = "²³"
_UNIT_SIGNS = '%°"″”'


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
    """

    text: str
    unit: str
    low: Fraction | None
    high: Fraction | None
    step: Fraction
    sign: str
    two_ended: bool


@dataclass(frozen=True, slots=True)
class Term:
    """One figure of a value, with its sign ("" where none was typed) and its unit, if any."""

    sign: str
    figure: Figure
    unit: str | None
    text: str

    @property
    def amount(self) -> Fraction:
        """What it says with its sign, in its unit."""
        return -self.figure.value if self.sign == "-" else self.figure.value


@dataclass(frozen=True, slots=True)
class Parsed:
    """A value taken apart, its units understood but not yet weighed.

    Attributes:
        text: the cleaned text.
        low: the terms of the value, or of its lower end.
        high: the terms of its higher end.
        two_ended: whether there are two points between them.
        last: the unit behind an open higher end (``4.. thou``).
    """

    text: str
    low: tuple[Term, ...]
    high: tuple[Term, ...] = ()
    two_ended: bool = False
    last: str | None = None


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
    kind = expect or dimension(unit)
    default = unit_named(unit) if dimension(unit) == kind else None
    typed = weigh(parse(text, kind, exponent=exponent), default, kind, what)
    if typed.two_ended and typed.low == typed.high:
        raise refusals.equal_ends(typed.text)
    return typed


# ---- taking apart -------------------------------------------------------------------------


def clean(text: str, kind: str) -> str:
    """Return ``text`` with ASCII minus signs and blanks, none of them outside.

    Raises:
        NotUnderstoodError: it is empty or too long, or has characters that no value has:
            unseen ones, digits of other scripts, fractions drawn as one sign.
    """
    if len(text) > MOST_CHARACTERS:
        raise refusals.too_long(len(text), MOST_CHARACTERS)
    cleaned = text.translate(_AS_ASCII).strip(" ")
    if not cleaned:
        raise refusals.empty(kind)
    if cleaned.isascii() and cleaned.isprintable():
        return cleaned
    for char in cleaned:
        category = unicodedata.category(char)
        if category in HIDDEN or (category == "Zs" and char != " "):
            raise refusals.unseen(cleaned)
        if category == "Nd" and not char.isascii():
            raise refusals.other_digits(cleaned)
        if category in ("No", "Nl") and char not in _SUPERSCRIPTS:
            raise refusals.drawn_fraction(cleaned)
    return cleaned


def parse(text: str, kind: str, *, exponent: bool = False) -> Parsed:
    """Take a value apart: a sum, or two ends of one figure each.

    Args:
        text: what was typed.
        kind: the dimension expected; it chooses the examples in messages.
        exponent: whether a power of ten is understood.
    """
    cleaned = clean(text, kind)
    low, at = _sum(cleaned, 0, kind, exponent=exponent)
    if at == len(cleaned):
        return Parsed(cleaned, low)
    if cleaned[at : at + 3] == "...":
        raise refusals.three_dots(cleaned)
    high, last, at = _higher_end(cleaned, at + 2, kind, exponent=exponent)
    if at < len(cleaned):
        raise refusals.many_ends(cleaned)
    if not low and not high:
        raise refusals.no_ends(cleaned)
    if len(low) > 1 or len(high) > 1:
        raise refusals.sum_at_end(cleaned)
    return Parsed(cleaned, low, high, two_ended=True, last=last)


def _higher_end(
    text: str, start: int, kind: str, *, exponent: bool
) -> tuple[tuple[Term, ...], str | None, int]:
    at = _past_blanks(text, start)
    if at == len(text) or text[at] in "+-" or starts_figure(text, at):
        high, at = _sum(text, at, kind, exponent=exponent)
        return high, None, at
    last, at = _unit(text, at, kind)
    return (), last, at


def _sum(text: str, start: int, kind: str, *, exponent: bool) -> tuple[tuple[Term, ...], int]:
    """Read terms up to the end or to two points; none only where two points stand at once."""
    terms: list[Term] = []
    at = _past_blanks(text, start)
    while at < len(text) and text[at : at + 2] != "..":
        begin, sign = at, ""
        if text[at] in "+-":
            sign = text[at]
            at = _past_blanks(text, at + 1)
        if not starts_figure(text, at):
            raise _no_figure(text, at, sign, kind)
        figure = read_figure(text, at, exponent=exponent)
        unit, at = _unit(text, figure.end, kind)
        terms.append(Term(sign, figure, unit, text[begin:at].rstrip()))
        if starts_figure(text, at):
            raise refusals.apart(terms[-1].text, text[at:])
    return tuple(terms), at


def _no_figure(text: str, at: int, sign: str, kind: str) -> NotUnderstoodError:
    """Return the refusal for what stands at ``at`` in place of a figure."""
    if sign and (at == len(text) or text[at : at + 2] == ".."):
        return refusals.open_sum(text, sign)
    if sign and text[at] in "+-":
        return refusals.two_signs(text)
    if at == 0 and is_unit(text):
        return refusals.bare_unit(text, kind)
    return refusals.no_figure(text[at:] if sign else text, kind)


def _unit(text: str, start: int, kind: str) -> tuple[str | None, int]:
    """Read the unit that begins at ``start``, if one does; return it and where it ends."""
    begin = _past_blanks(text, start)
    end = begin
    while end < len(text) and not _ends_unit(text, end):
        end += 1
    if end == begin:
        return None, end
    if not (text[begin].isalpha() or text[begin] in _UNIT_SIGNS):
        raise refusals.stray(text, text[begin])
    return unit_named(text[begin:end].rstrip(" "), kind), end


def _ends_unit(text: str, at: int) -> bool:
    """Return whether a unit before ``at`` ends there: at a sign, two points or a figure.

    A minus between two letters joins a unit (``lbf-ft``).
    """
    char = text[at]
    if char == "-":
        return not (text[at - 1].isalpha() and text[at + 1 : at + 2].isalpha())
    if char == ".":
        return text[at : at + 2] == ".."
    return char == "+" or (text[at - 1] == " " and starts_figure(text, at))


def _past_blanks(text: str, at: int) -> int:
    while at < len(text) and text[at] == " ":
        at += 1
    return at


# ---- weighing -----------------------------------------------------------------------------


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
    return (
        _two_ends(parsed, default, kind, what)
        if parsed.two_ended
        else _total(parsed, default, kind, what)
    )


def _total(parsed: Parsed, default: str | None, kind: str, what: str) -> Typed:
    terms = parsed.low
    units = [_unit_of(term.text, term, term.unit or default, kind, what) for term in terms]
    _check_together(parsed.text, units)
    if kind == "temperature" and len(terms) > 1:
        raise refusals.temperatures_added(parsed.text)
    unit = units[0]
    pairs = list(zip(terms, units, strict=True))
    value = sum((convert(term.amount, own, unit) for term, own in pairs), Fraction(0))
    step = min(term.figure.step * factor(own, unit) for term, own in pairs)
    return Typed(_kept(parsed, units), unit, value, value, step, terms[0].sign, two_ended=False)


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
