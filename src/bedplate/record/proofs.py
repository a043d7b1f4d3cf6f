"""Which proofs were made and which steps were done, position by position.

A fold like `bedplate.record.job`: whether a proof still stands, and whether a step may be done,
is for `bedplate.assembly`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import islice

from bedplate.record.entries import Entry, Proof, Step
from bedplate.record.job import Job
from bedplate.record.sets import positions_named
from bedplate.sheet.layout import Layout, Setting


@dataclass(slots=True)
class Made:
    """What was proved and done.

    Attributes:
        proofs: the proofs made, in order, by tag and position.
        steps: the last entry about each step, done or undone, by id and position.

    """

    proofs: dict[tuple[str, Setting], list[Proof]]
    steps: dict[tuple[str, Setting], Step]
    _taken: int = field(default=0, repr=False, compare=False)

    @classmethod
    def of(cls, job: Job) -> Made:
        """Return what the live entries of a job add up to.

        Of one job it is always the same, grown by what was recorded since.
        """
        made = job.followed(cls._begun)
        for entry in islice(job.entries, made._taken, None):
            if job.is_live(entry.n):
                made._take(entry, job.layout)
        made._taken = job.last
        return made

    @classmethod
    def _begun(cls, _job: Job) -> Made:
        return cls({}, {})

    def _take(self, entry: Entry, layout: Layout) -> None:
        if isinstance(entry, Proof):
            for key in positions_named(layout, entry.proof, "proof"):
                self.proofs.setdefault(key, []).append(entry)
        elif isinstance(entry, Step):
            self.steps |= dict.fromkeys(positions_named(layout, entry.step, "step"), entry)

    def proof(self, tag: str, position: Setting) -> list[Proof]:
        """Return how often a proof was made at a position, in order."""
        return self.proofs.get((tag, position), [])

    def done(self, step: str, position: Setting) -> Step | None:
        """Return the entry by which a step is done at a position, None where it is not."""
        last = self.steps.get((step, position))
        return last if last is not None and last.done else None
