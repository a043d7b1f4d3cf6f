"""Numbers read aloud."""

from __future__ import annotations

import pytest

from bedplate.units.words import in_words


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (0, "nought"),
        (7, "seven"),
        (13, "thirteen"),
        (20, "twenty"),
        (85, "eighty-five"),
        (100, "one hundred"),
        (219, "two hundred and nineteen"),
        (1000, "one thousand"),
        (1003, "one thousand and three"),
        (1050, "one thousand and fifty"),
        (1500, "one thousand five hundred"),
        (25400, "twenty-five thousand four hundred"),
        (
            999999,
            "nine hundred and ninety-nine thousand nine hundred and ninety-nine",
        ),
    ],
)
def test_a_number_is_read_aloud(number: int, words: str) -> None:
    assert in_words(number) == words


def test_no_two_numbers_sound_alike() -> None:
    every = [*range(2100), *range(0, 1_000_000, 997)]
    assert len({in_words(number) for number in set(every)}) == len(set(every))
