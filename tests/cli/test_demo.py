"""``demo``: a whole invented job, every command really run."""

from __future__ import annotations

import json
import os
from pathlib import Path

from typist import Typist

from bedplate.record.jobfile import read_job_file


def test_the_demo_goes_to_the_signature_and_leaves_the_job_as_it_was_before(
    typist: Typist,
) -> None:
    answer = typist.type("demo")
    assert answer.code == 0
    told = "\n".join(answer.out)
    assert "OUT, loose by 1.9" in told
    assert "EC   idler   as found" in told
    assert "EC   idler   as left" in told
    assert "Refused. N (cover nuts) may not be locked" in "\n".join(answer.err)
    assert "signed for handover by Ann Fitter" in told
    left = read_job_file(Path("bedplate-demo/pump.job.jsonl"))
    signed = read_job_file(Path("bedplate-demo/signed/pump.job.jsonl"))
    assert [entry.kind for entry in signed.entries[len(left.entries) :]] == ["signed"]


def test_the_demo_touches_no_settings_and_no_folder_that_is_there(
    typist: Typist, home: Path
) -> None:
    assert typist.type("demo try-it").code == 0
    assert not home.exists()
    assert os.environ["BEDPLATE_HOME"] == str(home)
    again = typist.type("demo try-it")
    assert again.code == 2
    assert again.err == [
        'Not begun. There is "try-it" already.',
        "  Give it another name:  bedplate demo try-it-2",
    ]


def test_what_is_left_can_be_played_with(typist: Typist) -> None:
    typist.type("demo")
    os.chdir("bedplate-demo")
    assert typist.type("check").code == 1
    document = json.loads("\n".join(typist.type("measure H.idler@b 0.9998 --instead --json").out))
    assert document["recorded"] != []
    os.chdir("signed")
    assert typist.type("verify").code == 1
