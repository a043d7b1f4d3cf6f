"""Pages and program name the same commands, options and exit codes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bedplate.cli import commands
from bedplate.cli.main import exit_codes, main
from bedplate.report.document import CLOSING

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
PAGE = (ROOT / "docs" / "commands.md").read_text("utf-8")
READS = frozenset({
    "demo", "calc", "sheet new", "sheet check", "sheet show", "sheet save", "gauge add",
    "gauge list", "bench", "check", "remedy", "match", "status", "log", "summary", "export",
    "sign", "verify", "rejoin", "key show", "key trust", "key retire", "settings", "completion",
    "help",
})  # fmt: skip
"""Commands that record nothing in a job by themselves, or by questions of their own."""


def test_every_command_stands_on_its_page_with_the_line_of_its_help() -> None:
    told = re.findall(r"^- `bedplate ([a-z ]+)`: (.*)$", PAGE, re.M)
    assert told == [(row.name, row.help) for row in commands.COMMANDS]


def test_the_page_has_the_headings_of_the_help_in_its_order() -> None:
    headings = re.findall(r"^## (.*)$", PAGE, re.M)
    assert headings[: len(commands.headings())] == commands.headings()


def test_the_table_of_exit_codes_is_that_of_the_classes() -> None:
    told = {int(code): says for code, says in re.findall(r"^\| (\d+) \| (.*) \|$", PAGE, re.M)}
    assert told == exit_codes()


def test_the_page_tells_of_every_option_that_may_stand_anywhere(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["help"]) == 0
    shown = capsys.readouterr().out.partition("Anywhere on the line")[2]
    for option in re.findall(r"^  (-[-a-z, ]*[a-z])", shown, re.M):
        for name in option.split(", "):
            assert f"`{name}" in PAGE


@pytest.mark.parametrize("name", [row.name for row in commands.COMMANDS if row.name not in READS])
def test_a_command_that_records_takes_a_time_and_a_note(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["help", *name.split()]) == 0
    shown = capsys.readouterr().out
    assert "--at TIME" in shown
    assert "--note TEXT" in shown or name in ("inspect", "note", "defer")


def words_of(text: str) -> set[str]:
    """Return the first words behind ``bedplate`` in what is shown to be typed."""
    shown = "\n".join([
        *re.findall(r"`(bedplate [^`\n]*)`", text),
        *re.findall(r"^\$ (bedplate .*)$", text, re.M),
    ])  # fmt: skip
    return set(re.findall(r"^bedplate (?:--job \S+ )?([a-z]+)\b", shown, re.M))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_command_that_a_page_shows_exists(page: Path) -> None:
    assert words_of(page.read_text("utf-8")) - set(commands.first_words()) == set()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_of_a_page_leads_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#\s]+)(?:#[\w-]+)?\)", page.read_text("utf-8")):
        assert (page.parent / target).exists(), target


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_place_within_a_page_that_is_linked_is_there(page: Path) -> None:
    for target, anchor in re.findall(r"\]\(([^)#\s]*)#([\w-]+)\)", page.read_text("utf-8")):
        text = ((page.parent / target) if target else page).read_text("utf-8")
        headings = re.findall(r"^#+ (.*)$", text, re.M)
        assert anchor in [re.sub(r"[^\w -]", "", h).lower().replace(" ", "-") for h in headings]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_test_that_a_page_names_is_there(page: Path) -> None:
    text = page.read_text("utf-8")
    for path in re.findall(r"(?<![\w/])tests/[\w/]+(?:\.py)?", text):
        assert (ROOT / path).exists(), path


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_no_line_of_text_on_a_page_is_longer_than_99(page: Path) -> None:
    text = re.sub(r"^```.*?^```", "", page.read_text("utf-8"), flags=re.M | re.S)
    lines = [line for line in text.splitlines() if not line.startswith("|")]
    assert [line for line in lines if len(line) > 99] == []


def test_the_page_of_cautions_ends_with_the_statement_of_every_summary() -> None:
    page = (ROOT / "docs" / "cautions.md").read_text("utf-8")
    assert " ".join(re.findall(r"^> (.*)$", page, re.M)) == CLOSING
