"""A command line as people type it: negative figures, odd dashes, and our words for the rest.

Typer reads the words; what it would read wrongly is marked or refused before, and what it cannot
read is said here in the form of our own messages.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from bedplate.cli import context, help_pages
from bedplate.errors import BedplateError, NotUnderstoodError
from bedplate.text import near_or_list, quoted, visible

if TYPE_CHECKING:
    from collections.abc import Iterable

    import typer
    from typer._click import Context, Parameter

MINUS = "\ufdd0"
"""Stands for the hyphen of ``-0.0002`` while typer reads the line: a character no text has."""

NEGATIVE = re.compile(r"^-(?=[.,]?\d)")
DASHES = re.compile(r"[-\u2010-\u2015\u2212]+")
"""Every dash that a word processor or a telephone puts where ``--`` was typed."""


def mark_minus(words: Iterable[str]) -> list[str]:
    """Return the words with the hyphen of every negative figure marked, up to a ``--``."""
    marked: list[str] = []
    literal = False
    for word in words:
        literal = literal or word == "--"
        marked.append(word if literal else NEGATIVE.sub(MINUS, word))
    return marked


def as_typed(text: str) -> str:
    """Return a word as it was typed, the hyphen put back."""
    return "-" + text[1:] if text.startswith(MINUS) else text


def refuse_odd_dashes(words: list[str], options: list[str]) -> None:
    """Refuse ``-gauge`` and ``—gauge``: one is read as ``-g auge``, the other as a value."""
    for word in words:
        if word == "--":
            return
        dashes = DASHES.match(word)
        name = word.partition("=")[0]
        if dashes is None or name in options:
            continue
        meant = "--" + name[dashes.end() :]
        if meant in options:
            raise NotUnderstoodError(
                f"Nothing done. {quoted(name)} is not read as an option.",
                f"An option begins with two plain dashes:  {meant}",
            )


def refuse_twice_or_bare(words: list[str], params: list[Parameter]) -> None:
    """Refuse an option given twice, or followed by another where its value should stand.

    Typer would keep the last of two, and record ``--yes`` as the text of ``--note --yes``.
    """
    wanting = {
        name: param
        for param in params
        for name in param.opts
        if param.param_type_name == "option" and not getattr(param, "is_flag", False)
    }
    known = {name for param in params for name in param.opts}
    given: set[str] = set()
    queue = list(words[: words.index("--")] if "--" in words else words)
    while queue:
        word = queue.pop(0)
        name = word.partition("=")[0]
        if name not in wanting and not word.startswith("--"):
            name = word[:2]
        if (param := wanting.get(name)) is None:
            continue
        if param.name in given and not param.multiple:
            raise NotUnderstoodError(f"Nothing done. {name} was given twice.")
        given.add(param.name)
        if name == word and queue and queue.pop(0).partition("=")[0] in known:
            raise NotUnderstoodError(f"Nothing done. {name} needs a value after it.")


def in_our_words(
    error: typer.TyperException, ctx: Context | None = None, options: list[str] | None = None
) -> BedplateError:
    """Return what typer could not read as a failure in our words (exit 2).

    Args:
        error: typer's; its class is private, so it is known by what it carries.
        ctx: the command being read.
        options: those it has, for near names.
    """
    path = ctx.command_path if ctx is not None else "bedplate"
    usage = help_pages.usage(ctx) if ctx is not None else "bedplate help"
    option = getattr(error, "option_name", None)
    param = getattr(error, "param", None)
    if option is not None and hasattr(error, "possibilities"):
        return _unknown_option(as_typed(option), path, options or [], ctx)
    if option is not None:
        wants = "takes no value" if "does not take" in error.message else "needs a value after it"
        return NotUnderstoodError(f"Nothing done. {option} {wants}.", f"Type:  {usage}")
    if param is not None:
        name = help_pages.word_for(param)
        return NotUnderstoodError(f"Nothing done. {path} needs {name}.", f"Type:  {usage}")
    if extra := re.search(r"unexpected extra argument\(s\) \((.*)\)$", error.message, re.DOTALL):
        typed = extra[1].replace(MINUS, "-")
        return NotUnderstoodError(
            f"Nothing done. {path} has no use for {quoted(typed)}.",
            "A text of several words goes in double quotes.",
            f"Type:  {usage}",
        )
    return NotUnderstoodError(f"Nothing done. {visible(error.message)}", f"Type:  {usage}")


def _unknown_option(
    typed: str, path: str, options: list[str], ctx: Context | None
) -> NotUnderstoodError:
    own = [name for name in options if name.startswith("--")]
    known = [*dict.fromkeys([*own, *context.WITH_VALUE, *context.FLAGS])]
    hints = [near_or_list(typed, known, "Options")]
    if ctx is not None and ctx.parent is None:
        hints.append(f"Options of a command come after it:  bedplate COMMAND {visible(typed)}")
    return NotUnderstoodError(f"Nothing done. {path} has no option {quoted(typed)}.", *hints)
