"""Random work on a small unit, entry by entry, held against the model of `bench_model`.

What may be typed is one table (`COMMANDS`), drawn from by a plain seeded driver, which is quick,
and by hypothesis, which shrinks what it finds.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from hashlib import sha256
from itertools import count
from random import Random
from typing import Any

from bench_model import SHEET, Ask, Bench
from shop import START
from tiny import sheet_of

from bedplate.assembly.blockers import blockers
from bedplate.assembly.next_step import next_actions
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.rules import may
from bedplate.assess.result import FitResult
from bedplate.errors import BedplateError, NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record import entries as e
from bedplate.record.chain import check
from bedplate.record.job import Job, extended, fold
from bedplate.record.proofs import Made
from bedplate.record.sets import Sets
from bedplate.record.spelling import spell
from bedplate.record.stamping import moment_text, stamped
from bedplate.sheet.layout import Layout

READ: dict[int, Layout] = {}
"""The one sheet, read once for all sequences."""
BY = "Ann Fitter"
AT = moment_text(START)
OPENED = stamped(
    e.Opened(job="0" * 32, sheet=sheet_of(SHEET).as_json()), n=1, at=AT, by=BY, prev=e.NO_LINE
)
WHERE = ("N", "N", "M.1", "M.2", "M")
PLACES = ("body", "cap.1", "cap.2")
PROOFS = ("SPIN", "FLOAT", "TURN.1", "TURN.2")
WEIGHED = ("fasteners", "proof", "step", "signed", "concession")
"""Kinds of entry whose rules ask how the fits stand."""
LOOKS = ("status", "log", "remedy", "check")
"""Commands that only look, and so are never refused."""
REFUSALS_DEEP = 12
"""How many cures may lead on, one to the next, before one is accepted."""


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


@dataclass(frozen=True)
class Command:
    """One kind of command: what does it, and what each of its words is drawn from."""

    does: Callable[..., None]
    words: dict[str, Sequence[Any]]


COMMANDS: dict[str, Command] = {}
"""Every command, by name."""


def drawn(**words: Sequence[Any]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Enter a method into the table of commands."""

    def entered(does: Callable[..., None]) -> Callable[..., None]:
        COMMANDS[does.__name__] = Command(does, words)
        return does

    return entered


class Work:
    """Work as it goes on; the model says what may be done before the rules are asked."""

    def __init__(self) -> None:
        self.entries: list[e.AnyEntry] = [OPENED]
        self.job: Job = fold(self.entries, READ)
        self._fits: tuple[int, list[FitResult]] = (0, [])
        self.model = Bench()
        self.knows = True
        """Whether the model still knows everything: until something was struck that counts."""
        self.refused = 0

    def fits(self) -> list[FitResult]:
        """Return the one fit of the sheet, worked out by hand: the mean of what stands."""
        if self._fits[0] != self.job.last:
            self._fits = (self.job.last, fits_of(self.job))
        return self._fits[1]

    def may(self, entry: e.AnyEntry) -> None:
        """Ask the rules; they raise what they refuse."""
        may(entry, self.job, self.fits() if entry.kind in WEIGHED else (), START, BY)

    # ---- asking

    def ask(self, entry: e.AnyEntry) -> bool:
        """Ask whether an entry may be made; make it if so, else look into the cure named."""
        try:
            self.put(entry)
        except BedplateError as refusal:
            self.refused += 1
            self.leads_on(refusal, (entry.kind,))
            return False
        return True

    def put(self, entry: e.AnyEntry) -> None:
        """Record an entry, if the rules allow it."""
        self.may(entry)
        n = len(self.entries) + 1
        written = stamped(entry, n=n, at=AT, by=BY, prev=e.NO_LINE)
        self.entries.append(written)
        self.job = extended(self.job, [written])

    def propose(self, entry: e.AnyEntry, allowed: bool, then: Callable[[int], object]) -> None:
        """Propose an entry; if the model knows, it must agree."""
        made = self.ask(entry)
        if self.knows:
            assert made == allowed, (entry, allowed, [repr(x) for x in self.entries])
        if made:
            then(len(self.entries))

    # ---- cures

    def leads_on(self, refusal: BedplateError, path: tuple[str, ...]) -> None:
        """Hold a refusal to the commands it names: each is accepted, or names one that is."""
        lines = [line.partition("bedplate ")[2] for line in refusal.hint if "bedplate " in line]
        # What was not understood may name the word that was meant instead: ``Nearest: cap.2``.
        named = isinstance(refusal, NotUnderstoodError) and refusal.hint
        assert lines or named, ("no cure", refusal.message, refusal.hint, path)
        for line in lines:
            assert line not in path, ("a ring of cures", refusal.message, line, path)
            assert len(path) < REFUSALS_DEEP, ("cures without end", path)
            for entry in self.entries_of(line):
                try:
                    self.may(entry)
                except BedplateError as next_refusal:
                    self.leads_on(next_refusal, (*path, line))
                    break

    def entries_of(self, line: str) -> list[e.AnyEntry]:
        """Return what a command line would record, its blanks filled in as a hand would."""
        verb, *words = words_of(line)
        if verb in LOOKS:
            return []
        return list(getattr(self, f"_typed_{verb}")(*words))

    def _typed_fasten(self, where: str, state: str, *options: str) -> list[e.AnyEntry]:
        return [self._fasteners(self._asked(where, state, options))]

    def _asked(self, where: str, state: str, options: Sequence[str]) -> Ask:
        trial = "--trial" in options
        words = [word for word in options if word != "--trial"]
        told = dict(zip(words[::2], words[1::2], strict=True))
        stage = int(told["--stage"]) if "--stage" in told else None
        good = {"N": 17, "M": 30 if stage == 1 else 60}[where[0]]
        number = int(told["--count"]) if "--count" in told else None
        reached = good if "--reached" in told else None
        return Ask(where, state, number, stage, trial, reached)

    def _typed_use(self, part: str, *number: str) -> list[e.AnyEntry]:
        return [e.PartUsed(part=part, count=int(number[1]) if number else None)]

    def _typed_prove(self, proof: str, _word: str) -> list[e.AnyEntry]:
        return [e.Proof(proof=proof, passed=True)]

    def _typed_measure(self, address: str, _value: str, *instead: str) -> list[e.AnyEntry]:
        tag, _, position = address.partition(".")
        at = (position,) if position else ()
        struck = [taken.entry.n for taken in self.job.standing(Spot(tag, at))] if instead else []
        on = tuple(self.job.resting_on(tag, at))
        reading = e.Reading(address=address, value="2.000 mm", on=on)
        return [*(e.Strike(entry=n, why="slip") for n in struck), reading]

    def _typed_change(self, place: str, how: str, *options: str) -> list[e.AnyEntry]:
        told = {name[2:]: value for name, value in zip(options[::2], options[1::2], strict=True)}
        if told.get("from") == "PLACE":
            told["from"] = self._origin(place)
        return [e.Changed.model_validate({"component": place, "how": how, **told})]

    def _origin(self, place: str) -> str:
        """Return where a part for a place could come from: a spare, or the other place."""
        spares = [part.mark for part in self.job.parts.spares(place.partition(".")[0])]
        others = [
            str(p) for p, part in self.job.parts.in_place.items() if part and str(p) != place
        ]
        return [*spares, *(o for o in others if o.startswith("cap.") and o != place)][0]

    def _typed_decide(self, place: str, decision: str, *_why: str) -> list[e.AnyEntry]:
        told = {"component": place, "decision": decision, "why": "x"}
        return [e.Disposition.model_validate(told)]

    def _typed_concede(self, what: str, *_why: str) -> list[e.AnyEntry]:
        return [e.Concession(what=what, accepted_by="A. Owner", why="x")]

    def _typed_done(self, step: str, *undone: str) -> list[e.AnyEntry]:
        return [e.Step(step=step, done=not undone, note="x" if undone else None)]

    def _typed_strike(self, n: str, *_why: str) -> list[e.AnyEntry]:
        return [e.Strike(entry=int(n), why="x")]

    def _typed_sign(self, *_moment: str) -> list[e.AnyEntry]:
        return [_seal()]

    def _typed_reopen(self, *_why: str) -> list[e.AnyEntry]:
        return [e.Reopened(why="x")]

    # ---- what may be done

    @drawn(
        where=WHERE,
        state=("tight", "tight", "again", "locked"),
        number=(None, None, None, 1, 2, 3),
        stage=(None, 1, 1, 2),
        trial=(False, False, False, True),
        reached=(None, 17, 19, 30, 60, 60, 70),
    )
    def fasten(self, where: str, state: str, number: int | None, **told: Any) -> None:
        """Tighten or lock."""
        self._fasten(Ask(where, state, number, **told))

    @drawn(
        where=WHERE,
        state=("backed-off", "again", "locked", "fitted", "removed"),
        number=(None, 1, 2),
    )
    def loosen_or_lock(self, where: str, state: str, number: int | None) -> None:
        """Take apart, mostly."""
        self._fasten(Ask(where, state, number))

    def _fasteners(self, ask: Ask) -> e.Fasteners:
        told = {
            "set": ask.where,
            "state": ask.state,
            "count": ask.count,
            "stage": ask.stage,
            "value": f"{ask.reached} N*m" if ask.reached is not None else None,
            "trial": ask.trial or None,
        }
        return e.Fasteners.model_validate(told)

    def _fasten(self, ask: Ask) -> None:
        entry = self._fasteners(ask)
        before = len(self.entries)
        self.propose(entry, self.model.may_fasten(ask), lambda n: self.model.fasten(ask, n))
        if len(self.entries) > before:
            self._took_what_was_there(entry)
            self._locked_on_a_proof(entry)

    def _took_what_was_there(self, entry: e.Fasteners) -> None:
        """Hold, also where the model does not know: nothing is taken that was not there."""
        if not self.job.struck:
            for name, stock in Sets.of(self.job).stock.items():
                assert stock.left >= 0, (name, stock, entry)

    def _locked_on_a_proof(self, entry: e.Fasteners) -> None:
        """Hold, by what is written alone: the spin was proved after all that could upset it."""
        if entry.set != "N" or entry.state != "locked":
            return
        if any(self.entries[n - 1].kind == "fasteners" for n in self.job.struck):
            return  # of moves that others stood on, what is written does not tell which count
        live = [x for x in self.entries if self.job.is_live(x.n)]
        moves = [
            x.n
            for x in live
            if (isinstance(x, e.Fasteners) and x.set == "N" and x.state != "locked")
            or (isinstance(x, e.Changed) and x.component == "body")
        ]
        spins = [x for x in live if isinstance(x, e.Proof) and x.proof == "SPIN"]
        assert spins[-1].passed
        assert spins[-1].n > max(moves, default=0)

    @drawn(reached=(None, 17, 19, 19), proved=(True, False))
    def tighten_again_and_lock(self, reached: int | None, proved: bool) -> None:
        """Try what is most easily got wrong: the lock, right behind a move."""
        self._fasten(Ask("N", "again", reached=reached))
        if proved:
            self.prove("SPIN", True)
        self._fasten(Ask("N", "locked"))

    @drawn(thing=("gasket", "washer", "bolt"), number=(1, 2, 4))
    def draw(self, thing: str, number: int) -> None:
        """Draw one-use things."""
        self.propose(
            e.PartUsed(part=thing.upper(), count=number),
            not self.model.signed,
            lambda _n: self.model.draw(thing, number),
        )

    @drawn(proof=PROOFS, passed=(True, True, True, False))
    def prove(self, proof: str, passed: bool) -> None:
        """Prove."""

        def proved(n: int) -> None:
            self.model.proofs[proof].append((n, passed))

        allowed = self.model.may_prove(proof, passed)
        self.propose(e.Proof(proof=proof, passed=passed), allowed, proved)

    @drawn(value=(2, 2, 5))
    def read_float(self, value: int) -> None:
        """Read the float."""

        def read(n: int) -> None:
            self.model.readings.append((n, self.model.body_life, Fraction(value)))

        on = tuple(self.job.resting_on("E", ()))
        entry = e.Reading(address="E", value=f"{value}.000 mm", on=on)
        self.propose(entry, self.model.may_read("E"), read)

    @drawn(place=("1", "2"))
    def read_cap(self, place: str) -> None:
        """Read the width of a cap, wherever it sits."""
        mark = self.model.parts[f"cap.{place}"]
        if not self.knows or not mark:
            return

        def read(n: int) -> None:
            self.model.widths[n] = (mark, self.model.lives[mark])

        on = tuple(self.job.resting_on("W", (place,)))
        entry = e.Reading(address=f"W.{place}", value="9.000 mm", on=on)
        self.propose(entry, self.model.may_read("W"), read)

    @drawn(place=PLACES, how=("reworked", "new", "moved"), origin=("cap.1", "cap.2"))
    def change(self, place: str, how: str, origin: str) -> None:
        """Rework, renew or move a part."""
        if how == "moved" and place == "body":
            return
        told = {"component": place, "how": how, "from": origin if how == "moved" else None}
        allowed = self.model.may_change(place, how, origin if how == "moved" else None)
        self.propose(
            e.Changed.model_validate(told),
            allowed,
            lambda n: self.model.change(place, how, origin, n),
        )

    @drawn(place=PLACES, decision=("reuse", "reuse", "rework"))
    def decide(self, place: str, decision: e.Decision) -> None:
        """Decide on a part."""

        def decided(n: int) -> None:
            self.model.decided[place] = (decision, n)

        allowed = not self.model.signed and self.model.parts.get(place) != ""
        self.propose(e.Disposition(component=place, decision=decision, why="x"), allowed, decided)

    @drawn()
    def close(self) -> None:
        """Do the step."""

        def closed(_n: int) -> None:
            self.model.done = True

        self.propose(e.Step(step="close", done=True), self.model.may_close(), closed)

    @drawn()
    def sign(self) -> None:
        """Sign, if nothing is in the way."""

        def sealed(_n: int) -> None:
            self.model.signed = True

        before = len(self.entries)
        self.propose(_seal(), not self.model.blocked(), sealed)
        if len(self.entries) > before:
            assert not self.in_the_way()

    @drawn()
    def reopen(self) -> None:
        """Go on after a signature."""
        if self.model.signed:
            self.propose(e.Reopened(why="more to do"), True, lambda _n: None)
            self.model.signed = False

    @drawn(pick=range(10_000))
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

    @drawn(picks=range(5**5))
    def do_what_is_next(self, picks: int) -> None:
        """Do some of the next things; every one of them must be allowed."""
        for turn in count():
            actions = next_actions(self.job, self.fits(), START) if self.knows else []
            if not actions or (turn and not picks):
                return
            picks, pick = divmod(picks, 5)
            before = len(self.entries)
            line = actions[min(max(0, pick - 2), len(actions) - 1)].type
            verb, *words = words_of(line.removeprefix("bedplate "))
            doing = getattr(self, f"_do_{verb}", None)
            if doing is not None:
                doing(*words)
                assert len(self.entries) > before, actions

    def _do_use(self, part: str, *number: str) -> None:
        self.draw(part, int(number[1]) if number else 1)

    def _do_fasten(self, where: str, state: str, *options: str) -> None:
        self._fasten(self._asked(where, state, options))

    def _do_prove(self, proof: str, _word: str) -> None:
        self.prove(proof, True)

    def _do_measure(self, _address: str, _value: str, *instead: str) -> None:
        if instead:
            for taken in list(self.job.standing(Spot("E"))):
                assert self.ask(e.Strike(entry=taken.entry.n, why="slip"))
                self._unread(taken.entry.n)
        self.read_float(2)

    def _unread(self, n: int) -> None:
        self.model.readings = [reading for reading in self.model.readings if reading[0] != n]
        self.model.widths.pop(n, None)

    def _do_decide(self, place: str, decision: e.Decision, *_why: str) -> None:
        self.decide(place, decision)

    def _do_change(self, place: str, how: str, *mark: str) -> None:
        if mark:
            self.change(place, "moved", self.model.loose[0])
        else:
            self.change(place, how, "cap.1")

    def _do_done(self, _step: str) -> None:
        self.close()

    def _do_sign(self, _moment: str) -> None:
        self.sign()

    # ---- what always holds

    def step(self, before: int) -> None:
        """Hold what the commands behind entry ``before`` can have upset."""
        made = {entry.kind for entry in self.entries[before:]}
        if self.knows and made & {"reading", "changed", "strike"}:
            self._readings_stay_with_their_parts()
        if self.knows and made & {"fasteners", "part-used"}:
            self._every_thing_is_somewhere()

    def _readings_stay_with_their_parts(self) -> None:
        by_part: dict[tuple[str, int], list[int]] = {}
        for n, part in self.model.widths.items():
            by_part.setdefault(part, []).append(n)
        for place in ("1", "2"):
            mark = self.model.parts[f"cap.{place}"]
            standing = [taken.entry.n for taken in self.job.standing(Spot("W", (place,)))]
            expected = by_part.get((mark, self.model.lives[mark]), []) if mark else []
            assert standing == expected

    def _every_thing_is_somewhere(self) -> None:
        stock = Sets.of(self.job).stock
        for thing, number in self.model.drawn.items():
            if thing in stock:
                found = stock[thing]
                assert (found.drawn, found.spent, found.left) == (
                    number,
                    self.model.spent[thing],
                    self.model.unused[thing],
                )

    def _can_be_mended(self, in_the_way: Sequence[Blocker]) -> None:
        """Hold that the command shown with everything in the way is accepted as it is."""
        for blocker in in_the_way:
            for entry in self.entries_of(blocker.type.removeprefix("bedplate "))[:1]:
                self.may(entry)

    def in_the_way(self, job: Job | None = None) -> list[Blocker]:
        """Return what is in the way of the signature; of the job as it stands."""
        job = job or self.job
        return blockers(job, fits_of(job), "handover", START)

    def end(self) -> None:
        """Hold what the whole sequence must have left: one job, however it is read."""
        in_the_way = self.in_the_way()
        self._can_be_mended(in_the_way)
        if self.knows:
            assert {blocker.what for blocker in in_the_way} == self.model.blocked()
        half = len(self.entries) // 2 + 1
        in_two = extended(fold(self.entries[:half], READ), self.entries[half:])
        read = fold(as_read(self.entries), READ)
        # The job grown entry by entry is the third: whatever was refused has left nothing in it.
        assert stands(in_two) == stands(read) == stands(self.job)
        assert self.in_the_way(read) == in_the_way


def stands(job: Job) -> tuple[Any, ...]:
    """Return how a job stands, to be compared with another reading of the same entries."""
    made = Made.of(job)
    return (
        Sets.of(job),
        {key: [proof.n for proof in proofs] for key, proofs in made.proofs.items()},
        {key: step.n for key, step in made.steps.items()},
        {str(place): part and part.mark for place, part in job.parts.in_place.items()},
        [taken.entry.n for taken in job.standing(Spot("E"))],
    )


@cache
def words_of(line: str) -> tuple[str, ...]:
    """Return the words of a command line as a shell takes them."""
    return tuple(shlex.split(line))


def _seal() -> e.Signed:
    return e.Signed(sealed="moment: handover\n", signature="0" * 128, key="0" * 64)


def as_read(entries: Sequence[e.AnyEntry]) -> list[e.AnyEntry]:
    """Return entries as they come back from the bytes of a file."""
    link, lines = e.NO_LINE, []
    for entry in entries:
        written = stamped(entry, n=entry.n, at=entry.at, by=entry.by, prev=link)
        lines.append(spell(written))
        link = sha256(lines[-1]).hexdigest()
    report = check(b"".join(lines), "bench")
    assert report.whole
    assert report.unknown is None
    return list(report.entries)


Drawn = list[tuple[str, dict[str, Any]]]
"""Commands by name, with the words of each."""
DILIGENCE = (0.0, 0.05, 0.2, 0.6)
"""How often the next thing is done: from a careless hand to one that comes to the signature."""


def sequence(seed: int, steps: int) -> Drawn:
    """Return so many commands, drawn from the table by a seed."""
    random = Random(seed)
    names = [name for name in COMMANDS if name != "do_what_is_next"]
    diligence = random.choice(DILIGENCE)
    found: Drawn = []
    for _ in range(steps):
        if random.random() < diligence:
            found.append(("do_what_is_next", {"picks": random.randrange(5)}))
        else:
            name = random.choice(names)
            words = COMMANDS[name].words
            found.append((name, {word: random.choice(of) for word, of in words.items()}))
    return found


def work_through(work: Work, commands: Drawn) -> None:
    """Do commands one after another, and hold to what must be so."""
    for name, words in commands:
        before = len(work.entries)
        COMMANDS[name].does(work, **words)
        work.step(before)
    work.end()


def shortened(commands: Drawn, fails: Callable[[Drawn], bool]) -> Drawn:
    """Return as few of the commands as still fail, each left out in turn."""
    at = len(commands)
    while at:
        at -= 1
        fewer = commands[:at] + commands[at + 1 :]
        if fails(fewer):
            commands = fewer
    return commands
