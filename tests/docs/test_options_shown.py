"""Every option that a page shows behind a command stands in the help of that command."""

from __future__ import annotations

import re
import shlex
from functools import cache
from pathlib import Path

import pytest
from typist import Typist

from bedplate.cli import commands
from bedplate.cli.context import FLAGS, WITH_VALUE

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
ANYWHERE = frozenset({*WITH_VALUE, *FLAGS, "-h", "--help", "--version"})


def shown(page: Path) -> set[str]:
    """Return every line of bedplate that a page shows to be typed, continued lines joined."""
    text = re.sub(r"\\\n\s*", "", page.read_text("utf-8"))
    typed = re.findall(r"^(?:\$ )?(bedplate [^`\n]*)$", text, re.M)
    return {*typed, *re.findall(r"`(bedplate [^`\n]+)`", text)}


def name_of(words: list[str]) -> str | None:
    """Return the command that words begin with, common options before it passed over."""
    rest = words[1:]
    while rest and rest[0] in WITH_VALUE:
        rest = rest[2:]
    names = [" ".join(rest[:count]) for count in (2, 1)]
    return next((name for name in names if commands.found(name) is not None), None)


def options_of(line: str) -> tuple[str, set[str]] | None:
    """Return the command of a line and the options behind it, None where it shows no command."""
    try:
        words = shlex.split(line.partition(" | ")[0].partition(" > ")[0])
    except ValueError:
        return None
    name = name_of(words)
    found = {word.partition("=")[0] for word in words if re.match(r"--?[a-z]", word)}
    return None if name is None else (name, found - ANYWHERE)


@pytest.fixture
def typist(capsys: pytest.CaptureFixture[str]) -> Typist:
    """Return somebody at the keyboard."""
    return Typist(capsys)


def in_help(typist: Typist, name: str) -> set[str]:
    """Return the options that the help of a command names."""
    return set(re.findall(r"(?<![\w-])--?[a-z][a-z-]*", "\n".join(typist.done(f"help {name}"))))


@cache
def lines() -> dict[str, dict[str, str]]:
    """Return the options shown, by command, each with a line that shows it."""
    found: dict[str, dict[str, str]] = {}
    for page in PAGES:
        for line in shown(page):
            name, options = options_of(line) or ("", set())
            for option in options:
                found.setdefault(name, {})[option] = f"{page.name}: {line}"
    return found


@pytest.mark.parametrize("name", sorted(lines()))
def test_an_option_that_a_page_shows_stands_in_the_help(name: str, typist: Typist) -> None:
    known = in_help(typist, name)
    assert {option: line for option, line in lines()[name].items() if option not in known} == {}


def test_the_pages_show_options_of_most_commands_that_have_some() -> None:
    assert len(lines()) > 20
    assert options_of("bedplate --job x measure D 1.0 --gauge mic1") == ("measure", {"--gauge"})
    assert options_of('bedplate sheet show --format "f" | less -S') == ("sheet show", {"--format"})
