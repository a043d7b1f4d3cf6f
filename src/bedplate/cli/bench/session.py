"""One session: what is asked next, and what becomes of each answer."""

from __future__ import annotations

from bedplate.assembly.moments import open_moment
from bedplate.assess.limits import feature_unit
from bedplate.assess.taking import Request
from bedplate.cli.bench import heads
from bedplate.cli.bench.answers import Answer, refuse_unknown, understood, values_in
from bedplate.cli.bench.checks import is_set_for, standard_of
from bedplate.cli.bench.keys import press
from bedplate.cli.bench.questions import put_request
from bedplate.cli.bench.readings import ReadingTask
from bedplate.cli.bench.state import Bench
from bedplate.cli.bench.task import Question, Task
from bedplate.cli.bench.walk import Walk
from bedplate.cli.bench.zero import ZeroTask
from bedplate.cli.show import fit_lines
from bedplate.cli.store import clock
from bedplate.errors import BedplateError, NotUnderstoodError, RefusedError
from bedplate.metrology.axes import Spot
from bedplate.sheet.layout import Named, joined
from bedplate.text import counted, listed, visible

LEFT, ENDED = "q", "end"
"""How a session can end before all is done."""


class Session:
    """Asks, answers, and asks again until nothing is left or somebody stops.

    Args:
        bench: what it has in hand.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.walk = Walk(bench)
        self.asked: Question | None = None
        self.typed = ""
        """The answer that is being dealt with, as typed."""
        self._shown = ""
        self._group = ""
        self._told_all_in = False

    def run(self) -> None:
        """Go on until nothing is left to ask for, or the answers end.

        Raises:
            BedplateError: without a person to ask, whatever stops an answer.
            KeyboardInterrupt: Ctrl-C.
        """
        while (task := self.task()) is not None:
            self.show(task)
            line = self.bench.keyboard.read(task.prompt())
            if line is None or self.answered(task, line) == LEFT:
                self.stopped()
                return
        self.ended()

    # ---- what is asked

    def task(self) -> Task | None:
        """Return what is asked for now, None where nothing is left."""
        if self.asked is not None:
            return self.asked
        wanted = self.walk.wanted()
        if wanted is not None:
            return self._with_zero(wanted)
        spot = self.bench.course.next()
        if spot is not None:
            return self._with_zero(ReadingTask(self.bench, spot))
        if self.bench.is_kept:
            return None
        trial = self.walk.trial()
        if trial is not None:
            return trial
        self._all_in()
        task = self.walk.next()
        return self._with_zero(task) if task is not None else None

    def _with_zero(self, task: Task) -> Task:
        """Return the zero check that comes before a reading, or what was to be asked."""
        if not isinstance(task, ReadingTask) or task.gauge is None:
            return task
        if not self.bench.keyboard.person:
            return task
        bench, gauge = self.bench, task.gauge.rpartition("/")[2]
        standard = standard_of(bench.job, gauge, bench.gauges.cabinet)
        if standard is None:
            return task
        left = f"{gauge} for {task.at.tag}" if standard.differences else gauge
        stands = is_set_for(bench.job, standard, task.at) or not bench.checks.due(left, clock())
        if stands and not bench.checks.due(gauge, clock()):
            return task
        return ZeroTask(bench, gauge, standard, task.at, left)

    def show(self, task: Task) -> None:
        """Show what belongs above a prompt, once for each thing that is asked for."""
        if task.name == self._shown:
            return
        lines = [*task.above, *task.lead(first=task.group != self._group)]
        if isinstance(task, Question) and self.bench.settings.bell:
            self.bench.keyboard.ring()
        self.bench.err(lines)
        if task.shows is not None:
            self.bench.run.seen.add(task.shows)
        self._shown = task.name
        if not isinstance(task, Question):
            self._group = task.group

    def _all_in(self) -> None:
        """Say once that the readings are done, and how the fits stand."""
        if self._told_all_in:
            return
        self._told_all_in = True
        bench = self.bench
        assembly = bench.assembly()
        moment = open_moment(bench.job)
        index = assembly.moment_index(moment) if moment is not None else None
        due = [f for f in bench.fits if index is not None and assembly.due(f.fit) <= index]
        passing = sum(fit.passes for fit in due)
        left = bench.course.due
        said = "All readings are in." if not left else (
            f"{counted(len(left), 'reading')} left for later: {listed([str(s) for s in left], 4)}."
        )  # fmt: skip
        if due:
            said += f"  {passing} of {counted(len(due), 'clearance')} in band"
            out = sum(fit.measured and not fit.passes for fit in due)
            waiting = sum(not fit.measured for fit in due)
            said += f", {out} not" if out else ""
            said += f", {waiting} waiting." if waiting else "."
        bench.err(heads.running(said, bench.screen, "", "  "))

    # ---- what is answered

    def answered(self, task: Task, line: str) -> str | None:
        """Do what an answer says; return `LEFT` where it is to stop.

        Raises:
            BedplateError: there is nobody who could answer again.
        """
        self.typed = line
        word = line.partition(" ")[0].casefold()
        answer = understood(line, self.bench.job.layout)
        if answer.kind == "nothing":
            return None
        if answer.key == "q" and word not in task.words:
            return LEFT
        try:
            self.asked = self._done(task, answer, word)
        except (NotUnderstoodError, RefusedError) as error:
            self.bench.keyboard.forget()
            self._complain(error)
        return None

    def _done(self, task: Task, answer: Answer, word: str) -> Question | None:
        found: Task | None
        if word in task.words:
            found = task.take(answer.text)
        elif answer.kind == "key":
            found = press(self.bench, task, answer)
            if found is None and answer.key in "dgtn?" and isinstance(task, Question):
                self._shown = ""
                return task
        elif answer.kind == "address":
            found = self._go(answer)
        elif answer.kind == "value" or not isinstance(task, ReadingTask | Question):
            found = task.take(answer.text)
        else:
            raise refuse_unknown(answer.text, self.bench.job.layout)
        return found if isinstance(found, Question) else None

    def _complain(self, error: BedplateError) -> None:
        """Say why nothing was recorded; the next prompt is the remedy.

        Raises:
            BedplateError: the same, where nobody sits there.
        """
        bench = self.bench
        if not bench.keyboard.person:
            where = f"That was line {bench.keyboard.line} of what was piped in."
            raise type(error)(error.message, *_plain_hints(error), where) from error
        if isinstance(self.asked, Question):
            self._shown = ""
        lines = [*error.message.split("\n"), *_hints(error)]
        for text in lines:
            bench.say(text)

    # ---- going somewhere

    def _go(self, answer: Answer) -> Task | None:
        """Go to an address, or record there what stands behind it."""
        layout = self.bench.job.layout
        named = layout.named(answer.address.partition("@")[0].partition(".")[0])
        if named.noun == "feature":
            return self._to_feature(answer)
        if answer.rest and named.noun not in ("fasteners", "proof"):
            raise NotUnderstoodError(
                f"Not recorded. {named.name} is no place that a value can be read at."
            )
        if named.noun in ("step", "fasteners", "proof"):
            self._to_work(named, answer)
            if answer.rest:
                task = self.walk.wanted()
                word = answer.rest.partition(" ")[0].casefold()
                if task is not None and word in task.words:
                    return task.take(answer.rest)
            return None
        self._to_readings(named, answer.address)
        return None

    def _to_feature(self, answer: Answer) -> Task | None:
        selection = self.bench.job.select(answer.address)
        spots = selection.spots
        if not answer.rest:
            due = set(self.bench.course.due)
            self.bench.course.go_to(next((s for s in spots if s in due), spots[0]))
            self._shown = self._group = ""
            return None
        unit = feature_unit(self.bench.job, spots[0].tag)
        request = Request(
            address=answer.address, values=tuple(values_in(answer.rest, unit)),
            gauge=self.bench.gauges.of(self.bench.job, spots[0]), temp=self.bench.run.temp,
        )  # fmt: skip
        return put_request(self.bench, request, spots[0])

    def _to_work(self, named: Named, answer: Answer) -> None:
        positions = self.bench.job.layout.select(answer.address, named.noun).positions
        if len(positions) > 1 and named.noun != "step":
            places = [joined(named.name, position) for position in positions]
            raise NotUnderstoodError(
                f"Nothing done. There are several: {listed(places)}.", f"Type  {places[0]}"
            )
        for position in reversed(positions):
            self.walk.go_to(named.noun, named.name, position)
        self._shown = self._group = ""

    def _to_readings(self, named: Named, address: str) -> None:
        """Go to the first reading due on a component, or of a fit; say how a fit stands."""
        spots = spots_of(self.bench, named, address)
        due = [spot for spot in self.bench.course.due if spot in spots]
        if named.noun == "fit":
            results = [f for f in self.bench.fits if f.tag == named.name]
            self.bench.out(fit_lines(results, self.bench.screen))
        if due:
            self.bench.course.go_to(due[0])
            self._shown = self._group = ""
        elif named.noun != "fit":
            raise NotUnderstoodError(f"Nothing is due on {visible(address)} just now.")

    # ---- the end

    def stopped(self) -> None:
        """Say that a session was left, and how to go on."""
        kept = counted(self.bench.job.last, "entry", "entries")
        text = f"Stopped. {kept} kept, nothing half written. Go on with: bedplate bench"
        self.bench.err(heads.running(text, self.bench.screen))

    def ended(self) -> None:
        """Say that nothing is left to ask for, and what is to do elsewhere."""
        bench = self.bench
        if bench.is_kept and not bench.course.left:
            bench.err(["All that was asked for is in."])
        first = self.walk.stopped or next(iter(self.walk.remaining()), None)
        if first is not None:
            line = f"next: {first.text}"
            lines = heads.two_ends(line, first.type, heads.room(bench.screen))
            bench.err([line, f"   {first.type}"] if bench.screen.plain else lines)
        else:
            bench.err(["Nothing is left to do."])


def spots_of(bench: Bench, named: Named, address: str) -> set[Spot]:
    """Return the addresses that a feature, a component or a fit stands for."""
    layout = bench.job.layout
    if named.noun == "feature":
        return set(bench.job.select(address).spots)
    if named.noun == "fit":
        place = address.partition(".")[2].casefold()
        return {
            spot
            for fit in bench.fits
            if fit.tag == named.name and (not place or (fit.place or "").casefold() == place)
            for text in fit.missing
            for spot in layout.select(text, "feature").spots
        }
    places = {
        joined(named.name, position) for position in layout.select(address, "component").positions
    }
    return {
        spot
        for tag in layout.names("feature")
        for spot in layout.select(tag, "feature").spots
        if places & {str(place) for place in layout.rests_on(tag, spot.position)}
    }


def _hints(error: BedplateError) -> list[str]:
    """Return the hints that hold at the bench: the next prompt is what would be typed."""
    return [hint for hint in error.hint if hint and "bedplate " not in hint]


def _plain_hints(error: BedplateError) -> list[str]:
    return [hint for hint in error.hint if hint]
