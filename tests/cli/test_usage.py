"""What is typed oddly, and what is not understood: refused whole, in our words, with the cure."""

from __future__ import annotations

import pytest

from bedplate.cli.main import main
from bedplate.cli.usage import MINUS, as_typed, mark_minus

Shown = pytest.CaptureFixture[str]
Tried = list[tuple[object, ...]]

USAGE = "  Type:  bedplate try ADDRESS [VALUE...]"


def refused(capsys: Shown, *words: str) -> list[str]:
    """Run a line that is not understood and return what is said of it."""
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    return err.splitlines()


def test_only_figures_are_marked_and_only_before_two_dashes() -> None:
    assert mark_minus(["-g", "1-3/8in", "-", "-5", "--", "-5"]) == [
        "-g", "1-3/8in", "-", f"{MINUS}5", "--", "-5",
    ]  # fmt: skip
    assert as_typed(f"{MINUS}5") == "-5"


def test_an_unknown_command_is_answered_with_near_names(capsys: Shown) -> None:
    assert refused(capsys, "setings") == [
        'Nothing done. There is no command "setings".',
        "  Nearest: settings",
        "  All of them:  bedplate help",
    ]


def test_an_unknown_command_shows_no_escape_sequence(capsys: Shown) -> None:
    (first, *_) = refused(capsys, "\x1b[2Jset\u202e")
    assert first == r'Nothing done. There is no command "\x1b[2Jset\u202e".'


def test_a_figure_in_place_of_a_command_is_shown_as_typed(capsys: Shown) -> None:
    assert refused(capsys, "-0.5")[0] == 'Nothing done. There is no command "-0.5".'


def test_an_unknown_option_is_answered_with_near_names(capsys: Shown, tried: Tried) -> None:
    assert refused(capsys, "try", "H", "--gague", "mic1") == [
        'Nothing done. bedplate try has no option "--gague".',
        "  Nearest: --gauge",
    ]
    assert tried == []


def test_an_option_before_its_command_is_told_where_it_goes(capsys: Shown) -> None:
    assert refused(capsys, "--gauge", "mic1", "try")[-1] == (
        "  Options of a command come after it:  bedplate COMMAND --gauge"
    )


@pytest.mark.parametrize("word", ["-gauge", "—gauge", "–gauge", "−−gauge", "-gauge=mic1"])
def test_an_option_with_other_dashes_is_refused(capsys: Shown, tried: Tried, word: str) -> None:
    assert refused(capsys, "try", "H", word, "mic1") == [
        f'Nothing done. "{word.partition("=")[0]}" is not read as an option.',
        "  An option begins with two plain dashes:  --gauge",
    ]
    assert tried == []


def test_a_missing_word_is_named_with_the_usage(capsys: Shown, tried: Tried) -> None:
    assert refused(capsys, "try") == ["Nothing done. bedplate try needs ADDRESS.", USAGE]
    assert tried == []


def test_a_word_too_many_is_named(capsys: Shown) -> None:
    assert refused(capsys, "completion", "bash", "-5", "x") == [
        'Nothing done. bedplate completion has no use for "-5 x".',
        "  A text of several words goes in double quotes.",
        "  Type:  bedplate completion SHELL",
    ]


def test_an_option_at_the_end_needs_its_value(capsys: Shown, tried: Tried) -> None:
    assert refused(capsys, "try", "H", "--gauge") == [
        "Nothing done. --gauge needs a value after it.",
        USAGE,
    ]
    assert tried == []


def test_an_option_is_not_taken_for_the_value_of_another(capsys: Shown, tried: Tried) -> None:
    assert refused(capsys, "try", "H", "--note", "--yes") == [
        "Nothing done. --note needs a value after it."
    ]
    assert tried == []


def test_a_flag_takes_no_value(capsys: Shown, tried: Tried) -> None:
    assert refused(capsys, "try", "H", "--yes=1") == [
        "Nothing done. --yes takes no value.",
        USAGE,
    ]
    assert tried == []


@pytest.mark.parametrize(
    "second", [["--gauge", "mic2"], ["-g", "mic2"], ["-gmic2"], ["--gauge=b"]]
)
def test_an_option_given_twice_is_refused(capsys: Shown, tried: Tried, second: list[str]) -> None:
    (said,) = refused(capsys, "try", "H", "-g", "mic1", *second)
    assert said.endswith("was given twice.")
    assert tried == []


def test_an_option_that_may_be_repeated_keeps_every_value(tried: Tried) -> None:
    assert main(["try", "H", "--note", "a", "--note", "b"]) == 0
    assert tried == [("H", None, None, ["a", "b"], False)]
