"""Help: every command is shown, nothing is shown that does nothing, and it always shows."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from bedplate.cli import commands, topics
from bedplate.cli.main import exit_codes, main
from bedplate.cli.topics import text

Shown = pytest.CaptureFixture[str]
Tried = list[tuple[object, ...]]
Put = Callable[[Callable[..., object], str], None]


def page(capsys: Shown, *words: str) -> list[str]:
    """Return the lines of what a help line shows."""
    assert main(words) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out.splitlines()


@pytest.mark.parametrize("words", [["help"], ["--help"], ["-h"]])
def test_all_commands_are_shown_in_the_order_of_a_job(capsys: Shown, words: list[str]) -> None:
    shown = page(capsys, *words)
    at = [
        next(n for n, line in enumerate(shown) if re.match(rf"  {word}\b", line))
        for word in commands.first_words()
    ]
    assert at == sorted(at)
    assert [heading for heading in commands.headings() if heading not in shown] == []
    assert max(map(len, shown)) <= 80


def test_the_verbs_of_a_noun_share_a_line(capsys: Shown, with_command: Put) -> None:
    def new() -> None:
        """Start one."""

    with_command(new, "crate new")
    assert "  crate new         A noun on trial." in page(capsys, "help")
    assert page(capsys, "help", "crate") == [
        "bedplate crate ...",
        "",
        "A noun on trial.",
        "",
        "  crate new         Start one.",
        "",
        "More of each:  bedplate help crate VERB",
    ]
    assert page(capsys, "crate", "-h") == page(capsys, "help", "crate")
    assert page(capsys, "help", "crate", "new")[0] == "bedplate crate new"


def test_a_command_is_explained_with_all_it_takes(capsys: Shown, tried: Tried) -> None:
    assert page(capsys, "help", "try") == [
        "bedplate try ADDRESS [VALUE...]",
        "",
        "Try the line.",
        "",
        "What it takes",
        "  ADDRESS           Where.",
        "  VALUE...          What.",
        "",
        "Options",
        "  -g, --gauge GAUGE",
        "                    Which gauge.",
        "  --note NOTE       A remark.",
        "  --yes             Keep it.",
        "",
        "Anywhere on the line",
        "  --job JOB         The job: name, file or folder; else the only one here.",
        "  --by NAME         Who records, for this once.",
        "  --plain           One fact a line, nothing drawn.",
        "  --json            Exactly one JSON document, for another program.",
        "  -h, --help        This page.",
    ]
    assert tried == []


@pytest.mark.parametrize("name", [row.name for row in commands.COMMANDS])
def test_help_and_the_help_option_show_the_same(capsys: Shown, name: str) -> None:
    assert page(capsys, "help", *name.split()) == page(capsys, *name.split(), "--help")


@pytest.mark.parametrize("name", [row.name for row in commands.COMMANDS])
@pytest.mark.parametrize("columns", ["40", "80"])
def test_no_page_is_wider_than_its_screen(
    capsys: Shown, monkeypatch: pytest.MonkeyPatch, name: str, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    text = [line for line in page(capsys, "help", *name.split()) if "bedplate " not in line]
    assert max(map(len, text)) <= int(columns)


def test_a_narrow_screen_stacks_the_words(capsys: Shown, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    shown = page(capsys, "help")
    assert "  --plain" in shown
    assert "      One fact a line, nothing drawn." in shown


def test_an_unknown_topic_is_answered_with_near_names(capsys: Shown) -> None:
    assert main(["help", "exit-code"]) == 2
    assert capsys.readouterr().err == (
        'Nothing done. There is no command or topic "exit-code".\n'
        "  Nearest: exit-codes\n"
        "  All of them:  bedplate help\n"
    )


def test_help_shows_whatever_stands_in_the_settings(capsys: Shown, home: Path) -> None:
    home.mkdir()
    (home / "config.toml").write_text("nonsense", "utf-8")
    assert page(capsys, "help")[0].startswith("bedplate keeps the record")


def test_help_is_one_document_with_json(capsys: Shown) -> None:
    (line,) = page(capsys, "help", "verdicts", "--json")
    assert line.startswith('{"format": "bedplate-out-help/1", "job": null, "entries": null, ')


# --- topics -----------------------------------------------------------------------------------


def test_every_text_is_a_topic_and_every_topic_has_its_text() -> None:
    kept = {path.stem for path in Path(topics.__file__).parent.glob("*.txt")}
    assert kept == set(topics.NAMES)


@pytest.mark.parametrize("name", topics.NAMES)
def test_a_topic_is_shown_and_fits_a_screen(capsys: Shown, name: str) -> None:
    shown = page(capsys, "help", name)
    assert shown[: len(text(name).splitlines())] == text(name).splitlines()
    assert max(map(len, shown)) <= 80
    assert "\t" not in text(name)
    assert text(name).isascii()


def test_the_topic_of_exit_codes_tells_every_code(capsys: Shown) -> None:
    shown = page(capsys, "help", "exit-codes")
    told = {int(line.split()[0]): line for line in shown if re.match(r"  \d+ ", line)}
    assert list(told) == list(exit_codes())


def test_every_command_that_a_topic_shows_exists() -> None:
    told = "\n".join(text(name) for name in topics.NAMES)
    assert set(re.findall(r"\bbedplate ([a-z]+)\b", told)) - set(commands.first_words()) == set()


# --- alone ------------------------------------------------------------------------------------


def test_bedplate_alone_beside_jobs_names_them(capsys: Shown) -> None:
    for name in ("pump", "head"):
        Path(f"{name}.job.jsonl").touch()
    assert main([]) == 0
    shown = capsys.readouterr()
    assert shown.out == "2 jobs here: head, pump\n"
    assert shown.err == "Type:  bedplate --job head status\n"
    (document,) = page(capsys, "--json")
    assert json.loads(document)["format"].startswith("bedplate-")


def test_bedplate_alone_without_a_job_offers_only_what_exists(capsys: Shown) -> None:
    shown = page(capsys)
    assert shown[0] == "bedplate keeps the record of an overhaul and works out its clearances."
    offered = re.findall(r"^   bedplate (\w+)", "\n".join(shown), re.MULTILINE)
    assert offered
    assert set(offered) <= set(commands.first_words())
