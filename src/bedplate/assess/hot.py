"""Fits as they would be warm: each part grown by its own expansion; shown, never judged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.fits import AS_FOUND, Assessment
from bedplate.assess.recorded import component_expansion
from bedplate.assess.result import FitResult
from bedplate.assess.settlement import Known
from bedplate.errors import NotUnderstoodError
from bedplate.metrology import thermal
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import combine
from bedplate.record.job import Job
from bedplate.sheet.model import Component, Feature
from bedplate.text import near_or_list, quoted
from bedplate.units import dimension, read_temperature


class Warmth(NamedTuple):
    """How warm the parts are.

    Attributes:
        everywhere: in degC, where nothing else is said; None where only some parts are named.
        components: in degC, by component.
        text: as typed.
    """

    everywhere: Fraction | None
    components: Mapping[str, Fraction]
    text: str

    def __bool__(self) -> bool:
        return bool(self.text)

    def at(self, component: str) -> Fraction:
        """Return the temperature of a component; 20 degC where none is said."""
        other = thermal.REFERENCE if self.everywhere is None else self.everywhere
        return self.components.get(component, other)

    def why_not(self, result: FitResult) -> str:
        """Return why a fit's growth is not known."""
        if not result.measured:
            return "not all readings are in"
        if result.tightest is None or result.loosest is None:
            return "an end of it is open"
        if dimension(result.unit) != "length":
            return "it is no length"
        return "the expansion of a part it rests on is not on the sheet"


class Grown(NamedTuple):
    """A fit grown: exact, in the unit of the fit."""

    mean: Fraction
    tightest: Fraction
    loosest: Fraction


def read_warmth(job: Job, typed: Sequence[str]) -> Warmth:
    """Return the temperatures typed after ``--hot``: ``90degC`` for all, ``body=70degC`` for one.

    Raises:
        NotUnderstoodError: no temperature, or no such component.
    """
    everywhere: Fraction | None = None
    components: dict[str, Fraction] = {}
    for text in typed:
        name, equals, degrees = text.rpartition("=")
        if not equals:
            everywhere = _degrees(text)
            continue
        found = job.layout.find(name, "component")
        if found is None:
            known = job.layout.names("component")
            raise NotUnderstoodError(
                f"Nothing checked. There is no component {quoted(name)}.",
                near_or_list(name, known, "Components"),
            )
        components[found.name] = _degrees(degrees)
    return Warmth(everywhere, components, ", ".join(typed))


def _degrees(text: str) -> Fraction:
    try:
        return read_temperature(text)
    except NotUnderstoodError as fault:
        raise NotUnderstoodError(f"Nothing checked. {fault.message}", *fault.hint) from None


def grown(assessment: Assessment, result: FitResult, warmth: Warmth) -> Grown | None:
    """Return a fit with every part grown by 1 + α(T − 20), None where that is not known.

    Args:
        assessment: the job's fits.
        result: the fit, every reading of it in.
        warmth: how warm the parts are.
    """
    if not result.measured or dimension(result.unit) != "length":
        return None
    row = next(r for r in assessment.rows(result.fit) if r.position == result.position)
    instead: dict[Spot, Known] = {}
    for spot in row.spots:
        known = assessment.readings.known(spot, as_found=result.stage == AS_FOUND)
        if known is None:
            continue
        growth = _growth(assessment.job, spot, warmth)
        if growth is None:
            return None
        estimate = combine([(growth, known.estimate)]) if known.estimate is not None else None
        instead[spot] = replace(known, estimate=estimate)
    warm = assessment.forecast(instead).row(result.fit, row)[-1]
    if warm.mean is None or warm.tightest is None or warm.loosest is None:
        return None
    return Grown(warm.mean, warm.tightest, warm.loosest)


def _growth(job: Job, spot: Spot, warmth: Warmth) -> Fraction | None:
    """Return the growth of what is read at an address, None where its parts grow differently."""
    found = set()
    for name in job.layout.row(spot.tag, Feature).components:
        component = job.layout.row(name, Component)
        temperature = warmth.at(component.id)
        expansion = component_expansion(component)
        if expansion is None and temperature != thermal.REFERENCE:
            return None
        found.add(thermal.growth(expansion or Fraction(0), temperature))
    return found.pop() if len(found) == 1 else None
