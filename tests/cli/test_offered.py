"""What a recording command lists when it is given nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from typist import PUMP, Typist

SPARES = """
[[component]]
id = "seal"
renew = true
[[fasteners]]
tag = "K"
lock = "wire"
spends = { locked = { "lock wire" = 2 } }
[[proof]]
tag = "DRY"
text = "No leak"
"""


@pytest.fixture
def pump(typist: Typist) -> Typist:
    """Return somebody beside a pump that has nothing recorded yet."""
    Path("pump.toml").write_text(PUMP + SPARES, "utf-8")
    typist.type("open pump --sheet pump.toml")
    return typist


def test_proofs_are_listed_with_how_they_stand(pump: Typist) -> None:
    before = pump.data
    answer = pump.type("prove")
    assert answer.out == ["DRY  not made"]
    assert answer.err == ["Type:  bedplate prove DRY pass"]
    pump.done("prove DRY pass")
    assert {"proof": "DRY", "state": "passed"} in pump.document("prove")["proofs"]
    assert pump.data.startswith(before)
    assert pump.refused("prove DRY") == [
        "Not recorded. How did it come out?", "  Type:  bedplate prove DRY pass",
    ]  # fmt: skip


def test_what_is_used_up_is_listed_with_what_is_left(pump: Typist) -> None:
    pump.done('use "lock wire" --count 3')
    left = {row["part"]: row["left"] for row in pump.document("use")["parts"]}
    assert (left["lock wire"], left["seal"]) == (3, 0)
    assert "lock wire  3 left" in pump.type("use").out


def test_what_waits_is_listed(pump: Typist) -> None:
    assert pump.type("settle").out == ["Nothing was put off, and no finding asks for an answer."]
    pump.done('defer paint --until "first run" --why weather')
    pump.done("inspect body crack --severity reject", "inspect body dull")
    assert pump.document("settle")["open"] == [
        {"entry": 2, "text": "paint"}, {"entry": 3, "text": "crack"},
    ]  # fmt: skip
    assert pump.type("settle").err == ["Type:  bedplate settle 2 --how ANSWER"]


def test_what_is_in_the_way_is_listed_to_be_conceded(pump: Typist) -> None:
    assert pump.document("concede")["blockers"] == pump.document("status")["blockers"]
    assert pump.type("concede").err == [
        "Type:  bedplate concede EC.driver --accepted-by NAME --why REASON"
    ]


@pytest.mark.parametrize(
    ("command", "typed"), [("change", "reworked|new|moved|found"), ("inspect", "TEXT")]
)
def test_parts_are_listed_with_what_sits_there(pump: Typist, command: str, typed: str) -> None:
    pump.done("change gear new --mark C", "change gear.idler moved --from gear.driver")
    answer = pump.type(command)
    assert "gear.driver  stands empty" in answer.out
    assert "gear.idler   gear.driver" in answer.out
    assert "C            spare" in answer.out
    assert answer.err == [f"Type:  bedplate {command} body {typed}"]
    assert {"place": "gear.driver", "part": None} in pump.document(command)["places"]
    assert {"place": None, "part": "C"} in pump.document(command)["places"]


def test_the_latest_entries_and_readings_are_listed(pump: Typist) -> None:
    pump.done("measure D 1.0031", "note dull", "measure BL 5thou", "strike 4 --why slip")
    assert [row["entry"] for row in pump.document("strike")["latest"]] == [3, 2]
    assert [row["entry"] for row in pump.document("correct")["latest"]] == [2]
    assert pump.type("correct").err == ["Type:  bedplate correct 2 VALUE"]
    assert pump.type("strike").err == ["Type:  bedplate strike 3 --why slip"]
    assert pump.refused("correct 2") == [
        "Not recorded. There is no value.", "  Type:  bedplate correct 2 VALUE",
    ]  # fmt: skip


def test_a_setting_without_a_gauge_lists_the_gauges(pump: Typist) -> None:
    pump.done("gauge add mic1 --resolution '1 tenth'")
    assert pump.type("gauge set").out == pump.type("gauge list").out
    assert pump.refused("gauge set mic1") == [
        "Not recorded. What did mic1 show?", "  Type:  bedplate gauge set mic1 SHOWN --on SIZE",
    ]  # fmt: skip


def test_the_rows_of_a_sheet_are_listed_to_be_amended(pump: Typist) -> None:
    assert "EC      end clearance" in pump.type("amend fit").out
    found = pump.document("amend fit")
    assert found["format"] == "bedplate-out-amend-fit/1"
    assert found["rows"][0]["name"] == "EC"
    assert pump.document("amend axis")["rows"][0] == {"name": "gear", "title": "driver, idler"}
    assert pump.type("amend size").out == ["The sheet has none."]
    assert pump.type("amend fit").err == ["Type:  bedplate amend fit EC ... --why REASON"]
