"""How sets, entries and times are called."""

from __future__ import annotations

import datetime as dt

import pytest
from shop import CET
from tiny import sheet_of

from bedplate.assembly.words import called, clock, fastener_word, plural, title_of
from bedplate.sheet.layout import Layout
from bedplate.text import shell

LAYOUT = Layout(
    sheet_of(
        """
[axes]
main = ["1", "2"]
[[fasteners]]
tag = "M"
name = "Main cap bolts"
positions = "main"
[[fasteners]]
tag = "N"
[[fasteners]]
tag = "T"
name = "TDC plug"
[[proof]]
tag = "SPIN"
text = "Turns freely"
"""
    )
)


def test_a_name_begins_small_inside_a_sentence() -> None:
    assert called(LAYOUT, "M", ("2",)) == "M.2 (main cap bolts)"
    assert called(LAYOUT, "T") == "T (TDC plug)"
    assert called(LAYOUT, "N") == "N"
    assert title_of(LAYOUT, "SPIN") == "turns freely"


@pytest.mark.parametrize(("tag", "word"), [("M", "bolt "), ("N", ""), ("T", "")])
def test_one_fastener_is_called_by_the_last_word_of_its_set(tag: str, word: str) -> None:
    assert fastener_word(LAYOUT, tag) == word


def test_a_time_of_today_needs_no_day() -> None:
    now = dt.datetime(2025, 11, 24, 14, 0, tzinfo=CET)
    assert clock(now - dt.timedelta(hours=1), now) == "13:00"
    assert clock(now - dt.timedelta(days=21), now) == "3 Nov 2025 14:00"
    # It is shown by the clock it was written with; the day is that of the same clock.
    assert clock(dt.datetime(2025, 11, 24, 12, 30, tzinfo=dt.UTC), now) == "12:30"


def test_things_are_counted_in_plain_words() -> None:
    assert [plural("tab washer", 1), plural("tab washer", 2)] == ["tab washer", "tab washers"]
    assert plural("glass", 2) == "glass"


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("gasket", "gasket"),
        ("tab washer", '"tab washer"'),
        ('3/8" pin', '"3/8\' pin"'),
        ("@odd", '"@odd"'),
        ("-odd", '"-odd"'),
        ("10 h", '"10 h"'),
        ("", '""'),
    ],
)
def test_a_text_becomes_one_word_of_a_command(text: str, word: str) -> None:
    assert shell(text) == word
