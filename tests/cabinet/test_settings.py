"""The rules of settings: each has one, each value built in keeps it."""

from __future__ import annotations

from dataclasses import fields
from fractions import Fraction

import pytest

from bedplate.cabinet.settings import RULES, USUAL, YES_NO, Interval, Settings


def test_every_setting_has_its_rule() -> None:
    assert [*RULES, USUAL, "sources"] == [each.name for each in fields(Settings)]


def test_every_value_built_in_keeps_its_rule() -> None:
    for key, rule in RULES.items():
        value = getattr(Settings(), key)
        if rule is YES_NO:
            assert value is False
        else:
            assert value is None or rule.allows(value)


@pytest.mark.parametrize("key", RULES)
def test_every_rule_tells_what_it_allows(key: str) -> None:
    rule = RULES[key]
    assert all(rule.allows(choice) for choice in rule.choices)
    assert not rule.shape or all(rule.allows(like) for like in rule.like.split("   "))
    assert not rule.allows("")
    assert not rule.allows("\n")


HOURS = Fraction(3600)


@pytest.mark.parametrize(
    ("text", "interval"),
    [
        ("4 h", Interval(4 * HOURS, None)),
        ("30min", Interval(HOURS / 2, None)),
        ("1.5 h", Interval(HOURS * 3 / 2, None)),
        ("0.5 h", Interval(HOURS / 2, None)),
        ("50 readings", Interval(None, 50)),
        ("1 reading", Interval(None, 1)),
        ("50readings", Interval(None, 50)),
        ("4 h or 50 readings", Interval(4 * HOURS, 50)),
        ("50 readings or 30 min", Interval(HOURS / 2, 50)),
    ],
)
def test_a_zero_check_is_due_after_a_time_a_number_of_readings_or_whichever_is_first(
    text: str, interval: Interval
) -> None:
    assert RULES["zero_check_after"].allows(text)
    assert Settings(zero_check_after=text).zero_check == interval


@pytest.mark.parametrize(
    "text",
    ["4", "h", "0 min", "0.0 h", "0 readings", "-4 h", "1.5 readings", "4 h 50 readings", "4 h or",
     "4 h or 2 h", "5 readings or 6 readings", "readings", "4 H", "4 h or 50 readings or 6 min",
     "4 h\n", "１ h", "1234567 readings"],
)  # fmt: skip
def test_nothing_else_is_an_interval(text: str) -> None:
    assert not RULES["zero_check_after"].allows(text)
