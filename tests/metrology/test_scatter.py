from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pooling import pooled

from bedplate.metrology.scatter import Pool, Scatter

F = Fraction


@pytest.mark.parametrize(
    ("groups", "expected"),
    [
        ([], (F(0), 0)),
        ([[F(1)], [F(9)]], (F(0), 0)),
        ([[F(1), F(2), F(3)], [F(4), F(6), F(8)]], (F(0), 4)),
        ([[F(1), F(2), F(3)], [F(4), F(6), F(8)], [F(5), F(5)]], (F(2), 5)),
        ([[F(n) for n in range(6)]], (F(7, 2), 5)),
        ([[F(n) for n in range(7)]], (F(14, 3), 6)),
    ],
)
def test_scatter_is_pooled_from_five_degrees_of_freedom_on(
    groups: Sequence[Sequence[Fraction]], expected: tuple[Fraction, int]
) -> None:
    assert pooled(groups) == expected


FIGURES = st.fractions(min_value=-100, max_value=100, max_denominator=64)


@given(st.lists(st.tuples(st.sampled_from("abc"), FIGURES), max_size=20))
def test_after_every_figure_it_is_what_the_formula_gives_for_all(
    taken: list[tuple[str, Fraction]],
) -> None:
    scatter = Scatter()
    groups: dict[str, list[Fraction]] = {}
    for group, figure in taken:
        assert scatter.take(group, figure) == (group in groups)
        groups.setdefault(group, []).append(figure)
        squares, freedom = F(0), 0
        for figures in groups.values():
            mean = sum(figures, F(0)) / len(figures)
            squares += sum(((one - mean) ** 2 for one in figures), F(0))
            freedom += len(figures) - 1
        assert scatter.pool == Pool(squares / freedom if freedom >= 5 else F(0), freedom)
