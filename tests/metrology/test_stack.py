from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.stack import (
    MOST_COMBINATIONS,
    Axis,
    Row,
    Shape,
    Spot,
    Term,
    paired_axes,
    parse_stack,
    rows,
)

GEAR = Axis("gear", ("driver", "idler"))
MAIN = Axis("main", ("1", "2"))
DEPTH = Axis("depth", ("front", "rear"))
WAY = Axis("way", ("crown", "split"))
ROUND = Axis("round", ("v", "h"))
SIDE = Axis("side", ("upper", "lower"))
SHAPES = {
    shape.tag: shape
    for shape in (
        Shape("D", (GEAR,), (Axis("tooth", ("a", "b")),)),
        Shape("H", (GEAR,)),
        Shape("F", (), (GEAR,)),
        Shape("MB", (MAIN,), (DEPTH, WAY)),
        Shape("MJ", (MAIN,), (DEPTH, ROUND)),
        Shape("W", (SIDE, MAIN)),
        Shape("S"),
        Shape("P", (Axis("gear", ("one", "two")),)),
        Shape("G", (Axis("GEAR", ("Idler", "Driver")),)),
    )
}


def formed(text: str) -> list[Row]:
    return rows(parse_stack(text, SHAPES), SHAPES)


def addresses(row: Row) -> list[list[str]]:
    return [[str(spot) for _, spot in each.parts] for each in row.combinations]


def refused(text: str) -> NotUnderstoodError:
    with pytest.raises(NotUnderstoodError) as caught:
        formed(text)
    return caught.value


def test_terms_keep_the_order_in_which_they_are_met() -> None:
    assert parse_stack("mb@Crown - mj + s/2", SHAPES).terms == (
        Term(Fraction(1), "MB", (("way", "crown"),)),
        Term(Fraction(-1), "MJ"),
        Term(Fraction(1, 2), "S"),
    )


def test_the_text_is_kept_as_typed() -> None:
    assert parse_stack(" s\N{MINUS SIGN}h ", SHAPES).text == " s\N{MINUS SIGN}h "


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1 + 2", '"1 + 2" names no tag; a stack adds tags.'),
        ("S - S", 'S cancels in "S - S": it would not count.'),
        ("0*S", 'S cancels in "0*S": it would not count.'),
        ("S + H - s", 'S cancels in "S + H - s": it would not count.'),
        (
            "MB@crown/front - H - MB@front/crown",
            'MB@front/crown cancels in "MB@crown/front - H - MB@front/crown": it would not count.',
        ),
    ],
)
def test_a_stack_that_does_not_count_is_refused(text: str, message: str) -> None:
    assert refused(text).message == message


def test_one_tag_at_two_names_does_not_cancel() -> None:
    (row,) = formed("W@upper/1 - W@lower/1")
    assert [part for each in row.combinations for part in each.parts] == [
        (Fraction(1), Spot("W", ("upper", "1"))),
        (Fraction(-1), Spot("W", ("lower", "1"))),
    ]


def test_position_axes_make_rows_and_station_axes_are_swept() -> None:
    first, second = formed("D - H")
    assert (first.position, first.axes) == (("driver",), ("gear",))
    assert (second.position, second.axes) == (("idler",), ("gear",))
    assert addresses(second) == [["D.idler@a", "H.idler"], ["D.idler@b", "H.idler"]]
    assert [each.station for each in second.combinations] == [("a",), ("b",)]


def test_shared_stations_pair_and_the_others_meet_in_every_combination() -> None:
    row = formed("MB - MJ")[1]
    assert row.position == ("2",)
    assert len(row.combinations) == 2 * 2 * 2
    assert addresses(row)[:3] == [
        ["MB.2@front/crown", "MJ.2@front/v"],
        ["MB.2@front/crown", "MJ.2@front/h"],
        ["MB.2@front/split", "MJ.2@front/v"],
    ]
    assert row.combinations[1].station == ("front", "crown", "h")


def test_a_held_axis_is_not_swept() -> None:
    row = formed("MB@crown - MJ")[0]
    assert addresses(row) == [
        ["MB.1@front/crown", "MJ.1@front/v"],
        ["MB.1@front/crown", "MJ.1@front/h"],
        ["MB.1@rear/crown", "MJ.1@rear/v"],
        ["MB.1@rear/crown", "MJ.1@rear/h"],
    ]


def test_a_held_axis_does_not_pair_with_a_free_one() -> None:
    assert addresses(formed("H@driver - D@a")[1]) == [["H.driver", "D.idler@a"]]


def test_two_washers_of_one_tag_go_with_each_position() -> None:
    second = formed("H@idler - W@upper - W@lower - S")[1]
    assert second.position == ("2",)
    assert addresses(second) == [["H.idler", "W.upper/2", "W.lower/2", "S"]]


def test_a_thickness_doubled_is_one_part_read_once() -> None:
    (row,) = formed("2*S")
    assert row.position == ()
    assert row.combinations[0].parts == ((Fraction(2), Spot("S")),)


def test_an_address_met_twice_stands_once_with_its_coefficients_added() -> None:
    row = formed("D - D@a/2")[0]
    assert row.combinations[0].parts == ((Fraction(1, 2), Spot("D", ("driver",), ("a",))),)
    assert row.combinations[1].parts == (
        (Fraction(1), Spot("D", ("driver",), ("b",))),
        (Fraction(-1, 2), Spot("D", ("driver",), ("a",))),
    )


def test_several_position_axes_come_in_the_order_first_met() -> None:
    found = formed("H - W")
    assert found[0].axes == ("gear", "side", "main")
    assert [row.position for row in found[:3]] == [
        ("driver", "upper", "1"),
        ("driver", "upper", "2"),
        ("driver", "lower", "1"),
    ]
    assert len(found) == 8


def test_an_axis_of_positions_in_one_feature_and_stations_in_another_makes_rows() -> None:
    found = formed("F - H")
    assert [row.position for row in found] == [("driver",), ("idler",)]
    assert addresses(found[1]) == [["F@idler", "H.idler"]]


def test_names_pair_whatever_their_order_and_case_and_keep_their_own_spelling() -> None:
    found = formed("H - G")
    assert [row.position for row in found] == [("driver",), ("idler",)]
    assert addresses(found[0]) == [["H.driver", "G.Driver"]]


def test_features_that_meet_must_list_the_same_names() -> None:
    assert refused("P - H").message == (
        "positions of H (driver, idler) and P (one, two) do not match, "
        'so "P - H" cannot be paired.'
    )
    assert refused("F - P").message == (
        'names on "gear" of F (driver, idler) and P (one, two) do not match, '
        'so "F - P" cannot be paired.'
    )


def test_stations_that_do_not_match_are_called_stations() -> None:
    shapes = {tag: Shape(tag, (), (Axis("end", tuple(tag)),)) for tag in ("AB", "AC")}
    with pytest.raises(NotUnderstoodError) as caught:
        rows(parse_stack("AB - AC", shapes), shapes)
    assert caught.value.message == (
        'stations of AB (A, B) and AC (A, C) do not match, so "AB - AC" cannot be paired.'
    )


def wide(*sizes: int) -> dict[str, Shape]:
    return {
        f"T{number}": Shape(f"T{number}", (), (Axis(f"a{number}", tuple(map(str, range(size)))),))
        for number, size in enumerate(sizes)
    }


def test_a_hundred_thousand_combinations_are_the_most() -> None:
    shapes = wide(1000, 100)
    _, stations = paired_axes(parse_stack("T0 - T1", shapes), shapes)
    assert len(stations[0].names) * len(stations[1].names) == MOST_COMBINATIONS
    shapes = wide(1000, 101)
    with pytest.raises(NotUnderstoodError) as caught:
        rows(parse_stack("T0 - T1", shapes), shapes)
    assert caught.value.as_lines() == [
        '"T0 - T1" comes to 101000 combinations; 100000 are the most a fit may have.',
        "  Hold a station with @, or measure at fewer.",
    ]


def test_positions_count_among_the_combinations() -> None:
    many = Axis("cyl", tuple(map(str, range(400))))
    shapes = {"A": Shape("A", (many,)), **wide(400)}
    with pytest.raises(NotUnderstoodError, match="160000 combinations"):
        paired_axes(parse_stack("A - T0", shapes), shapes)


# Random texts, each built together with the counts it must come to.

Built = tuple[str, dict[str, Fraction]]
PLAIN = {tag: Shape(tag) for tag in "DHJ"}
NUMBERS = st.sampled_from(
    [("2", "2"), ("0.5", "1/2"), (".25", "1/4"), ("(3/8)", "3/8"), ("(1 - 3)", "-2")]
)


def _scaled(built: Built, text: str, by: Fraction) -> Built:
    return text, {tag: count * by for tag, count in built[1].items()}


def _sum(left: Built, sign: str, right: Built) -> Built:
    total = dict(left[1])
    for tag, count in right[1].items():
        total[tag] = total.get(tag, Fraction(0)) + (count if "+" in sign else -count)
    return f"{left[0]}{sign}({right[0]})", total


def linear_texts() -> st.SearchStrategy[Built]:
    return st.recursive(
        st.sampled_from("DHJ").map(lambda tag: (tag, {tag: Fraction(1)})),
        lambda inner: st.one_of(
            st.builds(_sum, inner, st.sampled_from([" + ", " - ", "-", "+"]), inner),
            inner.map(lambda built: _scaled(built, f"-({built[0]})", Fraction(-1))),
            st.tuples(NUMBERS, inner).map(
                lambda two: _scaled(two[1], f"{two[0][0]}*({two[1][0]})", Fraction(two[0][1]))
            ),
            st.tuples(inner, NUMBERS).map(
                lambda two: _scaled(two[0], f"({two[0][0]})/{two[1][0]}", 1 / Fraction(two[1][1]))
            ),
        ),
        max_leaves=6,
    )


@given(built=linear_texts())
def test_a_stack_comes_to_what_it_was_built_from(built: Built) -> None:
    text, counts = built
    if 0 in counts.values():
        with pytest.raises(NotUnderstoodError, match="cancels in"):
            parse_stack(text, PLAIN)
        return
    terms = parse_stack(text, PLAIN).terms
    assert {term.tag: term.coefficient for term in terms} == counts


@given(text=st.text("DHJ@/*+-() 0123.\N{MINUS SIGN}\x1b", max_size=30))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    fault = None
    try:
        assert all(term.coefficient for term in parse_stack(text, PLAIN).terms)
    except NotUnderstoodError as refusal:
        fault = refusal.message
    assert fault is None or (fault.isprintable() and fault.endswith("."))


@given(
    sizes=st.lists(st.integers(1, 4), min_size=1, max_size=4),
    roles=st.lists(st.booleans(), min_size=4, max_size=4),
)
def test_rows_and_combinations_are_every_choice_of_names_once(
    sizes: list[int], roles: list[bool]
) -> None:
    axes = [Axis(f"a{n}", tuple("wxyz"[:size])) for n, size in enumerate(sizes)]
    shape = Shape(
        "T",
        tuple(axis for axis, role in zip(axes, roles, strict=False) if role),
        tuple(axis for axis, role in zip(axes, roles, strict=False) if not role),
    )
    met = [
        spot.position + spot.station
        for row in rows(parse_stack("T", {"T": shape}), {"T": shape})
        for each in row.combinations
        for _, spot in each.parts
    ]
    assert met == list(itertools.product(*(axis.names for axis in shape.axes)))
