"""Fits, entries and recordings as people see them, from data worked out below.

One fit is one sentence, words first; the drawing comes last and can be missing. The same data
goes out as JSON (`assess.rows`), so the two cannot disagree.
"""

from __future__ import annotations

from collections.abc import Sequence

from bedplate.assess.result import FitResult
from bedplate.cli.screen import Screen
from bedplate.report import figures, phrases, verdicts
from bedplate.report.phrases import fit_name, plain_sentence, said, sign, waiting


def band_shown(result: FitResult, screen: Screen) -> str:
    """Return the band of a fit: ``2 to 4 thou``, or a dash where there is none."""
    return phrases.limits_shown(result, draw=screen.can_draw)


def sign_cell(result: FitResult) -> str:
    """Return the sign in a column of its own, brackets under brackets."""
    return verdicts.sign_column(sign(result))


def band_line(result: FitResult, screen: Screen, found: FitResult | None = None) -> str:
    """Return the drawn band of a fit, empty where nothing is to be drawn."""
    return phrases.band_line(result, screen.cells, draw=screen.can_draw, found=found)


def figure_shown(result: FitResult, screen: Screen) -> str:
    """Return the value with its doubt: ``2.9 to 3.1 +-0.19 thou``."""
    return phrases.figure_shown(result, draw=screen.can_draw)


def fit_lines(results: Sequence[FitResult], screen: Screen) -> list[str]:
    """Return what a recording settled: a line a fit, two on a narrow screen, plain sentences."""
    lines: list[str] = []
    width = max((len(fit_name(result)) for result in results), default=0)
    measured = [result for result in results if result.measured]
    value_width = max((len(figure_shown(result, screen)) for result in measured), default=0)
    for result in results:
        if screen.plain:
            lines.append(plain_sentence(result))
        elif not result.measured:
            lines.append(f"  {fit_name(result):<{width}}  waiting for {waiting(result)}")
        else:
            lines += _fit_line(result, screen, width, value_width)
    return lines


def _fit_line(result: FitResult, screen: Screen, width: int, value_width: int) -> list[str]:
    phrase = screen.weighed(said(result), result.verdict)
    drawn = screen.tinted(band_line(result, screen), result.verdict)
    value = figure_shown(result, screen)
    if screen.columns < 60:
        first = [f"{fit_name(result)}  {value}", f"  {phrase}"]
        return [*first, f"  {drawn}"] if drawn else first
    line = f"  {fit_name(result):<{width}}  {value:<{value_width}}  {phrase}"
    plain_length = 2 + width + 2 + value_width + 2 + len(said(result))
    if not drawn:
        return [line]
    if plain_length + 2 + len(band_line(result, screen)) <= screen.columns:
        return [f"{line}  {drawn}"]
    return [line, f"  {'':<{width}}  {drawn}"]


def spoken(result: FitResult) -> str:
    """Return a value with its doubt for a voice: ``5.1 thou, plus or minus 0.09``."""
    value = f"{phrases.range_shown(result)} {figures.unit_word(result.unit)}"
    doubt = f", plus or minus {phrases.uncertainty_shown(result)}" if result.variance else ""
    return value + doubt


def calc_lines(result: FitResult, screen: Screen) -> list[str]:
    """Return one sum: its value with its doubt, and the verdict where there is a band."""
    value = figure_shown(result, screen)
    if result.verdict == "no-band":
        return [f"{spoken(result)}." if screen.plain else value]
    phrase = screen.weighed(said(result), result.verdict)
    if screen.plain:
        return [f"{said(result)}.", f"{spoken(result)}.", f"Band {band_shown(result, screen)}."]
    drawn = screen.tinted(band_line(result, screen), result.verdict)
    first = f"{value}   {phrase}"
    if screen.columns < 60:
        return [value, phrase, *([drawn] if drawn else [])]
    return [f"{first}   {drawn}".rstrip()]
