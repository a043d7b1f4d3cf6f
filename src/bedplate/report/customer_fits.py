"""Measurements as a customer is told of them: which matter, which were out, which to watch."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bedplate.assess.result import FitResult
from bedplate.report import values
from bedplate.report.document import Item, Words
from bedplate.report.evidence import Pair
from bedplate.report.plain_words import SHORT, verdict_words
from bedplate.text import counted, shown_text

FEW = 8
"""Fits up to which all are drawn; of more only those that were, or are, not simply in band."""


OUT = ("serviceable", "out-close", "out")
"""Verdicts beyond the band."""


def fits_that_matter(pairs: Sequence[Pair]) -> tuple[list[Pair], list[Pair]]:
    """Return the fits that are drawn for a customer, and the rest, which are only counted."""
    measured = [pair for pair in pairs if pair.found.measured or pair.now.measured]
    if len(measured) <= FEW:
        return measured, []
    matter = [
        pair
        for pair in measured
        if not {pair.found.verdict, pair.now.verdict} <= {"in", "no-band", "unmeasured"}
    ]
    return matter, [pair for pair in measured if pair not in matter]


def others(rest: Sequence[Pair]) -> Words | None:
    """Return one sentence on the fits that are not drawn."""
    if not rest:
        return None
    names = list(dict.fromkeys(shown_text(pair.now.fit.title) for pair in rest))
    fits = counted(len(rest), "further measurement")
    return Words(f"{fits}, of {', '.join(names)}: all within their limits, or without any.")


def capital_title(result: FitResult) -> str:
    """Return what people call a fit, as a line begins."""
    return sentence(result.fit.title)


def fit_words(result: FitResult) -> str:
    """Return what people call a fit at its place."""
    name = capital_title(result)
    return f"{name}, {result.place}" if result.place else name


def sentence(text: str) -> str:
    """Return a text of the record as a line begins."""
    shown = shown_text(text)
    return shown[:1].upper() + shown[1:]


def found_out(pairs: Iterable[Pair]) -> list[Item]:
    """Return what was worn or out as found: each with its figure, or, of many, by their names."""
    results = [pair.found for pair in pairs if pair.found.verdict in OUT]
    if len(results) > FEW:
        return grouped(results)
    return [
        Item(
            f"{fit_words(found)}: {verdict_words(found)}",
            f"{values.figure_shown(found, draw=True)}; limits "
            f"{values.limits_shown(found, draw=True)}",
        )
        for found in results
    ]


def to_watch(pairs: Iterable[Pair]) -> list[Item]:
    """Return what is not simply in band as it stands, by name."""
    return grouped([pair.now for pair in pairs if pair.now.verdict in ("in-close", *OUT)])


def grouped(results: Iterable[FitResult]) -> list[Item]:
    """Return a line for each fit and verdict, with the places it holds for."""
    places: dict[tuple[str, str], list[str]] = {}
    for result in results:
        key = (capital_title(result), SHORT[result.verdict])
        places.setdefault(key, []).extend([result.place] if result.place else [])
    return [
        Item(f"{', '.join([title, *names])}: {short}") for (title, short), names in places.items()
    ]
