"""Files of every format that there ever was are opened by today's reader, and mean the same.

The files in ``golden/`` were written once and are never written again. A format that grows gets
new files beside them. ``docs/changelog.md`` names the formats.
"""

from __future__ import annotations

import json
import math
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from bedplate.cabinet import Cabinet
from bedplate.cli.main import main
from bedplate.record.entries import FORMAT as JOB_FORMAT
from bedplate.record.job import fold
from bedplate.record.jobfile import read_job_file
from bedplate.seal.verify import verify
from bedplate.sheet.model import FORMAT as SHEET_FORMAT
from bedplate.sheet.reader import read_sheet_text

ROOT = Path(__file__).parents[2]
GOLDEN = Path(__file__).parent / "golden"
CHANGELOG = (ROOT / "docs" / "changelog.md").read_text("utf-8")


def test_a_job_of_format_1_is_read() -> None:
    file = read_job_file(GOLDEN / "job-1.job.jsonl")
    job = fold(file.entries)
    assert (file.broken, file.torn, len(file.entries)) == (None, b"", 19)
    assert job.struck == {14: 15}
    assert [job.readings[n].entry.value for n in (8, 10, 11, 16)] == [
        "1.0031 in", "1.0001 in", "0.9979 in", "1.0000 in",
    ]  # fmt: skip
    assert {str(place): made.decision for place, made in job.decided.items()} == {
        "gear.idler": "replace", "body": "reuse", "gear.driver": "reuse",
    }  # fmt: skip


def test_a_seal_of_format_1_holds() -> None:
    found = verify((GOLDEN / "job-1.job.jsonl").read_bytes(), ())
    assert [(seal.entry, seal.covers, seal.by, seal.fault) for seal in found.seals] == [
        (19, 18, "Ann Fitter", None)
    ]


def test_a_sheet_of_format_1_is_read() -> None:
    sheet, faults = read_sheet_text((GOLDEN / "sheet-1.toml").read_bytes(), "sheet-1.toml")
    assert faults == []
    assert sheet is not None
    assert [fit.tag for fit in sheet.fit] == ["PC", "LD", "LTAP", "LP", "FLAT", "FLATB", "COMP"]


def test_gauges_of_format_1_are_read(tmp_path: Path) -> None:
    shutil.copyfile(GOLDEN / "gauges-1.toml", tmp_path / "gauges.toml")
    gauges = Cabinet(tmp_path).gauges()
    assert list(gauges) == ["mic1", "depth1"]
    assert gauges["mic1"]["range"] == "0..1 in"


@pytest.mark.parametrize(
    ("words", "file"), [("check --all", "check-1.json"), ("log", "log-1.json")]
)
def test_what_another_program_was_given_it_is_still_given(
    words: str,
    file: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("BEDPLATE_HOME", str(tmp_path / "settings"))
    shutil.copyfile(GOLDEN / "job-1.job.jsonl", tmp_path / "job-1.job.jsonl")
    monkeypatch.chdir(tmp_path)
    assert main([*words.split(), "--json"]) == 0
    given = json.loads(capsys.readouterr().out)
    assert lost(json.loads((GOLDEN / file).read_text("utf-8")), given) == []


def lost(then: Any, now: Any, where: str = "") -> list[str]:
    """Return where something is no more as it was; keys may have been added."""
    if where.endswith(".notes"):
        return [] if isinstance(now, list) else [where]
    if isinstance(then, dict) and isinstance(now, dict):
        inner = [
            lost(value, now.get(key, "gone"), f"{where}.{key}") for key, value in then.items()
        ]
        return [one for found in inner for one in found]
    if isinstance(then, list) and isinstance(now, list) and len(then) == len(now):
        pairs = enumerate(zip(then, now, strict=True))
        inner = [lost(*pair, f"{where}[{place}]") for place, pair in pairs]
        return [one for found in inner for one in found]
    if isinstance(then, float) and isinstance(now, float):
        return [] if math.isclose(then, now, rel_tol=1e-9) else [where]
    return [] if then == now else [where]


def test_what_is_lost_is_named() -> None:
    assert lost({"a": 1, "b": [1]}, {"a": 1, "b": [1], "c": 2}) == []
    assert lost({"a": {"b": 1}}, {"a": {}}) == [".a.b"]
    assert lost([1, 2], [1]) == [""]


def test_the_changelog_names_the_formats() -> None:
    for name in (JOB_FORMAT, SHEET_FORMAT, "bedplate-seal/1", "bedplate-gauges/1"):
        assert name in CHANGELOG
    versions = re.findall(r"^\| .* \| (\d+) \|$", CHANGELOG, re.M)
    assert versions == ["1"] * 5


def test_the_changelog_ends_with_the_version_that_this_is() -> None:
    from bedplate import __version__  # noqa: PLC0415 - the only use

    assert re.findall(r"^## (\d.*)$", CHANGELOG, re.M)[0] == __version__
