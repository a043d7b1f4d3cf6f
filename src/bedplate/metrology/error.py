"""Gauge error: what is known of one address, and what of it is shared with another.

A reading's error is a sum of *draws*, each one independent unknown with a variance: the last
digit of the gauge at that address, its maximum error on that part, its zero since it was last
set, the hand's scatter. A draw that two readings have in common is drawn once, so that in a
difference it cancels. With V the diagonal of the draws' variances, and c a combination's
coefficients on them, u² = c·V·cᵀ is the law of propagation in full: GUM 5.1.2, equation (10), over
the draws, which is 5.2.2, equation (13), over the readings.

Variances: a half-width a is rectangular, a²/3 (GUM 4.3.7); a resolution r is a half-width r/2,
r²/12 (GUM F.2.2.1); a standard deviation s, s²; a report's U with k = 2, (U/2)² (GUM 4.3.3).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from bedplate.metrology.axes import Spot

ZERO = Fraction(0)


class Draw(NamedTuple):
    """One independent unknown.

    Attributes:
        kind: ``resolution``, ``max_error``, ``zero_error``, ``repeatability``, ``report`` or
            ``width`` (of a bracket between two ends; no part of u).
        key: what it is drawn once for: gauge and address, gauge and setting, entry.
    """

    kind: str
    key: tuple[object, ...]


class Estimate(NamedTuple):
    """What is known of one address, or of a sum of addresses.

    Attributes:
        low, high: the figure's two ends, equal for an ordinary reading; None is an open end.
        draws: the coefficient of each draw in it.
        variances: the variance of each draw; may hold others too, and be shared.
        entries: the readings it rests on, in rising order.
    """

    low: Fraction | None
    high: Fraction | None
    draws: Mapping[Draw, Fraction]
    variances: Mapping[Draw, Fraction]
    entries: tuple[int, ...] = ()

    @property
    def is_bracket(self) -> bool:
        """Whether the figure has two ends, or an open one."""
        return self.low is None or self.low != self.high

    @property
    def middle(self) -> Fraction | None:
        """The figure, or the middle of its two ends; None where an end is open."""
        return None if self.low is None or self.high is None else (self.low + self.high) / 2

    @property
    def variance(self) -> Fraction:
        """u²: every draw but the widths of brackets."""
        return variance(self.draws, self.variances)

    @property
    def width_variance(self) -> Fraction:
        """What brackets add to u² in a probability or a comparison: Σ c²·width²/12."""
        return variance(self.draws, self.variances, {"width"})

    def part(self, kind: str) -> Fraction:
        """Return the part of u² that comes from draws of one kind."""
        return variance(self.draws, self.variances, {kind})


class Gauge(NamedTuple):
    """What is stated of a gauge; every figure in the fit's unit.

    Attributes:
        name: as it is called.
        kind: micrometer, bore gauge, ``report``, …
        reads: ``sizes``, or ``differences`` from what it was set to.
        resolution: the step of its last digit.
        max_error, zero_error: greatest errors, as half-widths.
        repeatability: a standard deviation.
        uncertainty: of a report, U with k = 2.
        expansion: per °C, for the temperature correction.
    """

    name: str
    kind: str = ""
    reads: str = "sizes"
    resolution: Fraction | None = None
    max_error: Fraction | None = None
    zero_error: Fraction | None = None
    repeatability: Fraction | None = None
    uncertainty: Fraction | None = None
    expansion: Fraction | None = None

    @property
    def described(self) -> bool:
        """Whether any of resolution, max error, zero error, repeatability is stated."""
        stated = (self.resolution, self.max_error, self.zero_error, self.repeatability)
        return any(figure is not None for figure in stated)


def reading_draws(  # noqa: PLR0913 - each figure is one source of error
    entry: int,
    spot: Spot,
    gauge: Gauge | None,
    *,
    setting: int = 0,
    step: Fraction = ZERO,
    scatter: Fraction = ZERO,
    called: str | None = None,
) -> dict[Draw, Fraction]:
    """Return the draws of one reading with their variances; each enters with coefficient 1.

    Args:
        entry: the reading's number.
        spot: the address read.
        gauge: what it was read on, or None where none was named.
        setting: the number of the setting in force, 0 before the first.
        step: the typed step that stands for a resolution that is not stated.
        scatter: the variance of one reading, stated or pooled.
        called: what the typed step goes by, where that is not the gauge's name (``TG/MIC``).

    Sources: as the module's; which draw is shared by what is the project's own rule.

    >>> mic = Gauge("mic1", resolution=Fraction(1, 10), max_error=Fraction(1, 10))
    >>> for draw, square in reading_draws(9, Spot("H", ("idler",), ("a",)), mic).items():
    ...     print(draw.kind, square)
    resolution 1/1200
    max_error 1/300
    """
    drawn = {Draw("repeatability", (entry,)): scatter}
    address = spot.tag, spot.position, spot.station
    if gauge is None:
        drawn[Draw("resolution", (called or "", *address))] = step**2 / 12
    else:
        stated = gauge.resolution is not None or is_whole_report(gauge)
        name = gauge.name if stated else called or gauge.name
        digit = gauge.resolution or ZERO if stated else step
        drawn |= {
            Draw("resolution", (name, *address)): digit**2 / 12,
            Draw("max_error", (gauge.name, spot.tag, spot.position)): rectangular(gauge.max_error),
            Draw("zero_error", (gauge.name, setting)): rectangular(gauge.zero_error),
            Draw("report", (gauge.name, *address)): ((gauge.uncertainty or ZERO) / 2) ** 2,
        }
    return {draw: square for draw, square in drawn.items() if square}


def is_whole_report(gauge: Gauge) -> bool:
    """Tell whether a report's own U stands for all its errors, so that no typed step is added.

    >>> is_whole_report(Gauge("shop", "report", uncertainty=Fraction(1)))
    True
    """
    return gauge.kind == "report" and gauge.uncertainty is not None


def rectangular(half_width: Fraction | None) -> Fraction:
    """Return the variance a²/3 of a rectangle of half-width a (GUM 4.3.7); 0 for None.

    >>> rectangular(Fraction(1, 10))
    Fraction(1, 300)
    """
    return ZERO if half_width is None else half_width**2 / 3


def variance(
    draws: Mapping[Draw, Fraction],
    variances: Mapping[Draw, Fraction],
    kinds: Collection[str] | None = None,
) -> Fraction:
    """Return c·V·cᵀ, exact: the variance of a linear combination of independent draws.

    Args:
        draws: the coefficient c of each draw.
        variances: the diagonal of V.
        kinds: the kinds of draw counted; by default all but ``width``.

    Source: GUM 5.1.2, equation (10), over the draws.

    >>> zero = Draw("zero_error", ("mic1", 0))
    >>> variance({zero: Fraction(2)}, {zero: Fraction(1, 3)})
    Fraction(4, 3)
    """
    return sum(
        (
            count * count * variances[draw]
            for draw, count in draws.items()
            if (draw.kind != "width" if kinds is None else draw.kind in kinds)
        ),
        ZERO,
    )


def combine(parts: Iterable[tuple[Fraction, Estimate]]) -> Estimate:
    """Return a linear combination of estimates, draw by draw.

    The low end takes the low ends where the coefficient is positive, the high ones where it is
    negative; an end that rests on an open one is open. A draw that two parts have in common is
    added up before it is squared.

    >>> zero = Draw("zero_error", ("mic1", 0))
    >>> once, square = {zero: Fraction(1)}, {zero: Fraction(1, 3)}
    >>> bore, shaft = (
    ...     Estimate(Fraction(size), Fraction(size), once, square) for size in ("0.7540", "0.7500")
    ... )
    >>> gap = combine([(Fraction(1), bore), (Fraction(-1), shaft)])
    >>> gap.low, gap.variance
    (Fraction(1, 250), Fraction(0, 1))
    """
    listed = list(parts)
    draws: dict[Draw, Fraction] = {}
    for count, part in listed:
        for draw, own in part.draws.items():
            draws[draw] = draws.get(draw, ZERO) + count * own
    low_ends = ((count, part.low if count > 0 else part.high) for count, part in listed)
    high_ends = ((count, part.high if count > 0 else part.low) for count, part in listed)
    return Estimate(
        _total(low_ends),
        _total(high_ends),
        draws,
        _shared([part.variances for _, part in listed]),
        tuple(sorted({entry for _, part in listed for entry in part.entries})),
    )


def average(estimates: Sequence[Estimate]) -> Estimate:
    """Return the mean of estimates: repeats at one address, or combinations of one fit.

    Raises:
        ValueError: there are none.

    >>> one, two = (Estimate(Fraction(n), Fraction(n), {}, {}, (n,)) for n in (1, 2))
    >>> mean = average([one, two])
    >>> mean.low, mean.entries
    (Fraction(3, 2), (1, 2))
    """
    if not estimates:
        raise ValueError("a mean needs at least one estimate")
    if len(estimates) == 1:
        return estimates[0]
    share = Fraction(1, len(estimates))
    return combine((share, estimate) for estimate in estimates)


def _total(ends: Iterable[tuple[Fraction, Fraction | None]]) -> Fraction | None:
    """Return Σ c·end; what does not count cannot open the sum."""
    total = ZERO
    for count, end in ends:
        if count == 0:
            continue
        if end is None:
            return None
        total += count * end
    return total


def _shared(mappings: Sequence[Mapping[Draw, Fraction]]) -> Mapping[Draw, Fraction]:
    """Return one mapping for all: the one they share, or a new one of them together."""
    if not mappings:
        return {}
    if all(mapping is mappings[0] for mapping in mappings):
        return mappings[0]
    return {draw: square for mapping in mappings for draw, square in mapping.items()}
