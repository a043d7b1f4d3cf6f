"""Recording readings at the bench, and saying so as briefly as the screen allows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from bedplate.assess.limits import feature_unit
from bedplate.assess.request import Request
from bedplate.assess.taking import readings_to_record
from bedplate.cli.bench import heads
from bedplate.cli.bench.state import Act, Bench
from bedplate.cli.store import Recorded
from bedplate.metrology.axes import Spot
from bedplate.record.entries import GaugeDescribed, Reading
from bedplate.report import figures
from bedplate.report.entry_words import numbered
from bedplate.text import visible
from bedplate.units import convert, decimal_text, read_value

PLAIN_FIGURE = re.compile(r"[-+]?[0-9]*[.,]?[0-9]+ *[A-Za-z*/^%µ\"]*")
"""A value that says itself what it is: no sum, no fraction."""


def is_placed(bench: Bench, spot: Spot) -> bool:
    """Tell whether a position is one of the sheet, and not the mark of a spare."""
    return len(spot.position) == len(bench.job.layout.shapes[spot.tag].positions)


def request_for(bench: Bench, spot: Spot, *values: str) -> Request:
    """Return the request that records values at an address, on the gauge in hand."""
    return Request(
        address=str(spot), values=values, gauge=bench.gauges.of(bench.job, spot),
        temp=bench.run.temp,
    )  # fmt: skip


def record_request(bench: Bench, request: Request) -> Recorded:
    """Record a request and say what it settles."""
    values = " ".join(request.values) or "left out"
    act = Act((), f"{request.address} {values}", again=request.repeat == "again")
    recorded = bench.record(
        lambda job: readings_to_record(job, request, {}, bench.gauges.cabinet), act
    )
    taken(bench, recorded)
    return recorded


def taken(bench: Bench, recorded: Recorded) -> None:
    """Take note of readings that were recorded; acknowledge them, and say what they settle."""
    readings = [entry for entry in recorded.entries if isinstance(entry, Reading)]
    for entry in readings:
        spots = bench.job.select(entry.address).spots
        bench.course.read(spots[0])
        bench.run.last = spots[0]
        if entry.gauge is not None:
            bench.checks.read(entry.gauge.rpartition("/")[2])
    act = bench.run.acts[-1]
    bench.run.acts[-1] = act._replace(spot=bench.run.last)
    _acknowledge(bench, recorded, readings)
    bench.verdicts(recorded.entries)


def _acknowledge(bench: Bench, recorded: Recorded, readings: Sequence[Reading]) -> None:
    """Say what was recorded, where the next prompt alone does not say it."""
    screen = bench.screen
    shown = [e for e in recorded.entries if not isinstance(e, GaugeDescribed)]
    if not bench.keyboard.person:
        bench.out(f"{bench.spoken}{numbered(entry, bench.job)}" for entry in recorded.entries)
        return
    first = readings[0] if readings else None
    simple = len(shown) == 1 and first is not None and not first.kept and first.value is not None
    if screen.plain:
        numbers = " and ".join(str(entry.n) for entry in shown)
        where = f", {visible(first.address)}" if first is not None and bench.run.elsewhere else ""
        bench.out([f"Recorded, {'entry' if len(shown) == 1 else 'entries'} {numbers}{where}."])
    elif not simple or bench.run.elsewhere:
        for entry in shown:
            bench.out(heads.below(numbered(entry, bench.job), screen))
    if simple and first is not None and (screen.plain or not bench.run.elsewhere):
        echo = _in_full(bench, first)
        if echo:
            bench.out(heads.below(echo, screen))


def _in_full(bench: Bench, reading: Reading) -> str:
    """Return what a value comes to that was typed as a sum, a fraction, or from nominal."""
    text = reading.value or ""
    if PLAIN_FIGURE.fullmatch(text) and reading.nominal is None:
        return ""
    unit = feature_unit(bench.job, reading.address.partition("@")[0].partition(".")[0])
    typed = read_value(text, unit)
    if typed.two_ended or typed.low is None:
        return ""
    value = typed.low
    if reading.nominal is not None:
        nominal = read_value(reading.nominal, unit)
        value += convert(nominal.low or Fraction(0), nominal.unit, typed.unit)
    said = "which is" if bench.screen.plain else "="
    end = "." if bench.screen.plain else ""
    return f"{said} {decimal_text(value, 6)} {figures.unit_word(typed.unit)}{end}"
