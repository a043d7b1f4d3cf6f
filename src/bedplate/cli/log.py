"""``bedplate log``: every entry, the struck ones too."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from bedplate.cli import context
from bedplate.cli.columns import Column, table
from bedplate.cli.store import AtHand, at_hand
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry
from bedplate.record.jobfile import raw_lines
from bedplate.report.entry_words import when, words
from bedplate.text import near_or_list, quoted, visible

COLUMNS = (Column("n", align="right", head=True), Column("when", head=True),
           Column("by", head=True), Column("entry", bare=True))  # fmt: skip

NAMING = ("address", "place", "component", "set", "proof", "step", "part", "holds", "back", "what",
          "gauge", "file", "name")  # fmt: skip
"""Fields of entries that name what they are about."""


def log(
    what: Annotated[
        str | None, typer.Argument(metavar="WHAT", help="An entry, an address, a name or a kind.")
    ] = None,
    *,
    raw: Annotated[
        bool, typer.Option("--raw", help="The lines of the file, also of one not known here.")
    ] = False,
) -> None:
    """Show every entry, also the struck ones.

    Examples:
      bedplate log
      bedplate log H.idler
      bedplate log 17
      bedplate log reading
    """
    if raw:
        _raw()
        return
    found = at_hand()
    entries = [e for e in found.job.entries if what is None or _is_about(e, what)]
    if what is not None and not entries:
        raise _nothing_about(found, what)
    screen = context.screen()
    if screen.as_json:
        numbers = {entry.n for entry in entries}
        lines = [json.loads(line) for n, line in enumerate(found.file.lines, 1) if n in numbers]
        screen.json({**context.document("log", found.name, found.job.last), "lines": lines})
        return
    number = "entry {}" if screen.plain else "{}"
    rows = [
        (number.format(entry.n), when(entry), visible(entry.by), _line(entry, found))
        for entry in entries
    ]
    for line in table(COLUMNS, rows, screen.width, plain=screen.plain):
        screen.out(line)


def _line(entry: AnyEntry, found: AtHand) -> str:
    said = words(entry, found.job)
    by = found.job.struck.get(entry.n)
    return f"[struck by {by}] {said}" if by is not None else said


def _is_about(entry: AnyEntry, what: str) -> bool:
    wanted = what.casefold()
    if wanted.isascii() and wanted.isdigit():
        return entry.n == int(wanted[:20]) or getattr(entry, "entry", None) == int(wanted[:20])
    if wanted == entry.kind:
        return True
    return any(_names(text, wanted) for text in _subjects(entry))


def _subjects(entry: AnyEntry) -> list[str]:
    """Return the names that an entry is about."""
    told = [getattr(entry, name, None) for name in NAMING]
    names = [text for text in told if isinstance(text, str)]
    gauge = getattr(entry, "gauge", None)
    if isinstance(gauge, dict):
        names.append(gauge["name"])
    for on in getattr(entry, "on", None) or ():
        names += [on.place, on.part]
    return names


def _names(text: str, wanted: str) -> bool:
    """Tell whether a name is the one wanted, or lies under it (``H.idler@a`` under ``H``)."""
    name = text.casefold()
    return name == wanted or (name.startswith(wanted) and name[len(wanted)] in ".@/")


def _nothing_about(found: AtHand, what: str) -> NotUnderstoodError:
    names = sorted({name for entry in found.job.entries for name in _subjects(entry)})
    return NotUnderstoodError(
        f"Nothing shown. No entry is about {quoted(what)}.",
        near_or_list(what, names, "Entries are about"),
    )


def _raw() -> None:
    screen = context.screen()
    path = context.job_at_hand()
    texts = (line.decode("utf-8", "backslashreplace") for line in raw_lines(path))
    if screen.as_json:
        screen.json({**context.document("log", context.job_name(path)), "lines": list(texts)})
        return
    for text in texts:
        screen.out(visible(text))
