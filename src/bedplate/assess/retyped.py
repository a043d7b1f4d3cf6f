"""A text as a shell takes it for one word, in the command that a refusal hands over."""

from __future__ import annotations

from bedplate.text import visible


def copyable(text: str) -> str:
    """Return a text, made visible, as a shell takes it for one word.

    >>> copyable("1.79 lb")
    '"1.79 lb"'
    """
    shown = visible(text)
    if '"' in shown:
        return f"'{shown}'"
    return f'"{shown}"' if " " in shown else shown
