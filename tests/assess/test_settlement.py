"""A settlement that grew with its job is the one that is made of the whole job anew."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_jobs import Writer

from bedplate.assess.estimates import Readings
from bedplate.assess.fits import Assessment
from bedplate.assess.rows import as_row
from bedplate.record.entries import AnyEntry, adapter
from bedplate.record.job import Job, extended, fold


def entries_of(seed: int) -> list[AnyEntry]:
    """Return a job at random: settings, strikes, spares, changed parts, gauges described again."""
    return [
        adapter().validate_json(json.dumps({**entry, "prev": "0" * 64}))
        for entry in Writer(seed).write()
    ]


def figures(job: Job) -> dict[str, Any]:
    """Return all that a job's readings come to, every figure exact."""
    readings = Readings(job)
    settled = readings.settled
    estimates = {n: settled.estimate(n) for n in settled.numbers}
    return {
        "estimates": {
            n: (e.low, e.high, e.entries, {d: (c, e.variances[d]) for d, c in e.draws.items()})
            for n, e in estimates.items()
        },
        "bases": {n: settled.basis(n) for n in settled.numbers},
        "waiting": dict(settled.waiting),
        "pools": settled.pools,
        "typed": readings.typed,
        "gauges": readings.gauges,
    }


def rows_of(job: Job) -> list[dict[str, Any]]:
    """Return every fit as it stands, as left and as found."""
    return [as_row(result) for result in Assessment(job).fits(both=True)]


def hold_grown(seed: int, asked: int, rows: int) -> None:
    """Hold a job grown entry by entry against one folded anew, now and then; its fits rarer."""
    entries = entries_of(seed)
    job = fold(entries[:1])
    for number, entry in enumerate(entries[1:], start=2):
        job = extended(job, [entry])
        last = number == len(entries)
        if last or number % asked == 0:
            anew = fold(entries[:number])
            assert figures(job) == figures(anew)
            if last or number % (asked * rows) == 0:
                assert rows_of(job) == rows_of(anew)


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 2**32), st.integers(10, 20))
def test_grown_entry_by_entry_it_is_the_settlement_of_the_whole(seed: int, asked: int) -> None:
    hold_grown(seed, asked, rows=3)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100))
def test_of_a_hundred_jobs_each_is_the_settlement_of_the_whole(seed: int) -> None:
    hold_grown(seed, 1 + seed % 15, rows=1)


@settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 2**32))
def test_what_an_address_has_measured_is_what_it_touches_without_what_waits(seed: int) -> None:
    entries = entries_of(seed)
    job = fold(entries[: len(entries) * 2 // 3])
    for spot in dict.fromkeys(taken.spot for taken in job.all_readings):
        touched = [fit for fit in Assessment(job).touched_by([spot]) if fit.measured]
        assert Assessment(job).measured_by([spot]) == touched
