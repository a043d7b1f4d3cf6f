"""What the fasteners of every set have come to, and the one-use things they took.

``as found → removed → fitted → tight → locked``, counted fastener by fastener. A fold like
`bedplate.record.job`: it says what each entry did, whatever the rules think of it. Fasteners are
not told apart; of several that an entry may mean, it means the loosest (of those tightened
again, the one that waited longest).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import islice
from typing import NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Fasteners, PartUsed
from bedplate.record.job import Job
from bedplate.sheet import model
from bedplate.sheet.layout import Layout, Setting, joined

AS_FOUND, REMOVED, FITTED, TIGHT, LOCKED = "as found", "removed", "fitted", "tight", "locked"
STATES = (AS_FOUND, REMOVED, FITTED, TIGHT, LOCKED)
"""The states a fastener can be in, in order."""
SPENDING = (FITTED, TIGHT, LOCKED)
"""The states that one-use things can be needed for."""

_RANK = {FITTED: 0, REMOVED: 1, AS_FOUND: 2, TIGHT: 3, LOCKED: 4}


class Fastener(NamedTuple):
    """One fastener of a set.

    Attributes:
        state: one of `STATES`; ``tight`` from its first stage on.
        stage: the last stage it reached.
        trial: whether it is tight on old parts, only to take readings.
        entry: number of the entry that brought it there, 0 as found.
        carries: the states whose one-use things it had new.

    """

    state: str = AS_FOUND
    stage: int = 0
    trial: bool = False
    entry: int = 0
    carries: frozenset[str] = frozenset()


class Was(NamedTuple):
    """How a set stood after an entry: whether it clamped, and whether it was tight."""

    n: int
    clamps: bool
    tight: bool


@dataclass(frozen=True, slots=True)
class SetState:
    """A set of fasteners at one of its positions.

    Attributes:
        row: the set as the sheet has it.
        position: one of its positions.
        fasteners: each of them; a single one where the sheet does not say how many there are.
        moves: numbers of the entries that moved any of them, locking aside.
        history: how it stood after each entry.

    """

    row: model.Fasteners
    position: Setting
    fasteners: tuple[Fastener, ...]
    moves: list[int] = field(default_factory=list)
    history: list[Was] = field(default_factory=list)

    @property
    def address(self) -> str:
        """Its address: ``M.3``."""
        return joined(self.row.tag, self.position)

    @property
    def number(self) -> int:
        """How many fasteners there are."""
        return len(self.fasteners)

    @property
    def stages(self) -> int:
        """How many stages they are tightened in; 1 where the sheet names none."""
        return stages_of(self.row)

    @property
    def moved(self) -> int:
        """Number of the entry that last moved it, locking aside; 0 if none did."""
        return self.moves[-1] if self.moves else 0

    def moved_before(self, n: int) -> int:
        """Return the number of the last entry before ``n`` that moved it; 0 if none did."""
        return next((move for move in reversed(self.moves) if move < n), 0)

    @property
    def touched(self) -> int:
        """Number of the last entry that moved or locked any; 0 if there is none."""
        return self.history[-1].n if self.history else 0

    def count(self, *states: str) -> int:
        """Return how many are in one of ``states``."""
        return sum(f.state in states for f in self.fasteners)

    def reached(self, fastener: Fastener) -> bool:
        """Tell whether a fastener is tight to its last stage, or locked."""
        return fastener.state == LOCKED or (
            fastener.state == TIGHT and fastener.stage >= self.stages
        )

    @property
    def is_tight(self) -> bool:
        """Whether all are tight, be it for a trial; a set never yet moved counts as tight."""
        return not self.history or all(self.reached(f) for f in self.fasteners)

    @property
    def clamps(self) -> bool:
        """Whether any of them is tight, to whatever stage, or locked."""
        return self.count(TIGHT, LOCKED) > 0

    def is_left(self, state: str) -> bool:
        """Tell whether it may be left as ``removed``, ``fitted``, ``tight`` or ``locked``.

        What is further on will do too, but for ``removed``; a trial and what was never moved will
        not.
        """
        if state in (REMOVED, LOCKED):
            return all(f.state == state for f in self.fasteners)
        if state == FITTED:
            return all(f.state in SPENDING for f in self.fasteners)
        return all(self.reached(f) and not f.trial for f in self.fasteners)

    @property
    def is_final(self) -> bool:
        """Whether it is in the state it must be left in."""
        return self.is_left(self.row.final_state)

    def before(self, n: int) -> Was:
        """Return how it stood just before entry ``n``."""
        stood = Was(0, clamps=False, tight=True)
        for was in self.history:
            if was.n >= n:
                break
            stood = was
        return stood

    def needs(self) -> dict[tuple[str, str], int]:
        """Return how many one-use things it holds, by state and thing.

        Of a total for the whole set, ``k`` of ``number`` fasteners hold ⌈total·k/number⌉.
        """
        found: dict[tuple[str, str], int] = {}
        for state, things in (self.row.spends or {}).items():
            carrying = sum(state in f.carries for f in self.fasteners)
            for thing, total in things.items():
                found[state, thing.casefold()] = -(-total * carrying // self.number)
        return found


@dataclass(slots=True)
class Stock:
    """The one-use things of one name: how many were drawn, are in use and are spent."""

    name: str
    drawn: int = 0
    in_use: int = 0
    spent: int = 0

    @property
    def left(self) -> int:
        """How many are left to take; below nought where more were taken than drawn."""
        return self.drawn - self.in_use - self.spent


def stages_of(row: model.Fasteners) -> int:
    """Return how many stages a set is tightened in; 1 where the sheet names none."""
    return len(row.stages or ()) or 1


def meant(state: SetState, entry: Fasteners) -> list[int]:
    """Return which fasteners an entry means, as places in `SetState.fasteners`.

    Without a count these are all that can do what the entry says.
    """
    rank = _RANKS[entry.state]
    ranked = [
        (key, place)
        for place, fastener in enumerate(state.fasteners)
        if (key := rank(state, fastener, entry)) is not None
    ]
    chosen = [place for _, place in sorted(ranked)]
    return chosen if entry.count is None else chosen[: entry.count]


def moved(state: SetState, entry: Fasteners) -> SetState:
    """Return the set as an entry about it leaves it: as it is, where the entry moves none."""
    own = SetState(state.row, state.position, state.fasteners, [*state.moves], [*state.history])
    return _grown(own, entry)


def _grown(state: SetState, entry: Fasteners) -> SetState:
    """Return what `moved` does, its lists those of ``state``, grown: a fold keeps no other."""
    places = meant(state, entry)
    if not places:
        return state
    fasteners = list(state.fasteners)
    for place in places:
        fasteners[place] = _after(state, fasteners[place], entry)
    if entry.state != LOCKED:
        state.moves.append(entry.n)
    was = Was(
        entry.n,
        clamps=any(fastener.state in (TIGHT, LOCKED) for fastener in fasteners),
        tight=all(state.reached(fastener) for fastener in fasteners),
    )
    state.history.append(was)
    return SetState(state.row, state.position, tuple(fasteners), state.moves, state.history)


def _after(state: SetState, fastener: Fastener, entry: Fasteners) -> Fastener:
    """Return one fastener as the entry leaves it."""
    carries, n = fastener.carries, entry.n
    match entry.state:
        case "removed":
            return Fastener(REMOVED, entry=n)
        case "fitted":
            return Fastener(FITTED, entry=n, carries=carries | {FITTED})
        case "backed-off":
            return Fastener(FITTED, entry=n, carries=carries & {FITTED})
        case "locked":
            return Fastener(LOCKED, fastener.stage, fastener.trial, n, carries | {LOCKED})
        case "again":
            stage = fastener.stage if fastener.state == TIGHT else state.stages
            return Fastener(TIGHT, stage, fastener.trial, n, carries - {LOCKED})
        case "tight":
            trial = entry.trial is True
            taken = carries if trial else carries | {FITTED, TIGHT}
            return Fastener(TIGHT, entry.stage or state.stages, trial, n, taken)


Rank = Callable[[SetState, Fastener, Fasteners], tuple[int, int] | None]
"""Orders the fasteners that an entry may mean; None for one that it cannot mean."""


def _to_removed(_state: SetState, fastener: Fastener, _entry: Fasteners) -> tuple[int, int] | None:
    return None if fastener.state == REMOVED else (_RANK[fastener.state], fastener.stage)


def _to_fitted(_state: SetState, fastener: Fastener, _entry: Fasteners) -> tuple[int, int] | None:
    return (_RANK[fastener.state], 0) if fastener.state in (REMOVED, AS_FOUND) else None


def _to_tight(state: SetState, fastener: Fastener, entry: Fasteners) -> tuple[int, int] | None:
    stage = entry.stage or state.stages
    if fastener.state == TIGHT:
        same_kind = fastener.trial == (entry.trial is True)
        return (0, -fastener.stage) if same_kind and fastener.stage < stage else None
    return None if fastener.state == LOCKED else (1, _RANK[fastener.state])


def _to_locked(state: SetState, fastener: Fastener, _entry: Fasteners) -> tuple[int, int] | None:
    if fastener.state == LOCKED:
        return None
    return (0 if state.reached(fastener) and not fastener.trial else 1, _RANK[fastener.state])


def _to_backed_off(
    _state: SetState, fastener: Fastener, _entry: Fasteners
) -> tuple[int, int] | None:
    ranks = {TIGHT: 0, AS_FOUND: 1, LOCKED: 2}
    return (ranks[fastener.state], fastener.stage) if fastener.state in ranks else None


def _to_again(state: SetState, fastener: Fastener, entry: Fasteners) -> tuple[int, int] | None:
    ranks = {TIGHT: 0, AS_FOUND: 1, LOCKED: 2}
    # As found, or locked as it was found, it is taken to be at its last stage.
    stage = fastener.stage if fastener.state == TIGHT else state.stages
    if entry.stage not in (None, stage):
        return None
    return (ranks[fastener.state], fastener.entry) if fastener.state in ranks else None


_RANKS: Mapping[str, Rank] = {
    "removed": _to_removed,
    "fitted": _to_fitted,
    "tight": _to_tight,
    "locked": _to_locked,
    "backed-off": _to_backed_off,
    "again": _to_again,
}


def positions_named(layout: Layout, address: str, noun: str) -> list[tuple[str, Setting]]:
    """Return name and position of everything an address means; nothing where it means nothing."""
    try:
        selection = layout.select(address, noun)
    except NotUnderstoodError:
        return []
    return [(selection.named.name, position) for position in selection.positions]


@dataclass(slots=True)
class Sets:
    """Every set of fasteners of a job, at every position, and the stock of one-use things.

    Attributes:
        states: by tag and position, in the order of the sheet.
        stock: by name of the thing, casefolded.

    """

    states: dict[tuple[str, Setting], SetState]
    stock: dict[str, Stock] = field(default_factory=dict)
    _taken: int = field(default=0, repr=False, compare=False)

    @classmethod
    def of(cls, job: Job) -> Sets:
        """Return the sets that the live entries of a job add up to.

        Of one job they are always the same, grown by what was recorded since.
        """
        sets = job.followed(cls._begun)
        for entry in islice(job.entries, sets._taken, None):
            if isinstance(entry, Fasteners | PartUsed) and job.is_live(entry.n):
                sets._take(entry, job.layout)
        sets._taken = job.last
        return sets

    @classmethod
    def _begun(cls, job: Job) -> Sets:
        return cls(dict(_as_found(job.layout)))

    def _take(self, entry: Fasteners | PartUsed, layout: Layout) -> None:
        if isinstance(entry, PartUsed):
            self.thing(entry.part).drawn += 1 if entry.count is None else entry.count
            return
        for key in positions_named(layout, entry.set, "fasteners"):
            self._move(key, entry)

    def at(self, tag: str, position: Setting) -> SetState:
        """Return a set at one of its positions; ``tag`` as the sheet spells it."""
        return self.states[tag, position]

    def thing(self, name: str) -> Stock:
        """Return the stock of a thing, by its name without case."""
        return self.stock.setdefault(name.strip().casefold(), Stock(name.strip()))

    def left(self, name: str) -> int:
        """Return how many of a thing are left to take."""
        stock = self.stock.get(name.strip().casefold())
        return stock.left if stock is not None else 0

    def _move(self, key: tuple[str, Setting], entry: Fasteners) -> None:
        before = self.states[key]
        after = self.states[key] = _grown(before, entry)
        held, holds = before.needs(), after.needs()
        for state, thing in holds:
            more = holds[state, thing] - held[state, thing]
            if more:
                stock = self.thing(thing)
                stock.in_use += more
                stock.spent += max(0, -more)


def _as_found(layout: Layout) -> Iterable[tuple[tuple[str, Setting], SetState]]:
    for name in layout.names("fasteners"):
        row = layout.row(name, model.Fasteners)
        for place in layout.agreeing(name, {}):
            found = tuple(Fastener() for _ in range(row.number or 1))
            yield (name, place.position), SetState(row, place.position, found)


def lacking(sets: Sets, moves: Iterable[tuple[SetState, SetState]]) -> dict[str, tuple[int, int]]:
    """Return what moves would take more of than is left.

    Args:
        sets: the sets and the stock as they are.
        moves: each set before and after.

    Returns:
        By thing, how many are taken and how many are left; nothing of what none is taken of,
        though more was taken before than was drawn (a draw since struck).
    """
    takes: dict[str, int] = defaultdict(int)
    for before, after in moves:
        held = before.needs()
        for (state, thing), count in after.needs().items():
            takes[thing] += max(0, count - held[state, thing])
    return {
        thing: (count, max(0, left))
        for thing, count in takes.items()
        if count and count > (left := sets.left(thing))
    }
