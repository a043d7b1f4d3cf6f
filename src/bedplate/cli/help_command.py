"""``bedplate help``: all commands, one command, or a topic."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bedplate.cli import commands, help_pages, topics
from bedplate.errors import NotUnderstoodError
from bedplate.text import near_or_list, quoted

if TYPE_CHECKING:
    from typer._click import Context


def _explained(incomplete: str) -> list[str]:
    known = [*commands.first_words(), *topics.NAMES]
    return [name for name in known if name.startswith(incomplete)]


def help_on(
    ctx: typer.Context,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="COMMAND|TOPIC", help="What to explain.", autocompletion=_explained
        ),
    ] = None,
) -> None:
    """All commands; one command; or a topic.

    Examples:
      bedplate help
      bedplate help settings
      bedplate help exit-codes
    """
    name = " ".join(words or [])
    help_pages.show(name, _page(ctx.find_root(), name))


def _page(root: Context, name: str) -> str:
    if not name:
        return help_pages.of_program()
    if name in topics.NAMES:
        return _topic(name)
    if name in commands.NOUNS:
        return help_pages.of_noun(name)
    if (row := commands.found(name)) is None:
        known = [*topics.NAMES, *commands.first_words(), *(r.name for r in commands.COMMANDS)]
        raise NotUnderstoodError(
            f"Nothing done. There is no command or topic {quoted(name)}.",
            near_or_list(name, list(dict.fromkeys(known)), "There are"),
            "All of them:  bedplate help",
        )
    from bedplate.cli.group import built  # noqa: PLC0415 - the tree imports this module's row

    command = built(row)
    return command.get_help(typer.Context(command, info_name=row.name, parent=root))


def _topic(name: str) -> str:
    """Return a topic's text; the exit codes come from the classes of failure themselves."""
    if name != "exit-codes":
        return topics.text(name)
    from bedplate.cli.main import exit_codes  # noqa: PLC0415 - main imports the tree late too

    pairs = [(str(code), meant) for code, meant in exit_codes().items()]
    return "\n".join([topics.text(name), "", *help_pages.rows(pairs, column=6)])
