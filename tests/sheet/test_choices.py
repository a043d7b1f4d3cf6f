"""The sizes that something can be had in."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.choices import read_choices

EXAMPLE = '  Sizes read like  "2.40..3.10 step 0.05 mm"   or   ["2.40 mm", "2.45 mm"]'


def refusal(sizes: str | list[str], unit: str = "mm") -> list[str]:
    with pytest.raises(NotUnderstoodError) as caught:
        read_choices(sizes, unit)
    return caught.value.as_lines()


def test_a_range_has_both_its_ends_and_every_step_between() -> None:
    sizes = read_choices("2.40..3.10 step 0.05 mm", "mm")
    assert len(sizes) == 15
    assert (sizes[0], sizes[1], sizes[-1]) == (
        Fraction("2.4"), Fraction("2.45"), Fraction("3.1")
    )  # fmt: skip


def test_a_range_that_the_step_does_not_meet_ends_below_its_end() -> None:
    assert read_choices("1..2 step 0.4", "mm") == [1, Fraction("1.4"), Fraction("1.8")]


def test_sizes_are_in_the_unit_asked_for() -> None:
    assert read_choices("100..102 step 1 thou", "in") == [
        Fraction("0.1"), Fraction("0.101"), Fraction("0.102")
    ]  # fmt: skip
    assert read_choices("1..2 mm step 500 um", "mm") == [1, Fraction("1.5"), 2]


def test_a_list_is_put_in_order_each_size_once() -> None:
    assert read_choices(["2.70", "2.65 mm", "270e0".replace("e0", "0 um")], "mm") == [
        Fraction("2.65"), Fraction("2.7")
    ]  # fmt: skip


def test_what_is_no_range_is_refused() -> None:
    assert refusal("2.40..3.10 mm") == ['"2.40..3.10 mm" is no range with a step.', EXAMPLE]
    assert refusal([]) == ["Here stand no sizes.", EXAMPLE]
    assert refusal(["1..2"]) == ['"1..2" has two ends.', EXAMPLE]
    assert refusal("..3 step 1 mm") == [
        '"..3 step 1 mm" needs both its ends.',
        '  As in  "2.40..3.10 step 0.05 mm"   or   ["2.40 mm", "2.45 mm"]',
    ]
    assert refusal("1..3 step 0 mm") == ['"1..3 step 0 mm" needs a step above nought.']


def test_a_range_of_pressures_is_no_range_of_lengths() -> None:
    assert refusal("1..3 psi step 1 mm")[0] == '"3 psi" is a pressure, not a length.'
    assert refusal("1..3 step 1 psi")[0] == '"1 psi" is a pressure, not a length.'


def test_a_range_of_too_many_sizes_is_refused() -> None:
    assert refusal("0..1 step 0.00001 mm") == [
        '"0..1 step 0.00001 mm" comes to 100,001 sizes; 10,000 are the most.'
    ]
