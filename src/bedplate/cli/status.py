"""``bedplate status``: what is next, what is in the way of the signature, what waits for whom."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from bedplate.assembly.blockers import blockers
from bedplate.assembly.moments import open_moment, signed_moments
from bedplate.assembly.next_step import next_actions
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.toward import Action
from bedplate.assembly.words import until_words
from bedplate.assess.fits import Assessment
from bedplate.assess.gauges import overdue
from bedplate.cli import context
from bedplate.cli.recorded import action_row
from bedplate.cli.screen import Screen, wrapped
from bedplate.cli.store import AtHand, at_hand, clock
from bedplate.record.job import Job
from bedplate.record.waiting import PutOff, Waiting
from bedplate.seal.copies import find_copies
from bedplate.text import column_for_most, counted, visible

MOST_SHOWN = 8
"""Lines of what is next; the rest is counted."""


class Status(NamedTuple):
    """Where a job stands.

    Attributes:
        moment: the first that is not signed, None where all are.
        signed: the moments that are.
        upcoming: what to do, in order.
        in_the_way: what blocks the signature for ``moment``.
        put_off: what waits for a moment, a time or a person.
        copies: names of copies of the job that hold lines which it lacks.
    """

    moment: str | None
    signed: tuple[str, ...]
    upcoming: Sequence[Action]
    in_the_way: Sequence[Blocker]
    put_off: Sequence[PutOff]
    copies: tuple[str, ...]

    @property
    def ok(self) -> bool:
        """Whether nothing is in the way of the first unsigned moment."""
        return not self.in_the_way


def status_of(found: AtHand) -> Status:
    """Return where the job at hand stands."""
    job, now = found.job, clock()
    fits = Assessment(job).all
    moment = open_moment(job)
    copies, late = copies_ahead(found), overdue(job, now.date())
    in_the_way = []
    if moment is not None:
        in_the_way = blockers(job, fits, moment, now, gauges_overdue=late, copies=copies)
    return Status(
        moment,
        signed_moments(job),
        next_actions(job, fits, now, gauges_overdue=late, copies=copies),
        in_the_way,
        Waiting.of(job).put_off,
        copies,
    )


def copies_ahead(found: AtHand) -> tuple[str, ...]:
    """Return the names of copies of the job, beside it, that hold lines which it lacks."""
    return tuple(copy.name for copy in find_copies(found.path, found.file.lines))


def status() -> None:
    """Show what is next and what is in the way.

    Examples:
      bedplate status
      bedplate status --json
    """
    found = at_hand()
    stands = status_of(found)
    screen = context.screen()
    if screen.as_json:
        screen.json(document(found, stands))
        return
    title = title_line(found, stands)
    tell_title(screen, title)
    _section(screen, "Next", _rows(found.job, stands.upcoming))
    if stands.moment is not None:
        where = f"In the way of the signature for {stands.moment}"
        clear = [("nothing", f"bedplate sign {_word(stands.moment)}")]
        _section(screen, where, _rows(found.job, stands.in_the_way) or clear)
    rows = [
        (f'{item.n} "{visible(item.text)}"', f"until {until_words(item.until)}")
        for item in stands.put_off
    ]
    _section(screen, "Put off", rows)
    for copy in stands.copies:
        screen.warn(f"{visible(copy)} is a copy of this job with lines that this one lacks.")
        screen.err(f'See what can be taken over:  bedplate rejoin "{visible(copy)}"')


_REUSE = " reuse --why REASON"
"""What the command ends with that is offered on a part which nothing speaks against."""


def _rows(job: Job, things: Sequence[Action | Blocker]) -> list[tuple[str, str]]:
    """Return texts and commands; a component none of whose parts has a decision is one line."""
    undecided: dict[str, list[Action | Blocker]] = {}
    for thing in things:
        if thing.text.endswith("has no decision") and thing.type.endswith(_REUSE):
            undecided.setdefault(thing.what.partition(".")[0], []).append(thing)
    rows: dict[tuple[str, str], None] = {}
    for thing in things:
        component = thing.what.partition(".")[0]
        alike = undecided.get(component, [])
        if thing in alike and len(alike) == len(job.places_named(component)) > 1:
            text = f"{component}: {len(alike)} have no decision"
            rows[text, f"bedplate decide {component}{_REUSE}"] = None
        else:
            rows[thing.text, thing.type] = None
    return list(rows)


def title_line(found: AtHand, stands: Status) -> str:
    """Return the job in one line: its name, what it is of, its entries, for what it is signed."""
    job = found.job
    title = job.opened.machine or job.sheet.title or ""
    state = f"signed for {', '.join(stands.signed)}" if stands.signed else "not signed"
    entries = counted(job.last, "entry", "entries")
    return "    ".join(filter(None, (visible(found.name), visible(title), entries, state)))


def tell_title(screen: Screen, title: str) -> None:
    """Print the line that says what the job is, where the screen is narrow on several."""
    if screen.plain:
        screen.out(", ".join(title.split("    ")) + ".")
        return
    for line in wrapped(title, "", "  ", screen.columns) if screen.terminal else [title]:
        screen.out(line)


def _word(moment: str) -> str:
    return f'"{moment}"' if " " in moment else moment


def _section(screen: Screen, title: str, rows: Sequence[tuple[str, str]]) -> None:
    if not rows:
        return
    screen.out()
    screen.out(f"{title}:" if screen.plain else title)
    width = screen.columns if screen.terminal else 80
    shown = [(text, context.to_type(what)) for text, what in rows[:MOST_SHOWN]]
    column = column_for_most([(len(text) + 4, len(what)) for text, what in shown], width)
    for text, what in shown:
        lines = _spoken(text, what) if screen.plain else _two_columns(text, what, column, width)
        for line in lines:
            screen.out(line)
    if len(rows) > MOST_SHOWN:
        screen.out(f"  and {len(rows) - MOST_SHOWN} more")


def _spoken(text: str, what: str) -> list[str]:
    """Return a thing to do for a voice: what, then what is typed for it."""
    said = f"{text[:1].upper()}{text[1:]}."
    if what.startswith("bedplate "):
        return [said, f"Type: {what}"]
    return [f"{said[:-1]}, {what}." if what else said]


def _two_columns(text: str, what: str, column: int, width: int) -> list[str]:
    """Return a line with its command at the right, or below where it does not fit."""
    at = max(column, len(text) + 4)
    if at + len(what) <= width:
        return [f"  {text:<{at - 2}}{what}".rstrip()]
    return [*wrapped(text, "  ", "    ", width), *([f"      {what}"] if what else [])]


def document(found: AtHand, stands: Status) -> dict[str, Any]:
    """Return what `status` gives under ``--json``."""
    return {
        **context.document("status", found.name, found.job.last),
        "ok": stands.ok,
        "moment": stands.moment,
        "next": [action_row(action) for action in stands.upcoming],
        "blockers": [
            {"kind": b.kind, "what": b.what, "text": b.text, "type": b.type}
            for b in stands.in_the_way
        ],
        "deferred": [
            {"entry": item.n, "text": item.text, "until": item.until, "holds": item.holds}
            for item in stands.put_off
        ],
        "signed": list(stands.signed),
        "copies": list(stands.copies),
    }
