"""The rules' yes to what is proposed, each entry against the job with those before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bedplate.assembly.changing import Question
from bedplate.assembly.rules import may, questions
from bedplate.assess.fits import LEAVES_FITS, Assessment
from bedplate.assess.gauges import overdue
from bedplate.assess.questions import QuestionError
from bedplate.cli import ask, context
from bedplate.cli.store import clock
from bedplate.record.entries import NO_LINE, AnyEntry
from bedplate.record.job import Job, extended
from bedplate.record.stamping import moment_text, stamped

WEIGHED = frozenset({"proof", "step", "fasteners", "concession", "settled", "signed"})
"""Kinds of entry whose rules ask how the fits stand."""


def permitted(
    job: Job,
    entries: Sequence[AnyEntry],
    answers: object = None,
    assessment: Assessment | None = None,
    *,
    copies: Sequence[str] = (),
    yes: bool = False,
) -> list[AnyEntry]:
    """Return the entries, if every one of them may be made.

    Args:
        job: the job as it stands; it is grown by the entries to ask about the next.
        entries: as proposed, in order.
        answers: what has been answered so far, by the key of the question.
        assessment: the fits of the job, where they are to be shown afterwards too.
        copies: names of copies of the job that hold lines which it lacks (a concession asks).
        yes: whether what needs an answer was answered with yes beforehand.

    Raises:
        RefusedError: a rule forbids one; none is to be recorded.
        QuestionError: on a terminal, something is asked back first.
    """
    now, by = clock(), context.hand()
    for entry in entries:
        if assessment is None or assessment.job is not job:
            assessment = Assessment(job)
        fits = assessment.all if entry.kind in WEIGHED else ()
        late = overdue(job, now.date()) if entry.kind == "concession" else ()
        may(entry, job, fits, now, by, gauges_overdue=late, copies=copies)
        said = answers if isinstance(answers, Mapping) else {}
        _ask_back(questions(entry, job, now, entries), said, yes=yes)
        if entry is not entries[-1]:
            stamp = stamped(entry, n=job.last + 1, at=moment_text(now), by=by, prev=NO_LINE)
            job = extended(job, [stamp])
            assessment = assessment if stamp.kind in LEAVES_FITS else None
    return list(entries)


def _ask_back(asked: Sequence[Question], answers: Mapping[object, str], *, yes: bool) -> None:
    """Put what is asked before an entry is made.

    Without a terminal it is only said: the command line is the considered answer.
    """
    for question in asked:
        if question.text in answers or (question.needed and yes):
            continue
        if not ask.can_ask():
            context.screen().err(question.text)
            continue
        raise QuestionError(
            f"Not recorded. {question.text}",
            key=question.text,
            lines=[question.text, "  y  yes    q  no, record nothing: "],
            answers={"y": "yes", "yes": "yes"},
        )
