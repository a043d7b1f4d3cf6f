"""Fits as blocks: side by side as found and as left, in full, and by station."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction

from bedplate.assess.limits import base_unit
from bedplate.assess.result import FitResult
from bedplate.metrology.axes import Spot
from bedplate.report import figures, phrases, values
from bedplate.report.document import (
    Column,
    Fits,
    FitView,
    Item,
    Items,
    Outcome,
    Plot,
    Row,
    Table,
    Trace,
)
from bedplate.report.drawn import bar_of
from bedplate.report.evidence import Evidence, Pair
from bedplate.report.second import second_of
from bedplate.text import shown_text
from bedplate.units import factor

HEADS = (Column("fit", head=True), Column("place", head=True), Column("stage", head=True))
VALUES = (
    *HEADS,
    Column("mean", "figure"),
    Column("tightest", "figure"),
    Column("loosest", "figure"),
    Column("±U", "figure"),
    Column("unit"),
)
JUDGED = (
    *HEADS,
    Column("verdict"),
    Column("wear limit", "figure"),
    Column("chance in band", "figure"),
    Column("capability", "figure"),
    Column("source"),
    Column("entries"),
)

Said = Callable[[FitResult], str]
"""Says something of a fit in words."""


def title_of(result: FitResult) -> str:
    """Return what people call a fit."""
    return shown_text(result.fit.title)


def verdict_of(result: FitResult) -> str:
    """Return the verdict as a phrase, by how much it is out included."""
    return phrases.said(result, draw=True)


def fits_block(
    pairs: Iterable[Pair],
    *,
    name: Said = title_of,
    said: Said = verdict_of,
    by_name: bool = False,
) -> Fits:
    """Return fits side by side, each with its drawing.

    Args:
        pairs: as found and as left.
        name: what a fit is called.
        said: what its verdict is called.
        by_name: whether that is what the reader knows it by.
    """
    return Fits(tuple(_view(pair, name(pair.now), said) for pair in pairs), by_name)


def _view(pair: Pair, name: str, said: Said) -> FitView:
    now = pair.now
    stages = [result for result in (pair.found, pair.left) if result is not None]
    full = any(values.says_unit(result) for result in stages)
    return FitView(
        tag=now.tag,
        place=now.place or "",
        name="" if name == now.tag else name,
        unit="" if full else figures.unit_word(now.unit, draw=True),
        found=_outcome(pair.found, said, full=full),
        left=_outcome(pair.left, said, full=full) if pair.left is not None else None,
        limits=values.limits_shown(now, draw=True),
        source=source_of(now),
        bar=bar_of(now, pair.found if pair.left is not None else None),
    )


def source_of(result: FitResult) -> str:
    """Return where the band of a fit comes from, empty where it has none."""
    return shown_text(result.band.source or "") if result.band is not None else ""


def _outcome(result: FitResult, said: Said, *, full: bool) -> Outcome:
    """Return a fit at one stage.

    Args:
        result: the fit.
        said: says its verdict.
        full: whether its value says itself what it is in.
    """
    value = uncertainty = "-"
    if result.measured:
        value, uncertainty = values.range_shown(result), values.uncertainty_shown(result)
        if full or result.band is None:
            value = values.value_in_full(result, draw=True)
        if full and result.variance is not None:
            uncertainty = values.uncertainty_in_full(result, draw=True)
    return Outcome(
        value=value,
        uncertainty=uncertainty,
        verdict=result.verdict,
        said=said(result),
        sign=phrases.sign(result),
    )


def full_tables(results: Iterable[FitResult], *, entries: bool = True) -> tuple[Table, Table]:
    """Return every figure of the fits that are measured, and how all were judged.

    Args:
        results: fits at their stages.
        entries: whether to point to the entries of the record that they rest on.
    """
    every = list(results)
    measured = [result for result in every if result.measured]
    values = tuple(
        Row((*_heads(result), *cells)) for result in measured for cells in _values_of(result)
    )
    judged = tuple(Row((*_heads(result), *_judged_by(result))) for result in every)
    if entries:
        return Table("The values", VALUES, values), Table("How they were judged", JUDGED, judged)
    short = tuple(Row(row.cells[:-1]) for row in judged)
    return Table("The values", VALUES, values), Table("How they were judged", JUDGED[:-1], short)


def _heads(result: FitResult) -> tuple[str, str, str]:
    return result.tag, result.place or "", result.stage


def _values_of(result: FitResult) -> Iterator[tuple[str, ...]]:
    """Yield the figures of a fit, and below them the same in a second unit, in brackets."""
    known = (result.mean, result.tightest, result.loosest)
    yield (
        *(values.value_shown(result, value) for value in known),
        values.uncertainty_shown(result),
        figures.unit_word(result.unit, draw=True),
    )
    second = second_of(result)
    if second is not None:
        doubt = None if result.variance is None else second.uncertainty(4 * result.variance)
        texts = [*(None if value is None else second.value(value) for value in known), doubt]
        yield (
            *("-" if text is None else f"({text})" for text in texts),
            f"({figures.unit_word(second.unit, draw=True)})",
        )


def _judged_by(result: FitResult) -> Iterator[str]:
    yield phrases.said(result, draw=True)
    yield _wear_of(result)
    yield figures.probability(result.probability)
    yield figures.capability(result.capability)
    yield source_of(result)
    yield ", ".join(map(str, result.readings))


def _wear_of(result: FitResult) -> str:
    return "-" if result.wear is None else values.wear_shown(result, result.wear, draw=True)


def compared(results: Iterable[FitResult]) -> Items:
    """Return how the two ways to one quantity agree, where both were measured."""
    told = map(phrases.agreement, results)
    return Items(tuple(Item(text) for text in told if text))


def assumed(results: Iterable[FitResult]) -> Items:
    """Return what was assumed in working fits out, each once, with the fits it holds for."""
    about: dict[str, dict[str, None]] = {}
    for result in results:
        for note in result.notes:
            about.setdefault(note, {})[phrases.fit_name(result)] = None
    return Items(
        tuple(
            Item(figures.with_signs(shown_text(note)), ", ".join(names))
            for note, names in about.items()
        )
    )


def plots(evidence: Evidence) -> Iterator[Plot]:
    """Yield the readings of every spread and flatness by station, where any is formed."""
    for pair in evidence.pairs:
        fit = pair.now.fit
        if fit.spread is None and fit.flatness is None:
            continue
        plot = _plot(evidence, pair)
        if plot is not None:
            yield plot


def _plot(evidence: Evidence, pair: Pair) -> Plot | None:
    fit, now = pair.now.fit, pair.now
    lines = _lines(evidence, pair)
    axes = evidence.job.layout.shapes[lines[0][0].tag].axes
    along = (fit.along or "").casefold()
    at = next((i for i, a in enumerate(axes) if a.name.casefold() == along), len(axes) - 1)
    scale = factor(base_unit(now.unit), now.unit)
    held = [
        (_label(line, at, len(axes)), as_found, _values(evidence, line, scale, as_found=as_found))
        for as_found in ((True, False) if pair.left is not None else (False,))
        for line in lines
    ]
    known = [value for _, _, values in held for value in values if value is not None]
    if len(known) < 2:
        return None
    least, most = min(known), max(known)
    places = values.places_of(now)
    return Plot(
        shape="lines" if fit.spread is not None else "map",
        caption=_caption(now),
        axis=axes[at].name,
        across="" if fit.spread is not None else axes[at - 1].name,
        unit=figures.unit_word(now.unit, draw=True),
        stations=tuple(_names(spot)[at] for spot in lines[0]),
        traces=tuple(
            Trace(
                f"{label}, as found" if found and pair.left is not None else label,
                tuple("-" if v is None else figures.shown(v, places) for v in values),
                tuple(None if v is None else _height(v, least, most) for v in values),
                found and pair.left is not None,
            )
            for label, found, values in held
            if any(value is not None for value in values)
        ),
    )


def _caption(result: FitResult) -> str:
    name, title = phrases.fit_name(result), title_of(result)
    return name if title == result.tag else f"{name}, {title}"


def _lines(evidence: Evidence, pair: Pair) -> list[tuple[Spot, ...]]:
    """Return the runs of addresses that a plot draws: a spread's lines, the rows of a grid."""
    row = next(
        row for row in evidence.assessment.rows(pair.now.fit) if row.position == pair.now.position
    )
    if pair.now.fit.spread is not None:
        return [group.spots for group in row.groups]
    spots = row.groups[0].spots
    slow = dict.fromkeys(spot.station[0] for spot in spots)
    return [tuple(spot for spot in spots if spot.station[0] == name) for name in slow]


def _names(spot: Spot) -> tuple[str, ...]:
    return spot.position + spot.station


def _label(line: Sequence[Spot], at: int, axes: int) -> str:
    """Return what tells a line from the others: its names on the axes it does not run along."""
    names = _names(line[0])
    stations = axes - len(line[0].station)
    rest = [names[i] for i in range(stations, axes) if i != at]
    return "/".join(rest) or "reading"


def _values(
    evidence: Evidence, line: Iterable[Spot], scale: Fraction, *, as_found: bool
) -> list[Fraction | None]:
    values: list[Fraction | None] = []
    for spot in line:
        known = evidence.assessment.readings.known(spot, as_found=as_found)
        estimate = known.estimate if known is not None else None
        low, high = (estimate.low, estimate.high) if estimate is not None else (None, None)
        values.append(None if low is None or high is None else (low + high) / 2 * scale)
    return values


def _height(value: Fraction, least: Fraction, most: Fraction) -> float:
    return 0.5 if most == least else float((value - least) / (most - least))
