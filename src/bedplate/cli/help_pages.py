"""Help as plain text of 80 columns at most, from the table and from what a command declares."""

from __future__ import annotations

import inspect
import os
import sys
from typing import TYPE_CHECKING

from bedplate.cabinet import Settings
from bedplate.cli import commands, context, topics
from bedplate.cli.screen import MEASURE, Screen, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from typer._click import Command, Context, Parameter

ANYWHERE = (
    ("--job JOB", "The job: name, file or folder; else the only one here."),
    ("--by NAME", "Who records, for this once."),
    ("--plain", "One fact a line, nothing drawn."),
    ("--json", "Exactly one JSON document, for another program."),
    ("-h, --help", "This page."),
)
"""The options that every command has."""

PURPOSE = "bedplate keeps the record of an overhaul and works out its clearances."


def show(about: str, page: str) -> None:
    """Print a page, or give it as JSON.

    Args:
        about: the command or topic; nothing for the page of all commands.
        page: its lines.
    """
    screen = context.bare_screen()
    for line in page.split("\n"):
        screen.out(line)
    if screen.as_json:
        screen.json(context.document("help") | {"about": about, "text": page})


def of_program() -> str:
    """Return the page of all commands, in the order of a job."""
    lines = [
        PURPOSE,
        "",
        "  bedplate COMMAND ...        bedplate help COMMAND        bedplate help TOPIC",
    ]
    for heading in commands.headings():
        lines += ["", heading, *rows(_listed(heading))]
    lines += ["", "Anywhere on the line", *rows(ANYWHERE)]
    lines += ["", *wrapped(", ".join(topics.NAMES) + ".", "Topics: ", width=_width())]
    return "\n".join(lines)


def _listed(heading: str) -> list[tuple[str, str]]:
    """Return the lines of one heading; the verbs of a noun share one."""
    pairs: dict[str, str] = {}
    for row in commands.COMMANDS:
        if row.heading != heading:
            continue
        if row.noun is None:
            pairs[row.name] = row.help
        else:
            verbs = "|".join(other.verb for other in commands.under(row.noun))
            pairs[f"{row.noun} {verbs}"] = commands.NOUNS[row.noun]
    return list(pairs.items())


def of_noun(noun: str) -> str:
    """Return the page of one noun."""
    pairs = [(row.name, row.help) for row in commands.under(noun)]
    return "\n".join(
        [f"bedplate {noun} ...", "", commands.NOUNS[noun], "", *rows(pairs), "",
         f"More of each:  bedplate help {noun} VERB"]
    )  # fmt: skip


def of_command(command: Command, ctx: Context) -> str:
    """Return the page of one command: what is typed, what it does, each argument and option."""
    lines = [usage(ctx), ""]
    lines += _paragraphs(inspect.cleandoc(command.help or ""))
    for title, kind in (("What it takes", "argument"), ("Options", "option")):
        pairs = [
            (_left(param), getattr(param, "help", None) or "")
            for param in command.get_params(ctx)
            if param.param_type_name == kind
            and param.name != "help"
            and not getattr(param, "hidden", False)
        ]
        if pairs:
            lines += ["", title, *rows(pairs)]
    lines += ["", "Anywhere on the line", *rows(ANYWHERE)]
    return "\n".join(lines)


def _paragraphs(text: str) -> list[str]:
    """Return a docstring's paragraphs wrapped; indented lines (examples) stand as they are."""
    lines: list[str] = []
    for paragraph in text.split("\n\n"):
        kept = paragraph.splitlines()
        if any(line.startswith(" ") for line in kept):
            lines += kept
        else:
            lines += wrapped(" ".join(kept), width=_width())
        lines.append("")
    return lines[:-1]


def usage(ctx: Context) -> str:
    """Return what is typed for one command, its optional words in brackets."""
    params = [p for p in ctx.command.get_params(ctx) if p.param_type_name == "argument"]
    words = [ctx.command_path.strip()]
    for param in params:
        name = word_for(param) + ("..." if param.nargs != 1 else "")
        words.append(name if param.required else f"[{name}]")
    return " ".join(words)


def word_for(param: Parameter) -> str:
    """Return the word for a parameter in help: ``ADDRESS``, or an option's longest name."""
    if param.param_type_name == "option":
        return max(param.opts, key=len)
    return (param.metavar or param.name.upper()).rstrip("._")


def _left(param: Parameter) -> str:
    if param.param_type_name == "argument":
        return word_for(param) + ("..." if param.nargs != 1 else "")
    names = ", ".join(sorted(param.opts, key=len))
    if getattr(param, "is_flag", False):
        return names
    return f"{names} {param.metavar or max(param.opts, key=len).lstrip('-').upper()}"


def rows(pairs: Sequence[tuple[str, str]], indent: str = "  ", column: int = 18) -> list[str]:
    """Return pairs of a word and its meaning in two columns; stacked where there is no room."""
    width = _width()
    if width < 60:
        column = 4
    lines: list[str] = []
    for left, right in pairs:
        start = f"{indent}{left}"
        margin = " " * (len(indent) + column)
        if len(start) + 2 > len(margin) or width < 60:
            lines += [start, *wrapped(right, margin, width=width)] if right else [start]
        else:
            lines += wrapped(right, start.ljust(len(margin)), margin, width=width)
    return lines


def _width() -> int:
    """Return the columns that help is wrapped at; no setting is read, so that it always shows."""
    screen = Screen.made(sys.stdout, sys.stderr, Settings(), os.environ)
    return max(20, min(MEASURE, screen.columns - 1))
