"""One sum without a job: figures typed into a stack, worked out and judged like any fit.

Every figure is taken as a reading of its own: its last digit is its doubt, and a gauge error,
where one is given, is a maximum error of each. A whole number beside ``*`` or ``/`` multiplies.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from bedplate.assess.fits import AS_LEFT
from bedplate.assess.notes import TYPED_ONLY
from bedplate.assess.result import Band, FitResult
from bedplate.errors import NotUnderstoodError
from bedplate.metrology import figures
from bedplate.metrology.axes import Shape, Spot
from bedplate.metrology.error import Draw, Estimate, Gauge, combine, reading_draws
from bedplate.metrology.judge import COARSE, Limits, judge, passes, word
from bedplate.metrology.stack import parse_stack
from bedplate.sheet.model import Fit
from bedplate.text import quoted
from bedplate.units import Typed, convert, factor, read_limits, read_value, unit_named

_FIGURE = re.compile(
    r"(?<![\w.])(?:\d+[ -]\d+/\d+|\d+/\d+|\d*[.,]?\d+)(?:\s*(?:[^\W\d_]|%|\")[^\s()+*/-]*)?"
)
_WHOLE = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class _Parts:
    """An expression with its figures replaced by tags."""

    stack: str
    typed: dict[str, Typed]


def calculate(expression: str, band: str | None, gauge_error: str | None) -> FitResult:
    """Return what an expression comes to, judged against a band if there is one.

    Args:
        expression: figures with ``+ - * /`` and parentheses, units as typed; bare figures take
            the unit of the others, else inches where they look so and the band says nothing.
        band: limits with their unit.
        gauge_error: the maximum error of every figure, as a half-width.

    Raises:
        NotUnderstoodError: it cannot be read.
    """
    unit = _common_unit(expression, band)
    parts = _parts(expression, unit)
    shapes = {tag: Shape(tag) for tag in parts.typed}
    terms = parse_stack(parts.stack, shapes).terms
    shown_in = read_limits(band, unit)[2] if band is not None else unit
    error = _gauge_error(gauge_error, unit, shown_in)
    total = combine(
        (term.coefficient, _estimate(n, parts.typed[term.tag], shown_in, error))
        for n, term in enumerate(terms, start=1)
    )
    steps = [
        scaled for scaled in (_step(typed, shown_in) for typed in parts.typed.values()) if scaled
    ]
    return _judged(
        expression, total, band, shown_in, step=min(steps, default=Fraction(0)), error=error
    )


def _common_unit(expression: str, band: str | None) -> str:
    """Return the unit that bare figures take: that of the others, else of the band's system."""
    for found in _FIGURE.finditer(expression):
        letters = found[0].lstrip("0123456789.,/- ").strip()
        if letters:
            return _plain(unit_named(letters))
    if band is not None:
        return _plain(read_limits(band, "in")[2])
    return "in"


def _plain(unit: str) -> str:
    """Return the unit in which sizes are typed, for one in which clearances are."""
    return {"thou": "in", "tenth": "in", "um": "mm"}.get(unit, unit)


def _parts(expression: str, unit: str) -> _Parts:
    typed: dict[str, Typed] = {}

    def named(found: re.Match[str]) -> str:
        before = expression[: found.start()].rstrip()[-1:]
        after = expression[found.end() :].lstrip()[:1]
        if _WHOLE.fullmatch(found[0]) and (before in ("*", "/") or after == "*"):
            return found[0]
        tag = f"r{len(typed) + 1}"
        typed[tag] = read_value(found[0], unit)
        return tag

    stack = _FIGURE.sub(named, expression)
    if not typed:
        raise NotUnderstoodError(
            f"Nothing worked out. {quoted(expression)} has no figure.",
            'Type:  bedplate calc "1.0030 - 0.9979" --band 2..4thou',
        )
    return _Parts(stack, typed)


def _gauge_error(text: str | None, unit: str, shown_in: str) -> Fraction | None:
    if text is None:
        return None
    typed = read_value(text, unit)
    if typed.low is None or typed.two_ended or typed.low < 0:
        raise NotUnderstoodError(f"Nothing worked out. {quoted(text)} is no gauge error.")
    return typed.low * factor(typed.unit, shown_in)


def _step(typed: Typed, unit: str) -> Fraction:
    return typed.step * factor(typed.unit, unit)


def _estimate(n: int, typed: Typed, unit: str, error: Fraction | None) -> Estimate:
    """Return one figure as a reading: its typed step and the gauge's error are its doubt."""
    spot = Spot(f"r{n}")
    gauge = Gauge("", max_error=error) if error is not None else None
    variances = reading_draws(n, spot, gauge, step=_step(typed, unit))
    if typed.two_ended and typed.low is not None and typed.high is not None:
        width = (typed.high - typed.low) * factor(typed.unit, unit)
        variances[Draw("width", (n,))] = width**2 / 12
    low, high = (
        None if e is None else convert(e, typed.unit, unit) for e in (typed.low, typed.high)
    )
    return Estimate(low, high, dict.fromkeys(variances, Fraction(1)), variances, (n,))


def _judged(
    expression: str,
    total: Estimate,
    band: str | None,
    unit: str,
    *,
    step: Fraction,
    error: Fraction | None,
) -> FitResult:
    low, high = read_limits(band, unit)[:2] if band is not None else (None, None)
    kind = "clearance"
    shown = figures.figures([total], kind)
    verdict = judge(figures.cases([total], [Limits(low, high)], kind), shown.mean)
    return FitResult(
        fit=Fit(tag="calc", name=expression.strip()[:4000], stack=None),
        position=(),
        kind=kind,
        stage=AS_LEFT,
        verdict=verdict.verdict,
        unit=unit,
        side=verdict.side,
        word=word(kind, verdict.side),
        passes=passes(verdict.verdict),
        mean=shown.mean.middle if shown.mean else None,
        tightest=shown.tightest,
        loosest=shown.loosest,
        judged=verdict.judged,
        variance=verdict.variance,
        band=Band(low, high, None, band) if band is not None else None,
        margin=verdict.margin,
        probability=verdict.probability,
        capability=verdict.capability,
        step=step,
        notes=tuple(_notes(verdict.capability, error)),
    )


def _notes(capability: float | None, error: Fraction | None) -> Sequence[str]:
    notes = [] if error is not None else [TYPED_ONLY]
    if capability is not None and capability < COARSE:
        notes.append("this gauge is coarse for this band")
    return notes
