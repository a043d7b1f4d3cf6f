"""One fit in words and figures, from data worked out below; no screen and no layout here.

The same data goes out as JSON (`assess.rows`), so the two cannot disagree.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from bedplate.assess.notes import TYPED_ONLY
from bedplate.assess.result import FitResult
from bedplate.report import bands, figures, verdicts
from bedplate.text import listed, visible
from bedplate.units import decimal_text, round_up_root


def limit_texts(result: FitResult) -> tuple[str | None, str | None]:
    """Return the two limits as the user entered them, where they are the same in this unit."""
    band = result.band
    if band is None:
        return None, None
    entered = band.text.partition("..")
    return _as_entered(entered[0], band.low), _as_entered(entered[2], band.high)


def _as_entered(text: str, value: Fraction | None) -> str | None:
    if value is None:
        return None
    figure = text.strip().split(" ")[0].rstrip("abcdefghijklmnopqrstuvwxyzµ%*/^_")
    try:
        same = Fraction(figure) == value
    except (ValueError, ZeroDivisionError):
        same = False
    return figure.lstrip("+") if same and "/" not in figure else decimal_text(value, 6)


def places_of(result: FitResult) -> int:
    """Return the decimals that the values of a fit are shown with."""
    return figures.places_for(result.unit, result.step or None)


def value_shown(result: FitResult, value: Fraction | None) -> str:
    """Return a value of a fit in its unit, with as many digits as its verdict needs."""
    if value is None:
        return "-"
    held = [] if result.band is None else [result.band.low, result.band.high]
    return figures.shown(value, places_of(result), held if value == result.judged else ())


def uncertainty_shown(result: FitResult) -> str:
    """Return U of the deciding value, rounded up; a dash where nothing is known."""
    if result.variance is None:
        return "-"
    return round_up_root(4 * result.variance, places_of(result) + 1)


def said(result: FitResult) -> str:
    """Return the verdict as a phrase, by how much it is out included."""
    beyond = None
    if result.margin is not None and result.margin < 0:
        beyond = figures.margin(result.margin, places_of(result))
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
    return Fraction(round_up_root(4 * result.variance, places_of(result) + 3))


def limits_shown(result: FitResult, *, draw: bool = False) -> str:
    """Return the band of a fit: ``2 to 4 thou``, or a dash where there is none."""
    low, high = limit_texts(result)
    return figures.limits_shown(low, high, result.unit, draw=draw)


def ends(result: FitResult) -> tuple[bands.Limit | None, bands.Limit | None]:
    """Return the two limits of a band, each with its text as entered, None where there is none."""
    low, high = limit_texts(result)
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


def figure_shown(result: FitResult, *, draw: bool = False) -> str:
    """Return the value with its doubt: ``2.9 to 3.1 +-0.19 thou``."""
    doubt = f" {'±' if draw else '+-'}{uncertainty_shown(result)}" if result.variance else ""
    return f"{range_shown(result)}{doubt} {figures.unit_word(result.unit, draw=draw)}"


def range_shown(result: FitResult) -> str:
    """Return the value of a fit, both ends where they differ: ``2.9 to 3.1``; no unit."""
    tightest, loosest = result.tightest, result.loosest
    low, high = value_shown(result, tightest), value_shown(result, loosest)
    if result.fit.judge == "mean" and result.mean is not None:
        low = high = value_shown(result, result.mean)
    if tightest is None and loosest is None:
        return "-"
    if tightest is None or loosest is None:
        return f"{low if tightest is not None else ''}..{high if loosest is not None else ''}"
    return low if low == high else f"{low} to {high}"


def fit_name(result: FitResult) -> str:
    """Return tag and place: ``EC driver``."""
    return f"{result.tag} {result.place}" if result.place else result.tag


def waiting(result: FitResult) -> str:
    """Return what a fit still waits for, whole features shortened to their address."""
    return listed(shortened(result.missing), most=3) or "what was left out"


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
    unit = figures.unit_word(result.unit)
    low, high = value_shown(result, result.tightest), value_shown(result, result.loosest)
    value = f"{low} {unit}" if low == high else f"From {low} to {high} {unit}"
    doubt = f", plus or minus {uncertainty_shown(result)}" if result.variance else ""
    texts = limit_texts(result)
    band = figures.limits_shown(*texts, result.unit)
    limits = f" Band {band}." if result.band is not None else ""
    return f"Verdict: {name}{where}: {said(result)}. {value}{doubt}.{limits}"


def is_typed_only(results: Iterable[FitResult]) -> bool:
    """Tell whether U comes from the digits typed alone, in any of these."""
    return any(TYPED_ONLY in result.notes for result in results)


def shown_text(text: str) -> str:
    """Return free text of the record on one line, safe to print."""
    return " ".join(visible(text, keep="\n").split("\n"))
