"""What a session has in hand, and the one way in which it records."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from bedplate.assembly.due import due_readings
from bedplate.assembly.reading import sets_for
from bedplate.assembly.rules import may
from bedplate.assembly.state import Assembly
from bedplate.assess.fits import LEAVES_FITS, Assessment
from bedplate.assess.result import FitResult
from bedplate.cabinet import Settings
from bedplate.cli import context, show
from bedplate.cli.bench import heads
from bedplate.cli.bench.checks import Checks
from bedplate.cli.bench.choice import Choice
from bedplate.cli.bench.course import Course
from bedplate.cli.bench.keyboard import Keyboard, uninterrupted
from bedplate.cli.permitted import WEIGHED
from bedplate.cli.screen import Screen
from bedplate.cli.store import Ledger, Recorded, clock
from bedplate.metrology.axes import Spot
from bedplate.record.entries import NO_LINE, AnyEntry, Reading, Strike
from bedplate.record.job import Job, extended
from bedplate.record.sets import SetState
from bedplate.record.stamping import moment_text, stamped

Entries = Callable[[Job], Sequence[AnyEntry]]
"""Proposes entries against the job as it is."""


class Act(NamedTuple):
    """What one answer has recorded.

    Attributes:
        entries: their numbers.
        words: what was recorded, in a few words.
        spot: the address that was read, if one was.
        again: whether that was a repeat.
        gauge: the gauge that was set, if one was.
    """

    entries: tuple[int, ...]
    words: str
    spot: Spot | None = None
    again: bool = False
    gauge: str | None = None


@dataclass(slots=True)
class Run:
    """What has happened in a session so far.

    Attributes:
        acts: what was recorded, the last one last; what was taken back is not among it.
        entries: every entry recorded, in order.
        seen: cautions that were acknowledged.
        step: the step whose heading was shown last.
        passed: what was left for another time, by kind and name.
        said: what is said once, and was.
        last: where the last reading was taken.
        temp: temperature of the part, as the entries keep it.
        elsewhere: whether the value in hand was typed with its address, not at its prompt.
        strip_again: whether something of the strip was taken back, and is to be asked for again.
    """

    acts: list[Act] = field(default_factory=list)
    entries: list[AnyEntry] = field(default_factory=list)
    seen: set[str] = field(default_factory=set)
    step: str = ""
    passed: set[tuple[str, str]] = field(default_factory=set)
    said: set[str] = field(default_factory=set)
    last: Spot | None = None
    temp: str | None = None
    elsewhere: bool = False
    strip_again: bool = False


class Bench:
    """A session: the job held open, the keyboard, the screen, and where the work has come to.

    Args:
        ledger: the job.
        keyboard: where answers come from.
        settings: the user's.
    """

    def __init__(self, ledger: Ledger, keyboard: Keyboard, settings: Settings) -> None:
        self.ledger = ledger
        self.keyboard = keyboard
        self.settings = settings
        self.run = Run()
        self.spoken = context.spoken(ledger.path)
        self.gauges = Choice(context.cabinet().gauges(), settings.usual_gauge)
        self.checks = Checks(settings.zero_check)
        self._fits: list[FitResult] | None = None
        self._bands: list[FitResult] = []
        self._assembly: tuple[object, Assembly] | None = None
        self._scope: frozenset[Spot] | None = None
        self._once_more = False
        self._screen: Screen | None = None

    # ---- how it stands

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return self.ledger.job

    @property
    def fits(self) -> list[FitResult]:
        """Every fit as left; worked out again only after what can change one."""
        if self._fits is None:
            self._fits = self._bands = Assessment(self.job).all
        return self._fits

    def direct_band(self, spot: Spot) -> FitResult | None:
        """Return a fit that is one feature by itself, with its band; of when all were last judged.

        Only its band is to be read from it: that does not change from reading to reading.
        """
        for result in self._bands or self.fits:
            alone = (result.fit.stack or "").strip().casefold() == spot.tag.casefold()
            if alone and result.band is not None and set(result.position) <= set(spot.position):
                return result
        return None

    def tight_for(self, spot: Spot) -> list[SetState]:
        """Return the sets that must be tight for a reading."""
        return sets_for(Assembly(self.job, (), clock()), spot)

    def assembly(self) -> Assembly:
        """Return the job as the rules of assembly see it: made anew when it has grown."""
        fits, now = self.fits, clock()
        stands = (id(self.job), self.job.last, id(fits), now.replace(second=0, microsecond=0))
        if self._assembly is None or self._assembly[0] != stands:
            self._assembly = stands, Assembly(self.job, fits, now)
        return self._assembly[1]

    @cached_property
    def course(self) -> Course:
        """The readings still to be asked for."""
        return Course(self.job.layout, self._due())

    def keep_to(self, spots: Iterable[Spot]) -> None:
        """Ask for nothing but these addresses: those that are due, or all where none is."""
        wanted, due = frozenset(spots), set(self._due())
        self._scope = wanted
        self._once_more = not wanted & due
        self.course.renew(wanted if self._once_more else wanted & due)

    @property
    def is_kept(self) -> bool:
        """Whether the session was asked for some addresses only."""
        return self._scope is not None

    def _due(self) -> list[Spot]:
        """Return what is due, without what a proof asks for while its sets are tight on trial."""
        due = due_readings(self.job, self.fits, clock())
        proved = {(proof.fit or "").casefold() for proof in self.job.sheet.proof}
        if not proved:
            return due
        assembly = self.assembly()
        kept = {
            address
            for fit in self.fits
            if fit.tag.casefold() not in proved
            for address in fit.missing
        }
        return [
            spot
            for spot in due
            if str(spot) in kept
            or not any(f.trial for s in sets_for(assembly, spot) for f in s.fasteners)
        ]

    def renew(self) -> None:
        """Work out again what is due: after anything but a plain reading."""
        due = frozenset(self._due())
        if self._scope is not None:
            due = self._scope - self.course.seen if self._once_more else self._scope & due
        self.course.renew(due, self.job.layout)

    # ---- the screen

    @property
    def screen(self) -> Screen:
        """The screen, as wide as it was when the last answer came."""
        if self._screen is None:
            self._screen = Screen.made(
                sys.stdout, sys.stderr, self.settings, os.environ, as_json=context.current().json
            )
        return self._screen

    def look_again(self) -> None:
        """Look how wide the screen is when it is next written to: somebody may have drawn it."""
        self._screen = None

    def out(self, lines: Iterable[str]) -> None:
        """Print lines of the answer."""
        screen = self.screen
        for line in _spoken_lines(lines, screen):
            screen.out(line)

    def err(self, lines: Iterable[str]) -> None:
        """Print lines that are not the answer: headings, questions, hints."""
        screen = self.screen
        for line in _spoken_lines(lines, screen):
            screen.err(line)

    def say(self, text: str) -> None:
        """Say something under an answer."""
        screen = self.screen
        self.err(heads.below(text, screen))

    def once(self, key: str) -> bool:
        """Tell whether something is said for the first time in this session."""
        if key in self.run.said:
            return False
        self.run.said.add(key)
        return True

    # ---- recording

    def record(self, propose: Entries, act: Act, *, by: str | None = None) -> Recorded:
        """Append what is proposed, once the rules have let it pass.

        Args:
            propose: called under the lock, against the job as it is then.
            act: what it is in words; the numbers are filled in here.
            by: the hand, where it is another.

        Raises:
            BedplateError: nothing was recorded, or it says that it may have been.
        """
        hand = by or self.ledger.by
        with uninterrupted():
            recorded = self.ledger.record(
                lambda job, _answers: self._permitted(job, propose(job), hand), by=hand
            )
            numbers = tuple(entry.n for entry in recorded.entries)
            self.run.acts.append(act._replace(entries=numbers))
            self.run.entries += recorded.entries
        if self.ledger.grew or any(e.kind not in LEAVES_FITS for e in recorded.entries):
            self._fits = None
        if self.ledger.grew:
            self.ledger.grew = False
            self.renew()
        for warning in recorded.warnings:
            self.screen.warn(warning)
        return recorded

    def _permitted(self, job: Job, entries: Sequence[AnyEntry], by: str) -> Sequence[AnyEntry]:
        now = clock()
        for entry in entries:
            may(entry, job, self.fits if entry.kind in WEIGHED else (), now, by)
            if entry is not entries[-1]:
                at = moment_text(now)
                job = extended(job, [stamped(entry, n=job.last + 1, at=at, by=by, prev=NO_LINE)])
        return entries

    def verdicts(self, entries: Sequence[AnyEntry]) -> None:
        """Say of each fit that new entries touch, and that every reading is there for, how it is.

        What a fit still waits for is not said: the next prompt asks for it.
        """
        spots = dict.fromkeys(self._spots(entries))
        if not spots:
            return
        measured = Assessment(self.job).measured_by(spots)
        if any(result.same_as or self._is_other_way(result) for result in measured) or (
            any(fit.same_as for fit in self.job.sheet.fit) and not all(map(_only_adds, entries))
        ):
            self.renew()
        screen = self.screen
        room = screen
        if not (screen.plain or heads.is_narrow(screen)):
            room = screen._replace(columns=screen.columns - heads.INDENT + 2)
        self.out(heads.under(show.fit_lines(measured, room), screen))

    def _spots(self, entries: Sequence[AnyEntry]) -> Iterable[Spot]:
        for entry in entries:
            told = self.job.entries[entry.entry - 1] if isinstance(entry, Strike) else entry
            if not isinstance(told, Reading):
                continue
            for taken in reversed(self.job.all_readings):
                if taken.entry.n == told.n:
                    yield taken.spot
                    break

    def _is_other_way(self, result: FitResult) -> bool:
        """Tell whether a fit is one of two ways to one quantity: measured, it settles both."""
        tag = result.tag.casefold()
        return any((fit.same_as or "").casefold() == tag for fit in self.job.sheet.fit)


def _only_adds(entry: AnyEntry) -> bool:
    """Tell whether an entry is one figure more: what is due but itself, stays due."""
    return isinstance(entry, Reading) and entry.value is not None and ".." not in entry.value


def _spoken_lines(lines: Iterable[str], screen: Screen) -> Iterable[str]:
    """Return lines as they are; sentences for a voice are folded between words."""
    if not (screen.plain and screen.terminal):
        return lines
    spoken = (" ".join(line.split()) for line in lines)
    return [part for line in spoken for part in heads.running(line, screen)]
