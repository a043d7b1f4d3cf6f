"""A reading as it is typed once more, in the command that a refusal hands over."""

from __future__ import annotations

from bedplate.text import visible


def retyped(
    text: str | None, left_out: str | None, gauge: str | None, temp: str | None,
    gauge_temp: str | None,
) -> str:  # fmt: skip
    """Return what follows the address: a value, or why there is none, and what it was read with.

    Typed again without its gauge and temperatures it would be another figure.

    >>> retyped("63.489", None, "TG/mic1", "24 C", None)
    '63.489 -g TG/mic1 --temp "24 C"'
    """
    first = copyable(text) if text is not None else f"--left-out {copyable(left_out or '')}"
    given = {"-g": gauge, "--temp": temp, "--gauge-temp": gauge_temp}
    return first + "".join(f" {option} {copyable(word)}" for option, word in given.items() if word)


def copyable(text: str) -> str:
    """Return a text, made visible, as a shell takes it for one word.

    >>> copyable("1.79 lb")
    '"1.79 lb"'
    """
    shown = visible(text)
    if '"' in shown:
        return f"'{shown}'"
    return f'"{shown}"' if " " in shown else shown
