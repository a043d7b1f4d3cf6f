"""Asking for fasteners: what was done to a set, and the torque or angle it reached."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bedplate.assembly.stages import read_reached, stage_limits, stage_of
from bedplate.assembly.words import called
from bedplate.cli.bench import heads, moves
from bedplate.cli.bench.moves import EVERYWHERE, STATES, Move
from bedplate.cli.bench.state import Act, Bench
from bedplate.cli.bench.task import Task
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Fasteners
from bedplate.record.job import Job
from bedplate.record.sets import LOCKED, TIGHT, SetState
from bedplate.text import listed, quoted, visible

TRIAL = "trial"
"""What is typed for tight on old parts, to take readings."""


class SetTask(Task):
    """A set of fasteners, to be brought into its next state.

    Args:
        bench: the session.
        address: the set at its position.
        move: what is to be done.
    """

    def __init__(self, bench: Bench, address: str, move: Move) -> None:
        self.address = address
        self.move = move
        words = frozenset((*STATES, TRIAL))
        super().__init__(bench, f"set {address} {move}", f"set {address} {move.state}", words)

    @property
    def place(self) -> str:
        """The set."""
        return self.address

    @property
    def _state(self) -> SetState:
        return moves.set_at(self.bench.assembly(), self.address)

    def lead(self, *, first: bool) -> list[str]:
        """Return what the set is and takes."""
        if not first:
            return []
        state, screen = self._state, self.bench.screen
        row = state.row
        name = called(self.bench.job.layout, row.tag, state.position)
        facts = [str(state.number)] if row.number else []
        facts += moves.facts(row, self.move, draw=screen.can_draw)
        lines = [f"{name}: {', '.join(facts)}" if facts else name]
        if self.move.state in ("", TIGHT, "again"):
            lines += [f"in this order: {', '.join(row.order)}"] if row.order else []
            lines += [f"threads: {visible(row.threads)}"] if row.threads else []
        if screen.plain:
            return [f"{line[:1].upper()}{line[1:]}." for line in lines]
        first_line, *more = lines
        return [
            *heads.running(first_line, screen, "", "  "),
            *(part for line in more for part in heads.running(line, screen, "  ")),
        ]

    # ---- the prompt

    def prompt(self) -> str:
        """Return the prompt: what was reached, or the word for what was done."""
        return heads.work_prompt(self._asks(), self.bench.screen)

    def _asks(self) -> str:
        state = self.move.state
        if self.move.measured:
            return self._reached()
        if not state:
            return "what was done to it?"
        if state == LOCKED and self._state.row.lock:
            return f"lock it ({visible(self._state.row.lock)}); then type  {LOCKED}"
        does = {"removed": "off", "backed-off": "backed off", "again": "tight again"}
        return f"{does.get(state, state)}? type  {state}"

    def _reached(self) -> str:
        state = self._state
        limits = stage_of(state.row, self.move.stage)
        kind = stage_limits(limits).kind if limits is not None else "torque"
        again = "tightened again: " if self.move.state == "again" else ""
        if self.move.stage is None or limits is None:
            return f"{again}{kind} reached"
        shown = moves.stage_shown(limits, draw=self.bench.screen.can_draw)
        turn = f"stage {self.move.stage} of {state.stages}"
        if heads.is_narrow(self.bench.screen):
            return f"{again}{turn}: {shown}"
        return f"{again}{turn}, {shown}: {kind} reached"

    # ---- the answer

    def take(self, text: str) -> Task | None:
        """Record what was done: a word of the states, or a value where one is asked for."""
        word, _, rest = text.partition(" ")
        word, rest = word.casefold(), rest.strip()
        if word == TRIAL:
            self._record(Move(TIGHT), rest, trial=True)
        elif word in STATES:
            self._say_state(word, rest)
        elif self.move.measured:
            self._record(self.move, text)
        else:
            raise NotUnderstoodError(
                f"Not recorded. {quoted(text)} does not say what was done.",
                f"Type  {self._wanted}",
            )
        return None

    @property
    def _wanted(self) -> str:
        return self.move.state or f"{', '.join(STATES)} or {TRIAL}"

    def _say_state(self, word: str, rest: str) -> None:
        """Record a state by its word; behind it may stand how many, all, or what was reached."""
        expected = word == self.move.state
        if expected and self.move.measured and not rest:
            raise NotUnderstoodError(
                f"Not recorded. {word}, and to what? The value that was reached is asked for."
            )
        move = Move(word, self.move.stage if expected else None)
        if rest.casefold() == EVERYWHERE:
            self._record(move, "", everywhere=True)
        elif rest.isascii() and rest.isdigit() and word not in (TIGHT, "again"):
            self._record(replace(move, count=int(rest[:9])), "")
        else:
            self._record(move, rest)

    def _record(
        self, move: Move, reached: str, *, trial: bool = False, everywhere: bool = False
    ) -> None:
        address = self.address.partition(".")[0] if everywhere else self.address
        value = self._value(move, reached)

        def proposed(job: Job) -> list[AnyEntry]:
            entry = Fasteners.model_validate({
                "set": address, "state": move.state, "stage": move.stage, "count": move.count,
                "value": value, "trial": True if trial else None,
            })  # fmt: skip
            return [*moves.drawn_for(job, entry), entry]

        recorded = self.bench.record(proposed, Act((), f"{address} {move.state}"))
        self.bench.renew()
        self._acknowledge(recorded.entries)

    def _value(self, move: Move, reached: str) -> str | None:
        """Return what was reached as the record keeps it, with its unit."""
        if not reached:
            return None
        try:
            typed = read_reached(reached, stage_of(self._state.row, move.stage))
        except NotUnderstoodError as fault:
            raise NotUnderstoodError(f"Not recorded. {fault.message}", *fault.hint) from None
        if typed.two_ended or typed.sign:
            raise NotUnderstoodError(f"Not recorded. {quoted(reached)} is not what was reached.")
        return typed.text

    def _acknowledge(self, entries: tuple[AnyEntry, ...]) -> None:
        screen = self.bench.screen
        entry = next(e for e in entries if isinstance(e, Fasteners))
        said = f"{visible(entry.set)} {moves.standing(self._state, entry)}"
        verdict = moves.verdict(self._state, entry)
        used = moves.used_in_words(entries)
        if screen.plain:
            facts = [said, *([verdict[1]] if verdict else []), *([used] if used else [])]
            told = " ".join(f"{fact[:1].upper()}{fact[1:]}." for fact in facts)
            self.bench.out([f"Recorded, entry {entry.n}. {told}"])
            return
        line = f"entry {entry.n:<3} {said}"
        line += f"     {verdict[0]}  {verdict[1]}" if verdict else ""
        line += f". {used}." if used else ""
        self.bench.out(heads.set_in(line, screen))


class TrialTask(SetTask):
    """A set to be tightened on old parts, so that something can be read.

    Args:
        bench: the session.
        address: the set at its position.
        runs: what is read with it tight, by feature and position.
    """

    def __init__(self, bench: Bench, address: str, runs: Sequence[str]) -> None:
        super().__init__(bench, address, Move(TIGHT))
        self.name = self.group = f"trial {address}"
        self.runs = runs

    def lead(self, *, first: bool) -> list[str]:
        """Return what waits for it."""
        if not first:
            return []
        tag, _, _ = self.address.partition(".")
        name = called(self.bench.job.layout, tag, self._state.position)
        are = "is" if len(self.runs) == 1 else "are"
        text = f"{listed(list(self.runs))} {are} read with {name} tight."
        if self.bench.screen.plain:
            return [text]
        return heads.running(text.removesuffix("."), self.bench.screen, "", "  ")

    def _asks(self) -> str:
        return f"tight on trial? type  {self._wanted}"

    @property
    def _wanted(self) -> str:
        return f"{TRIAL}  or  s"
