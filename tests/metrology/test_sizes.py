"""The sizes of a range."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.sizes import stepped

F = Fraction


def test_sizes_go_by_steps_up_to_the_last_that_fits() -> None:
    assert stepped(F("2.31"), F("2.41"), F("0.05")) == [F("2.31"), F("2.36"), F("2.41")]
    assert stepped(F(1), F("1.9"), F("0.5")) == [F(1), F("1.5")]
    assert stepped(F(1), F(1), F(5)) == [F(1)]
    assert len(stepped(F(1), F(10_000), F(1))) == 10_000


@pytest.mark.parametrize(
    ("low", "high", "step", "message"),
    [
        (1, 2, 0, "The step of a range of sizes must be above 0."),
        (1, 2, -1, "The step of a range of sizes must be above 0."),
        (2, 1, 1, "A range of sizes goes from the smaller to the larger."),
        (1, 10_001, 1, "A range comes to 10001 sizes; 10000 are the most."),
    ],
)
def test_a_range_that_makes_no_sense_is_refused(
    low: int, high: int, step: int, message: str
) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        stepped(F(low), F(high), F(step))
    assert caught.value.message == message
