"""A bedplate that is loaded once and answers many command lines, each in a process of its own.

Where the start is not what a test is about, this spares it: the loaded process is forked for each
command line, so that none sees what another has left behind.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

EVERY_KIND = Path(__file__).parent.parent / "record/golden/format-1-every-kind.job.jsonl"

SERVER = """
import json, os, pathlib, sys
import bedplate.cli.bench.command, bedplate.cli.check, bedplate.cli.fitting, bedplate.cli.measure
import bedplate.cli.summary
from bedplate.assess.fits import Assessment
from bedplate.cli.main import main
from bedplate.record.job import fold
from bedplate.record.jobfile import read_job_file
from bedplate.units.registry import registry

# What is made when first used would be made anew by every child.
made = Assessment(fold(read_job_file(pathlib.Path(sys.argv[1])).entries)).all
registry()

def answer(asked):
    sys.stdin = open(os.devnull)
    os.chdir(asked["folder"])
    os.environ.update(asked["environment"])
    sys.argv = ["bedplate", *asked["words"]]
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)

for line in sys.stdin:
    asked = json.loads(line)
    out = os.open(asked["out"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    child = os.fork()
    if not child:
        os.dup2(out, 1)
        os.dup2(out, 2)
        answer(asked)
    os.close(out)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    os.write(3, f"{code}\\n".encode())
"""


class Warm:
    """The loaded process; a context manager.

    Args:
        environment: of the process.
        folder: where the output of each command is kept meanwhile.
    """

    def __init__(self, environment: Mapping[str, str], folder: Path) -> None:
        self.out = folder / "printed"
        done, told = os.pipe()
        self._server = subprocess.Popen(
            ["bash", "-c", f'exec "$0" -c "$1" "$2" 3>&{told}', sys.executable, SERVER,
             str(EVERY_KIND)],
            env=dict(environment), stdin=subprocess.PIPE, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL, pass_fds=[told], text=True,
        )  # fmt: skip
        os.close(told)
        self._codes = os.fdopen(done)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._server.stdin is not None:
            self._server.stdin.close()
        self._server.wait()
        self._codes.close()

    def run(self, words: Sequence[str], folder: Path, environment: Mapping[str, str]) -> str:
        """Return what a command line prints on both streams, in order; see `answer`."""
        return self.answer(words, folder, environment)[1]

    def answer(
        self, words: Sequence[str], folder: Path, environment: Mapping[str, str]
    ) -> tuple[int, str]:
        """Return the exit code of a command line, and what it prints on both streams, in order.

        Args:
            words: what follows ``bedplate``.
            folder: where it is typed.
            environment: what it finds beside that of the process.
        """
        asked = {
            "words": list(words), "folder": str(folder), "environment": dict(environment),
            "out": str(self.out),
        }  # fmt: skip
        assert self._server.stdin is not None
        self._server.stdin.write(f"{json.dumps(asked)}\n")
        self._server.stdin.flush()
        code = self._codes.readline()
        assert code, "the loaded bedplate has ended"
        return int(code), self.out.read_text("utf-8")
