"""Every drawing of the pages as SVG: bands, runs of readings, planes. Shapes only, no rule.

What tells things apart is shape, letter and hatching, so that a page copied in black and white,
or read by somebody who sees few colours, says the same. The letters are those of the screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from bedplate.report.document import Bar, FitView, Mark, Plot, Trace

INK, PAPER, SOLID = "#1f1f1f", "#ffffff", "#d4d4d4"
BLUE, RUST = "#3f3fbf", "#9a4a00"
"""Slate blue for what is in, rust for what is out: a second voice beside the letter."""

FONT = "DejaVu Sans, Verdana, Arial, sans-serif"

LEFT, SPAN, EDGE = 66.0, 148.0, 0.36
"""Where the low limit stands, how wide the band is, how far the drawing goes beyond it."""
TOP, TALL, WIDE, HIGH = 4.0, 30.0, 280.0, 52.0
HATCH = 6.0


def band(fit: FitView) -> str:
    """Return the drawn band of a fit, empty where it has none."""
    bar = fit.bar
    if bar is None:
        return ""
    shapes = [
        *_ground(bar),
        *(_mark(bar.found, TOP + 8, now=False) if bar.found is not None else ()),
        *(_mark(bar.now, TOP + 22, now=True) if bar.now is not None else ()),
    ]
    return _svg(WIDE, HIGH, described(fit), shapes)


def described(fit: FitView) -> str:
    """Return in words what a band shows, for those who do not see it."""
    told = [f"{fit.name or fit.tag} {fit.place}".strip(), f"limits {fit.limits}"]
    for stage, outcome in (("as found", fit.found), ("as left", fit.left)):
        if outcome is not None:
            value = "" if outcome.value == "-" else f" {outcome.value}"
            told.append(f"{stage}{value}, {outcome.said}")
    return "; ".join(told)


def _x(place: float) -> float:
    return LEFT + SPAN * place


def _ground(bar: Bar) -> Iterator[str]:
    """Yield the band, the hatching outside it, and the limits with their figures."""
    left, right = -EDGE, 1 + EDGE
    start = 0.0 if bar.low is not None else left
    end = 1.0 if bar.high is not None else right
    yield _rect(_x(start), TOP, _x(end) - _x(start), TALL, SOLID)
    if bar.low is not None:
        yield from _hatched(_x(left), _x(0))
    if bar.high is not None:
        yield from _hatched(_x(1), _x(right))
    for text, place in ((bar.low, 0.0), (bar.high, 1.0)):
        if text is not None:
            yield _line(_x(place), TOP - 3, _x(place), TOP + TALL + 3, 2.2)
            yield _text(_x(place), HIGH - 3, text)
    for text, place in ((bar.wear_low, -0.3), (bar.wear_high, 1.3)):
        if text is not None:
            yield _line(_x(place), TOP - 3, _x(place), TOP + TALL + 3, 1.4, dash="3 2")
            yield _text(_x(place), HIGH - 3, text)


def _hatched(start: float, end: float) -> Iterator[str]:
    """Yield slanting lines between two places."""
    steps: list[str] = []
    at = start
    while at < end:
        wide = min(HATCH, end - at)
        steps.append(f"M{at:.1f} {TOP + TALL:.1f}L{at + wide:.1f} {TOP:.1f}")
        at += HATCH
    yield f'<path d="{"".join(steps)}" stroke="{INK}" stroke-width=".6" fill="none"/>'


def _mark(mark: Mark, y: float, *, now: bool) -> Iterator[str]:
    """Yield one value: how far U reaches, how far the value itself does, and its letter."""
    colour = INK if not now else (RUST if mark.letter == "X" else BLUE)
    yield _line(_x(mark.doubt_start), y, _x(mark.doubt_end), y, 1.6, colour=colour)
    for place in (mark.doubt_start, mark.doubt_end):
        yield _line(_x(place), y - 3, _x(place), y + 3, 1.6, colour=colour)
    yield _line(_x(mark.start), y, _x(mark.end), y, 4.5, colour=colour)
    fill, letter = (colour, PAPER) if now else (PAPER, INK)
    x = _x(mark.at)
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6.5" fill="{fill}" stroke="{colour}"/>'
    yield _text(x, y + 3.4, mark.letter, size=9.5, colour=letter, bold=True)


def plot(drawn: Plot) -> str:
    """Return the readings of a fit by station."""
    return _plane(drawn) if drawn.shape == "map" else _lines(drawn)


DASHES = ("", "6 3", "2 3", "8 3 2 3")
POINTS_LEFT, POINTS_TOP, POINTS_TALL, STEP = 26.0, 12.0, 84.0, 74.0


def _lines(drawn: Plot) -> str:
    """Return one line a trace: as left drawn in full, as found thin and grey."""
    width = POINTS_LEFT * 2 + STEP * (len(drawn.stations) - 1) + 96
    ends: list[float] = []
    shapes: list[str] = []
    for number, trace in enumerate(drawn.traces):
        shapes += _trace(trace, DASHES[number % len(DASHES)], ends)
    foot = max([POINTS_TOP + POINTS_TALL + 4, *ends])
    return _svg(width, foot + 24, told(drawn), [*_station_names(drawn.stations, foot), *shapes])


def _station_names(stations: Sequence[str], foot: float) -> Iterator[str]:
    for number, name in enumerate(stations):
        x = _place(number)
        yield _line(x, POINTS_TOP, x, foot + 4, 0.5)
        yield _text(x, foot + 18, name)


def _place(number: int) -> float:
    return POINTS_LEFT + STEP * number


def _trace(trace: Trace, dash: str, ends: list[float]) -> Iterator[str]:
    points = [
        (_place(n), POINTS_TOP + (1 - height) * POINTS_TALL)
        for n, height in enumerate(trace.heights)
        if height is not None
    ]
    colour = "#6e6e6e" if trace.found else INK
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    thick = 1 if trace.found else 2
    yield (
        f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="{thick}"{dashed}/>'
    )
    for x, y in points:
        fill = PAPER if trace.found else colour
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="{fill}" stroke="{colour}"/>'
    x, y = points[-1]
    y = _free(y + 3, ends)
    yield _text(x + 9, y, trace.label, anchor="start")


def _free(y: float, taken: list[float]) -> float:
    """Return the height nearest to ``y`` from which a label does not cover another."""
    while any(abs(y - other) < 12 for other in taken):
        y += 2
    taken.append(y)
    return y


CELL_WIDE, CELL_TALL = 76.0, 30.0
GREYS = ("#ffffff", "#ececec", "#d9d9d9", "#c6c6c6", "#b3b3b3")


def _plane(drawn: Plot) -> str:
    """Return a plane as a map, the darker the higher, every value written in its cell."""
    shapes: list[str] = []
    for column, name in enumerate(drawn.stations):
        shapes.append(_text(92 + CELL_WIDE * (column + 0.5), 14, name))
    for row, trace in enumerate(drawn.traces):
        y = 20 + CELL_TALL * row
        shapes.append(_text(86, y + 19, trace.label, anchor="end"))
        for column, (value, height) in enumerate(zip(trace.values, trace.heights, strict=True)):
            x = 92 + CELL_WIDE * column
            shapes.append(_rect(x, y, CELL_WIDE, CELL_TALL, _grey(height), edge=True))
            shapes.append(_text(x + CELL_WIDE / 2, y + 19, value.replace("-", "−")))
    width = 96 + CELL_WIDE * len(drawn.stations)
    return _svg(width, 26 + CELL_TALL * len(drawn.traces), told(drawn), shapes)


def _grey(height: float | None) -> str:
    return PAPER if height is None else GREYS[min(int(height * len(GREYS)), len(GREYS) - 1)]


def told(drawn: Plot) -> str:
    """Return in words what a plot is of."""
    return f"{drawn.caption}, {drawn.unit}, along {drawn.axis}; the figures stand in the table"


# ---- shapes


def _svg(width: float, height: float, words: str, shapes: Iterable[str]) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'width="{width:.0f}" height="{height:.0f}" role="img" aria-label={quoteattr(words)} '
        f'font-family="{FONT}">{"".join(shapes)}</svg>'
    )


def _rect(
    x: float,
    y: float,
    width: float,
    height: float,
    fill: str,
    edge: bool = False,  # noqa: FBT001, FBT002
) -> str:
    stroke = f' stroke="{INK}" stroke-width=".7"' if edge else ""
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" '
        f'fill="{fill}"{stroke}/>'
    )


def _line(  # noqa: PLR0913 - two ends and a pen
    x1: float, y1: float, x2: float, y2: float, pen: float, *, dash: str = "", colour: str = INK
) -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}" '
        f'stroke-width="{pen}"{dashed}/>'
    )


def _text(  # noqa: PLR0913 - a place, a text and its face
    x: float,
    y: float,
    text: str,
    *,
    size: float = 12,
    anchor: str = "middle",
    colour: str = INK,
    bold: bool = False,
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}" '
        f'fill="{colour}"{weight}>{escape(text)}</text>'
    )
