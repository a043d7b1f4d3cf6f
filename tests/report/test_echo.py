"""Readings as they were typed, and what they come to."""

from __future__ import annotations

import pytest

from bedplate.record.entries import Reading
from bedplate.report.echo import reading_shown


@pytest.mark.parametrize(
    ("value", "nominal", "shown"),
    [
        ("0.7500 in", None, "0.7500 in"),
        (".7503 in", None, ".7503 in"),
        ("-0.002 mm", None, "-0.002 mm"),
        ("+0.040mm", None, "+0.040mm"),
        ("19,057 mm", None, "19,057 mm"),
        ("3/8in", None, "3/8in (0.3750)"),
        ("1 3/8 in", None, "1 3/8 in (1.3750)"),
        ("0.700 in+0.0503 in", None, "0.700 in+0.0503 in (0.7503)"),
        ("0.700 in+3 tenths", None, "0.700 in+3 tenths (0.7003)"),
        ("4..5 thou", None, "4..5 thou"),
        ("..1.5 thou", None, "..1.5 thou"),
        ("+0.0003 in", "1.0000 in", "+0.0003 in from 1.0000 in (1.0003 in)"),
        ("-3 tenth", "0.7000 in", "-3 tenth from 0.7000 in (0.6997 in)"),
        ("-0.002..+0.003 mm", "48.000 mm", "-0.002..+0.003 mm from 48.000 mm"),
        ("17.5 lbf*ft", None, "17.5 lbf*ft"),
    ],
)
def test_a_reading_is_echoed_as_typed_and_in_full_where_that_says_more(
    value: str, nominal: str | None, shown: str
) -> None:
    assert reading_shown(Reading(address="D", value=value, nominal=nominal)) == shown


def test_what_was_left_out_says_so() -> None:
    assert reading_shown(Reading(address="D", left_out="worn away")) == "left out"
