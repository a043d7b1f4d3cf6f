"""What can be said of a gauge, and what is wrong with what was said."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, MutableMapping
from typing import Any

from bedplate.cabinet.files import Refusal, check_seen
from bedplate.cabinet.settings import GAUGE_NAME
from bedplate.text import near_or_list, quoted

FORMAT = "bedplate-gauges/1"

KEYS = (
    "title",
    "kind",
    "range",
    "resolution",
    "max_error",
    "zero_error",
    "repeatability",
    "uncertainty",
    "expansion",
    "reads",
    "serial",
    "due",
)
"""What can be said of a gauge, in the order it is written."""

TITLE_IN_FILE = "name"
"""How a title reads in ``gauges.toml``, where the gauge's own name is the heading."""

LONGEST = 4000
"""Characters in one value: what a record takes."""


def of_table(content: Mapping[str, Any], refused: Refusal) -> dict[str, dict[str, str]]:
    """Return every gauge that a file's content describes, by name, in the file's order.

    Args:
        content: keys and values as read; empty where there is no file.
        refused: makes the failure of what is wrong.
    """
    if not content:
        return {}
    _check_format(content.get("format"), refused)
    gauges = {
        name: described(name, value, refused)
        for name, value in content.items()
        if name != "format"
    }
    by_fold: dict[str, str] = {}
    for name in gauges:
        if (other := by_fold.setdefault(name.casefold(), name)) != name:
            raise refused(f"{quoted(other)} and {quoted(name)} differ only by case.")
    return gauges


def _check_format(value: object, refused: Refusal) -> None:
    if value is None:
        raise refused("its format is not said.", f'Put this line first:  format = "{FORMAT}"')
    if value != FORMAT:
        raise refused(f"it is of format {quoted(str(value))}; this bedplate reads {FORMAT}.")


def described(name: str, value: object, refused: Refusal) -> dict[str, str]:
    """Return what is said of one gauge, each value as text, in the order of `KEYS`."""
    check_name(name, refused)
    if not isinstance(value, Mapping):
        raise refused(f"{quoted(name)} is no gauge.", f"A gauge begins with a line  [{name}]")
    told: dict[str, str] = {}
    for key, said in value.items():
        ours = "title" if key == TITLE_IN_FILE else key
        if ours not in KEYS:
            raise refused(f"{name} has no {quoted(key)}.", near_or_list(key, KEYS, "It has"))
        if ours in told:
            raise refused(f"{name} has both name and title; they are the same.")
        told[ours] = _said(f"{name}: {key}", ours, said, refused)
    return {key: told[key] for key in KEYS if key in told}


def fill(table: MutableMapping[str, Any], said: Mapping[str, str]) -> None:
    """Make a gauge's table say this and nothing else; lines that stay keep their comments."""
    for key in KEYS:
        written = TITLE_IN_FILE if key == "title" and key not in table else key
        if key in said:
            table[written] = said[key]
        elif written in table:
            del table[written]


def check_name(name: str, refused: Refusal) -> None:
    """Refuse a gauge's name that is not letters, digits, ``-`` and ``_``."""
    if not GAUGE_NAME.allows(name) or name.casefold() == "format":
        raise refused(f"{quoted(name)} is no name for a gauge.", GAUGE_NAME.told())


def _said(where: str, key: str, value: object, refused: Refusal) -> str:
    if isinstance(value, bool | dict | list):
        raise refused(f"{where} is not one value.")
    text = str(value).strip()
    check_seen(refused, where, text)
    if not text:
        raise refused(f"{where} says nothing.", "Leave the line out.")
    if len(text) > LONGEST:
        raise refused(f"{where} is longer than {LONGEST} characters.")
    if key == "due":
        _check_date(where, text, refused)
    return text


def _check_date(where: str, text: str, refused: Refusal) -> None:
    try:
        same = datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        same = False
    if not same:
        raise refused(f"{where} is {quoted(text)}, no day.", "A day reads like:  2026-03-01")
