"""The job at hand: reading it, and the one way in for every change.

read the file → fold → propose entries → lock, re-read, the rules say yes or refuse → append
durably → fold. Questions are put between two tries, never while the lock is held.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import NamedTuple, Self

from pydantic import ValidationError

from bedplate.assess.questions import Answers, QuestionError
from bedplate.cli import ask, context
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry
from bedplate.record.job import Job, extended, fold
from bedplate.record.jobfile import JobFile, read_job_file
from bedplate.record.spelling import in_words

FATE = re.compile(r"(Not|Nothing) \w+[.:]|(Recorded|Refused|Which job)\b")
"""How a message begins that says its fate."""

Propose = Callable[[Job, Answers], Sequence[AnyEntry]]
"""Proposes entries against the job as it is now; raises a question or a refusal."""


class AtHand(NamedTuple):
    """A job that was read.

    Attributes:
        path: its file.
        file: what was read.
        job: what its entries add up to.
    """

    path: Path
    file: JobFile
    job: Job

    @property
    def name(self) -> str:
        """Name of the job."""
        return self.file.name


class Recorded(NamedTuple):
    """What has just been recorded.

    Attributes:
        name: name of the job.
        path: its file.
        job: the job with it.
        entries: the entries, stamped, in order.
        warnings: what else is to be said, each a sentence or two.
    """

    name: str
    path: Path
    job: Job
    entries: tuple[AnyEntry, ...]
    warnings: tuple[str, ...] = ()


def clock() -> datetime:
    """Return the time by this machine's clock, with its offset."""
    return datetime.now().astimezone()


def at_hand(typed: str | None = None) -> AtHand:
    """Return the job that a command is about; cautions of its file go to stderr.

    Args:
        typed: names the job in place of ``--job``.
    """
    path = context.job_at_hand(typed)
    file = read_job_file(path)
    screen = context.screen()
    for caution in file.cautions:
        screen.warn(caution)
    return AtHand(path, file, fold(file.entries))


class Ledger:
    """A job held open from one entry to the next: folded once, then grown by what is appended.

    Attributes:
        path: its file.
        by: the hand.
        job: the job as last seen.
        grew: whether another program has recorded something since; whoever looks sets it back.
    """

    def __init__(self, path: Path, by: str) -> None:
        self.path = path
        self.by = by
        self.grew = False
        from bedplate.record.appending import OpenJob  # noqa: PLC0415 - not for what only reads

        self._file = OpenJob(path)
        self.job = fold(self._file.entries)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_why: object) -> None:
        self._file.close()

    @property
    def name(self) -> str:
        """Name of the job."""
        return self._file.name

    def record(
        self, propose: Propose, answers: Answers | None = None, *, by: str | None = None
    ) -> Recorded:
        """Append what is proposed, against the job as it is under the lock.

        Args:
            propose: it may grow the job that it is handed.
            answers: what has been answered so far.
            by: the hand, where it is another.

        Raises:
            QuestionError: only a person can say; nothing was recorded.
            BedplateError: nothing was recorded, or it says that it may have been.
        """

        def proposed(entries: Sequence[AnyEntry]) -> Sequence[AnyEntry]:
            self._follow(entries)
            try:
                return propose(self.job, answers or {})
            finally:
                if self.job.last != len(entries):
                    self.job = fold(entries)

        with fated("Not recorded."):
            appended = self._file.append(proposed, by=by or self.by, now=clock)
        self.job = extended(self.job, self._file.entries[self.job.last :])
        return Recorded(self.name, self.path, self.job, appended.entries, appended.warnings)

    def _follow(self, entries: Sequence[AnyEntry]) -> None:
        """Take what others have recorded since."""
        new = entries[self.job.last :]
        if new:
            self.grew = True
            self.job = extended(self.job, new)


def record(propose: Propose) -> Recorded:
    """Append what is proposed to the job at hand.

    Args:
        propose: called under the lock, once for each answer more that it asks for.

    Raises:
        BedplateError: nothing was recorded, or it says that it may have been.
    """
    path = context.job_at_hand()
    by = context.hand()
    answers: dict[Hashable, str] = {}
    with Ledger(path, by) as ledger:
        while True:
            try:
                return ledger.record(propose, answers)
            except QuestionError as question:
                answers[question.key] = put(question)


@contextmanager
def fated(fate: str) -> Iterator[None]:
    """Put what became of it before what is not understood inside the ``with`` block.

    A message that begins with its fate is let through. A text that no entry can hold (empty, far
    too long) is refused in our words.

    Args:
        fate: as the message's first words: ``Not recorded.``

    Raises:
        NotUnderstoodError: the same, with its fate.
    """
    try:
        yield
    except QuestionError:
        raise
    except NotUnderstoodError as fault:
        if FATE.match(fault.message):
            raise
        raise NotUnderstoodError(f"{fate} {fault.message}", *fault.hint) from None
    except ValidationError as fault:
        raise NotUnderstoodError(f"{fate} {in_words(fault)}.") from fault


def put(question: QuestionError) -> str:
    """Put a question and return what its answer stands for.

    Raises:
        QuestionError: there is nobody to ask.
        NotUnderstoodError: the answer was to record nothing.
    """
    if not ask.can_ask():
        raise question
    screen = context.screen()
    *lines, prompt = question.lines
    for line in lines:
        screen.err(line)
    while True:
        answer = ask.ask(prompt, bell=context.settings().bell)
        if answer is None:
            raise question
        word = answer.casefold()
        if word in ("q", "quit"):
            raise NotUnderstoodError("Nothing recorded.")
        if word in question.answers:
            return question.answers[word]
        if answer and "*" in question.answers:
            return answer
