"""What was lawful when it was recorded, and is not since something before it was struck out.

Striking an entry undoes what it did, not what was done on the strength of it: a lock folded on a
proof since struck, a reading taken with a set tight whose tightening was struck.
"""

from __future__ import annotations

from collections.abc import Iterator

from bedplate.assembly.drawing import thing_name
from bedplate.assembly.locks import unproved
from bedplate.assembly.obstacles import Blocker, last_strike
from bedplate.assembly.reading import sets_for
from bedplate.assembly.state import Assembly
from bedplate.assembly.words import called, plural
from bedplate.record.entries import (
    Changed,
    Entry,
    Fasteners,
    PartUsed,
    Proof,
    Reading,
    SheetRevised,
)
from bedplate.record.job import Taken
from bedplate.record.sets import LOCKED, SetState
from bedplate.text import shell, visible


def unlawful(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield what does not hold any more; nothing where nothing was struck."""
    if not assembly.job.struck:
        return
    yield from _locks(assembly)
    yield from _things(assembly)
    yield from _changes(assembly)
    yield from _readings(assembly, moment)


def _since(assembly: Assembly, *kinds: type[Entry]) -> int:
    """Return the last strike of what may have made something unlawful.

    A concession given before it was given for something else; a strike of anything else leaves
    one as it is.
    """
    last = max(assembly.job.struck.values())
    return last_strike(assembly, (*kinds, SheetRevised)) or last


def _locks(assembly: Assembly) -> Iterator[Blocker]:
    for state in assembly.sets.states.values():
        locked = {f.entry: f for f in state.fasteners if f.state == LOCKED}
        for n, fastener in sorted(locked.items()):
            why = _why_not_lawful(assembly, state, n)
            if fastener.stage < state.stages or fastener.trial:
                why = "was not tight then"
            if why is not None:
                name = called(assembly.layout, state.row.tag, state.position)
                yield Blocker(
                    "unlawful",
                    str(n),
                    f"entry {n} locked {name}, which {why}",
                    f"bedplate fasten {state.address} backed-off",
                    _since(assembly, Fasteners, Proof, Reading),
                )


def _why_not_lawful(assembly: Assembly, state: SetState, n: int) -> str | None:
    for proof in unproved(assembly, state, before=n):
        return f"{proof.address} does not bear out any more"
    return None


def _things(assembly: Assembly) -> Iterator[Blocker]:
    for thing, stock in assembly.sets.stock.items():
        if stock.left >= 0:
            continue
        states = [
            s for s in assembly.sets.states.values() if any(k == thing for _, k in s.needs())
        ]
        name = thing_name(states[0], thing) if states else stock.name
        missing = -stock.left
        count = f" --count {missing}" if missing > 1 else ""
        yield Blocker(
            "unlawful",
            name,
            f"{plural(visible(name), 2)}: {stock.in_use + stock.spent} used, {stock.drawn} drawn",
            f"bedplate use {shell(name)}{count}",
            _since(assembly, Fasteners, PartUsed),
        )


def _changes(assembly: Assembly) -> Iterator[Blocker]:
    happened = {entry.n for entry, _place, _mark in assembly.job.changed}
    for entry in assembly.job.live(Changed):
        why = None if entry.n in happened else "no part that it speaks of is there any more"
        places = [place for e, place, _ in assembly.job.changed if e.n == entry.n and place]
        for state in assembly.sets.states.values():
            held = [p for p in assembly.held_places(state) if p in places]
            if held and entry.how != "found" and state.before(entry.n).clamps:
                why = f"{state.address} held {held[0]} then"
        if why is not None:
            yield Blocker(
                "unlawful",
                str(entry.n),
                f"entry {entry.n} changed {visible(entry.component)}, but {why}",
                f"bedplate strike {entry.n} --why REASON",
                _since(assembly, Fasteners, Changed),
            )


def _had_no_place(assembly: Assembly, taken: Taken) -> bool:
    """Tell whether a reading was taken on a part without a place, which no set clamps."""
    named = [assembly.layout.find(on.place, "component") for on in taken.entry.on or ()]
    return any(component is not None and component.positions for component in named)


def _readings(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    by_number = assembly.job.readings
    numbers = {n for fit in assembly.fits if assembly.due(fit.fit) <= moment for n in fit.readings}
    for n in sorted(numbers):
        taken = by_number[n]
        if _had_no_place(assembly, taken):
            continue
        for state in sets_for(assembly, taken.spot):
            if not state.before(n).tight:
                yield Blocker(
                    "unlawful",
                    str(n),
                    f"entry {n} was read at {taken.spot} with {state.address} not tight",
                    f"bedplate measure {taken.spot} VALUE --instead",
                    _since(assembly, Fasteners),
                )
                break
