"""``bedplate demo``: one invented job from the first reading to the signature.

Every command shown is really run, in a folder of its own with settings of its own; nothing of the
user's is touched.
"""

from __future__ import annotations

import os
import shlex
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, NamedTuple

import typer

import bedplate
from bedplate.cli import ask, context
from bedplate.cli.screen import Screen, settle
from bedplate.errors import FaultError, NotUnderstoodError
from bedplate.text import quoted, visible

HAND = "Ann Fitter"
CUT = "--cut"
"""Put behind a command whose many acknowledgments are left out of what is shown."""


class Chapter(NamedTuple):
    """A part of the walk: what it is about, and what is typed.

    Attributes:
        title: in a few words.
        commands: as typed after ``bedplate``; one that begins with ``!`` is refused, and shown
            for that; one that begins with ``~`` is run but not shown.
        says: a sentence before the commands.
    """

    title: str
    commands: Sequence[str]
    says: str = ""


GAUGES = (
    '~gauge add depth1 --kind "depth micrometer" --range "0..2 in" --resolution "1 tenth" '
    '--max-error "1 tenth" --zero-error "1 tenth"',
    '~gauge add mic1 --kind micrometer --range "0..1 in" --resolution "1 tenth" '
    '--max-error "1 tenth" --zero-error "1 tenth"',
    '~gauge add mic2 --kind micrometer --range "1..2 in" --resolution "1 tenth" '
    '--max-error "1 tenth" --zero-error "1 tenth"',
    '~gauge add bore1 --kind "bore gauge" --range "1..2 in" --resolution "1 tenth" '
    '--max-error "2 tenths"',
    '~gauge add dial1 --kind "dial" --resolution "5 tenths"',
)

CHAPTERS = (
    Chapter(
        "Open the job, and strip",
        (
            *GAUGES,
            'open pump --sheet transfer-pump.toml --customer "A. Owner" '
            '--machine "Launch Patience of Ebbmouth" --asked "Strip, measure, make good"',
            "done drain",
            "fasten N removed",
            'inspect valve "screw was 7 1/2 turns out" --severity note --back relief-in',
            "~done cover-off",
            '~done marks --note "paint dots on mating teeth, dot side outward"',
        ),
    ),
    Chapter(
        "Measure",
        (
            "gauge set mic1 1.0001 --on 1in",
            "measure H.idler 0.9980 0.9979 0.9980 --gauge mic1",
            f"measure --from transfer-pump-as-found.csv --instead {CUT}",
            "check",
        ),
        "The micrometer shows a tenth too much on its standard; that is taken off.",
    ),
    Chapter(
        "What would put it right?",
        (
            "remedy EC",
            'decide gear.idler replace --why "height under limit"',
            "change gear.idler new --number FT-2207 --yes",
            '~decide body rework --why "end clearance"',
            'change body reworked --touching D --note "joint face lapped"',
        ),
    ),
    Chapter(
        "Read again, with a slip",
        (
            "measure H.idler@a 0.9999 --gauge mic1",
            'correct last 1.0001 --note "read the wrong line"',
            f"measure --from transfer-pump-as-left.csv --instead {CUT}",
            "check EC --all",
        ),
        "The first one was misread; nothing is erased, it is struck out.",
    ),
    Chapter(
        "Put it together",
        (
            '~decide gear.driver reuse --why "in band"',
            '~decide cover reuse --why "flat, no score"',
            '~decide valve reuse --why "seat clean"',
            "done gears-in",
            "!done relief-in",
            '~settle @valve --how "screwed in 7 1/2 turns, as found"',
            "~done relief-in",
            "~use gasket --number G-114",
            '~use "tab washer" --count 4',
            "fasten N tight --reached 17",
            "!fasten N locked",
            "prove SPIN pass",
            "fasten N locked",
            "~done close",
            "~done lock",
        ),
        "What was found comes back at its step; one-use locks wait for their proof.",
    ),
    Chapter(
        "The page, and the signature",
        ("summary --for customer", "~keep", "sign --role fitter", "status"),
    ),
)


def demo(
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Where it is left; must not be there yet.")
    ] = "bedplate-demo",
) -> None:
    """See a whole invented job, start to signature.

    It is left there to play with; your own settings and gauges are not touched.

    Examples:
      bedplate demo
      bedplate demo try-it
    """
    target = Path(folder)
    if os.path.lexists(target):
        raise NotUnderstoodError(
            f"Not begun. There is {quoted(folder)} already.",
            f"Give it another name:  bedplate demo {visible(target.name)}-2",
        )
    screen = context.screen()
    target.mkdir(parents=True)
    for name in ("transfer-pump.toml", "transfer-pump-as-found.csv", "transfer-pump-as-left.csv"):
        shutil.copyfile(examples() / name, target / name)
    screen.out("bedplate demo: one pump, from the first reading to the signature.")
    screen.out(f"Everything here is invented.  It is left in {visible(folder)} to play with.")
    with _at(target):
        if not _walk(screen):
            return
    for line in _ending(visible(folder)):
        screen.out(line)


def examples() -> Path:
    """Return where the examples lie: in the wheel beside the code, else at the top of the repo."""
    package = Path(bedplate.__file__).parent
    inside = package / "examples"
    return inside if inside.is_dir() else package.parents[1] / "examples"


@contextmanager
def _at(folder: Path) -> Iterator[None]:
    """Work in a folder, with settings of its own, as one person, as if typed."""
    before, environment = Path.cwd(), dict(os.environ)
    os.environ["BEDPLATE_HOME"] = str((folder / "settings").resolve())
    os.environ["BEDPLATE_BY"] = HAND
    os.environ.pop("BEDPLATE_JOB", None)
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)
        os.environ.clear()
        os.environ.update(environment)


def _walk(screen: Screen) -> bool:
    """Go through the chapters; return whether it went to the end."""
    for number, chapter in enumerate(CHAPTERS, start=1):
        screen.out()
        screen.out(f"{number} of {len(CHAPTERS)}  {chapter.title}")
        if chapter.says:
            screen.out(f"     {chapter.says}")
        for typed in chapter.commands:
            _type(typed, screen)
        if number < len(CHAPTERS) and not _go_on():
            return False
    return True


def _go_on() -> bool:
    answer = ask.ask("Enter for the rest, q to stop: ")
    return answer is None or not answer.casefold().startswith("q")


def _type(typed: str, screen: Screen) -> None:
    """Run one command, shown as it would be typed.

    Raises:
        FaultError: it did not end as it should; the walk would not be true.
    """
    if typed == "~keep":
        _keep_unsigned()
        return
    wanted = 1 if typed.startswith("!") else 0
    words = shlex.split(typed.lstrip("!~"))
    shown, cut = not typed.startswith("~"), CUT in words
    words = [_number(word) for word in words if word != CUT]
    if shown:
        said = typed.lstrip("!~").removesuffix(CUT).rstrip()
        if words[0] == "correct":
            said = said.replace("correct last ", f"correct {words[1]} ")
        screen.out(f"  $ bedplate {said}")
    code = _run(words, silent=not shown or cut)
    if cut and code == 0:
        screen.out("  (its rows are in the log)")
    if code not in (wanted, 1 if words[0] in ("check", "remedy") else wanted):
        raise FaultError(f"The demo stopped: bedplate {typed} ended with {code}.")


def _number(word: str) -> str:
    """Return a word with what only the record knows put in: the entry to answer, the last one."""
    if word not in ("@valve", "last"):
        return word
    from bedplate.cli.store import at_hand  # noqa: PLC0415 - the demo alone looks entries up

    job = at_hand().job
    if word == "last":
        return str(job.last)
    return str(next(e.n for e in job.entries if getattr(e, "place", None) == "valve"))


def _run(words: list[str], *, silent: bool) -> int:
    """Run a command line in this process."""
    import contextlib  # noqa: PLC0415 - the demo alone silences its own commands
    import io  # noqa: PLC0415
    import sys  # noqa: PLC0415

    from bedplate.cli.main import main  # noqa: PLC0415 - main imports the table this stands in

    if not silent:
        settle(sys.stdout)
        code = main(words)
        settle(sys.stdout)
        return code
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        return main(words)


def _keep_unsigned() -> None:
    """Put the job to be signed into ``signed/`` and go on there; here stays what it was before."""
    signed = Path("signed")
    signed.mkdir()
    shutil.copyfile("pump.job.jsonl", signed / "pump.job.jsonl")
    os.chdir(signed)


def _ending(folder: str) -> list[str]:
    return [
        "",
        "The job is signed for handover; the relief valve is set warm at the first run.",
        "Now try it yourself:",
        f"   cd {folder}",
        "   bedplate                        where the job stands (before it was signed)",
        "   bedplate check                  the clearances again",
        "   bedplate measure H.idler@b 0.9998",
        "   bedplate log                    every entry, also the struck one",
        "   bedplate --job signed verify    what the signature shows",
        "To start your own: bedplate help first-job",
    ]
