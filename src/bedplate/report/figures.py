"""Figures, units and dates as people read them: values in, text out.

No figure ever contradicts its verdict: digits are added until it does not. The decimal sign is a
point, there is no thousands mark and no exponent, and U is rounded up.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from fractions import Fraction

from bedplate.units import round_up_root, rounded

LEAST_PLACES = {"thou": 1, "in": 4, "mm": 3}
"""Decimals that a computed length has at least."""

MOST_PLACES = 40
"""Decimals after which a value is taken to equal what it cannot be told from."""


def places_for(unit: str, step: Fraction | None) -> int:
    """Return the decimals of a computed value.

    Args:
        unit: that it is shown in.
        step: the finest step of the readings it rests on, in that unit; None where unknown.

    >>> places_for("thou", Fraction(1, 10)), places_for("mm", Fraction(254, 100_000))
    (1, 3)
    """
    places = LEAST_PLACES.get(unit, 0)
    while step is not None and 0 < step * 10**places < 1 and places < MOST_PLACES:
        places += 1
    return places


def shown(value: Fraction, places: int, limits: Iterable[Fraction | None] = ()) -> str:
    """Return a value with at least ``places`` decimals, as many as its verdict needs.

    Args:
        value: exact.
        places: decimals at least.
        limits: exact limits that it was held against, in the same unit.

    >>> shown(Fraction(40003, 10000), 1, [Fraction(2), Fraction(4)])
    '4.0003'
    """
    held = [limit for limit in limits if limit is not None]
    text = rounded(value, places)
    while any(_contradicts(text, value, limit) for limit in held) and places < MOST_PLACES:
        places += 1
        text = rounded(value, places)
    return text


def _contradicts(text: str, value: Fraction, limit: Fraction) -> bool:
    """Say whether a rounded figure lies otherwise to a limit than the value itself."""
    figure = Fraction(text)
    if value == limit:
        return figure != limit
    return figure <= limit if value > limit else figure >= limit


def uncertainty(square: Fraction, places: int, *, typed_only: bool = False) -> str:
    """Return U rounded up, to one decimal more than its value.

    Args:
        square: U² (four times the variance), exact.
        places: decimals of the value.
        typed_only: it comes from the digits typed alone, and this is said.

    >>> uncertainty(Fraction(1, 30), 1)
    '0.19'
    """
    text = round_up_root(square, places + 1)
    return f"{text} (typed digits only)" if typed_only else text


def margin(distance: Fraction, places: int) -> str:
    """Return by how much a value is out, without a sign and never as nought.

    >>> margin(Fraction(-3, 10_000), 1)
    '0.0003'
    """
    return shown(abs(distance), places, [Fraction(0)])


def deviation(value: Fraction, places: int) -> str:
    """Return how far a value lies from another, with sign and word.

    >>> deviation(Fraction(2, 5), 1), deviation(Fraction(-2, 5), 1), deviation(Fraction(0), 1)
    ('+0.4 over', '-0.4 under', '0.0')
    """
    text = shown(value, places, [Fraction(0)])
    if value == 0:
        return text
    return f"+{text} over" if value > 0 else f"{text} under"


def echoed(text: str, value: Fraction, places: int) -> str:
    """Return a reading as typed; what is no plain decimal is also shown as one.

    >>> echoed("0.7500 in", Fraction(3, 4), 4), echoed("3/8 in", Fraction(3, 8), 4)
    ('0.7500 in', '3/8 in (0.3750)')
    """
    return text if is_plain(text) else f"{text} ({rounded(value, places)})"


def is_plain(text: str) -> bool:
    """Tell whether a reading is one decimal figure, which says itself what it comes to.

    >>> is_plain("0.7500 in"), is_plain("3/8 in"), is_plain("0.700+0.050")
    (True, False, False)
    """
    found = re.fullmatch(r"-?[0-9]*[.,]?[0-9]+(?![0-9./+-])[^0-9]*", text)
    return found is not None


SPOKEN = {"gal_us/min": "US gal/min"}
DRAWN = {"um": "µm", "degC": "°C", "degF": "°F"}
COUNTED = frozenset({"tenth", "degree", "turn", "flat"})
"""Units that are counted like things: ``2 tenths``."""


def unit_word(unit: str, *, draw: bool = False) -> str:
    """Return a unit as it is read: ``lbf*ft`` is ``lbf ft``, ``um`` is ``µm`` where it can be.

    >>> unit_word("lbf*ft"), unit_word("degC"), unit_word("degC", draw=True)
    ('lbf ft', 'degC', '°C')
    """
    if draw and unit in DRAWN:
        return DRAWN[unit]
    return SPOKEN.get(unit, unit.replace("*", " "))


def with_signs(text: str) -> str:
    """Return a sentence with the drawn sign of temperature: ``20 °C`` for ``20 degC``.

    >>> with_signs("corrected to 20 degC, 11.5e-6 per degC")
    'corrected to 20 °C, 11.5e-6 per °C'
    """
    return re.sub(r"\bdeg(?=[CF]\b)", "°", text)


def amount(text: str, unit: str, *, draw: bool = False) -> str:
    """Return a figure with its unit.

    >>> amount("17", "lbf*ft"), amount("2", "tenth"), amount("1", "turn")
    ('17 lbf ft', '2 tenths', '1 turn')
    """
    word = unit_word(unit, draw=draw)
    return f"{text} {word}s" if unit in COUNTED and text != "1" else f"{text} {word}"


def limits_shown(low: str | None, high: str | None, unit: str, *, draw: bool = False) -> str:
    """Return limits as entered: both, or one with dots on the open side.

    >>> limits_shown("2", "4", "thou"), limits_shown(None, "8", "thou")
    ('2 to 4 thou', '..8 thou')
    """
    if low is None and high is None:
        return "-"
    if low is not None and high is not None:
        return amount(f"{low} to {high}", unit, draw=draw)
    return amount(f"{low or ''}..{high or ''}", unit, draw=draw)


def probability(share: float | None) -> str:
    """Return a probability in per cent; never wholly certain.

    >>> probability(0.998), probability(1.0), probability(0.0)
    ('99.8 %', 'over 99.9 %', 'under 0.1 %')
    """
    if share is None:
        return "-"
    if share > 0.999:
        return "over 99.9 %"
    return "under 0.1 %" if share < 0.001 else f"{share * 100:.1f} %"


def capability(ratio: float | None) -> str:
    """Return band width against twice U.

    >>> capability(5.27), capability(None)
    ('5.3 to 1', '-')
    """
    return "-" if ratio is None else f"{ratio:.1f} to 1"


MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def date_shown(stamp: str) -> str:
    """Return an RFC 3339 time, or a day, as people read it, at the offset it was written in.

    >>> date_shown("2025-11-24T15:40:07+01:00"), date_shown("2026-03-01")
    ('24 Nov 2025 15:40', '1 Mar 2026')
    """
    moment = datetime.datetime.fromisoformat(stamp)
    day = f"{moment.day} {MONTHS[moment.month - 1]} {moment.year}"
    return f"{day} {moment:%H:%M}" if len(stamp) > len("2026-03-01") else day
