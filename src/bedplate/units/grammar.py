"""A typed value taken apart: a sum of figures with their units, or two ends.

Nothing is weighed here: which unit a bare figure has, and whether the units go together, is the
business of `bedplate.units.typed`. One pass, by hand; every refusal says what would be read.
"""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from typing import NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.text import HIDDEN
from bedplate.units import refusals
from bedplate.units.figures import Figure, read_figure, starts_figure
from bedplate.units.registry import is_unit, unit_named

MOST_CHARACTERS = 4000
"""Characters that one value may have, as typed and as kept."""

_AS_ASCII = str.maketrans({"\u2212": "-", "\u2013": "-", "\u00a0": " ", "\u202f": " "})
_SUPERSCRIPTS = "²³"
_UNIT_SIGNS = '%°"″”'


class Term(NamedTuple):
    """One figure of a value, with its sign ("" where none was typed) and its unit, if any."""

    sign: str
    figure: Figure
    unit: str | None
    text: str

    @property
    def amount(self) -> Fraction:
        """What it says with its sign, in its unit."""
        return -self.figure.value if self.sign == "-" else self.figure.value


class Parsed(NamedTuple):
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
        sign = ""
        if text[at] in "+-":
            sign = text[at]
            at = _past_blanks(text, at + 1)
        if not starts_figure(text, at):
            raise _no_figure(text, at, sign, kind)
        begin = at
        figure = read_figure(text, begin, exponent=exponent)
        unit, at = _unit(text, figure.end, kind)
        terms.append(Term(sign, figure, unit, text[begin:at].rstrip(" ")))
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
