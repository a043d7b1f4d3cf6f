from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.errors import NotUnderstoodError
from bedplate.seal.sealed import Sealed, read_sealed, sealed_text

ANN = Sealed(
    job="5f" * 16,
    moment="handover",
    entries=40,
    sha256="ab" * 32,
    key="cd" * 32,
    name="Ann Fitter",
    role="rebuild mechanic",
    at="2025-11-24T15:40:00+01:00",
    statement="Done as recorded.",
)
TEXT = (
    "bedplate-seal/1\n"
    f"job: {'5f' * 16}\n"
    "moment: handover\n"
    "entries: 40\n"
    f"sha256: {'ab' * 32}\n"
    f"key: {'cd' * 32}\n"
    "name: Ann Fitter\n"
    "role: rebuild mechanic\n"
    "at: 2025-11-24T15:40:00+01:00\n"
    "statement: Done as recorded.\n"
)


def test_the_ten_lines_stand_in_their_order() -> None:
    assert sealed_text(ANN) == TEXT


def test_what_is_sealed_reads_back() -> None:
    assert read_sealed(TEXT) == ANN


def test_role_and_statement_may_be_empty() -> None:
    bare = replace(ANN, role="", statement="")
    assert sealed_text(bare).endswith("role: \nat: 2025-11-24T15:40:00+01:00\nstatement: \n")
    assert read_sealed(sealed_text(bare)) == bare


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"name": "Ann\nrole: owner"}, 'The name "Ann\\x0arole: owner" holds a line end'),
        ({"name": ""}, 'The name "" is empty.'),
        ({"moment": " handover"}, 'The moment " handover" begins or ends with a space.'),
        ({"role": "owner\u00a0"}, 'The role "owner\u00a0" begins or ends with a space.'),
        ({"role": "ow\u2028ner"}, 'The role "ow\\u2028ner" holds a line end'),
        ({"statement": "a\x1b[2Jb"}, 'The statement "a\\x1b[2Jb" holds a line end'),
        ({"statement": "a\ud800b"}, 'The statement "a\\ud800b" holds a line end'),
        ({"entries": 0}, 'The entries "0" is not of its form.'),
        ({"key": "CD" * 32}, f'The key "{"CD" * 28}C..." is not of its form.'),
    ],
)
def test_a_value_that_is_no_line_is_not_signed(change: dict[str, str], message: str) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        sealed_text(replace(ANN, **change))  # type: ignore[arg-type]
    assert caught.value.message.startswith(f"Not signed. {message}")
    assert caught.value.hint == ("It stands in one line of the text that is signed.",)


def test_a_statement_that_is_too_long_is_told_by_how_much() -> None:
    room = 4_000 - len(sealed_text(replace(ANN, statement="")))
    assert read_sealed(sealed_text(replace(ANN, statement="x" * room))).statement == "x" * room
    with pytest.raises(NotUnderstoodError) as caught:
        sealed_text(replace(ANN, statement="x" * (room + 7)))
    assert caught.value.as_lines() == [
        "Not signed. The statement is 7 characters longer than a seal can hold.",
        "  Record the rest first, as a note:  bedplate note TEXT",
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "it does not begin with bedplate-seal/1"),
        (TEXT.replace("seal/1", "seal/2"), "it does not begin with bedplate-seal/1"),
        ("\n" + TEXT, "it does not begin with bedplate-seal/1"),
        (TEXT[:-1], "it is not of 10 lines"),
        (TEXT + "\n", "it is not of 10 lines"),
        (TEXT + "name: Bert\n", "it is not of 10 lines"),
        (TEXT.replace("role: rebuild mechanic\n", ""), "it is not of 10 lines"),
        (TEXT.replace("\n", "\r\n"), "it does not begin with bedplate-seal/1"),
        (TEXT.replace("name: ", "name:  "), "its name begins or ends with a space"),
        (TEXT.replace("name: ", "name:"), 'it lacks its line "name" in its place'),
        (TEXT.replace("name: ", "Name: "), 'it lacks its line "name" in its place'),
        (TEXT.replace("moment", "momen\u0442"), 'it lacks its line "moment" in its place'),
        (TEXT.replace("entries: 40", "entries: 040"), "its entries is not of its form"),
        (TEXT.replace("entries: 40", "entries: 4\u0660"), "its entries is not of its form"),
        (TEXT.replace("entries: 40", "entries: " + "9" * 21), "its entries is not of its form"),
        (TEXT.replace("ab" * 32, "AB" * 32), "its sha256 is not of its form"),
        (TEXT.replace("5f" * 16, "5f" * 15), "its job is not of its form"),
    ],
)
def test_a_text_that_differs_in_one_thing_is_not_read(text: str, message: str) -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        read_sealed(text)
    assert caught.value.message == message


def test_two_lines_that_change_places_are_not_read() -> None:
    lines = TEXT.splitlines(keepends=True)
    for k in range(len(lines) - 1):
        swapped = [*lines[:k], lines[k + 1], lines[k], *lines[k + 2 :]]
        with pytest.raises(NotUnderstoodError):
            read_sealed("".join(swapped))


@given(st.text(max_size=60), st.text(max_size=60))
def test_whatever_can_be_sealed_reads_back_as_the_same(name: str, statement: str) -> None:
    sealed = replace(ANN, name=name, statement=statement)
    try:
        text = sealed_text(sealed)
    except NotUnderstoodError:
        return
    assert read_sealed(text) == sealed
    assert text.count("\n") == 10


@given(st.text(max_size=40), st.integers(0, len(TEXT)), st.integers(0, 40))
def test_whatever_is_read_is_spelled_in_the_one_way(put: str, where: int, out: int) -> None:
    text = TEXT[:where] + put + TEXT[where + out :]
    try:
        sealed = read_sealed(text)
    except NotUnderstoodError:
        return
    assert sealed_text(sealed) == text
