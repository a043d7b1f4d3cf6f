"""Times as people type them, and temperatures that need their unit."""

from __future__ import annotations

import datetime as dt

from bedplate.cli import context
from bedplate.errors import NotUnderstoodError
from bedplate.record.stamping import moment_text
from bedplate.text import quoted
from bedplate.units import read_temperature, read_value

FORMS = ("%H:%M", "%Y-%m-%d", "%Y-%m-%d %H:%M", "%d %b %Y %H:%M", "%d %b %Y")

FIRST_YEAR = 1000
"""Years before it are not written in a record (`bedplate.record.fields`)."""


def done_at(text: str | None, now: dt.datetime) -> str | None:
    """Return when something was done, as the record keeps it; None where nothing was said.

    A time alone is today's; a time without its offset is this machine's.

    Args:
        text: as typed after ``--at``: ``14:52``, ``2025-11-24 14:52``, ``24 Nov 2025 14:52``, or
            RFC 3339.
        now: the present, with its offset.

    Raises:
        NotUnderstoodError: it is no time, or one that is still to come.
    """
    if text is None:
        return None
    moment = _read(text.strip(), now)
    if moment is None:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(text)} is no time.",
            'Type:  --at 14:52   or   --at "2025-11-24 14:52"',
        )
    if moment > now:
        raise NotUnderstoodError(f"Not recorded. {quoted(text)} is still to come.")
    return moment_text(moment)


def some_time(text: str, now: dt.datetime) -> str | None:
    """Return a time, past or to come, as the record keeps it; None where it is none."""
    moment = _read(text.strip(), now)
    return None if moment is None else moment_text(moment)


def _read(text: str, now: dt.datetime) -> dt.datetime | None:
    moment = _moment(text, now) if text.isascii() else None
    if moment is None or moment.year < FIRST_YEAR or _is_odd(moment.utcoffset()):
        return None
    return moment


def _is_odd(offset: dt.timedelta | None) -> bool:
    """Tell whether an offset from UTC is not of whole minutes: RFC 3339 cannot write it."""
    return offset is None or offset.total_seconds() % 60 != 0


def _moment(text: str, now: dt.datetime) -> dt.datetime | None:
    for form in FORMS:
        try:
            naive = dt.datetime.strptime(text, form)
        except ValueError:
            continue
        if form == "%H:%M":
            return now.replace(hour=naive.hour, minute=naive.minute, second=0, microsecond=0)
        return _local(naive)
    try:
        moment = dt.datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.tzinfo is not None else _local(moment)


def _local(naive: dt.datetime) -> dt.datetime | None:
    """Return a time by this machine's clock with the offset that it had then, summer or winter."""
    try:
        return naive.astimezone()
    except (OSError, OverflowError, ValueError):  # a system that knows no such early day
        return None


def temperature(text: str | None) -> str | None:
    """Return a temperature as the record keeps it, with its unit.

    Raises:
        NotUnderstoodError: it is none, or has no unit and the settings name none.
    """
    if text is None:
        return None
    bare = context.settings().temperature
    unit = {"C": "degC", "F": "degF"}[bare] if bare else None
    try:
        read_temperature(text, unit)
    except NotUnderstoodError as fault:
        raise NotUnderstoodError(f"Not recorded. {fault.message}", *fault.hint) from None
    return read_value(text, unit or "degC").text
