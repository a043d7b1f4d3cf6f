"""A job at the bench, for tests: every entry goes through the rules before it is kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from typing import Literal

from tiny import sheet_of

from bedplate.assembly.blockers import blockers, weigh
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.rules import may
from bedplate.assess.fits import Assessment
from bedplate.assess.result import FitResult
from bedplate.errors import BedplateError
from bedplate.record import entries as e
from bedplate.record.job import Job, fold
from bedplate.record.sets import Sets, SetState
from bedplate.record.stamping import moment_text, stamped
from bedplate.sheet.layout import joined

CET = dt.timezone(dt.timedelta(hours=1))
START = dt.datetime(2025, 11, 24, 14, 0, tzinfo=CET)
ANN, BEN, OWNER = "Ann Fitter", "Ben Lathe", "A. Owner"


class Shop:
    """A job that grows entry by entry, a minute apart, under the rules.

    Attributes:
        entries: what is recorded.
        now: the time; every entry kept takes a minute.
        fits: how fits are worked out; tests of rules alone may put something simpler.
    """

    def __init__(self, toml: str, customer: str | None = None) -> None:
        self.now = START
        self.entries: list[e.AnyEntry] = []
        self.fits: Callable[[Job], Sequence[FitResult]] = lambda job: Assessment(job).all
        self.keep(e.Opened(job="0" * 32, customer=customer, sheet=sheet_of(toml).as_json()))

    # ---- how it stands

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return fold(self.entries)

    @property
    def last(self) -> int:
        """Number of the last entry."""
        return len(self.entries)

    def set(self, tag: str, *position: str) -> SetState:
        """Return a set as it stands."""
        return Sets.of(self.job).at(tag, position)

    def stock(self, thing: str) -> tuple[int, int, int]:
        """Return how many of a thing were drawn, are in use and are spent."""
        stock = Sets.of(self.job).thing(thing)
        return stock.drawn, stock.in_use, stock.spent

    def blockers(
        self,
        moment: str | None = None,
        *,
        gauges_overdue: Sequence[str] = (),
        copies: Sequence[str] = (),
    ) -> list[Blocker]:
        """Return what is in the way of a moment, the first by default."""
        job = self.job
        return blockers(
            job,
            self.fits(job),
            moment or job.sheet.signed_for[0],
            self.now,
            gauges_overdue=gauges_overdue,
            copies=copies,
        )

    def weighed(self, moment: str | None = None) -> list[Blocker]:
        """Return what is in the way of a moment, with what was conceded."""
        job = self.job
        return weigh(job, self.fits(job), moment or job.sheet.signed_for[0], self.now)

    def in_the_way(self, kind: str, moment: str | None = None) -> list[str]:
        """Return what of one kind is in the way, in words."""
        return [blocker.text for blocker in self.blockers(moment) if blocker.kind == kind]

    # ---- what is recorded

    def keep(self, entry: e.AnyEntry, by: str = ANN) -> int:
        """Record an entry whatever the rules say; return its number."""
        n = len(self.entries) + 1
        self.now += dt.timedelta(minutes=1)
        at = moment_text(self.now)
        self.entries.append(stamped(entry, n=n, at=at, by=by, prev=e.NO_LINE))
        return n

    def do(
        self,
        entry: e.AnyEntry,
        by: str = ANN,
        *,
        gauges_overdue: Sequence[str] = (),
        copies: Sequence[str] = (),
    ) -> int:
        """Record an entry if the rules allow it; return its number."""
        job = self.job
        may(
            entry,
            job,
            self.fits(job),
            self.now,
            by,
            gauges_overdue=gauges_overdue,
            copies=copies,
        )
        return self.keep(entry, by)

    def said(self, call: Callable[[], object]) -> list[str]:
        """Return what is said when something is refused; nothing may be recorded by it."""
        before = list(self.entries)
        try:
            call()
        except BedplateError as error:
            assert self.entries == before
            return error.as_lines()
        raise AssertionError("nothing was refused")

    def wait(self, **time: int) -> None:
        """Let time pass."""
        self.now += dt.timedelta(**time)

    def fasten(
        self,
        address: str,
        state: e.State,
        reached: str | None = None,
        *,
        count: int | None = None,
        stage: int | None = None,
        trial: bool | None = None,
        by: str = ANN,
    ) -> int:
        """Record fasteners."""
        entry = e.Fasteners(
            set=address, state=state, count=count, stage=stage, value=reached, trial=trial
        )
        return self.do(entry, by)

    def prove(self, proof: str, word: Literal["pass", "fail"] = "pass", by: str = ANN) -> int:
        """Record a proof."""
        return self.do(e.Proof(proof=proof, passed=word == "pass"), by)

    def done(self, step: str, *, at: dt.datetime | None = None) -> int:
        """Record a step as done."""
        done_at = moment_text(at) if at is not None else None
        return self.do(e.Step(step=step, done=True, done_at=done_at))

    def undone(self, step: str, why: str | None = None) -> int:
        """Record a step as undone."""
        return self.do(e.Step(step=step, done=False, note=why))

    def use(self, part: str, count: int | None = None) -> int:
        """Draw parts."""
        return self.do(e.PartUsed(part=part, count=count))

    def read(self, address: str, value: str, *, gauge: str | None = None) -> int:
        """Record a reading on what sits there now."""
        job = self.job
        chosen = job.select(address)
        spare = chosen.mark is not None
        (spot,) = chosen.spots
        on = tuple(job.resting_on(spot.tag, spot.position, spare=spare))
        return self.do(e.Reading(address=address, value=value, gauge=gauge, on=on))

    def read_all(self, tag: str, value: str, *positions: str) -> None:
        """Record the same reading at every station of a feature."""
        chosen = self.job.select(joined(tag, positions))
        for spot in chosen.spots:
            self.read(str(spot), value)

    def change(self, component: str, how: e.How, **more: object) -> int:
        """Record that a part was changed."""
        origin = {"from": more.pop("from_")} if "from_" in more else {}
        told = {"component": component, "how": how, **more, **origin}
        return self.do(e.Changed.model_validate(told))

    def decide(self, component: str, decision: e.Decision, *, extra: bool | None = None) -> int:
        """Record what was decided of a part."""
        entry = e.Disposition(component=component, decision=decision, why="as seen", extra=extra)
        return self.do(entry)

    def find(
        self,
        text: str,
        place: str | None = None,
        severity: e.Severity = "note",
        back: str | None = None,
    ) -> int:
        """Record a finding."""
        return self.do(e.Finding(place=place, severity=severity, back=back, note=text))

    def defer(self, text: str, until: str, holds: str | None = None) -> int:
        """Put something off."""
        return self.do(e.Deferred(until=until, holds=holds, why="later", note=text))

    def settle(self, n: int, how: str | None = None) -> int:
        """Settle what was put off, or answer a finding."""
        return self.do(e.Settled(entry=n, how=how))

    def concede(
        self, what: str, *, gauges_overdue: Sequence[str] = (), copies: Sequence[str] = ()
    ) -> int:
        """Accept something as it is."""
        entry = e.Concession(what=what, accepted_by=OWNER, why="as agreed")
        return self.do(entry, gauges_overdue=gauges_overdue, copies=copies)

    def strike(self, n: int) -> int:
        """Cross out an entry."""
        return self.do(e.Strike(entry=n, why="slip"))

    def sign(
        self,
        moment: str = "handover",
        *,
        gauges_overdue: Sequence[str] = (),
        copies: Sequence[str] = (),
    ) -> int:
        """Seal the job for a moment; the seal's text has no line but the moment."""
        entry = e.Signed(
            sealed=f"bedplate-seal/1\nmoment: {moment}\n", signature="0" * 128, key="0" * 64
        )
        return self.do(entry, gauges_overdue=gauges_overdue, copies=copies)

    def reopen(self) -> int:
        """Reopen the job."""
        return self.do(e.Reopened(why="more to do"))
