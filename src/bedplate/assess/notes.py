"""What was assumed in working out a fit, in words a mechanic reads beside the figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import ROUND_DOWN, Context

from bedplate.assess.estimates import Readings
from bedplate.assess.recorded import part_expansion
from bedplate.assess.result import FitResult
from bedplate.assess.written import split_gauge
from bedplate.metrology.judge import Verdict, settles
from bedplate.units import dimension

TYPED_ONLY = "U from typed digits only"
"""Said where no gauge was described: nothing but the last digit typed counts as doubt."""


def notes_on(
    readings: Readings,
    result: FitResult,
    numbers: Sequence[int],
    verdict: Verdict | None = None,
) -> tuple[str, ...]:
    """Return what is to be said beside a fit, each once.

    Args:
        readings: all readings of the job.
        result: the fit as worked out so far.
        numbers: the readings it rests on.
        verdict: its judgement, once every reading is there.
    """
    said = [
        *_on_gauges(readings, numbers),
        *_on_temperature(readings, result, numbers),
        *_on_readings(readings, result),
        *(_on_verdict(result, verdict) if verdict is not None else ()),
    ]
    return tuple(dict.fromkeys(said))


def _on_gauges(readings: Readings, numbers: Sequence[int]) -> Iterator[str]:
    bases = [readings.settled.basis(n) for n in numbers if n in readings.settled.numbers]
    if bases and not all(basis.described for basis in bases):
        everywhere = not any(basis.described for basis in bases)
        yield TYPED_ONLY if everywhere else "for some readings U is from typed digits only"
    named = {
        name
        for n in numbers
        if n in readings.settled.numbers and _is_unknown(readings, n)
        for name in [split_gauge(readings.job.readings[n].entry.gauge)[1]]
        if name
    }
    for name in sorted(named):
        yield f"repeatability of {name} not known: taken as 0"


def _is_unknown(readings: Readings, n: int) -> bool:
    basis = readings.settled.basis(n)
    return basis.described and basis.scatter == "unknown"


def _on_temperature(
    readings: Readings, result: FitResult, numbers: Sequence[int]
) -> Iterator[str]:
    if dimension(result.unit) != "length":
        return
    taken = [readings.job.readings[n] for n in numbers if n in readings.job.readings]
    if any(t.entry.temp is None for t in taken):
        yield "no temperature given: taken as 20 degC, and not in U"
    warm = [t for t in taken if t.entry.temp is not None]
    for tag in dict.fromkeys(t.spot.tag for t in warm):
        if part_expansion(readings.job, tag) is None:
            yield f"{tag} not corrected to 20 degC: no one expansion is known for it"
        else:
            yield f"{tag} corrected to 20 degC; the doubt of the temperature is not in U"
    for t in warm:
        name = split_gauge(t.entry.gauge)[1]
        if name is None or readings.gauges[name].expansion is None:
            yield f"{name or 'the gauge'} taken to grow as steel, 11.5e-6 per degC"


def _on_readings(readings: Readings, result: FitResult) -> Iterator[str]:
    for address in result.left_out:
        yield f"left out: {address}"
    waiting = readings.settled.waiting
    for address in result.missing if waiting else ():
        for n, setting in waiting.items():
            taken = readings.job.readings[n]
            if str(taken.spot) == address:
                yield (
                    f"entry {n} waits for a new setting of {taken.entry.gauge}: "
                    f"what entry {setting} was set on has been struck"
                )


def _on_verdict(result: FitResult, verdict: Verdict) -> Iterator[str]:
    if result.fit.spread is not None and result.loosest is not None:
        square = result.variance
        if square is not None and result.loosest**2 <= 4 * square:
            yield "not above U: it cannot be told from none"
    if verdict.is_coarse:
        yield "this gauge is coarse for this band"
    settling = settles(verdict)
    if settling is None:
        return
    if settling.repeats is not None:
        yield f"{settling.repeats} times the repeats now taken would settle it"
    if settling.error_factor is not None:
        # Cut, not rounded: a little more would not settle it.
        cut = Context(prec=3, rounding=ROUND_DOWN).plus(settling.error_factor)
        factor = f"{cut.normalize():f}"
        yield f"gauges with {factor} times their maximum error would settle it"
    if settling.repeats is None and settling.error_factor is None:
        yield "neither more repeats nor a gauge of less maximum error alone would settle it"
