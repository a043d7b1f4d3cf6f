"""What is said of one faulty statement, and what it is taken to mean."""

from __future__ import annotations

import pytest

from bedplate.sheet.toml_slips import NOT_UNDERSTOOD, diagnose, reads

QUOTES = "These are printer's quotes. Use the plain \" from the keyboard."


@pytest.mark.parametrize(
    ("typed", "text", "mended"),
    [
        ('id = "a"; name = "b"', "One key to a line: begin a new line in place of the semicolon.",
         'id = "a"\nname = "b"'),
        ("a = 1;", "No semicolon at the end of a line:  a = 1", "a = 1"),
        ("low = 2 thou", 'A value with a unit needs straight quotes:  low = "2 thou"',
         'low = "2 thou"'),
        ("low = 2 thou # p. 3", 'A value with a unit needs straight quotes:  low = "2 thou"',
         'low = "2 thou"'),
        ("aim = ..4 thou", 'A value with a unit needs straight quotes:  aim = "..4 thou"',
         'aim = "..4 thou"'),
        ("nominal = .75", 'A figure written so needs straight quotes:  nominal = ".75"',
         'nominal = ".75"'),
        ("nominal = 1.", 'A figure written so needs straight quotes:  nominal = "1."',
         'nominal = "1."'),
        ("nominal = 012", 'A figure written so needs straight quotes:  nominal = "012"',
         'nominal = "012"'),
        ("nominal = 1 3/8", 'A figure written so needs straight quotes:  nominal = "1 3/8"',
         'nominal = "1 3/8"'),
        ("nominal = 19,057", 'A figure has a point, not a comma:  nominal = "19.057"',
         'nominal = "19.057"'),
        ("nominal = 19,05 mm", 'A figure has a point, not a comma:  nominal = "19.05 mm"',
         'nominal = "19.05 mm"'),
        ("name = “Gear height”", QUOTES, 'name = "Gear height"'),
        ('name = "Gear height”', QUOTES, 'name = "Gear height"'),
        ("name = „Gear“", QUOTES, 'name = "Gear"'),
        ("name = ‘Gear’", QUOTES, "name = 'Gear'"),
        ("name = “Owner’s gear”", QUOTES, 'name = "Owner’s gear"'),
        ('nominal = "0.750""',
         'The inch mark is a quote too; type in instead:  nominal = "0.750 in"',
         'nominal = "0.750 in"'),
        ('nominal = 7/8"', 'The inch mark is a quote too; type in instead:  nominal = "7/8 in"',
         'nominal = "7/8 in"'),
        ("lock = tab washer", 'A text needs straight quotes:  lock = "tab washer"',
         'lock = "tab washer"'),
        ("name = Owner's gear", 'A text needs straight quotes:  name = "Owner\'s gear"',
         'name = "Owner\'s gear"'),
        ("material = steel, hardened",
         'A text needs straight quotes:  material = "steel, hardened"',
         'material = "steel, hardened"'),
        ("of = [body, gear]", 'A text needs straight quotes:  of = ["body", "gear"]',
         'of = ["body", "gear"]'),
        ("band = { limits = 2..4 thou, source = p. 31 }",
         "A value with a unit needs straight quotes:  "
         'band = { limits = "2..4 thou", source = "p. 31" }',
         'band = { limits = "2..4 thou", source = "p. 31" }'),
        ('band = { low = "2 thou",\n  high = "4 thou" }',
         "What stands between { and } stays on one line:  "
         'band = { low = "2 thou", high = "4 thou" }',
         'band = { low = "2 thou", high = "4 thou" }'),
        ('band = { limits = "2..4", }', 'No comma at the end:  band = { limits = "2..4" }',
         'band = { limits = "2..4" }'),
        ('tag = "H",', 'No comma at the end:  tag = "H"', 'tag = "H"'),
        ('positions = "a", "b"', 'A list stands in square brackets:  positions = ["a", "b"]',
         'positions = ["a", "b"]'),
        ('order = ("1", "3")', 'A list stands in square brackets:  order = ["1", "3"]',
         'order = ["1", "3"]'),
        ("order = 1,3", "A list stands in square brackets:  order = [1,3]", "order = [1,3]"),
        ("order = [1 2 3]", "A comma is missing between two of these:  order = [1, 2, 3]",
         "order = [1, 2, 3]"),
        ('of = ["body" "gear"]', 'A comma is missing between two of these:  of = ["body", "gear"]',
         'of = ["body", "gear"]'),
        ("nominal = { in = 7.980 ex = 7.965 }",
         "A comma is missing between two of these:  nominal = { in = 7.980, ex = 7.965 }",
         "nominal = { in = 7.980, ex = 7.965 }"),
        ('of = ["body", "gear"', 'The [ is not closed with ]:  of = ["body", "gear"]',
         'of = ["body", "gear"]'),
        ('band = { limits = "2..4"', 'The { is not closed with }:  band = { limits = "2..4"}',
         'band = { limits = "2..4"}'),
        ('band = { limits = "2..4" }}',
         'One closing bracket too many:  band = { limits = "2..4" }',
         'band = { limits = "2..4" }'),
        ('name = "Gear', 'A quote is missing:  name = "Gear"', 'name = "Gear"'),
        ('name = Gear"', 'A quote is missing:  name = "Gear"', 'name = "Gear"'),
        ("name = 'Gear", "A quote is missing:  name = 'Gear'", "name = 'Gear'"),
        ('when = ["N]', 'A quote is missing:  when = ["N"]', 'when = ["N"]'),
        ('name = ""Gear""', 'One quote at each end is enough:  name = "Gear"', 'name = "Gear"'),
        ('name = """Gear', 'One quote at each end is enough:  name = "Gear"', 'name = "Gear"'),
        ('name = "the "big" gear"',
         "A text with such quotes in it stands between two ':  name = 'the \"big\" gear'",
         "name = 'the \"big\" gear'"),
        ("source = 'it's'",
         'A text with such quotes in it stands between two ":  source = "it\'s"',
         'source = "it\'s"'),
        ('source = "C:\\pump"', 'A backslash is written twice:  source = "C:\\\\pump"',
         'source = "C:\\\\pump"'),
        ('name = "a\x01b"',
         'A character that cannot be seen (\\x01) stands here; type it without:  name = "ab"',
         'name = "ab"'),
        ("renew = True", "Yes or no is written true or false:  renew = true", "renew = true"),
        ("renew = yes # always", "Yes or no is written true or false:  renew = true",
         "renew = true # always"),
        ('tag: "H"', 'Between key and value stands one =:  tag = "H"', 'tag = "H"'),
        ("count == 4", "Between key and value stands one =:  count = 4", "count = 4"),
        ('part number = "a"', "A key is one word of plain letters, digits, - and _:  "
         'part_number = "a"', 'part_number = "a"'),
        ("count = 4 // nuts", "A remark begins with #:  count = 4", "count = 4 # nuts"),
        ("name =", "Nothing stands after name =.", ""),
        ("[[component]", "A table begins with its name in brackets, both closed:  [[component]]",
         "[[component]]"),
        ("[component]]", "A table begins with its name in brackets, both closed:  [[component]]",
         "[[component]]"),
        ("[[Component", "A table begins with its name in brackets, both closed:  [[component]]",
         "[[component]]"),
        ('[[component]] id = "a"', "A header stands on a line of its own, its keys below it.",
         '[[component]]\nid = "a"'),
        ("component", "A table begins with its name in brackets:  [[component]]", "[[component]]"),
        ("axes:", "A table begins with its name in brackets:  [axes]", "[axes]"),
    ],
)  # fmt: skip
def test_a_slip_is_said_and_mended(typed: str, text: str, mended: str) -> None:
    assert not reads(typed)
    diagnosis = diagnose(typed)
    assert (diagnosis.text, diagnosis.mended) == (text, mended)


def test_two_slips_in_one_statement_are_both_said() -> None:
    diagnosis = diagnose("band = { limits = “2..4 thou”, source = p. 31 }")
    assert diagnosis.text == (
        f"{QUOTES}\nA text needs straight quotes:  "
        'band = { limits = "2..4 thou", source = "p. 31" }'
    )
    assert diagnosis.mended == 'band = { limits = "2..4 thou", source = "p. 31" }'


def test_keys_of_axes_have_lists() -> None:
    assert diagnose("depth = 1,2", "axes").mended == "depth = [1,2]"
    assert diagnose("depth = 1,2").mended == 'depth = "1.2"'


@pytest.mark.parametrize("typed", ["=", "]", '"', "a", "hello world", "ä = ö ü"])
def test_what_is_not_understood_is_said_so(typed: str) -> None:
    diagnosis = diagnose(typed)
    assert diagnosis.mended is None
    assert diagnosis.text in (
        NOT_UNDERSTOOD, "A key is one word of plain letters, digits, - and _."
    )  # fmt: skip


def test_a_slip_that_cannot_be_mended_is_still_named() -> None:
    diagnosis = diagnose('of = ["body, "gear"]')
    assert (diagnosis.text, diagnosis.mended) == ("A quote is missing.", None)
