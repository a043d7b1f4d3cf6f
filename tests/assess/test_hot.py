"""Fits as they would be warm: each part grown by its own expansion; shown, never judged."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.fits import Assessment
from bedplate.assess.hot import Grown, Warmth, grown, read_warmth
from bedplate.errors import NotUnderstoodError

F = Fraction
SHEET = """
unit = "mm"
source = "Invented handbook"
[axes]
end = ["a", "b"]
[[component]]
id = "body"
material = "aluminium"
[[component]]
id = "gear"
material = "steel"
[[component]]
id = "cover"
material = "cheese"
[[feature]]
tag = "D"
of = "body"
stations = "end"
[[feature]]
tag = "H"
of = "gear"
[[feature]]
tag = "C"
of = "cover"
[[feature]]
tag = "EF"
of = ["gear", "body"]
[[feature]]
tag = "BC"
of = ["gear", "cover"]
[[feature]]
tag = "W"
of = "gear"
unit = "g"
[[fit]]
tag = "EC"
stack = "D - H"
unit = "um"
band = { limits = "20..80 um", wear = "..90 um" }
[[fit]]
tag = "DC"
stack = "D - C"
[[fit]]
tag = "FLOAT"
stack = "EF"
[[fit]]
tag = "BOTH"
stack = "BC"
[[fit]]
tag = "WEIGHT"
stack = "W"
"""
"""Per °C: aluminium 23.1e-6, steel 11.7e-6."""


@pytest.fixture
def pump() -> Tiny:
    return Tiny(SHEET).say("D 100.060 100.040", "H 100.000", "C 99.900", "EF 0.500", "BC 0.300")


def warm(job: Tiny, fit: str, *typed: str, both: bool = False) -> Grown | None:
    """Return a fit grown, at temperatures typed after ``--hot``."""
    result = job.fit(fit, both=both)
    return grown(Assessment(job.job), result, read_warmth(job.job, typed))


def test_every_part_grows_by_its_own_expansion(pump: Tiny) -> None:
    """At 90 °C: body × 1.001617, gear × 1.000819."""
    body, gear = F("1.001617"), F("1.000819")
    assert warm(pump, "EC", "90degC") == Grown(
        mean=1000 * (F("100.050") * body - 100 * gear),
        tightest=1000 * (F("100.040") * body - 100 * gear),
        loosest=1000 * (F("100.060") * body - 100 * gear),
    )
    assert pump.fit("EC").loosest == 60


def test_a_part_may_be_warmed_by_itself_the_others_stay_at_20(pump: Tiny) -> None:
    grown_one = warm(pump, "EC", "Gear=70degC")
    assert grown_one is not None
    assert grown_one.loosest == 1000 * (F("100.060") - 100 * F("1.000585"))


def test_parts_named_go_before_the_temperature_of_all(pump: Tiny) -> None:
    grown_both = warm(pump, "EC", "90degC", "gear=68F")
    assert grown_both is not None
    assert grown_both.mean == 1000 * (F("100.050") * F("1.001617") - 100)
    assert grown_both == warm(pump, "EC", "gear=20degC", "90degC")


def test_a_part_of_unknown_expansion_may_stay_cold(pump: Tiny) -> None:
    assert warm(pump, "DC", "90degC") is None
    cold = warm(pump, "DC", "body=90degC")
    assert cold is not None
    assert cold.mean == F("100.050") * F("1.001617") - F("99.9")


def test_parts_read_together_grow_together_or_not_at_all(pump: Tiny) -> None:
    assert warm(pump, "FLOAT", "90degC") is None
    assert warm(pump, "FLOAT", "20degC") == Grown(F("0.5"), F("0.5"), F("0.5"))
    assert warm(pump, "BOTH", "gear=90degC") is None
    assert warm(pump, "BOTH", "body=90degC") == Grown(F("0.3"), F("0.3"), F("0.3"))


def test_as_found_is_warmed_from_what_was_found(pump: Tiny) -> None:
    pump.say("gear reworked", "H 99.990")
    left, found = warm(pump, "EC", "gear=70degC"), warm(pump, "EC", "gear=70degC", both=True)
    assert left is not None
    assert found is not None
    assert left.mean == 1000 * (F("100.050") - F("99.990") * F("1.000585"))
    assert found.mean == 1000 * (F("100.050") - 100 * F("1.000585"))


def test_a_station_left_out_stays_left_out(pump: Tiny) -> None:
    pump.say("D@a left-out burred instead")
    one = warm(pump, "EC", "body=90degC")
    assert one is not None
    assert one.tightest == one.loosest == 1000 * (F("100.040") * F("1.001617") - 100)


def test_two_ends_grow_both(pump: Tiny) -> None:
    both = warm(pump.say("H 99.98..100.00 instead"), "EC", "gear=70degC")
    assert both is not None
    assert both.loosest == 1000 * (F("100.060") - F("99.98") * F("1.000585"))


@pytest.mark.parametrize(
    ("say", "fit", "why"),
    [
        ("strike 4", "EC", "not all readings are in"),
        ("H ..100.01 instead", "EC", "an end of it is open"),
        ("W 412.5", "WEIGHT", "it is no length"),
        ("W 412.5", "DC", "the expansion of a part it rests on is not on the sheet"),
    ],
)
def test_where_it_is_not_known_it_says_why(pump: Tiny, say: str, fit: str, why: str) -> None:
    pump.say(say)
    assert warm(pump, fit, "90degC") is None
    assert read_warmth(pump.job, ["90degC"]).why_not(pump.fit(fit)) == why


def test_temperatures_are_read_as_typed(pump: Tiny) -> None:
    assert read_warmth(pump.job, ["194F", "BODY=343.15K"]) == Warmth(
        F(90), {"body": F(70)}, "194F, BODY=343.15K"
    )
    assert not read_warmth(pump.job, [])
    assert read_warmth(pump.job, ["20C"])
    assert read_warmth(pump.job, ["gear=70C"]).at("body") == 20


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("gaer=70C", ['Nothing checked. There is no component "gaer".', "  Nearest: gear"]),
        ("=70C", ['Nothing checked. There is no component "".',
                  "  Components: body, gear, cover"]),
        ("hot", ['Nothing checked. "hot" is not a figure.',
                 "  A temperature reads like  24C  75F  297K"]),
        ("gear=hot", ['Nothing checked. "hot" is not a figure.',
                      "  A temperature reads like  24C  75F  297K"]),
    ],
)  # fmt: skip
def test_what_is_no_temperature_or_part_is_refused(
    pump: Tiny, typed: str, said: list[str]
) -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        read_warmth(pump.job, [typed])
    assert refused.value.as_lines() == said
