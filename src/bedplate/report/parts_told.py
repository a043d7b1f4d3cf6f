"""Parts, findings, what was put off and what was conceded, as blocks."""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.assembly.words import until_words
from bedplate.record import entries as kinds
from bedplate.record.job import Job
from bedplate.report.document import Column, Item, Items, Row, Table
from bedplate.report.entry_words import when
from bedplate.report.evidence import Evidence
from bedplate.report.readings_told import struck_by, told
from bedplate.sheet.layout import Place
from bedplate.sheet.model import Component
from bedplate.text import shown_text

PARTS = (
    Column("part", head=True),
    Column("decided"),
    Column("why"),
    Column("has happened"),
    Column("entries"),
)
FINDINGS = (
    Column("entry", head=True),
    Column("place", head=True),
    Column("severity"),
    Column("what was seen"),
    Column("judged by"),
    Column("comes back at"),
    Column("answer"),
    Column("when"),
    Column("by"),
)
PUT_OFF = (
    Column("entry", head=True),
    Column("what"),
    Column("until"),
    Column("holds"),
    Column("why"),
    Column("settled"),
    Column("when"),
    Column("by"),
)
CONCEDED = (
    Column("entry", head=True),
    Column("what", head=True),
    Column("accepted by"),
    Column("why"),
    Column("when"),
    Column("by"),
)
USED = (
    Column("entry", head=True),
    Column("count", "figure"),
    Column("part"),
    Column("number"),
    Column("maker"),
    Column("batch"),
    Column("when"),
    Column("by"),
)


def place_words(job: Job, place: Place) -> str:
    """Return what people call the part at a place: ``pump gear, idler``."""
    title = shown_text(job.layout.row(place.component, Component).title)
    return ", ".join([title, *place.position])


def place_named(job: Job, text: str | None) -> str:
    """Return what people call a place, as typed where it names no component."""
    found = next((place for place in job.parts.in_place if str(place) == text), None)
    return place_words(job, found) if found is not None else shown_text(text or "")


def parts_table(evidence: Evidence) -> Table:
    """Return every part: what was decided of it, and what has happened."""
    return Table("Every part", PARTS, tuple(_part_rows(evidence)))


def _part_rows(evidence: Evidence) -> Iterator[Row]:
    job = evidence.job
    for place, part in job.parts.in_place.items():
        decided = job.decided.get(place)
        changes = [entry for entry, at, _ in job.changed if at == place]
        if decided is None and not changes:
            continue
        name = f"{place}: {place_words(job, place)}"
        if part is not None and part.mark != str(place):
            name += f" (mark {shown_text(part.mark)})"
        extra = ", beyond what was asked" if decided is not None and decided.extra else ""
        numbers = [decided.n] if decided is not None else []
        yield Row(
            (
                name,
                f"{decided.decision}{extra}" if decided is not None else "",
                shown_text(decided.why) if decided is not None else "",
                "; ".join(change_words(entry) for entry in changes),
                ", ".join(str(n) for n in [*numbers, *(entry.n for entry in changes)]),
            )
        )
    for part in job.parts.loose.values():
        changes = [entry for entry, at, mark in job.changed if at is None and mark == part.mark]
        said = "; ".join(change_words(entry) for entry in changes)
        name = f"{part.component}: mark {shown_text(part.mark)}, without a place"
        yield Row((name, "", "", said, ", ".join(str(entry.n) for entry in changes)))


def change_words(entry: kinds.Changed) -> str:
    """Return what has happened to a part, without its name: ``new, part number FT-2207``."""
    said: str = entry.how
    for word, text in (
        ("from", entry.from_), ("mark", entry.mark), ("size", entry.size),
        ("part number", entry.number), ("by", entry.shop),
    ):  # fmt: skip
        said += f", {word} {shown_text(text)}" if text else ""
    if entry.touching:
        said += f", touching {', '.join(shown_text(address) for address in entry.touching)}"
    return said + (f" ({shown_text(entry.note)})" if entry.note else "")


def findings_table(evidence: Evidence) -> Table:
    """Return everything that was seen, with its answer."""
    return Table("Everything that was seen", FINDINGS, tuple(_finding_rows(evidence)))


def _finding_rows(evidence: Evidence) -> Iterator[Row]:
    settled = evidence.assembly.waiting.settled
    for entry in evidence.job.entries:
        if isinstance(entry, kinds.Finding):
            answer = settled.get(entry.n)
            cells = (
                str(entry.n),
                shown_text(entry.place or ""),
                entry.severity,
                shown_text(entry.note or ""),
                shown_text(entry.how or ""),
                shown_text(entry.back or ""),
                settled_words(answer),
                *told(entry),
            )
            yield Row(cells, struck_by(evidence, entry.n))


def settled_words(entry: kinds.Settled | None) -> str:
    """Return how something was settled, by whom and by which entry; empty where it was not."""
    if entry is None:
        return ""
    how = shown_text(entry.how or entry.note or "settled")
    return f"{how} (entry {entry.n}, {when(entry)}, {shown_text(entry.by)})"


def put_off_table(evidence: Evidence) -> Table:
    """Return everything that was put off, with how it was settled."""
    return Table("Everything that was put off", PUT_OFF, tuple(_put_off_rows(evidence)))


def _put_off_rows(evidence: Evidence) -> Iterator[Row]:
    settled = evidence.assembly.waiting.settled
    for entry in evidence.job.entries:
        if not isinstance(entry, kinds.Deferred):
            continue
        cells = (
            str(entry.n),
            shown_text(entry.note or ""),
            shown_text(until_words(entry.until)),
            shown_text(entry.holds or ""),
            shown_text(entry.why or ""),
            settled_words(settled.get(entry.n)),
            *told(entry),
        )
        yield Row(cells, struck_by(evidence, entry.n))
    for entry in evidence.job.live(kinds.Disposition):
        if entry.extra:
            text = f"{entry.decision} {shown_text(entry.component)}, beyond what was asked"
            answer = settled_words(settled.get(entry.n))
            why = shown_text(entry.why)
            yield Row((str(entry.n), text, "the customer's yes", "", why, answer, *told(entry)))


def conceded_table(evidence: Evidence) -> Table:
    """Return what was accepted as it is, and by whom."""
    rows = [
        Row(
            (
                str(entry.n),
                shown_text(entry.what),
                shown_text(entry.accepted_by),
                shown_text(entry.why),
                *told(entry),
            )
        )
        for entry in evidence.job.live(kinds.Concession)
    ]
    return Table("Accepted as it is", CONCEDED, tuple(rows))


def used_table(evidence: Evidence) -> Table:
    """Return what was drawn: gaskets, seals, locks and parts."""
    rows = [
        Row(
            (
                str(entry.n),
                str(1 if entry.count is None else entry.count),
                shown_text(entry.part),
                shown_text(entry.number or ""),
                shown_text(entry.maker or ""),
                shown_text(entry.batch or ""),
                *told(entry),
            ),
            struck_by(evidence, entry.n),
        )
        for entry in evidence.job.entries
        if isinstance(entry, kinds.PartUsed)
    ]
    return Table("Parts used", USED, tuple(rows))


def attached(evidence: Evidence) -> Items:
    """Return the attachments, and where they lie."""
    return Items(
        tuple(
            Item(
                f"entry {entry.n}: {shown_text(entry.name)}",
                ", ".join(
                    text
                    for text in (
                        f"on {shown_text(entry.place)}" if entry.place else "",
                        shown_text(entry.note or ""),
                        f"kept as {shown_text(entry.file)}",
                    )
                    if text
                ),
            )
            for entry in evidence.job.live(kinds.Attachment)
        )
    )
