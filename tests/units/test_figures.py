"""One figure, and where it ends."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.units.figures import Figure, read_figure, starts_figure


@pytest.mark.parametrize(
    ("text", "start", "figure"),
    [
        ("0.7503in", 0, Figure(Fraction(7503, 10000), Fraction(1, 10000), 6, mark=".")),
        ("4..5", 0, Figure(Fraction(4), Fraction(1), 1)),
        ("4..5", 3, Figure(Fraction(5), Fraction(1), 4)),
        ("0.4..0.5", 0, Figure(Fraction(2, 5), Fraction(1, 10), 3, mark=".")),
        ("3/8", 0, Figure(Fraction(3, 8), Fraction(1, 8), 3)),
        ("2+1 3/8 in", 2, Figure(Fraction(11, 8), Fraction(1, 8), 7, mixed=True)),
        ("1-3/8in", 0, Figure(Fraction(11, 8), Fraction(1, 8), 5, mixed=True)),
        ("1-3", 0, Figure(Fraction(1), Fraction(1), 1)),
        ("1 - 3/8", 0, Figure(Fraction(1), Fraction(1), 1)),
        ("1 mm", 0, Figure(Fraction(1), Fraction(1), 1)),
        (
            "19,057",
            0,
            Figure(Fraction(19057, 1000), Fraction(1, 1000), 6, mark=",", doubtful=("19", "057")),
        ),
    ],
)
def test_a_figure_is_read_to_its_end(text: str, start: int, figure: Figure) -> None:
    assert read_figure(text, start) == figure


def test_an_exponent_is_part_of_the_figure_where_it_is_allowed() -> None:
    figure = read_figure("11.7e-6 /degC", 0, exponent=True)
    assert figure == Figure(Fraction(117, 10**7), Fraction(1, 10**7), 7, mark=".")


def test_an_e_without_a_power_is_no_exponent() -> None:
    assert read_figure("5e", 0, exponent=True).end == 1
    assert read_figure("5e-", 0).end == 1


@pytest.mark.parametrize(
    ("text", "at", "starts"),
    [
        ("7", 0, True),
        (".7", 0, True),
        (",7", 0, True),
        ("..7", 0, False),
        (".", 0, False),
        ("7", 1, False),
        ("x7", 0, False),
        ("\u0667", 0, False),
    ],
)
def test_a_figure_starts_with_a_digit_or_a_decimal_sign(text: str, at: int, starts: bool) -> None:
    assert starts_figure(text, at) is starts
