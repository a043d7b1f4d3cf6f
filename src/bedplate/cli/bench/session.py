"""One session: what is asked next, and what becomes of each answer."""

from __future__ import annotations

import re

from bedplate.cli.bench import heads, sayings
from bedplate.cli.bench.answers import Answer, refuse_unknown, understood
from bedplate.cli.bench.checks import is_set_for, standard_of
from bedplate.cli.bench.going import go
from bedplate.cli.bench.keys import press
from bedplate.cli.bench.readings import ReadingTask
from bedplate.cli.bench.state import Bench
from bedplate.cli.bench.task import Question, Task
from bedplate.cli.bench.walk import Walk
from bedplate.cli.bench.zero import ZeroTask
from bedplate.cli.store import clock
from bedplate.errors import BedplateError, NotUnderstoodError, RefusedError
from bedplate.text import folded

LOOKING = "dgtnf?"
"""Keys that leave a question as it is: they look, or say something beside it."""


COMMAND_LINE = re.compile(r"bedplate | --[a-z]")
"""What tells a hint that is typed into a shell, and not here."""


class LastTask(Task):
    """Nothing more is asked for; what was typed last can still be taken back.

    Args:
        bench: the session.
        said: what is said of what was left, and of what is next.
    """

    def __init__(self, bench: Bench, said: list[str]) -> None:
        super().__init__(bench, f"last {bench.job.last}")
        self.said = said

    def lead(self, *, first: bool) -> list[str]:
        """Return what is left and what is next."""
        del first
        return self.said

    def prompt(self) -> str:
        """Return the prompt."""
        screen = self.bench.screen
        if heads.is_narrow(screen) and not screen.plain:
            return heads.work_prompt("b back, q ends, or an address", screen)
        return heads.work_prompt("b takes back, an address goes there, q ends", screen)

    def take(self, text: str) -> Task | None:
        """Refuse: nothing is asked for."""
        raise refuse_unknown(text, self.bench.job.layout)


class Session:
    """Asks, answers, and asks again until nothing is left or somebody stops.

    Args:
        bench: what it has in hand.

    Attributes:
        walk: the order of what is no reading.
        asked: the question that stands in the way of recording, if one does.
        typed: the answer that is being dealt with, as typed.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.walk = Walk(bench)
        self.asked: Question | None = None
        self.typed = ""
        self._shown = ""
        self._group = ""

    def run(self) -> None:
        """Go on until nothing is left to ask for, or the answers end.

        Raises:
            BedplateError: without a person to ask, whatever stops an answer.
            KeyboardInterrupt: Ctrl-C.
        """
        while (task := self.task()) is not None:
            self.show(task)
            line = self.bench.keyboard.read(task.prompt())
            self.bench.look_again()
            if line is None or not self.answered(task, line):
                sayings.stopped(self.bench, done=isinstance(task, LastTask))
                return
        self.bench.err(sayings.ended(self.bench, self.walk))

    # ---- what is asked

    def task(self) -> Task | None:
        """Return what is asked for now, None where the session is over.

        Behind the last reading there is one prompt more: a slip in it is only seen now.
        """
        task = self.asked or self._next()
        acts = self.bench.run.acts
        if task is None and acts and acts[-1].spot is not None and self.bench.keyboard.person:
            return LastTask(self.bench, sayings.ended(self.bench, self.walk))
        return task

    def _next(self) -> Task | None:
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
        sayings.all_in(self.bench)
        task = self.walk.next()
        return self._with_zero(task) if task is not None else None

    def _with_zero(self, task: Task) -> Task:
        """Return the zero check that comes before a reading, or what was to be asked."""
        bench = self.bench
        if not isinstance(task, ReadingTask) or task.gauge is None or not bench.keyboard.person:
            return task
        gauge, now = task.gauge.rpartition("/")[2], clock()
        standard = standard_of(bench.job, gauge, bench.gauges.cabinet)
        if standard is None:
            return task
        left = f"{gauge} for {task.at.tag}" if standard.differences else gauge
        stands = is_set_for(bench.job, standard, task.at) or not bench.checks.due(left, now)
        if stands and not bench.checks.due(gauge, now):
            return task
        return ZeroTask(bench, gauge, standard, task.at, left)

    def show(self, task: Task) -> None:
        """Show what belongs above a prompt, once for each thing that is asked for."""
        if task.name == self._shown:
            return
        if isinstance(task, Question) and self.bench.settings.bell:
            self.bench.keyboard.ring()
        self.bench.err([*task.above, *task.lead(first=task.group != self._group)])
        if task.shows is not None:
            self.bench.run.step = task.shows
        self._shown = task.name
        if not isinstance(task, Question):
            self._group = task.group

    # ---- what is answered

    def answered(self, task: Task, line: str) -> bool:
        """Do what an answer says; return whether the session goes on.

        Raises:
            BedplateError: there is nobody who could answer again.
        """
        self.typed = line
        answer = understood(line, self.bench.job.layout)
        word = line.partition(" ")[0].casefold()
        if answer.kind == "nothing":
            return True
        if answer.key == "q" and word not in task.words:
            return False
        try:
            self.asked = self._done(task, answer, word)
        except (NotUnderstoodError, RefusedError) as error:
            self.bench.keyboard.forget()
            self._complain(error, task.prompt())
        return True

    def _done(self, task: Task, answer: Answer, word: str) -> Question | None:
        """Do what an answer says; return a question that stands in the way."""
        found: Task | None
        if word in task.words:
            found = task.take(answer.text)
        elif answer.kind == "key":
            found = press(self.bench, task, answer)
            if found is None and isinstance(task, Question) and answer.key in LOOKING:
                self._shown = ""
                return task
        elif answer.kind == "address":
            found = go(self.bench, self.walk, answer)
            self._shown = self._group = ""
        elif answer.kind == "value" or not isinstance(task, ReadingTask | Question):
            found = task.take(answer.text)
        else:
            raise refuse_unknown(answer.text, self.bench.job.layout)
        return found if isinstance(found, Question) else None

    def _complain(self, error: BedplateError, prompt: str) -> None:
        """Say why nothing was recorded; the next prompt is the remedy.

        Args:
            error: why.
            prompt: the one that was answered, and is shown again.

        Raises:
            BedplateError: the same, where nobody sits there.
        """
        bench = self.bench
        if not bench.keyboard.person:
            where = f"It was line {bench.keyboard.line} of what was piped in."
            kind = RefusedError if isinstance(error, RefusedError) else NotUnderstoodError
            raise kind(error.message, *filter(None, error.hint), where) from error
        self._shown = "" if self.asked is not None else self._shown
        # A command line is not what is typed here: the prompt that follows is.
        hints = [hint for hint in error.hint if hint and not COMMAND_LINE.search(hint)]
        hints = [hint for hint in hints if folded(hint) not in folded(prompt)]
        for text in (*error.message.split("\n"), *hints):
            bench.say(text)
