"""Faults of form: unknown keys, missing ones, values of the wrong kind."""

from __future__ import annotations

import pytest
from sheet_faults import said, said_after

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.faults import MOST_FAULTS
from bedplate.sheet.line_index import LineIndex
from bedplate.sheet.model_faults import read_axes, read_model, read_row


def in_row(noun: str, keys: str, name: str = "x") -> list[str]:
    """Return the faults of one row; its own keys begin in line 3."""
    naming = "tag" if noun in ("feature", "fit", "fasteners", "proof") else "id"
    return said_after(f'[[{noun}]]\n{naming} = "{name}"\n{keys}')


@pytest.mark.parametrize(
    ("noun", "keys", "text"),
    [
        ("component", 'colour = "red"', 'A component has no key "colour". Its keys: expansion, '
         "id, keep, material, name, part_number, positions, renew."),
        ("component", 'matrial = "steel"', 'A component has no key "matrial". Nearest: material.'),
        ("component", 'revision = "B"', 'A component has no key "revision". "revision" belongs at '
         "the top of the sheet, above the first [ ]."),
        ("component", "material = true",
         'material is a text in straight quotes:  material = "..."'),
        ("component", 'renew = "yes"', "renew is true or false, without quotes:  renew = true"),
        ("component", "renew = 1", "renew is true or false, without quotes:  renew = true"),
        ("component", 'positions = ["a", "b"]',
         "positions names axes, joined by / in the order of the address, or has one axis in "
         'place:\npositions = "cyl/port"   or   positions = { way = ["a", "b"] }'),
        ("component", 'positions = { way = "a" }',
         "positions names axes, joined by / in the order of the address, or has one axis in "
         'place:\npositions = "cyl/port"   or   positions = { way = ["a", "b"] }'),
        ("component", 'positions = { way = ["a b"] }',
         '"a b" is no name: a name has only letters, digits, - and _, at most 64.\n'
         'For example:  "a-b"'),
        ("component", 'keep = "a b"',
         '"a b" is no name: a name has only letters, digits, - and _, at most 64.\n'
         'For example:  "a-b"'),
        ("component", "name = 2026-03-01", 'A date needs straight quotes:  name = "2026-03-01"'),
        ("feature", 'of = { a = "b" }',
         'of is the component it is measured on:  of = "body"  or  of = ["gear", "body"]'),
        ("feature", 'of = "body"\nnominal = { a = true }',
         "nominal is a figure, or one by name:\n"
         'nominal = "1.0030"   or   nominal = { in = "7.980", ex = "7.965" }'),
        ("feature", 'of = "body"\nwhen = "N"', 'when is a list:  when = ["N"]'),
        ("size", 'nominal = "3"', "nominal gives each feature its figure:  "
         'nominal = { MJ = "59.490", MB = "59.540" }'),
        ("fit", 'stack = "D"\nkind = "clearence"',
         "kind is clearance, interference, size, wear, form or direct; "
         '"clearence" is none of them. Nearest: clearance'),
        ("fit", 'stack = "D"\nkind = 3',
         "kind is clearance, interference, size, wear, form or direct; in straight quotes."),
        ("fit", 'stack = "D"\nwear_for = "all"', 'wear_for is "any"; "all" is none of them.'),
        ("fit", 'stack = "D"\nband = "2..4 thou"',
         'A band stands in { }, or several in a list:\n'
         'band = { limits = "2..4 thou", source = "p. 31" }'),
        ("fit", 'stack = "D"\nband = { limits = "2..4", low = "2" }',
         'band of a fit has no key "low". Both stand in one text:  limits = "2..4 thou"'),
        ("fit", 'stack = "D"\nband = { limits = "2..4", limit = "2" }',
         'band of a fit has no key "limit". Nearest: limits.'),
        ("fit", 'stack = "D"\nband = { limits = "2..4", sorce = "x" }',
         'band of a fit has no key "sorce". Nearest: source.'),
        ("fit", 'stack = "D"\nlow = "2 thou"',
         'A fit has no key "low". Both limits stand in one text:  '
         'band = { limits = "2..4 thou", source = "p. 31" }'),
        ("fit", 'stack = "D"\nwear = "..6"', 'A fit has no key "wear". "wear" belongs inside the '
         'band:  band = { limits = "2..4 thou", ... }'),
        ("fit", 'stack = "D"\nadjust = { feature = "D" }',
         'adjust is a list:  adjust = [{ feature = "D", make = "smaller" }]'),
        ("fit", 'stack = "D"\nadjust = [{ feature = "D", make = "less" }]',
         'make is smaller or larger; "less" is none of them.'),
        ("fit", 'stack = "D"\nadjust = [{ feature = "D", sizes = { a = "b" } }]',
         "sizes is a range with its step, or a list:\n"
         'sizes = "2.40..3.10 step 0.05 mm"   or   sizes = ["2.40 mm", "2.45 mm"]'),
        ("fit", 'stack = "D"\nadjust = [{ make = "smaller" }]',
         'An adjust needs its feature:  feature = "D"'),
        ("fasteners", 'count = "4"',
         "count is a whole number from 1 to 100,000, without quotes:  count = 4"),
        ("fasteners", "count = 0",
         "count is a whole number from 1 to 100,000, without quotes:  count = 4"),
        ("fasteners", 'stages = { limits = "2 N*m" }',
         'stages is a list:  stages = [{ limits = "16..18 lbf*ft", source = "p. 34" }]'),
        ("fasteners", 'stages = ["2 N*m"]',
         'stages is a list:  stages = [{ limits = "16..18 lbf*ft", source = "p. 34" }]'),
        ("fasteners", 'spends = { tight = { gasket = "1" } }',
         "spends says for each state what is used up, and how many:\n"
         'spends = { tight = { gasket = 1 }, locked = { "tab washer" = 4 } }'),
        ("fasteners", "spends = { bolted = { gasket = 1 } }",
          'spends has no "bolted". spends says for each state what is used up, and how '
         'many:\nspends = { tight = { gasket = 1 }, locked = { "tab washer" = 4 } }'),
        ("proof", 'text = "x"\ntimes = 1.5',
         "times is a whole number from 1 to 100,000, without quotes:  times = 2"),
        ("proof", 'text = "x"\nhand = "other"', "hand is another or customer; "
         '"other" is none of them. Nearest: another'),
        ("step", "", 'A step needs its text:  text = "Cover, new gasket, nuts"'),
        ("step", 'text = "x"\nleaves = "tight"',
         'leaves says the state of each set:  leaves = { N = "tight" }'),
        ("step", 'text = "x"\nleaves = { N = "tigt" }',
         'N is removed, fitted, tight or locked; "tigt" is none of them. Nearest: tight'),
    ],
)  # fmt: skip
def test_a_fault_of_form_is_said_in_plain_words(noun: str, keys: str, text: str) -> None:
    assert [fault.partition(": ")[2] for fault in in_row(noun, keys)] == [text]


def test_a_bare_figure_is_taken_as_text() -> None:
    assert in_row("component", "part_number = 7.50") == []


def test_the_faults_of_a_row_stand_in_their_own_lines() -> None:
    assert in_row("component", 'nam = "x"\nrenew = 7') == [
        '3: A component has no key "nam". Nearest: name.',
        "4: renew is true or false, without quotes:  renew = true",
    ]


def test_every_fault_of_one_list_is_said() -> None:
    found = in_row("fit", 'stack = "D"\nband = [{ limts = "2..4" },\n{ limits = true }]')
    assert found == [
        '4: A band needs its limits:  limits = "2..4 thou"',
        '4: band of a fit has no key "limts". Nearest: limits.',
        '5: limits is a text in straight quotes:  limits = "..."',
    ]


def test_a_misspelt_table_is_read_all_the_same() -> None:
    assert said(
        '[[components]]\nid = "body"\n[[feature]]\ntag = "D"\nof = "body"\nunit = "mm"'
    ) == ['2: A sheet has no table "components". Nearest: component, moments.']


def test_an_unknown_table_is_said_and_its_names_are_no_strangers() -> None:
    assert said('[[gasket]]\nid = "g"\n[[feature]]\ntag = "D"\nof = "g"\nunit = "mm"') == [
        '2: A sheet has no table "gasket". Its keys: format, title, revision, unit, source, '
        "moments, rule, judge and 8 more."
    ]


def test_single_brackets_are_said_and_read_all_the_same() -> None:
    assert said('[component]\nid = "body"\n[[feature]]\ntag = "D"\nof = "bodi"\nunit = "mm"') == [
        "2: There may be several of them, so it takes double brackets:  [[component]]",
        '6: No component "bodi". Nearest: body',
    ]


def test_a_table_that_is_no_table_is_a_fault() -> None:
    assert said('component = "body"') == [
        "2: component is a table:  [[component]]  on a line, its keys below it."
    ]
    assert said('component = ["body"]') == [
        "2: Each component is a table:  [[component]]  and its keys below."
    ]


def test_a_key_of_the_sheet_under_axes_is_told_where_it_belongs() -> None:
    assert said('[axes]\nunit = "mm"\ngear = "a"') == [
        '3: "unit" is no axis: it belongs at the top of the sheet, above the first [ ].',
        '4: An axis is a list of names:  gear = ["a", "b"]',
    ]
    assert said('axes = ["a"]') == [
        '2: axes is a table of names:  [axes]  and below it  gear = ["driver", "idler"]'
    ]


def test_a_name_on_an_axis_has_letters_and_digits_only() -> None:
    assert said('[axes]\nend = ["top end", "foot"]\nway = ["a"]') == [
        '3: "top end" is no name: a name has only letters, digits, - and _, at most 64.\n'
        'For example:  "top-end"'
    ]


def test_the_keys_of_the_sheet_are_checked() -> None:
    assert said('rule = "strict"\nmoments = "handover"\nunit = 3.5\njudge = 1') == [
        '2: rule is simple or guarded; "strict" is none of them.',
        '3: moments is a list:  moments = ["handover", "first run"]',
        '4: There is no unit "3.5".\n'
        "Units: m, mm, um, in, thou, tenth, degree, arcmin and 35 more",
        "5: judge is every, mean, tightest or loosest; in straight quotes.",
    ]


def test_a_text_has_at_most_four_thousand_characters() -> None:
    text = "\\\n".join(["x" * 400] * 11)
    assert said(f'title = """{text}"""') == [
        "2: This text has 4,400 characters; 4,000 are the most."
    ]


def test_what_no_sheet_says_first_is_said() -> None:
    reading = read_model({"format": "pump", "titel": 1}, LineIndex())
    assert [fault.text for fault in reading.faults] == [
        'A build sheet is marked:  format = "bedplate-sheet/1"',
        'A sheet has no key "titel". Nearest: title.',
    ]


def test_so_many_faults_are_said_and_no_more() -> None:
    reading = read_model(
        {"format": "bedplate-sheet/1", **{f"key{n}": n for n in range(500)}}, LineIndex()
    )
    assert len(reading.faults) == MOST_FAULTS
    assert reading.sheet is None


def test_one_row_is_read_by_itself() -> None:
    assert read_row("component", {"id": "body", "renew": True}).title == "body"
    with pytest.raises(NotUnderstoodError) as caught:
        read_row("component", {"id": "body", "name": 3.5})
    assert caught.value.as_lines() == ['name is a text in straight quotes:  name = "..."']


def test_axes_are_read_by_themselves() -> None:
    assert read_axes({"a": ["1", "2"]}) == {"a": ("1", "2")}
    assert read_axes({}) is None
    with pytest.raises(NotUnderstoodError) as caught:
        read_axes({"a": ["1 2"]})
    assert caught.value.as_lines() == [
        '"1 2" is no name: a name has only letters, digits, - and _, at most 64.',
        '  For example:  "1-2"',
    ]
