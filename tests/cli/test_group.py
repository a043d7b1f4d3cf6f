"""The tree of commands: values as typed, near names, our words for what is not read."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from typing import Annotated

import pytest
import typer

from bedplate.cli import commands, context
from bedplate.cli.group import built
from bedplate.cli.main import main

Shown = pytest.CaptureFixture[str]
Tried = list[tuple[object, ...]]
Put = Callable[[Callable[..., object], str], None]


def refused(capsys: Shown, *words: str) -> list[str]:
    """Run a line that is not understood and return what is said of it."""
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    return err.splitlines()


# --- the table --------------------------------------------------------------------------------


@pytest.mark.parametrize("row", [*commands.COMMANDS, commands.ALONE], ids=lambda row: row.name)
def test_every_row_has_a_command_whose_own_help_begins_with_its_line(row: commands.Row) -> None:
    command = built(row)
    assert command.help is not None
    assert command.help.splitlines()[0] == row.help


@pytest.mark.parametrize("row", [*commands.COMMANDS, commands.ALONE], ids=lambda row: row.name)
def test_every_parameter_of_every_command_is_explained(row: commands.Row) -> None:
    assert [param.name for param in built(row).params if not getattr(param, "help", None)] == []


def test_every_noun_has_verbs_and_every_verb_its_noun() -> None:
    assert {row.noun for row in commands.COMMANDS if row.noun} == set(commands.NOUNS)


def test_no_name_stands_twice_and_every_line_ends_with_a_full_stop() -> None:
    names = [row.name for row in commands.COMMANDS]
    assert len(names) == len(set(names))
    assert [row.name for row in commands.COMMANDS if not row.help.endswith(".")] == []


def test_no_short_option_but_g_and_o_is_declared() -> None:
    short = {
        name
        for row in commands.COMMANDS
        for param in built(row).params
        for name in param.opts
        if len(name) == 2
    }
    assert short <= {"-g", "-o"}


# --- values as typed --------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["-0.0002", "-.0002", "-3mm", "-,5", "−5", "+0.1"])
def test_a_leading_minus_is_a_value_handed_over_as_typed(tried: Tried, typed: str) -> None:
    assert main(["try", "H", typed, "-g", "mic1"]) == 0
    assert tried == [("H", [typed], "mic1", None, False)]


def test_a_minus_in_an_option_is_handed_over_as_typed(tried: Tried) -> None:
    assert main(["try", "H", "--note", "-5 in the shop", "--note=-6", "-g", "-1"]) == 0
    assert tried == [("H", None, "-1", ["-5 in the shop", "-6"], False)]


def test_words_after_two_dashes_are_values(tried: Tried) -> None:
    assert main(["try", "H", "--", "-0.2", "--yes", "--json"]) == 0
    assert tried == [("H", ["-0.2", "--yes", "--json"], None, None, False)]


def test_no_pydantic_and_no_rich_is_loaded_for_a_plain_command() -> None:
    script = (
        "import sys; from bedplate.cli.main import main; main(['settings', '--', 'bell', 'yes']);"
        "main(['settings', '-h']); main(['nothing']);"
        "print([n for n in sys.modules if n.split('.')[0] in ('pydantic', 'rich', 'pint')])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines()[-1] == "[]"


def test_a_command_that_declares_another_type_is_a_fault(capsys: Shown, with_command: Put) -> None:
    def counting(number: Annotated[int, typer.Argument(help="How many.")]) -> None:
        """Count."""

    with_command(counting, "count")
    assert main(["count", "3"]) == 4
    assert "A fault in bedplate (TypeError in count)." in capsys.readouterr().err


# --- common options ---------------------------------------------------------------------------


def test_common_options_reach_a_command_from_anywhere_on_the_line(with_command: Put) -> None:
    seen: list[context.Common] = []

    def look() -> None:
        """Look."""
        seen.append(context.current())

    with_command(look, "look")
    assert main(["--json", "look", "--job=pump", "--by", "Ann Fitter", "--plain"]) == 0
    assert seen == [context.Common(job="pump", by="Ann Fitter", plain=True, json=True)]
    assert context.current() == context.Common()


def test_the_options_of_one_line_do_not_reach_the_next(with_command: Put, capsys: Shown) -> None:
    seen: list[str | None] = []

    def look() -> None:
        """Look."""
        seen.append(context.current().job)

    with_command(look, "look")
    assert [main(["look", "--job", "a"]), main(["look", "x"]), main(["look"])] == [0, 2, 0]
    assert seen == ["a", None]
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("words", [["help", "--job"], ["help", "--job", "-x"], ["help", "--job="]])
def test_a_job_option_without_a_name_is_refused(capsys: Shown, words: list[str]) -> None:
    assert refused(capsys, *words) == [
        "Nothing done. --job needs a name or a path after it, and no name of a job",
        "begins with a dash.",
        "  Type:  --job pump   or   --job folder/pump.job.jsonl",
    ]


def test_two_different_jobs_on_one_line_are_refused(capsys: Shown) -> None:
    assert refused(capsys, "help", "--job", "a", "--job=b") == [
        'Nothing done. --job was given twice: "a" and "b".'
    ]


def test_a_hand_without_a_name_is_refused(capsys: Shown) -> None:
    assert refused(capsys, "help", "--by", " ") == [
        "Nothing done. --by needs a name after it.",
        '  Type:  --by "Ann Fitter"',
    ]


# --- nouns ------------------------------------------------------------------------------------


def test_a_verb_of_a_noun_runs(with_command: Put) -> None:
    ran: list[str] = []

    def pack(name: Annotated[str, typer.Argument(help="Its file.")]) -> None:
        """Start one."""
        ran.append(name)

    with_command(pack, "crate pack")
    assert main(["crate", "pack", "a.toml"]) == 0
    assert ran == ["a.toml"]


def test_a_noun_alone_or_with_a_wrong_verb_names_its_verbs(
    capsys: Shown, with_command: Put
) -> None:
    def pack() -> None:
        """Start one."""

    with_command(pack, "crate pack")
    assert refused(capsys, "crate") == [
        "Nothing done. bedplate crate needs one word more:",
        "  crate pack        Start one.",
    ]
    assert refused(capsys, "crate", "pcak") == [
        'Nothing done. There is no command "crate pcak".',
        "  Nearest: pack",
        "  All of them:  bedplate help crate",
    ]
    assert refused(capsys, "pack")[1] == "  Nearest: crate pack"


def test_the_code_a_command_returns_is_the_code_of_the_process(with_command: Put) -> None:
    def no() -> int:
        """Say no."""
        return 1

    with_command(no, "no")
    assert main(["no"]) == 1
