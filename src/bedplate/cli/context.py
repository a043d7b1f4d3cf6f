"""What every command may ask for: the four common options, settings, screen, job and hand.

The common options may stand anywhere on the line (``measure H 1.0 --job pump``). The tree lifts
them out before anything else looks at the words; a command gets them from `current`.
"""

from __future__ import annotations

import contextvars
import errno
import os
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from bedplate.cabinet import Cabinet, Settings, home_folder
from bedplate.cli import ask, commands
from bedplate.cli.screen import Screen
from bedplate.errors import BedplateError, NotUnderstoodError, StorageError
from bedplate.text import counted, listed, near_or_list, quoted, shell, visible

ENDING = ".job.jsonl"
"""What the name of every job file ends in."""

WITH_VALUE = ("--job", "--by")
FLAGS = ("--plain", "--json")


class Common(NamedTuple):
    """The options that every command has.

    Attributes:
        job: which job, as typed after ``--job``.
        by: who records, as typed after ``--by``.
        plain: one fact a line, no drawing.
        json: exactly one JSON document on stdout.
    """

    job: str | None = None
    by: str | None = None
    plain: bool = False
    json: bool = False


_current: contextvars.ContextVar[Common] = contextvars.ContextVar("common options")


def current() -> Common:
    """Return the common options of the command that is running."""
    return _current.get(Common())


@contextmanager
def using(common: Common) -> Iterator[Common]:
    """Make ``common`` the options of the command running inside the ``with`` block."""
    token = _current.set(common)
    try:
        yield common
    finally:
        _current.reset(token)


@dataclass(slots=True)
class _Lifted:
    """The common options met so far on one line."""

    values: dict[str, str] = field(default_factory=dict)
    flags: set[str] = field(default_factory=set)

    def take(self, option: str, value: str) -> None:
        if not value.strip() or value.startswith("-"):
            raise _needs_value(option)
        if self.values.setdefault(option, value) != value:
            first = quoted(self.values[option])
            raise NotUnderstoodError(
                f"Nothing done. {option} was given twice: {first} and {quoted(value)}."
            )


def lift(words: Sequence[str], *, strict: bool = True) -> tuple[list[str], Common]:
    """Take the common options out of a command line, from wherever they stand.

    Args:
        words: the words after ``bedplate``; those after ``--`` are left alone.
        strict: without it, an option that lacks its value is left where it is (completion).

    Returns:
        The words that are left, and the options.
    """
    left: list[str] = []
    lifted = _Lifted()
    queue = list(words)
    while queue:
        word = queue.pop(0)
        name, equals, value = word.partition("=")
        if word == "--":
            left += [word, *queue]
            break
        if word in FLAGS:
            lifted.flags.add(word)
        elif name in WITH_VALUE and (equals or queue):
            lifted.take(name, value if equals else queue.pop(0))
        elif name in WITH_VALUE and strict:
            raise _needs_value(name)
        else:
            left.append(word)
    return left, Common(
        job=lifted.values.get("--job"),
        by=lifted.values.get("--by"),
        plain="--plain" in lifted.flags,
        json="--json" in lifted.flags,
    )


def _needs_value(option: str) -> NotUnderstoodError:
    if option == "--job":
        return NotUnderstoodError(
            "Nothing done. --job needs a name or a path after it, and no name of a job "
            "begins with a dash.",
            "Type:  --job pump   or   --job folder/pump.job.jsonl",
        )
    return NotUnderstoodError(
        f"Nothing done. {option} needs a name after it.", f'Type:  {option} "Ann Fitter"'
    )


def cabinet() -> Cabinet:
    """Return the folder of settings and gauges of whoever is at the keyboard."""
    return Cabinet(home_folder(os.environ))


def settings() -> Settings:
    """Return the settings in force: options, else environment, else file, else built in."""
    common = current()
    found = cabinet().settings(os.environ)
    if common.by is not None:
        found = found.but("name", common.by, "--by")
    if common.plain:
        found = found.but("screen", "plain", "--plain")
    return found


def screen() -> Screen:
    """Return the screen of the command that is running: made anew, never at import."""
    return Screen.made(sys.stdout, sys.stderr, settings(), os.environ, as_json=current().json)


def job_name(path: Path) -> str:
    """Return the name of a job: that of its file without the ending.

    >>> job_name(Path("work/pump.job.jsonl"))
    'pump'
    """
    return path.name.removesuffix(ENDING)


def jobs_in(folder: Path) -> list[Path]:
    """Return the job files of a folder by name, without hidden ones (``._pump.job.jsonl``)."""
    try:
        found = [path for path in folder.glob(f"*{ENDING}") if path.is_file()]
    except OSError as error:
        raise StorageError(
            f"Not read. The folder {quoted(str(folder))} cannot be looked into: {error.strerror}."
        ) from error
    return sorted((path for path in found if path.name[0] not in ".-"), key=lambda path: path.name)


def spoken(path: Path) -> str:
    """Return what an acknowledgment starts with: the job's name where its folder holds several.

    A lone job is not named at every line: the text is empty then.
    """
    several = len(jobs_in(path.parent)) > 1
    return f"{visible(job_name(path))}: " if several else ""


def job_at_hand(typed: str | None = None) -> Path:
    """Return the file of the job that the command is about.

    It is the one named (``--job``, else ``$BEDPLATE_JOB``), else the only one in this folder;
    parents are not searched.

    Args:
        typed: names the job in place of ``--job``, where a command has an argument for it.

    Raises:
        NotUnderstoodError: none was named and there is none, or there are several and nobody to
            ask.
        StorageError: the one that was named is not there.
    """
    named = typed if typed is not None else current().job
    if named is not None:
        return _job_named(named)
    if from_environment := os.environ.get("BEDPLATE_JOB"):
        return _job_named(from_environment)
    return _one_of(jobs_in(Path()), "here")


def is_job_named() -> bool:
    """Tell whether the job is named, by ``--job`` or ``$BEDPLATE_JOB``."""
    return current().job is not None or bool(os.environ.get("BEDPLATE_JOB"))


@cache
def _on_the_job() -> re.Pattern[str]:
    """Return what the beginning of a command looks like that is about the job at hand."""
    about = (row.name for row in commands.COMMANDS if row.name not in commands.OF_NO_JOB)
    return re.compile(rf"\bbedplate (?=(?:{'|'.join(map(re.escape, about))})\b)")


def to_type(text: str, *, again: bool = False) -> str:
    """Return a text with its commands as they are to be typed here.

    They name the job where it was named on this line, unless it is the only one in this folder:
    without the name they would be refused, or be about another job.

    Args:
        text: what is said.
        again: whether what was refused is to be typed again: then by whoever typed it.
    """
    named, by = current().job, current().by
    if "bedplate " not in text:
        return text
    options = ""
    if named is not None and not _is_alone_here(named):
        options += f"--job {shell(named)} "
    if again and by is not None and "--by " not in text:
        options += f"--by {shell(by)} "
    return _on_the_job().sub(lambda found: f"{found[0]}{options}", text) if options else text


def _is_alone_here(named: str) -> bool:
    try:
        path, here = _job_named(named), jobs_in(Path())
        return len(here) == 1 and here[0].samefile(path)
    except (BedplateError, OSError):
        return True


def _job_named(typed: str) -> Path:
    if typed.startswith("-"):
        raise _needs_value("--job")
    if not typed or "\0" in typed or len(typed) > LONGEST_PATH:
        raise _no_such_job(typed)
    try:
        return _found(typed)
    except OSError as error:
        if error.errno == errno.ENAMETOOLONG:
            raise _no_such_job(typed) from error
        raise StorageError(f"Not read. {quoted(typed)}: {error.strerror}.") from error


def _found(typed: str) -> Path:
    path = Path(typed)
    bare = path.with_name(path.name + ENDING) if path.name else path
    if path.name.endswith(ENDING) and os.path.lexists(path):
        return path  # a folder, a pipe or a link of that name is refused where it is read
    if path.name and bare.is_file():
        return bare
    if path.is_dir():
        return _one_of(jobs_in(path), f"in {quoted(typed)}")
    raise _no_such_job(typed)


def _no_such_job(typed: str) -> StorageError:
    names = [visible(job_name(path)) for path in jobs_in(Path())]
    hint = near_or_list(typed, names, "Jobs here") if names else "There is no job in this folder."
    return StorageError(f"Not read. There is no job {quoted(typed)}.", hint)


def _one_of(jobs: Sequence[Path], where: str) -> Path:
    if len(jobs) == 1:
        return jobs[0]
    if not jobs:
        raise NotUnderstoodError(
            f"Which job? There is none {where}.",
            "Start one:  bedplate open NAME",
            "Or name it:  bedplate --job FOLDER/NAME.job.jsonl status",
        )
    by_name = {job_name(path): path for path in jobs}
    chosen = ask.choose(f"Which job? There are {len(jobs)} {where}:", list(by_name))
    if chosen is None:
        raise NotUnderstoodError(
            f"Which job? There are {len(jobs)} {where}: {listed(_shown(by_name))}.",
            f"Type:  bedplate --job {_shown(by_name)[0]} status",
        )
    return by_name[chosen]


def _shown(names: Iterable[str]) -> list[str]:
    return [visible(name) for name in names]


def hand() -> str:
    """Return who is recording, asked for once on a terminal and kept for next time.

    Never the login name of the computer: it may stand in a signature.

    Raises:
        NotUnderstoodError: nobody said, and there is no terminal to ask on.
    """
    found = settings()
    if found.name is not None:
        return _fit_name(found.name)
    answer: str | None = ""
    while answer == "":
        answer = ask.ask("Who is recording? (your name, kept for next time): ", bell=found.bell)
    if answer is None:
        raise NotUnderstoodError(
            "Not recorded. Who is recording? There is no terminal to ask on.",
            'Type:  bedplate settings name "Ann Fitter"',
            'Or for once:  --by "Ann Fitter"',
        )
    name = _fit_name(answer)
    cabinet().keep_setting("name", name)
    return name


def _fit_name(typed: str) -> str:
    """Return a name as it may stand in a record: no control characters, no outer spaces."""
    name = typed.strip()
    if visible(name) != name or not name:
        raise NotUnderstoodError(
            f"Not recorded. A name needs letters and nothing unseen: {quoted(typed)}."
        )
    if len(name) > LONGEST_NAME:
        raise NotUnderstoodError(
            f"Not recorded. A name has at most {counted(LONGEST_NAME, 'character')}: "
            f"{quoted(typed)} has {len(name)}."
        )
    return name


LONGEST_PATH = 4096
"""Characters that a typed path can have; no system of ours takes more."""

LONGEST_NAME = 200
"""Characters in the name of a hand; it stands in every line of the record."""


def bare_screen() -> Screen:
    """Return a screen that no settings file is read for: help shows whatever stands in there."""
    return Screen.made(sys.stdout, sys.stderr, Settings(), os.environ, as_json=current().json)


OF_THEIR_OWN = frozenset({"check", "measure", "status", "verify"})
"""Commands whose documents are formats of their own: ``bedplate-check/1``."""


def document(command: str, job: str | None = None, entries: int | None = None) -> dict[str, Any]:
    """Return the first keys of a command's JSON document.

    Args:
        command: as typed; the words of ``sheet check`` are joined by ``-``.
        job: the name of the job, None for a command without one.
        entries: how many the job has now.

    >>> document("sheet check")["format"], document("check")["format"]
    ('bedplate-out-sheet-check/1', 'bedplate-check/1')
    """
    name = command.replace(" ", "-")
    kind = name if name in OF_THEIR_OWN else f"out-{name}"
    return {"format": f"bedplate-{kind}/1", "job": job, "entries": entries}
