"""One figure as people type it: a decimal, a fraction or a mixed number, read exactly.

Written by hand, one pass, no look-back: the time taken grows with the length of the text. `int`
and `Fraction` only ever see runs of ASCII digits that were counted before.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from bedplate.units import refusals

MOST_DIGITS = 20
"""Digits that one number may have."""

_MOST_EXPONENT = 30


class Figure(NamedTuple):
    """One figure without sign or unit.

    Attributes:
        value: what it says, exactly.
        step: one in its last decimal, or one part of its fraction.
        end: where in the text it ends.
        mark: its decimal sign, "." or ",", or "".
        mixed: whether it is a whole number with a fraction.
        doubtful: whole and part of a comma that could mark thousands (three digits follow it).
    """

    value: Fraction
    step: Fraction
    end: int
    mark: str = ""
    mixed: bool = False
    doubtful: tuple[str, str] | None = None


def is_digit(text: str, at: int) -> bool:
    """Return whether an ASCII digit stands at ``at``."""
    return at < len(text) and "0" <= text[at] <= "9"


def starts_figure(text: str, at: int) -> bool:
    """Return whether a figure begins at ``at``: a digit, or a decimal sign and a digit."""
    return is_digit(text, at) or (text[at : at + 1] in (".", ",") and is_digit(text, at + 1))


def read_figure(text: str, start: int, *, exponent: bool = False) -> Figure:
    """Read the figure that begins at ``start`` (see `starts_figure`).

    Args:
        text: a value, cleaned: blanks and minus signs are ASCII.
        start: where its figure begins.
        exponent: whether ``11.7e-6`` is understood.

    Raises:
        NotUnderstoodError: too many digits, two points, an exponent, half a fraction, nought
            below the stroke, thousands set apart.
    """
    after = _digits_end(text, start)
    char = text[after : after + 1]
    if char in (".", ",") and text[after : after + 2] != "..":
        figure = _decimal(text, start, after)
    elif char == "/":
        figure = _fraction(text, start, after)
    else:
        figure = _mixed(text, start, after) or Figure(
            _whole(text, start, after), Fraction(1), after
        )
    return _checked_end(text, start, figure, exponent=exponent)


def _digits_end(text: str, start: int) -> int:
    end = start
    while is_digit(text, end):
        end += 1
    return end


def _whole(text: str, start: int, end: int) -> Fraction:
    digits = text[start:end]
    if len(digits) > MOST_DIGITS:
        raise refusals.many_digits(digits, MOST_DIGITS)
    return Fraction(int(digits))


def _decimal(text: str, start: int, point: int) -> Figure:
    end = _digits_end(text, point + 1)
    whole, part = text[start:point], text[point + 1 : end]
    if not part:
        raise refusals.open_point(text[start:end])
    if len(whole) + len(part) > MOST_DIGITS:
        raise refusals.many_digits(text[start:end], MOST_DIGITS)
    step = Fraction(1, 10 ** len(part))
    mark = text[point]
    doubtful = (whole, part) if mark == "," and len(part) == 3 else None
    return Figure(int(whole + part) * step, step, end, mark=mark, doubtful=doubtful)


def _fraction(text: str, start: int, stroke: int) -> Figure:
    end = _digits_end(text, stroke + 1)
    if end == stroke + 1:
        raise refusals.half_fraction(text[start:end])
    below = _whole(text, stroke + 1, end)
    if below == 0:
        raise refusals.nought_below(text[start:end])
    return Figure(_whole(text, start, stroke) / below, 1 / below, end)


def _mixed(text: str, start: int, after: int) -> Figure | None:
    """Return the mixed number whose whole part ends at ``after``, if it is one.

    A minus without blanks and a fraction after a whole number make one (``1-3/8``), as blanks do.
    """
    if text[after : after + 1] not in ("-", " "):
        return None
    begin = after + 1
    while text[begin : begin + 1] == " " and text[after] == " ":
        begin += 1
    stroke = _digits_end(text, begin)
    if stroke == begin or text[stroke : stroke + 1] != "/":
        return None
    part = _fraction(text, begin, stroke)
    if part.value >= 1:
        raise refusals.improper(text[start : part.end], text[begin : part.end])
    return Figure(_whole(text, start, after) + part.value, part.step, part.end, mixed=True)


def _checked_end(text: str, start: int, figure: Figure, *, exponent: bool) -> Figure:
    """Return the figure, with its exponent if one is allowed, if nothing odd clings to it."""
    end = figure.end
    after = text[end : end + 1]
    if after in ("e", "E"):
        power = end + 2 if text[end + 1 : end + 2] in ("+", "-") else end + 1
        if is_digit(text, power):
            return _raised(text, start, figure, power, exponent=exponent)
    if after in (".", ",") and text[end : end + 2] != "..":
        raise refusals.two_points(text[start : _run_end(text, end)])
    if after in ("'", "’") and is_digit(text, end + 1):
        raise refusals.thousands(text[start : _run_end(text, end)], "an apostrophe")
    blanks = end
    while text[blanks : blanks + 1] == " ":
        blanks += 1
    if blanks > end and starts_figure(text, blanks):
        _refuse_apart(text, start, end, blanks)
    if blanks > end and text[blanks : blanks + 1] == "/":
        raise refusals.half_fraction(text[start : blanks + 1])
    return figure


def _run_end(text: str, at: int) -> int:
    """Return where a run of digits and of what people put between digits ends."""
    while is_digit(text, at) or text[at : at + 1] in (".", ",", "'", "’", "/"):
        at += 1
    return at


def _refuse_apart(text: str, start: int, end: int, second: int) -> None:
    stop = _run_end(text, second)
    if _digits_end(text, second) == second + 3 and text[start:end].isdigit():
        raise refusals.thousands(text[start:stop], "a blank")
    raise refusals.apart(text[start:end], text[second:stop])


def _raised(text: str, start: int, figure: Figure, power: int, *, exponent: bool) -> Figure:
    end = _digits_end(text, power)
    if not exponent:
        raise refusals.exponent(text[start:end])
    digits = text[power:end]
    if len(digits) > 2 or int(digits) > _MOST_EXPONENT:
        raise refusals.large_exponent(text[start:end], _MOST_EXPONENT)
    ten = Fraction(10) ** (-int(digits) if text[power - 1] == "-" else int(digits))
    return figure._replace(value=figure.value * ten, step=figure.step * ten, end=end)
