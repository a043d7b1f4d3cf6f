"""What is said of a value that is not understood."""

from __future__ import annotations

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.units import dimension, read_value, refusals
from bedplate.units.registry import units_of

KINDS = [
    "length", "angle", "force", "torque", "unbalance", "pressure", "stiffness", "mass", "time",
    "speed", "temperature", "volume", "flow", "ratio",
]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_every_example_of_a_dimension_is_itself_understood(kind: str) -> None:
    intro, _, examples = refusals.reads_like(kind).partition("  ")
    article = "An" if kind[0] in "aeiou" else "A"
    assert intro == f"{article} {kind} reads like"
    # Two blanks part the examples; quotes are for the shell.
    typed = [example.strip('"') for example in examples.split("  ")]
    assert len(typed) >= 1
    for example in typed:
        assert dimension(read_value(example, units_of(kind)[0]).unit) == kind


@pytest.mark.parametrize(
    "example",
    ["0.75 furlong", "1,003", "0.75 inhg", "1 003", "0.7++0.1", "4..4", "5..4", "1e9", "1 9/8"],
)
def test_a_message_fits_four_lines_of_78_columns(example: str) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_value(example, "in", what="H (gear height)")
    lines = caught.value.as_lines()
    assert len(lines) <= 4
    assert all(len(line) <= 78 for line in lines)


def test_a_long_text_is_cut_in_its_message() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_value("x" * 4000, "in")
    assert caught.value.message == f'"{"x" * 57}..." is not a figure.'
