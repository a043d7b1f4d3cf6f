"""A worked-out fit as plain data: the rows that ``--json`` gives, everywhere the same."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from bedplate.assess.result import Band, FitResult
from bedplate.units import decimal_text, root_text


def as_row(result: FitResult) -> dict[str, Any]:
    """Return one row of ``check``: figures as decimal text in the unit of the row.

    Every key is always there; what is absent is None. U is given to 12 significant digits,
    other figures (E_n too) exactly where they end within 12 decimals, else rounded half-even
    there; only probability and capability are floats.
    """
    return {
        "tag": result.tag,
        "position": result.place,
        "name": result.fit.title,
        "kind": result.kind,
        "stage": result.stage,
        "verdict": result.verdict,
        "side": result.side,
        "word": result.word,
        "unit": result.unit,
        "mean": _figure(result.mean),
        "tightest": _figure(result.tightest),
        "loosest": _figure(result.loosest),
        "judged": _figure(result.judged),
        "expanded_uncertainty": None
        if result.variance is None
        else root_text(4 * result.variance),
        "band": _band(result.band, source=True),
        "wear": _band(result.wear, source=False),
        "margin": _figure(result.margin),
        "probability_in_band": result.probability,
        "capability": result.capability,
        "readings": list(result.readings),
        "missing": list(result.missing),
        "same_as": result.same_as,
        "e_n": _figure(result.e_n),
        "notes": list(result.notes),
    }


def _figure(value: Fraction | None) -> str | None:
    return None if value is None else decimal_text(value)


def _band(band: Band | None, *, source: bool) -> dict[str, str | None] | None:
    if band is None:
        return None
    sides = {"low": _figure(band.low), "high": _figure(band.high)}
    return {**sides, "source": band.source} if source else sides
