"""Every command block of the README and of docs/ is run, and its output compared.

A block is fenced ``console``; lines after ``$`` are commands, the rest is what they print (stdout
and stderr as a person sees them). The blocks of one page run in order in one fresh folder with
the examples in ``examples/``. A line ``...`` stands for any lines. Times, hashes and fingerprints
differ from run to run and are compared by their shape. A block fenced with a file's name behind
its language is that file, in the folder from the beginning. PowerShell forms stand in
``powershell`` blocks and are not run.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from warm import Warm

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("**/*.md"))]

SHAPES = (
    (re.compile(r"\b[0-9a-f]{16,128}\b"), "<hex>"),
    (re.compile(r"SHA256:[A-Za-z0-9+/]{43}"), "SHA256:<base64>"),
    (re.compile(r"\b\d{1,2} [A-Z][a-z]{2} \d{4}(?:,? \d\d:\d\d)?"), "<date>"),
    (re.compile(r"\b\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)"), "<time>"),
    (re.compile(r"\b\d\d:\d\d\b"), "<clock>"),
)


@dataclass(frozen=True)
class Command:
    """One command of a page with the output that the page promises."""

    line: int
    words: str
    output: str


def commands(page: Path) -> Iterator[Command]:
    """Yield the commands of a page's ``console`` blocks in order."""
    inside, start, words = False, 0, ""
    output: list[str] = []
    for number, line in enumerate(page.read_text("utf-8").splitlines(), start=1):
        if line.startswith("```"):
            if inside and words:
                yield Command(start, words, "\n".join(output))
            inside, words, output = line == "```console", "", []
        elif inside and line.startswith("$ "):
            if words:
                yield Command(start, words, "\n".join(output))
            start, words, output = number, line[2:], []
        elif inside and words.endswith("\\"):
            words = f"{words[:-1]}{line.lstrip()}"
        elif inside:
            output.append(line)


def files(page: Path) -> dict[str, str]:
    """Return the files that a page gives in full, by name."""
    text = page.read_text("utf-8")
    return dict(re.findall(r"^```\w+ ([\w-]+\.\w+)\n(.*?)^```$", text, re.M | re.S))


def shaped(text: str) -> list[str]:
    """Return the lines of an output with what differs from run to run replaced by its shape."""
    for pattern, shape in SHAPES:
        text = pattern.sub(shape, text)
    return [line.rstrip() for line in text.strip("\n").splitlines()]


def matches(promised: list[str], printed: list[str]) -> bool:
    """Tell whether the printed lines are the promised ones, ``...`` standing for any lines."""
    if "..." not in promised:
        return promised == printed
    head, tail = promised[: promised.index("...")], promised[promised.index("...") + 1 :]
    if printed[: len(head)] != head:
        return False
    rest = printed[len(head) :]
    return any(matches(tail, rest[start:]) for start in range(len(rest) + 1))


ENVIRONMENT = {"COLUMNS": "80", "LANG": "C.UTF-8", "TERM": "dumb", "TZ": "UTC"}


def of_folder(folder: Path) -> dict[str, str]:
    """Return what tells one folder's environment from another's."""
    return {
        "PATH": f"{Path(sys.executable).parent}:{os.environ['PATH']}",
        "HOME": str(folder),
        "BEDPLATE_HOME": str(folder / "settings"),
    }


def in_a_shell(words: str, folder: Path) -> str:
    """Return what a command line prints in a shell where ``bedplate`` is this bedplate."""
    done = subprocess.run(
        ["bash", "-c", words], cwd=folder, env=ENVIRONMENT | of_folder(folder), check=False,
        timeout=60, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        text=True,
    )  # fmt: skip
    return done.stdout


@pytest.fixture(scope="module")
def warm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Warm]:
    """Return a bedplate that is loaded once for all pages: how it starts is tested elsewhere."""
    with Warm(ENVIRONMENT, tmp_path_factory.mktemp("warm")) as loaded:
        yield loaded


def run(words: str, folder: Path, warm: Warm) -> str:
    """Return what a command line prints; what needs a shell gets one."""
    words = words.replace("\\\n", " ")
    if words.startswith("bedplate ") and not re.search(r"[|<>;&$`*~\\]", words):
        return warm.run(shlex.split(words)[1:], folder, of_folder(folder))
    return in_a_shell(words, folder)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_the_page_shows_what_really_happens(page: Path, tmp_path: Path, warm: Warm) -> None:
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    for name, text in files(page).items():
        (tmp_path / name).write_text(text, "utf-8")
    for command in commands(page):
        printed = shaped(run(command.words, tmp_path, warm))
        promised = shaped(command.output)
        if not matches(promised, printed):
            assert printed == promised, f"{page.name}:{command.line}: $ {command.words}"


def test_a_loaded_bedplate_prints_what_a_new_one_does(tmp_path: Path, warm: Warm) -> None:
    for words in (
        "bedplate calc '1.0030 - 0.9979' --band 2..4thou",
        "bedplate status",
        "bedplate",
    ):
        loaded = run(words, tmp_path, warm)
        assert loaded == in_a_shell(words, tmp_path)
        assert loaded


def test_dots_stand_for_any_lines_and_nothing_else_does() -> None:
    assert matches(["a", "...", "d"], ["a", "b", "c", "d"])
    assert not matches(["a", "...", "d"], ["a", "b", "c"])
    assert not matches(["a"], ["b"])
