"""``demo``: a whole invented job, every command really run; once for all tests here."""

from __future__ import annotations

import contextlib
import io
import json
import os
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest
from typist import Typist

from bedplate.cli.main import main
from bedplate.record.jobfile import read_job_file


@dataclass(frozen=True)
class Shown:
    """A demo that was run: how it ended, what it said, where it lies and where settings would."""

    code: int
    out: str
    err: str
    folder: Path
    home: Path
    home_after: str


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Shown:
    """Run the demo."""
    folder = tmp_path_factory.mktemp("demo")
    home = folder / "home"
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("BEDPLATE_HOME", str(home))
        patch.setenv("BEDPLATE_BY", "Ann Fitter")
        patch.setenv("COLUMNS", "80")
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main(["demo"])
        after = os.environ["BEDPLATE_HOME"]
    return Shown(code, out.getvalue(), err.getvalue(), folder / "bedplate-demo", home, after)


def test_the_demo_goes_to_the_signature_and_leaves_the_job_as_it_was_before(shown: Shown) -> None:
    assert shown.code == 0
    assert "OUT, loose by 1.9" in shown.out
    assert "EC   idler   as found" in shown.out
    assert "EC   idler   as left" in shown.out
    assert "Refused. N (cover nuts) may not be locked" in shown.err
    assert "signed for handover by Ann Fitter" in shown.out
    left = read_job_file(shown.folder / "pump.job.jsonl")
    signed = read_job_file(shown.folder / "signed" / "pump.job.jsonl")
    assert [entry.kind for entry in signed.entries[len(left.entries) :]] == ["signed"]


def test_the_demo_touches_no_settings(shown: Shown) -> None:
    assert not shown.home.exists()
    assert shown.home_after == str(shown.home)


def test_the_demo_touches_no_folder_that_is_there(typist: Typist, home: Path) -> None:
    Path("try-it").mkdir()
    refused = typist.type("demo try-it")
    assert refused.code == 2
    assert refused.err == [
        'Not begun. There is "try-it" already.',
        "  Give it another name:  bedplate demo try-it-2",
    ]
    assert list(Path("try-it").iterdir()) == []
    assert not home.exists()


def test_what_is_left_can_be_played_with(shown: Shown, typist: Typist) -> None:
    shutil.copytree(shown.folder, "bedplate-demo")
    os.chdir("bedplate-demo")
    assert typist.type("check").code == 1
    document = json.loads("\n".join(typist.type("measure H.idler@b 0.9998 --instead --json").out))
    assert document["recorded"] != []
    os.chdir("signed")
    assert typist.type("verify").code == 1
