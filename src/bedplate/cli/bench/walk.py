"""What the session asks for when the readings are done: steps, sets, proofs, findings, in order.

The order is that of `bedplate.assembly.next_step`. What is not done at the bench (a decision, the
signature) is passed over; what must be settled before anything is built up stops the walk.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from typing import NamedTuple

from bedplate.assembly import reading
from bedplate.assembly.due import due_readings
from bedplate.assembly.moments import open_moment
from bedplate.assembly.next_step import next_actions
from bedplate.assembly.toward import Action, toward_step
from bedplate.cli.bench.building import (
    AnswerTask,
    CautionTask,
    NewPartTask,
    ProofTask,
    StepTask,
    step_heading,
)
from bedplate.cli.bench.fastening import SetTask, TrialTask
from bedplate.cli.bench.moves import LOOSENING, move_in, next_move
from bedplate.cli.bench.readings import ReadingTask
from bedplate.cli.bench.state import Bench
from bedplate.cli.bench.task import Task
from bedplate.cli.store import clock
from bedplate.record.entries import Fasteners, Finding, Proof
from bedplate.record.sets import LOCKED
from bedplate.sheet import model
from bedplate.sheet.layout import Setting, joined

WALKED = frozenset({"step", "fasteners", "part-used", "proof", "finding", "reading"})
"""Kinds of action that are asked for at the bench."""
FIRST = frozenset({"remedy", "out", "out-close", "in-close", "changed", "stranded", "disagree"})
"""Kinds that are settled elsewhere, and before anything is built up."""


class Focus(NamedTuple):
    """What somebody went to.

    Attributes:
        noun: ``step``, ``fasteners`` or ``proof``.
        name: as the sheet spells it.
        position: one of its positions.
        last: number of the last entry when it was gone to.
    """

    noun: str
    name: str
    position: Setting
    last: int

    @property
    def address(self) -> str:
        """Its address."""
        return joined(self.name, self.position)


class Walk:
    """The order of the assembly, from where the job stands.

    Args:
        bench: the session.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.focus: list[Focus] = []
        self.stripping = False
        self.stopped: Action | None = None
        """What must be settled elsewhere before the walk goes on."""

    # ---- what is asked for

    def wanted(self) -> Task | None:
        """Return what is asked for because somebody went there: before any reading."""
        while self.focus:
            task = self._toward(self.focus[0])
            if task is not None and not self._passed(task):
                return task
            self.focus.pop(0)
        self.stripping |= self.bench.run.strip_again
        self.bench.run.strip_again = False
        if self.stripping:
            for _step, _position, action in self._steps("strip"):
                task = self._task(action)
                if task is not None and not self._passed(task):
                    return task
            self.stripping = False
        return None

    def next(self) -> Task | None:
        """Return what is asked for when no reading is; None where nothing is, see `stopped`."""
        self.stopped = None
        actions = next_actions(self.bench.job, self.bench.fits, clock())
        # A part that is always new may still be drawn with the set that takes it.
        later = [a for a in actions if a.kind == "part-used" and not a.text.startswith("draw ")]
        for action in [action for action in actions if action not in later] + later:
            if action.kind in FIRST:
                self.stopped = action
                return None
            task = self._task(action)
            if task is not None and not self._passed(task):
                return task
        return None

    def remaining(self) -> Action | None:
        """Return what is to do next when nothing more is asked for here; None where all is done.

        What is done elsewhere comes before what was only left for another time.
        """
        actions = next_actions(self.bench.job, self.bench.fits, clock())
        elsewhere = (action for action in actions if action.kind not in WALKED)
        first = next(iter(actions), None)
        return first if self.bench.is_kept else next(elsewhere, first)

    def open_strip(self) -> list[str]:
        """Return the steps of the strip that are not recorded as done, and could be."""
        return [joined(step, position) for step, position, _ in self._steps("strip")]

    def trial(self) -> Task | None:
        """Return a set that may be tightened on trial for what can only be read so."""
        by_set: dict[str, list[str]] = {}
        for run, addresses in self._waiting_for_tight().items():
            for address in addresses:
                by_set.setdefault(address, []).append(run)
        for address, runs in by_set.items():
            task = TrialTask(self.bench, address, runs)
            first = self._fasten(task)
            caution = f"caution {task.name}"
            if first is not task:
                first.name = caution  # to leave a trial for later leaves the tightening be
            left = {(CautionTask.__name__, caution), (TrialTask.__name__, task.name)}
            if not left & self.bench.run.passed:
                return first
        return None

    def _waiting_for_tight(self) -> dict[str, list[str]]:
        """Return what waits for sets that are loose: the sets, by feature and position.

        What a proof asks for is read when it is built up, and is not among it.
        """
        assembly = self.bench.assembly()
        moment = open_moment(self.bench.job)
        index = assembly.moment_index(moment) if moment is not None else None
        by_proof = {(proof.fit or "").casefold() for proof in self.bench.job.sheet.proof}
        owed = reading.owed(assembly, index) if index is not None else []
        missing = [a for fit in owed if fit.tag.casefold() not in by_proof for a in fit.missing]
        found: dict[str, list[str]] = {}
        for address in missing:
            for spot in self.bench.job.layout.select(address, "feature").spots:
                loose = [s.address for s in reading.sets_for(assembly, spot) if not s.is_tight]
                if loose and reading.is_ready(assembly, spot):
                    found[joined(spot.tag, spot.position)] = loose
        return found

    # ---- from what is to be done to what is asked

    def _passed(self, task: Task) -> bool:
        return (type(task).__name__, task.name) in self.bench.run.passed

    def _steps(self, phase: str) -> Iterator[tuple[str, Setting, Action]]:
        """Yield the steps of a phase that may be taken in hand, each with what comes next."""
        assembly = self.bench.assembly()
        for step in self.bench.job.sheet.step:
            if (step.phase or "build") != phase:
                continue
            for position in assembly.agreeing(step.id, {}):
                if assembly.made.done(step.id, position) is None:
                    action = toward_step(assembly, step.id, position)
                    if action is not None:
                        yield step.id, position, action

    def _task(self, action: Action) -> Task | None:
        """Return what asks for an action; the heading and caution of its step come first."""
        task = self._plain_task(action)
        step = self._step_of(action) if task is not None else None
        if task is None or step is None:
            return task
        key = f"step {joined(*step)}"
        run = self.bench.run
        caution = self.bench.job.layout.row(step[0], model.Step).caution
        cautioned = not caution or key in run.seen
        if cautioned and run.step == key:
            return task
        above = step_heading(self.bench, *step)
        if caution and not cautioned:
            task = CautionTask(self.bench, key, caution, above)
        else:
            task.above = (*above, *task.above)
        task.shows = key
        return task

    def _step_of(self, action: Action) -> tuple[str, Setting] | None:
        """Return the step that an action is on the way to, None for one that no step asks for."""
        for phase in ("strip", "build"):
            for step, position, found in self._steps(phase):
                if found == action:
                    return step, position
        return None

    def _plain_task(self, action: Action) -> Task | None:
        match action.kind:
            case "step":
                return StepTask(self.bench, action.what)
            case "fasteners":
                return self._fasten(SetTask(self.bench, action.what, move_in(action.type)))
            case "proof":
                return ProofTask(self.bench, action.what)
            case "finding":
                entry = self.bench.job.entries[int(action.what) - 1]
                return AnswerTask(self.bench, entry) if isinstance(entry, Finding) else None
            case "part-used":
                return self._draw(action)
            case "reading":
                return self._read_again(action)
        return None

    def _fasten(self, task: SetTask) -> Task:
        """Return a set to be moved; its own caution comes first."""
        tag = task.address.partition(".")[0]
        caution = self.bench.job.layout.row(tag, model.Fasteners).caution
        how = "loosened" if task.move.state in LOOSENING else "tightened"
        key = f"set {tag} {how}"
        # Locks are turned up on a set that is tight: nothing can spring off by it.
        moves = task.move.state not in ("", LOCKED)
        if caution and moves and key not in self.bench.run.seen:
            above = task.lead(first=True)
            return CautionTask(self.bench, key, caution, above, group=task.group)
        return task

    def _draw(self, action: Action) -> Task:
        """Return the move that takes what is to be drawn: one answer writes both."""
        if action.text.startswith("draw "):
            address = action.text.rpartition(" for ")[2]
            move = next_move(self.bench.assembly(), address, taking=True)
            return self._fasten(SetTask(self.bench, address, move))
        words = shlex.split(action.type)
        count = int(words[words.index("--count") + 1]) if "--count" in words else 1
        return NewPartTask(self.bench, words[2], count, action.text)

    def _read_again(self, action: Action) -> Task | None:
        """Return a reading that a proof asks for, though it is not due or was read before.

        What is due has its turn, be it only once what a proof rests on is built up.
        """
        job = self.bench.job
        due = {*self.bench.course.due, *due_readings(job, self.bench.fits, clock())}
        for spot in job.select(action.what).spots:
            if spot not in due or (spot not in self.bench.course.due and job.standing(spot)):
                return ReadingTask(self.bench, spot, wanted=action.text)
        return None

    # ---- where somebody went

    def go_to(self, noun: str, name: str, position: Setting) -> None:
        """Ask for something next; for the rest of the strip too, where it is a step of it."""
        self.focus.insert(0, Focus(noun, name, position, self.bench.job.last))
        self.bench.run.passed.clear()
        if noun == "step":
            row = self.bench.job.layout.row(name, model.Step)
            self.stripping = (row.phase or "build") == "strip"

    def _toward(self, focus: Focus) -> Task | None:
        """Return what is asked for on the way to what was gone to; None where it is done."""
        assembly = self.bench.assembly()
        if focus.noun == "step":
            if assembly.made.done(focus.name, focus.position) is not None:
                return None
            action = toward_step(assembly, focus.name, focus.position)
            return self._task(action) if action is not None else None
        for entry in self.bench.job.entries[focus.last :]:
            about = entry.set if isinstance(entry, Fasteners) else None
            about = entry.proof if isinstance(entry, Proof) else about
            if about == focus.address:
                return None
        if focus.noun == "proof":
            return ProofTask(self.bench, focus.address)
        return self._fasten(SetTask(self.bench, focus.address, next_move(assembly, focus.address)))
