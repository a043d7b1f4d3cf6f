"""The table of commands: it feeds the tree, the help, the completion and the documentation.

One line a command. What is not listed here cannot be called, and what is listed is called: the
tests import every row.
"""

from __future__ import annotations

from dataclasses import dataclass

START = "Start"
YOURS = "Yours"


@dataclass(frozen=True, slots=True)
class Row:
    """One command.

    Attributes:
        heading: under which it stands in the help; headings are in the order of a job.
        name: what is typed after ``bedplate``: ``"measure"``, or noun and verb, ``"sheet new"``.
        where: the function, ``"module:function"`` below ``bedplate.cli``.
        help: its line in the help; the function's docstring begins with the same line.
    """

    heading: str
    name: str
    where: str
    help: str

    @property
    def noun(self) -> str | None:
        """The first word of a command of two words."""
        first, _, second = self.name.partition(" ")
        return first if second else None

    @property
    def verb(self) -> str:
        """The last word of the name."""
        return self.name.rpartition(" ")[2]


COMMANDS: tuple[Row, ...] = (
    Row(YOURS, "settings", "settings_command:settings", "Show your settings, or change one."),
    Row(
        YOURS,
        "completion",
        "completion_command:completion",
        "Print what makes the Tab key complete, for your shell.",
    ),
    Row(YOURS, "help", "help_command:help_on", "All commands; one command; or a topic."),
)
"""Every command, in the order of a job."""

NOUNS: dict[str, str] = {}
"""The help line of every noun that has verbs in `COMMANDS` (``sheet``, ``gauge``, …)."""

ALONE = Row("", "", "alone:alone", "Where the job stands.")
"""What ``bedplate`` without a command does."""


def headings() -> list[str]:
    """Return the headings, each once, in the order of a job."""
    return list(dict.fromkeys(row.heading for row in COMMANDS))


def first_words() -> list[str]:
    """Return what can follow ``bedplate`` directly: commands and nouns, each once."""
    return list(dict.fromkeys(row.noun or row.name for row in COMMANDS))


def under(noun: str) -> list[Row]:
    """Return the rows of one noun."""
    return [row for row in COMMANDS if row.noun == noun]


def found(name: str) -> Row | None:
    """Return the row with exactly this name."""
    return next((row for row in COMMANDS if row.name == name), None)
