"""The rules of settings: each has one, each value built in keeps it."""

from __future__ import annotations

from dataclasses import fields
from fractions import Fraction

import pytest

from bedplate.cabinet.settings import RULES, USUAL, YES_NO, Settings


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
    assert not rule.shape or rule.allows(rule.like)
    assert not rule.allows("")
    assert not rule.allows("\n")


@pytest.mark.parametrize(
    ("text", "seconds"), [("4 h", 14400), ("30min", 1800), ("1.5 h", 5400), ("0 min", 0)]
)
def test_a_time_is_read_exactly(text: str, seconds: int) -> None:
    assert Settings(zero_check_after=text).zero_check_seconds == Fraction(seconds)
