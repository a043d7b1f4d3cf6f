"""Stages of tightening: what is judged, and what is only a setting to reach."""

from __future__ import annotations

import pytest

from bedplate.assembly.stages import judge_stage, judged, read_reached, stage_limits, stage_of
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Fasteners, State
from bedplate.sheet import model

BAND = model.Limits(limits="16..18 lbf*ft")
SETTING = model.Limits(limits="60 N*m")
ANGLE = model.Limits(limits="60..65 degree")
LEAST = model.Limits(limits="40.. N*m")
MOST = model.Limits(limits="..40 N*m")
SET = model.Fasteners(tag="M", stages=(SETTING, BAND, ANGLE))


@pytest.mark.parametrize(
    ("limits", "value", "verdict", "side"),
    [
        (BAND, "16 lbf*ft", "in", None),
        (BAND, "18 lbf*ft", "in", None),
        (BAND, "15.9 lbf*ft", "out", "low"),
        (BAND, "18.1 lbf*ft", "out", "high"),
        (BAND, "23 N*m", "in", None),
        (BAND, "25 N*m", "out", "high"),
        (BAND, "16..17 lbf*ft", "in", None),
        (BAND, "15..17 lbf*ft", "out", "low"),
        (BAND, "17..19 lbf*ft", "out", "high"),
        (BAND, "17.. lbf*ft", "out", "high"),
        (BAND, None, "not read", None),
        (SETTING, "12 N*m", "not judged", None),
        (SETTING, None, "not read", None),
        (ANGLE, "62 degree", "in", None),
        (ANGLE, "1/6 turn", "in", None),
        (ANGLE, "2 flats", "out", "high"),
        (LEAST, "39 N*m", "out", "low"),
        (LEAST, "400 N*m", "in", None),
        (MOST, "41 N*m", "out", "high"),
        (MOST, "4 N*m", "in", None),
    ],
)
def test_what_was_reached_is_held_against_the_stage(
    limits: model.Limits, value: str | None, verdict: str, side: str | None
) -> None:
    found = judge_stage(limits, value)
    assert (found.verdict, found.side) == (verdict, side)


def test_a_bare_figure_takes_the_unit_of_its_stage() -> None:
    assert read_reached("17", BAND).text == "17 lbf*ft"
    assert read_reached("62", ANGLE).text == "62 degree"
    assert read_reached("30", None).text == "30 N*m"
    assert read_reached("62 degree", None).unit == "degree"


def test_an_angle_is_not_reached_by_a_torque() -> None:
    with pytest.raises(NotUnderstoodError):
        read_reached("62 N*m", ANGLE)
    with pytest.raises(NotUnderstoodError):
        read_reached("62 degree", SETTING)


def test_a_stage_is_a_torque_or_an_angle() -> None:
    assert stage_limits(BAND).kind == "torque"
    assert stage_limits(ANGLE).kind == "angle"
    with pytest.raises(
        NotUnderstoodError, match=r"A stage is a torque or an angle, not 2\.\.3 mm\."
    ):
        stage_limits(model.Limits(limits="2..3 mm"))
    with pytest.raises(NotUnderstoodError):
        stage_limits(model.Limits(limits="3 mm"))


def test_without_a_number_the_last_stage_is_meant() -> None:
    assert stage_of(SET, None) == ANGLE
    assert stage_of(SET, 1) == SETTING
    assert stage_of(SET, 4) is None
    assert stage_of(model.Fasteners(tag="P"), None) is None


@pytest.mark.parametrize(
    ("state", "stage", "verdict"),
    [("tight", 2, "out"), ("again", 2, "out"), ("locked", None, None), ("removed", None, None)],
)
def test_only_what_tightens_is_judged(
    state: State, stage: int | None, verdict: str | None
) -> None:
    found = judged(SET, Fasteners(set="M", state=state, stage=stage, value="70 N*m"))
    assert (found.verdict if found is not None else None) == verdict
