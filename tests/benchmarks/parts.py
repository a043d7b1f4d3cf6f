"""Where the time of a start goes: each part by itself, in a process that has what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from tests.benchmarks.jobs import head_of
from tests.benchmarks.side_by_side import Measured, Timed, against, process, python, told
from tests.benchmarks.starts import B

_AS_STARTED = """
import gc, os, sys, time, types
gc.set_threshold(100_000)
os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"
nobody = sys.modules["pydantic.plugin._loader"] = types.ModuleType("nobody")
nobody.get_plugins = tuple
"""
"""As `bedplate.cli.main` sets Python up."""

_A_MODEL = """
from pydantic import BaseModel, Field
class Any(BaseModel):
    name: str
"""
_MODELS = "import bedplate.record.entries, bedplate.sheet.model"
_READING = """
from pathlib import Path
import bedplate.sheet.checker
from bedplate.record.job import fold
from bedplate.record.jobfile import read_job_file
"""
_JOB = "job = fold(read_job_file(Path('head.job.jsonl')).entries)"

_DATACLASSES = f"""{_AS_STARTED}
import dataclasses
real, spent = dataclasses.dataclass, 0.0
def dataclass(cls=None, **how):
    def made(cls):
        global spent
        started = time.process_time()
        done = real(**how)(cls)
        if cls.__module__.startswith("bedplate."):
            spent += time.process_time() - started
        return done
    return made if cls is None else made(cls)
dataclasses.dataclass = dataclass
import bedplate.cli.fitting
print(spent)
"""
"""Making them is timed where it is done: while they are loaded."""


def _timed(before: str, timed: str) -> str:
    """Return a program that prints what the second piece of it takes, by the processor's time."""
    ends = f"started = time.process_time()\n{timed}\nprint(time.process_time() - started)"
    return f"{_AS_STARTED}\n{before}\n{ends}\n"


PARTS: Mapping[str, str] = {
    "typer": _timed("", "import typer, typer.core"),
    "pydantic's core": _timed("import typer", "import pydantic_core"),
    "pydantic, to a first model": _timed("import typer, pydantic_core", _A_MODEL),
    "making the classes of entries and sheet": _timed(f"import typer\n{_A_MODEL}", _MODELS),
    "all else that `fasten` loads": _timed(
        f"import typer\n{_MODELS}\n{_A_MODEL}", "import bedplate.cli.fitting"
    ),
    "of that, making dataclasses": _DATACLASSES,
    "reading the job, its sheet checked": _timed(f"import bedplate.cli.fitting{_READING}", _JOB),
    "working out its 26 rows": _timed(
        f"{_READING}{_JOB}\nfrom bedplate.assess.fits import Assessment", "Assessment(job).all"
    ),
    "pint, with our definitions": _timed(
        "import bedplate.units", "from bedplate.units.registry import registry; registry()"
    ),
}
"""Programs that print seconds: each part, timed with all there that it rests on."""


def measured(folder: Path, rounds: int) -> list[Measured]:
    """Return what every part takes of B, by the processor's time."""
    head_of(60, folder)
    things: dict[str, tuple[float | None, Timed]] = {
        "Python itself": (None, process(python("-c", "pass"), folder, folder))
    }
    for what, program in PARTS.items():
        things[what] = (None, told(python("-c", program), folder, folder))
    return against(("B", process(python("-c", B), folder, folder)), things, rounds)
