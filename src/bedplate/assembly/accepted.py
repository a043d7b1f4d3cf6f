"""The command shown with what is in the way: one that the rules accept as the job stands.

A step that waits for a set, a lock that waits for a proof, a change of what is still clamped:
each is shown with what comes first.
"""

from __future__ import annotations

from collections.abc import Callable

from bedplate.assembly import held
from bedplate.assembly.obstacles import Blocker
from bedplate.assembly.reading import sets_for
from bedplate.assembly.renewing import is_measured, lacking_new
from bedplate.assembly.standing import proof_state
from bedplate.assembly.state import Assembly
from bedplate.assembly.steps import before_of, is_done, over
from bedplate.assembly.toward import Action, toward_proof, toward_set, toward_step, unclamp
from bedplate.record.sets import TIGHT
from bedplate.record.waiting import PutOff
from bedplate.sheet.layout import Place, Setting

LOOK = "bedplate status"


def accepted(assembly: Assembly, blocker: Blocker) -> Blocker:
    """Return what is in the way with a command that is accepted now, or only looks."""
    command = _first(assembly, blocker.type, blocker.kind)
    # What leads to a set or a proof may be the drawing of a part that is still clamped.
    return blocker._replace(type=_first(assembly, command, None))


def _first(assembly: Assembly, command: str, kind: str | None) -> str:
    """Return what comes before a command, or the command where nothing does."""
    verb, _, rest = command.removeprefix("bedplate ").partition(" ")
    first = _FIRST.get((kind, verb)) or _FIRST.get((None, verb))
    return (first(assembly, rest) if first is not None else None) or command


def _command(assembly: Assembly, action: Action | None) -> str:
    """Return the command of an action; where there is none, what settles what holds it."""
    if action is not None:
        return action.type
    item = next((item for item in assembly.waiting.put_off if item.holds is not None), None)
    return _settle(item) if item is not None else LOOK


def _settle(item: PutOff) -> str:
    return f"bedplate settle {item.n}"


def _at(assembly: Assembly, rest: str, noun: str) -> tuple[str, Setting]:
    """Return what the first word behind a verb names, and its position."""
    selection = assembly.layout.select(rest.split(maxsplit=1)[0], noun)
    return selection.named.name, selection.positions[0]


def _done(assembly: Assembly, rest: str) -> str:
    step, position = _at(assembly, rest, "step")
    return _toward_step(assembly, step, position)


def _toward_step(assembly: Assembly, step: str, position: Setting) -> str:
    for name, place in before_of(assembly, step, position):
        if not is_done(assembly, name, place):
            done = assembly.made.done(name, place)
            waits = done is not None and over(assembly, name, done) is not None
            return LOOK if waits else _toward_step(assembly, name, place)
    return _command(assembly, toward_step(assembly, step, position))


def _fasten(assembly: Assembly, rest: str) -> str:
    state = assembly.sets.at(*_at(assembly, rest, "fasteners"))
    return _command(assembly, toward_set(assembly, state, state.row.final_state))


def _prove(assembly: Assembly, rest: str) -> str:
    state = proof_state(assembly, *_at(assembly, rest, "proof"))
    return _command(assembly, toward_proof(assembly, state))


def _measure(assembly: Assembly, rest: str) -> str | None:
    """Return what comes before a reading: what it waits for, its part, its sets."""
    spot = assembly.layout.select(rest.split(maxsplit=1)[0], "feature").spots[0]
    item = held.holder_of_reading(assembly, spot)
    if item is not None:
        return _settle(item)
    for place in assembly.layout.rests_on(spot.tag, spot.position):
        if assembly.job.parts.at(place) is None:
            return _change(assembly, f"{place} {assembly.new_words(place)}")
        if place in lacking_new(assembly.job, place.component):
            return _use(assembly, place.component) or f"bedplate use {place.component}"
    loose = next((state for state in sets_for(assembly, spot) if not state.is_tight), None)
    return None if loose is None else _command(assembly, toward_set(assembly, loose, TIGHT))


def _use(assembly: Assembly, rest: str) -> str | None:
    """Return what comes before the new part of a place: unclamping it, where it is measured."""
    named = assembly.layout.find(rest.partition(" ")[0], "component")
    if named is None or not is_measured(assembly.layout, named.name):
        return None
    for place in lacking_new(assembly.job, named.name):
        first = _change(assembly, str(place))
        if not first.startswith("bedplate change "):
            return first
    return None


def _change(assembly: Assembly, rest: str) -> str:
    """Return what comes before a change: settling what holds the part, or unclamping it."""
    place = Place(*_at(assembly, rest, "component"))
    item = held.holder(assembly, place.component, place.position)
    if item is not None:
        return _settle(item)
    clamping = unclamp(assembly, place)
    return f"bedplate change {rest}" if clamping is None else clamping.type


_FIRST: dict[tuple[str | None, str], Callable[[Assembly, str], str | None]] = {
    ("step", "done"): _done,
    ("fasteners", "fasten"): _fasten,
    ("proof", "prove"): _prove,
    (None, "measure"): _measure,
    (None, "change"): _change,
    (None, "use"): _use,
}
"""What looks for that which comes first, by kind and verb; a verb of any kind under None."""
