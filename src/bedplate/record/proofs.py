"""Which proofs were made and which steps were done, position by position.

A fold like `bedplate.record.job`: whether a proof still stands, and whether a step may be done,
is for `bedplate.assembly`.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from bedplate.record.entries import Proof, Step
from bedplate.record.job import Job
from bedplate.record.sets import positions_named
from bedplate.sheet.layout import Setting


@dataclass(frozen=True, slots=True)
class Made:
    """What was proved and done.

    Attributes:
        proofs: the proofs made, in order, by tag and position.
        steps: the last entry about each step, done or undone, by id and position.

    """

    proofs: dict[tuple[str, Setting], list[Proof]]
    steps: dict[tuple[str, Setting], Step]

    @classmethod
    def of(cls, job: Job) -> Made:
        """Return what the live entries of a job add up to."""
        proofs: dict[tuple[str, Setting], list[Proof]] = defaultdict(list)
        for proof in job.live(Proof):
            for key in positions_named(job.layout, proof.proof, "proof"):
                proofs[key].append(proof)
        steps = {
            key: step
            for step in job.live(Step)
            for key in positions_named(job.layout, step.step, "step")
        }
        return cls(proofs, steps)

    def proof(self, tag: str, position: Setting) -> list[Proof]:
        """Return how often a proof was made at a position, in order."""
        return self.proofs.get((tag, position), [])

    def done(self, step: str, position: Setting) -> Step | None:
        """Return the entry by which a step is done at a position, None where it is not."""
        last = self.steps.get((step, position))
        return last if last is not None and last.done else None
