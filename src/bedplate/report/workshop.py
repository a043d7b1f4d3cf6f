"""The summary for the workshop: every figure, every entry that counts, and the struck ones."""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.record import entries as kinds
from bedplate.report import fits_told, parts_told, readings_told, sealed_told, work_told
from bedplate.report.document import (
    CLOSING,
    Document,
    Fact,
    Item,
    Items,
    Section,
    section,
)
from bedplate.report.entry_words import words
from bedplate.report.evidence import Evidence, day, state_of
from bedplate.report.pictures import photos
from bedplate.text import counted, shown_text


def workshop(evidence: Evidence) -> Document:
    """Return the summary of a job for the workshop."""
    opened, sheet = evidence.job.opened, evidence.job.sheet
    return Document(
        reader="workshop",
        name=shown_text(evidence.name),
        title=shown_text(opened.machine or sheet.title or ""),
        state=state_of(evidence),
        count=counted(evidence.job.last, "entry", "entries"),
        by=evidence.by,
        facts=job_facts(evidence),
        sections=tuple(_sections(evidence)),
        closing=CLOSING,
        foot=sealed_told.foot(evidence),
    )


def _sections(evidence: Evidence) -> Iterator[Section]:
    results = [result for pair in evidence.pairs for result in (pair.found, pair.left) if result]
    yield from section("fits", "Fits", fits_told.fits_block(evidence.pairs))
    yield from to_do(evidence)
    yield from section(
        "figures",
        "The fits in full",
        *fits_told.full_tables(results),
        fits_told.compared(results),
        fits_told.assumed(results),
    )
    yield from section("plots", "By station", *fits_told.plots(evidence))
    yield from section("conceded", "Accepted as it is", parts_told.conceded_table(evidence))
    yield from section("parts", "Parts", parts_told.parts_table(evidence))
    yield from section(
        "found", "What was seen", parts_told.findings_table(evidence), photos(evidence)
    )
    yield from section("put-off", "Put off", parts_told.put_off_table(evidence))
    yield from _measured(evidence)
    yield from _worked(evidence)
    yield from section("struck", "Struck out", readings_told.struck_table(evidence))
    yield from section("changes", "The sheet and the record", _changes(evidence))
    yield from section("seals", "Seals", sealed_told.seals_table(evidence))
    yield from section("cautions", "Cautions", work_told.cautions(evidence))
    yield from section(
        "record", "This record", *sealed_told.record_words(evidence), sealed_told.head(evidence)
    )


def _measured(evidence: Evidence) -> Iterator[Section]:
    yield from section("readings", "Readings", readings_told.readings_table(evidence))
    yield from section(
        "gauges",
        "Gauges",
        readings_told.gauges_table(evidence),
        readings_told.settings_table(evidence),
    )


def _worked(evidence: Evidence) -> Iterator[Section]:
    yield from section(
        "fasteners", "Fasteners", work_told.sets_table(evidence), work_told.moves_table(evidence)
    )
    yield from section(
        "proofs", "Proofs", work_told.proofs_table(evidence), work_told.made_table(evidence)
    )
    yield from section("steps", "Steps", work_told.steps_table(evidence))
    yield from section("used", "Parts used", parts_told.used_table(evidence))
    yield from section("attached", "Attached", parts_told.attached(evidence))


def job_facts(evidence: Evidence) -> tuple[Fact, ...]:
    """Return what is known of the job from its opening."""
    opened, sheet = evidence.job.opened, evidence.job.sheet
    revision = f", revision {sheet.revision}" if sheet.revision else ""
    before = opened.previous
    known = (
        ("Customer", opened.customer),
        ("Machine", opened.machine),
        ("Serial number", opened.serial),
        ("Hours run", opened.hours),
        ("Asked for", opened.asked),
        ("Build sheet", f"{sheet.title}{revision}" if sheet.title else None),
        ("Limits from", sheet.source),
        ("Opened", f"{day(opened)} by {opened.by}"),
        ("Job before this one", f"{before.file}, head {before.head}" if before else None),
    )
    return tuple(Fact(label, shown_text(text)) for label, text in known if text)


def to_do(evidence: Evidence) -> list[Section]:
    """Return what is in the way of the next signature, with what to type about it."""
    moments = evidence.open_moments
    if not moments or evidence.is_altered:
        return []
    what = "" if moments[0] == evidence.job.sheet.signed_for[0] else f" for {moments[0]}"
    title = f"To do before it can be signed{shown_text(what)}: {len(evidence.blockers)}"
    if not evidence.blockers:
        command = f"bedplate sign {quoted_word(moments[0])}"
        ready = Item("Nothing is in the way", command=shown_text(command))
        return section("to-do", title, Items((ready,)))
    items = [
        Item(shown_text(each.text), command=shown_text(each.type or ""))
        for each in evidence.blockers
    ]
    return section("to-do", title, Items(tuple(items)))


def quoted_word(text: str) -> str:
    """Return a word as it is typed, in quotes where it is several.

    >>> quoted_word("handover"), quoted_word("first run")
    ('handover', '"first run"')
    """
    return f'"{text}"' if " " in text else text


def _changes(evidence: Evidence) -> Items:
    """Return how the sheet was revised, the record reopened, and what was set aside."""
    told = (kinds.SheetRevised, kinds.Reopened, kinds.SetAside)
    return Items(
        tuple(
            Item(f"entry {entry.n}: {words(entry, evidence.job)}", _by(entry))
            for entry in evidence.job.entries
            if isinstance(entry, told)
        )
    )


def _by(entry: kinds.Entry) -> str:
    return ", ".join(readings_told.told(entry))
