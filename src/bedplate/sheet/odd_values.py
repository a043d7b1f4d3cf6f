"""Values that TOML lets through and a sheet does not: unseen characters, odd figures."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import Any

from bedplate.sheet.faults import Fault
from bedplate.sheet.line_index import LineIndex, Path
from bedplate.text import HIDDEN, visible


def odd_values(data: dict[str, Any], index: LineIndex) -> list[Fault]:
    """Return the faults of texts with unseen characters and of figures in a programmer's form.

    Args:
        data: a sheet as nested dicts and lists.
        index: where its keys stand; without a file no figure is in such a form.
    """
    faults: list[Fault] = []
    for path, value in _leaves(data):
        text = ""
        if isinstance(value, str):
            text = unseen(value) or ""
        elif type(value) is int and not _plain(value, index.shown(path)):
            text = "Write this figure in plain digits, or as it stands in straight quotes."
        if text:
            key = ".".join(step for step in path if isinstance(step, str))
            faults.append(Fault(index.line(path), visible(key), index.shown(path), text))
    return faults


def _leaves(data: dict[str, Any]) -> Iterator[tuple[Path, Any]]:
    """Yield every key and every single value with its place."""
    heap: list[tuple[Path, Any]] = [((), data)]
    while heap:
        path, value = heap.pop()
        if isinstance(value, dict):
            for key, inner in reversed(value.items()):
                heap += [((*path, key), inner), ((*path, key), key)]
        elif isinstance(value, list):
            heap += [((*path, at), inner) for at, inner in reversed(list(enumerate(value)))]
        else:
            yield path, value


def unseen(text: str) -> str | None:
    """Return what is said of a text that holds a control character, None if it holds none."""
    if text.isascii() and text.isprintable():
        return None
    for char in text:
        category = unicodedata.category(char)
        if category in HIDDEN and category != "Cf":
            break
    else:
        return None
    if char in "\n\t\r\b\f" and "\\" not in text:
        said = f"There is a {visible(char)} in this text, a control character."
        return f"{said}\nA text is one line, and a backslash in it is written twice:  C:\\\\new"
    return f"There is a control character ({visible(char)}) in this text. Type it without."


def _plain(value: int, shown: str) -> bool:
    return not shown or bool(re.search(rf"(?<![\w.+-]){value}(?![\w.])", shown))
