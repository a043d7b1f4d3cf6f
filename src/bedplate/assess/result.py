"""One fit at one position, worked out: what `check` shows a row of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from bedplate.sheet.model import Fit


class Band(NamedTuple):
    """Limits in the unit of the fit, nominal added; ``None`` where a side has no limit."""

    low: Fraction | None
    high: Fraction | None
    source: str | None
    text: str = ""
    """As the user entered it, its unit included."""


def same_position(
    axes: Sequence[str], names: Sequence[str], other_axes: Sequence[str], others: Sequence[str]
) -> bool:
    """Tell whether two positions are one: on the same axes by these, else name for name.

    Two stacks can meet the same axes in another order.

    >>> same_position(["cyl", "way"], ["1", "in"], ["way", "cyl"], ["in", "1"])
    True
    """
    mine, theirs = [*map(str.casefold, axes)], [*map(str.casefold, other_axes)]
    if mine == theirs or set(mine) != set(theirs):
        return tuple(names) == tuple(others)
    return dict(zip(mine, names, strict=True)) == dict(zip(theirs, others, strict=True))


@dataclass(frozen=True, slots=True)
class FitResult:
    """A fit at one position and stage. Magnitudes are exact, in ``unit``.

    Attributes:
        fit: the fit as the sheet has it.
        position: names on its free position axes, empty where there are none.
        axes: names of these axes.
        kind: kind of quantity, the default worked out.
        stage: ``as left`` or ``as found``.
        verdict: in, in-close, serviceable, out-close, out, no-band or unmeasured.
        side: ``low`` or ``high``, None for ``in`` and where there is no verdict.
        word: the side in the trade's words (tight, loose, undersize, …).
        passes: whether it may be signed for under the rule that holds.
        unit: unit of all magnitudes.
        mean, tightest, loosest: of the complete combinations; None where there is none.
        judged: the value that decided.
        variance: square of its standard uncertainty; U = 2u.
        band: limits that decided.
        wear: wider limits for parts in their first life, where they count.
        margin: how far inside the limit that decided (negative: outside).
        aim: the value wished for, where the band states one.
        probability: that the value lies in band; capability: band width over 2U.
        step: finest figure of the readings it rests on, for showing.
        readings: numbers of the entries it rests on.
        missing: addresses still to be read.
        left_out: addresses left out on purpose.
        same_as: tag of the fit that is another way to this quantity.
        e_n: their normalized difference, rounded far below what is shown; ``disagrees``: it is
            beyond chance.
        notes: what was assumed, in words.
    """

    fit: Fit
    position: tuple[str, ...]
    kind: str
    stage: str
    verdict: str
    unit: str
    side: str | None = None
    word: str | None = None
    passes: bool = False
    mean: Fraction | None = None
    tightest: Fraction | None = None
    loosest: Fraction | None = None
    judged: Fraction | None = None
    variance: Fraction | None = None
    band: Band | None = None
    wear: Band | None = None
    margin: Fraction | None = None
    aim: Fraction | None = None
    probability: float | None = None
    capability: float | None = None
    step: Fraction = Fraction(0)
    readings: tuple[int, ...] = ()
    missing: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    same_as: str | None = None
    e_n: Fraction | None = None
    disagrees: bool = False
    notes: tuple[str, ...] = ()
    axes: tuple[str, ...] = ()

    @property
    def tag(self) -> str:
        """Tag of the fit."""
        return self.fit.tag

    @property
    def place(self) -> str | None:
        """Its position as shown, None where the fit has no position axis."""
        return "/".join(self.position) or None

    @property
    def address(self) -> str:
        """Tag and position, as a concession names it."""
        return f"{self.tag}.{self.place}" if self.place else self.tag

    def meets(self, other: FitResult) -> bool:
        """Tell whether another fit is formed at the same position as this one."""
        return same_position(self.axes, self.position, other.axes, other.position)

    @property
    def is_compared(self) -> bool:
        """Whether it was held against another way to the same quantity."""
        return self.e_n is not None or self.disagrees

    @property
    def measured(self) -> bool:
        """Whether every reading it needs is there."""
        return self.verdict != "unmeasured"
