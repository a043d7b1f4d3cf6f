"""Readings, gauges and their settings as blocks, the struck ones too."""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.metrology.axes import Spot
from bedplate.record import entries as kinds
from bedplate.record.entries import Entry, Strike
from bedplate.record.job import Taken
from bedplate.report import figures
from bedplate.report.document import Column, Row, Table
from bedplate.report.echo import reading_shown
from bedplate.report.entry_words import when, words
from bedplate.report.evidence import Evidence, day
from bedplate.text import shown_text

READINGS = (
    Column("entry", head=True),
    Column("address", head=True),
    Column("value", "figure"),
    Column("gauge"),
    Column("set by"),
    Column("at"),
    Column("when"),
    Column("by"),
    Column("remark"),
)
SETTINGS = (
    Column("entry", head=True),
    Column("gauge", head=True),
    Column("shows", "figure"),
    Column("on"),
    Column("when"),
    Column("by"),
)
GAUGES = (Column("gauge", head=True), Column("described as"))
STRUCK = (
    Column("entry", head=True),
    Column("what it said"),
    Column("by"),
    Column("struck by"),
    Column("why"),
)
BARE = (
    Column("address", head=True),
    Column("stage"),
    Column("value", "figure"),
    Column("day"),
)


def readings_table(evidence: Evidence) -> Table:
    """Return every reading in order, the struck ones marked."""
    taken = evidence.job.all_readings
    return Table("Every reading", READINGS, tuple(_reading_row(evidence, each) for each in taken))


def _reading_row(evidence: Evidence, taken: Taken) -> Row:
    entry = taken.entry
    settled = evidence.assessment.readings.settled
    basis = settled.basis(entry.n) if entry.n in settled.numbers else None
    set_by = f"entry {basis.setting}" if basis is not None and basis.setting else ""
    return Row(
        (
            str(entry.n),
            shown_text(str(taken.spot)),
            shown_text(reading_shown(entry)),
            shown_text(entry.gauge or ""),
            set_by,
            temperature(entry.temp),
            when(entry),
            shown_text(entry.by),
            "; ".join(_remarks(taken)),
        ),
        struck_by(evidence, entry.n),
    )


def _remarks(taken: Taken) -> Iterator[str]:
    entry = taken.entry
    if entry.left_out is not None:
        yield shown_text(entry.left_out)
    if entry.kept is not None:
        yield "kept though questioned"
    if taken.stranded is not None:
        yield f"stands on nothing: {shown_text(taken.stranded)}"
    if entry.gauge_temp is not None:
        yield f"gauge at {temperature(entry.gauge_temp)}"
    if entry.from_file is not None:
        yield f"row {entry.from_file.row} of {shown_text(entry.from_file.name)}"
    if entry.taken is not None:
        yield f"taken over from entry {entry.taken.n} of another copy"
    if entry.note is not None:
        yield shown_text(entry.note)


def temperature(text: str | None) -> str:
    """Return a temperature as people read it.

    >>> temperature("24 degC"), temperature(None)
    ('24 °C', '')
    """
    if text is None:
        return ""
    figure, _, unit = shown_text(text).rpartition(" ")
    return f"{figure} {figures.unit_word(unit, draw=True)}".strip()


def struck_by(evidence: Evidence, n: int) -> str:
    """Return which entry struck another and why, empty where it stands."""
    by = evidence.job.struck.get(n)
    if by is None:
        return ""
    strike = evidence.entry(by)
    why = shown_text(strike.why) if isinstance(strike, Strike) else ""
    return f"by entry {by}: {why}"


def gauges_table(evidence: Evidence) -> Table:
    """Return every gauge of the job as it was described last."""
    described = {
        entry.gauge["name"]: "; ".join(
            f"{key.replace('_', ' ')} {shown_text(text)}"
            for key, text in entry.gauge.items()
            if key != "name"
        )
        for entry in evidence.job.live(kinds.GaugeDescribed)
    }
    rows = [Row((shown_text(name), text)) for name, text in described.items()]
    return Table("The gauges", GAUGES, tuple(rows))


def settings_table(evidence: Evidence) -> Table:
    """Return what every gauge stood at and showed, in order."""
    return Table("Their settings and zero checks", SETTINGS, tuple(_setting_rows(evidence)))


def _setting_rows(evidence: Evidence) -> Iterator[Row]:
    for entry in evidence.job.entries:
        if isinstance(entry, kinds.Setting):
            stood = [shown_text(entry.reference or "0")]
            stood += [f"in {shown_text(entry.in_)}"] if entry.in_ else []
            gauge, shown = shown_text(entry.gauge), shown_text(entry.shown)
            cells = (
                str(entry.n),
                gauge,
                shown,
                ", ".join(stood),
                when(entry),
                shown_text(entry.by),
            )
            yield Row(cells, struck_by(evidence, entry.n))


def struck_table(evidence: Evidence) -> Table:
    """Return every entry that was crossed out, with who did it and why."""
    return Table("Struck out", STRUCK, tuple(_struck_rows(evidence)))


def _struck_rows(evidence: Evidence) -> Iterator[Row]:
    for n, by in sorted(evidence.job.struck.items()):
        entry, strike = evidence.entry(n), evidence.entry(by)
        why = shown_text(strike.why) if isinstance(strike, Strike) else ""
        said = " ".join(words(entry, evidence.job).split())
        yield Row(
            (str(n), said, shown_text(entry.by), f"entry {by}, {shown_text(strike.by)}", why)
        )


def bare_readings(evidence: Evidence) -> Table:
    """Return the readings that stand, by address, with nothing but value and day.

    Addresses are the sheet's own: a part without a place goes by its mark, which is nobody's
    business on a public copy, so that its readings are left out.
    """
    return Table("Readings", BARE, tuple(_bare_rows(evidence)))


def _bare_rows(evidence: Evidence) -> Iterator[Row]:
    job = evidence.job
    for feature in job.sheet.feature:
        for spot in job.select(feature.tag).spots:
            if spot.position and spot.position[0] in job.spares_of(feature.tag):
                continue
            yield from _bare_at(evidence, spot)


def _bare_at(evidence: Evidence, spot: Spot) -> Iterator[Row]:
    first = evidence.job.is_as_found(spot)
    for as_found in (True,) if first else (True, False):
        stage = "as found" if as_found else "as left"
        for taken in evidence.job.standing(spot, as_found=as_found):
            value = shown_text(taken.entry.value) if taken.entry.value else "left out"
            yield Row((str(spot), stage, value, day(taken.entry)))


def told(entry: Entry) -> tuple[str, str]:
    """Return when an entry was made, and by whom, as the last cells of a row."""
    return when(entry), shown_text(entry.by)
