"""What a command without its argument lists: what it could be given."""

from __future__ import annotations

from bedplate.assembly.due import due_readings, undecided_places
from bedplate.assess.fits import Assessment
from bedplate.cli import context
from bedplate.cli.store import at_hand, clock
from bedplate.report.phrases import shortened
from bedplate.text import counted


def list_due() -> None:
    """List the readings that are due, a feature at a time, in the order of the sheet."""
    found = at_hand()
    due = due_readings(found.job, Assessment(found.job).all, clock())
    screen = context.screen()
    addresses = [str(spot) for spot in due]
    if screen.as_json:
        screen.json({**context.document("measure", found.name, found.job.last), "due": addresses})
        return
    if not addresses:
        screen.out("All readings that are due are in.")
        return
    screen.out(f"{counted(len(addresses), 'reading')} due:")
    for place in shortened(addresses):
        stations = [a.partition("@")[2] for a in addresses if a.partition("@")[0] == place]
        at = "  ".join(f"@{station}" for station in stations if station)
        screen.out(f"  {place}  {at}".rstrip())
    screen.err(context.to_type(f"Type:  bedplate measure {addresses[0]} VALUE"))


def list_undecided() -> None:
    """List the parts that have no decision yet."""
    found = at_hand()
    places = [str(place) for place in undecided_places(found.job)]
    screen = context.screen()
    if screen.as_json:
        screen.json(
            {**context.document("decide", found.name, found.job.last), "undecided": places}
        )
        return
    if not places:
        screen.out("Every part has its decision.")
        return
    screen.out(f"{counted(len(places), 'part')} without a decision:")
    for place in places:
        screen.out(f"  {place}")
    screen.err(context.to_type(f'Type:  bedplate decide {places[0]} reuse --why "..."'))
