"""What the Tab key asks for: names of the job at hand, commands, and what a command declares.

The shell's own function (``bedplate completion SHELL``) starts bedplate with the line so far in
the environment; typer's protocol says how the answer is written. Commands and names are answered
before typer is imported; what is left are options, and the few words that only a command knows.
Whatever goes wrong in here is silent: a message would land in the middle of what is being typed.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from bedplate.cli import commands
from bedplate.cli.completion_line import Wanted, wanted, words_in
from bedplate.cli.completion_names import ENDING, Names, job_at_hand, jobs_in, of_kind
from bedplate.cli.screen import settle
from bedplate.text import visible

VARIABLE = "_BEDPLATE_COMPLETE"

ACTED_ON = frozenset("$`\\\"';|&<>(){}*?!")
"""Signs that some shell takes for more than text."""


def jobs(incomplete: str) -> list[str]:
    """Return the jobs of this folder that begin with what was typed."""
    names = [path.name.removesuffix(ENDING) for path in jobs_in(Path())]
    return [name for name in names if name.startswith(incomplete)]


def answer(instruction: str) -> int:
    """Print what can follow on the line in the environment.

    Args:
        instruction: typer's: ``complete_`` and the name of the shell.

    Returns:
        The exit code: 0, or 1 where there is nothing to offer.
    """
    try:
        code = _early(instruction)
        if code is None:
            code = _by_typer(instruction)
        settle(sys.stdout)
    except SystemExit as left:  # the way fish is told whether there is anything
        return left.code if isinstance(left.code, int) else 1
    except Exception:  # noqa: BLE001 - nothing may be printed into the line being typed
        return 1
    return code


def _by_typer(instruction: str) -> int:
    import typer.completion  # noqa: PLC0415 - the Tab key only
    from typer._completion_classes import completion_init  # noqa: PLC0415

    from bedplate.cli.group import program  # noqa: PLC0415

    completion_init()
    code: int = typer.completion.shell_complete(program(), {}, "bedplate", VARIABLE, instruction)
    return code


# ---- before typer is imported


def _early(instruction: str) -> int | None:
    """Answer from the table of commands and the job at hand; None where that is not enough."""
    written = _WRITTEN.get(instruction)
    if written is None:
        return None
    words, typed = words_in(os.environ.get("_TYPER_COMPLETE_ARGS", ""))
    if instruction == "complete_powershell":
        typed = os.environ.get("_TYPER_COMPLETE_WORD_TO_COMPLETE", "")
    asked = wanted(words, typed)
    if asked is None:
        return None
    return written(offered(asked))


def offered(asked: Wanted) -> list[str]:
    """Return what can stand in place of the word being typed, in the order of the sheet.

    Case does not count: ``h.i`` becomes ``H.idler@``. A name that a shell would act on is not
    offered: the file may be somebody else's, and what is offered stands in the line being typed.
    """
    fold = asked.typed.casefold()
    names = dict.fromkeys(_all(asked))
    return [
        f"{asked.before}{name}"
        for name in names
        if name.casefold().startswith(fold)
        and not ACTED_ON.intersection(name)
        and visible(name) == name
    ]


def _all(asked: Wanted) -> list[str]:
    match asked.kind:
        case "command":
            return commands.first_words()
        case "verb":
            return [row.verb for row in commands.under(asked.noun)]
        case "job":
            return jobs("")
        case "":
            return []
        case kind if "|" in kind or kind == "last":
            return kind.split("|")
    return list(of_kind(asked.kind, Names(job_at_hand(asked.job)), asked.typed))


def _to_fish(found: list[str]) -> int:
    if os.environ.get("_TYPER_COMPLETE_FISH_ACTION") == "is-args":
        return 0 if found else 1
    print("\n".join(found))  # noqa: T201 - the shell reads it
    return 0


def _to_zsh(found: list[str]) -> int:
    words = "\n".join(f'"{name}"' for name in found)
    print(f"_arguments '*: :(({words}))'" if found else "_files")  # noqa: T201 - as above
    return 0


def _to_powershell(found: list[str]) -> int:
    print("\n".join(f"{name}::: " for name in found))  # noqa: T201 - as above
    return 0


_WRITTEN: Mapping[str, Callable[[list[str]], int]] = {
    "complete_fish": _to_fish,
    "complete_zsh": _to_zsh,
    "complete_powershell": _to_powershell,
}
"""How each shell is told; bash and our function for zsh speak as fish does."""
