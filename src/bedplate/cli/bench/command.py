"""The command itself: the job, the hand, a session, and how it ends."""

from __future__ import annotations

from typing import Annotated

import typer

from bedplate.assembly.next_step import next_actions
from bedplate.assess.fits import Assessment
from bedplate.cli import context
from bedplate.cli.bench import sayings
from bedplate.cli.bench.going import keep_to
from bedplate.cli.bench.keyboard import Keyboard
from bedplate.cli.bench.session import Session
from bedplate.cli.bench.state import Bench
from bedplate.cli.main import INTERRUPTED
from bedplate.cli.recorded import document
from bedplate.cli.store import Ledger, Recorded, at_hand, clock
from bedplate.errors import BedplateError, StorageError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Reading
from bedplate.text import visible


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
        keep_to(session.bench, session.walk, what or [])
        sayings.greet(session.bench, session.walk)
        code = _run(session)
        _as_json(session.bench)
    return code


def _run(session: Session) -> int:
    bench = session.bench
    try:
        session.run()
    except KeyboardInterrupt:
        bench.err([""])
        sayings.stopped(bench)
        return INTERRUPTED
    except StorageError as error:
        typed = (f"What you typed:  {visible(session.typed)}",) if session.typed else ()
        raise StorageError(error.message, *error.hint, *typed) from error
    except BedplateError:
        sayings.stopped(bench)
        raise
    return 0


def _as_json(bench: Bench) -> None:
    """Print what the session recorded, as one document, where that was asked for."""
    screen = bench.screen
    if not screen.as_json:
        return
    assessment = Assessment(bench.job)
    recorded = Recorded(bench.ledger.name, bench.ledger.path, bench.job, tuple(bench.run.entries))
    fits = assessment.touched_by(_read_in(bench))
    upcoming = next_actions(bench.job, assessment.all, clock())
    screen.json(document(recorded, "bench", fits, upcoming))


def _read_in(bench: Bench) -> list[Spot]:
    addresses = [e.address for e in bench.run.entries if isinstance(e, Reading)]
    return [spot for address in addresses for spot in bench.job.select(address).spots]
