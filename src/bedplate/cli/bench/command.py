"""The command itself: the job, the hand, a session, and how it ends."""

from __future__ import annotations

from typing import Annotated

import typer

from bedplate.assembly.next_step import next_actions
from bedplate.assess.fits import Assessment
from bedplate.cli import context
from bedplate.cli.bench import heads
from bedplate.cli.bench.keyboard import Keyboard
from bedplate.cli.bench.session import Session, spots_of
from bedplate.cli.bench.state import Bench
from bedplate.cli.main import INTERRUPTED
from bedplate.cli.recorded import document
from bedplate.cli.store import Ledger, Recorded, at_hand, clock
from bedplate.errors import BedplateError, NotUnderstoodError, StorageError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Reading
from bedplate.text import counted, near_or_list, quoted, visible


def bench(
    what: Annotated[
        list[str] | None,
        typer.Argument(metavar="WHAT...", help="Only these: H.idler, gear.idler, EC, close, N."),
    ] = None,
) -> int:
    """Be asked for each reading in turn.

    Then for the steps, nuts, proofs and findings of the assembly. Every answer is something and
    Enter; ? shows the keys. It can be stopped anywhere, and goes on where it stopped.

    Examples:
      bedplate bench
      bedplate bench H.idler
      bedplate bench close
    """
    found = at_hand()
    hand = context.hand()
    with Ledger(found.path, hand) as ledger:
        session = Session(Bench(ledger, Keyboard(), context.settings()))
        return _run(session, what or [])


def _run(session: Session, what: list[str]) -> int:
    bench = session.bench
    _keep_to(session, what)
    _greet(session)
    code = 0
    try:
        session.run()
    except KeyboardInterrupt:
        bench.err([""])
        session.stopped()
        code = INTERRUPTED
    except StorageError as error:
        raise _with_what_was_typed(session, error) from error
    except BedplateError:
        session.stopped()
        raise
    screen = bench.screen
    if screen.as_json:
        assessment = Assessment(bench.job)
        fits = assessment.touched_by(_read_in(session))
        entries = tuple(bench.run.entries)
        recorded = Recorded(bench.ledger.name, bench.ledger.path, bench.job, entries)
        upcoming = next_actions(bench.job, assessment.all, clock())
        screen.json(document(recorded, "bench", fits, upcoming))
    return code


def _read_in(session: Session) -> list[Spot]:
    job = session.bench.job
    addresses = [e.address for e in session.bench.run.entries if isinstance(e, Reading)]
    return [spot for address in addresses for spot in job.select(address).spots]


def _with_what_was_typed(session: Session, error: StorageError) -> StorageError:
    """Return a failure to record with the reading that is not recorded, so that it is not lost."""
    typed = session.typed
    more = (f"What you typed:  {visible(typed)}",) if typed else ()
    return StorageError(error.message, *error.hint, *more)


# ---- the beginning


def _keep_to(session: Session, what: list[str]) -> None:
    """Take up what the command was asked for: readings, steps, sets, proofs."""
    bench = session.bench
    layout = bench.job.layout
    spots: list[Spot] = []
    for address in what:
        tag = address.partition("@")[0].partition(".")[0]
        named = layout.find(tag)
        if named is None or named.noun == "size":
            names = [name for name in layout.names() if layout.named(name).noun != "size"]
            raise NotUnderstoodError(
                f"Nothing done. There is nothing called {quoted(tag)}.",
                near_or_list(tag, names, "There are"),
            )
        if named.noun in ("step", "fasteners", "proof"):
            for position in reversed(layout.select(address, named.noun).positions):
                session.walk.go_to(named.noun, named.name, position)
        else:
            order = list(bench.course.order)
            spots += sorted(spots_of(bench, named, address), key=order.index)
    if what:
        bench.keep_to(spots)


def _greet(session: Session) -> None:
    bench = session.bench
    screen = bench.screen
    name, hand = visible(bench.ledger.name), visible(bench.ledger.by)
    left = bench.course.left
    going = any(isinstance(entry, Reading) for entry in bench.job.entries) and left
    spot = bench.course.next()
    on = f"going on at {spot}" if going and spot is not None else ""
    if screen.plain:
        said = f"Job {name}. {counted(left, 'reading')} due. Recording as {hand}."
        lines = [said, *([f"{on[:1].upper()}{on[1:]}."] if on else [])]
    elif heads.is_narrow(screen):
        lines = heads.running(f"{name}  {left} due   as {hand}", screen)
        lines += [on] if on else []
    else:
        parts = (name, f"{counted(left, 'reading')} due", f"recording as {hand}", on)
        line = "    ".join(filter(None, parts))
        other = "  (someone else: q, then --by)"
        line += other if not on and len(line) + len(other) <= screen.columns else ""
        lines = [line] if len(line) <= screen.columns else heads.running(line, screen, "", "    ")
    bench.err([*lines, *heads.key_line(screen)])
    _strip_hint(session)
    bench.err([] if screen.plain else [""])


def _strip_hint(session: Session) -> None:
    """Say that steps of the strip are not recorded yet, and how to go there."""
    bench = session.bench
    if session.walk.focus or bench.is_kept or not bench.course.left:
        return
    steps = session.walk.open_strip()
    if steps:
        text = f"The strip is not recorded yet: {visible(steps[0])}  goes to its next step."
        bench.err(heads.running(text, bench.screen, "", "  "))
