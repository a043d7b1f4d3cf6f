"""The console script: run one command line, and turn whatever happens into an exit code.

Nobody ever sees a traceback. What stopped the work is said on stderr in the form of the messages;
a fault of bedplate itself goes into a file, with one line that names it.
"""

from __future__ import annotations

import atexit
import gc
import io
import os
import sys
from collections.abc import Sequence
from types import ModuleType

from bedplate import __version__, errors
from bedplate.cli.screen import MEASURE, settle, wrapped, write_line

INTERRUPTED = 130
COLLECT_AFTER = 100_000
"""Objects that are made before rubbish is looked for.

A command makes many that it keeps, and ends before any are rubbish: looking for it after each 700,
as Python does, takes a tenth of its time. A session at the bench goes on long enough to look. To
look once more at the end takes a twentieth: all is left as it is then (`gc.freeze`).
"""
PLUGINS = "pydantic.plugin._loader"
"""Pydantic's own search for plugins; under another name it would be loaded, and find none."""
COMPLETE = "_BEDPLATE_COMPLETE"
"""Set by the shell's own function when the Tab key is pressed."""


def exit_codes() -> dict[int, str]:
    """Return what every exit code of bedplate means, read from the classes of failure."""
    classes = (
        errors.RefusedError,
        errors.NotUnderstoodError,
        errors.StorageError,
        errors.FaultError,
    )
    meant = {each.exit_code: (each.__doc__ or "").partition("\n")[0] for each in classes}
    return {0: "Done, or the answer is yes.", **meant, INTERRUPTED: "Interrupted by Ctrl-C."}


def main(words: Sequence[str] | None = None) -> int:
    """Run one command line.

    Args:
        words: what follows ``bedplate``; those of the process where not given.

    Returns:
        The exit code, see `exit_codes`.
    """
    if words is None:
        _as_a_process()
    given = list(sys.argv[1:] if words is None else words)
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    if instruction := os.environ.get(COMPLETE):
        from bedplate.cli.completion import answer  # noqa: PLC0415 - the Tab key only

        return answer(instruction)
    try:
        code = _run(given)
        settle(sys.stdout)
    except BaseException as stopped:  # noqa: BLE001 - the last net: a code, never a traceback
        code = _ended(stopped, given)
    try:
        settle(sys.stdout)
        settle(sys.stderr)
    except OSError:
        return errors.StorageError.exit_code
    return code


def _as_a_process() -> None:
    """Set up Python for one command."""
    gc.set_threshold(COLLECT_AFTER)
    atexit.register(gc.freeze)
    # What is checked here no other installed package may watch or alter, nor be looked for. Where
    # there are none, what looks for them is not loaded either: with it came all of `email`.
    os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"
    nobody = ModuleType(PLUGINS)
    vars(nobody)["get_plugins"] = tuple
    sys.modules.setdefault(PLUGINS, nobody)


def _ended(stopped: BaseException, words: list[str]) -> int:
    """Say what stopped the work and return its code."""
    match stopped:
        case KeyboardInterrupt():
            write_line(sys.stderr, "")
            write_line(sys.stderr, "Stopped. Nothing is half written.")
            return INTERRUPTED
        case errors.BedplateError() if stopped.exit_code != errors.FaultError.exit_code:
            _say(stopped, words)
            return stopped.exit_code
        case BrokenPipeError():
            return 0
        case OSError():
            _say(_could_not(stopped))
            return errors.StorageError.exit_code
        case SystemExit():
            return stopped.code if isinstance(stopped.code, int) else 1
        case _ if (refused := _no_entry(stopped)) is not None:
            _say(refused, words)
            return refused.exit_code
        case _:
            return _fault(stopped, words)


def _run(words: list[str]) -> int:
    if words[:1] == ["--version"]:
        sys.stdout.write(f"bedplate {__version__}\n")
        return 0
    if words == ["help"]:
        from bedplate.cli import help_pages  # noqa: PLC0415 - not paid by --version

        help_pages.show("", help_pages.of_program())
        return 0
    import typer  # noqa: PLC0415 - not paid by these two

    from bedplate.cli.group import program  # noqa: PLC0415
    from bedplate.cli.usage import in_our_words  # noqa: PLC0415

    try:
        tree = program()
        with tree.make_context("bedplate", words) as ctx:
            code = tree.invoke(ctx)
    except typer.Exit as left:
        return left.exit_code
    except typer.TyperException as error:
        raise in_our_words(error) from error
    except (typer.Abort, EOFError) as error:
        raise errors.NotUnderstoodError(
            "Nothing recorded: the question was not answered."
        ) from error
    return code if isinstance(code, int) else 0


def _no_entry(error: BaseException) -> errors.BedplateError | None:
    """Return what cannot stand in an entry (a text of 5,000 characters) as a failure, or None."""
    pydantic = sys.modules.get("pydantic")
    if pydantic is None or not isinstance(error, pydantic.ValidationError):
        return None
    from bedplate.record.spelling import in_words  # noqa: PLC0415 - failures only

    return errors.NotUnderstoodError(f"Not recorded. {in_words(error)}.")


def _could_not(error: OSError) -> errors.StorageError:
    from bedplate.text import quoted  # noqa: PLC0415 - failures only

    where = f"{quoted(os.fsdecode(error.filename))}: " if error.filename else ""
    return errors.StorageError(
        f"Stopped. {where}{error.strerror or type(error).__name__}.",
        "What was recorded before stands.",
    )


def _say(error: errors.BedplateError, words: Sequence[str] = ()) -> None:
    """Print a failure: its message wrapped, its hints too, but for commands, to be copied."""
    for line in error.message.split("\n"):
        for part in wrapped(line) if len(line) > MEASURE else [line]:
            write_line(sys.stderr, part)
    for hint in error.hint:
        for part in _hint_lines(_to_type(hint, words)):
            write_line(sys.stderr, part)


def _to_type(hint: str, words: Sequence[str]) -> str:
    """Return a hint whose commands name the job and the hand that these words named."""
    if not any(word.partition("=")[0] in ("--job", "--by") for word in words):
        return hint
    from bedplate.cli import context  # noqa: PLC0415 - failures with a job or hand named only

    try:
        _, common = context.lift(words, strict=False)
    except errors.BedplateError:  # the option without its value is what was refused
        return hint
    with context.using(common):
        return context.to_type(hint, again=True)


def _hint_lines(hint: str) -> list[str]:
    """Return a hint in lines; a command is never broken, but may stand on a line of its own."""
    if len(hint) + 2 <= MEASURE:
        return [f"  {hint}"]
    for parting, end in ((":  bedplate ", ":"), ("   bedplate ", "")):
        said, found, command = hint.partition(parting)
        if found and said.strip() and "bedplate " not in said:
            return [f"  {said.rstrip()}{end}", f"    bedplate {command}"]
    return [f"  {hint}"] if "bedplate " in hint else wrapped(hint, "  ", "    ")


def _fault(error: BaseException, words: list[str]) -> int:
    """Write a fault of bedplate into a file here and say where it is."""
    from bedplate.cli import fault  # noqa: PLC0415 - faults only

    write_line(sys.stderr, fault.told(error, words))
    return errors.FaultError.exit_code
