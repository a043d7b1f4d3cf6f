"""``bedplate open``: start a job."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import Annotated

import typer

from bedplate.assess.fits import Assessment
from bedplate.cli import context
from bedplate.cli.context import ENDING
from bedplate.cli.declared import At, Note
from bedplate.cli.recorded import tell
from bedplate.cli.store import Recorded, clock, fated
from bedplate.cli.times import done_at
from bedplate.errors import NotUnderstoodError
from bedplate.record.creating import create
from bedplate.record.entries import Opened, Previous
from bedplate.record.job import Job, fold
from bedplate.record.jobfile import examined, read_job_file, report_on
from bedplate.sheet.model import FORMAT, Sheet
from bedplate.sheet.reader import read_sheet_file
from bedplate.text import counted, quoted, visible

RESERVED = frozenset('<>:"|?*')
"""Characters that a file name cannot hold everywhere a job may be taken to."""


def open_job(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Or a path ending in .job.jsonl.")],
    *,
    sheet: Annotated[str | None, typer.Option(metavar="FILE", help="Its build sheet.")] = None,
    customer: Annotated[str | None, typer.Option(metavar="TEXT", help="Name or number.")] = None,
    machine: Annotated[str | None, typer.Option(metavar="TEXT", help="Whose unit it is.")] = None,
    serial: Annotated[str | None, typer.Option(metavar="TEXT", help="Its number.")] = None,
    hours: Annotated[str | None, typer.Option(metavar="TEXT", help="What it has run.")] = None,
    asked: Annotated[str | None, typer.Option(metavar="TEXT", help="What is to be done.")] = None,
    previous: Annotated[
        str | None, typer.Option(metavar="FILE", help="The last job on the same unit.")
    ] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Start a job: one unit, one file.

    What is recorded cannot be erased, only struck out: give a customer by name or number, no
    address and no telephone.

    Without a sheet the job begins empty, and is added to as the strip goes.

    Examples:
      bedplate open pump --sheet pump.toml --customer "A. Owner"
      bedplate open mypump --machine "Harbour launch, transfer pump"
    """
    path = _path_for(name)
    when = done_at(at, clock())
    _refuse_open_already(path)
    built = read_sheet_file(Path(sheet)) if sheet is not None else _empty_sheet()
    with fated("Not opened."):
        opened = Opened(
            job=secrets.token_hex(16), customer=customer, machine=machine, serial=serial,
            hours=hours, asked=asked, previous=_previous(previous), sheet=built.as_json(),
            note=note, done_at=when,
        )  # fmt: skip
    appended = create(path, opened, by=context.hand(), now=clock)
    job = fold(appended.entries)
    name = path.name.removesuffix(ENDING)
    recorded = Recorded(name, path, job, appended.entries, appended.warnings)
    tell(recorded, "open", _welcome(visible(name), job, with_sheet=sheet is not None))


def _path_for(name: str) -> Path:
    if not name.strip() or "\0" in name or name.startswith("-") or name != name.strip():
        raise NotUnderstoodError(
            f"Not opened. {quoted(name)} is no name of a job.", "Type:  bedplate open pump"
        )
    path = Path(name)
    if not name.endswith(ENDING):
        path = path.with_name(path.name + ENDING) if path.name else path
    if set(path.name) & RESERVED or visible(path.name) != path.name or path.name == ENDING:
        raise NotUnderstoodError(
            f"Not opened. {quoted(name)} cannot be a file name everywhere.",
            "Letters, digits, - and _ can:  bedplate open pump",
        )
    return path


def _refuse_open_already(path: Path) -> None:
    """Refuse a file that holds a job; one without a whole line is begun anew.

    Raises:
        NotUnderstoodError: the job is there already.
        StorageError: it cannot be read, or is something else.
    """
    if not path.is_file():
        return
    report = report_on(path)
    if not report.lines and report.broken is None:
        return
    name = visible(path.name.removesuffix(ENDING))
    entries = examined(report, path).lines
    raise NotUnderstoodError(
        f"Not opened. {name} is already open ({counted(len(entries), 'entry', 'entries')}).",
        f"Just go on:  bedplate --job {_as_word(path)} status",
    )


def _as_word(path: Path) -> str:
    """Return a job's path as it is typed after ``--job``, its ending left out."""
    word = visible(str(path.with_name(path.name.removesuffix(ENDING))))
    return f'"{word}"' if " " in word else word


def _empty_sheet() -> Sheet:
    """Return a sheet to add to; bare figures are in the unit one likes to be shown."""
    metric = context.settings().show in ("mm", "um")
    return Sheet(format=FORMAT, unit="mm" if metric else "in")


def _previous(typed: str | None) -> Previous | None:
    if typed is None:
        return None
    file = read_job_file(context.job_at_hand(typed))
    return Previous(file=file.path.name, head=str(file.head))


def _welcome(name: str, job: Job, *, with_sheet: bool) -> list[str]:
    if with_sheet:
        fits = Assessment(job).all
        due = len({address for fit in fits for address in fit.missing})
        judged = counted(len(fits), "clearance")
        return [f"{name}: opened. {counted(due, 'reading')} due, {judged} to be judged."]
    unit = "inches" if job.sheet.unit == "in" else "millimetres"
    return [
        f"{name}: opened, with no build sheet. Bare figures are {unit}.",
        "Add what you want to measure:",
        "   bedplate add component NAME",
        "   bedplate add feature TAG --of COMPONENT",
        '   bedplate add fit TAG --stack "D - H" --band 2..4thou --source "p. 31"',
    ]
