"""Whether an entry may be made: yes, or a refusal with its reason and what would cure it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from bedplate.assembly.changing import Question, keep_question, may_change, may_decide
from bedplate.assembly.fastening import may_fasten
from bedplate.assembly.proving import may_prove
from bedplate.assembly.putting_off import may_defer, may_find, may_settle, may_use, refuse_nowhere
from bedplate.assembly.reading import may_read
from bedplate.assembly.signing import (
    may_concede,
    may_reopen,
    may_sign,
    may_strike,
    refuse_behind_seal,
)
from bedplate.assembly.state import Assembly
from bedplate.assembly.steps import may_do
from bedplate.assembly.words import clock, moment_of
from bedplate.assess.result import FitResult
from bedplate.errors import RefusedError
from bedplate.record import entries
from bedplate.record.job import Job
from bedplate.sheet.model import Fasteners, Step
from bedplate.text import visible


class _Case(NamedTuple):
    """An entry proposed for a job, with all that the rules may ask about."""

    assembly: Assembly
    by: str
    gauges_overdue: Sequence[str]
    copies: Sequence[str]


def may(  # noqa: PLR0913 - the entry, the job, and all that is known from outside
    entry: entries.Entry,
    job: Job,
    fits: Sequence[FitResult],
    now: datetime,
    by: str,
    *,
    gauges_overdue: Sequence[str] = (),
    copies: Sequence[str] = (),
) -> None:
    """Refuse an entry that may not be made; return where it may.

    Of several entries proposed together each is asked about by itself, against the job with those
    before it.

    Args:
        entry: the entry proposed, not stamped yet.
        job: the job as it stands.
        fits: every fit at every position, as left; only fasteners, proofs, steps, concessions and
            seals are asked about with them.
        now: the time, with its offset.
        by: whose hand.
        gauges_overdue: names of gauges that were used past their due date (a seal asks).
        copies: names of copies of the job that hold lines which it lacks (a seal asks).

    Raises:
        RefusedError: a rule forbids it; the hints say what would cure it.
        NotUnderstoodError: it names what there is not.

    """
    assembly = Assembly(job, fits, now)
    refuse_behind_seal(assembly, entry)
    _refuse_future(assembly, entry)
    _MAY[entry.kind](entry, _Case(assembly, by, gauges_overdue, copies))


def _refuse_future(assembly: Assembly, entry: entries.Entry) -> None:
    if isinstance(entry, entries.Noted) and entry.done_at is not None:
        moment = moment_of(entry)
        if moment > assembly.now:
            raise RefusedError(
                f"Refused. {clock(moment, assembly.now)} is still to come: it cannot have been "
                "done then.",
                f"It is now  {clock(assembly.now, assembly.now)}",
            )


def _opened(_entry: entries.Opened, _case: _Case) -> None:
    raise RefusedError("Refused. This job is open already.", "Just go on:  bedplate status")


def _attached(entry: entries.Attachment, case: _Case) -> None:
    if entry.place is not None:
        refuse_nowhere(case.assembly, entry.place)


def _free(_entry: entries.Entry, _case: _Case) -> None:
    """Refuse nothing: what these kinds may say is for the layers that propose them."""


_MAY: dict[str, Callable[[Any, _Case], None]] = {
    "opened": _opened,
    "sheet-revised": _free,
    "gauge": _free,
    "setting": _free,
    "set-aside": _free,
    "reading": lambda entry, case: may_read(case.assembly, entry),
    "finding": lambda entry, case: may_find(case.assembly, entry),
    "disposition": lambda entry, case: may_decide(case.assembly, entry),
    "changed": lambda entry, case: may_change(case.assembly, entry),
    "fasteners": lambda entry, case: may_fasten(case.assembly, entry),
    "proof": lambda entry, case: may_prove(case.assembly, entry, case.by),
    "step": lambda entry, case: may_do(case.assembly, entry),
    "part-used": lambda entry, _case: may_use(entry),
    "deferred": lambda entry, case: may_defer(case.assembly, entry),
    "settled": lambda entry, case: may_settle(case.assembly, entry),
    "concession": lambda entry, case: may_concede(
        case.assembly, entry, case.gauges_overdue, case.copies
    ),
    "attachment": _attached,
    "strike": lambda entry, case: may_strike(case.assembly, entry),
    "signed": lambda entry, case: may_sign(case.assembly, entry, case.gauges_overdue, case.copies),
    "reopened": lambda _entry, case: may_reopen(case.assembly),
}


def questions(
    entry: entries.Entry, job: Job, now: datetime, beside: Sequence[entries.Entry] = ()
) -> list[Question]:
    """Return what is asked back before an entry is made, on a terminal.

    Args:
        entry: an entry that `may` be made.
        job: the job as it stands.
        now: the time, with its offset.
        beside: what is proposed together with it.

    """
    assembly = Assembly(job, (), now)
    found = []
    if isinstance(entry, entries.Changed):
        keep = keep_question(assembly, entry, beside)
        found = [keep] if keep is not None else []
    elif isinstance(entry, entries.Fasteners) and entry.state in ("tight", "again"):
        row = assembly.layout.row(entry.set.partition(".")[0], Fasteners)
        if row.order:
            text = f"{row.tag} is tightened in this order: {', '.join(row.order)}. Was it?"
            found = [Question(text, needed=False)]
    return found


def cautions(entry: entries.Entry, job: Job) -> list[str]:
    """Return the sheet's cautions to be shown before what an entry says is done.

    Raises:
        NotUnderstoodError: the entry names no step or set of the sheet.

    """
    row: Step | Fasteners | None = None
    if isinstance(entry, entries.Step):
        row = job.layout.row(entry.step.partition(".")[0], Step)
    elif isinstance(entry, entries.Fasteners):
        row = job.layout.row(entry.set.partition(".")[0], Fasteners)
    return [visible(row.caution)] if row is not None and row.caution else []
