"""Which gauge a reading is on: the one named at the bench, else the one it surely is on."""

from __future__ import annotations

from bench_session import SMALL
from tiny import Tiny

from bedplate.cli.bench.choice import Choice, covering
from bedplate.metrology.axes import Spot

H, H2 = Spot("H", ("driver",), ("a",)), Spot("H", ("idler",), ("b",))
D, BL = Spot("D"), Spot("BL")
MIC = {"kind": "micrometer", "range": "0..2 in"}
DEPTH = {"kind": "depth micrometer", "range": "0..2 in"}
JOB = Tiny(SMALL).job


def test_it_is_the_only_one_of_the_kind_that_covers_the_nominal() -> None:
    choice = Choice({"mic1": MIC, "depth1": DEPTH}, {})
    assert [choice.of(JOB, spot) for spot in (H, D, BL)] == ["mic1", "depth1", None]


def test_between_two_nothing_is_guessed() -> None:
    assert Choice({"mic1": MIC, "mic2": MIC}, {}).of(JOB, H) is None


def test_one_named_holds_for_all_that_is_read_on_such_a_one() -> None:
    choice = Choice({"mic1": MIC, "depth1": DEPTH}, {})
    choice.name(JOB, H, "mic9")
    assert [choice.of(JOB, spot) for spot in (H, H2, D)] == ["mic9", "mic9", "depth1"]
    choice.name(JOB, H2, None)
    assert choice.of(JOB, H) is None


def test_one_named_is_not_taken_for_what_lies_outside_its_range() -> None:
    job = Tiny(SMALL.replace('nominal = "1.0030"\ngauge = "depth micrometer"',
                             'nominal = "1.5030"\ngauge = "micrometer"')).job  # fmt: skip
    low, high = {**MIC, "range": "0..1 in"}, {**MIC, "range": "1..2 in"}
    choice = Choice({"low": low, "high": high, "bare": {"kind": "micrometer"}}, {})
    for name, there in (("low", "high"), ("high", "high"), ("bare", "bare"), ("lent", "lent")):
        choice.name(job, H, name)
        assert (choice.of(job, H), choice.of(job, D)) == (name, there)
    choice.name(job, H, None)
    assert choice.of(job, D) is None
    choice.name(job, D, "low")
    assert choice.of(job, D) == "low"


def test_a_micrometer_to_set_a_gauge_in_covers_the_nominal() -> None:
    small, other = {"kind": "micrometer", "range": "0..0.5 in"}, {"kind": "dial"}
    cabinet = {"small": small, "depth1": DEPTH, "dial": other, "mic1": MIC}
    assert covering(JOB, H, cabinet) == "mic1"
    assert covering(JOB, BL, cabinet) is None
    assert (
        covering(JOB, H, {"bore": {**MIC, "reads": "differences"}, "mic3": {"kind": "x"}}) is None
    )
