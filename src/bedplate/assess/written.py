"""Parts of what the texts of the record say, without any arithmetic: the gauge, the unit."""

from __future__ import annotations

import re

from bedplate.errors import NotUnderstoodError
from bedplate.text import quoted
from bedplate.units import unit_named

_UNIT_AT_END = re.compile(r"[^\W\d_][^\W\d]*(?:[*/^ ·_][^\W_]+)*$|%$|\"$")


def split_gauge(name: str | None) -> tuple[str | None, str | None]:
    """Return what a value was felt with and what it was read on.

    >>> split_gauge("tg/mic1"), split_gauge("mic1")
    (('tg', 'mic1'), (None, 'mic1'))
    """
    if name is None:
        return None, None
    felt, slash, read = name.partition("/")
    return (felt, read) if slash else (None, felt)


def unit_in(text: str) -> str:
    """Return the unit that a text of the record ends in.

    >>> unit_in("0.700 in+3 tenths"), unit_in("17 lbf*ft")
    ('tenth', 'lbf*ft')
    """
    found = _UNIT_AT_END.search(text.strip())
    if found is None:
        raise NotUnderstoodError(f"{quoted(text)} has no unit.")
    return unit_named(found[0])
