"""What is questionable in a value, named as what it probably is."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.assess.doubts import (
    Beside,
    Doubt,
    Zero,
    apart,
    deviation,
    far_from_limits,
    far_from_nominal,
    scattered,
)
from bedplate.units import Typed, convert, read_value

ONE = Fraction(1)


def value(text: str, unit: str = "in") -> Typed:
    return read_value(text, unit)


def told(doubt: Doubt | None) -> tuple[str, str, str, str] | None:
    return None if doubt is None else (doubt.text, doubt.guess, doubt.instead, doubt.then)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "0.9799",
            ("0.9799 is 20.1 thou under nominal", "Two figures changed places?", "0.9979",
             "2.1 thou under"),
        ),
        (
            "0.9728",
            ("0.9728 is 27.2 thou under nominal", "one turn of the thimble?", "0.9978",
             "2.2 thou under"),
        ),
        (
            "9.981",
            ("9.981 in is far from 1.0000 in", "Decimal point slipped?", "0.9981",
             "1.9 thou under"),
        ),
        (
            "25.35",
            ("25.35 in is far from 1.0000 in", "Meant as mm?", "25.35 mm", "2.0 thou under"),
        ),
        ("0.9500", ("0.9500 is 50.0 thou under nominal", "", "", "")),
        ("0.95..1.02", ("0.95..1.02 is 50.0 thou under nominal", "", "", "")),
    ],
)  # fmt: skip
def test_a_value_far_from_nominal_is_named_as_what_it_probably_is(
    typed: str, said: tuple[str, str, str, str]
) -> None:
    assert told(far_from_nominal(value(typed), ONE)) == said


@pytest.mark.parametrize("typed", ["1.0150", "0.9850", "1", "0.99..1.01"])
def test_a_value_near_its_nominal_is_not_asked_about(typed: str) -> None:
    assert far_from_nominal(value(typed), ONE) is None


def test_inches_typed_for_mm_are_named() -> None:
    doubt = far_from_nominal(value("2.165", "mm"), Fraction(54990, 1000))
    assert told(doubt) == (
        "2.165 is 52.825 mm under nominal", "Meant as inches?", "2.165 in", "0.001 mm over",
    )  # fmt: skip


def test_a_metric_thimble_turns_half_a_millimetre() -> None:
    doubt = far_from_nominal(value("54.487", "mm"), Fraction(54990, 1000))
    assert told(doubt) == (
        "54.487 is 0.503 mm under nominal", "one turn of the thimble?", "54.987",
        "0.003 mm under",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "unit", "limits", "said"),
    [
        (
            "6", "in", ("4", "8"),
            ("6 in is far from its limits", "Meant as thou?", "6 thou",
             "within its limits"),
        ),
        (
            "300", "psi", ("28", "32"),
            ("300 psi is far from its limits", "Decimal point slipped?", "30",
             "within its limits"),
        ),
        ("12 thou", "in", ("4", "8"), None),
        ("1 thou", "in", ("4", "8"), None),
        ("0", "in", (None, "8"), None),
        ("5 in", "in", ("4", None), None),
        ("1", "in", (None, "8"),
         ("1 in is far from its limits", "Meant as thou?", "1 thou",
          "within its limits")),
    ],
)  # fmt: skip
def test_a_value_without_nominal_is_held_against_its_limits(
    typed: str,
    unit: str,
    limits: tuple[str | None, str | None],
    said: tuple[str, str, str, str] | None,
) -> None:
    read = value(typed, unit)
    scale = Fraction(1, 1000) if unit == "in" else ONE
    if read.unit == "thou":
        scale = ONE
    low, high = (None if end is None else Fraction(end) * scale for end in limits)
    assert told(far_from_limits(read, low, high)) == said


def test_without_limits_there_is_nothing_to_hold_it_against() -> None:
    assert far_from_limits(value("6"), None, None) is None
    assert far_from_limits(value("4..5"), ONE, ONE) is None


BEFORE = [Beside(Fraction(10001, 10000), "entry 9"), Beside(ONE, "entry 10")]


def test_a_repeat_that_scatters_is_named_beside_the_farthest_one() -> None:
    explained = (Fraction(3, 10000), Fraction(0))
    doubt = scattered(value("1.0010"), BEFORE, explained, "mic1")
    assert told(doubt) == (
        "1.0010 is 1.0 thou over the repeat before it (1.0000, entry 10), more than mic1 explains",
        "Two figures changed places?", "1.0001", "0.1 thou over the one before",
    )  # fmt: skip
    assert scattered(value("1.0003"), BEFORE, explained, "mic1") is None


def test_a_stated_repeatability_explains_three_standard_deviations_of_a_difference() -> None:
    tenth = Fraction(1, 10000)
    # 1 tenth of resolution and 3·√2·1 tenth of scatter explain 5.24 tenths.
    explained = (tenth, tenth**2)
    assert scattered(value("1.0005"), BEFORE, explained, "mic1") is None
    found = scattered(value("1.00053"), BEFORE, explained, "mic1")
    assert found is not None
    assert found.text.endswith("(1.00000, entry 10), more than mic1 explains")


def test_two_ends_and_first_readings_do_not_scatter() -> None:
    explained = (Fraction(0), Fraction(0))
    assert scattered(value("1.1..1.2"), BEFORE, explained, "mic1") is None
    assert scattered(value("1.1"), [], explained, "mic1") is None


def beside(*values: str) -> list[Beside]:
    names = ("@a", "@b", "@c")
    return [Beside(Fraction(v), name) for v, name in zip(values, names, strict=False)]


@pytest.mark.parametrize(
    ("typed", "unit", "neighbours", "said"),
    [
        (
            "0.9928", "in", ("0.9980", "0.9979"),
            ("0.9928 is 5.1 thou under its neighbour @b (0.9979)", "Two figures changed places?",
             "0.9982", "0.3 thou over its neighbour"),
        ),
        (
            "54.897", "mm", ("54.986", "54.987"),
            ("54.897 is 0.089 mm under its neighbour @a (54.986)", "Two figures changed places?",
             "54.987", "0.001 mm over its neighbour"),
        ),
        ("0.9955", "in", ("0.9980", "0.9979"), None),
        ("0.9929", "in", ("0.9979",), None),
        (
            "0.9900", "in", ("0.9979",),
            ("0.9900 is 7.9 thou under its neighbour @a (0.9979)", "", "", ""),
        ),
        ("80.02", "mm", ("80.15", "80.11"), None),
        (
            "2300", "N", ("228", "231"),
            ("2300 is 2069 N over its neighbour @b (231)", "Decimal point slipped?", "230",
             "1 N under its neighbour"),
        ),
        ("260", "N", ("228", "231"), None),
        ("1.0", "in", (), None),
        ("0.9..0.91", "in", ("0.9979",), None),
    ],
)  # fmt: skip
def test_a_station_apart_from_its_neighbours_is_asked_about(
    typed: str, unit: str, neighbours: tuple[str, ...], said: tuple[str, ...] | None
) -> None:
    assert told(apart(value(typed, unit), beside(*neighbours))) == said


def test_the_same_figure_as_the_one_beside_it_is_said_to_be_the_same() -> None:
    doubt = apart(value("54.487", "mm"), beside("54.987", "54.987"))
    assert told(doubt) == (
        "54.487 is 0.500 mm under its neighbour @a (54.987)", "one turn of the thimble?",
        "54.987", "the same",
    )  # fmt: skip


def test_a_deviation_that_is_no_length_has_its_unit() -> None:
    assert deviation(Fraction(5, 2), "psi") == "2.5 psi over"


@pytest.mark.parametrize(
    ("typed", "unit", "nominal", "text"),
    [
        ("55.290", "mm", "54.990", None),
        ("55.291", "mm", "54.990", "55.291 is 0.301 mm over nominal"),
        ("54.689", "mm", "54.990", "54.689 is 0.301 mm under nominal"),
        ("0.0150", "in", "0.010", None),
        ("0.0151", "in", "0.010", "0.0151 is 5.1 thou over nominal"),
        ("0.0200", "in", "0.010", "0.0200 in is far from 0.0100 in"),
        ("45", "psi", "30", None),
        ("46", "psi", "30", "46 is 16 psi over nominal"),
        ("60", "psi", "30", "60 psi is far from 30 psi"),
        ("1.2", "mm", "0.5", "1.2 mm is far from 0.500 mm"),
        ("15.0 thou", "in", "0", None),
        ("15.1 thou", "in", "0", "15.1 thou is 15.1 thou over nominal"),
        ("6 thou", "in", "1.0000", "6 thou is 994.0 thou under nominal"),
        ("4", "psi", "0", None),
    ],
)
def test_how_far_from_nominal_is_asked_about(
    typed: str, unit: str, nominal: str, text: str | None
) -> None:
    """0.3 mm or 15 thou, half the nominal if that is less; of what is no length, half."""
    read = value(typed, unit)
    doubt = far_from_nominal(read, convert(Fraction(nominal), unit, read.unit))
    assert (doubt.text if doubt is not None else None) == text


@pytest.mark.parametrize(
    ("typed", "unit", "nominal", "guess"),
    [
        ("0.700+0.273", "in", "1.0000", ("one turn of the thimble?", "0.9980", "2.0 thou under")),
        ("54,478", "mm", "54.990", ("one turn of the thimble?", "54.978", "0.012 mm under")),
        ("45,990", "mm", "54.990", ("Two figures changed places?", "54,990", "nominal")),
        ("1.0000", "mm", "25.400", ("Meant as inches?", "1.0000 in", "nominal")),
        ("10.02", "in", "1.0000", ("Decimal point slipped?", "1.002", "2.0 thou over")),
        ("1.0900", "in", "1.0000", None),
        ("0.1001", "in", "0.0100", ("Decimal point slipped?", "0.01001", "0.0 thou over")),
        ("98.9 thou", "in", "0.992", ("Decimal point slipped?", "989 thou", "3.0 thou under")),
        ("0.929 in", "mm", "25.22", ("Two figures changed places?", "0.992 in", "0.9 thou under")),
    ],
)
def test_what_it_probably_is(
    typed: str, unit: str, nominal: str, guess: tuple[str, str, str] | None
) -> None:
    read = value(typed, unit)
    doubt = far_from_nominal(read, convert(Fraction(nominal), unit, read.unit))
    assert doubt is not None
    assert (doubt.guess, doubt.instead, doubt.then) == (guess or ("", "", ""))


@pytest.mark.parametrize(
    ("typed", "instead", "then"),
    [
        ("1.5031", "-0.0009", "1.3 thou under"),
        ("1.5", "-0.004", "4.4 thou under"),
        ("0.004 in", "", ""),
        ("2..3", "", ""),
    ],
)
def test_a_size_typed_in_full_at_a_gauge_of_differences_is_guessed(
    typed: str, instead: str, then: str
) -> None:
    zero = Zero(Fraction("1.504"), "bore1, set to 0 in on 1.504 in")
    doubt = far_from_nominal(value(typed), Fraction("1.5044"), zero)
    if typed == "0.004 in":
        assert doubt is None
        return
    assert doubt is not None
    assert (doubt.instead, doubt.then) == (instead, then)
    assert doubt.guess == ("The size in full, not the difference?" if instead else "")


def test_a_difference_far_from_limits_is_guessed_too() -> None:
    zero = Zero(Fraction("1.504"), "bore1, set to 0 in on 1.504 in")
    read = value("1.5035")
    doubt = far_from_limits(read, Fraction("1.503"), Fraction("1.505"), zero)
    beyond = far_from_limits(value("1.5055"), Fraction("1.503"), Fraction("1.505"), zero)
    assert beyond is not None
    assert (beyond.instead, beyond.then) == ("0.0015", "0.5 thou over the nearer limit")
    assert told(doubt) == (
        "1.5035 on bore1, set to 0 in on 1.504 in, makes 3.0075 in, far from its limits",
        "The size in full, not the difference?",
        "-0.0005",
        "within its limits",
    )
