from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.linear import solved

F = Fraction
FIGURES = st.fractions(min_value=-9, max_value=9, max_denominator=5)


def test_a_system_is_solved_exactly() -> None:
    assert solved([[F(1), F(1)], [F(1), F(-1)]], [F(1), F(0)]) == [F(1, 2), F(1, 2)]


def test_rows_are_changed_about_where_the_first_begins_with_nought() -> None:
    assert solved([[F(0), F(2)], [F(3), F(1)]], [F(4), F(5)]) == [F(1), F(2)]


def test_a_singular_system_is_refused() -> None:
    with pytest.raises(ValueError, match="singular"):
        solved([[F(1), F(2)], [F(2), F(4)]], [F(1), F(2)])


@given(matrix=st.lists(st.lists(FIGURES, min_size=3, max_size=3), min_size=3, max_size=3),
       answer=st.lists(FIGURES, min_size=3, max_size=3))  # fmt: skip
def test_what_went_in_comes_out(matrix: list[list[Fraction]], answer: list[Fraction]) -> None:
    right = [sum((a * x for a, x in zip(row, answer, strict=True)), F(0)) for row in matrix]
    (a, b, c), (d, e, f), (g, h, i) = matrix
    if a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g):
        assert solved(matrix, right) == answer
    else:
        with pytest.raises(ValueError, match="singular"):
            solved(matrix, right)
