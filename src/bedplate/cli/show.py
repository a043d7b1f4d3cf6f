"""Fits, entries and recordings as people see them, from data worked out below.

One fit is one sentence, words first; the drawing comes last and can be missing. The same data
goes out as JSON (`assess.rows`), so the two cannot disagree.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from bedplate.assess.notes import TYPED_ONLY
from bedplate.assess.result import FitResult
from bedplate.cli import bands, figures, verdicts
from bedplate.cli.screen import Screen
from bedplate.text import listed, visible
from bedplate.units import decimal_text, round_up_root

Cells = list[str]


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


def band_shown(result: FitResult, screen: Screen) -> str:
    """Return the band of a fit: ``2 to 4 thou``, or a dash where there is none."""
    low, high = limit_texts(result)
    return figures.limits_shown(low, high, result.unit, draw=screen.can_draw)


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


def sign_cell(result: FitResult) -> str:
    """Return the sign in a column of its own, brackets under brackets."""
    return verdicts.sign_column(sign(result))


def band_line(result: FitResult, screen: Screen, found: FitResult | None = None) -> str:
    """Return the drawn band of a fit, empty where nothing is to be drawn."""
    low, high = limit_texts(result)
    band = result.band
    if band is None:
        return ""
    wear = _wear_limit(result)
    return bands.band_line(
        bands.Limit(low, band.low) if low is not None and band.low is not None else None,
        bands.Limit(high, band.high) if high is not None and band.high is not None else None,
        result.tightest,
        result.loosest,
        _expanded(result),
        result.verdict,
        result.side,
        screen.cells,
        draw=screen.can_draw,
        as_found=found.judged if found is not None else None,
        wear=wear,
    )


def _wear_limit(result: FitResult) -> bands.Limit | None:
    if result.wear is None or result.verdict in ("in", "in-close"):
        return None
    value = result.wear.high if result.side == "high" else result.wear.low
    return None if value is None else bands.Limit(decimal_text(value, 6), value)


def _expanded(result: FitResult) -> Fraction | None:
    if result.variance is None:
        return None
    return Fraction(round_up_root(4 * result.variance, places_of(result) + 3))


def figure_shown(result: FitResult, screen: Screen) -> str:
    """Return the value with its doubt: ``2.9 to 3.1 +-0.19 thou``."""
    tightest, loosest = result.tightest, result.loosest
    low, high = value_shown(result, tightest), value_shown(result, loosest)
    if result.fit.judge == "mean" and result.mean is not None:
        low = high = value_shown(result, result.mean)
    value = low if low == high else f"{low} to {high}"
    if tightest is None or loosest is None:
        value = f"{low if tightest is not None else ''}..{high if loosest is not None else ''}"
    sign_of_doubt = "±" if screen.can_draw else "+-"
    doubt = f" {sign_of_doubt}{uncertainty_shown(result)}" if result.variance else ""
    return f"{value}{doubt} {figures.unit_word(result.unit, draw=screen.can_draw)}"


def fit_name(result: FitResult) -> str:
    """Return tag and place: ``EC driver``."""
    return f"{result.tag} {result.place}" if result.place else result.tag


def fit_lines(results: Sequence[FitResult], screen: Screen) -> list[str]:
    """Return what a recording settled: a line a fit, two on a narrow screen, plain sentences."""
    lines: list[str] = []
    width = max((len(fit_name(result)) for result in results), default=0)
    for result in results:
        if screen.plain:
            lines.append(plain_sentence(result))
        elif not result.measured:
            lines.append(f"  {fit_name(result):<{width}}  waiting for {waiting(result)}")
        else:
            lines += _fit_line(result, screen, width)
    return lines


def waiting(result: FitResult) -> str:
    """Return what a fit still waits for, whole features shortened to their address."""
    return listed(shortened(result.missing), most=3) or "what was left out"


def shortened(addresses: Iterable[str]) -> list[str]:
    """Return addresses without their stations, each once.

    >>> shortened(["H.idler@a", "H.idler@b", "D.idler@12"])
    ['H.idler', 'D.idler']
    """
    return list(dict.fromkeys(address.partition("@")[0] for address in addresses))


def _fit_line(result: FitResult, screen: Screen, width: int) -> list[str]:
    phrase = screen.weighed(said(result), result.verdict)
    drawn = screen.tinted(band_line(result, screen), result.verdict)
    value = figure_shown(result, screen)
    if screen.columns < 60:
        first = [f"{fit_name(result)}  {value}", f"  {phrase}"]
        return [*first, f"  {drawn}"] if drawn else first
    line = f"  {fit_name(result):<{width}}  {value:<24}  {phrase}"
    plain_length = 2 + width + 2 + max(24, len(value)) + 2 + len(said(result))
    if not drawn:
        return [line]
    if plain_length + 2 + len(band_line(result, screen)) <= screen.columns:
        return [f"{line}  {drawn}"]
    return [line, f"  {'':<{width}}  {drawn}"]


def plain_sentence(result: FitResult) -> str:
    """Return a fit for a screen reader: words, then figures, no drawing, no alignment."""
    name = f"{result.fit.title} {result.tag}" if result.fit.title != result.tag else result.tag
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
