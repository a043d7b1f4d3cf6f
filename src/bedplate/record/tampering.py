"""What was done to a chain that does not hold: which line, and how, as far as it can be told."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from typing import NamedTuple

from bedplate.record.entries import NO_LINE
from bedplate.record.spelling import SpellingError, UnknownHereError, read_line, read_link


class Break(NamedTuple):
    """The first place where a chain does not hold.

    Attributes:
        line: number of the line that is named, from 1, counted in the file as it stands.
        suspects: the lines it may be; two where only a seal can tell which.
        reason: in words, the end of a sentence.
    """

    line: int
    suspects: tuple[int, ...]
    reason: str


class _Link(NamedTuple):
    """A line: its own hash, what it says of its number and of the line before it, its fault."""

    own: str
    n: int
    prev: str
    fault: str | None = None


def too_long(line: int) -> Break:
    """Return the break at a line without an end: longer than any, so nothing that was torn."""
    reason = f"line {line} is not as bedplate writes it: it is longer than 1 MiB"
    return Break(line, (line,), reason)


def find_break(lines: Sequence[bytes], at: int, *, known: bool = True) -> Break:
    """Return what is wrong with a file of which line ``at`` is the first that does not fit.

    When a line does not agree with the one before it, either may be the altered one: the one
    before is named if the line after bears this one out, else this one.

    Args:
        lines: all whole lines.
        at: number of that line, from 1; those before it are a chain, spelled as they should be.
        known: whether all formats, kinds and fields before it are known here.
    """
    links = [_Link(NO_LINE, 0, "")]
    links += [_Link(sha256(line).hexdigest(), 0, "") for line in lines[: at - 1]]
    links += [_link(line) for line in lines[at - 1 : at + 1]]
    if known and (fault := _fault(lines[at - 1])):
        links[at] = links[at]._replace(fault=fault)
    here, before = links[at], links[at - 1]
    after = links[at + 1] if at + 1 < len(links) else None
    skipped = after is not None and (after.n, after.prev) == (at, before.own)
    if by_itself := _by_itself(links, at, skipped=skipped):
        return by_itself
    if skipped:
        return _between(lines, here, at)
    borne_out = after is not None and after.prev == here.own
    earlier = next((k for k in range(at - 2, -1, -1) if links[k].own == here.prev), None)
    if earlier is not None:
        return _forked(at, earlier, borne_out=borne_out)
    return _missing(lines, here, at) if here.n > at else _altered(at, here, borne_out=borne_out)


def _link(line: bytes) -> _Link:
    own = sha256(line).hexdigest()
    try:
        return _Link(own, *read_link(line))
    except SpellingError as err:
        return _Link(own, 0, "", err.reason)


def _fault(line: bytes) -> str | None:
    try:
        read_line(line)
    except UnknownHereError:
        return None
    except SpellingError as err:
        return err.reason
    return None


def _by_itself(links: Sequence[_Link], at: int, *, skipped: bool) -> Break | None:
    """Name a line that shows by itself, or beside those before it, what is wrong with it."""
    here = links[at]
    if here.fault is not None:
        what = "was put in, and is" if skipped else "is"
        return Break(at, (at,), f"line {at} {what} not as bedplate writes it: {here.fault}")
    if doubled := [k for k in range(1, at) if links[k].own == here.own]:
        return Break(at, (at,), f"line {at} is line {doubled[0]} once more")
    if here.prev == links[at - 1].own:
        what = f"is numbered {here.n}" if here.n != at else "opens the job a second time"
        return Break(at, (at,), f"line {at} {what}")
    return None


def _stands_at(lines: Sequence[bytes], own: str, behind: int) -> int | None:
    """Return the number of the line behind another that has this hash."""
    found = (k for k in range(behind, len(lines)) if sha256(lines[k]).hexdigest() == own)
    return next((k + 1 for k in found), None)


def _between(lines: Sequence[bytes], here: _Link, at: int) -> Break:
    """Name a line that stands between two that belong together."""
    if _stands_at(lines, here.prev, at) is not None:
        return Break(at, (at,), f"line {at} is entry {here.n}, moved from its place")
    return Break(at, (at,), f"line {at} was put in: line {at + 1} follows on the line before it")


def _forked(at: int, earlier: int, *, borne_out: bool) -> Break:
    """Name the line, or the first of several, that stands where another line goes on."""
    first = earlier + 1
    on = f"line {earlier}" if earlier else "the beginning"
    if borne_out:
        what = (
            f"line {first} was put in"
            if first == at - 1
            else f"lines {first} to {at - 1} were put in"
        )
        return Break(first, (first, at), f"{what}: line {at} follows on {on}")
    return Break(at, (first, at), f"line {first} and line {at} both follow on {on}")


def _missing(lines: Sequence[bytes], here: _Link, at: int) -> Break:
    """Say which entries are not where they should be, before a line of a higher number."""
    gone = f"entry {at} is" if here.n == at + 1 else f"entries {at} to {here.n - 1} are"
    if (now := _stands_at(lines, here.prev, at)) is not None:
        return Break(at, (at,), f"{gone} not in place: entry {here.n - 1} was moved to line {now}")
    return Break(at, (at,), f"{gone} missing")


def _altered(at: int, here: _Link, *, borne_out: bool) -> Break:
    if at == 1:
        return Break(1, (1,), "line 1 is written as if a line stood before it")
    if here.n != at:
        return Break(
            at, (at,), f"line {at} is numbered {here.n} and follows on no line of this file"
        )
    if borne_out:
        reason = f"line {at - 1} was altered after line {at} was written on it"
        return Break(at - 1, (at - 1, at), reason)
    return Break(at, (at - 1, at), f"line {at - 1} or line {at} was altered: they do not agree")


def made_unknown(broken: Break, at: int, unknown: UnknownHereError) -> Break:
    """Choose, of two lines that do not agree, the one that is unknown: a format has no new kinds.

    So whoever altered it made it unknown.
    """
    if broken.suspects != (at, at + 1) or broken.line == at:
        return broken
    reason = f"line {at} was altered: {unknown.reason}, and line {at + 1} does not follow on it"
    return broken._replace(line=at, reason=reason)
