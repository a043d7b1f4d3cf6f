"""What is still to come, moment by moment: what the sheet asks for then, and is not done."""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.report import work_told
from bedplate.report.document import Item, Items, Section, Words, section
from bedplate.report.evidence import Evidence
from bedplate.text import shown_text


def to_come(evidence: Evidence) -> Iterator[Section]:
    """Yield one section for every moment that is not signed for, in order."""
    for number, moment in enumerate(evidence.open_moments):
        name = shown_text(moment)
        title = f"Still to come: {name}"
        items = Items(tuple(_at(evidence, moment)))
        nothing = Words("Nothing more is asked for then, but the signature.")
        yield from section(f"to-come-{number + 1}", title, items if items.items else nothing)


def _at(evidence: Evidence, moment: str) -> Iterator[Item]:
    assembly = evidence.assembly
    index = assembly.moment_index(moment)
    for step in evidence.job.sheet.step:
        if assembly.due(step) == index:
            name = assembly.layout.named(step.id, "step").name
            places = [place.position for place in assembly.layout.agreeing(name, {})]
            if any(assembly.made.done(name, position) is None for position in places):
                yield Item(shown_text(step.text))
    for state in work_told.proof_states(evidence):
        if assembly.due(state.row) == index and not state.stands:
            yield Item(f"Check: {shown_text(state.row.title)}", "/".join(state.position))
    for pair in evidence.pairs:
        if assembly.due(pair.now.fit) == index and not pair.now.measured:
            yield Item(f"Measure: {shown_text(pair.now.fit.title)}", pair.now.place or "")
    for item in assembly.waiting.put_off:
        if assembly.moment_index(item.until) == index:
            yield Item(shown_text(item.text), "put off until then")
