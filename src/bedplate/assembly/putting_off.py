"""Whether something may be put off, settled, found or drawn; and when what was put off is due."""

from __future__ import annotations

import re
from datetime import datetime

from bedplate.assembly.moments import signed_moments
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import until_words
from bedplate.assess.geometry import addresses_of, tags_of
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record.entries import Deferred, Disposition, Finding, PartUsed, Settled
from bedplate.record.waiting import PutOff, asks
from bedplate.sheet.model import Fit, Size
from bedplate.text import bare, listed, near_or_list, quoted, visible

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?"
    r"(Z|[+-][0-9]{2}:[0-9]{2})?",
    re.ASCII,
)


def time_of(until: str, now: datetime) -> datetime | None:
    """Return the time that something was put off until, None where it is no time.

    A day is taken from its first minute, and what has no offset by the clock of ``now``.

    >>> from datetime import UTC
    >>> time_of("2025-12-01", datetime(2025, 11, 24, tzinfo=UTC)).isoformat()
    '2025-12-01T00:00:00+00:00'
    """
    text = until.strip()
    if not (_DAY.fullmatch(text) or _TIME.fullmatch(text)):
        return None
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.tzinfo is not None else found.replace(tzinfo=now.tzinfo)


def is_due(assembly: Assembly, item: PutOff, moment: int) -> bool:
    """Tell whether what was put off is due when the job is signed for a moment.

    Until a moment: from that one on. Until a time: once it has come. Until somebody does
    something: always.
    """
    index = assembly.moment_index(item.until)
    if index is not None:
        return index <= moment
    time = time_of(item.until, assembly.now)
    return time is None or time <= assembly.now


def may_defer(assembly: Assembly, entry: Deferred) -> None:
    """Refuse to put off what nobody can find again, or until what is past.

    Raises:
        NotUnderstoodError: what it holds is nothing on the sheet, or what it waits for is nobody.
        RefusedError: the moment is signed for, or the time is past.

    """
    if entry.holds is not None:
        _refuse_unholdable(assembly, entry.holds)
    index = assembly.moment_index(entry.until)
    signed = signed_moments(assembly.job)
    if index is not None and assembly.moments[index] in signed:
        later = next((m for m in assembly.moments[index:] if m not in signed), None)
        hint = f'Type:  --until "{later}"' if later else "Type:  bedplate reopen --why REASON"
        raise RefusedError(
            f"Refused. The job is signed for {visible(assembly.moments[index])} already.", hint
        )
    time = time_of(entry.until, assembly.now)
    if index is None and time is None:
        _refuse_no_person(assembly, entry.until)
    if time is not None and time <= assembly.now:
        raise RefusedError(
            f"Refused. {until_words(entry.until)} is past.",
            "Name a time to come, a moment or a person.",
        )


_SPAN = re.compile(r"[0-9.,]+ *(m|min|minutes?|h|hrs?|hours?|d|days?|weeks?|months?)\.?", re.I)
"""Hours run, or a length of time: nobody is called so."""


def _refuse_no_person(assembly: Assembly, until: str) -> None:
    """Refuse to wait for a person who is a span of time, or a moment misspelt."""
    moments = {bare(moment): visible(moment) for moment in assembly.moments}
    meant = moments.get(bare(until))
    if meant is None and not _SPAN.fullmatch(until.strip()):
        return
    raise NotUnderstoodError(
        f"Not recorded. {quoted(until)} is no moment of this job, no time and no person.",
        f'Type:  --until "{meant}"' if meant else f"Moments: {listed(list(moments.values()))}",
        'A time reads like  --until "2025-11-24 14:52"',
    )


def _refuse_unholdable(assembly: Assembly, holds: str) -> None:
    """Refuse to hold what is nothing on the sheet, or a fit or size, which nobody asks for."""
    named = assembly.layout.find(holds.partition("@")[0].partition(".")[0].strip())
    if named is None or not isinstance(named.row, Fit | Size):
        assembly.select(holds)
        return
    row = named.row
    tags = tags_of(assembly.layout, row) if isinstance(row, Fit) else list(row.nominal)
    raise NotUnderstoodError(
        f"Not recorded. {named.name} is a {named.noun}: what waits is an address, set or step.",
        f"Name what it rests on, such as  --holds {tags[0]}",
    )


def may_settle(assembly: Assembly, entry: Settled) -> None:
    """Refuse to settle what was not put off, asks for no answer, or is settled already.

    Raises:
        NotUnderstoodError: there is no such entry.
        RefusedError: it cannot be settled.

    """
    n, job = entry.entry, assembly.job
    if not 1 <= n <= job.last:
        raise NotUnderstoodError(
            f"Not recorded. There is no entry {n}; the last is {job.last}.",
            "See what waits:  bedplate status",
        )
    target = assembly.entry(n)
    if not job.is_live(n):
        raise RefusedError(
            f"Refused. Entry {n} was struck (entry {job.struck[n]}), so it waits for nothing.",
            "See what waits:  bedplate status",
        )
    done = assembly.waiting.settled.get(n)
    if done is not None:
        raise RefusedError(
            f"Refused. Entry {n} is settled already (entry {done.n}).",
            f"Not so?  bedplate strike {done.n} --why REASON",
        )
    if not _waits(assembly, target):
        raise RefusedError(
            f"Refused. Entry {n} ({target.kind}) waits for nothing and asks for no answer.",
            "See what waits:  bedplate status",
        )


def _waits(assembly: Assembly, target: object) -> bool:
    match target:
        case Deferred():
            return True
        case Finding():
            return asks(target)
        case Disposition():
            return any(item.n == target.n for item in assembly.waiting.put_off)
        case _:
            return False


def may_find(assembly: Assembly, entry: Finding) -> None:
    """Refuse a finding at a place there is not, or that is to come back nowhere.

    Raises:
        NotUnderstoodError: the place is nothing on the sheet; it is to come back at something
            that is no step and no set.

    """
    if entry.place is not None:
        refuse_nowhere(assembly, entry.place)
    if entry.back is not None:
        assembly.select(entry.back, "step", "fasteners")


def refuse_nowhere(assembly: Assembly, place: str) -> None:
    """Refuse a place that is neither an address (a spare's too) nor the number of an entry.

    Raises:
        NotUnderstoodError: naming what is near.

    """
    if place.isascii() and place.isdigit():
        if not 1 <= int(place[:20]) <= assembly.job.last:
            raise NotUnderstoodError(f"Not recorded. There is no entry {visible(place)}.")
        return
    named = assembly.layout.find(place.partition("@")[0].partition(".")[0].strip())
    if named is not None and named.noun == "feature":
        assembly.select(place, "feature")
    elif named is not None and named.noun == "component":
        marks = {part.mark.casefold() for part in assembly.job.parts.spares(named.name)}
        if place.partition(".")[2].casefold() not in marks:
            assembly.select(place)
    elif named is not None and isinstance(named.row, Fit) and "." in place:
        _refuse_no_fit(assembly, named.row, place)
    else:
        assembly.select(place)


def _refuse_no_fit(assembly: Assembly, fit: Fit, place: str) -> None:
    """Refuse the address of a fit where it is not formed."""
    known = addresses_of(assembly.layout, fit)
    if place.casefold() in (address.casefold() for address in known):
        return
    typed, positions = place.partition(".")[2], [address.partition(".")[2] for address in known]
    raise NotUnderstoodError(
        f"Not recorded. Fit {fit.tag} is not formed at {quoted(typed)}.",
        near_or_list(typed, positions, "It is at")
        if positions[0]
        else f"Its address is  {fit.tag}",
    )


def may_use(entry: PartUsed) -> None:
    """Refuse to draw none.

    Raises:
        NotUnderstoodError: the count is nought, or the part has no name.

    """
    if entry.count == 0 or not entry.part.strip():
        raise NotUnderstoodError(
            f"Not recorded. None of {quoted(entry.part)} is nothing drawn.",
            "Type:  bedplate use PART --count 1",
        )
