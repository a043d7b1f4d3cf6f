"""What a line with a Tab in it asks for: the word being typed, and what kind of name it is."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from bedplate.cli import commands

ARGUMENTS: Mapping[str, tuple[str, ...]] = {
    "bench": ("what", "..."),
    "measure": ("reading", ""),
    "correct": ("", "..."),
    "check": ("fit", "..."),
    "remedy": ("fit",),
    "match": ("fit",),
    "inspect": ("component", ""),
    "note": ("",),
    "decide": ("component", "reuse|rework|replace|scrap"),
    "change": ("component", "reworked|new|moved|found"),
    "fasten": ("set", "removed|fitted|tight|locked|backed-off|again"),
    "prove": ("proof", "pass|fail"),
    "done": ("step",),
    "use": ("thing",),
    "defer": ("",),
    "settle": ("",),
    "concede": ("what",),
    "strike": ("last",),
    "log": ("what",),
    "calc": ("",),
    "gauge add": ("gauge",),
    "gauge set": ("gauge", "", "..."),
    "sign": ("moment",),
    **{f"amend {noun}": (noun if noun != "fasteners" else "set",) for noun in commands.ROWS},
}
"""What the arguments of a command are, in turn: a kind of name, words to choose from, or nothing.

``...`` says that the one before it is repeated. A command that is not here is left to typer.
"""

OPTIONS: Mapping[str, str] = {
    "-g": "gauge",
    "--gauge": "gauge",
    "--in": "gauge",
    "--on": "what",
    "--holds": "what",
    "--touching": "reading",
    "--back": "back",
    "--until": "moment",
    "--size": "size",
    "--severity": "note|watch|reject",
    "--job": "job",
    "--by": "",
    "--why": "",
    "--note": "",
    "--how": "",
    "--temp": "",
    "--gauge-temp": "",
    "--at": "",
    "--reached": "",
    "--accepted-by": "",
}
"""What stands behind an option, likewise; one that is not here is left to typer."""

FLAGS = frozenset(
    {"--plain", "--json", "--again", "--instead", "--yes", "--trial", "--undone", "--extra",
     "--all", "--help", "-h"}
)  # fmt: skip
"""Options that take nothing."""


class Wanted(NamedTuple):
    """What is asked for.

    Attributes:
        typed: the word as far as it is typed.
        kind: a kind of name, words with ``|`` between them, ``""`` for free text, ``job``,
            ``command`` or ``verb``.
        noun: the noun that a verb belongs to.
        job: what stands behind ``--job``.
        before: what of the word stands before the name: ``--gauge=``.
    """

    typed: str
    kind: str
    noun: str = ""
    job: str | None = None
    before: str = ""


def words_in(line: str) -> tuple[list[str], str]:
    """Return the whole words of a line behind the program, and the one being typed.

    >>> words_in('bedplate measure H.idler@')
    (['measure'], 'H.idler@')
    >>> words_in('bedplate note "two words" ')
    (['note', 'two words'], '')
    """
    reader = shlex.shlex(line, posix=True)
    reader.whitespace_split = True
    reader.commenters = ""
    words: list[str] = []
    try:
        words += reader
    except ValueError:  # a quote that is still open: what stands behind it is being typed
        words.append(reader.token)
    behind = words[1:]
    if not behind or line[-1:].isspace():
        return behind, ""
    return behind[:-1], behind[-1]


def wanted(words: Sequence[str], typed: str) -> Wanted | None:
    """Return what a line asks for; None where only the commands themselves can say.

    Args:
        words: the whole words behind the program.
        typed: the one being typed.
    """
    if typed.startswith("-"):
        return _behind_equals(words, typed)
    reading = _Reading()
    for word in words:
        if not reading.take(word):
            return None
    if reading.option is not None:
        return Wanted(typed, OPTIONS[reading.option], job=reading.job)
    if not reading.command:
        return Wanted(typed, "command", job=reading.job)
    if reading.command in commands.NOUNS:
        return Wanted(typed, "verb", noun=reading.command, job=reading.job)
    kinds = ARGUMENTS.get(reading.command)
    if kinds is None:
        return None
    return Wanted(typed, _kind_at(kinds, reading.arguments), job=reading.job)


def _behind_equals(words: Sequence[str], typed: str) -> Wanted | None:
    """Return what stands behind ``--gauge=``; an option itself is left to typer."""
    option, equals, rest = typed.partition("=")
    if not equals or option not in OPTIONS:
        return None
    found = wanted([*words, option], rest)
    return found and found._replace(before=f"{option}=")


def _kind_at(kinds: tuple[str, ...], number: int) -> str:
    if kinds[-1] == "...":
        return kinds[min(number, len(kinds) - 2)]
    return kinds[number] if number < len(kinds) else ""


class _Reading:
    """A line read word by word.

    Attributes:
        command: the command so far, ``gauge add`` or a noun alone.
        arguments: how many arguments it has had.
        option: an option that waits for its value.
        job: what stood behind ``--job``.
    """

    def __init__(self) -> None:
        self.command = ""
        self.arguments = 0
        self.option: str | None = None
        self.job: str | None = None

    def take(self, word: str) -> bool:
        """Take one whole word; return False where only typer knows what it means."""
        if self.option is not None:
            self.job = word if self.option == "--job" else self.job
            self.option = None
            return True
        if word.startswith("-") and not word[1:2].isdigit():
            return self._take_option(word)
        if not self.command or self.command in commands.NOUNS:
            self.command = f"{self.command} {word}".strip()
            return self.command in commands.NOUNS or commands.found(self.command) is not None
        self.arguments += 1
        return True

    def _take_option(self, word: str) -> bool:
        name, equals, rest = word.partition("=")
        if name in FLAGS:
            return True
        if name not in OPTIONS:
            return False
        if equals:
            self.job = rest if name == "--job" else self.job
        else:
            self.option = name
        return True
