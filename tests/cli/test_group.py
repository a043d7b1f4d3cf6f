"""The tree of commands: words lifted, minus marked, near names, our words for what is not read."""

from __future__ import annotations

import pytest

from bedplate.cli import commands, context
from bedplate.cli.group import MINUS, as_typed, built, mark_minus
from bedplate.cli.main import main


@pytest.mark.parametrize("typed", ["-0.0002", "-.0002", "-3mm", "-,5"])
def test_a_leading_minus_is_a_value_and_comes_back_as_typed(typed: str) -> None:
    (marked,) = mark_minus([typed])
    assert marked == MINUS + typed[1:]
    assert as_typed(marked) == typed


def test_options_and_words_after_two_dashes_are_left_alone() -> None:
    words = ["-g", "--wiht", "-", "--", "-0.2"]
    assert mark_minus(words) == words


def test_every_row_has_a_function_whose_docstring_begins_with_its_line() -> None:
    for row in [*commands.COMMANDS, commands.ALONE]:
        command = built(row)
        assert command.help is not None, row.name
        assert command.help.splitlines()[0] == row.help


def test_every_noun_has_verbs_and_every_verb_its_noun() -> None:
    assert {row.noun for row in commands.COMMANDS if row.noun} == set(commands.NOUNS)


def test_common_options_are_lifted_from_anywhere() -> None:
    left, common = context.lift(["measure", "H", "--job=pump", "1.0", "--by", "Ann", "--json"])
    assert left == ["measure", "H", "1.0"]
    assert common == context.Common(job="pump", by="Ann", json=True)


def test_an_unknown_command_is_answered_with_near_names(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["hlep"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err == (
        'Nothing done. There is no command "hlep".\n'
        "  Nearest: help\n"
        "  All of them:  bedplate help\n"
    )
