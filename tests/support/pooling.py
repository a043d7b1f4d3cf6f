"""Scatter of whole groups of repeats."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from bedplate.metrology.scatter import Pool, Scatter


def pooled(groups: Iterable[Sequence[Fraction]]) -> Pool:
    """Return the pooled scatter of groups of repeats."""
    scatter = Scatter()
    for group, figures in enumerate(groups):
        for figure in figures:
            scatter.take(group, figure)
    return scatter.pool
