"""What the readers of typed values say when they do not understand; one function a refusal.

Every message names the fault and every hint the cure. The caller puts the fate first
("Not recorded."). Texts in quotes are shown as typed, control characters made visible.
"""

from __future__ import annotations

from collections.abc import Sequence

from bedplate.errors import NotUnderstoodError
from bedplate.text import counted, listed, quoted
from bedplate.units.words import in_words

_READS_LIKE = {
    "length": '0.7503  .7503  19.057mm  3thou  "3/8 in"',
    "angle": "60deg  1/2turn  2flats",
    "force": "12N  2.5kgf  5lbf",
    "torque": '23Nm  "17 lbf ft"  "150 lbf in"',
    "unbalance": '"12 g cm"',
    "pressure": "32psi  2.2bar  220kPa  20inHg",
    "stiffness": "12N/mm  70lbf/in",
    "mass": "412.5g  1.2kg  2.6lb",
    "time": "30s  10min  12h",
    "speed": "1400rpm",
    "temperature": "24C  75F  297K",
    "volume": "48.5mL  1.2L  52cm^3",
    "flow": "4.5L/min  1.2gal_us/min",
    "ratio": "12%",
    # Not dimensions, but read here too.
    "figure": "0.0002  1/3",
    "expansion": "11.7e-6  0.0000117",
}


def _a(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def reads_like(kind: str) -> str:
    """Return the line that shows how a value of dimension ``kind`` is typed (also ``figure``)."""
    return f"{_a(kind).capitalize()} reads like  {_READS_LIKE[kind]}"


# ---- units --------------------------------------------------------------------------------


def unknown_unit(text: str, near: Sequence[str], known: Sequence[str]) -> NotUnderstoodError:
    """Refuse a unit that is spelled like none."""
    hint = f"Nearest: {', '.join(near)}" if near else f"Units: {listed(known)}"
    return NotUnderstoodError(f"There is no unit {quoted(text)}.", hint)


def other_dimension(text: str, found: str, expected: str, what: str = "") -> NotUnderstoodError:
    """Refuse a value that measures one thing where another is wanted."""
    wanted = f"; {what} is {_a(expected)}." if what else f", not {_a(expected)}."
    return NotUnderstoodError(f"{quoted(text)} is {_a(found)}{wanted}", reads_like(expected))


def no_unit(text: str, expected: str) -> NotUnderstoodError:
    """Refuse a bare figure where nothing says its unit."""
    return NotUnderstoodError(f"{quoted(text)} has no unit.", reads_like(expected))


def two_systems(text: str) -> NotUnderstoodError:
    """Refuse inch and metric in one value."""
    return NotUnderstoodError(
        f"{quoted(text)} mixes inch and metric.",
        "Type all of it in one of them; a figure without a unit takes the feature's.",
    )


def two_dimensions(text: str, first: str, second: str) -> NotUnderstoodError:
    """Refuse ends that measure different things."""
    return NotUnderstoodError(
        f"{quoted(text)} has {_a(first)} at one end and {_a(second)} at the other.",
        "Type the unit once, at the end:  2..4 thou",
    )


def temperatures_added(text: str) -> NotUnderstoodError:
    """Refuse a sum of temperatures: it has no meaning."""
    return NotUnderstoodError(
        f"{quoted(text)} adds temperatures.", "Type the temperature that was read."
    )


# ---- the text as a whole ------------------------------------------------------------------


def empty(kind: str) -> NotUnderstoodError:
    """Refuse an empty text."""
    return NotUnderstoodError("There is no value.", reads_like(kind))


def too_long(length: int, most: int) -> NotUnderstoodError:
    """Refuse more than any value needs."""
    return NotUnderstoodError(
        f"A value of {counted(length, 'character')} is too long; {most} are the most.",
        "Type the sum itself, or its parts as separate readings.",
    )


def unseen(text: str) -> NotUnderstoodError:
    """Refuse a control character, or another that no screen shows."""
    return NotUnderstoodError(
        f"{quoted(text)} holds a character that cannot be seen.", "Type the value again."
    )


def other_digits(text: str) -> NotUnderstoodError:
    """Refuse digits of another script."""
    return NotUnderstoodError(
        f"{quoted(text)} has digits other than 0 to 9.", "Type it with the digits 0 to 9."
    )


def drawn_fraction(text: str) -> NotUnderstoodError:
    """Refuse a fraction, or another number, that is one character."""
    return NotUnderstoodError(
        f"{quoted(text)} has a fraction drawn as one sign.", "Type it with a stroke:  1/2"
    )


def no_figure(text: str, kind: str) -> NotUnderstoodError:
    """Refuse words where a figure is wanted."""
    return NotUnderstoodError(f"{quoted(text)} is not a figure.", reads_like(kind))


def bare_unit(text: str, kind: str) -> NotUnderstoodError:
    """Refuse a unit without its figure."""
    return NotUnderstoodError(f"{quoted(text)} is a unit without a figure.", reads_like(kind))


# ---- figures ------------------------------------------------------------------------------


def many_digits(text: str, most: int) -> NotUnderstoodError:
    """Refuse a figure longer than any gauge shows."""
    return NotUnderstoodError(
        f"{quoted(text)} has more than {most} digits.", "Type the digits that the gauge shows."
    )


def exponent(text: str) -> NotUnderstoodError:
    """Refuse a power of ten: they are for expansions alone."""
    return NotUnderstoodError(
        f"{quoted(text)} has an exponent.", "Type the figure out, with a point:  0.0002"
    )


def large_exponent(text: str, most: int) -> NotUnderstoodError:
    """Refuse a power of ten beyond reason."""
    return NotUnderstoodError(
        f"{quoted(text)} has an exponent above {most}.", reads_like("expansion")
    )


def open_point(text: str) -> NotUnderstoodError:
    """Refuse a point or comma that nothing follows."""
    return NotUnderstoodError(
        f"{quoted(text)} has no digit after its point.",
        f"Type  {text[:-1]}  or  {text[:-1]}.0  (the last digit typed is taken as the fineness)",
    )


def two_points(text: str) -> NotUnderstoodError:
    """Refuse more than one point or comma in one figure."""
    return NotUnderstoodError(
        f"{quoted(text)} has more than one point or comma in a figure.",
        "Type one point; two ends have two points between them:  4..5",
    )


def point_and_comma(text: str) -> NotUnderstoodError:
    """Refuse a value whose figures do not agree on the decimal sign."""
    return NotUnderstoodError(
        f"{quoted(text)} has a comma and a point.", "Type it with points alone."
    )


def comma_of_three(whole: str, part: str) -> NotUnderstoodError:
    """Refuse three digits after a comma: a decimal, or thousands."""
    text = f"{whole},{part}"
    plain = f"{whole or '0'}.{part}"
    cure = f"Type it with a point:  {plain}     (in PowerShell a comma splits values)"
    if not 1 <= len(whole) <= 3 or whole[0] == "0":
        return NotUnderstoodError(
            f"{quoted(text)} has three digits after its comma, as thousands have.", cure
        )
    return NotUnderstoodError(
        f"{quoted(text)} can be {plain} or {in_words(int(whole + part))}.", cure
    )


def thousands(text: str, mark: str) -> NotUnderstoodError:
    """Refuse thousands set apart."""
    plain = "".join(char for char in text if char not in " '’")
    return NotUnderstoodError(
        f"{quoted(text)} marks its thousands with {mark}.", f"Type it without:  {plain}"
    )


def apart(first: str, second: str) -> NotUnderstoodError:
    """Refuse two figures with nothing between them."""
    return NotUnderstoodError(
        f"{quoted(first)} and {quoted(second)} stand apart: two readings, or one?",
        "A mixed number reads like  1-3/8in  and a sum like  0.700+0.050",
    )


def half_fraction(text: str) -> NotUnderstoodError:
    """Refuse a stroke without a digit on each side."""
    return NotUnderstoodError(
        f"{quoted(text)} is half a fraction.", "Type it without blanks:  3/8"
    )


def nought_below(text: str) -> NotUnderstoodError:
    """Refuse a denominator of nought."""
    return NotUnderstoodError(
        f"{quoted(text)} has nought below its stroke.", "A fraction reads like  3/8"
    )


def improper(text: str, fraction: str) -> NotUnderstoodError:
    """Refuse a mixed number whose fraction is one or more."""
    return NotUnderstoodError(
        f"{quoted(text)} is no mixed number: {fraction} is not less than one.",
        "A mixed number reads like  1-3/8in  and a difference like  1in-3/8in",
    )


def no_mixed(text: str) -> NotUnderstoodError:
    """Refuse a mixed number where one plain figure is wanted."""
    return NotUnderstoodError(
        f"{quoted(text)} can be a mixed number or a sum.", "Type one figure:  0.0002  or  1/3"
    )


# ---- sums ---------------------------------------------------------------------------------


def open_sum(text: str, sign: str) -> NotUnderstoodError:
    """Refuse a sign with nothing behind it."""
    return NotUnderstoodError(
        f"{quoted(text)} has nothing after its {quoted(sign)}.",
        "Type the figure that belongs there, or leave the sign out.",
    )


def two_signs(text: str) -> NotUnderstoodError:
    """Refuse two signs in a row."""
    return NotUnderstoodError(
        f"{quoted(text)} has two signs together.", "Type one of them:  0.700+0.050"
    )


def stray(text: str, char: str) -> NotUnderstoodError:
    """Refuse a character that has no place there."""
    return NotUnderstoodError(
        f"{quoted(text)} does not read as a value: {quoted(char)} has no place there.",
        "A sum reads like  0.700+0.050+3tenths",
    )


def not_bare(text: str) -> NotUnderstoodError:
    """Refuse a unit where a plain figure is wanted."""
    return NotUnderstoodError(
        f"{quoted(text)} has a unit where a plain figure is wanted.", "Type the figure alone."
    )


def not_one_figure(text: str, example: str) -> NotUnderstoodError:
    """Refuse a sum, or two ends, where one figure is wanted."""
    return NotUnderstoodError(f"{quoted(text)} is not one figure.", f"Type one:  {example}")


# ---- two ends -----------------------------------------------------------------------------


def three_dots(text: str) -> NotUnderstoodError:
    """Refuse three points in a row: two and a decimal, or a slip."""
    return NotUnderstoodError(
        f"{quoted(text)} has three points in a row.",
        "Two ends have two points between them:  4..5  or  0.4..0.5",
    )


def many_ends(text: str) -> NotUnderstoodError:
    """Refuse more than two ends."""
    return NotUnderstoodError(f"{quoted(text)} has more than two ends.", "Type two ends:  4..5")


def no_ends(text: str) -> NotUnderstoodError:
    """Refuse two points with a figure on neither side."""
    return NotUnderstoodError(
        f"{quoted(text)} has no figure at either end.", "Type one end or both:  ..4  4..5  4.."
    )


def sum_at_end(text: str) -> NotUnderstoodError:
    """Refuse a sum at one of two ends."""
    return NotUnderstoodError(
        f"{quoted(text)} has a sum at one end.", "Type one figure at each end:  4..5"
    )


def unit_on_low(text: str, unit: str) -> NotUnderstoodError:
    """Refuse a unit at the lower end alone."""
    return NotUnderstoodError(
        f"{quoted(text)} has its unit at the first end alone.",
        f"Type it last, for both ends:  4..5 {unit}",
    )


def two_units(text: str) -> NotUnderstoodError:
    """Refuse one end, two units."""
    return NotUnderstoodError(f"{quoted(text)} has two units for one end.", "Type one of them.")


def equal_ends(text: str) -> NotUnderstoodError:
    """Refuse a reading between two equal ends."""
    return NotUnderstoodError(
        f"{quoted(text)} has two equal ends.", "Type one figure, or the ends apart."
    )


def reversed_ends(text: str) -> NotUnderstoodError:
    """Refuse the higher end first."""
    return NotUnderstoodError(
        f"{quoted(text)} has its higher end first.", "Type the lower end first:  4..5"
    )


def one_limit(text: str) -> NotUnderstoodError:
    """Refuse one figure where limits are wanted."""
    return NotUnderstoodError(
        f"{quoted(text)} is one figure; limits have two ends, or one left open.",
        f"At most:  ..{text}     at least:  {text}..     both:  2..4 thou",
    )


# ---- other quantities ---------------------------------------------------------------------


def below_zero(text: str) -> NotUnderstoodError:
    """Refuse a minus before a quantity that has none."""
    return NotUnderstoodError(f"{quoted(text)} is below nought.", "Type it without the minus.")


def too_cold(text: str) -> NotUnderstoodError:
    """Refuse colder than anything can be."""
    return NotUnderstoodError(f"{quoted(text)} is below absolute zero.", reads_like("temperature"))


def large_expansion(text: str, meant: str) -> NotUnderstoodError:
    """Refuse an expansion typed without its power of ten."""
    cure = f"Did you mean  {meant}" if meant else reads_like("expansion")
    return NotUnderstoodError(f"{quoted(text)} is more than any metal expands per degC.", cure)


def not_expansion(text: str) -> NotUnderstoodError:
    """Refuse a unit that an expansion does not have."""
    return NotUnderstoodError(
        f"{quoted(text)} is not an expansion per degree.", reads_like("expansion")
    )
