"""One sum without a job: figures typed into a stack, worked out and judged like any fit.

Every figure is taken as a reading of its own: its last digit is its doubt, and a gauge error,
where one is given, is a maximum error of each. A whole number beside ``*`` or ``/`` multiplies.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.fits import AS_LEFT
from bedplate.assess.notes import TYPED_ONLY
from bedplate.assess.result import Band, FitResult
from bedplate.errors import NotUnderstoodError
from bedplate.metrology import figures
from bedplate.metrology.axes import Shape, Spot
from bedplate.metrology.error import Draw, Estimate, Gauge, combine, reading_draws
from bedplate.metrology.judge import COARSE, Limits, judge, passes, word
from bedplate.metrology.stack import Term, parse_stack
from bedplate.sheet.model import Fit
from bedplate.text import quoted
from bedplate.units import Typed, convert, factor, read_limits, read_value, unit_named

MOST_CHARACTERS = 4000
"""Characters that a sum may have."""

_NUMBER = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d*[.,]?\d+(?:[.,]\d+)*)"
_FIGURE = re.compile(
    rf"(?<![\w.])(?:{_NUMBER}?\.\.{_NUMBER}?|{_NUMBER})"
    r"(?:\s*(?:[^\W\d_]|%|\")[^\s()+*/-]*(?:[*/ ][^\W\d_][^\s()+*/-]*)*)?"
)
_WHOLE = re.compile(r"(\d+)(?:\s*[^\W\d_]+)?")
_WORD = re.compile(r"[^\W\d_]\w*")
_TAG = re.compile(r"\br\d+\b")
_IN_FIGURES = (
    (" as a stack", ""),
    ("; a stack is a sum", ""),
    ("a tag", "a figure"),
    ("a figure or a figure", "a figure"),
)
"""What is said of tags in a stack, said of figures in a sum."""


class _Parts(NamedTuple):
    """An expression with its figures replaced by tags."""

    stack: str
    typed: dict[str, Typed]
    texts: dict[str, str]


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
    if len(expression) > MOST_CHARACTERS:
        raise NotUnderstoodError(
            f"Nothing worked out. A sum may have {MOST_CHARACTERS} characters, and this has "
            f"{len(expression)}."
        )
    own = _typed_unit(expression)
    unit = _plain(own) if own is not None else _unit_of_band(band)
    parts = _parts(expression, unit)
    terms = _terms(parts)
    shown_in = read_limits(band, unit)[2] if band is not None else own or unit
    error = _gauge_error(gauge_error, unit, shown_in)
    total = combine(
        (term.coefficient, _estimate(n, parts.typed[term.tag], shown_in, error))
        for n, term in enumerate(terms, start=1)
    )
    steps = [
        scaled for scaled in (_step(typed, shown_in) for typed in parts.typed.values()) if scaled
    ]
    fit = Fit(tag="calc", name=expression.strip()[:4000], stack=None, unit=own)
    return _judged(fit, total, band, shown_in, step=min(steps, default=Fraction(0)), error=error)


def _typed_unit(expression: str) -> str | None:
    """Return the unit of the first figure that has one."""
    for found in _FIGURE.finditer(expression):
        letters = found[0].lstrip("0123456789.,/- ").strip()
        if letters:
            return unit_named(letters)
    return None


def _unit_of_band(band: str | None) -> str:
    """Return the unit of figures that all are bare: of the band's system, else inches."""
    return "in" if band is None else _plain(read_limits(band, "in")[2])


def _plain(unit: str) -> str:
    """Return the unit in which sizes are typed, for one in which clearances are."""
    return {"thou": "in", "tenth": "in", "um": "mm"}.get(unit, unit)


def _parts(expression: str, unit: str) -> _Parts:
    typed: dict[str, Typed] = {}
    texts: dict[str, str] = {}

    def named(found: re.Match[str]) -> str:
        before = expression[: found.start()].rstrip()[-1:]
        after = expression[found.end() :].lstrip()[:1]
        count = _WHOLE.fullmatch(found[0])
        # A unit behind a divisor is that of the whole sum: (48.043 - 47.990)/2 mm.
        if count and (before in ("*", "/") or (after == "*" and count[1] == found[0])):
            return count[1]
        tag = f"r{len(typed) + 1}"
        typed[tag], texts[tag] = read_value(found[0], unit), found[0]
        return tag

    stack = _FIGURE.sub(named, expression)
    if not typed:
        raise NotUnderstoodError(
            f"Nothing worked out. {quoted(expression)} has no figure.",
            'Type:  bedplate calc "1.0030 - 0.9979" --band 2..4thou',
        )
    if odd := _WORD.search(_TAG.sub("", stack)):
        raise NotUnderstoodError(
            f"Nothing worked out. {quoted(odd[0])} is no figure.",
            'Type:  bedplate calc "1.0030 - 0.9979" --band 2..4thou',
        )
    return _Parts(stack, typed, texts)


def _terms(parts: _Parts) -> Sequence[Term]:
    """Return the terms of an expression; what is wrong with it is said in the figures typed."""
    try:
        return parse_stack(parts.stack, {tag: Shape(tag) for tag in parts.typed}).terms
    except NotUnderstoodError as fault:
        said = _TAG.sub(lambda tag: parts.texts[tag[0]], fault.message)
        for word, ours in _IN_FIGURES:
            said = said.replace(word, ours)
        raise NotUnderstoodError(f"Nothing worked out. {said}") from None


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
    fit: Fit,
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
        fit=fit,
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
