"""From the text of an option to the value of the sheet's key that it gives."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.options import Form, Option
from bedplate.text import quoted

_COUNT = re.compile(r"[0-9]{1,6}")
_EFFECT = re.compile(r"[-+]?[0-9]+(?:[./][0-9]+)?")
_YES = {"": True, "true": True, "yes": True, "false": False, "no": False}
_NEXT_PAIR = re.compile(r",(?=[^=,]*=)")
_UNITED = re.compile(r"(?<=[0-9])(?=[A-Za-zµ°%])")

Given = str | Sequence[str]


def texts(given: Given) -> list[str]:
    """Return what was given as a list, blanks outside left off."""
    several = [given] if isinstance(given, str) else list(given)
    return [text.strip() for text in several]


def one_text(option: Option, given: Given) -> str:
    """Return the one text given.

    Raises:
        NotUnderstoodError: there are several.
    """
    several = texts(given)
    if len(several) != 1:
        raise NotUnderstoodError(f"--{option.name} was given {len(several)} times; once is right.")
    return several[0]


def split_names(given: Given) -> list[str]:
    """Return names that were joined by commas, or given one by one."""
    return [name.strip() for text in texts(given) for name in text.split(",") if name.strip()]


def read_option(option: Option, given: Given) -> Any:
    """Return the value of the key, for every form that needs no other option and no sheet.

    Raises:
        NotUnderstoodError: the text does not read as that; the message says what does.
    """
    reader = _READERS.get(option.form)
    return reader(option, texts(given)) if reader else one_text(option, given)


def _flag(option: Option, given: Sequence[str]) -> bool:
    text = one_text(option, given)
    if text.casefold() not in _YES:
        raise NotUnderstoodError(
            f"--{option.name} stands alone, or with true or false; {quoted(text)} is neither."
        )
    return _YES[text.casefold()]


def _count(option: Option, given: Sequence[str]) -> int:
    text = one_text(option, given)
    if not _COUNT.fullmatch(text):
        raise NotUnderstoodError(
            f"--{option.name} is a whole number, not {quoted(text)}.", f"Type:  --{option.name} 4"
        )
    return int(text)


def pairs(option: Option, text: str) -> dict[str, str]:
    """Return ``in=7.980,ex=7.965`` as names with values.

    A comma parts two pairs only where another ``name=`` follows, so a decimal comma stays.
    """
    found: dict[str, str] = {}
    ends = [found.start() for found in _NEXT_PAIR.finditer(text)]
    for part in (text[start + 1 : end] for start, end in pairwise([-1, *ends, len(text)])):
        name, _, value = part.partition("=")
        if name.strip() in found:
            raise NotUnderstoodError(f"--{option.name} has {quoted(name.strip())} twice.")
        found[name.strip()] = value.strip()
    if not all(name and value for name, value in found.items()):
        raise NotUnderstoodError(
            f"--{option.name} {quoted(text)} does not read as names with values.",
            f"Type it like:  --{option.name} {_PAIR_EXAMPLES.get(option.form, 'in=7.980')}",
        )
    return found


_PAIR_EXAMPLES = {
    "nominal": "in=7.980,ex=7.965",
    "size": "PJ=47.490,PB=47.530",
    "leaves": "M=tight",
    "axis": "1=0,2=80",
}


def _nominal(option: Option, given: Sequence[str]) -> str | dict[str, str]:
    text = one_text(option, given)
    return pairs(option, text) if "=" in text else text


def _all_pairs(option: Option, given: Sequence[str]) -> dict[str, str]:
    return {name: value for text in given for name, value in pairs(option, text).items()}


def _spends(option: Option, given: Sequence[str]) -> dict[str, dict[str, int]]:
    found: dict[str, dict[str, int]] = {}
    for text in given:
        for part in text.split(","):
            state, colon, used = part.partition(":")
            name, equals, count = used.rpartition("=")
            if not (colon and equals and name.strip() and _COUNT.fullmatch(count.strip())):
                raise NotUnderstoodError(
                    f"--spends {quoted(part.strip())} says not what a state uses up.",
                    'Type it like:  --spends tight:gasket=1   or   --spends "locked:tab washer=4"',
                )
            found.setdefault(state.strip(), {})[name.strip()] = int(count)
    if not found:
        raise NotUnderstoodError(f"--{option.name} is empty.")
    return found


def _adjust(text: str) -> dict[str, Any]:
    """Return ``D smaller`` or ``TW -1 2.310..2.410 step 0.050 mm`` as one way to adjust."""
    feature, *words = text.replace("\N{MINUS SIGN}", "-").split()
    found: dict[str, Any] = {"feature": feature}
    while words:
        if words[0] in ("smaller", "larger") and "make" not in found:
            found["make"] = words.pop(0)
        elif _EFFECT.fullmatch(words[0]) and "effect" not in found:
            found["effect"] = words.pop(0)
        else:
            found["sizes"] = _sizes(" ".join(words))
            break
    return found


def _sizes(text: str) -> str | list[str]:
    if ".." in text or "," not in text:
        return text
    return [size.strip() for size in text.split(",") if size.strip()]


_READERS: dict[Form, Callable[[Option, Sequence[str]], Any]] = {
    "flag": _flag,
    "count": _count,
    "names": lambda _, given: split_names(given),
    "nominal": _nominal,
    "size": _all_pairs,
    "leaves": _all_pairs,
    "spends": _spends,
    "adjust": lambda _, given: [_adjust(text) for text in given if text],
}


def spaced(limits: str) -> str:
    """Return limits as they are shown and kept: a blank before the unit.

    >>> spaced("2..4thou")
    '2..4 thou'
    """
    return _UNITED.sub(" ", limits)
