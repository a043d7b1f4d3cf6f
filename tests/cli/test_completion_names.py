"""Names of the job at hand: read as plain data, silent where a file is not what it should be."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from bench_session import CRANK, PUMP, add_gauge, opened, run

from bedplate.cli.completion import jobs, offered
from bedplate.cli.completion_line import wanted, words_in
from bedplate.cli.completion_names import MOST_PLACES, Names, job_at_hand
from bedplate.record.job import fold
from bedplate.record.jobfile import read_job_file
from bedplate.sheet.layout import joined


def tab(line: str) -> list[str]:
    """Return what is offered for a line."""
    asked = wanted(*words_in(line))
    assert asked is not None
    return offered(asked)


@pytest.fixture
def pump() -> Path:
    return opened(PUMP, "pump")


@pytest.mark.parametrize(
    ("line", "names"),
    [
        ("bedplate measure H.i", ["H.idler@"]),
        ("bedplate measure h.I", ["H.idler@"]),
        ("bedplate measure H.idler@", ["H.idler@a", "H.idler@b", "H.idler@c"]),
        ("bedplate measure H.idler@b", ["H.idler@b"]),
        ("bedplate measure RP", ["RP"]),
        ("bedplate measure BL", ["BL@"]),
        ("bedplate measure RP@", []),
        ("bedplate measure nothing@", []),
        ("bedplate bench ga", ["gasket"]),
        ("bedplate bench gear", ["gear.driver", "gear.idler", "gears-in"]),
        ("bedplate check ", ["EC", "DC", "LASH", "RELIEF"]),
        ("bedplate fasten ", ["N"]),
        ("bedplate prove S", ["SPIN"]),
        ("bedplate done c", ["cover-off", "close"]),
        ("bedplate decide gear.d", ["gear.driver"]),
        ("bedplate decide gear.driver re", ["reuse", "rework", "replace"]),
        ("bedplate use ", ["gasket", "tab washer"]),
        ("bedplate defer x --until ", ["handover", "first run", "10 h"]),
        ("bedplate inspect body x --back cl", ["close"]),
        ("bedplate amend axis ", ["gear", "tooth", "clock"]),
        ("bedplate amend feature B", ["B", "BL"]),
        ("bedplate measure EC 1 --job=pu", ["--job=pump"]),
        ("bedplate strike l", ["last"]),
        ("bedplate note te", []),
    ],
)
def test_names_of_the_pump(pump: Path, line: str, names: list[str]) -> None:
    assert tab(line) == names


@pytest.mark.parametrize("sheet", [PUMP, CRANK])
def test_every_reading_there_is_can_be_reached_and_no_other(sheet: Path) -> None:
    path = opened(sheet, "job")
    layout = fold(read_job_file(path).entries).layout
    real = {str(spot) for tag in layout.names("feature") for spot in layout.select(tag).spots}
    names = Names(path)
    found = set()
    for place in names.readings(""):
        found |= set(names.readings(place)) if place.endswith("@") else {place}
    assert found == real


@pytest.mark.parametrize("noun", ["component", "fasteners", "proof", "step"])
def test_every_place_there_is_is_offered(noun: str) -> None:
    path = opened(CRANK, "job")
    layout = fold(read_job_file(path).entries).layout
    real = [
        joined(name, position)
        for name in layout.names(noun)
        for position in layout.select(name, noun).positions
    ]
    assert Names(path).places(noun) == real


def test_what_was_added_to_the_sheet_is_offered_too(pump: Path) -> None:
    run("add", "feature", "W", "--of", "cover", "--name", "wall")
    assert tab("bedplate measure W") == ["W"]


def test_gauges_come_from_the_job_and_the_cabinet(pump: Path) -> None:
    add_gauge("mic1")
    add_gauge("mic2")
    run("measure", "H.driver@a", "1.0001", "-g", "mic1")
    (Path.cwd().parent / "home" / "gauges.toml").unlink()
    add_gauge("mic3")
    assert tab("bedplate measure H.driver@b 1 -g ") == ["mic1", "mic3"]


def test_of_very_many_places_the_feature_comes_first(tmp_path: Path) -> None:
    number = MOST_PLACES + 1
    sheet = {
        "axes": {"tooth": [str(n) for n in range(number)]},
        "component": [{"id": "wheel", "positions": "tooth"}],
        "feature": [{"tag": "T", "of": "wheel"}, {"tag": "D", "of": "wheel", "positions": ""}],
    }
    path = tmp_path / "many.job.jsonl"
    line = json.dumps({"n": 1, "kind": "opened", "sheet": sheet}, separators=(",", ":"))
    path.write_text(line + "\n", "utf-8")
    names = Names(path)
    assert names.readings("") == ["T.", "D"]
    assert names.readings("T.6") == [*(f"T.{n}" for n in range(number)), "D"]
    assert names.places("component") == ["wheel."]


@pytest.mark.parametrize("content", [b"", b"not json\n", b'{"kind":"opened"}\n', b"\xff\xfe\n"])
def test_a_file_that_is_no_job_offers_nothing(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.job.jsonl"
    path.write_bytes(content)
    assert Names(path).readings("") == []


def test_which_job_it_is(pump: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert job_at_hand(None) == Path("pump.job.jsonl")
    assert job_at_hand("pump") == Path("pump.job.jsonl")
    assert job_at_hand(".") == Path("pump.job.jsonl")
    assert job_at_hand("head") is None
    Path("head.job.jsonl").touch()
    assert job_at_hand(None) is None
    assert jobs("") == ["head", "pump"]
    monkeypatch.setenv("BEDPLATE_JOB", "pump.job.jsonl")
    assert job_at_hand(None) == Path("pump.job.jsonl")
    assert tab("bedplate check E") == ["EC"]
    assert tab("bedplate --job head check E") == []
