"""After a recording: what was written, what it settled, and what is next, in one form for all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from bedplate.assembly.next_step import next_actions
from bedplate.assembly.toward import Action
from bedplate.assess.fits import Assessment
from bedplate.assess.result import FitResult
from bedplate.assess.rows import as_row
from bedplate.cli import context, show
from bedplate.cli.screen import Screen
from bedplate.cli.store import Recorded, clock
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Changed, Reading, SheetRevised, Strike
from bedplate.record.job import Job
from bedplate.report.entry_words import numbered


def tell(recorded: Recorded, command: str, further: Iterable[str] = ()) -> None:
    """Say what was recorded: entries, touched fits, what is next; or the same as JSON.

    Args:
        recorded: what has just been appended.
        command: name of the command, for the format of the JSON.
        further: lines of the command's own, after the entries.
    """
    screen = context.screen()
    for warning in recorded.warnings:
        screen.err(warning)
    assessment = Assessment(recorded.job)
    touched = assessment.touched_by(_spots(recorded))
    upcoming = next_actions(recorded.job, assessment.all, clock())
    if screen.as_json:
        screen.json(document(recorded, command, touched, upcoming))
        return
    name = context.spoken(recorded.path)
    for entry in recorded.entries:
        screen.out(f"{name}{numbered(entry, recorded.job)}")
    for line in further:
        screen.out(line)
    for line in show.fit_lines(touched, screen):
        screen.out(line)
    begun = bool(recorded.job.sheet.component)
    if begun and not all(isinstance(entry, SheetRevised) for entry in recorded.entries):
        _tell_next(screen, upcoming)


def _tell_next(screen: Screen, upcoming: Sequence[Action]) -> None:
    if upcoming:
        first = upcoming[0]
        screen.err(f"next: {first.text}" + (f"   {first.type}" if first.type else ""))


def document(
    recorded: Recorded,
    command: str,
    touched: Sequence[FitResult],
    upcoming: Sequence[Action],
) -> dict[str, Any]:
    """Return what every recording command gives under ``--json``."""
    return {
        **context.document(command, recorded.name, recorded.job.last),
        "recorded": [entry.n for entry in recorded.entries],
        "questioned": [
            {"entry": entry.n, "kept": entry.kept}
            for entry in recorded.entries
            if isinstance(entry, Reading) and entry.kept is not None
        ],
        "fits": [as_row(result) for result in touched],
        "next": [action_row(action) for action in upcoming],
    }


def action_row(action: Action) -> dict[str, Any]:
    """Return one thing to do, or one blocker, as plain data."""
    return {"kind": action.kind, "what": action.what, "text": action.text, "type": action.type}


def _spots(recorded: Recorded) -> list[Spot]:
    """Return the addresses whose fits the new entries touch."""
    job = recorded.job
    spots: dict[Spot, None] = {}
    for entry in recorded.entries:
        touched = job.entries[entry.entry - 1] if isinstance(entry, Strike) else entry
        if isinstance(touched, Reading):
            spots.update(dict.fromkeys(_of_reading(job, touched)))
        elif isinstance(touched, Changed):
            spots.update(dict.fromkeys(_of_change(job, touched)))
        elif isinstance(touched, SheetRevised):
            spots.update(dict.fromkeys(t.spot for t in job.readings.values()))
    return list(spots)


def _of_reading(job: Job, reading: Reading) -> list[Spot]:
    taken = next((t for t in reversed(job.all_readings) if t.entry.n == reading.n), None)
    if taken is None:
        return []
    # A reading follows its part: where the part sits now is where it counts.
    return [
        taken.spot,
        *(
            spot
            for spot in _all_spots(job, taken.spot.tag)
            if any(t.entry.n == reading.n for t in job.standing(spot))
        ),
    ]


def _all_spots(job: Job, tag: str) -> list[Spot]:
    if job.layout.find(tag, "feature") is None:
        return []
    return job.layout.select(tag, "feature").spots


def _of_change(job: Job, change: Changed) -> list[Spot]:
    component = change.component.partition(".")[0].casefold()
    return [
        spot
        for feature in job.sheet.feature
        if component in (name.casefold() for name in feature.components)
        for spot in _all_spots(job, feature.tag)
    ]
