"""Fits, entries and recordings as people see them, from data worked out below.

One fit is one sentence, words first; the drawing comes last and can be missing. The same data
goes out as JSON (`assess.rows`), so the two cannot disagree.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bedplate.assess.result import FitResult
from bedplate.cli.screen import Screen
from bedplate.report import phrases, values, verdicts
from bedplate.report.phrases import fit_name, plain_sentence, sign, waiting
from bedplate.report.preferred import Preference


def preferred(results: Iterable[FitResult], screen: Screen) -> list[FitResult]:
    """Return fits as whoever is at the screen prefers to see them; the figures stay the same."""
    preference = Preference(screen.show, screen.both_units)
    return [preference.of(result) for result in results]


def sign_cell(result: FitResult) -> str:
    """Return the sign in a column of its own, brackets under brackets."""
    return verdicts.sign_column(sign(result))


def band_line(result: FitResult, screen: Screen, found: FitResult | None = None) -> str:
    """Return the drawn band of a fit, empty where nothing is to be drawn."""
    return phrases.band_line(result, screen.cells, draw=screen.can_draw, found=found)


def figure_shown(result: FitResult, screen: Screen) -> str:
    """Return the value with its doubt: ``2.9 to 3.1 +-0.19 thou``."""
    return values.figure_shown(result, draw=screen.can_draw)


def said(result: FitResult, screen: Screen) -> str:
    """Return the verdict as a phrase, by how much it is out included."""
    return phrases.said(result, draw=screen.can_draw)


def fit_lines(results: Sequence[FitResult], screen: Screen) -> list[str]:
    """Return what a recording settled: a line a fit, two on a narrow screen, plain sentences."""
    results = preferred(results, screen)
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
    words = said(result, screen)
    phrase = screen.weighed(words, result.verdict)
    drawn = band_line(result, screen)
    tinted = screen.tinted(drawn, result.verdict)
    name, value = fit_name(result), figure_shown(result, screen)
    if screen.columns < 60:
        first = [*_narrow(f"{name}  {value}", screen), f"  {phrase}"]
        return [*first, f"  {tinted}"] if drawn else first
    start, blanks = f"  {name:<{width}}  ", " " * (width + 4)
    beside = len(start) + value_width + 2 + len(words) <= screen.columns
    lines = [f"{start}{value:<{value_width}}  {phrase}"]
    if not beside:
        lines = [f"{start}{value}", f"{blanks}{phrase}"]
    taken = len(start) + (value_width + 2 if beside else 0) + len(words)
    if drawn and taken + 2 + len(drawn) <= screen.columns:
        lines[-1] += f"  {tinted}"
    elif drawn:
        lines.append(f"{blanks}{tinted}")
    return lines


def _narrow(text: str, screen: Screen) -> list[str]:
    """Return a value for a narrow screen: the second unit below the first if need be."""
    first, bracket, second = text.partition(" (")
    if not bracket or len(text) <= screen.columns:
        return [text]
    return [first, f"  ({second}"]


def calc_lines(result: FitResult, screen: Screen) -> list[str]:
    """Return one sum: its value with its doubt, and the verdict where there is a band."""
    result = preferred([result], screen)[0]
    value, spoken = figure_shown(result, screen), values.spoken(result)
    if result.verdict == "no-band":
        return [f"{spoken}." if screen.plain else value]
    words = said(result, screen)
    if screen.plain:
        return [f"{words}.", f"{spoken}.", f"Band {values.limits_shown(result)}."]
    phrase = screen.weighed(words, result.verdict)
    drawn = band_line(result, screen)
    tinted = screen.tinted(drawn, result.verdict)
    if screen.columns < 60:
        return [*_narrow(value, screen), phrase, *([tinted] if drawn else [])]
    if len(f"{value}   {words}   {drawn}") > screen.columns:
        return [f"{value}   {phrase}", *([tinted] if drawn else [])]
    return [f"{value}   {phrase}   {tinted}".rstrip()]
