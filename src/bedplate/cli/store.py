"""The job at hand: reading it, and the one way in for every change.

read the file → fold → propose entries → lock, re-read, the rules say yes or refuse → append
durably → fold. Questions are put between two tries, never while the lock is held.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pydantic import ValidationError

from bedplate.assess.questions import QuestionError
from bedplate.assess.taking import Answers
from bedplate.cli import ask, context
from bedplate.errors import NotUnderstoodError
from bedplate.record.appending import OpenJob
from bedplate.record.entries import AnyEntry
from bedplate.record.job import Job, fold
from bedplate.record.jobfile import JobFile, read_job_file
from bedplate.record.spelling import in_words

Propose = Callable[[Job, Answers], Sequence[AnyEntry]]
"""Proposes entries against the job as it is now; raises a question or a refusal."""


@dataclass(frozen=True, slots=True)
class AtHand:
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


@dataclass(frozen=True, slots=True)
class Recorded:
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
        screen.err(caution)
    return AtHand(path, file, fold(file.entries))


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
    with OpenJob(path) as file, kept_words("Not recorded."):
        while True:
            try:
                appended = file.append(
                    lambda entries: propose(fold(entries), answers), by=by, now=clock
                )
                break
            except QuestionError as question:
                answers[question.key] = put(question)
        job = fold(file.entries)
        return Recorded(file.name, path, job, appended.entries, appended.warnings)


@contextmanager
def kept_words(fate: str) -> Iterator[None]:
    """Refuse, in our words, a text that no entry can hold: empty, or far too long.

    Args:
        fate: what became of it, as the message's first words.

    Raises:
        NotUnderstoodError: an entry proposed inside the ``with`` block holds such a text.
    """
    try:
        yield
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
