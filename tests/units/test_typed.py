"""The strict reader: a row for every typed form, and for every form that is refused."""

from __future__ import annotations

import time
from contextlib import suppress
from fractions import Fraction

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.units import Typed, read_value

AGAIN = "Type the value again."
ASCII = "Type it with the digits 0 to 9."
SHOWN = "Type the digits that the gauge shows."
FIGURE = "Type the figure out, with a point:  0.0002"
ENDS = "Type one end or both:  ..4  4..5  4.."
PRESSURES = "Units: Pa, kPa, bar, psi, kgf/cm^2, inHg"
APART = "A mixed number reads like  1-3/8in  and a sum like  0.700+0.050"
SUM = "A sum reads like  0.700+0.050+3tenths"
ONES = "1" * 21
LENGTH = 'A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"'

# typed, unit of bare figures, as kept, unit, value, step, sign
ORDINARY = [
    ("0.7503", "in", "0.7503 in", "in", "0.7503", "1/10000", ""),
    (".7503", "in", ".7503 in", "in", "0.7503", "1/10000", ""),
    ("0.7500", "in", "0.7500 in", "in", "0.75", "1/10000", ""),
    ("19", "mm", "19 mm", "mm", "19", "1", ""),
    ("012", "mm", "012 mm", "mm", "12", "1", ""),
    (
        "12345678901234567890",
        "um",
        "12345678901234567890 um",
        "um",
        "12345678901234567890",
        "1",
        "",
    ),
    ("0.7503in", "mm", "0.7503in", "in", "0.7503", "1/10000", ""),
    ("0.7503IN", "mm", "0.7503IN", "in", "0.7503", "1/10000", ""),
    ('0.75"', "mm", '0.75"', "in", "0.75", "1/100", ""),
    ('7/8"', "mm", '7/8"', "in", "7/8", "1/8", ""),
    ("19.057 mm", "in", "19.057 mm", "mm", "19.057", "1/1000", ""),
    ("19.057MM", "in", "19.057MM", "mm", "19.057", "1/1000", ""),
    ("51 µm", "in", "51 µm", "um", "51", "1", ""),
    ("3 thou", "in", "3 thou", "thou", "3", "1", ""),
    ("3thou", "in", "3thou", "thou", "3", "1", ""),
    ("7 tenths", "in", "7 tenths", "tenth", "7", "1", ""),
    ("3/8 in", "mm", "3/8 in", "in", "3/8", "1/8", ""),
    ("3/8", "in", "3/8 in", "in", "3/8", "1/8", ""),
    ("11/8in", "mm", "11/8in", "in", "11/8", "1/8", ""),
    ("1 3/8 in", "mm", "1 3/8 in", "in", "11/8", "1/8", ""),
    ("1  3/8", "in", "1  3/8 in", "in", "11/8", "1/8", ""),
    ("1-3/8in", "mm", "1-3/8in", "in", "11/8", "1/8", ""),
    ("1-3/8", "in", "1-3/8 in", "in", "11/8", "1/8", ""),
    ("1\u22123/8in", "mm", "1-3/8in", "in", "11/8", "1/8", ""),
    ("-1-3/8in", "mm", "-1-3/8in", "in", "-11/8", "1/8", "-"),
    # A minus between blanks, or behind a unit, takes away.
    ("1 - 3/8 in", "in", "1 in - 3/8 in", "in", "5/8", "1/8", ""),
    ("1in-3/8in", "mm", "1in-3/8in", "in", "5/8", "1/8", ""),
    ("1.0-3/8in", "in", "1.0 in-3/8in", "in", "5/8", "1/10", ""),
    ("1- 3/8", "in", "1 in- 3/8 in", "in", "5/8", "1/8", ""),
    ("1 -3/8", "in", "1 in -3/8 in", "in", "5/8", "1/8", ""),
    ("2-1-3/8", "in", "2 in-1-3/8 in", "in", "5/8", "1/8", ""),
    ("1-3/8-1/16", "in", "1-3/8 in-1/16 in", "in", "21/16", "1/16", ""),
    # Sums.
    ("0.700+0.050+3 tenths", "in", "0.700 in+0.050 in+3 tenths", "in", "0.7503", "1/10000", ""),
    ("0.700+0.050+3tenths", "in", "0.700 in+0.050 in+3tenths", "in", "0.7503", "1/10000", ""),
    ("1.2530-0.2500", "in", "1.2530 in-0.2500 in", "in", "1.003", "1/10000", ""),
    ("1.2530 - 0.25", "in", "1.2530 in - 0.25 in", "in", "1.003", "1/10000", ""),
    ("3 tenths + .75", "in", "3 tenths + .75 in", "tenth", "7503", "1", ""),
    ("19 mm + 57 um", "in", "19 mm + 57 um", "mm", "19.057", "1/1000", ""),
    ("1 turn + 2 flats - 30°", "degree", "1 turn + 2 flats - 30°", "turn", "5/4", "1/360", ""),
    ("16 lbf ft + 5 lbf in", "N*m", "16 lbf ft + 5 lbf in", "lbf*ft", "197/12", "1/12", ""),
    # Signs.
    ("+0.0003", "in", "+0.0003 in", "in", "0.0003", "1/10000", "+"),
    ("-0.0002", "in", "-0.0002 in", "in", "-0.0002", "1/10000", "-"),
    ("\u22120.0002", "in", "-0.0002 in", "in", "-0.0002", "1/10000", "-"),
    ("\u20130.0002", "in", "-0.0002 in", "in", "-0.0002", "1/10000", "-"),
    ("-3mm", "in", "-3mm", "mm", "-3", "1", "-"),
    ("- 3 mm", "in", "- 3 mm", "mm", "-3", "1", "-"),
    ("-0.5+0.2", "in", "-0.5 in+0.2 in", "in", "-0.3", "1/10", "-"),
    ("-0", "in", "-0 in", "in", "0", "1", "-"),
    # The decimal comma.
    ("0,75", "in", "0,75 in", "in", "0.75", "1/100", ""),
    (",75", "in", ",75 in", "in", "0.75", "1/100", ""),
    ("0,7503 in", "mm", "0,7503 in", "in", "0.7503", "1/10000", ""),
    ("19,057 mm", "in", "19,057 mm", "mm", "19.057", "1/1000", ""),
    ("19,057", "mm", "19,057 mm", "mm", "19.057", "1/1000", ""),
    ("19,05+0,007", "mm", "19,05 mm+0,007 mm", "mm", "19.057", "1/1000", ""),
    # Blanks.
    ("  0.7503  ", "in", "0.7503 in", "in", "0.7503", "1/10000", ""),
    ("0.7503\u00a0mm", "in", "0.7503 mm", "mm", "0.7503", "1/10000", ""),
    ("\u00a00.7503\u202fmm", "in", "0.7503 mm", "mm", "0.7503", "1/10000", ""),
    # Other things than lengths.
    ("32", "psi", "32 psi", "psi", "32", "1", ""),
    ("0.75 inhg", "psi", "0.75 inhg", "inHg", "0.75", "1/100", ""),
    ("17 lbf ft", "N*m", "17 lbf ft", "lbf*ft", "17", "1", ""),
    ("17lbf-ft", "N*m", "17lbf-ft", "lbf*ft", "17", "1", ""),
    ("17 lbf-ft-12 lbf-in", "N*m", "17 lbf-ft-12 lbf-in", "lbf*ft", "16", "1/12", ""),
    ("23 N·m", "lbf*ft", "23 N·m", "N*m", "23", "1", ""),
    ("2.2 kgf/cm^2", "bar", "2.2 kgf/cm^2", "kgf/cm^2", "2.2", "1/10", ""),
    ("52 cm³", "mL", "52 cm³", "cm^3", "52", "1", ""),
    ("5 in^3+2 in3", "mL", "5 in^3+2 in3", "in^3", "7", "1", ""),
    ("5+3", "N/mm", "5 N/mm+3 N/mm", "N/mm", "8", "1", ""),
    ("5-3", "in^3", "5 in^3-3 in^3", "in^3", "2", "1", ""),
    ("412.5", "g", "412.5 g", "g", "412.5", "1/10", ""),
    ("12", "%", "12 %", "%", "12", "1", ""),
    ("12%", "%", "12%", "%", "12", "1", ""),
    ("24", "degC", "24 degC", "degC", "24", "1", ""),
    ("-5 °C", "degF", "-5 °C", "degC", "-5", "1", "-"),
    ("75F", "degC", "75F", "degF", "75", "1", ""),
]

# typed, unit of bare figures, as kept, unit, low, high, sign
TWO_ENDED = [
    ("4..5 thou", "in", "4..5 thou", "thou", "4", "5", ""),
    ("4..5thou", "in", "4..5thou", "thou", "4", "5", ""),
    ("4 .. 5 thou", "in", "4 .. 5 thou", "thou", "4", "5", ""),
    ("4 thou..5 thou", "in", "4 thou..5 thou", "thou", "4", "5", ""),
    ("1 thou..15 tenths", "in", "1 thou..15 tenths", "thou", "1", "3/2", ""),
    ("..1.5 thou", "in", "..1.5 thou", "thou", None, "1.5", ""),
    ("4.. thou", "in", "4.. thou", "thou", "4", None, ""),
    ("4..thou", "in", "4..thou", "thou", "4", None, ""),
    ("4 thou..", "in", "4 thou..", "thou", "4", None, ""),
    ("4..", "thou", "4.. thou", "thou", "4", None, ""),
    ("..5", "thou", "..5 thou", "thou", None, "5", ""),
    ("38..51 um", "in", "38..51 um", "um", "38", "51", ""),
    ("0.9996..0.9998", "in", "0.9996..0.9998 in", "in", "0.9996", "0.9998", ""),
    ("0,5..0,7", "mm", "0,5..0,7 mm", "mm", "0.5", "0.7", ""),
    ("0,050..0,070", "mm", "0,050..0,070 mm", "mm", "0.05", "0.07", ""),
    ("1/16..1/8 in", "mm", "1/16..1/8 in", "in", "1/16", "1/8", ""),
    ("1-1/16..1-1/8", "in", "1-1/16..1-1/8 in", "in", "17/16", "9/8", ""),
    ("-0.0002..0.0003", "in", "-0.0002..0.0003 in", "in", "-0.0002", "0.0003", "-"),
    ("\u22120.0002..+0.0003", "in", "-0.0002..+0.0003 in", "in", "-0.0002", "0.0003", "-"),
    ("0..+0.0003", "in", "0..+0.0003 in", "in", "0", "0.0003", "+"),
    ("..-0.0002", "in", "..-0.0002 in", "in", None, "-0.0002", "-"),
    ("80..90 degC", "degF", "80..90 degC", "degC", "80", "90", ""),
    ("32 degF..10 degC", "degF", "32 degF..10 degC", "degF", "32", "50", ""),
]


@pytest.mark.parametrize(("text", "bare", "kept", "unit", "value", "step", "sign"), ORDINARY)
def test_an_ordinary_value_is_read(
    text: str, bare: str, kept: str, unit: str, value: str, step: str, sign: str
) -> None:
    exact = Fraction(value)
    expected = Typed(kept, unit, exact, exact, Fraction(step), sign, two_ended=False)
    assert read_value(text, bare) == expected
    assert read_value(kept, bare) == expected


@pytest.mark.parametrize(("text", "bare", "kept", "unit", "low", "high", "sign"), TWO_ENDED)
def test_a_value_with_two_ends_is_read(
    text: str, bare: str, kept: str, unit: str, low: str | None, high: str | None, sign: str
) -> None:
    expected = Typed(
        kept,
        unit,
        None if low is None else Fraction(low),
        None if high is None else Fraction(high),
        Fraction(0),
        sign,
        two_ended=True,
    )
    assert read_value(text, bare) == expected
    assert read_value(kept, bare) == expected


REFUSED = [
    # Nothing, or what no value holds.
    ("", "in", "There is no value.", LENGTH),
    ("  \u00a0 ", "in", "There is no value.", LENGTH),
    ("0.75\x1b[A", "in",
     '"0.75\\x1b[A" holds a character that cannot be seen.', AGAIN),
    ("0.75\n", "in", '"0.75\\x0a" holds a character that cannot be seen.', AGAIN),
    ("0.\u200b75", "in",
     '"0.\\u200b75" holds a character that cannot be seen.', AGAIN),
    ("0.75\u2003mm", "in",
     '"0.75\u2003mm" holds a character that cannot be seen.', AGAIN),
    ("\uff10.75", "in", '"\uff10.75" has digits other than 0 to 9.', ASCII),
    ("\u0660.\u0667", "in",
     '"\u0660.\u0667" has digits other than 0 to 9.', ASCII),
    ("½ in", "mm", '"½ in" has a fraction drawn as one sign.', "Type it with a stroke:  1/2"),
    ("1" * 4001, "in", "A value of 4001 characters is too long; 4000 are the most.",
     "Type the sum itself, or its parts as separate readings."),
    # Words and units.
    ("nan", "in", '"nan" is not a figure.', LENGTH),
    ("inf", "in", '"inf" is not a figure.', LENGTH),
    ("-inf", "in", '"inf" is not a figure.', LENGTH),
    ("about 3", "in", '"about 3" is not a figure.', LENGTH),
    ("=0.75", "in", '"=0.75" is not a figure.', LENGTH),
    (".", "in", '"." is not a figure.', LENGTH),
    ("thou", "in", '"thou" is a unit without a figure.', LENGTH),
    ("°C", "degC", '"°C" is a unit without a figure.', "A temperature reads like  24C  75F  297K"),
    ("3 tho", "in", 'There is no unit "tho".', "Nearest: thou"),
    ("3 xyzzy", "in", 'There is no unit "xyzzy".', "Units: m, mm, um, in, thou, tenth"),
    ("3 xyzzy", "psi", 'There is no unit "xyzzy".', PRESSURES),
    ("0x10", "in", 'There is no unit "x10".', "Units: m, mm, um, in, thou, tenth"),
    ("0.75 mm mm", "in", 'There is no unit "mm mm".', "Units: m, mm, um, in, thou, tenth"),
    ("0.75;0.76", "in", '"0.75;0.76" does not read as a value: ";" has no place there.',
     SUM),
    ("1_000", "in", '"1_000" does not read as a value: "_" has no place there.',
     SUM),
    ("2*3", "in", '"2*3" does not read as a value: "*" has no place there.',
     SUM),
    ("0.75 ,5", "in", '"0.75" and ",5" stand apart: two readings, or one?',
     APART),
    # Figures.
    (ONES, "in", f'"{ONES}" has more than 20 digits.', SHOWN),
    (f"0.{ONES}", "in", f'"0.{ONES}" has more than 20 digits.', SHOWN),
    (f"1/{ONES}", "in", f'"{ONES}" has more than 20 digits.', SHOWN),
    ("7.5e-1", "in", '"7.5e-1" has an exponent.', FIGURE),
    ("1E5", "in", '"1E5" has an exponent.', FIGURE),
    ("1e+5 mm", "in", '"1e+5" has an exponent.', FIGURE),
    ("1.", "in", '"1." has no digit after its point.',
     "Type  1  or  1.0  (the last digit typed is taken as the fineness)"),
    ("1, mm", "in", '"1," has no digit after its point.',
     "Type  1  or  1.0  (the last digit typed is taken as the fineness)"),
    ("0.75.3", "in", '"0.75.3" has more than one point or comma in a figure.',
     "Type one point; two ends have two points between them:  4..5"),
    ("1,003,5", "mm", '"1,003,5" has more than one point or comma in a figure.',
     "Type one point; two ends have two points between them:  4..5"),
    ("1,003.5", "mm", '"1,003.5" has more than one point or comma in a figure.',
     "Type one point; two ends have two points between them:  4..5"),
    ("3/8.5", "in", '"3/8.5" has more than one point or comma in a figure.',
     "Type one point; two ends have two points between them:  4..5"),
    ("1,5+0.25", "mm", '"1,5+0.25" has a comma and a point.', "Type it with points alone."),
    ("1,5..2.5", "mm", '"1,5..2.5" has a comma and a point.', "Type it with points alone."),
    ("1,003", "in", '"1,003" can be 1.003 or one thousand and three.',
     "Type it with a point:  1.003     (in PowerShell a comma splits values)"),
    ("1,003in", "mm", '"1,003" can be 1.003 or one thousand and three.',
     "Type it with a point:  1.003     (in PowerShell a comma splits values)"),
    ("19,057 um", "mm", '"19,057" can be 19.057 or nineteen thousand and fifty-seven.',
     "Type it with a point:  19.057     (in PowerShell a comma splits values)"),
    ("1,000..1,003", "in", '"1,000" can be 1.000 or one thousand.',
     "Type it with a point:  1.000     (in PowerShell a comma splits values)"),
    ("0,750", "in", '"0,750" has three digits after its comma, as thousands have.',
     "Type it with a point:  0.750     (in PowerShell a comma splits values)"),
    (",750", "in", '",750" has three digits after its comma, as thousands have.',
     "Type it with a point:  0.750     (in PowerShell a comma splits values)"),
    ("1 003", "mm", '"1 003" marks its thousands with a blank.', "Type it without:  1003"),
    ("1\u00a0003", "mm", '"1 003" marks its thousands with a blank.', "Type it without:  1003"),
    ("1'003", "mm", "\"1'003\" marks its thousands with an apostrophe.",
     "Type it without:  1003"),
    ("1’003.5", "mm", '"1’003.5" marks its thousands with an apostrophe.',
     "Type it without:  1003.5"),
    ("1 3", "in", '"1" and "3" stand apart: two readings, or one?',
     APART),
    ("1 1/2 1/4", "in", '"1 1/2" and "1/4" stand apart: two readings, or one?',
     APART),
    ("0.75 3/8", "in", '"0.75" and "3/8" stand apart: two readings, or one?',
     APART),
    ("3 thou 4", "in", '"3 thou" and "4" stand apart: two readings, or one?',
     APART),
    ("3/", "in", '"3/" is half a fraction.', "Type it without blanks:  3/8"),
    ("3/ 8", "in", '"3/" is half a fraction.', "Type it without blanks:  3/8"),
    ("3 /8", "in", '"3 /" is half a fraction.', "Type it without blanks:  3/8"),
    ("3/-8", "in", '"3/" is half a fraction.', "Type it without blanks:  3/8"),
    ("/8", "in", '"/8" is not a figure.', LENGTH),
    ("3/8/2", "in", '"3/8/2" does not read as a value: "/" has no place there.',
     SUM),
    ("1.5/2", "in", '"1.5/2" does not read as a value: "/" has no place there.',
     SUM),
    ("1/0", "in", '"1/0" has nought below its stroke.', "A fraction reads like  3/8"),
    ("1 0/0", "in", '"0/0" has nought below its stroke.', "A fraction reads like  3/8"),
    ("1 9/8", "in", '"1 9/8" is no mixed number: 9/8 is not less than one.',
     "A mixed number reads like  1-3/8in  and a difference like  1in-3/8in"),
    ("1-8/8in", "in", '"1-8/8" is no mixed number: 8/8 is not less than one.',
     "A mixed number reads like  1-3/8in  and a difference like  1in-3/8in"),
    # Sums.
    ("0.7+", "in", '"0.7+" has nothing after its "+".',
     "Type the figure that belongs there, or leave the sign out."),
    ("0.7 - ", "in", '"0.7 -" has nothing after its "-".',
     "Type the figure that belongs there, or leave the sign out."),
    ("-", "in", '"-" has nothing after its "-".',
     "Type the figure that belongs there, or leave the sign out."),
    ("4+..5", "in", '"4+..5" has nothing after its "+".',
     "Type the figure that belongs there, or leave the sign out."),
    ("0.7+-0.1", "in", '"0.7+-0.1" has two signs together.', "Type one of them:  0.700+0.050"),
    ("--0.1", "in", '"--0.1" has two signs together.', "Type one of them:  0.700+0.050"),
    ("0.7+thou", "in", '"thou" is not a figure.', LENGTH),
    ("5 in^3-thou", "in^3", '"thou" is not a figure.',
     "A volume reads like  48.5mL  1.2L  52cm^3"),
    ("1 in + 1 mm", "in", '"1 in + 1 mm" mixes inch and metric.',
     "Type all of it in one of them; a figure without a unit takes the feature's."),
    ("1.25-0.25 mm", "in", '"1.25-0.25 mm" mixes inch and metric.',
     "Type all of it in one of them; a figure without a unit takes the feature's."),
    ("20C+4C", "degC", '"20C+4C" adds temperatures.', "Type the temperature that was read."),
    # Two ends.
    ("..", "in", '".." has no figure at either end.', ENDS),
    (".. thou", "in", '".. thou" has no figure at either end.', ENDS),
    ("5..4", "in", '"5..4" has its higher end first.', "Type the lower end first:  4..5"),
    ("4..4", "in", '"4..4" has two equal ends.', "Type one figure, or the ends apart."),
    ("1 thou..10 tenths", "in", '"1 thou..10 tenths" has two equal ends.',
     "Type one figure, or the ends apart."),
    ("4...5", "in", '"4...5" has three points in a row.',
     "Two ends have two points between them:  4..5  or  0.4..0.5"),
    ("0...2", "in", '"0...2" has three points in a row.',
     "Two ends have two points between them:  4..5  or  0.4..0.5"),
    ("...5", "in", '"...5" has three points in a row.',
     "Two ends have two points between them:  4..5  or  0.4..0.5"),
    ("1..2..3", "in", '"1..2..3" has more than two ends.', "Type two ends:  4..5"),
    ("1+2..4", "in", '"1+2..4" has a sum at one end.', "Type one figure at each end:  4..5"),
    ("1..2+2", "in", '"1..2+2" has a sum at one end.', "Type one figure at each end:  4..5"),
    ("4 thou..5", "in", '"4 thou..5" has its unit at the first end alone.',
     "Type it last, for both ends:  4..5 thou"),
    ("4 thou.. mm", "in", '"4 thou.. mm" has two units for one end.', "Type one of them."),
    ("4 thou..6 mm", "in", '"4 thou..6 mm" mixes inch and metric.',
     "Type all of it in one of them; a figure without a unit takes the feature's."),
    ("4.. tho", "in", 'There is no unit "tho".', "Nearest: thou"),
    ("4..;", "in", '"4..;" does not read as a value: ";" has no place there.',
     SUM),
    # Another dimension.
    ("0.75 inhg", "in", '"0.75 inhg" is a pressure, not a length.', LENGTH),
    ("4..5 psi", "in", '"4..5 psi" is a pressure, not a length.', LENGTH),
    ("4.. psi", "in", '"4.. psi" is a pressure, not a length.', LENGTH),
    ("1 in + 2 psi", "in", '"2 psi" is a pressure, not a length.', LENGTH),
    ("24 C", "in", '"24 C" is a temperature, not a length.', LENGTH),
    ("3 in", "degree", '"3 in" is a length, not an angle.',
     "An angle reads like  60deg  1/2turn  2flats"),
    ("3 turns", "g*cm", '"3 turns" is an angle, not an unbalance.',
     'An unbalance reads like  "12 g cm"'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "bare", "message", "hint"), REFUSED)
def test_what_is_no_value_is_refused_with_its_cure(
    text: str, bare: str, message: str, hint: str
) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_value(text, bare)
    assert caught.value.as_lines() == [message, f"  {hint}"]


def test_the_quantity_is_named_where_it_has_a_name() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_value("0.75 inhg", "in", what="H (gear height)")
    assert caught.value.as_lines() == [
        '"0.75 inhg" is a pressure; H (gear height) is a length.',
        f"  {LENGTH}",
    ]


def test_a_bare_figure_needs_a_unit_where_another_dimension_is_expected() -> None:
    assert read_value("12 psi", "in", expect="pressure").unit == "psi"
    with pytest.raises(NotUnderstoodError) as caught:
        read_value("12", "in", expect="pressure")
    assert caught.value.as_lines() == [
        '"12" has no unit.',
        "  A pressure reads like  32psi  2.2bar  220kPa  20inHg",
    ]


def test_the_unit_of_bare_figures_may_be_spelled_as_people_do() -> None:
    assert read_value("51", "µm").text == "51 um"


def test_a_power_of_ten_is_read_only_where_it_is_allowed() -> None:
    typed = read_value("7.5e-1 mm", "in", exponent=True)
    assert (typed.low, typed.step) == (Fraction(3, 4), Fraction(1, 100))
    assert read_value("2E+1", "mm", exponent=True).low == 20
    with pytest.raises(NotUnderstoodError) as caught:
        read_value("1e31", "mm", exponent=True)
    assert caught.value.as_lines() == [
        '"1e31" has an exponent above 30.',
        "  An expansion reads like  11.7e-6  0.0000117",
    ]
    with pytest.raises(NotUnderstoodError):
        read_value("1e0000001", "mm", exponent=True)
    with pytest.raises(NotUnderstoodError):
        read_value("1,003e1", "in", exponent=True)


def test_a_value_that_is_too_long_with_its_units_is_refused() -> None:
    text = "+".join(["1"] * 2000)
    assert len(text) < 4000
    with pytest.raises(NotUnderstoodError) as caught:
        read_value(text, "in")
    assert caught.value.message == "A value of 9999 characters is too long; 4000 are the most."
    with pytest.raises(NotUnderstoodError):
        read_value("." * 2 + " " * 3996 + "1", "in")


def test_what_is_kept_may_have_4000_characters_with_its_units() -> None:
    text = f"1{' ' * 3990}+ 1 in"
    assert len(text) == 3997
    assert len(read_value(text, "in").text) == 4000
    with pytest.raises(NotUnderstoodError):
        read_value(text.replace("+", " +"), "in")


@pytest.mark.parametrize(
    "text",
    [
        "+".join(["1/99999999999999999989"] * 150),
        "+".join(f"1/{10**19 + n}" for n in range(150)),
        "1" * 4000,
        "1 " * 2000,
        "1-" * 2000,
        "1" + " " * 3998 + "2",
        "." * 4000,
        "3 " + "x" * 3998,
        "1" + "'1" * 1999,
        "-" * 4000,
    ],
)
def test_the_longest_value_takes_no_time(text: str) -> None:
    start = time.process_time()
    with suppress(NotUnderstoodError):
        read_value(text[:4000], "in")
    assert time.process_time() - start < 1
