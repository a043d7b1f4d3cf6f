"""What the doctors of a faulty statement share: its parts, and what stands outside its texts."""

from __future__ import annotations

import re
from collections.abc import Callable

Found = tuple[str, str] | None
"""What is wrong and the statement as it was meant, or None."""

Doctor = Callable[[str], Found]

ASSIGNED = re.compile(r"(\s*)([^=\"'\[{#]+?)(\s*=\s*)(.*)$", re.DOTALL)
"""Blanks, key, equals sign, value."""

OUTSIDE = re.compile(r""""(?:[^"\\\n]|\\.)*"|'[^'\n]*'|#[^\n]*|.""", re.DOTALL)
"""A whole text, a remark, or one character outside both."""


def without_remark(text: str) -> str:
    """Return one line without the remark at its end."""
    return "".join(m.group() for m in OUTSIDE.finditer(text) if not m.group().startswith("#"))


def replaced_outside(text: str, change: Callable[[str], str]) -> str:
    """Return ``text`` with ``change`` made to each stretch that is neither text nor remark."""
    parts: list[str] = []
    run = ""
    for found in OUTSIDE.finditer(text):
        piece = found.group()
        if piece[0] in "\"'#" and len(piece) > 1:
            parts += [change(run), piece]
            run = ""
        else:
            run += piece
    return "".join([*parts, change(run)])
