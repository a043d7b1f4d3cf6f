"""The rules held against an independent model, over random sequences of entries.

By default 400 sequences of 50, half a minute; the long run (``-m slow``) is 100,000, two hours.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from bench_model import SHEET, Ask, Bench
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from shop import START
from tiny import sheet_of

from bedplate.assembly.blockers import blockers
from bedplate.assembly.next_step import next_actions
from bedplate.assembly.rules import may
from bedplate.assess.result import FitResult
from bedplate.errors import BedplateError
from bedplate.metrology.axes import Spot
from bedplate.record import entries as e
from bedplate.record.job import Job, extended, fold
from bedplate.record.proofs import Made
from bedplate.record.sets import Sets

OPENED = e.stamped(
    e.Opened(job="0" * 32, sheet=sheet_of(SHEET).as_json()),
    n=1,
    at=e.moment_text(START),
    by="Ann Fitter",
    prev=e.NO_LINE,
)
AT = e.moment_text(START)
WHERE = ("N", "N", "M.1", "M.2", "M")
PLACES = ("body", "cap.1", "cap.2")
PROOFS = ("SPIN", "FLOAT", "TURN.1", "TURN.2")


def fits_of(job: Job) -> list[FitResult]:
    """Return the fits of a job, worked out by hand: EF is the mean of what was read of E."""
    standing = [taken.entry for taken in job.standing(Spot("E"))]
    values = [Fraction((entry.value or "").removesuffix(" mm")) for entry in standing]
    verdict = "unmeasured"
    if values:
        verdict = "in" if 1 <= sum(values, Fraction(0)) / len(values) <= 3 else "out"
    return [
        FitResult(
            fit=job.sheet.fit[0],
            position=(),
            kind="direct",
            stage="as left",
            verdict=verdict,
            unit="mm",
            side="high" if verdict == "out" else None,
            passes=verdict == "in",
            readings=tuple(entry.n for entry in standing),
            missing=() if values else ("E",),
        )
    ]


class AtTheBench(RuleBasedStateMachine):
    """Random work on a small unit; the model says what may be done before it is asked."""

    def __init__(self) -> None:
        super().__init__()
        self.entries: list[e.AnyEntry] = [OPENED]
        self.job: Job = fold(self.entries)
        self.model = Bench()
        self.knows = True
        """Whether the model still knows everything: until something was struck that counts."""
        self.on: dict[int, tuple[e.On, ...]] = {}

    # ---- asking

    def fits(self) -> list[FitResult]:
        """Return the one fit of the sheet, worked out by hand: the mean of what stands."""
        return fits_of(self.job)

    def ask(self, entry: e.AnyEntry, *, weighed: bool = False) -> bool:
        """Ask whether an entry may be made; make it if so."""
        before = Sets.of(self.job), self.job.last, dict(self.job.parts.in_place)
        try:
            may(entry, self.job, self.fits() if weighed else (), START, "Ann Fitter")
        except BedplateError:
            after = Sets.of(self.job), self.job.last, dict(self.job.parts.in_place)
            assert after == before, "a refused entry changed something"
            return False
        n = len(self.entries) + 1
        written = e.stamped(entry, n=n, at=AT, by="Ann Fitter", prev=e.NO_LINE)
        self.entries.append(written)
        self.job = extended(self.job, [written])
        return True

    def propose(
        self,
        entry: e.AnyEntry,
        allowed: bool,
        then: Callable[[int], object],
        weighed: bool = False,
    ) -> None:
        """Propose an entry; if the model knows, it must agree."""
        made = self.ask(entry, weighed=weighed)
        if self.knows:
            assert made == allowed, (entry, allowed, [repr(x) for x in self.entries])
        if made:
            then(len(self.entries))

    # ---- what may be done

    @rule(
        where=st.sampled_from(WHERE),
        state=st.sampled_from(("tight", "tight", "again", "locked")),
        count=st.sampled_from((None, None, None, 1, 2, 3)),
        stage=st.sampled_from((None, 1, 1, 2)),
        trial=st.sampled_from((False, False, False, True)),
        reached=st.sampled_from((None, 17, 19, 30, 60, 60, 70)),
    )
    def fasten(self, **told: Any) -> None:
        self._fasten(Ask(**told))

    @rule(
        where=st.sampled_from(WHERE),
        state=st.sampled_from(("backed-off", "again", "locked", "fitted", "removed")),
        count=st.sampled_from((None, 1, 2)),
    )
    def loosen_or_lock(self, where: str, state: str, count: int | None) -> None:
        self._fasten(Ask(where, state, count))

    def _fasten(self, ask: Ask) -> None:
        entry = e.Fasteners.model_validate(
            {
                "set": ask.where,
                "state": ask.state,
                "count": ask.count,
                "stage": ask.stage,
                "value": f"{ask.reached} N*m" if ask.reached is not None else None,
                "trial": ask.trial or None,
            }
        )
        held = Sets.of(self.job).stock
        self.propose(entry, self.model.may_fasten(ask), lambda n: self.model.fasten(ask, n))
        self._never_below(held, entry)

    def _never_below(self, held: dict[str, Any], entry: e.Fasteners) -> None:
        """Hold, even where the model does not know: nothing is taken that was not there."""
        if self.entries[-1].kind != "fasteners" or self.job.struck:
            return
        for name, stock in Sets.of(self.job).stock.items():
            assert stock.left >= 0, (name, stock, held, entry)

    @rule(reached=st.sampled_from((None, 17, 19, 19)), proved=st.booleans())
    def tighten_again_and_lock(self, reached: int | None, proved: bool) -> None:
        """Try what is most easily got wrong: the lock, right behind a move."""
        self._fasten(Ask("N", "again", reached=reached))
        if proved:
            self.prove("SPIN", True)
        self._fasten(Ask("N", "locked"))

    @rule(thing=st.sampled_from(("gasket", "washer", "bolt")), count=st.sampled_from((1, 2, 4)))
    def draw(self, thing: str, count: int) -> None:
        self.propose(
            e.PartUsed(part=thing.upper(), count=count),
            not self.model.signed,
            lambda _n: self.model.draw(thing, count),
        )

    @rule(proof=st.sampled_from(PROOFS), passed=st.sampled_from((True, True, True, False)))
    def prove(self, proof: str, passed: bool) -> None:
        def proved(n: int) -> None:
            self.model.proofs[proof].append((n, passed))

        allowed = self.model.may_prove(proof, passed)
        self.propose(e.Proof(proof=proof, passed=passed), allowed, proved, weighed=True)

    @rule(value=st.sampled_from((2, 2, 5)))
    def read_float(self, value: int) -> None:
        def read(n: int) -> None:
            self.model.readings.append((n, self.model.body_life, Fraction(value)))

        on = tuple(self.job.resting_on("E", ()))
        entry = e.Reading(address="E", value=f"{value}.000 mm", on=on)
        self.propose(entry, self.model.may_read("E"), read)

    @rule(place=st.sampled_from(("1", "2")))
    def read_cap(self, place: str) -> None:
        mark = self.model.parts[f"cap.{place}"]
        if not self.knows or not mark:
            return

        def read(n: int) -> None:
            self.model.widths[n] = (mark, self.model.lives[mark])

        on = tuple(self.job.resting_on("W", (place,)))
        self.propose(
            e.Reading(address=f"W.{place}", value="9.000 mm", on=on),
            self.model.may_read("W"),
            read,
        )

    @rule(
        place=st.sampled_from(PLACES),
        how=st.sampled_from(("reworked", "new", "moved")),
        origin=st.sampled_from(("cap.1", "cap.2")),
    )
    def change(self, place: str, how: str, origin: str) -> None:
        if how == "moved" and place == "body":
            return
        told = {"component": place, "how": how, "from": origin if how == "moved" else None}
        allowed = self.model.may_change(place, how, origin if how == "moved" else None)
        self.propose(
            e.Changed.model_validate(told),
            allowed,
            lambda n: self.model.change(place, how, origin, n),
        )

    @rule(place=st.sampled_from(PLACES), decision=st.sampled_from(("reuse", "reuse", "rework")))
    def decide(self, place: str, decision: e.Decision) -> None:
        def decided(n: int) -> None:
            self.model.decided[place] = (decision, n)

        allowed = not self.model.signed and self.model.parts.get(place) != ""
        self.propose(e.Disposition(component=place, decision=decision, why="x"), allowed, decided)

    @rule()
    def close(self) -> None:
        def closed(_n: int) -> None:
            self.model.done = True

        allowed = self.model.may_close()
        self.propose(e.Step(step="close", done=True), allowed, closed, weighed=True)

    @rule()
    def sign(self) -> None:
        def sealed(_n: int) -> None:
            self.model.signed = True

        blocked = self.model.blocked()
        entry = e.Signed(sealed="moment: handover\n", signature="0" * 128, key="0" * 64)
        self.propose(entry, not blocked, sealed, weighed=True)
        if not self.knows and self.entries[-1].kind == "signed":
            assert not self._in_the_way()

    @precondition(lambda self: self.model.signed)
    @rule()
    def reopen(self) -> None:
        self.propose(e.Reopened(why="more to do"), True, lambda _n: None)
        self.model.signed = False

    @rule(pick=st.integers(0, 10_000))
    def strike(self, pick: int) -> None:
        """Strike something; readings of the float are the only ones nothing else stands on."""
        if len(self.entries) < 4 or pick % 8:
            return
        n = 2 + pick % (len(self.entries) - 1)
        kind = self.entries[n - 1].kind
        if self.ask(e.Strike(entry=n, why="slip")):
            known = {m for m, _, _ in self.model.readings} | set(self.model.widths)
            self._unread(n)
            self.knows = self.knows and n in known and kind == "reading"

    @rule(picks=st.lists(st.sampled_from((0, 0, 0, 1, 2)), min_size=1, max_size=8))
    def do_what_is_next(self, picks: list[int]) -> None:
        """Do some of the next things; every one of them must be allowed."""
        for pick in picks:
            actions = next_actions(self.job, self.fits(), START) if self.knows else []
            if not actions:
                return
            before = len(self.entries)
            word, *rest = shlex.split(actions[min(pick, len(actions) - 1)].type)[1:]
            doing = getattr(self, f"_type_{word}", None)
            if doing is not None:
                doing(*rest)
                assert len(self.entries) > before, actions

    def _type_use(self, part: str, *count: str) -> None:
        self.draw(part, int(count[1]) if count else 1)

    def _type_fasten(self, where: str, state: str, *options: str) -> None:
        told = dict(zip(options[::2], options[1::2], strict=True))
        stage = int(told["--stage"]) if "--stage" in told else None
        good = {"N": 17, "M": 30 if stage == 1 else 60}[where[0]]
        reached = good if "--reached" in told else None
        count = int(told["--count"]) if "--count" in told else None
        self._fasten(Ask(where, state, count=count, stage=stage, reached=reached))

    def _type_prove(self, proof: str, _word: str) -> None:
        self.prove(proof, True)

    def _type_measure(self, _address: str, _value: str, *instead: str) -> None:
        if instead:
            for taken in list(self.job.standing(Spot("E"))):
                assert self.ask(e.Strike(entry=taken.entry.n, why="slip"))
                self._unread(taken.entry.n)
        self.read_float(2)

    def _unread(self, n: int) -> None:
        self.model.readings = [reading for reading in self.model.readings if reading[0] != n]
        self.model.widths.pop(n, None)

    def _type_decide(self, place: str, *_why: str) -> None:
        self.decide(place, "reuse")

    def _type_change(self, place: str, how: str, *mark: str) -> None:
        if mark:
            spare = self.model.loose[0]
            self.change(place, "moved", spare)
        else:
            self.change(place, how, "cap.1")

    def _type_done(self, _step: str) -> None:
        self.close()

    def _type_sign(self, _moment: str) -> None:
        self.sign()

    # ---- what always holds

    @invariant()
    def a_reading_never_changes_its_part(self) -> None:
        if not self.knows:
            return
        by_part: dict[tuple[str, int], list[int]] = {}
        for n, part in self.model.widths.items():
            by_part.setdefault(part, []).append(n)
        for place in ("1", "2"):
            mark = self.model.parts[f"cap.{place}"]
            standing = [taken.entry.n for taken in self.job.standing(Spot("W", (place,)))]
            expected = by_part.get((mark, self.model.lives[mark]), []) if mark else []
            assert standing == expected

    @invariant()
    def every_thing_is_somewhere(self) -> None:
        if not self.knows:
            return
        stock = Sets.of(self.job).stock
        for thing, drawn in self.model.drawn.items():
            if thing in stock:
                found = stock[thing]
                assert (found.drawn, found.spent, found.left) == (
                    drawn,
                    self.model.spent[thing],
                    self.model.unused[thing],
                )

    def _in_the_way(self) -> set[str]:
        return {b.what for b in blockers(self.job, self.fits(), "handover", START)}

    def teardown(self) -> None:
        if self.knows:
            assert self._in_the_way() == self.model.blocked()
        half = len(self.entries) // 2 + 1
        at_once = fold(self.entries)
        in_two = extended(fold(self.entries[:half]), self.entries[half:])
        assert Sets.of(at_once) == Sets.of(in_two) == Sets.of(self.job)
        assert Made.of(at_once) == Made.of(in_two)
        for job in (at_once, in_two):
            assert blockers(job, fits_of(job), "handover", START) == blockers(
                self.job, self.fits(), "handover", START
            )


class LongAtTheBench(AtTheBench):
    """The same, for the long run."""


QUICK = settings(
    max_examples=400,
    stateful_step_count=50,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
TestAtTheBench = AtTheBench.TestCase
TestAtTheBench.settings = QUICK

TestLongAtTheBench = pytest.mark.slow(LongAtTheBench.TestCase)
TestLongAtTheBench.settings = settings(QUICK, max_examples=100_000)
