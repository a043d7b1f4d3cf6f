"""What a job waits for from the bench: the readings that are due, the parts to be decided on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bedplate.assembly import reading
from bedplate.assembly.moments import open_moment
from bedplate.assembly.state import Assembly
from bedplate.assess.result import FitResult
from bedplate.metrology.axes import Spot
from bedplate.record.job import Job
from bedplate.sheet.layout import Place
from bedplate.sheet.model import Component


def due_readings(job: Job, fits: Sequence[FitResult], now: datetime) -> list[Spot]:
    """Return the addresses to be read now, in the order of the sheet.

    These are what the fits due by the first unsigned moment still miss, but for those that
    another way to the same quantity makes needless, that are held, whose sets are not tight, or
    that stand on a part still to be renewed; nothing where all is signed for.

    Args:
        job: the job as it stands.
        fits: every fit at every position, as left.
        now: the time, with its offset.
    """
    assembly = Assembly(job, fits, now)
    moment = open_moment(job)
    index = assembly.moment_index(moment) if moment is not None else None
    return reading.due_readings(assembly, index) if index is not None else []


def undecided_places(job: Job) -> list[Place]:
    """Return the places whose parts have no disposition, in the order of the sheet.

    A part that was reworked, renewed or moved needs none, and one that is always new has none.
    """
    changed = {place for entry, place, _mark in job.changed if entry.how != "found"}
    return [
        place
        for place in job.layout.all_places()
        if place not in job.decided
        and place not in changed
        and not job.layout.row(place.component, Component).renew
    ]
