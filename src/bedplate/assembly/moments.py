"""What a job is signed for, and what may still be recorded behind a seal.

Behind a seal go what a later moment asks for (with the sets its steps move, the proofs that go
stale by it, and the one-use things they take), gauges and their settings, a tail set aside, the
striking of an entry behind the seal, and another seal. Anything else needs ``reopened``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from bedplate.assess.geometry import tags_of
from bedplate.record.entries import (
    Concession,
    Deferred,
    Entry,
    Fasteners,
    GaugeDescribed,
    PartUsed,
    Proof,
    Reading,
    SetAside,
    Setting,
    Settled,
    Signed,
    Step,
    Strike,
)
from bedplate.record.job import Job
from bedplate.sheet import model
from bedplate.sheet.layout import Layout


class Seals(NamedTuple):
    """The seals in force.

    Attributes:
        moments: what the job is signed for, in the order signed.
        entry: number of the last seal, 0 where none is in force.

    """

    moments: tuple[str, ...] = ()
    entry: int = 0


def moment_sealed(entry: Signed) -> str:
    """Return the moment that a seal names: its line ``moment: …``."""
    lines = entry.sealed.split("\n")
    return next((line[8:] for line in lines if line.startswith("moment: ")), "")


def seals(job: Job) -> Seals:
    """Return the seals of a job that nothing behind them has set aside."""
    if not job.live(Signed):
        return Seals()
    moments: dict[str, None] = {}
    last = 0
    asked: Asked | None = None
    for entry in job.entries:
        if isinstance(entry, Signed):
            moments[moment_sealed(entry)] = None
            last, asked = entry.n, None
        elif moments:
            asked = asked or Asked.behind(job, moments)
            if not asked.for_(entry, last):
                moments, last = {}, 0
    return Seals(tuple(moments), last)


def signed_moments(job: Job) -> tuple[str, ...]:
    """Return the moments that a job is signed for, as it stands, in the order signed."""
    return seals(job).moments


def open_moment(job: Job) -> str | None:
    """Return the first moment that a job is not signed for, None where it is signed for all."""
    signed = {moment.casefold() for moment in signed_moments(job)}
    return next((m for m in job.sheet.signed_for if m.casefold() not in signed), None)


class Asked(NamedTuple):
    """What the moments still to be signed ask for, by name as the sheet spells it."""

    job: Job
    features: frozenset[str]
    sets: frozenset[str]
    proofs: frozenset[str]
    steps: frozenset[str]
    things: frozenset[str]
    later: frozenset[str]
    """Moments still to be signed, casefolded."""

    @classmethod
    def behind(cls, job: Job, signed: Iterable[str]) -> Asked:
        """Return what is asked for behind the seals of these moments."""
        done = {moment.casefold() for moment in signed}
        moments = [moment.casefold() for moment in job.sheet.signed_for]
        last = max((i for i, moment in enumerate(moments) if moment in done), default=-1)
        later = frozenset(moments[last + 1 :])
        return _asked(job, later)

    def for_(self, entry: Entry, seal: int) -> bool:
        """Tell whether an entry may stand behind the seal of entry ``seal``."""
        if isinstance(entry, Strike):
            return entry.entry > seal
        asks = _ASKS.get(type(entry))
        return asks is not None and asks(self, entry)

    def names(self, address: str | None, *among: frozenset[str]) -> bool:
        """Tell whether an address names something of these."""
        if address is None:
            return False
        found = self.job.layout.find(address.partition("@")[0].partition(".")[0].strip())
        return found is not None and any(found.name in names for names in among)


def _asked(job: Job, later: frozenset[str]) -> Asked:
    layout, sheet = job.layout, job.sheet

    def is_later(row: model.Step | model.Proof | model.Fit) -> bool:
        return (row.due or sheet.signed_for[0]).casefold() in later

    steps = [step for step in sheet.step if is_later(step)]
    fits = [fit for fit in sheet.fit if is_later(fit)]
    proofs = [proof for proof in sheet.proof if is_later(proof)]
    held = _spelled(layout, (tag for step in steps for tag in step.hold or ()))
    proofs += [proof for proof in sheet.proof if proof.tag in held]
    features = {tag for fit in fits for tag in tags_of(layout, fit)}
    sets = _spelled(
        layout,
        [
            *(tag for step in steps for tag in step.leaves or ()),
            *(tag for proof in proofs for tag in proof.when or ()),
            *(tag for name in features for tag in layout.row(name, model.Feature).when or ()),
        ],
    )
    rows = [layout.row(tag, model.Fasteners) for tag in sets]
    waited_for = _spelled(layout, (tag for row in rows for tag in row.prove or ()))
    proofs += [
        proof
        for proof in sheet.proof
        if proof.tag in waited_for or sets & _spelled(layout, proof.when or ())
    ]
    by_fit = _spelled(layout, (proof.fit for proof in proofs if proof.fit))
    features |= {tag for fit in sheet.fit if fit.tag in by_fit for tag in tags_of(layout, fit)}
    return Asked(
        job,
        frozenset(features),
        frozenset(sets),
        frozenset(proof.tag for proof in proofs),
        frozenset(step.id for step in steps),
        frozenset(
            thing.casefold()
            for row in rows
            for things in (row.spends or {}).values()
            for thing in things
        ),
        later,
    )


def _spelled(layout: Layout, names: Iterable[str]) -> set[str]:
    return {layout.named(name).name for name in names}


def _always(_asked: Asked, _entry: Entry) -> bool:
    return True


def _reading(asked: Asked, entry: Reading) -> bool:
    return asked.names(entry.address, asked.features)


def _fasteners(asked: Asked, entry: Fasteners) -> bool:
    return asked.names(entry.set, asked.sets)


def _proof(asked: Asked, entry: Proof) -> bool:
    return asked.names(entry.proof, asked.proofs)


def _step(asked: Asked, entry: Step) -> bool:
    return asked.names(entry.step, asked.steps)


def _used(asked: Asked, entry: PartUsed) -> bool:
    return entry.part.strip().casefold() in asked.things


def _deferred(asked: Asked, entry: Deferred) -> bool:
    return asked.names(entry.holds, asked.features, asked.sets, asked.proofs, asked.steps)


_ASKS: dict[type[Entry], Callable[[Asked, Any], bool]] = {
    GaugeDescribed: _always,
    Setting: _always,
    SetAside: _always,
    Settled: _always,
    Concession: _always,
    Reading: _reading,
    Fasteners: _fasteners,
    Proof: _proof,
    Step: _step,
    PartUsed: _used,
    Deferred: _deferred,
}
"""What may stand behind a seal, by kind; a kind not named here needs ``reopened``."""
