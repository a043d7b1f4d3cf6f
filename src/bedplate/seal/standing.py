"""How long a job stays signed: what may follow a seal, and what ends it.

A seal stays true of the lines before it for ever. The *job* is signed for the seal's moment while
only those follow that a later moment asks for, with what they need.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bedplate.record.entries import AnyEntry, Reopened, Strike
from bedplate.seal.weigh import Weighed

AskedLater = Callable[[AnyEntry, str], bool]
"""Tells whether a moment later than the one named asks for an entry."""

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


def standing_of(
    entries: Sequence[AnyEntry], seals: Sequence[Weighed], asked_later: AskedLater | None
) -> tuple[Standing, ...]:
    """Return, for each good seal, whether the job is still signed by it.

    Args:
        entries: all entries of the job.
        seals: the seals that are sound and by a key known here.
        asked_later: the rule that needs the build sheet; without one nothing is asked for later.

    """
    found = []
    for seal in seals:
        moment = seal.sealed.moment if seal.sealed else ""
        ending = next(
            (e for e in entries[seal.line :] if _ends(e, seal.line, moment, asked_later)), None
        )
        found.append(
            Standing(
                seal.line,
                moment,
                ended=ending.n if ending else None,
                reopened=isinstance(ending, Reopened),
            )
        )
    return tuple(found)


def _ends(entry: AnyEntry, seal: int, moment: str, asked_later: AskedLater | None) -> bool:
    """Tell whether an entry behind a seal ends it."""
    if entry.kind in _WITHOUT_ASKING:
        return False
    if isinstance(entry, Strike):
        return entry.entry <= seal
    if isinstance(entry, Reopened) or asked_later is None:
        return True
    return not asked_later(entry, moment)
