"""Whole numbers as they are read aloud, for the one question that figures cannot put."""

from __future__ import annotations

_ONES = {
    0: "nought", 1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven",
    8: "eight", 9: "nine", 10: "ten", 11: "eleven", 12: "twelve", 13: "thirteen", 14: "fourteen",
    15: "fifteen", 16: "sixteen", 17: "seventeen", 18: "eighteen", 19: "nineteen",
}  # fmt: skip
_TENS = {
    2: "twenty", 3: "thirty", 4: "forty", 5: "fifty", 6: "sixty", 7: "seventy", 8: "eighty",
    9: "ninety",
}  # fmt: skip


def in_words(number: int) -> str:
    """Return a whole number from 0 to 999999 in words.

    >>> in_words(1003), in_words(19057)
    ('one thousand and three', 'nineteen thousand and fifty-seven')
    """
    thousands, rest = divmod(number, 1000)
    if not thousands:
        return _below_thousand(rest)
    words = f"{_below_thousand(thousands)} thousand"
    if not rest:
        return words
    return f"{words} {'and ' if rest < 100 else ''}{_below_thousand(rest)}"


def _below_thousand(number: int) -> str:
    hundreds, rest = divmod(number, 100)
    tens, ones = divmod(rest, 10)
    small = _ONES[rest] if rest < 20 else _TENS[tens] + (f"-{_ONES[ones]}" if ones else "")
    if not hundreds:
        return small
    return f"{_ONES[hundreds]} hundred" + (f" and {small}" if rest else "")
