"""Mean, tightest and loosest of a fit, and which of its values are judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Literal, NamedTuple

from bedplate.metrology.error import Estimate, average
from bedplate.metrology.judge import Case, Limits, Side

How = Literal["every", "mean", "tightest", "loosest"]


class Figures(NamedTuple):
    """What is shown of a fit, from its complete combinations.

    Attributes:
        mean: the mean of all combinations, None without any.
        tightest, loosest: the extremes; None without any, or where that end is open.
    """

    mean: Estimate | None
    tightest: Fraction | None
    loosest: Fraction | None


def figures(estimates: Sequence[Estimate], kind: str) -> Figures:
    """Return mean, tightest and loosest; both ends of a bracket enter the extremes.

    Args:
        estimates: the complete combinations, or the lines of a spread.
        kind: of the fit; ``interference`` is tightest where it is greatest.

    >>> gaps = [Estimate(Fraction(n), Fraction(n), {}, {}) for n in (1, 3)]
    >>> figures(gaps, "clearance").tightest, figures(gaps, "interference").tightest
    (Fraction(1, 1), Fraction(3, 1))
    """
    if not estimates:
        return Figures(None, None, None)
    return figures_between(
        average(estimates), _extreme(estimates, "low"), _extreme(estimates, "high"), kind
    )


def figures_between(
    mean: Estimate, least: Fraction | None, greatest: Fraction | None, kind: str
) -> Figures:
    """Return the figures of a fit of which mean, least and greatest are known."""
    if kind == "interference":
        least, greatest = greatest, least
    return Figures(mean, least, greatest)


def cases(
    estimates: Sequence[Estimate], limits: Sequence[Limits], kind: str, how: How = "every"
) -> list[Case]:
    """Return the values of a fit that are judged.

    Args:
        estimates: the complete combinations, or the lines of a spread.
        limits: what holds for each of them, in the same order; under ``mean`` the first counts.
        kind: of the fit.
        how: ``every`` combination, the ``mean``, or all that are ``tightest`` or ``loosest``.

    >>> gaps = [Estimate(Fraction(n), Fraction(n), {}, {}) for n in (1, 3)]
    >>> [case.value for case in cases(gaps, [Limits()] * 2, "clearance", "loosest")]
    [Fraction(3, 1)]
    """
    if not estimates:
        return []
    if how == "mean":
        return _mean_cases(average(estimates), limits[0])
    held = list(zip(estimates, limits, strict=True))
    if how == "every":
        return [case for estimate, here in held for case in _ends(estimate, here)]
    side: Side = "low" if is_low(how, kind) else "high"
    extreme = _extreme(estimates, side)
    return [
        _end(estimate, here, side) for estimate, here in held if _at(estimate, side) == extreme
    ]


def is_low(how: How, kind: str) -> bool:
    """Tell whether what is judged (the tightest, the loosest) is the least of a fit.

    >>> is_low("tightest", "clearance"), is_low("tightest", "interference")
    (True, False)
    """
    return (how == "tightest") != (kind == "interference")


def _at(estimate: Estimate, side: Side) -> Fraction | None:
    return estimate.low if side == "low" else estimate.high


def _extreme(estimates: Sequence[Estimate], side: Side) -> Fraction | None:
    """Return the least low or the greatest high end, None where one is open."""
    ends = [_at(estimate, side) for estimate in estimates]
    known = [end for end in ends if end is not None]
    if len(known) < len(ends):
        return None
    return min(known) if side == "low" else max(known)


def _mean_cases(mean: Estimate, limits: Limits) -> list[Case]:
    """Return the middle of the mean as one case; an open end makes a case of each end."""
    if mean.middle is None:
        return list(_ends(mean, limits))
    square, width = mean.variance, mean.width_variance
    return [Case(mean.middle, square, limits, width_variance=width, estimate=mean)]


def _ends(estimate: Estimate, limits: Limits) -> Iterator[Case]:
    yield _end(estimate, limits, "low")
    if estimate.is_bracket:
        yield _end(estimate, limits, "high")


def _end(estimate: Estimate, limits: Limits, side: Side) -> Case:
    value = _at(estimate, side)
    return Case(
        value,
        estimate.variance,
        limits,
        open=side if value is None else None,
        middle=estimate.middle,
        width_variance=estimate.width_variance if estimate.is_bracket else Fraction(0),
        endless=estimate.middle is None,
        estimate=estimate,
    )
