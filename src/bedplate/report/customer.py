"""The summary for the customer: asked, found, agreed, done, and what is still to come."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bedplate.assembly.standing import PASSED, ProofState
from bedplate.assembly.words import until_words
from bedplate.record import entries as kinds
from bedplate.record.waiting import CUSTOMER
from bedplate.report import sealed_told, work_told
from bedplate.report.customer_fits import (
    capital_title,
    fit_words,
    fits_that_matter,
    found_out,
    others,
    sentence,
    to_watch,
)
from bedplate.report.document import (
    CLOSING,
    Column,
    Document,
    Fact,
    Item,
    Items,
    Row,
    Section,
    State,
    Table,
    Words,
    section,
)
from bedplate.report.evidence import Evidence, Pair, day, state_of
from bedplate.report.fits_told import fits_block
from bedplate.report.in_short import in_short, put_off
from bedplate.report.parts_told import place_named, place_words, settled_words
from bedplate.report.pictures import photos
from bedplate.report.plain_words import (
    DECIDED,
    HAPPENED,
    SEVERITY,
    glossary,
    verdict_words,
)
from bedplate.report.to_come import to_come
from bedplate.sheet.model import Fit
from bedplate.text import counted, folded, shown_text

PARTS = (Column("part", head=True), Column("what became of it"), Column("why"))
USED = (Column("part", head=True), Column("count", "figure"), Column("number and maker"))
SIGNED = (Column("signed for", head=True), Column("by"), Column("day"), Column("declares"))


def customer(evidence: Evidence) -> Document:
    """Return the summary of a job for the customer, in plain words."""
    opened = evidence.job.opened
    title = opened.machine or evidence.job.sheet.title or evidence.name
    return Document(
        reader="customer",
        name=shown_text(evidence.name),
        title=shown_text(title),
        state=state_for_customer(evidence),
        count=counted(evidence.job.last, "entry", "entries"),
        by=evidence.by,
        facts=_facts(evidence),
        sections=tuple(_sections(evidence)),
        closing=CLOSING,
        foot=sealed_told.foot(evidence),
    )


def state_for_customer(evidence: Evidence) -> State:
    """Return how far the record has come, without entry numbers where they say nothing to him."""
    state = state_of(evidence)
    if state.text == "NOT SIGNED":
        left = counted(len(evidence.blockers), "thing")
        more = f"a draft: {left} to do before it can be signed" if evidence.blockers else "a draft"
        return State(state.text, state.tone, more)
    return state


def _sections(evidence: Evidence) -> Iterator[Section]:
    matter, rest = fits_that_matter(evidence.pairs)
    yield from section("short", "In short", *in_short(evidence))
    if evidence.job.opened.asked:
        asked = Words(shown_text(evidence.job.opened.asked))
        yield from section("asked", "What you asked for", asked)
    yield from section("found", "What was found", _found(evidence), photos(evidence))
    yield from section("agreed", "What was agreed", _agreed(evidence))
    yield from section("done", "What was done", _parts(evidence), _checked(evidence))
    drawn = fits_block(matter, name=capital_title, said=verdict_words, by_name=True)
    yield from section("fits", "The measurements that matter", drawn, others(rest))
    yield from section("put-off", "What was put off, and until when", _put_off(evidence))
    yield from section("watch", "What to watch", _watch(evidence))
    yield from to_come(evidence)
    yield from section("used", "Parts used", _used(evidence))
    yield from section("signed", "Who signed", _signed(evidence))
    yield from section("cautions", "Cautions", work_told.cautions(evidence))
    yield from section("words", "The words on this page", _glossary(evidence, matter))
    yield from section("record", "About this page", *_about(evidence))


def _facts(evidence: Evidence) -> tuple[Fact, ...]:
    opened = evidence.job.opened
    known = (
        ("For", opened.customer),
        ("Machine", opened.machine),
        ("Serial number", opened.serial),
        ("Hours run", opened.hours),
        ("What was worked on", evidence.job.sheet.title),
        ("Begun", day(opened)),
        ("Last entry", day(evidence.job.entries[-1])),
    )
    return tuple(Fact(label, shown_text(text)) for label, text in known if text)


def _found(evidence: Evidence) -> Items:
    items = [
        Item(sentence(entry.note or ""), _about_finding(evidence, entry))
        for entry in evidence.job.live(kinds.Finding)
        if entry.severity != "note"
    ]
    items += found_out(evidence.pairs)
    return Items(tuple(items))


def _about_finding(evidence: Evidence, entry: kinds.Finding) -> str:
    where = place_named(evidence.job, entry.place)
    answer = evidence.assembly.waiting.settled.get(entry.n)
    texts = [where, SEVERITY[entry.severity]]
    texts += [f"answered: {settled_words(answer)}"] if answer is not None else []
    return "; ".join(text for text in texts if text)


def _agreed(evidence: Evidence) -> Items:
    settled = evidence.assembly.waiting.settled
    items = [
        Item(
            f"{sentence(place_named(evidence.job, entry.component))}, beyond what you asked for: "
            f"{_became(evidence, entry)}",
            "; ".join(
                (
                    shown_text(entry.why),
                    settled_words(settled.get(entry.n)) or "your answer is awaited",
                )
            ),
        )
        for entry in evidence.job.live(kinds.Disposition)
        if entry.extra
    ]
    items += [
        Item(sentence(entry.note or ""), settled_words(settled[entry.n]))
        for entry in evidence.job.live(kinds.Deferred)
        if entry.n in settled and entry.until.strip().casefold() == CUSTOMER
    ]
    items += [
        Item(
            f"{_conceded(evidence, entry.what)}, accepted as it is by "
            f"{shown_text(entry.accepted_by)}",
            shown_text(entry.why),
        )
        for entry in evidence.job.live(kinds.Concession)
    ]
    return Items(tuple(items))


def _became(evidence: Evidence, entry: kinds.Disposition) -> str:
    """Return what became of the parts of a decision since, else what was decided."""
    component = entry.component.casefold()
    after = [
        HAPPENED[change.how]
        for change in evidence.job.live(kinds.Changed)
        if change.n > entry.n and change.component.casefold() == component
    ]
    return after[-1] if after else DECIDED[entry.decision]


def _conceded(evidence: Evidence, what: str) -> str:
    """Return what was accepted, in words where it is a fit or a part."""
    named = what.strip().casefold()
    for pair in evidence.pairs:
        if pair.now.address.casefold() == named:
            return fit_words(pair.now)
    return sentence(place_named(evidence.job, what))


def _parts(evidence: Evidence) -> Table:
    return Table("Each part", PARTS, tuple(_part_rows(evidence)))


def _part_rows(evidence: Evidence) -> Iterator[Row]:
    job = evidence.job
    for place in job.parts.in_place:
        decided = job.decided.get(place)
        changes = [entry for entry, at, _ in job.changed if at == place and entry.how != "found"]
        happened = [_happened(entry) for entry in _of_the_last_part(changes)]
        if decided is None and not happened:
            continue
        what = ", ".join(happened) or (DECIDED[decided.decision] if decided is not None else "")
        why = shown_text(decided.why) if decided is not None else ""
        yield Row((sentence(place_words(job, place)), what, why))


def _of_the_last_part(changes: Sequence[kinds.Changed]) -> Sequence[kinds.Changed]:
    """Return the changes of a place from the one on that brought the part that is there now."""
    came = [at for at, entry in enumerate(changes) if entry.how in ("new", "moved")]
    return changes[came[-1] :] if came else changes


def _happened(entry: kinds.Changed) -> str:
    said = HAPPENED[entry.how]
    said += f" by {shown_text(entry.shop)}" if entry.shop else ""
    return said + (f" (part number {shown_text(entry.number)})" if entry.number else "")


def _checked(evidence: Evidence) -> Items:
    return Items(
        tuple(
            Item(f"Checked: {_checked_words(evidence, state)}", "passed")
            for state in work_told.proof_states(evidence)
            if state.state == PASSED
        )
    )


def _checked_words(evidence: Evidence, state: ProofState) -> str:
    """Return what was checked, and where: ``Turns freely, ahead``."""
    row = state.row
    words = row.title
    if not row.text and row.fit is not None:
        words = f"{evidence.job.layout.row(row.fit, Fit).title}, in band"
    return shown_text(", ".join([words, *state.position]))


def _put_off(evidence: Evidence) -> Items:
    return Items(
        tuple(
            Item(sentence(item.text), f"until {_until(item.until)}") for item in put_off(evidence)
        )
    )


def _until(until: str) -> str:
    shown = shown_text(until_words(until))
    return "you have answered" if shown.strip().casefold() == CUSTOMER else shown


def _watch(evidence: Evidence) -> Items:
    items = [
        Item(sentence(entry.note or ""), place_named(evidence.job, entry.place))
        for entry in evidence.job.live(kinds.Finding)
        if entry.severity == "watch"
    ]
    items += to_watch(evidence.pairs)
    return Items(tuple(items))


def _used(evidence: Evidence) -> Table:
    """Return what was used, the same at several times in one row."""
    counts: dict[tuple[str, str], int] = {}
    names: dict[str, str] = {}
    for entry in evidence.job.live(kinds.PartUsed):
        name = names.setdefault(folded(entry.part), shown_text(entry.part))
        whose = ", ".join(shown_text(t) for t in (entry.number, entry.maker, entry.batch) if t)
        number = 1 if entry.count is None else entry.count
        counts[name, whose] = counts.get((name, whose), 0) + number
    rows = [Row((name, str(number), whose)) for (name, whose), number in counts.items()]
    return Table("New in this job", USED, tuple(rows))


def _signed(evidence: Evidence) -> Table:
    rows = []
    for seal in evidence.verification.seals:
        role = f", {shown_text(seal.role)}" if seal.role else ""
        doubt = "" if seal.ok else f" ({sealed_told.seal_worth(seal)})"
        rows.append(
            Row(
                (
                    shown_text(seal.moment or ""),
                    f"{shown_text(seal.by)}{role}{doubt}",
                    sealed_told.seal_time(seal),
                    shown_text(seal.statement or ""),
                )
            )
        )
    return Table("Who stands behind it", SIGNED, tuple(rows))


def _glossary(evidence: Evidence, matter: Sequence[Pair]) -> Items:
    results = [result for pair in matter for result in (pair.found, pair.left) if result]
    conceded = bool(evidence.job.live(kinds.Concession))
    return Items(tuple(glossary(results, conceded=conceded)))


def _about(evidence: Evidence) -> Iterator[Words]:
    if evidence.is_altered:
        yield Words(
            "The file that this page was made from was altered after it was written. Only what "
            "stands before the alteration is shown; ask the workshop for a sound copy."
        )
    if sealed_told.foot(evidence):
        yield Words(
            "The line at the foot of this page is the fingerprint of the workshop's record as it "
            "was when the page was made: by it the record can be held against this page later."
        )
