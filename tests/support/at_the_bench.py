"""Commands given as a person gives them: in this process where speed counts, else in their own."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bedplate.cli.main import main


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command answered: its exit code, what it said, what it warned of."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """Return its one JSON document."""
        found = json.loads(self.out)
        assert isinstance(found, dict)
        return found


def bedplate(*words: str | Path) -> Answer:
    """Run one command line in this process."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([str(word) for word in words])
    return Answer(code, out.getvalue(), err.getvalue())


def done(*words: str | Path) -> Answer:
    """Run one command line in this process; it must be accepted."""
    answer = bedplate(*words)
    assert answer.code == 0, answer
    return answer


def command(*words: str | Path) -> list[str]:
    """Return the command line of a process of its own."""
    return [sys.executable, "-m", "bedplate", *map(str, words)]


def process(*words: str | Path, folder: Path | None = None, **environment: str) -> Answer:
    """Run one command line as a process of its own, with no terminal."""
    ended = subprocess.run(
        command(*words), cwd=folder, env=os.environ | environment, stdin=subprocess.DEVNULL,
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    return Answer(ended.returncode, ended.stdout, ended.stderr)
