"""In which line of a file something stands."""

from __future__ import annotations

from bedplate.sheet.line_index import LineIndex

INDEX = LineIndex(
    ["[[fit]]", '  tag = "A"', "band = {}"],
    {("fit", 0): 1, ("fit", 0, "tag"): 2, ("fit", 0, "band"): 3},
)


def test_a_key_has_its_line_blanks_left_off() -> None:
    assert INDEX.line(("fit", 0, "tag")) == 2
    assert INDEX.shown(("fit", 0, "tag")) == 'tag = "A"'


def test_what_is_not_known_stands_where_what_is_around_it_does() -> None:
    assert INDEX.line(("fit", 0, "band", "limits")) == 3
    assert INDEX.line(("fit", 0, "due")) == 1


def test_one_of_a_list_of_one_stands_where_the_list_does() -> None:
    assert INDEX.line(("fit", 0, "band", 0, "limits")) == 3


def test_without_a_file_nothing_has_a_line() -> None:
    assert LineIndex().line(("fit", 0)) is None
    assert LineIndex().shown(("fit", 0)) == ""
