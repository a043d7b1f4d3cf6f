"""Times and temperatures as people type them."""

from __future__ import annotations

import datetime as dt

import pytest

from bedplate.cli import context
from bedplate.cli.times import done_at, some_time, temperature
from bedplate.errors import NotUnderstoodError


def here(naive: str) -> str:
    """Return a time of this machine's, with the offset that it had then."""
    return dt.datetime.fromisoformat(naive).astimezone().isoformat()


NOW = dt.datetime(2025, 11, 24, 15, 40, tzinfo=dt.timezone(dt.timedelta(hours=1)))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        (None, None),
        ("14:52", "2025-11-24T14:52:00+01:00"),
        ("2025-11-23", here("2025-11-23T00:00:00")),
        ("2025-11-23 09:05", here("2025-11-23T09:05:00")),
        ("23 Nov 2025 09:05", here("2025-11-23T09:05:00")),
        ("2025-11-24T13:00:00Z", "2025-11-24T13:00:00+00:00"),
    ],
)
def test_a_time_is_kept_with_its_offset(typed: str | None, kept: str | None) -> None:
    assert done_at(typed, NOW) == kept


def test_what_is_still_to_come_was_not_done() -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        done_at("16:00", NOW)
    assert refused.value.message == 'Not recorded. "16:00" is still to come.'
    assert some_time("16:00", NOW) == "2025-11-24T16:00:00+01:00"


def test_what_is_no_time_is_said_with_what_is() -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        done_at("after lunch", NOW)
    assert refused.value.as_lines() == [
        'Not recorded. "after lunch" is no time.',
        '  Type:  --at 14:52   or   --at "2025-11-24 14:52"',
    ]
    assert some_time("the owner", NOW) is None


def test_a_temperature_keeps_its_unit() -> None:
    assert temperature("24degC") == "24degC"
    assert temperature(None) is None


def test_a_bare_temperature_takes_the_unit_of_the_settings_and_needs_one() -> None:
    with pytest.raises(NotUnderstoodError):
        temperature("24")
    context.cabinet().keep_setting("temperature", "C")
    assert temperature("24") == "24 degC"
