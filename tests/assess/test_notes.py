"""What is said beside a fit: what was assumed, what waits, what would settle it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

SHEET = """
unit = "in"
source = "Invented handbook"
[axes]
end = ["a", "b", "c"]
[[component]]
id = "ring"
material = "bronze"
[[component]]
id = "gear"
material = "steel"
[[component]]
id = "plate"
[[feature]]
tag = "R"
of = "ring"
[[feature]]
tag = "H"
of = "gear"
[[feature]]
tag = "EF"
of = ["gear", "ring"]
[[feature]]
tag = "P"
of = "plate"
stations = "end"
[[feature]]
tag = "W"
of = "gear"
unit = "g"
[[fit]]
tag = "EC"
stack = "R - H"
band = { limits = "2..4 thou", source = "p. 31" }
[[fit]]
tag = "FLOAT"
stack = "EF"
band = { limits = "2..4 thou" }
[[fit]]
tag = "FLAT"
spread = "P"
along = "end"
band = { limits = "..4 thou" }
[[fit]]
tag = "WEIGHT"
stack = "W"
band = { limits = "410..415 g" }
"""
COOL = "no temperature given: taken as 20 degC, and not in U"
TYPED = "U from typed digits only"
COARSE = "this gauge is coarse for this band"
NEITHER = "neither more repeats nor a gauge of less maximum error alone would settle it"
FULL = {"resolution": "1 tenth", "repeatability": "0.5 tenth"}


@pytest.fixture
def ring() -> Tiny:
    job = Tiny(SHEET)
    job.describe(name="mic1", **FULL)
    job.describe(name="mic2", resolution="1 tenth")
    job.describe(name="plain", kind="micrometer")
    job.describe(name="warm", expansion="10e-6", **FULL)
    job.describe(name="scale1", resolution="0.1 g", repeatability="0.1 g")
    return job


def notes(job: Tiny, fit: str) -> list[str]:
    return list(job.fit(fit).notes)


# ---- gauges


def test_a_described_gauge_at_20_degrees_needs_no_word(ring: Tiny) -> None:
    ring.say("W 412.5 on scale1")
    assert notes(ring, "WEIGHT") == []


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        ("", "", TYPED),
        (" on plain", "", TYPED),
        (" on mic1", "", "for some readings U is from typed digits only"),
        (" on mic1", " on plain", "for some readings U is from typed digits only"),
    ],
)
def test_what_rests_on_typed_digits_is_said(ring: Tiny, one: str, other: str, said: str) -> None:
    ring.say(f"R 1.0031{one}", f"H 1.0001{other}")
    assert notes(ring, "EC") == [said, COOL]


def test_scatter_that_is_not_known_is_said_by_gauge(ring: Tiny) -> None:
    ring.describe(name="mic0", max_error="1 tenth")
    ring.say("R 1.0031 on mic2", "H 1.0001 on plain/mic0")
    assert notes(ring, "EC") == [
        "repeatability of mic0 not known: taken as 0",
        "repeatability of mic2 not known: taken as 0",
        COOL,
    ]


def test_scatter_found_from_repeats_is_known(ring: Tiny) -> None:
    ring.say("R 1.0030 1.0031 1.0029 1.0030 1.0031 1.0029 on mic2", "H 1.0001 on mic2")
    assert notes(ring, "EC") == [COOL]


def test_only_the_readings_of_the_fit_are_spoken_of(ring: Tiny) -> None:
    ring.say("R 1.0031 on mic1", "H 1.0001 on mic1", "P 0.5 0.5 0.5 on mic2")
    assert notes(ring, "EC") == [COOL]


# ---- temperature


def test_a_corrected_length_says_so_and_what_the_gauge_was_taken_for(ring: Tiny) -> None:
    ring.say("R 1.0031 on mic1 at 30C", "H 1.0001 on warm at 30C")
    assert notes(ring, "EC") == [
        "R corrected to 20 degC; the doubt of the temperature is not in U",
        "H corrected to 20 degC; the doubt of the temperature is not in U",
        "mic1 taken to grow as steel, 11.5e-6 per degC",
    ]


def test_of_one_reading_with_a_temperature_and_one_without_both_are_said(ring: Tiny) -> None:
    ring.say("R 1.0031 at 30C", "H 1.0001 on mic1")
    assert notes(ring, "EC") == [
        "for some readings U is from typed digits only",
        COOL,
        "R corrected to 20 degC; the doubt of the temperature is not in U",
        "the gauge taken to grow as steel, 11.5e-6 per degC",
    ]


def test_what_cannot_be_corrected_is_said(ring: Tiny) -> None:
    ring.say("EF 0.0031 on warm at 30C")
    assert notes(ring, "FLOAT") == [
        "EF not corrected to 20 degC: no one expansion is known for it",
    ]


def test_what_is_no_length_has_no_temperature(ring: Tiny) -> None:
    assert notes(ring.say("W 412.5 on scale1 at 30C"), "WEIGHT") == []


# ---- readings


def test_what_was_left_out_is_said_while_the_rest_is_awaited(ring: Tiny) -> None:
    ring.say("P@a 0.5 on mic1", "P@b left-out chipped")
    assert notes(ring, "FLAT") == [COOL, "left out: P@b"]


def test_a_reading_that_waits_for_a_setting_is_said_with_its_gauge(ring: Tiny) -> None:
    ring.say("H 1.0001 on mic1", "set mic2 shown 1.0001in on H", "R 1.0031 on mic1/mic2")
    ring.say("H 1.0002 on mic1 instead")
    assert ring.fit("EC").missing == ("R",)
    assert notes(ring, "EC") == [
        COOL,
        "entry 9 waits for a new setting of mic1/mic2: what entry 8 was set on has been struck",
    ]


# ---- verdict


def test_a_spread_not_above_its_u_cannot_be_told_from_none(ring: Tiny) -> None:
    """U = 2√(2·(0.01/12 + 0.0025)) = 0.1633 thou."""
    ring.say("P 0.5000 0.5001 0.5000 on mic1")
    assert notes(ring, "FLAT") == [COOL, "not above U: it cannot be told from none"]
    ring.say("P@b 0.5002 on mic1 instead")
    assert notes(ring, "FLAT") == [COOL]


def test_a_spread_that_is_just_its_u_cannot_be_told_either() -> None:
    job = Tiny(SHEET)
    job.describe(name="shop", kind="report", uncertainty="1 thou")
    job.say("P@a 0.5000 on shop", "P@b 0.5010 on shop", "P@c left-out chipped")
    fit = job.fit("FLAT")
    assert fit.variance is not None
    assert fit.loosest is not None
    assert (fit.loosest, fit.variance) == (Fraction(1), Fraction(1, 2))
    assert "not above U: it cannot be told from none" in fit.notes


def test_a_gauge_that_is_coarse_for_its_band_is_said(ring: Tiny) -> None:
    """Band 2 thou over 2U: coarse below 4, that is U above 0.25 thou; u² = 2·max_error²/3."""
    for name, error, coarse in (("m1", "1.5 tenth", False), ("m2", "1.6 tenth", True)):
        job = Tiny(SHEET).describe(name=name, max_error=error, resolution="0.01 tenth")
        job.say(f"R 1.0030 on {name}", f"H 1.0000 on {name}")
        assert (COARSE in job.fit("EC").notes) is coarse


def test_more_repeats_settle_a_close_call(ring: Tiny) -> None:
    """0.1 inside 4; d²/4 = 0.0025. Digits 0.001667, scatter 2·0.0025 = 0.005: k = 6."""
    ring.say("R 1.0039 on mic1", "H 1.0000 on mic1")
    assert notes(ring, "EC") == [COOL, "6 times the repeats now taken would settle it"]


def test_a_better_gauge_settles_a_close_call() -> None:
    """As in docs/measurement.md: √((0.0025 − 0.001667)/0.006667) = 0.353."""
    job = Tiny(SHEET).describe(
        name="mic1", resolution="1 tenth", max_error="1 tenth", repeatability="0 in"
    )
    job.say("R 1.0039 on mic1", "H 1.0000 on mic1")
    assert notes(job, "EC") == [
        COOL, "gauges with 0.353 times their maximum error would settle it",
    ]  # fmt: skip


def test_on_the_limit_neither_can_settle_it(ring: Tiny) -> None:
    ring.say("R 1.0040 on mic1", "H 1.0000 on mic1")
    assert notes(ring, "EC") == [COOL, NEITHER]


def test_both_ways_are_said_where_either_would_do() -> None:
    """d = 0.3: d²/4 = 0.0225. B = 2·0.01 = 0.02; M = 2·0.01/3; digits 0.001667; u² = 0.02833.

    Repeats: 0.0225 − 0.008333 = 0.014167, k = ⌈1.41⌉ = 2. Errors: 0.0225 − 0.021667 = 0.000833
    over 0.006667, root 0.353. Capability: 2/(4·0.1683) = 2.97.
    """
    job = Tiny(SHEET).describe(
        name="mic1", resolution="1 tenth", max_error="1 tenth", repeatability="1 tenth"
    )
    job.say("R 1.0037 on mic1", "H 1.0000 on mic1")
    assert notes(job, "EC") == [
        COOL,
        COARSE,
        "2 times the repeats now taken would settle it",
        "gauges with 0.353 times their maximum error would settle it",
    ]


def test_an_unmeasured_fit_has_no_word_on_its_verdict(ring: Tiny) -> None:
    ring.say("R 1.0040 on mic1")
    assert notes(ring, "EC") == [COOL]
