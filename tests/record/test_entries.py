from __future__ import annotations

import subprocess
import sys

import pytest
from pydantic import ValidationError

from bedplate.record.entries import (
    KINDS,
    Changed,
    Entry,
    GaugeDescribed,
    Reading,
    Signed,
    Step,
    adapter,
)

OWN_FIELDS = {
    "opened": "format job customer machine serial hours asked previous sheet",
    "sheet-revised": "what why sheet",
    "gauge": "gauge",
    "setting": "gauge shown reference in",
    "reading": "address value left_out nominal gauge temp gauge_temp on kept",
    "finding": "place severity how back",
    "disposition": "component decision why extra",
    "changed": "component how touching size mark from number shop",
    "fasteners": "set state count stage value gauge trial",
    "proof": "proof passed",
    "step": "step done",
    "part-used": "part count number maker batch",
    "deferred": "until holds why",
    "settled": "entry how",
    "concession": "what accepted_by why",
    "attachment": "file name sha256 place",
    "strike": "entry why",
    "set-aside": "bytes sha256",
    "signed": "sealed signature key",
    "reopened": "why",
}


def keys_of(model: type[Entry]) -> list[str]:
    return [field.alias or name for name, field in model.model_fields.items()]


def test_there_are_twenty_kinds() -> None:
    assert list(KINDS) == list(OWN_FIELDS)
    assert len(KINDS) == 20


@pytest.mark.parametrize("kind", OWN_FIELDS)
def test_the_fields_of_a_kind_stand_in_the_documented_order(kind: str) -> None:
    closing = ["note", "done_at", "from_file", "taken", "prev"]
    if kind == "signed":
        closing = ["prev"]
    assert keys_of(KINDS[kind]) == ["n", "at", "by", "kind", *OWN_FIELDS[kind].split(), *closing]


def test_a_proposed_entry_is_made_with_its_own_fields_alone() -> None:
    reading = Reading(address="H.idler@b", value="0.7503 in")
    assert (reading.n, reading.at, reading.by, reading.prev) == (0, "", "", "")
    assert reading.kind == "reading"
    assert reading.gauge is None


def test_an_entry_cannot_be_changed() -> None:
    step = Step(step="cover-on", done=True)
    with pytest.raises(ValidationError):
        step.done = False  # type: ignore[misc]
    assert step.done


@pytest.mark.parametrize("given", [{}, {"value": "1 in", "left_out": "no access"}])
def test_a_reading_has_a_value_or_the_reason_for_none(given: dict[str, str]) -> None:
    with pytest.raises(ValidationError, match="without one of value and left_out, or with both"):
        Reading.model_validate({"address": "D", **given})


def test_a_list_with_nothing_in_it_is_no_value() -> None:
    with pytest.raises(ValidationError):
        Reading(address="D", value="1 in", on=())
    with pytest.raises(ValidationError):
        Changed(component="gear.idler", how="reworked", touching=())


def test_a_gauge_begins_with_its_name_and_has_only_known_keys() -> None:
    assert GaugeDescribed(gauge={"name": "mic1", "reads": "differences"}).gauge["name"] == "mic1"
    with pytest.raises(ValidationError, match="does not begin with its name"):
        GaugeDescribed(gauge={"kind": "micrometer", "name": "mic1"})
    with pytest.raises(ValidationError, match="does not begin with its name"):
        GaugeDescribed(gauge={})
    with pytest.raises(ValidationError):
        GaugeDescribed(gauge={"name": "mic1", "colour": "red"})  # type: ignore[dict-item]


@pytest.mark.parametrize(
    ("kind", "own"),
    [
        ("finding", {"severity": "grave"}),
        ("disposition", {"component": "body", "decision": "keep", "why": "sound"}),
        ("changed", {"component": "body", "how": "mended"}),
        ("fasteners", {"set": "N", "state": "loose"}),
        ("fasteners", {"set": "N", "state": "tight", "count": True}),
        ("fasteners", {"set": "N", "state": "tight", "stage": "2"}),
        ("step", {"step": "cover-on", "done": 1}),
        ("strike", {"entry": 0, "why": "slip"}),
        ("signed", {"sealed": "x", "signature": "0" * 128, "key": "0" * 64, "note": "n"}),
    ],
)
def test_a_word_or_figure_that_a_kind_does_not_have_is_refused(
    kind: str, own: dict[str, object]
) -> None:
    with pytest.raises(ValidationError):
        KINDS[kind].model_validate(own)


def test_a_signed_entry_has_no_note() -> None:
    assert "note" not in Signed.model_fields


def test_the_adapter_is_built_once() -> None:
    assert adapter() is adapter()


def test_importing_the_kinds_builds_no_validator() -> None:
    code = (
        "from bedplate.record.entries import KINDS\n"
        "built = [k for k, m in KINDS.items() if m.__pydantic_complete__]\n"
        "print(built)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert done.stdout == "[]\n"
