"""What the Tab key asks for: answered from the table, and by a command from what it declares.

The shell's own function (``bedplate completion SHELL``) starts bedplate with the line so far in
the environment; typer's protocol says how the answer is written. Whatever goes wrong in here is
silent: a message would land in the middle of what is being typed.
"""

from __future__ import annotations

import sys
from pathlib import Path

from bedplate.cli import context
from bedplate.cli.screen import settle

VARIABLE = "_BEDPLATE_COMPLETE"


def jobs(incomplete: str) -> list[str]:
    """Return the jobs of this folder that begin with what was typed."""
    names = [context.job_name(path) for path in context.jobs_in(Path())]
    return [name for name in names if name.startswith(incomplete)]


def answer(instruction: str) -> int:
    """Print what can follow on the line in the environment.

    Args:
        instruction: typer's: ``complete_`` and the name of the shell.

    Returns:
        The exit code: 0, or 1 where there is nothing to offer.
    """
    import typer.completion  # noqa: PLC0415 - the Tab key only
    from typer._completion_classes import completion_init  # noqa: PLC0415

    from bedplate.cli.group import program  # noqa: PLC0415

    completion_init()
    try:
        code = typer.completion.shell_complete(program(), {}, "bedplate", VARIABLE, instruction)
        settle(sys.stdout)
    except SystemExit as left:  # the way fish is told whether there is anything
        return left.code if isinstance(left.code, int) else 1
    except Exception:  # noqa: BLE001 - nothing may be printed into the line being typed
        return 1
    return code
