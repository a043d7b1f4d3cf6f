"""Fits as their reader prefers to see them: in which unit, and in a second one beside it.

Only what is shown changes: the figures are the same exact values, and verdicts, JSON and the
record never see a preference.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from fractions import Fraction
from typing import Final, NamedTuple

from bedplate.assess.result import FitResult
from bedplate.report import values
from bedplate.report.second import OTHER, ShownFit, second_for
from bedplate.units import factor


class Preference(NamedTuple):
    """What whoever reads prefers.

    Attributes:
        show: the unit of a length that neither the sheet nor a limit gives one; ``as entered``
            leaves it in its features'.
        both: a second unit stands in brackets.
    """

    show: str = "as entered"
    both: bool = False

    def of(self, result: FitResult) -> FitResult:
        """Return a fit as it is shown under this preference.

        The unit that the sheet gives a fit holds, then that of its band as entered, then
        ``show``. The second unit is of the other system; ``show`` says which, where it is of it.
        """
        free = result.band is None and not result.fit.bands and result.fit.unit is None
        if free and self.show in OTHER and result.unit in OTHER:
            result = _expressed(result, self.show)
        return _with_second(result, self.show) if self.both else result


AS_ENTERED: Final = Preference()
"""Of somebody who has said nothing."""


def _expressed(result: FitResult, unit: str) -> FitResult:
    """Return a fit without limits in another unit, exactly."""
    scale = factor(result.unit, unit)

    def scaled(value: Fraction | None) -> Fraction | None:
        return None if value is None else value * scale

    return replace(
        result,
        unit=unit,
        mean=scaled(result.mean),
        tightest=scaled(result.tightest),
        loosest=scaled(result.loosest),
        judged=scaled(result.judged),
        variance=None if result.variance is None else result.variance * scale**2,
        step=result.step * scale,
    )


def _with_second(result: FitResult, show: str) -> FitResult:
    band = result.band
    limits = [] if band is None else [each for each in (band.low, band.high) if each is not None]
    ends = [each for each in (result.tightest, result.loosest) if each is not None]
    second = second_for(
        result.unit,
        show,
        max(map(abs, [*limits, *ends]), default=Fraction(0)),
        values.places_of(result),
        max((values.decimals(t) for t in values.limit_texts(result) if t), default=0),
        _apart(result, limits),
    )
    if second is None:
        return result
    known = {each.name: getattr(result, each.name) for each in fields(FitResult)}
    return ShownFit(**known, second=second)


def _apart(result: FitResult, limits: list[Fraction]) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield what the figures in brackets may not contradict: the verdict, and which side of 0."""
    if result.judged is not None:
        yield from ((result.judged, limit) for limit in limits)
    for end in (result.tightest, result.loosest, result.mean):
        if end is not None and values.turned(result, end):
            yield end, Fraction(0)
