"""Fastener sets, proofs and steps as blocks: how they stand, and how they came there."""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.assembly.standing import PASSED, ProofState, proof_state
from bedplate.record import entries as kinds
from bedplate.record.sets import STATES, SetState
from bedplate.report import figures
from bedplate.report.document import Column, Item, Items, Row, Table
from bedplate.report.entry_words import when
from bedplate.report.evidence import Evidence
from bedplate.report.readings_told import struck_by, told
from bedplate.sheet.layout import joined
from bedplate.sheet.model import Limits, Proof, Step
from bedplate.text import shown_text

SETS = (
    Column("set", head=True),
    Column("name"),
    Column("stands"),
    Column("is to be left"),
    Column("tightened to"),
    Column("threads"),
    Column("lock"),
)
MOVES = (
    Column("entry", head=True),
    Column("set", head=True),
    Column("became"),
    Column("count", "figure"),
    Column("stage", "figure"),
    Column("reached", "figure"),
    Column("read on"),
    Column("when"),
    Column("by"),
    Column("remark"),
)
PROOFS = (Column("proof", head=True), Column("what it asks"), Column("stands"))
MADE = (
    Column("entry", head=True),
    Column("proof", head=True),
    Column("result"),
    Column("when"),
    Column("by"),
    Column("remark"),
)
STEPS = (
    Column("step", head=True),
    Column("phase"),
    Column("what"),
    Column("due"),
    Column("done"),
    Column("by"),
    Column("remark"),
)


def set_stands(state: SetState) -> str:
    """Return how a set stands: ``4 of 4 locked``, ``3 of 4 tight, 1 of 4 fitted``."""
    if state.number == 1 and state.row.number is None:
        return state.fasteners[0].state
    counts = [(state.count(name), name) for name in reversed(STATES)]
    said = [f"{count} of {state.number} {name}" for count, name in counts if count]
    trial = ", on trial" if any(fastener.trial for fastener in state.fasteners) else ""
    return ", ".join(said) + trial


def sets_table(evidence: Evidence) -> Table:
    """Return every set of fasteners at every position, as it stands."""
    rows = [
        Row(
            (
                state.address,
                _name(state.row.title, state.row.tag),
                set_stands(state),
                state.row.final_state,
                "; ".join(stages_words(state.row.stages or ())),
                shown_text(state.row.threads or ""),
                shown_text(state.row.lock or ""),
            )
        )
        for state in evidence.assembly.sets.states.values()
    ]
    return Table("How the fasteners stand", SETS, tuple(rows))


def _name(title: str, tag: str) -> str:
    return "" if title == tag else shown_text(title)


def stages_words(stages: tuple[Limits, ...]) -> Iterator[str]:
    """Yield the stages of tightening in turn, each with its limits and their source."""
    for number, stage in enumerate(stages, 1):
        before = f"stage {number}: " if len(stages) > 1 else ""
        source = f" ({shown_text(stage.source)})" if stage.source else ""
        yield f"{before}{limits_words(stage)}{source}"


def limits_words(limits: Limits) -> str:
    """Return limits of a sheet as people read them.

    >>> limits_words(Limits(limits="16..18 lbf*ft")), limits_words(Limits(limits="..4 thou"))
    ('16 to 18 lbf ft', '..4 thou')
    """
    low, dots, high = shown_text(limits.limits).partition("..")
    both = bool(dots and low.strip() and high.strip())
    text = f"{low.strip()} to {high.strip()}" if both else f"{low}{dots}{high}"
    return quantity(text)


def moves_table(evidence: Evidence) -> Table:
    """Return what became of every set, in order, with what was reached."""
    return Table("What became of them", MOVES, tuple(_move_rows(evidence)))


def _move_rows(evidence: Evidence) -> Iterator[Row]:
    for entry in evidence.job.entries:
        if isinstance(entry, kinds.Fasteners):
            remarks = ["on trial"] if entry.trial else []
            remarks += [shown_text(entry.note)] if entry.note else []
            cells = (
                str(entry.n),
                shown_text(entry.set),
                entry.state,
                "" if entry.count is None else str(entry.count),
                "" if entry.stage is None else str(entry.stage),
                quantity(entry.value),
                shown_text(entry.gauge or ""),
                *told(entry),
                "; ".join(remarks),
            )
            yield Row(cells, struck_by(evidence, entry.n))


def quantity(text: str | None) -> str:
    """Return a quantity of the record as people read it.

    >>> quantity("17 lbf*ft"), quantity(None)
    ('17 lbf ft', '')
    """
    return " ".join(figures.unit_word(word, draw=True) for word in shown_text(text or "").split())


def proof_states(evidence: Evidence) -> Iterator[ProofState]:
    """Yield every proof at every position, as it stands."""
    for proof in evidence.job.sheet.proof:
        name = evidence.job.layout.named(proof.tag, "proof").name
        for place in evidence.job.layout.agreeing(name, {}):
            yield proof_state(evidence.assembly, name, place.position)


def proof_stands(state: ProofState) -> str:
    """Return how a proof stands, with the entries that count."""
    if state.state == PASSED and state.passes:
        return f"passed (entry {', '.join(str(entry.n) for entry in state.passes)})"
    if state.failed is not None:
        return f"{state.state} (entry {state.failed.n})"
    if state.state == PASSED and state.fits:
        return f"passed by {', '.join(fit.address for fit in state.fits)}"
    return state.state


def proofs_table(evidence: Evidence) -> Table:
    """Return every proof, as it stands."""
    rows = [
        Row((state.address, shown_text(state.row.title), proof_stands(state)))
        for state in proof_states(evidence)
    ]
    return Table("How the proofs stand", PROOFS, tuple(rows))


def made_table(evidence: Evidence) -> Table:
    """Return every proof that was made, in order."""
    rows = [
        Row(
            (
                str(entry.n),
                shown_text(entry.proof),
                "passed" if entry.passed else "FAILED",
                *told(entry),
                shown_text(entry.note or ""),
            ),
            struck_by(evidence, entry.n),
        )
        for entry in evidence.job.entries
        if isinstance(entry, kinds.Proof)
    ]
    return Table("When they were made", MADE, tuple(rows))


def steps_table(evidence: Evidence) -> Table:
    """Return every step at every position, and by which entry it is done."""
    return Table("The steps", STEPS, tuple(_step_rows(evidence)))


def _step_rows(evidence: Evidence) -> Iterator[Row]:
    layout = evidence.job.layout
    for step in evidence.job.sheet.step:
        name = layout.named(step.id, "step").name
        for place in layout.agreeing(name, {}):
            done = evidence.assembly.made.done(name, place.position)
            yield Row(
                (
                    joined(name, place.position),
                    step.phase or "build",
                    shown_text(step.text),
                    due_words(evidence, step),
                    f"{when(done)} (entry {done.n})" if done is not None else "not done",
                    shown_text(done.by) if done is not None else "",
                    shown_text(done.note or "") if done is not None else "",
                )
            )


def due_words(evidence: Evidence, row: Step | Proof) -> str:
    """Return the moment that something is due at, as the sheet spells it."""
    return shown_text(evidence.assembly.moments[evidence.assembly.due(row)])


def cautions(evidence: Evidence) -> Items:
    """Return the sheet's own cautions, each with where it holds."""
    sheet = evidence.job.sheet
    told_of = [(step.text, step.caution) for step in sheet.step if step.caution]
    told_of += [(set_.title, set_.caution) for set_ in sheet.fasteners if set_.caution]
    return Items(tuple(Item(shown_text(what or ""), shown_text(where)) for where, what in told_of))
