"""What may have happened to a value: every slip, and how the right value would be typed."""

from __future__ import annotations

import pytest

from bedplate.assess.slips import slips
from bedplate.units import convert, read_value


@pytest.mark.parametrize(
    ("typed", "unit", "instead"),
    [
        ("0.9799", "in", ["9.0799", "0.7999", "0.9979", "1.0049", "0.9549", "9.799", "0.09799",
                          "0.9799 thou", "0.9799 mm"]),
        ("12 thou", "in", ["21 thou", "37 thou", "-13 thou", "120 thou", "1.2 thou", "12 mm"]),
        ("25,4", "mm", ["52,4", "24,5", "25.9", "24.9", "254", "2.54", "25,4 in"]),
        ("1.25 in", "mm", ["2.15 in", "1.52 in", "1.28 in", "1.22 in", "12.5 in", "0.125 in",
                           "1.25 thou", "1.25 mm"]),
        ("30", "psi", ["300", "3"]),
        ("30 psi", "bar", ["300 psi", "3 psi"]),
        ("1.0+0.25", "in", ["1.2750", "1.2250", "12.5", "0.125"]),
        ("1..2", "in", []),
        ("..2", "in", []),
    ],
)  # fmt: skip
def test_every_slip_is_told_as_it_would_be_typed(
    typed: str, unit: str, instead: list[str]
) -> None:
    """With a unit where one was typed: bare, the figure would be another."""
    read = read_value(typed, unit)
    told = list(slips(read))
    assert [figure for _, _, figure in told] == instead
    for _, value, figure in told:
        meant = read_value(figure, unit)
        assert meant.low is not None
        assert abs(convert(meant.low, meant.unit, read.unit) - value) < read.step
