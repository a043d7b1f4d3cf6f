"""What the job file adds to an entry that was proposed: its number, when, whose hand, the link."""

from __future__ import annotations

from datetime import datetime
from typing import TypeVar

from bedplate.record.entries import Entry

E = TypeVar("E", bound=Entry)


def stamped(entry: E, *, n: int, at: str, by: str, prev: str) -> E:
    """Return a proposed entry with what the file adds to it, checked as a whole again.

    Args:
        entry: the entry as a command proposes it.
        n: its number, 1 for the first.
        at: when it is written, RFC 3339 with offset (`moment_text`).
        by: whose hand.
        prev: SHA-256 in hex of the line before it, `NO_LINE` for the first.

    Raises:
        pydantic.ValidationError: one of the four is not what it must be.
    """
    return type(entry).model_validate(dict(entry) | {"n": n, "at": at, "by": by, "prev": prev})


def moment_text(moment: datetime) -> str:
    """Return a moment as it is written in an entry: to the second, with its offset.

    Raises:
        ValueError: the moment does not know its offset from UTC.

    >>> from datetime import UTC
    >>> moment_text(datetime(2025, 11, 24, 15, 40, tzinfo=UTC))
    '2025-11-24T15:40:00+00:00'
    """
    if moment.utcoffset() is None:
        msg = "a moment in an entry must know its offset from UTC"
        raise ValueError(msg)
    return moment.isoformat(timespec="seconds")
