"""Stages of tightening: what was reached, held against what the sheet says of the stage.

A stage with two ends (``16..18 lbf*ft``) is a band, inclusive; a figure alone (``60 N*m``) is a
setting to reach: what was reached is recorded, not judged.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Fasteners
from bedplate.sheet import model
from bedplate.units import Typed, convert, dimension, read_limits, read_value

KINDS = ("torque", "angle")
"""What a stage may be stated in."""
_DEFAULT = {"torque": "N*m", "angle": "degree"}


class StageLimits(NamedTuple):
    """What the sheet says of a stage.

    Attributes:
        low: the least, None where that side is open; both None for a figure alone.
        high: the most.
        unit: unit of both, and of bare figures typed for it.
        text: as the sheet has it.

    """

    low: Fraction | None
    high: Fraction | None
    unit: str
    text: str

    @property
    def kind(self) -> str:
        """``torque`` or ``angle``."""
        return dimension(self.unit)


class StageVerdict(NamedTuple):
    """A stage as it was reached.

    Attributes:
        verdict: ``in``, ``out``, ``not judged`` (a setting to reach) or ``not read``.
        side: ``low`` or ``high`` where it is out.
        limits: what it was held against.

    """

    verdict: str
    side: str | None
    limits: StageLimits


def stage_limits(limits: model.Limits) -> StageLimits:
    """Read what the sheet says of a stage.

    Raises:
        NotUnderstoodError: it is neither a torque nor an angle.

    >>> stage_limits(model.Limits(limits="60..65 degree")).unit
    'degree'

    """
    return _stage(limits.limits)


@lru_cache(maxsize=256)
def _stage(text: str) -> StageLimits:
    if ".." in text:
        low, high, unit = read_limits(text, _DEFAULT["torque"])
        if dimension(unit) not in KINDS:
            raise NotUnderstoodError(f"A stage is a torque or an angle, not {text}.")
        return StageLimits(low, high, unit, text)
    return StageLimits(None, None, _read(text).unit, text)


def _read(text: str) -> Typed:
    """Read a torque or an angle; a bare figure is a torque in N*m."""
    try:
        return read_value(text, _DEFAULT["torque"])
    except NotUnderstoodError as no_torque:
        try:
            return read_value(text, _DEFAULT["angle"])
        except NotUnderstoodError:
            raise no_torque from None


def read_reached(text: str, limits: model.Limits | None) -> Typed:
    """Read what was reached, as typed at the bench.

    Args:
        text: ``17``, ``17 lbf ft``, ``62 deg``; a bare figure takes the unit of the stage.
        limits: the stage; None where the sheet has none.

    Raises:
        NotUnderstoodError: not one value of what the stage is stated in.

    >>> read_reached("17", model.Limits(limits="16..18 lbf*ft")).text
    '17 lbf*ft'

    """
    if limits is None:
        return _read(text)
    return read_value(text, stage_limits(limits).unit)


def judge_stage(limits: model.Limits, value: str | None) -> StageVerdict:
    """Hold what was reached against a stage.

    Args:
        limits: the stage as the sheet has it.
        value: what was reached, with its unit; None where it was not read.

    >>> judge_stage(model.Limits(limits="16..18 lbf*ft"), "15 lbf*ft").side
    'low'

    """
    return _judged(limits.limits, value)


@lru_cache(maxsize=1024)
def _judged(text: str, value: str | None) -> StageVerdict:
    stage = _stage(text)
    if value is None:
        return StageVerdict("not read", None, stage)
    if stage.low is None and stage.high is None:
        return StageVerdict("not judged", None, stage)
    typed = read_value(value, stage.unit)
    low, high = (
        None if end is None else convert(end, typed.unit, stage.unit)
        for end in (typed.low, typed.high)
    )
    if stage.low is not None and (low is None or low < stage.low):
        return StageVerdict("out", "low", stage)
    if stage.high is not None and (high is None or high > stage.high):
        return StageVerdict("out", "high", stage)
    return StageVerdict("in", None, stage)


def stage_of(row: model.Fasteners, stage: int | None) -> model.Limits | None:
    """Return the limits of a stage of a set (its last, for None); None where it has none."""
    stages = row.stages or ()
    number = stage or len(stages)
    return stages[number - 1] if 1 <= number <= len(stages) else None


def judged(
    row: model.Fasteners, entry: Fasteners, stage: int | None = None
) -> StageVerdict | None:
    """Judge what an entry about a set says was reached.

    Args:
        row: the set.
        entry: an entry that tightened it, for the first time or again.
        stage: the stage it was tightened to, where the entry does not say.

    Returns:
        The verdict; None where the set has no stages or the entry does not tighten.

    """
    limits = stage_of(row, entry.stage or stage)
    if limits is None or entry.state not in ("tight", "again"):
        return None
    return judge_stage(limits, entry.value)
