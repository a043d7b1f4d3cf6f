"""The public copy: addresses, values, fits, limits with their source, lock states, proofs by tag.

An allow-list: only what is named here gets in. No free text, no name of a person, customer,
machine or file, no serial number, no attachment, no job id, head or key; a day without its time.
So such a copy cannot be verified, and says so.
"""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.report import fits_told, readings_told, work_told
from bedplate.report.document import (
    CLOSING,
    Column,
    Document,
    Row,
    Section,
    Table,
    Words,
    section,
)
from bedplate.report.evidence import Evidence

SETS = (Column("set", head=True), Column("stands"))
PROOFS = (Column("proof", head=True), Column("stands"))
UNVERIFIED = (
    "This is a public copy: names, machine, serial numbers, remarks and signatures are left out "
    "on purpose. It cannot be verified; whoever holds the record can show it whole."
)


def public(evidence: Evidence) -> Document:
    """Return the summary of a job for anybody who comes along later."""
    return Document(
        reader="public",
        name="",
        title="Readings and fits of one overhaul",
        state=None,
        count="",
        by="",
        facts=(),
        sections=tuple(_sections(evidence)),
        closing=CLOSING,
        foot="",
    )


def _sections(evidence: Evidence) -> Iterator[Section]:
    results = [result for pair in evidence.pairs for result in (pair.found, pair.left) if result]
    yield from section("copy", "What this is", Words(UNVERIFIED))
    yield from section("fits", "Fits", fits_told.fits_block(evidence.pairs, name=lambda _: ""))
    yield from section(
        "figures", "The fits in full", *fits_told.full_tables(results, entries=False)
    )
    yield from section("readings", "Readings", readings_told.bare_readings(evidence))
    yield from section("fasteners", "Fasteners", _sets(evidence))
    yield from section("proofs", "Proofs", _proofs(evidence))


def _sets(evidence: Evidence) -> Table:
    rows = [
        Row((state.address, work_told.set_stands(state)))
        for state in evidence.assembly.sets.states.values()
    ]
    return Table("How the fasteners stand", SETS, tuple(rows))


def _proofs(evidence: Evidence) -> Table:
    rows = [Row((state.address, state.state)) for state in work_told.proof_states(evidence)]
    return Table("How the proofs stand", PROOFS, tuple(rows))
