"""Asking for what is not a reading: cautions, steps, proofs, answers to findings, new parts.

Each is answered by a word that is typed out, so that leaning on Enter passes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from bedplate.assembly.renewing import new_parts
from bedplate.assembly.standing import BEGUN, proof_state
from bedplate.assembly.words import title_of
from bedplate.cli.bench import heads
from bedplate.cli.bench.moves import EVERYWHERE
from bedplate.cli.bench.state import Act, Bench
from bedplate.cli.bench.task import Task
from bedplate.cli.proofs_told import passed_already
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Finding, PartUsed, Proof, Settled, Step
from bedplate.record.job import Job
from bedplate.sheet import model
from bedplate.sheet.layout import Setting, joined
from bedplate.text import folded, quoted, visible

NO_ANSWER = ("ok", *(f"{word}{all_}" for word in ("pass", "fail") for all_ in ("", " all")))
"""What is said to a caution or a proof, and answers no finding."""


def entered(bench: Bench, entries: Sequence[AnyEntry], said: str) -> None:
    """Acknowledge the last of some entries."""
    screen = bench.screen
    n = entries[-1].n
    if screen.plain:
        bench.out([f"Recorded, entry {n}: {said}."])
    else:
        bench.out(heads.set_in(f"entry {n:<3} {said}", screen))


def _lines(bench: Bench, first: str, *more: str) -> list[str]:
    """Return a heading and what stands under it."""
    screen = bench.screen
    if screen.plain:
        return [line for line in (first, *more) if line]
    lines = heads.running(first, screen, "", "  ")
    blanks = "  " if heads.is_narrow(screen) else " " * 6
    return lines + [p for line in more if line for p in heads.running(line, screen, blanks)]


class Typed(Task):
    """Something answered by one of a few words, typed out.

    Args:
        bench: the session.
        name: see `Task`.
        wanted: the words.
        asks: the prompt.
    """

    indent = 2

    def __init__(self, bench: Bench, name: str, wanted: Sequence[str], asks: str) -> None:
        super().__init__(bench, name, words=frozenset(wanted))
        self.wanted = wanted
        self.asks = asks

    def prompt(self) -> str:
        """Return the prompt."""
        return heads.work_prompt(self.asks, self.bench.screen, self.indent)

    def take(self, text: str) -> Task | None:
        """Do what the word says."""
        word, _, rest = text.partition(" ")
        if word.casefold() not in self.wanted:
            raise NotUnderstoodError(
                f"Nothing recorded. {quoted(text)} is not what is asked for here.",
                f"Type  {'  or  '.join(self.wanted)}",
            )
        self.said(word.casefold(), rest.strip())
        return None

    def said(self, word: str, rest: str) -> None:
        """Do what a word says; behind it may stand more."""
        raise NotImplementedError


class CautionTask(Typed):
    """A caution, before hands go where it can hurt."""

    def __init__(
        self, bench: Bench, key: str, caution: str, above: Sequence[str], group: str = ""
    ) -> None:
        super().__init__(bench, f"caution {key}", ("ok",), "seen the caution? type  ok")
        self.key = key
        self.caution = caution
        self.above = tuple(above)
        self.group = group or self.name

    def lead(self, *, first: bool) -> list[str]:
        """Return the caution."""
        del first
        screen = self.bench.screen
        text = visible(self.caution)
        if screen.plain:
            return [f"Caution: {text}"]
        blanks = "  " if heads.is_narrow(screen) else " " * 11
        return heads.running(f"CAUTION  {text}", screen, "  ", blanks)

    def said(self, word: str, rest: str) -> None:
        """Note that it was seen."""
        del word, rest
        self.bench.run.seen.add(self.key)


def step_heading(bench: Bench, step: str, position: Setting) -> list[str]:
    """Return the line a step is announced with."""
    row = bench.job.layout.row(step, model.Step)
    end = "" if visible(row.text).endswith(".") or not bench.screen.plain else "."
    return _lines(bench, f"Step {joined(step, position)}: {visible(row.text)}{end}")


class StepTask(Typed):
    """A step, done."""

    def __init__(self, bench: Bench, address: str) -> None:
        super().__init__(bench, f"step {address}", ("done",), "done? type  done")
        self.address = address

    @property
    def place(self) -> str:
        """The step."""
        return self.address

    def said(self, word: str, rest: str) -> None:
        """Record the step as done."""
        del word
        entry = Step(step=self.address, done=True, note=rest or None)
        recorded = self.bench.record(lambda _job: [entry], Act((), f"step {self.address}"))
        self.bench.renew()
        entered(self.bench, recorded.entries, f"step {self.address}")


class ProofTask(Typed):
    """A proof: passed or failed."""

    indent = 6

    def __init__(self, bench: Bench, address: str) -> None:
        super().__init__(
            bench, f"proof {address} {bench.job.last}", ("pass", "fail"), "type  pass  or  fail"
        )
        self.address = address
        tag, _, position = address.partition(".")
        setting = tuple(position.split("/")) if position else ()
        self.state = proof_state(bench.assembly(), tag, setting)
        row = self.state.row
        if row.hand == "customer":
            self.asks = "the customer's word: type  pass by NAME  or  fail by NAME"
        elif row.hand == "another" and self.state.state == BEGUN:
            self.asks = "a second hand: type  pass by NAME  or  fail by NAME"

    @property
    def place(self) -> str:
        """The proof."""
        return self.address

    def lead(self, *, first: bool) -> list[str]:
        """Return what it holds, and what is to be so."""
        del first
        row = self.state.row
        holds = self._holds()
        title = title_of(self.bench.job.layout, row.tag)
        if self.bench.screen.plain:
            before = f" before {holds}" if holds else ""
            return [f"Hold{before}: {self.address}. {title[:1].upper()}{title[1:]}."]
        first_line = f"HOLD  before {holds}: {self.address}" if holds else f"PROOF  {self.address}"
        passed = len(self.state.passes)
        by = ", ".join(visible(entry.by) for entry in self.state.passes)
        once = f"passed {passed} of {row.times or 2} times so far, by {by}" if passed else ""
        return _lines(self.bench, first_line, visible(row.title), once)

    def _holds(self) -> str:
        """Return what waits for it: the locking of a set, a step; empty for nothing."""
        assembly = self.bench.assembly()
        tag = self.state.row.tag.casefold()
        wanted = assembly.names_of(self.state.row.tag, self.state.position)
        for state in assembly.sets.states.values():
            proves = any(name.casefold() == tag for name in state.row.prove or ())
            if proves and state in assembly.agreeing_sets([state.row.tag], wanted):
                return f"{state.address} is locked"
        for step in self.bench.job.sheet.step:
            if any(name.casefold() == tag for name in step.hold or ()):
                places = assembly.agreeing(step.id, wanted)
                return f"step {joined(step.id, places[0] if len(places) == 1 else ())} is done"
        return ""

    def said(self, word: str, rest: str) -> None:
        """Record the proof; behind the word, ``all`` positions, and ``by NAME`` of another."""
        first, _, more = rest.partition(" ")
        everywhere = first.casefold() == EVERYWHERE
        name, note = _hand_in(more.strip() if everywhere else rest)
        address = self.state.row.tag if everywhere else self.address
        passed = word == "pass"
        left: dict[str, str] = {}

        def proved(job: Job) -> list[AnyEntry]:
            nonlocal left
            named = job.layout.select(address, "proof")
            places = [joined(named.named.name, position) for position in named.positions]
            hand = name or self.bench.ledger.by
            left = passed_already(job, places, hand) if passed else {}
            return [
                Proof(proof=place, passed=passed, note=note)
                for place in places
                if place not in left
            ]

        recorded = self.bench.record(proved, Act((), f"{address} {word}"), by=name)
        self.bench.renew()
        by = f", by {visible(name)}" if name else ""
        for entry in recorded.entries:
            if isinstance(entry, Proof):
                told = "passed" if passed else "FAILED"
                entered(self.bench, [entry], f"{visible(entry.proof)} {told}{by}")
        for line in left.values():
            self.bench.say(line)


def _hand_in(rest: str) -> tuple[str | None, str | None]:
    """Return the hand behind ``by``, and the note, of what stands behind pass or fail."""
    word, _, name = rest.partition(" ")
    if word.casefold() == "by":
        if not name.strip():
            raise NotUnderstoodError("Not recorded. Whose hand? Type  pass by NAME")
        return name.strip(), None
    return None, rest or None


class AnswerTask(Task):
    """A finding that has come back, to be answered in words."""

    def __init__(self, bench: Bench, finding: Finding) -> None:
        super().__init__(bench, f"answer {finding.n}")
        self.finding = finding

    @property
    def place(self) -> str | None:
        """Where it was found."""
        return self.finding.place

    def lead(self, *, first: bool) -> list[str]:
        """Return what was found."""
        del first
        finding = self.finding
        at = f" at {visible(finding.place)}" if finding.place else ""
        end = "." if self.bench.screen.plain else ""
        text = (
            f"Found{at}, entry {finding.n}: {quoted(finding.note or finding.severity, 400)}{end}"
        )
        return _lines(self.bench, text)

    def prompt(self) -> str:
        """Return the prompt."""
        return heads.work_prompt("answer in words", self.bench.screen)

    def take(self, text: str) -> Task | None:
        """Record the answer; what is said to a proof or a caution is none."""
        if sum(char.isalpha() for char in text) < 2 or folded(text) in NO_ANSWER:
            raise NotUnderstoodError(
                f"Not recorded. {quoted(text)} is no answer: say what was done about it."
            )
        entry = Settled(entry=self.finding.n, how=text)
        recorded = self.bench.record(lambda _job: [entry], Act((), f"answer to {entry.entry}"))
        self.bench.renew()
        entered(self.bench, recorded.entries, f"answers entry {entry.entry}")
        return None


class NewPartTask(Typed):
    """A part that is always new, to be drawn."""

    def __init__(self, bench: Bench, part: str, count: int, text: str) -> None:
        asks = "drawn? type  new  (and its number, if it has one)"
        super().__init__(bench, f"new {part}", ("new",), asks)
        self.part = part
        self.count = count
        self.text = text

    def lead(self, *, first: bool) -> list[str]:
        """Return what is to be drawn."""
        del first
        end = "." if self.bench.screen.plain else ""
        return _lines(self.bench, f"{self.text[:1].upper()}{self.text[1:]}{end}")

    def said(self, word: str, rest: str) -> None:
        """Record that it was drawn."""
        del word
        many = self.count if self.count > 1 else None
        entry = PartUsed(part=self.part, count=many, number=rest or None)
        recorded = self.bench.record(
            lambda job: [entry, *new_parts(job, entry)], Act((), f"new {self.part}")
        )
        self.bench.renew()
        entered(self.bench, recorded.entries, f"new {visible(self.part)}")
