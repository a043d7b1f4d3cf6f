"""One-use things that a move of fasteners takes: which are still to be drawn, and the command.

Whoever says "tighten it first" says "draw a gasket first" where none is left unspent: a cure that
would itself be refused is none.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from bedplate.assembly.state import Assembly
from bedplate.record.entries import Fasteners
from bedplate.record.sets import SetState, lacking, moved
from bedplate.sheet.model import Sheet
from bedplate.text import bare, folded, nearest, shell


class Draw(NamedTuple):
    """What is to be drawn before a set can be moved.

    Attributes:
        name: of the one-use thing, as the sheet spells it.
        number: how many more of it.
    """

    name: str
    number: int

    @property
    def command(self) -> str:
        """What to type to draw it."""
        count = f" --count {self.number}" if self.number > 1 else ""
        return f"bedplate use {shell(self.name)}{count}"


def named_things(sheet: Sheet) -> list[str]:
    """Return the one-use things that a sheet names: parts always new, and what sets spend."""
    names = [component.id for component in sheet.component if component.renew]
    for row in sheet.fasteners:
        for things in (row.spends or {}).values():
            names += things
    return list(dict.fromkeys(names))


def meant(things: Sequence[str], part: str) -> str | None:
    """Return the one-use thing that a part drawn is surely meant for, but does not name.

    Anything may be drawn; what differs in blanks, hyphens, a plural or a letter only is a slip,
    and would leave the set without what it takes.

    >>> [meant(["tab washer"], part) for part in ("tab-washers", "Tab washer", "grease")]
    ['tab washer', None, None]
    """
    if folded(part) in map(folded, things):
        return None
    names = {_singular(name): name for name in things}
    near = nearest(_singular(part), names, most=1, alike=0.85)
    return names[near[0]] if near else None


def _singular(name: str) -> str:
    return bare(name).removesuffix("s")


def thing_name(state: SetState, thing: str) -> str:
    """Return the name of a one-use thing as the sheet spells it."""
    names = [name for things in (state.row.spends or {}).values() for name in things]
    return next((name for name in names if name.casefold() == thing), thing)


def to_draw(assembly: Assembly, state: SetState, words: str) -> Draw | None:
    """Return what is to be drawn before a set is moved so, None where all it takes is there.

    Args:
        assembly: the job.
        state: the set as it is.
        words: what is typed behind the set: ``tight --stage 2``.
    """
    word, _, stage = words.partition(" --stage ")
    entry = Fasteners.model_validate(
        {"set": state.address, "state": word, "stage": int(stage) if stage else None}
    )
    for thing, (takes, left) in lacking(assembly.sets, [(state, moved(state, entry))]).items():
        return Draw(thing_name(state, thing), takes - left)
    return None


def way_to(assembly: Assembly, state: SetState, words: str) -> tuple[str, ...]:
    """Return the lines that say how to come to a move: what it takes is drawn first.

    Args:
        assembly: the job.
        state: the set as it is.
        words: what is typed behind the set.
    """
    move = f"bedplate fasten {state.address} {words}"
    draw = to_draw(assembly, state, words)
    return (f"Type:  {move}",) if draw is None else (f"Type:  {draw.command}", f"Then:  {move}")
