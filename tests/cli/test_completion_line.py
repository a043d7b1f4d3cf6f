"""What a line with a Tab in it asks for."""

from __future__ import annotations

import pytest

from bedplate.cli import commands
from bedplate.cli.completion_line import ARGUMENTS, OPTIONS, Wanted, wanted, words_in
from bedplate.cli.completion_names import KINDS
from bedplate.cli.group import built


@pytest.mark.parametrize(
    ("line", "words", "typed"),
    [
        ("bedplate", [], ""),
        ("bedplate ", [], ""),
        ("bedplate mea", [], "mea"),
        ("bedplate measure H.idler@", ["measure"], "H.idler@"),
        ("bedplate measure H.idler@b ", ["measure", "H.idler@b"], ""),
        ('bedplate note "two words" --on b', ["note", "two words", "--on"], "b"),
        ('bedplate note "not yet clo', ["note"], "not yet clo"),
        ("bedplate use tab\\ wa", ["use"], "tab wa"),
        ("bedplate log # x", ["log", "#"], "x"),
    ],
)
def test_a_line_is_parted_into_words(line: str, words: list[str], typed: str) -> None:
    assert words_in(line) == (words, typed)


@pytest.mark.parametrize(
    ("line", "asked"),
    [
        ("bedplate ", Wanted("", "command")),
        ("bedplate --job pump me", Wanted("me", "command", job="pump")),
        ("bedplate --job pu", Wanted("pu", "job")),
        ("bedplate gauge ", Wanted("", "verb", noun="gauge")),
        ("bedplate gauge set mi", Wanted("mi", "gauge")),
        ("bedplate gauge set mic1 1.0 --on H", Wanted("H", "what")),
        ("bedplate measure H", Wanted("H", "reading")),
        ("bedplate measure -g mic1 H", Wanted("H", "reading")),
        ("bedplate measure H.idler@a ", Wanted("", "")),
        ("bedplate measure H.idler@a -0.2 --gauge mi", Wanted("mi", "gauge")),
        ("bedplate measure H 1 --gauge=mi", Wanted("mi", "gauge", before="--gauge=")),
        ("bedplate bench H.idler gear", Wanted("gear", "what")),
        ("bedplate check EC D", Wanted("D", "fit")),
        ("bedplate fasten N ti", Wanted("ti", ARGUMENTS["fasten"][1])),
        ("bedplate fasten N tight 3", Wanted("3", "")),
        ("bedplate amend fasteners ", Wanted("", "set")),
        ("bedplate inspect body text --severity w", Wanted("w", "note|watch|reject")),
        ("bedplate measure --", None),
        ("bedplate settings b", None),
        ("bedplate measure --wiht x", None),
        ("bedplate nothing x", None),
        ("bedplate --plain done cl", Wanted("cl", "step")),
    ],
)
def test_what_is_asked_for(line: str, asked: Wanted | None) -> None:
    assert wanted(*words_in(line)) == asked


def test_every_command_named_here_is_one() -> None:
    assert [name for name in ARGUMENTS if commands.found(name) is None] == []


def test_every_kind_named_here_is_known() -> None:
    kinds = {kind for row in ARGUMENTS.values() for kind in row} | set(OPTIONS.values())
    known = {*KINDS, "", "...", "job", "last"}
    assert {kind for kind in kinds if kind not in known and "|" not in kind} == set()


@pytest.mark.parametrize("name", sorted(ARGUMENTS))
def test_options_that_stand_here_take_a_value_where_a_command_has_them(name: str) -> None:
    row = commands.found(name)
    assert row is not None
    flags = [
        option
        for param in built(row).params
        for option in param.opts
        if getattr(param, "is_flag", False)
    ]
    assert [option for option in flags if option in OPTIONS] == []
