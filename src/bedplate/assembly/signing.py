"""Whether a job may be signed, reopened, conceded or struck, and what stands behind a seal."""

from __future__ import annotations

from collections.abc import Sequence

from bedplate.assembly.accepted import accepted
from bedplate.assembly.blockers import weighed
from bedplate.assembly.moments import Asked, moment_sealed, open_moment, seals
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import entry_and_time
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record.entries import Concession, Entry, Reopened, Signed, Strike
from bedplate.record.job import UNSTRIKABLE
from bedplate.text import counted, folded, listed, near_or_list, quoted, visible

REOPEN = "To go on with the work:  bedplate reopen --why REASON"
SHOWN = 3
"""How many of what is in the way a refusal shows."""


def refuse_behind_seal(assembly: Assembly, entry: Entry) -> None:
    """Refuse what no later moment asks for, on a job that is signed.

    Raises:
        RefusedError: the job must be reopened first.

    """
    sealed = seals(assembly.job)
    if not sealed.moments or isinstance(entry, Signed | Reopened):
        return
    asked = Asked.behind(assembly.job, sealed.moments)
    if asked.for_(entry, sealed.entry):
        return
    when = entry_and_time(assembly.entry(sealed.entry), assembly.now)
    signed = f"The job is signed for {visible(listed(sealed.moments))} ({when})"
    if isinstance(entry, Strike):
        raise RefusedError(
            f"Refused. {signed}, and entry {entry.entry} stands under the seal.", REOPEN
        )
    later = "no later moment asks for this" if asked.later else "there is no moment after it"
    raise RefusedError(f"Refused. {signed}, and {later}.", REOPEN)


def may_sign(
    assembly: Assembly, entry: Signed, gauges_overdue: Sequence[str], copies: Sequence[str]
) -> None:
    """Refuse a seal for a moment that is not yet to be signed for, or while anything blocks it.

    Raises:
        NotUnderstoodError: the seal names no moment of the sheet.
        RefusedError: an earlier moment comes first, or something is in the way.

    """
    moment = moment_sealed(entry)
    index = assembly.moment_index(moment)
    if index is None:
        raise NotUnderstoodError(
            f"Not signed. There is no moment {quoted(moment)}.",
            near_or_list(moment, assembly.moments, "Moments"),
        )
    first = open_moment(assembly.job)
    due = assembly.moment_index(first) if first is not None else None
    if due is not None and due < index:
        raise RefusedError(
            f"Not signed. {visible(str(first))} comes before {visible(moment)}.",
            f'Type:  bedplate sign "{visible(str(first))}"',
        )
    standing = [
        blocker
        for blocker in weighed(assembly, index, gauges_overdue, copies)
        if blocker.conceded is None
    ]
    if standing:
        things = counted(len(standing), "thing is", "things are")
        more = [f"and {len(standing) - SHOWN} more"] if len(standing) > SHOWN else []
        raise RefusedError(
            f"Not signed. {things} in the way of {visible(moment)}.",
            *(f"{b.text}:  {accepted(assembly, b).type}" for b in standing[:SHOWN]),
            *more,
            "See them all:  bedplate status",
        )


def may_reopen(assembly: Assembly) -> None:
    """Refuse to reopen what is not signed.

    Raises:
        RefusedError: no seal is in force.

    """
    if not seals(assembly.job).moments:
        raise RefusedError(
            "Refused. The job is not signed, so there is nothing to reopen.",
            "Just go on:  bedplate status",
        )


def may_concede(
    assembly: Assembly, entry: Concession, gauges_overdue: Sequence[str], copies: Sequence[str]
) -> None:
    """Refuse a concession that names nothing in the way of any signature.

    Raises:
        RefusedError: nothing of that name is in the way, or it is conceded already.

    """
    found = weighed(assembly, len(assembly.moments) - 1, gauges_overdue, copies)
    named = [blocker for blocker in found if folded(blocker.what) == folded(entry.what)]
    if any(blocker.conceded is None for blocker in named):
        return
    if named:
        raise RefusedError(
            f"Refused. {visible(entry.what)} is conceded already (entry {named[0].conceded}).",
            "See what is in the way:  bedplate status",
        )
    names = [blocker.what for blocker in found if blocker.conceded is None]
    raise RefusedError(
        f"Refused. {quoted(entry.what)} is not in the way of a signature, "
        "so there is nothing to concede.",
        near_or_list(entry.what, names, "In the way") if names else "Nothing is in the way.",
    )


def may_strike(assembly: Assembly, entry: Strike) -> None:
    """Refuse to strike what is not there, was struck already, or cannot be struck.

    Raises:
        NotUnderstoodError: there is no such entry.
        RefusedError: it was struck, or is of a kind that stays.

    """
    n, job = entry.entry, assembly.job
    if not 1 <= n <= job.last:
        raise NotUnderstoodError(
            f"Not recorded. There is no entry {n}; the last is {job.last}.", "Type:  bedplate log"
        )
    if n in job.struck:
        raise RefusedError(
            f"Refused. Entry {n} was struck already (entry {job.struck[n]}).",
            "Type:  bedplate log",
        )
    kind = assembly.entry(n).kind
    if kind in UNSTRIKABLE:
        raise RefusedError(f"Refused. Entry {n} ({kind}) cannot be struck.", _INSTEAD[kind])


_INSTEAD = {
    "opened": "Another job:  bedplate open NAME",
    "signed": REOPEN,
    "reopened": "Sign it again:  bedplate sign",
    "strike": "Record again what was struck; it reads:  bedplate log",
}
