"""One fit in words and figures, from data worked out below; no screen and no layout here.

The same data goes out as JSON (`assess.rows`), so the two cannot disagree.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from bedplate.assess.notes import TYPED_ONLY
from bedplate.assess.result import FitResult
from bedplate.report import bands, figures, values, verdicts
from bedplate.report.second import beside, second_of
from bedplate.text import listed, shown_text
from bedplate.units import decimal_text, round_up_root


def said(result: FitResult, *, draw: bool = False, alone: bool = False) -> str:
    """Return the verdict as a phrase, by how much it is out included.

    Args:
        result: the fit.
        draw: with drawn unit signs.
        alone: without a second unit, where that stands elsewhere.
    """
    beyond = None
    if result.margin is not None and result.margin < 0:
        second = None if alone else second_of(result)
        beyond = figures.margin(result.margin, values.places_of(result))
        if second is not None:
            beyond = figures.amount(beyond, result.unit, draw=draw)
            beyond = beside(beyond, second, second.distance(result.margin), draw=draw)
    return verdicts.said(result.verdict, result.side, result.kind, beyond, result.missing)


def sign(result: FitResult) -> str:
    """Return the five-place picture of the verdict."""
    band = result.band
    return verdicts.sign(
        result.verdict,
        result.side,
        has_low=band is not None and band.low is not None,
        has_high=band is not None and band.high is not None,
    )


def wear_limit(result: FitResult) -> bands.Limit | None:
    """Return the wear limit on the deciding side, where the value lies beyond the band."""
    if result.wear is None or result.verdict in ("in", "in-close"):
        return None
    value = result.wear.high if result.side == "high" else result.wear.low
    return None if value is None else bands.Limit(decimal_text(value, 6), value)


def expanded(result: FitResult) -> Fraction | None:
    """Return U as a fraction fine enough to draw."""
    if result.variance is None:
        return None
    return Fraction(round_up_root(4 * result.variance, values.places_of(result) + 3))


def ends(result: FitResult) -> tuple[bands.Limit | None, bands.Limit | None]:
    """Return the two limits of a band, each with its text as entered, None where there is none."""
    low, high = values.limit_texts(result)
    band = result.band
    if band is None:
        return None, None
    return (
        bands.Limit(low, band.low) if low is not None and band.low is not None else None,
        bands.Limit(high, band.high) if high is not None and band.high is not None else None,
    )


def band_line(
    result: FitResult, cells: int, *, draw: bool = False, found: FitResult | None = None
) -> str:
    """Return the drawn band of a fit, empty where nothing is to be drawn.

    Args:
        result: the fit.
        cells: inside the bar; 0 draws nothing.
        draw: with line drawing characters.
        found: the same fit as found, where it is another one.
    """
    return bands.band_line(
        *ends(result),
        result.tightest,
        result.loosest,
        expanded(result),
        result.verdict,
        result.side,
        cells,
        draw=draw,
        as_found=found.judged if found is not None else None,
        wear=wear_limit(result),
    )


def fit_name(result: FitResult) -> str:
    """Return tag and place: ``EC driver``."""
    return f"{result.tag} {result.place}" if result.place else result.tag


def agreement(result: FitResult) -> str:
    """Return how a fit stands to the other way to its quantity; "" where it was not compared.

    E_n is given to two decimals, to more where it lies so near 1 that they would deny the verdict.
    """
    if not result.is_compared:
        return ""
    word = "disagrees" if result.disagrees else "agrees"
    told = f"{fit_name(result)} {word} with {result.same_as}"
    if result.e_n is not None:
        told += f": E_n {figures.shown(result.e_n, 2, [Fraction(1)])}"
    return f"{told}, one of the two is wrong" if result.disagrees else told


def waiting(result: FitResult) -> str:
    """Return what a fit still waits for, whole features shortened to their address.

    Values with two ends form no spread, and no flatness: such a fit waits for values of one.
    """
    without = "what was left out" if result.left_out else "values of one figure"
    return listed(shortened(result.missing), most=3) or without


def shortened(addresses: Iterable[str]) -> list[str]:
    """Return addresses without their stations, each once.

    >>> shortened(["H.idler@a", "H.idler@b", "D.idler@12"])
    ['H.idler', 'D.idler']
    """
    return list(dict.fromkeys(address.partition("@")[0] for address in addresses))


def plain_sentence(result: FitResult) -> str:
    """Return a fit for a screen reader: words, then figures, no drawing, no alignment."""
    title = shown_text(result.fit.title)
    name = f"{title} {result.tag}" if result.fit.title != result.tag else result.tag
    where = f", {result.place}" if result.place else ""
    if not result.measured:
        return f"Verdict: {name}{where}: waiting for {waiting(result)}."
    value = values.spoken(result)
    if " to " in values.range_shown(result):
        value = f"From {value}"
    limits = f" Band {values.limits_shown(result)}." if result.band is not None else ""
    return f"Verdict: {name}{where}: {said(result)}. {value[0].upper()}{value[1:]}.{limits}"


def is_typed_only(results: Iterable[FitResult]) -> bool:
    """Tell whether U comes from the digits typed alone, in any of these."""
    return any(TYPED_ONLY in result.notes for result in results)
