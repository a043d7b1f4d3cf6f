"""Which gauge a reading is on where none is named."""

from __future__ import annotations

from tiny import Tiny

from bedplate.assess.usual import usual_gauge
from bedplate.metrology.axes import Spot

SHEET = """
unit = "in"
[[component]]
id = "gear"
[[feature]]
tag = "H"
of = "gear"
nominal = "1.0000"
gauge = "micrometer"
[[feature]]
tag = "O"
of = "gear"
nominal = "1.5000"
"""
MIC1 = {"kind": "micrometer", "range": "0..1 in"}
MIC2 = {"kind": "micrometer", "range": "25..50 mm"}
DEPTH = {"kind": "depth micrometer", "range": "0..2 in"}


def test_the_only_one_of_the_kind_that_covers_the_nominal_is_taken() -> None:
    found = usual_gauge(Tiny(SHEET).job, Spot("H"), {"mic1": MIC1, "depth1": DEPTH}, {})
    assert found == ("mic1", "the only micrometer that covers the nominal")


def test_between_two_nothing_is_guessed() -> None:
    job = Tiny(SHEET).job
    assert usual_gauge(job, Spot("H"), {"mic1": MIC1, "mic2": MIC2}, {}) is None


def test_the_usual_one_for_a_range_of_nominals_comes_next() -> None:
    job = Tiny(SHEET).job
    usual = {"in 0..1": "mic1", "in 1.01..2": "mic2"}
    assert usual_gauge(job, Spot("O"), {"mic1": MIC1, "mic2": MIC2}, usual) == (
        "mic2",
        "the usual one",
    )
    assert usual_gauge(job, Spot("O"), {}, {}) is None
