"""``bedplate`` without a command: where the job stands, or how to begin."""

from __future__ import annotations

from pathlib import Path

from bedplate.cli import commands, context, help_pages
from bedplate.cli.screen import Screen, wrapped
from bedplate.text import counted, visible

BEGINNINGS = (
    ("demo", "bedplate demo", "see one from start to signature (2 minutes)"),
    ("open", "bedplate open NAME", "start a job in this folder"),
    ("calc", 'bedplate calc "1.0030 - 0.9979" --band 2..4thou', "one sum, no job"),
    ("help", "bedplate help", "all commands, in the order of a job"),
)
"""Command, what is typed, what it does: for a folder without a job."""


def alone() -> int | None:
    """Where the job stands."""
    screen = context.screen()
    jobs = context.jobs_in(Path())
    if screen.as_json:
        screen.json(context.document("jobs") | {"jobs": [context.job_name(p) for p in jobs]})
        return None
    if context.is_job_named():
        _stands(screen)
        return None
    if not jobs:
        screen.out(help_pages.PURPOSE)
        screen.out()
        offered = [line[1:] for line in BEGINNINGS if commands.found(line[0])]
        for line in help_pages.rows(offered, indent="   ", column=30):
            screen.out(line)
        return None
    if len(jobs) == 1:
        _stands(screen)
        return None
    told = ", ".join(visible(context.job_name(path)) for path in jobs)
    screen.out(f"{counted(len(jobs), 'job')} here: {told}")
    screen.err(f"Type:  bedplate --job {visible(context.job_name(jobs[0]))} status")
    return None


def _stands(screen: Screen) -> None:
    """Say where the one job here stands: what is next, and how much is in the way."""
    from bedplate.cli.status import status_of, tell_title, title_line  # noqa: PLC0415 - it reads the job
    from bedplate.cli.store import at_hand  # noqa: PLC0415

    found = at_hand()
    stands = status_of(found)
    tell_title(screen, title_line(found, stands))
    screen.out()
    if stands.upcoming:
        first = stands.upcoming[0]
        _say(screen, "Next", first.text, first.type)
    if stands.moment is not None:
        in_the_way = len(stands.in_the_way)
        where = f"In the way of the signature for {stands.moment}:"
        _say(screen, where, str(in_the_way), "bedplate status")


def _say(screen: Screen, about: str, text: str, command: str) -> None:
    """Print what is next or in the way, and what is typed for it below."""
    typed = context.to_type(command)
    if screen.plain:
        screen.out(f"{about.removesuffix(':')}: {text}.")
        screen.out(f"Type: {typed}")
        return
    gap = " " if about.endswith(":") else "   "
    for line in wrapped(f"{about}{gap}{text}", "", "  ", screen.columns):
        screen.out(line)
    screen.out(f"   {typed}")
