"""``bedplate inspect``, ``defer``, ``settle`` and ``concede``: what waits for somebody's word."""

from __future__ import annotations

from typing import Annotated

import typer

from bedplate.cli.declared import At, Note
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.status import copies_ahead
from bedplate.cli.store import at_hand, clock, record
from bedplate.cli.striking import entry_number, named_place
from bedplate.cli.times import done_at, some_time
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Concession, Deferred, Finding, Settled
from bedplate.record.job import Job
from bedplate.text import listed, quoted

SEVERITIES = ("note", "watch", "reject")


def inspect(
    component: Annotated[
        str | None, typer.Argument(metavar="COMPONENT", help="gear.idler, or H.idler.")
    ] = None,
    text: Annotated[str | None, typer.Argument(metavar="TEXT", help="What you saw.")] = None,
    *,
    severity: Annotated[
        str, typer.Option(metavar="|".join(SEVERITIES), help="reject must be answered.")
    ] = "watch",
    how: Annotated[
        str | None, typer.Option(metavar="TEXT", help="eye, fingernail, dye, magnet, ...")
    ] = None,
    back: Annotated[
        str | None, typer.Option(metavar="STEP|SET", help="Where it must be answered.")
    ] = None,
    at: At = None,
) -> None:
    """Record what you saw.

    How grave it is, how you judged it, and where it must be answered. Alone it lists the parts.

    Examples:
      bedplate inspect body "score across the ports" --severity watch --how fingernail
      bedplate inspect valve "screw was 7 1/2 turns out" --back relief-in
      bedplate inspect gear.idler "pitted flank" --severity reject --how eye
    """
    if component is None:
        from bedplate.cli.offered import list_places  # noqa: PLC0415 - loaded when nothing is given

        list_places("inspect", "TEXT")
        return
    if text is None:
        raise NotUnderstoodError(
            "Not recorded. What did you see?", f'Type:  bedplate inspect {component} "..."'
        )
    if severity not in SEVERITIES:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(severity)} is no severity.", f"They are:  {listed(SEVERITIES)}"
        )
    when = done_at(at, clock())

    def seen(job: Job, _answers: object) -> list[AnyEntry]:
        finding = Finding.model_validate({
            "place": named_place(job, component), "severity": severity, "how": how,
            "back": named_place(job, back, "step", "fasteners") if back is not None else None,
            "note": text, "done_at": when,
        })  # fmt: skip
        return permitted(job, [finding])

    tell(record(seen), "inspect")


def defer(
    text: Annotated[str, typer.Argument(metavar="TEXT", help="What is put off.")],
    *,
    until: Annotated[
        str | None, typer.Option(metavar="MOMENT|TIME|PERSON", help="What it waits for.")
    ] = None,
    holds: Annotated[
        str | None, typer.Option(metavar="WHAT", help="Address, set or step that waits too.")
    ] = None,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="Why.")] = None,
    at: At = None,
) -> None:
    """Put work off until a moment, a time or a person.

    Examples:
      bedplate defer "retorque cover" --until "first run" --why "gasket settles"
      bedplate defer "sealant to cure" --until 18:30 --holds close --why "maker says 4 h"
      bedplate defer "gear at the grinder" --until "Quay Grinding" --holds H.idler --why "out"
    """
    if until is None or why is None:
        lacking = "what it waits for" if until is None else "its reason"
        raise NotUnderstoodError(
            f"Not recorded. What is put off needs {lacking}.",
            f'Type:  bedplate defer "{text[:30]}" --until "first run" --why "..."',
        )
    when = done_at(at, clock())

    def put_off(job: Job, _answers: object) -> list[AnyEntry]:
        entry = Deferred(
            until=_until(job, until), why=why, note=text, done_at=when,
            holds=named_place(job, holds) if holds is not None else None,
        )  # fmt: skip
        return permitted(job, [entry])

    tell(record(put_off), "defer")


def _until(job: Job, typed: str) -> str:
    """Return what is waited for as the record keeps it: a moment, a time, a person."""
    for moment in job.sheet.signed_for:
        if moment.casefold() == typed.casefold():
            return moment
    return some_time(typed, clock()) or typed


def settle(
    entry: Annotated[
        str | None, typer.Argument(metavar="ENTRY", help="Number of what is settled.")
    ] = None,
    *,
    how: Annotated[
        str | None, typer.Option(metavar="TEXT", help="Who or what settled it.")
    ] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Say that what was put off is done; answer a finding.

    Alone it lists what waits for that.

    Examples:
      bedplate settle 22 --how "owner agreed by telephone"
    """
    if entry is None:
        from bedplate.cli.offered import list_open  # noqa: PLC0415 - loaded when nothing is given

        list_open()
        return
    when = done_at(at, clock())

    def settled(job: Job, _answers: object) -> list[AnyEntry]:
        n = entry_number(job, entry, "Not recorded.")
        return permitted(job, [Settled(entry=n, how=how, note=note, done_at=when)])

    tell(record(settled), "settle")


def concede(
    what: Annotated[
        str | None, typer.Argument(metavar="WHAT", help="EC.idler, a proof, an entry, ...")
    ] = None,
    *,
    accepted_by: Annotated[
        str | None, typer.Option(metavar="NAME", help="Who accepts it as it is.")
    ] = None,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="Why.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Accept something as it is.

    Something out of band or unproved, in the name of who accepts it; it shows in every summary.
    Alone it lists what is in the way.

    Examples:
      bedplate concede EC.idler --accepted-by "A. Owner" --why "sold after the season"
    """
    if what is None:
        from bedplate.cli.offered import list_blockers  # noqa: PLC0415 - loaded when nothing is given

        list_blockers()
        return
    if accepted_by is None or why is None:
        raise NotUnderstoodError(
            "Not recorded. A concession needs who accepts it, and why.",
            f'Type:  bedplate concede {what} --accepted-by NAME --why "..."',
        )
    when = done_at(at, clock())

    def conceded(job: Job, _answers: object) -> list[AnyEntry]:
        entry = Concession(what=what, accepted_by=accepted_by, why=why, note=note, done_at=when)
        return permitted(job, [entry], copies=copies)

    copies = copies_ahead(at_hand())
    tell(record(conceded), "concede")
