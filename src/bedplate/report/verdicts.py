"""What a verdict is called, and its sign.

The word comes first. The sign is a picture of the band in five places, in ASCII everywhere: it
tells all verdicts apart without colour, survives a fax, and can be searched for.
"""

from __future__ import annotations

from collections.abc import Sequence

from bedplate.metrology.judge import WORDS
from bedplate.text import listed

MARKS = {"in": "o", "in-close": "?", "serviceable": "w", "out-close": "?", "out": "X"}
"""The letter that stands where the value stands."""

PHRASES = {
    "in": "in band",
    "in-close": "in, close to {side}",
    "serviceable": "worn, within wear limit",
    "out-close": "out, but close: {word}",
    "out": "OUT, {word}",
    "no-band": "recorded, no limit entered",
    "unmeasured": "waiting",
}
"""What each verdict is called; OUT is the only word in capitals on a screen."""

SIGN_COLUMN = 7
"""Places of `sign_column`: five, and one on either side."""


def side_word(kind: str, side: str | None) -> str | None:
    """Return what a side (``low``, ``high``) is called for a kind of fit.

    >>> side_word("clearance", "high"), side_word("size", "low"), side_word("form", None)
    ('loose', 'undersize', None)
    """
    return None if side is None else WORDS[kind]["high" if side == "high" else "low"]


def said(
    verdict: str,
    side: str | None,
    kind: str,
    margin_text: str | None = None,
    missing: Sequence[str] = (),
) -> str:
    """Return the phrase of a verdict.

    Args:
        verdict: ``in``, ``in-close``, ``serviceable``, ``out-close``, ``out``, ``no-band`` or
            ``unmeasured``.
        side: ``low`` or ``high``; None where the verdict has none.
        kind: of the fit, a key of `metrology.judge.WORDS`.
        margin_text: by how much it is out, without a sign.
        missing: the addresses that wait for a reading.

    >>> said("out", "high", "clearance", "1.3"), said("unmeasured", None, "size", None, ["BL"])
    ('OUT, loose by 1.3', 'waiting: BL')
    """
    phrase = PHRASES[verdict].format(side=side, word=side_word(kind, side))
    if verdict == "out" and margin_text:
        return f"{phrase} by {margin_text}"
    if verdict == "unmeasured" and missing:
        return f"{phrase}: {listed(missing, most=3)}"
    return phrase


def sign(verdict: str, side: str | None, *, has_low: bool = True, has_high: bool = True) -> str:
    """Return the sign of a verdict: brackets are limits, the letter is the value.

    Args:
        verdict: as for `said`.
        side: as for `said`.
        has_low: there is a low limit; a round bracket stands where there is none.
        has_high: there is a high limit.

    >>> sign("in", None), sign("in-close", "high"), sign("out", "high", has_low=False)
    ('[ o ]', '[  ?]', '(   ]X')
    """
    if verdict == "no-band":
        return "-"
    mark = MARKS.get(verdict, "")
    below, inside, above = "", "   ", ""
    match verdict, side:
        case "unmeasured", _:
            inside = "..."
        case "in", _:
            inside = f" {mark} "
        case "in-close", _:
            inside = f"{mark}  " if side == "low" else f"  {mark}"
        case _, "low":
            below = mark
        case _:
            above = mark
    return f"{below}{'[' if has_low else '('}{inside}{']' if has_high else ')'}{above}"


def sign_column(text: str) -> str:
    """Return a sign in a column of its own, the brackets of all signs under one another.

    >>> [sign_column(each) for each in ("[ o ]", "X[   ]", "[   ]X", "-")]
    [' [ o ] ', 'X[   ] ', ' [   ]X', ' -     ']
    """
    start = "" if text[0] in MARKS.values() else " "
    return f"{start}{text}".ljust(SIGN_COLUMN)
