"""After a recording: what was written, what it settled, and what is next, in one form for all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from bedplate.assembly.next_step import next_actions
from bedplate.assembly.toward import Action
from bedplate.assess.fits import LEAVES_FITS, Assessment
from bedplate.assess.gauges import overdue
from bedplate.assess.result import FitResult
from bedplate.assess.rows import as_row
from bedplate.assess.written import split_gauge
from bedplate.cli import context
from bedplate.cli.screen import Screen, wrapped
from bedplate.cli.store import Recorded, clock
from bedplate.metrology.axes import Spot
from bedplate.record.entries import (
    Changed,
    GaugeDescribed,
    Reading,
    Setting,
    SheetRevised,
    Strike,
)
from bedplate.record.job import Job
from bedplate.report.entry_words import numbered


def tell(
    recorded: Recorded,
    command: str,
    further: Iterable[str] = (),
    *,
    before: Assessment | None = None,
) -> None:
    """Say what was recorded: entries, touched fits, what is next; or the same as JSON.

    Args:
        recorded: what has just been appended.
        command: name of the command, for the format of the JSON.
        further: lines of the command's own, after the entries.
        before: the fits as the rules were asked about them; they are not worked out again where
            none can have become another.
    """
    screen = context.screen()
    for warning in recorded.warnings:
        screen.warn(warning)
    assessment = _stands(before, recorded) or Assessment(recorded.job)
    touched = assessment.touched_by(_spots(recorded))
    now = clock()
    late = overdue(recorded.job, now.date())
    upcoming = next_actions(recorded.job, assessment.all, now, gauges_overdue=late)
    if screen.as_json:
        screen.json(document(recorded, command, touched, upcoming))
        return
    name = context.spoken(recorded.path)
    for entry in recorded.entries:
        screen.out(f"{name}{numbered(entry, recorded.job)}")
    for line in further:
        screen.out(line)
    if touched:
        from bedplate.cli import show  # noqa: PLC0415 - loaded when a fit is shown

        for line in show.fit_lines(touched, screen):
            screen.out(line)
    begun = bool(recorded.job.sheet.component)
    if begun and not all(isinstance(entry, SheetRevised) for entry in recorded.entries):
        _tell_next(screen, upcoming)


def _stands(before: Assessment | None, recorded: Recorded) -> Assessment | None:
    """Return the fits of before, if no fit of the job as it is now is another one."""
    same = before is not None and before.job is recorded.job
    left = all(entry.kind in LEAVES_FITS for entry in recorded.entries)
    return before if same and left else None


def _tell_next(screen: Screen, upcoming: Sequence[Action]) -> None:
    if not upcoming:
        return
    first = upcoming[0]
    command = context.to_type(first.type)
    line = f"next: {first.text}   {command}".rstrip()
    if len(line) <= screen.columns:
        screen.err(line)
        return
    for part in (*wrapped(first.text, "next: ", "  ", screen.columns), f"  {command}".rstrip()):
        screen.err(part)


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
        struck = isinstance(entry, Strike)
        touched = job.entries[entry.entry - 1] if isinstance(entry, Strike) else entry
        if isinstance(touched, Reading):
            spots.update(dict.fromkeys(_of_reading(job, touched, struck=struck)))
        elif isinstance(touched, Changed):
            spots.update(dict.fromkeys(_of_change(job, touched)))
        elif isinstance(touched, SheetRevised):
            spots.update(dict.fromkeys(t.spot for t in job.readings.values()))
        elif isinstance(touched, GaugeDescribed):
            spots.update(dict.fromkeys(_read_on(job, touched.gauge["name"])))
        elif isinstance(touched, Setting) and struck:
            spots.update(dict.fromkeys(_read_on(job, touched.gauge)))
    return list(spots)


def _read_on(job: Job, gauge: str) -> list[Spot]:
    """Return the addresses of the readings that a gauge had a part in."""
    return [t.spot for t in job.readings.values() if gauge in split_gauge(t.entry.gauge)]


def _of_reading(job: Job, reading: Reading, *, struck: bool) -> list[Spot]:
    taken = next((t for t in reversed(job.all_readings) if t.entry.n == reading.n), None)
    if taken is None:
        return []
    # A reading follows its part: where the part sits now is where it counts. A gauge that was
    # set on it has nothing to stand on once it is struck.
    set_on = [s.gauge for s in job.live(Setting) if s.reference == str(taken.spot)]
    return [
        taken.spot,
        *(
            spot
            for spot in _all_spots(job, taken.spot.tag)
            if any(t.entry.n == reading.n for t in job.standing(spot))
        ),
        *(spot for gauge in set_on if struck for spot in _read_on(job, gauge)),
    ]


def _all_spots(job: Job, tag: str) -> list[Spot]:
    if job.layout.find(tag, "feature") is None:
        return []
    return job.layout.select(tag, "feature").spots


def _of_change(job: Job, change: Changed) -> list[Spot]:
    """Return the addresses that rest on the places changed, of the features touched."""
    if job.announces_spare(change):
        return []
    changed = set(job.places_named(change.component))
    if change.from_ is not None:
        changed |= set(job.places_named(change.from_))
    touched = {
        job.layout.select(address, "feature").named.name for address in change.touching or ()
    }
    return [
        spot
        for feature in job.sheet.feature
        if not touched or feature.tag in touched
        for spot in _all_spots(job, feature.tag)
        if changed.intersection(job.layout.rests_on(spot.tag, spot.position))
    ]
