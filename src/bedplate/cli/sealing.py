"""``bedplate sign``, ``reopen`` and ``attach``."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from bedplate.assembly.blockers import weigh
from bedplate.assembly.moments import open_moment
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.rules import may
from bedplate.assess.fits import Assessment
from bedplate.assess.gauges import overdue
from bedplate.cli import ask, context
from bedplate.cli.declared import At, Note
from bedplate.cli.keys import keys_home
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.screen import wrapped
from bedplate.cli.status import copies_ahead
from bedplate.cli.store import AtHand, Recorded, at_hand, clock, fated, record
from bedplate.cli.striking import named_place
from bedplate.cli.times import done_at
from bedplate.errors import NotUnderstoodError, RefusedError, StorageError
from bedplate.record.appending import OpenJob
from bedplate.record.attachments import store
from bedplate.record.entries import Attachment, Reopened, Signed
from bedplate.record.job import Job, fold
from bedplate.record.stamping import moment_text
from bedplate.text import counted, near_or_list, quoted, visible

STATEMENT = "The work is as recorded here."
"""What is declared where nothing else is said."""
WIDEST = 76
"""Columns of a line below the first of a refusal, without the two that it is set in by."""


def sign(
    moment: Annotated[
        str | None, typer.Argument(metavar="MOMENT", help="The first unsigned one, without.")
    ] = None,
    *,
    role: Annotated[str | None, typer.Option(metavar="TEXT", help="As what you sign.")] = None,
    statement: Annotated[
        str | None, typer.Option(metavar="TEXT", help="What you declare.")
    ] = None,
    key: Annotated[
        str | None, typer.Option(metavar="FILE", help="An OpenSSH Ed25519 key of your own.")
    ] = None,
) -> None:
    """Sign the record as it stands.

    It is refused while anything is in the way, and says what. A key is made at the first
    signature.

    Examples:
      bedplate sign
      bedplate sign "first run" --role "fitter"
    """
    from bedplate.seal.sign import (  # noqa: PLC0415
        Draft,
        fit_to_sign,
        make_seal,
        only_as_shown,
        ready_to_sign,
    )

    found = at_hand()
    shown = str(found.file.head)
    job_id = fit_to_sign(found.file.report, shown)
    wanted = _moment(found.job, moment)
    _refuse_blocked(found, wanted)
    by, now = context.hand(), clock()
    draft = Draft(wanted, by, role or "", moment_text(now), statement or STATEMENT)
    ready = ready_to_sign(job_id, found.file.head.entries, found.file.data, draft)
    _show_what_is_signed(found, wanted)
    signer = _signer(by, key)
    seal = make_seal(ready, signer)
    _may_sign(found, seal, now, by)
    with OpenJob(found.path) as file:
        appended = file.append(only_as_shown(seal, shown), by=by, now=lambda: now)
        job = fold(file.entries)
    recorded = Recorded(found.name, found.path, job, appended.entries, appended.warnings)
    head = f"   head {appended.head.sha256}"
    tell(recorded, "sign", [f"   key {signer.public.fingerprint}", head])


def _show_what_is_signed(found: AtHand, moment: str) -> None:
    """Show whoever sits at a terminal the head that he signs, before he types a passphrase."""
    if not ask.can_ask():
        return
    count = counted(found.file.head.entries, "entry", "entries")
    name = visible(f"{found.name} for {moment}")
    context.screen().err(f"Signing {name}: {count}, head {found.file.head.sha256}")


def _moment(job: Job, typed: str | None) -> str:
    moments = job.sheet.signed_for
    if typed is None:
        return open_moment(job) or moments[-1]
    for moment in moments:
        if moment.casefold() == typed.casefold():
            return moment
    raise NotUnderstoodError(
        f"Not signed. There is no moment {quoted(typed)}.",
        near_or_list(typed, list(moments), "Moments"),
    )


def _refuse_blocked(found: AtHand, moment: str) -> None:
    """Refuse while anything stands in the way, every blocker listed with its cure."""
    now = clock()
    late, copies = overdue(found.job, now.date()), copies_ahead(found)
    weighed = weigh(
        found.job, Assessment(found.job).all, moment, now, gauges_overdue=late, copies=copies
    )
    standing = [blocker for blocker in weighed if blocker.conceded is None]
    if standing:
        raise RefusedError(
            f"Not signed. In the way of the signature for {visible(moment)}: {len(standing)}.",
            *(line for blocker in standing for line in _told(blocker)),
        )


def _told(blocker: Blocker) -> list[str]:
    """Return what is in the way and its cure, on lines of their own where one is too long."""
    one = f"{blocker.text}   {blocker.type}".rstrip()
    if len(one) <= WIDEST:
        return [one]
    return [*wrapped(blocker.text, then="  ", width=WIDEST), f"    {blocker.type}"]


def _may_sign(found: AtHand, seal: Signed, now: datetime, by: str) -> None:
    late, copies = overdue(found.job, now.date()), copies_ahead(found)
    fits = Assessment(found.job).all
    may(seal, found.job, fits, now, by, gauges_overdue=late, copies=copies)


def _passphrase(question: str) -> str:
    """Ask for a passphrase; without a terminal there is none."""
    if not ask.can_ask():
        return ""
    import getpass  # noqa: PLC0415 - a passphrase is rarely asked

    return getpass.getpass(question)


def _signer(name: str, file: str | None) -> Any:
    from bedplate.seal import own  # noqa: PLC0415 - loads cryptography

    folder = keys_home()
    if file is not None:
        return own.key_from(folder, name, Path(file).expanduser(), _passphrase)
    if own.key_path(folder, name).exists():
        return own.own_key(folder, name, _passphrase)
    signer = own.make(folder, name, _passphrase)
    screen = context.screen()
    screen.err(f"A key was made for {visible(name)}:")
    screen.err(f"  {signer.public.fingerprint}")
    screen.err(f"It lies in  {visible(str(signer.path))}")
    screen.err("Keep a copy; nobody can make it again.")
    return signer


def reopen(
    *,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="Why.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Go on after a signature.

    The seal stays true of the lines before it.

    Examples:
      bedplate reopen --why "weeps at the cover joint"
    """
    if why is None:
        raise NotUnderstoodError(
            "Not reopened. It needs its reason.", 'Type:  bedplate reopen --why "..."'
        )
    entry = Reopened(why=why, note=note, done_at=done_at(at, clock()))
    tell(record(lambda job, _: permitted(job, [entry])), "reopen")


def attach(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="Photos, reports.")],
    *,
    on: Annotated[str | None, typer.Option("--on", metavar="WHAT", help="What it shows.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Keep a photo or a report beside the job.

    Examples:
      bedplate attach idler-flank.jpg --on gear.idler --note "pitted flank"
    """
    found = at_hand()
    when = done_at(at, clock())
    with fated("Not recorded."):
        place = named_place(found.job, on) if on is not None else None
    for name in files:
        if not Path(name).is_file():
            raise StorageError(f"Not recorded. {quoted(name)} is no file.")
    # Asked before a file is copied: a job that takes nothing more is left without a copy too.
    probe = Attachment(file="file", name="file", sha256="0" * 64, place=place)
    permitted(found.job, [probe])
    kept = [
        store(found.path, Path(name), place).model_copy(update={"note": note, "done_at": when})
        for name in files
    ]
    tell(record(lambda job, _: permitted(job, kept)), "attach")
