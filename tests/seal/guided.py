"""Mutates job files guided by the code that they reach: ``python tests/seal/guided.py -runs=N``.

Needs the package ``atheris``, which is none of ours: there is one for some Pythons on Linux only.
The options are libFuzzer's; a folder behind them keeps the files that reached something new. What
`bedplate.seal.verify` makes of each file is held to `test_fuzz.check_file`.
"""

from __future__ import annotations

import contextlib
import importlib
import sys
import tempfile
from pathlib import Path


def main(words: list[str]) -> None:
    """Fuzz until the options say that it is enough."""
    here = Path(__file__).parent
    sys.path[:0] = [str(here), str(here.parent / "support")]
    atheris = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["bedplate.record", "bedplate.seal"]):
        fuzz = importlib.import_module("test_fuzz")
    with tempfile.TemporaryDirectory() as begun:
        for name, data in (("job", fuzz.JOB), ("long", fuzz.LONG)):
            Path(begun, name).write_bytes(data)
        atheris.Setup(["guided", "-max_len=20000", *words, begun], fuzz.check_file)
        with contextlib.suppress(SystemExit):
            atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
