"""How long a job stays signed: what may follow a seal, and what ends it.

A seal stays true of the lines before it for ever. The *job* is signed for the seal's moment while
only those follow that a later moment asks for, with what they need.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bedplate.errors import BedplateError
from bedplate.record.entries import AnyEntry, Reopened, Strike
from bedplate.seal.weigh import Weighed

if TYPE_CHECKING:
    from bedplate.assembly.moments import Asked

_WITHOUT_ASKING = frozenset({"gauge", "setting", "set-aside", "signed"})
"""Kinds that any later moment may need, and counter-signing."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One good seal, and whether the job is still signed by it.

    Attributes:
        entry: its number.
        moment: what it was signed for.
        ended: the entry that ended it, None while it stands.
        reopened: whether that entry says so.

    """

    entry: int
    moment: str
    ended: int | None
    reopened: bool

    @property
    def stands(self) -> bool:
        """Whether the job is still signed by it."""
        return self.ended is None

    @property
    def said(self) -> str:
        """How far the job was signed, without its full stop."""
        end = "reopened" if self.reopened else "changed since"
        at = "" if self.stands else f", {end} by entry {self.ended}"
        return f"signed up to entry {self.entry - 1}{at}"


def standing_of(entries: Sequence[AnyEntry], seals: Sequence[Weighed]) -> tuple[Standing, ...]:
    """Return, for each good seal, whether the job is still signed by it.

    Args:
        entries: all entries of the job.
        seals: the seals that are sound and by a key known here.

    """
    later = _Later(entries)
    found = []
    for seal in seals:
        moment = seal.sealed.moment if seal.sealed else ""
        behind = entries[seal.line :]
        ending = next((e for e in behind if _ends(e, seal.line, moment, later)), None)
        reopened = isinstance(ending, Reopened)
        ended = ending.n if ending else None
        found.append(Standing(seal.line, moment, ended, reopened=reopened))
    return tuple(found)


def _ends(entry: AnyEntry, seal: int, moment: str, later: _Later) -> bool:
    """Tell whether an entry behind a seal ends it."""
    if entry.kind in _WITHOUT_ASKING:
        return False
    if isinstance(entry, Strike):
        return entry.entry <= seal
    return isinstance(entry, Reopened) or not later.asks_for(entry, seal, moment)


class _Later:
    """What the moments of a job ask for, worked out when it is first asked.

    A job whose entries add up to none (its sheet is broken, it speaks of what is not there) has
    nothing asked for.
    """

    def __init__(self, entries: Sequence[AnyEntry]) -> None:
        self.entries = entries
        self._asked: dict[str, Asked | None] = {}

    def asks_for(self, entry: AnyEntry, seal: int, moment: str) -> bool:
        """Tell whether a moment later than the sealed one asks for an entry."""
        if moment not in self._asked:
            self._asked[moment] = self._behind(moment)
        asked = self._asked[moment]
        return asked is not None and asked.for_(entry, seal)

    def _behind(self, moment: str) -> Asked | None:
        from bedplate.assembly.moments import Asked  # noqa: PLC0415 - not needed by most jobs
        from bedplate.record.job import fold  # noqa: PLC0415

        try:
            return Asked.behind(fold(self.entries), [moment])
        except BedplateError:
            return None
