"""Everything that can be in the way: the command shown with it is accepted, and it is conceded."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path
from typing import Any

import pytest
from typist import Typist

SHEET = """
format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
[[component]]
id = "body"
[[component]]
id = "lid"
[[component]]
id = "plate"
[[component]]
id = "gasket"
renew = true
[[feature]]
tag = "A"
of = "body"
[[feature]]
tag = "B"
of = "body"
[[feature]]
tag = "C"
of = "body"
[[feature]]
tag = "D"
of = "body"
[[feature]]
tag = "E"
of = "body"
when = ["N"]
[[feature]]
tag = "L"
of = "lid"
[[fit]]
tag = "OUT"
stack = "A"
band = { limits = "1..3 mm" }
[[fit]]
tag = "OTHER"
stack = "B"
same_as = "OUT"
[[fit]]
tag = "NEAR"
stack = "C"
rule = "guarded"
band = { limits = "1..3 mm" }
[[fit]]
tag = "OVER"
stack = "D"
band = { limits = "1..3 mm" }
[[fit]]
tag = "FLOAT"
stack = "E"
band = { limits = "1..3 mm" }
[[fit]]
tag = "TOP"
stack = "L"
band = { limits = "1..3 mm" }
[[fasteners]]
tag = "N"
count = 4
holds = ["body", "gasket"]
lock = "tab washer"
prove = ["SPIN"]
spends = { tight = { gasket = 1 }, locked = { "tab washer" = 4 } }
[[fasteners]]
tag = "P"
holds = ["plate"]
[[proof]]
tag = "SPIN"
text = "Spins by hand"
when = ["N"]
[[step]]
id = "close"
text = "Close"
leaves = { N = "locked" }
hold = ["SPIN"]
"""
KINDS = {
    "out", "out-close", "in-close", "unmeasured", "disagree", "stranded", "disposition",
    "fasteners", "proof", "step", "finding", "deferred", "gauge", "copy", "unlawful",
}  # fmt: skip
FILLED = {
    "VALUE": "2", "NAME": "Owner", "REASON": "reason", "ANSWER": "seen", "DATE": "2031-01-01",
}  # fmt: skip
"""What a hand would type for the words in capitals."""
ANSWERS_NO = ("check", "remedy", "rejoin")
"""Commands whose answer may be no, exit 1; they were understood all the same."""


@pytest.fixture
def blocked(typist: Typist) -> Typist:
    """Return somebody beside a job that shows every kind of thing in the way."""
    typist.open(SHEET)
    typist.done(
        'gauge add mic1 --resolution "0.01 mm" --max-error "0.01 mm" --due 2020-01-01',
        'gauge add mic2 --resolution "0.001 mm" --max-error "0.01 mm"',
        "fasten N removed",
        "measure A 5.00 -g mic1",
        "measure B 9.00 -g mic2",
        "measure C 2.995 -g mic2",
        "measure D 3.005 -g mic2",
        "change lid new",
    )
    new_lid = len(typist.entries)
    typist.done("measure L 5 -g mic2", f"strike {new_lid} --why slip", "fasten P tight")
    typist.done("fasten P removed")
    removal = len(typist.entries)
    typist.done(
        "change plate new",
        f"strike {removal} --why slip",
        'inspect body "crack at the port" --severity reject',
        'defer "shaft at the grinder" --until Grinder --why "out of round"',
    )
    shutil.copy("pump.job.jsonl", "old copy.job.jsonl")
    typist.done('--job "old copy.job.jsonl" note "written in the other one"', "--job pump note on")
    return typist


def in_the_way(typist: Typist) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = typist.document("--job pump status")["blockers"]
    return found


def test_the_job_shows_every_kind(blocked: Typist) -> None:
    assert {blocker["kind"] for blocker in in_the_way(blocked)} == KINDS


def test_the_command_shown_with_each_is_accepted(blocked: Typist) -> None:
    before = blocked.data
    for blocker in in_the_way(blocked):
        _, verb, *words = shlex.split(blocker["type"])
        said = blocked.type(["--job", "pump", verb, *(FILLED.get(word, word) for word in words)])
        codes = (0, 1) if verb in ANSWERS_NO else (0,)
        assert said.code in codes, (blocker, said)
        blocked.path.write_bytes(before)


def test_each_is_conceded_by_the_name_it_bears(blocked: Typist) -> None:
    for blocker in in_the_way(blocked):
        what = blocker["what"]
        standing = [b for b in in_the_way(blocked) if b["what"] == what]
        line = ["--job", "pump", "concede", what, "--accepted-by", "A. Owner", "--why", "so be it"]
        assert blocked.type(line).code == 0, blocker
        assert len([b for b in in_the_way(blocked) if b["what"] == what]) == len(standing) - 1
    assert in_the_way(blocked) == []
    assert blocked.document("--job pump status")["ok"]
    assert blocked.type("--job pump sign").code == 0


def test_what_is_not_in_the_way_is_not_conceded(blocked: Typist) -> None:
    Path("old copy.job.jsonl").unlink()
    said = blocked.refused('concede "old copy.job.jsonl" --accepted-by Owner --why x', 1)
    assert said[0].startswith('Refused. "old copy.job.jsonl" is not in the way')
