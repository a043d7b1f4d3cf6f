"""The figures of one fit as text: in its unit, and in a second one where its reader wants both.

The only place where a figure of a fit becomes text. No screen and no layout here.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from bedplate.assess.result import Band, FitResult
from bedplate.report import figures
from bedplate.report.second import OTHER, Second, beside, second_for, second_of
from bedplate.units import decimal_text, read_limits, round_up_root


def limit_texts(result: FitResult) -> tuple[str | None, str | None]:
    """Return the two limits as the user entered them, where they are the same in this unit.

    Those counted from nominal have the decimals they were entered with.
    """
    band = result.band
    if band is None:
        return None, None
    entered = band.text.partition("..")
    low, high = _as_entered(entered[0], band.low), _as_entered(entered[2], band.high)
    if not any(limits.from_ for limits in result.fit.bands) or "/" in band.text:
        return low, high
    if read_limits(band.text, result.unit)[2] != result.unit:
        return low, high
    places = max(decimals(_figure(text)) for text in (entered[0], entered[2]))
    return _padded(low, places), _padded(high, places)


def _figure(text: str) -> str:
    """Return one end of limits without its unit."""
    return text.strip().split(" ")[0].rstrip("abcdefghijklmnopqrstuvwxyzµ%*/^_")


def _padded(text: str | None, places: int) -> str | None:
    """Return a figure with noughts up to so many decimals."""
    lacking = places - decimals(text) if text is not None else 0
    if text is None or lacking <= 0:
        return text
    return text + ("" if "." in text else ".") + "0" * lacking


def _as_entered(text: str, value: Fraction | None) -> str | None:
    if value is None:
        return None
    figure = _figure(text)
    try:
        same = Fraction(figure) == value
    except (ValueError, ZeroDivisionError):
        same = False
    return figure.lstrip("+") if same and "/" not in figure else decimal_text(value, 6)


def places_of(result: FitResult) -> int:
    """Return the decimals that the values of a fit are shown with."""
    return figures.places_for(result.unit, result.step or None)


def decimals(text: str) -> int:
    """Return the decimals of a figure.

    >>> decimals("2.05"), decimals("2")
    (2, 0)
    """
    return len(text.partition(".")[2])


OPPOSITE = {"clearance": "interference", "interference": "clearance"}
"""What a figure below nought is of these kinds, which have no sign."""


def turned(result: FitResult, value: Fraction) -> bool:
    """Tell whether a value is so far below nought as to be the opposite: it has another name."""
    return value < 0 and result.kind in OPPOSITE and result.unit in OTHER


def value_shown(result: FitResult, value: Fraction | None) -> str:
    """Return a value of a fit in its unit, with as many digits as its verdict needs."""
    if value is None:
        return "-"
    band = result.band
    held = [band.low, band.high] if band is not None and value == result.judged else []
    nought = [Fraction(0)] if turned(result, value) else []
    return figures.shown(value, places_of(result), [*held, *nought])


def uncertainty_shown(result: FitResult) -> str:
    """Return U of the deciding value, rounded up; a dash where nothing is known."""
    if result.variance is None:
        return "-"
    return round_up_root(4 * result.variance, places_of(result) + 1)


def limits_shown(result: FitResult, *, draw: bool = False, alone: bool = False) -> str:
    """Return the band of a fit: ``2 to 4 thou``, or a dash where there is none.

    Args:
        result: the fit.
        draw: with drawn unit signs.
        alone: without a second unit, where that stands elsewhere.
    """
    low, high = limit_texts(result)
    first = figures.limits_shown(low, high, result.unit, draw=draw)
    second, band = second_of(result), result.band
    if alone or second is None or band is None or (low is None and high is None):
        return first
    return f"{first} ({_second_limits(second, band, draw=draw)})"


def wear_shown(result: FitResult, wear: Band, *, draw: bool = False) -> str:
    """Return the wear limits of a fit: ``..6 thou``."""
    low, high = (None if end is None else decimal_text(end, 6) for end in (wear.low, wear.high))
    first, second = figures.limits_shown(low, high, result.unit, draw=draw), second_of(result)
    return f"{first} ({_second_limits(second, wear, draw=draw)})" if second is not None else first


def _second_limits(second: Second, band: Band, *, draw: bool) -> str:
    low, high = (None if end is None else second.limit(end) for end in (band.low, band.high))
    return figures.limits_shown(low, high, second.unit, draw=draw)


def figure_shown(result: FitResult, *, draw: bool = False) -> str:
    """Return the value with its doubt: ``2.9 to 3.1 +-0.19 thou``."""
    plus_minus = " ±" if draw else " +-"

    def one(text: str, unit: str, doubt: str) -> str:
        return figures.amount(f"{text}{plus_minus if doubt else ''}{doubt}", unit, draw=draw)

    word = opposite(result)
    return _in_both(result, one) + (f" {word}" if word else "")


def spoken(result: FitResult) -> str:
    """Return the value with its doubt for a voice: ``2.9 to 3.1 thou, plus or minus 0.19``."""
    word = opposite(result)

    def one(text: str, unit: str, doubt: str) -> str:
        if text.startswith(".."):
            text = f"under {text[2:]}"
        elif text.endswith(".."):
            text = f"over {text[:-2]}"
        said = figures.amount(text, unit) + (f" {word}" if word else "")
        return f"{said}, plus or minus {doubt}" if doubt else said

    return _in_both(result, one)


def _in_both(result: FitResult, one: Callable[[str, str, str], str]) -> str:
    """Return a value in its unit, and in the second one in brackets where there is one.

    Args:
        result: the fit.
        one: makes a text of a value, its unit and its doubt, which may be "".
    """
    square, second = 4 * (result.variance or 0), second_of(result)
    first = one(range_shown(result), result.unit, uncertainty_shown(result) if square else "")
    if second is None:
        return first
    doubt = second.uncertainty(Fraction(square)) if square else ""
    return f"{first} ({one(second_range(result, second), second.unit, doubt)})"


def says_unit(result: FitResult) -> bool:
    """Tell whether a value has to say what it is in: in two units, or below nought."""
    ends = [end for end in ends_shown(result) if end is not None]
    return second_of(result) is not None or any(turned(result, end) for end in ends)


def value_in_full(result: FitResult, *, draw: bool = False) -> str:
    """Return the value with its unit, without its doubt: ``3.0 thou (0.076 mm)``."""
    word = opposite(result)
    text = _in_both(result, lambda value, unit, _doubt: figures.amount(value, unit, draw=draw))
    return f"{text} {word}" if word else text


def uncertainty_in_full(result: FitResult, *, draw: bool = False) -> str:
    """Return U with its unit: ``0.09 thou (0.0023 mm)``."""
    second, square = second_of(result), 4 * (result.variance or Fraction(0))
    first = figures.amount(uncertainty_shown(result), result.unit, draw=draw)
    return beside(
        first, second, second.uncertainty(square) if second is not None else "", draw=draw
    )


def length_shown(result: FitResult, value: Fraction, *, draw: bool = False) -> str:
    """Return a value beside a fit: bare, as its own are, with its unit where there are two.

    It lies on the side of each limit of the fit's band that it is on.
    """
    band, second = result.band, second_of(result)
    limits = [] if band is None else [each for each in (band.low, band.high) if each is not None]
    text = figures.shown(value, places_of(result), limits)
    if second is None:
        return text
    second = second.apart([(value, limit) for limit in limits])
    return beside(
        figures.amount(text, result.unit, draw=draw), second, second.value(value), draw=draw
    )


def distance_shown(result: FitResult, value: Fraction, *, draw: bool = False) -> str:
    """Return how far something is off in the unit of a fit: no sign, never nought."""
    text = figures.amount(figures.margin(value, places_of(result)), result.unit, draw=draw)
    second = second_of(result)
    return beside(text, second, second.distance(value) if second is not None else "", draw=draw)


def size_shown(result: FitResult, value: Fraction, *, draw: bool = False) -> str:
    """Return the size of a part in the unit of a fit that it enters."""
    places, second = places_of(result), second_of(result)
    text = figures.amount(figures.shown(value, places), result.unit, draw=draw)
    # A part may be far larger than a clearance: thou in brackets become inches.
    known = second_for(result.unit, second.unit, value, places) if second is not None else None
    return beside(text, known, known.value(value) if known is not None else "", draw=draw)


def deviation_shown(result: FitResult, value: Fraction, *, draw: bool = False) -> str:
    """Return how far a fit lies from another figure: ``+0.4 over``, ``+0.4 thou (0.010 mm) over``.

    Args:
        result: the fit.
        value: what it is above the other.
        draw: with drawn unit signs.
    """
    text, second = figures.deviation(value, places_of(result)), second_of(result)
    if second is None:
        return text
    figure, _, word = text.partition(" ")
    first = figures.amount(figure, result.unit, draw=draw)
    return f"{beside(first, second, second.distance(value), draw=draw)} {word}".strip()


def below_row(result: FitResult, *, draw: bool = False) -> str:
    """Return what stands under a row of figures: what they are in the second unit, in brackets.

    Where a value lies below nought it is said what that is; the row can only show its sign.
    """
    second, parts = second_of(result), []
    if any(end is not None and turned(result, end) for end in ends_shown(result)):
        parts.append(f"{range_shown(result)} {opposite(result)}".strip())
    if second is not None and result.measured:
        unit = figures.unit_word(second.unit, draw=draw)
        doubt = second.uncertainty(4 * result.variance) if result.variance else ""
        within = f" {'±' if draw else '+-'}{doubt}" if doubt else ""
        parts.append(f"{second_range(result, second)}{within} {unit}")
    if second is not None and result.band is not None:
        parts.append(f"band {_second_limits(second, result.band, draw=draw)}")
    if second is not None and result.verdict == "out" and result.margin is not None:
        beyond = figures.amount(second.distance(result.margin), second.unit, draw=draw)
        parts.append(f"{result.word} by {beyond}")
    return f"({', '.join(parts)})" if parts else ""


def ends_shown(result: FitResult) -> tuple[Fraction | None, Fraction | None]:
    """Return the two ends of a value as it is shown: a fit judged by its mean shows that."""
    if result.fit.judge == "mean" and result.mean is not None:
        return result.mean, result.mean
    return result.tightest, result.loosest


def opposite(result: FitResult) -> str:
    """Return the name of a value below nought, where all of it is: ``interference``; else ""."""
    known = [end for end in ends_shown(result) if end is not None]
    below = bool(known) and all(turned(result, end) for end in known)
    return OPPOSITE[result.kind] if below else ""


def range_shown(result: FitResult) -> str:
    """Return the value of a fit, both ends where they differ: ``2.9 to 3.1``; no unit."""
    return _range(result, lambda value: value_shown(result, value))


def second_range(result: FitResult, second: Second) -> str:
    """Return the same in the second unit, without it."""
    return _range(result, second.value)


def _range(result: FitResult, figure: Callable[[Fraction], str]) -> str:
    tightest, loosest = ends_shown(result)
    whole = bool(opposite(result))

    def text(value: Fraction) -> str:
        if not turned(result, value):
            return figure(value)
        return figure(value).lstrip("-") + ("" if whole else f" {OPPOSITE[result.kind]}")

    if tightest is None:
        return "-" if loosest is None else f"..{text(loosest)}"
    if loosest is None:
        return f"{text(tightest)}.."
    low, high = text(tightest), text(loosest)
    return low if low == high else f"{low} to {high}"
