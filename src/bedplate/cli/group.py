"""The tree of commands: built from the table, a module imported only when its command is called.

Typer builds each command from its function; what differs here is what a start of 0.2 s and our
own words ask for: modules are imported late, values of type ``str``, ``bool`` and ``list[str]``
are handed over as typed (typer would load pydantic to copy them), help and near names come from
the table, and a leading minus is a value, not an option.
"""

from __future__ import annotations

import importlib
from functools import cache
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from bedplate.cli import commands, context, help_pages, usage
from bedplate.cli.commands import Row
from bedplate.errors import NotUnderstoodError
from bedplate.text import near_or_list, quoted

if TYPE_CHECKING:
    from collections.abc import Callable

    from typer._click import Command as AnyCommand
    from typer._click import Context, Parameter
    from typer._click.shell_completion import CompletionItem

SETTINGS: dict[str, Any] = {"help_option_names": ["-h", "--help"]}


class _AsTyped:
    """Hands a value over as typed, in place of typer's conversion by pydantic."""

    def coerce(self, value: Any, param: Parameter, ctx: Context) -> Any:
        """Return the value (typer's own name and signature)."""
        del ctx
        if value is None:
            return () if param.multiple or param.nargs == -1 else None
        if isinstance(value, str):
            return usage.as_typed(value)
        if isinstance(value, bool):
            return value
        return [usage.as_typed(each) for each in value]


def _untouched(params: list[Parameter]) -> list[Parameter]:
    """Set the parameters to be handed over as typed.

    Raises:
        TypeError: a command declares another type; what it means is for us to read and refuse.
    """
    for param in params:
        declared = param.type_descriptor.annotation  # type: ignore[attr-defined]
        if declared not in (str, bool, list[str]):
            raise TypeError(f"{param.name}: declare str, bool or list[str], not {declared}")
        param._runtime_param = _AsTyped()  # type: ignore[attr-defined]
    return params


def _jobs(incomplete: str) -> list[str]:
    """Return the jobs that a word may become."""
    from bedplate.cli.completion import jobs  # noqa: PLC0415 - the Tab key only

    return jobs(incomplete)


def _common(
    job: Annotated[str | None, typer.Option("--job", autocompletion=_jobs)] = None,
    by: Annotated[str | None, typer.Option("--by")] = None,
    *,
    plain: Annotated[bool, typer.Option("--plain")] = False,
    json: Annotated[bool, typer.Option("--json")] = False,
) -> None:
    """Declare the common options to the Tab key; everything else lifts them out beforehand."""


def _offered(params: list[Parameter], ctx: Context) -> list[Parameter]:
    """Return the parameters of a command, for the Tab key with the common options too."""
    if ctx.resilient_parsing:
        params = [*params, *_command("common", _common).params]
    return _untouched(params)


class Command(TyperCommand):
    """One command: typer's, with our help page and our words."""

    def get_params(self, ctx: Context) -> list[Parameter]:
        """Return the parameters, none of them converted."""
        return _offered(super().get_params(ctx), ctx)

    def get_help(self, ctx: Context) -> str:
        """Return the help page."""
        return help_pages.of_command(self, ctx)

    def parse_args(self, ctx: Context, args: list[str]) -> list[str]:
        """Read the words of this command, or say in our words what is not understood."""
        options = [name for param in self.get_params(ctx) for name in param.opts]
        try:
            if not ctx.resilient_parsing:
                usage.refuse_odd_dashes(args, options)
                usage.refuse_twice_or_bare(args, self.get_params(ctx))
            return super().parse_args(ctx, args)
        except typer.TyperException as error:
            raise usage.in_our_words(error, ctx, options) from error

    def shell_complete(self, ctx: Context, incomplete: str) -> list[CompletionItem]:
        """Return the options, without the help text that would cost the loading of rich."""
        return _bare(super().shell_complete(ctx, incomplete))


class Group(TyperGroup):
    """The whole program, or the verbs of one noun."""

    noun: str = ""

    def get_params(self, ctx: Context) -> list[Parameter]:
        """Return the parameters, none of them converted."""
        return _offered(super().get_params(ctx), ctx)

    def get_help(self, ctx: Context) -> str:
        """Return the help page, from the table alone."""
        del ctx
        return help_pages.of_noun(self.noun) if self.noun else help_pages.of_program()

    def parse_args(self, ctx: Context, args: list[str]) -> list[str]:
        """Read the words up to the command; the program's own lift the common options."""
        strict = not ctx.resilient_parsing
        options = ["--help", "--version", *context.WITH_VALUE, *context.FLAGS]
        if ctx.parent is None:
            args, ctx.obj = context.lift(args, strict=strict)
            args = usage.mark_minus(args) or [commands.ALONE.name] * strict
        elif not args and strict:
            raise _verb_wanted(self.noun)
        try:
            if strict:
                usage.refuse_odd_dashes(args[:1], options)
            rest = super().parse_args(ctx, args)
        except typer.TyperException as error:
            raise usage.in_our_words(error, ctx, options) from error
        if ctx.parent is None:
            ctx.with_resource(context.using(ctx.obj))
        return rest

    def list_commands(self, ctx: Context) -> list[str]:
        """Return the names that can follow, in the order of the table."""
        del ctx
        if self.noun:
            return [row.verb for row in commands.under(self.noun)]
        return commands.first_words()

    def get_command(self, ctx: Context, cmd_name: str) -> AnyCommand | None:
        """Return a command, its module imported now, or None where the table has none."""
        del ctx
        if not self.noun and cmd_name == commands.ALONE.name:
            return built(commands.ALONE)
        if not self.noun and cmd_name in commands.NOUNS:
            return group_of(cmd_name)
        row = commands.found(f"{self.noun} {cmd_name}".strip())
        return None if row is None else built(row)

    def resolve_command(
        self, ctx: Context, args: list[str]
    ) -> tuple[str | None, AnyCommand | None, list[str]]:
        """Return the command named by the first word, and the words after it.

        Raises:
            NotUnderstoodError: the table has no such command; near names are given.
        """
        name, *rest = args
        found = self.get_command(ctx, name)
        if found is None and not ctx.resilient_parsing:
            raise self._unknown(usage.as_typed(name))
        return None if found is None else name, found, rest

    def _unknown(self, typed: str) -> NotUnderstoodError:
        whole = f"{self.noun} {typed}".strip()
        verbs = [row.name for row in commands.COMMANDS if row.noun and row.verb == typed]
        names = commands.first_words() if not self.noun else self._verbs()
        near = f"Nearest: {', '.join(verbs)}" if verbs else near_or_list(typed, names, "There are")
        return NotUnderstoodError(
            f"Nothing done. There is no command {quoted(whole)}.",
            near,
            f"All of them:  bedplate help {self.noun}".rstrip(),
        )

    def _verbs(self) -> list[str]:
        return [row.verb for row in commands.under(self.noun)]

    def shell_complete(self, ctx: Context, incomplete: str) -> list[CompletionItem]:
        """Return names from the table and options, all without help text."""
        from typer._click.shell_completion import CompletionItem  # noqa: PLC0415

        names = [name for name in self.list_commands(ctx) if name.startswith(incomplete)]
        options = super(TyperGroup, self).shell_complete(ctx, incomplete)
        return [*(CompletionItem(name) for name in names), *_bare(options)]


def _verb_wanted(noun: str) -> NotUnderstoodError:
    return NotUnderstoodError(
        f"Nothing done. bedplate {noun} needs one word more:",
        *help_pages.rows([(row.name, row.help) for row in commands.under(noun)], indent=""),
    )


def _bare(items: list[CompletionItem]) -> list[CompletionItem]:
    for item in items:
        item.help = None
    return items


def program() -> Group:
    """Return the whole program as typer sees it."""
    return Group(
        name="bedplate",
        context_settings=SETTINGS,
        rich_markup_mode=None,
        suggest_commands=False,
    )


def group_of(noun: str) -> Group:
    """Return the verbs of one noun."""
    group = Group(name=noun, rich_markup_mode=None, suggest_commands=False)
    group.noun = noun
    return group


def built(row: Row) -> AnyCommand:
    """Return the command of one row, its module imported."""
    module, _, name = row.where.partition(":")
    function = getattr(importlib.import_module(f"bedplate.cli.{module}"), name)
    return _command(row.verb or "bedplate", function)


@cache
def _command(name: str, function: Callable[..., object]) -> AnyCommand:
    app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    app.command(name, cls=Command)(function)
    return typer.main.get_command(app)
