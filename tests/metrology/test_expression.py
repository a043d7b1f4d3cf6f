from __future__ import annotations

from fractions import Fraction

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Axis, Shape
from bedplate.metrology.expression import MOST_LENGTH, Fixed, read_expression

WAY = Axis("way", ("Crown", "split"))
DEPTH = Axis("depth", ("front", "mid"))
SHAPES = {
    shape.tag: shape
    for shape in (
        Shape("D"),
        Shape("H", (Axis("gear", ("driver", "idler")),)),
        Shape("MB", (Axis("main", ("1", "2")),), (DEPTH, WAY)),
        Shape("J"),
    )
}
WITH_HYPHEN = {**SHAPES, "D-H": Shape("D-H"), "2ND": Shape("2ND"), "7": Shape("7")}
TWICE = {"B": Shape("B", (), (Axis("depth", ("1", "2")), Axis("ring", ("1", "top"))))}


def read(text: str, shapes: dict[str, Shape] = SHAPES) -> dict[tuple[str, Fixed], Fraction]:
    form = read_expression(text, shapes)
    assert isinstance(form, dict)
    return form


def counts(text: str, shapes: dict[str, Shape] = SHAPES) -> dict[str, Fraction]:
    return {tag: count for (tag, _), count in read(text, shapes).items()}


def fixed(text: str) -> Fixed:
    ((_, names),) = read(text)
    return names


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("D", {"D": 1}),
        ("-D", {"D": -1}),
        ("+D", {"D": 1}),
        ("- -D", {"D": 1}),
        ("D - H", {"D": 1, "H": -1}),
        ("D-H", {"D": 1, "H": -1}),
        ("D\N{MINUS SIGN}H", {"D": 1, "H": -1}),
        ("D \N{EN DASH} H", {"D": 1, "H": -1}),
        ("d - h", {"D": 1, "H": -1}),
        ("(D - J)/2", {"D": Fraction(1, 2), "J": Fraction(-1, 2)}),
        ("2*D", {"D": 2}),
        ("D*2", {"D": 2}),
        ("D + D", {"D": 2}),
        ("3/8*D", {"D": Fraction(3, 8)}),
        ("D*3/8", {"D": Fraction(3, 8)}),
        (".5*D + 0.25*H", {"D": Fraction(1, 2), "H": Fraction(1, 4)}),
        ("D/4/2", {"D": Fraction(1, 8)}),
        ("-(D - H)", {"D": -1, "H": 1}),
        ("D - (H - J)", {"D": 1, "H": -1, "J": 1}),
        ("-D*2", {"D": -2}),
        ("2*-D", {"D": -2}),
        ("(1 + 2)*D", {"D": 3}),
        ("((((((((((((((((D))))))))))))))))", {"D": 1}),
        ("\tD\n-\u00a0H ", {"D": 1, "H": -1}),
        ("D - D", {"D": 0}),
    ],
)
def test_a_text_comes_to_tags_each_times_a_figure(
    text: str, expected: dict[str, Fraction]
) -> None:
    assert counts(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("D-H", {"D-H": 1}),
        ("d-h", {"D-H": 1}),
        ("D - H", {"D": 1, "H": -1}),
        ("D\N{MINUS SIGN}H", {"D": 1, "H": -1}),
        ("D-H-J", {"D-H": 1, "J": -1}),
        ("D-J", {"D": 1, "J": -1}),
        ("2ND-D", {"2ND": 1, "D": -1}),
        ("2*2nd", {"2ND": 2}),
        ("7*D", {"D": 7}),
    ],
)
def test_the_longest_known_tag_wins_and_a_figure_is_a_figure(
    text: str, expected: dict[str, int]
) -> None:
    assert counts(text, WITH_HYPHEN) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("MB@crown", (("way", "Crown"),)),
        ("MB@CROWN/mid", (("depth", "mid"), ("way", "Crown"))),
        ("MB@mid/crown", (("depth", "mid"), ("way", "Crown"))),
        ("MB@1/mid/split", (("main", "1"), ("depth", "mid"), ("way", "split"))),
        ("MB@crown/2", (("main", "2"), ("way", "Crown"))),
        ("h@idler", (("gear", "idler"),)),
    ],
)
def test_names_after_at_hold_one_axis_each(text: str, expected: Fixed) -> None:
    assert fixed(text) == expected


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("MB@1/2", Fraction(1, 2)),  # both names stand on one axis: the second divides
        ("MB@crown /2", Fraction(1, 2)),  # names are joined without spaces
        ("MB@crown/ 2", Fraction(1, 2)),
        ("MB@crown/4", Fraction(1, 4)),
        ("MB@mid/crown/1/2", Fraction(1, 2)),
    ],
)
def test_a_slash_before_anything_but_a_name_on_another_axis_divides(
    text: str, count: Fraction
) -> None:
    assert list(read(text).values()) == [count]


def test_a_name_stops_before_a_hyphen_it_does_not_hold() -> None:
    assert read("MB@crown-D") == {("MB", (("way", "Crown"),)): 1, ("D", ()): -1}
    with_hyphen = {"T": Shape("T", (), (Axis("end", ("a", "a-D")),)), "D": Shape("D")}
    assert read("T@a-d", with_hyphen) == {("T", (("end", "a-D"),)): 1}


def test_a_figure_alone_is_a_figure() -> None:
    assert read_expression("3/8 - 1", SHAPES) == Fraction(-5, 8)
    assert read_expression(f"{'9' * 20}", SHAPES) == 10**20 - 1


CANNOT = "cannot be read as a stack"


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("", ['A stack needs a tag at least, as in "D - H".']),
        (" \t", ['A stack needs a tag at least, as in "D - H".']),
        ("D -", [f'"D -" {CANNOT}: it ends where a tag or a figure is due.']),
        ("D - ", [f'"D - " {CANNOT}: it ends where a tag or a figure is due.']),
        ("* D", [f'"* D" {CANNOT}: "*" stands where a tag or a figure is due.']),
        ("D + )", [f'"D + )" {CANNOT}: ")" stands where a tag or a figure is due.']),
        ("D H", [f'"D H" {CANNOT}: +, -, * or / is missing before "H".']),
        ("2 D", [f'"2 D" {CANNOT}: +, -, * or / is missing before "D".']),
        ("D(H)", [f'"D(H)" {CANNOT}: +, -, * or / is missing before "(".']),
        ("0,5*D", [f'"0,5*D" {CANNOT}: +, -, * or / is missing before ",".']),
        ("1.*D", [f'"1.*D" {CANNOT}: +, -, * or / is missing before ".".']),
        ("D\x1b[2J", [f'"D\\x1b[2J" {CANNOT}: +, -, * or / is missing before "\\x1b".']),
        ("(D", [f'"(D" {CANNOT}: it ends before a ")" is due.']),
        ("(D H)", [f'"(D H)" {CANNOT}: "H" stands where a ")" is due.']),
        ("D)", [f'"D)" {CANNOT}: a ")" closes nothing.']),
        ("D*H", [f'"D*H" {CANNOT}: a tag is multiplied by a tag; a stack is a sum.']),
        ("1/D", [f'"1/D" {CANNOT}: something is divided by a tag; a stack is a sum.']),
        ("D/H", [f'"D/H" {CANNOT}: something is divided by a tag; a stack is a sum.']),
        ("D/0", [f'"D/0" {CANNOT}: something is divided by 0.']),
        ("D - 1", [f'"D - 1" {CANNOT}: a figure is added to a tag; a stack adds tags alone.']),
        ("0 + D", [f'"0 + D" {CANNOT}: a figure is added to a tag; a stack adds tags alone.']),
        ("H.driver", [f'"H.driver" {CANNOT}: a place is named with @: H@driver.']),
        ("H. driver", [f'"H. driver" {CANNOT}: a place is named with @: H@NAME.']),
        ("H@", [f'"H@" {CANNOT}: a name is missing after H@.']),
        ("H@ idler", [f'"H@ idler" {CANNOT}: a name is missing after H@.']),
        ("H @idler", [f'"H @idler" {CANNOT}: +, -, * or / is missing before "@".']),
        (f"{'9' * 21}*D", [f'"{"9" * 21}*D" {CANNOT}: a figure may have 20 digits.']),
        (f"0.{'9' * 20}*D", [f'"0.{"9" * 20}*D" {CANNOT}: a figure may have 20 digits.']),
        ("X", ['No feature "X".', "  Features: D, H, MB, J"]),
        ("M", ['No feature "M".', "  Nearest: MB"]),
        ("MBJ", ['No feature "MBJ".', "  Nearest: MB"]),
        ("2D", ['No feature "2D".', "  Type: 2*D"]),
        ("3X-D", ['No feature "3X".', "  Features: D, H, MB, J"]),
        ("2_", ['No feature "2_".', "  Features: D, H, MB, J"]),
        ("H@middle", ['H has no position or station "middle".', "  It has: driver, idler"]),
        ("D@a", ["D has neither positions nor stations."]),
    ],
)
def test_what_cannot_be_read_is_said_in_words(text: str, lines: list[str]) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_expression(text, SHAPES)
    assert caught.value.as_lines() == lines


@pytest.mark.parametrize("text", ["(" * 17 + "D" + ")" * 17, "-" * 17 + "D", "+(" * 9 + "D"])
def test_nesting_is_bounded(text: str) -> None:
    with pytest.raises(NotUnderstoodError, match="brackets and signs stand more than 16 deep"):
        read_expression(text, SHAPES)


def test_signs_one_after_another_do_not_add_up_to_nesting() -> None:
    assert counts(" + ".join(["-(D)"] * 40)) == {"D": -40}


def test_length_is_bounded() -> None:
    longest = "D" + " " * (MOST_LENGTH - 1)
    assert counts(longest) == {"D": 1}
    with pytest.raises(NotUnderstoodError) as caught:
        read_expression(longest + " ", SHAPES)
    assert caught.value.message == "A stack may have 4000 characters, not 4001."


def test_a_name_on_two_axes_of_one_feature_is_a_fault() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_expression("B@1", TWICE)
    assert caught.value.message == 'B has "1" on two axes, depth and ring.'
    assert read("B@top/2", TWICE) == {("B", (("depth", "2"), ("ring", "top"))): 1}


def test_without_features_the_list_of_them_is_said_to_be_empty() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_expression("D", {})
    assert caught.value.as_lines() == ['No feature "D".', "  There are no features yet."]


def test_the_whole_word_that_is_in_the_way_is_named() -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        read_expression("D gear", SHAPES)
    assert refused.value.message == (
        '"D gear" cannot be read as a stack: +, -, * or / is missing before "gear".'
    )
