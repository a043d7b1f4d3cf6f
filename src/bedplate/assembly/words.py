"""How sets, parts and entries are called in the sentences of this layer."""

from __future__ import annotations

from datetime import datetime

from bedplate.record.entries import Entry, Noted
from bedplate.sheet.layout import Layout, Setting, joined
from bedplate.sheet.model import Fasteners
from bedplate.text import visible

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

BE_DONE = {
    "removed": "be removed",
    "fitted": "be fitted",
    "tight": "be tightened",
    "locked": "be locked",
    "backed-off": "be backed off",
    "again": "be tightened again",
}
"""What becomes of fasteners, by the word of the entry."""


def called(layout: Layout, name: str, position: Setting = ()) -> str:
    """Return an address with what people call it: ``M.3 (main cap bolts)``."""
    named = layout.named(name)
    address, title = joined(named.name, position), title_of(layout, name)
    return address if title == named.name else f"{address} ({title})"


def title_of(layout: Layout, name: str) -> str:
    """Return what people call a row, as it stands inside a sentence."""
    title = visible(layout.named(name).row.title)
    # "Cover nuts" begins small inside a sentence; "TDC mark" does not.
    return title[:1].lower() + title[1:] if title[1:2].islower() else title


def fastener_word(layout: Layout, tag: str) -> str:
    """Return what one fastener of a set is called, with a space after it, or nothing.

    It is the last word of the set's name, where that is a plural.
    """
    words = visible(layout.row(tag, Fasteners).name or "").split()
    last = words[-1] if words else ""
    return f"{last[:-1].lower()} " if last.endswith("s") and last[:-1].isalpha() else ""


def moment_of(entry: Entry) -> datetime:
    """Return when something was done: as typed in, else when it was written."""
    done_at = entry.done_at if isinstance(entry, Noted) else None
    return datetime.fromisoformat(done_at or entry.at)


def entry_and_time(entry: Entry, now: datetime) -> str:
    """Return ``entry 29, 14:52``, with its day where that is not today."""
    moment = moment_of(entry)
    return f"entry {entry.n}, {clock(moment, now)}"


def clock(moment: datetime, now: datetime) -> str:
    """Return a time of today as ``14:52``, of another day as ``24 Nov 2025 14:52``.

    It is shown by the clock that it was written with.
    """
    there = now.astimezone(moment.tzinfo)
    if moment.date() == there.date():
        return f"{moment:%H:%M}"
    return f"{moment.day} {MONTHS[moment.month - 1]} {moment.year} {moment:%H:%M}"


def until_words(until: str) -> str:
    """Return until when something is put off as people read it: a day without its midnight.

    >>> until_words("2026-12-24T00:00:00+00:00"), until_words("2026-12-24T08:30:00+01:00")
    ('24 Dec 2026', '24 Dec 2026 08:30')
    >>> until_words("10 h")
    '10 h'
    """
    if not until[:4].isdecimal() or until[4:5] != "-":
        return visible(until)
    try:
        moment = datetime.fromisoformat(until.strip())
    except ValueError:
        return visible(until)
    day = f"{moment.day} {MONTHS[moment.month - 1]} {moment.year}"
    return f"{day} {moment:%H:%M}" if moment.hour or moment.minute else day


def plural(name: str, number: int) -> str:
    """Return the name of a thing in the right number: ``tab washers``."""
    return name if number == 1 or name.endswith("s") else f"{name}s"
