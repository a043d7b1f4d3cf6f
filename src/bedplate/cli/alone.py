"""``bedplate`` without a command: where the job stands, or how to begin."""

from __future__ import annotations

from pathlib import Path

from bedplate.cli import commands, context, help_pages
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
        names = [context.job_name(path) for path in jobs]
        screen.json(context.document("jobs") | {"jobs": names})
    if not jobs:
        screen.out(help_pages.PURPOSE)
        screen.out()
        offered = [line[1:] for line in BEGINNINGS if commands.found(line[0])]
        for line in help_pages.rows(offered, indent="   ", column=30):
            screen.out(line)
        return None
    names = ", ".join(visible(context.job_name(path)) for path in jobs)
    screen.out(f"{counted(len(jobs), 'job')} here: {names}")
    return None
