"""Fits as they would be warm: each part grown by its own expansion; shown, never judged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bedplate.assess.estimates import component_expansion
from bedplate.assess.fits import Assessment
from bedplate.assess.geometry import Group
from bedplate.assess.limits import base_unit
from bedplate.assess.result import FitResult
from bedplate.errors import NotUnderstoodError
from bedplate.metrology import figures, thermal
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Estimate, combine
from bedplate.record.job import Job
from bedplate.sheet.model import Component, Feature
from bedplate.text import near_or_list, quoted
from bedplate.units import dimension, factor, read_temperature


@dataclass(frozen=True, slots=True)
class Warmth:
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
        if dimension(result.unit) != "length":
            return "it is no length"
        return "the expansion of a part it rests on is not on the sheet"


@dataclass(frozen=True, slots=True)
class Grown:
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
            everywhere = read_temperature(text)
            continue
        found = job.layout.find(name, "component")
        if found is None:
            known = job.layout.names("component")
            raise NotUnderstoodError(
                f"Nothing checked. There is no component {quoted(name)}.",
                near_or_list(name, known, "Components"),
            )
        components[found.name] = read_temperature(degrees)
    return Warmth(everywhere, components, ", ".join(typed))


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
    scale = factor(base_unit(result.unit), result.unit)
    estimates = []
    for group in row.groups:
        warm = _group(assessment, group, warmth)
        if warm is None:
            return None
        if warm.spots:
            values = [combine([(scale, e)]) for e in warm.estimates]
            estimates.append(group.form(values))
    shown = figures.figures(estimates, result.kind)
    if shown.mean is None or shown.mean.middle is None:
        return None
    if shown.tightest is None or shown.loosest is None:
        return None
    return Grown(shown.mean.middle, shown.tightest, shown.loosest)


@dataclass(frozen=True, slots=True)
class _Warm:
    spots: tuple[Spot, ...]
    estimates: tuple[Estimate, ...]


def _group(assessment: Assessment, group: Group, warmth: Warmth) -> _Warm | None:
    """Return the estimates of a group, each grown; empty where one was left out."""
    spots, estimates = [], []
    for spot in group.spots:
        known = assessment.readings.known(spot)
        if known is None or known.estimate is None:
            if known is not None and known.left_out and group.least is not None:
                continue
            return _Warm((), ())
        growth = _growth(assessment.job, spot, warmth)
        if growth is None:
            return None
        spots.append(spot)
        estimates.append(combine([(growth, known.estimate)]))
    return _Warm(tuple(spots), tuple(estimates))


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
