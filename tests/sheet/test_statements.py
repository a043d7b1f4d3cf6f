"""A sheet's text cut into statements."""

from __future__ import annotations

from bedplate.sheet.statements import BRACE_LINES, Statement, element_lines, split


def cut(text: str) -> list[tuple[int, str]]:
    return [(statement.line, statement.text) for statement in split(text.split("\n"))]


def test_blank_lines_and_remarks_are_no_statements() -> None:
    assert cut('# a remark\n\n[axes]  # of all\na = ["b"]\n  # indented') == [
        (3, "[axes]  # of all"),
        (4, 'a = ["b"]'),
    ]


def test_a_list_over_several_lines_is_one_statement() -> None:
    assert cut('a = [\n  "b",  # [ in a remark\n  "]",\n]\nc = 1') == [
        (1, 'a = [\n  "b",  # [ in a remark\n  "]",\n]'),
        (5, "c = 1"),
    ]


def test_a_text_over_several_lines_is_one_statement() -> None:
    assert cut('a = """\n[[fit]]\nb = \\"""\n""""\nc = 1') == [
        (1, 'a = """\n[[fit]]\nb = \\"""\n""""'),
        (5, "c = 1"),
    ]
    assert cut("a = '''\nb\\'''\nc = 1") == [(1, "a = '''\nb\\'''"), (3, "c = 1")]


def test_a_list_that_is_not_closed_ends_where_the_next_key_begins() -> None:
    assert cut('a = ["b",\n  "c"\nd = 1') == [(1, 'a = ["b",\n  "c"'), (3, "d = 1")]


def test_a_list_that_is_not_closed_ends_where_the_next_table_begins() -> None:
    assert cut('a = [{ b = 1 },\n[[fit]]\ntag = "A"') == [
        (1, "a = [{ b = 1 },"),
        (2, "[[fit]]"),
        (3, 'tag = "A"'),
    ]


def test_a_brace_that_is_not_closed_ends_with_its_line() -> None:
    assert cut("a = { b = 1\nc = 1\n[[fit]]") == [(1, "a = { b = 1"), (2, "c = 1"), (3, "[[fit]]")]
    far = "\n".join(["x = 1"] * BRACE_LINES)
    assert cut(f"a = {{\n{far}\n}}")[0] == (1, "a = {")


def test_a_brace_over_two_lines_is_one_statement() -> None:
    assert cut('band = { low = "2",\n high = "4" }\nc = 1') == [
        (1, 'band = { low = "2",\n high = "4" }'),
        (3, "c = 1"),
    ]


def test_a_text_that_is_never_closed_ends_with_its_line() -> None:
    assert cut('a = """b\nc = """"""\n') == [(1, 'a = """b\nc = """"""')]
    assert cut('a = """b\nc = 1\nd = """e') == [(1, 'a = """b\nc = 1\nd = """e')]
    assert cut("a = '''b\nc = 1") == [(1, "a = '''b"), (2, "c = 1")]


def test_a_header_is_known_by_its_bracket() -> None:
    assert Statement(1, "  [axes]").is_header
    assert not Statement(1, "a = [1]").is_header


def test_elements_of_a_value_are_found_with_their_lines() -> None:
    value = '[\n  { limits = "2..4", for = "a" },\n\n  { limits = ["x",\n "y"] } ]'
    assert list(element_lines(value)) == [
        ((), 0),
        ((0,), 1),
        ((0, "limits"), 1),
        ((0, "for"), 1),
        ((1,), 3),
        ((1, "limits"), 3),
        ((1, "limits", 0), 3),
        ((1, "limits", 1), 4),
    ]
