"""What to do next, in the order of the work: from the strip to the signature."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby

from bedplate.assembly import held, reading
from bedplate.assembly.blockers import weighed
from bedplate.assembly.mending import pending, places_of
from bedplate.assembly.moments import open_moment
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.renewing import is_measured, lacking_new
from bedplate.assembly.standing import proof_sets, proof_state
from bedplate.assembly.state import Assembly
from bedplate.assembly.toward import (
    Action,
    answer,
    from_blocker,
    toward_proof,
    toward_set,
    toward_step,
    unclamp,
)
from bedplate.assembly.words import title_of
from bedplate.assess.result import FitResult
from bedplate.record.job import Job
from bedplate.record.sets import REMOVED
from bedplate.sheet.layout import Place, Setting, joined
from bedplate.sheet.model import Step
from bedplate.text import counted, listed, shell


def next_actions(
    job: Job,
    fits: Sequence[FitResult],
    now: datetime,
    *,
    gauges_overdue: Sequence[str] = (),
    copies: Sequence[str] = (),
) -> list[Action]:
    """Return what to do next, first things first; nothing where all is signed for.

    Strip, findings, readings, remedies, decisions, changes, building up, sets, proofs and locks,
    what was put off, the signature. An action that must wait for another is not among them.

    Args:
        job: the job as it stands.
        fits: every fit at every position, as left.
        now: the time, with its offset.
        gauges_overdue: names of gauges that were used past their due date.
        copies: names of copies of the job that hold lines which it lacks.
    """
    moment = open_moment(job)
    if moment is None:
        return []
    plan = _Plan(Assembly(job, fits, now), moment, gauges_overdue, copies)
    return list({(action.kind, action.type): action for action in plan.actions()}.values())


class _Plan:
    """What is still to be done for one moment."""

    def __init__(
        self, assembly: Assembly, moment: str, gauges: Sequence[str], copies: Sequence[str]
    ) -> None:
        self.assembly = assembly
        self.moment = moment
        self.index = assembly.moment_index(moment) or 0
        self.blockers = [
            b for b in weighed(assembly, self.index, gauges, copies) if b.conceded is None
        ]
        self.due = reading.due_readings(assembly, self.index)

    def of(self, *kinds: str) -> list[Blocker]:
        """Return what is in the way, of these kinds."""
        return [blocker for blocker in self.blockers if blocker.kind in kinds]

    def actions(self) -> Iterator[Action]:
        """Yield what to do, in order; some of it more than once."""
        yield from self.steps("strip")
        yield from self.findings()
        yield from map(from_blocker, self.of("stranded"))
        yield from self.readings()
        yield from self.remedies()
        yield from self.decisions()
        yield from self.changes()
        yield from self.steps("build")
        yield from self.sets()
        yield from self.proofs()
        yield from map(from_blocker, self.of("deferred", "gauge", "copy", "unlawful"))
        yield from self.waits()
        if not self.blockers:
            moment = self.moment
            yield Action("sign", moment, f"sign for {moment}", f"bedplate sign {shell(moment)}")

    # ---- steps

    def open_steps(self) -> list[tuple[Step, Setting]]:
        """Return the steps due and not done, with their positions, in order."""
        names = {blocker.what for blocker in self.of("step")}
        return [
            (step, position)
            for step in self.assembly.job.sheet.step
            for position in self.assembly.agreeing(step.id, {})
            if joined(step.id, position) in names
        ]

    def steps(self, phase: str) -> Iterator[Action]:
        """Yield the next thing towards every step that may be taken in hand."""
        for step, position in self.open_steps():
            waiting = self.assembly.made.done(step.id, position) is not None
            if (step.phase or "build") == phase and not waiting:
                action = toward_step(self.assembly, step.id, position)
                if action is not None:
                    yield self.with_what_to_read_first(action)

    def with_what_to_read_first(self, action: Action) -> Action:
        """Return the taking off of a set with what is due to be read while it is tight.

        Once it is off, that cannot be read as it was found.
        """
        if action.kind != "fasteners" or not action.type.endswith(f" {REMOVED}"):
            return action
        tags = {
            spot.tag: None
            for spot in self.due
            if any(s.address == action.what for s in reading.sets_for(self.assembly, spot))
        }
        if not tags:
            return action
        verb = "is" if len(tags) == 1 else "are"
        text = f"{action.text}; {listed(list(tags))} {verb} due to be read with it tight"
        return action._replace(text=text)

    def waits(self) -> Iterator[Action]:
        """Yield the steps whose wait is not over."""
        for blocker in self.of("step"):
            if blocker.type == "bedplate status":
                yield Action("wait", blocker.what, blocker.text, blocker.type)

    # ---- what was found and decided

    def findings(self) -> Iterator[Action]:
        """Yield the findings that come back nowhere, or where the work has gone past."""
        due = {blocker.what for blocker in self.of("finding")}
        ahead = [(step.id, position) for step, position in self.open_steps()]
        sets = self.assembly.sets.states.values()
        ahead += [(state.row.tag, state.position) for state in sets if not state.is_final]
        later = {f.n for name, p in ahead if (f := held.unanswered(self.assembly, name, p))}
        for finding in self.assembly.waiting.findings:
            if str(finding.n) in due and finding.n not in later:
                yield answer(finding)

    def decisions(self) -> Iterator[Action]:
        """Yield the parts to be decided on; those still to be read wait for their readings."""
        unread = {
            str(place)
            for spot in self.due
            for place in self.assembly.layout.rests_on(spot.tag, spot.position)
        }
        for blocker in self.of("disposition"):
            place = self.assembly.place_named(blocker.what)
            decides = blocker.type.startswith("bedplate decide ")
            if place is not None and decides and blocker.what not in unread:
                yield from_blocker(blocker)

    # ---- readings and what comes of them

    def readings(self) -> Iterator[Action]:
        """Yield the readings due, feature by feature and position by position."""
        for address, spots in groupby(self.due, key=lambda s: joined(s.tag, s.position)):
            run = list(spots)
            title = title_of(self.assembly.layout, run[0].tag)
            name = address if title == run[0].tag else f"{address} ({title})"
            if len(run) == 1:
                yield Action(
                    "reading", str(run[0]), f"measure {name}", f"bedplate measure {run[0]} VALUE"
                )
            else:
                text = f"measure {name}: {counted(len(run), 'reading')}"
                yield Action("reading", address, text, f"bedplate bench {address}")

    def remedies(self) -> Iterator[Action]:
        """Yield the fits that do not pass, unless a change decided on may bring them in."""
        coming = {place for place in self.assembly.job.parts.in_place if self.pends(place)}
        for fit in self.assembly.fits:
            if coming.intersection(places_of(self.assembly, fit)):
                continue
            for blocker in self.of("out", "out-close", "in-close"):
                if blocker.what == fit.address:
                    yield Action("remedy", blocker.what, blocker.text, blocker.type)
        for blocker in self.of("unmeasured"):
            # Left out on purpose: nothing is missing that could still be read.
            if blocker.type.startswith("bedplate concede "):
                yield from_blocker(blocker)
        yield from map(from_blocker, self.of("disagree"))

    def pends(self, place: Place) -> bool:
        """Tell whether a change of a place was decided on and has not happened."""
        return pending(self.assembly, place) is not None

    def changes(self) -> Iterator[Action]:
        """Yield the changes that are due and the new parts to be drawn."""
        for blocker in self.of("disposition"):
            place = self.assembly.place_named(blocker.what)
            if blocker.type.startswith("bedplate decide "):
                continue
            if blocker.type.startswith("bedplate use "):
                yield from self._new_part(blocker)
                continue
            if place is None:
                continue
            if held.holder(self.assembly, place.component, place.position) is not None:
                continue
            change = Action("changed", blocker.what, blocker.text, blocker.type)
            yield unclamp(self.assembly, place) or change

    def _new_part(self, blocker: Blocker) -> Iterator[Action]:
        """Yield the drawing of a new part; what is measured is changed by it, and so unclamped."""
        if is_measured(self.assembly.layout, blocker.what):
            for place in lacking_new(self.assembly.job, blocker.what):
                if held.holder(self.assembly, place.component, place.position) is not None:
                    return
                first = unclamp(self.assembly, place)
                if first is not None:
                    yield first
                    return
        yield Action("part-used", blocker.what, blocker.text, blocker.type)

    # ---- sets and proofs that no step speaks of

    def in_steps(self) -> set[str]:
        """Return the tags of the sets that steps still to be done leave in a state."""
        return {
            self.assembly.layout.named(tag).name
            for step, _position in self.open_steps()
            for tag in step.leaves or ()
        }

    def sets(self) -> Iterator[Action]:
        """Yield the next thing towards every set that no step still to be done leaves."""
        in_the_way = {blocker.what for blocker in self.of("fasteners")}
        in_steps = self.in_steps()
        for state in self.assembly.sets.states.values():
            if state.address in in_the_way and state.row.tag not in in_steps:
                action = toward_set(self.assembly, state, state.row.final_state)
                if action is not None:
                    yield action

    def proofs(self) -> Iterator[Action]:
        """Yield the next thing towards every proof whose sets are as they must be left."""
        in_the_way = {blocker.what for blocker in self.of("proof")}
        unfinished = {blocker.what for blocker in self.of("fasteners")}
        in_steps = self.in_steps()
        for name in self.assembly.layout.names("proof"):
            for position in self.assembly.agreeing(name, {}):
                if joined(name, position) not in in_the_way:
                    continue
                sets = proof_sets(self.assembly, name, position)
                if any(s.address in unfinished or s.row.tag in in_steps for s in sets):
                    continue
                action = toward_proof(self.assembly, proof_state(self.assembly, name, position))
                if action is not None:
                    yield action
