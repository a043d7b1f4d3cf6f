"""From readings to what is known of an address: units, shared errors, settings, temperature."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.estimates import Readings
from bedplate.assess.recorded import gauge_from, in_base
from bedplate.assess.settlement import Known
from bedplate.assess.written import split_gauge, unit_in
from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Estimate, Gauge
from bedplate.record.entries import Reading

F = Fraction
INCH = F(254, 10_000)
"""In metres."""

SHEET = """
unit = "in"
source = "Invented handbook"
[axes]
end = ["a", "b"]
[[component]]
id = "ring"
material = "bronze"
[[component]]
id = "gear"
material = "steel"
positions = { no = ["1", "2"] }
[[component]]
id = "plate"
[[feature]]
tag = "B"
of = "ring"
nominal = "1.0030"
[[feature]]
tag = "J"
of = "gear"
nominal = "1.0000"
[[feature]]
tag = "S"
of = "ring"
stations = "end"
[[feature]]
tag = "EF"
of = ["gear", "ring"]
[[feature]]
tag = "P"
of = "plate"
[[feature]]
tag = "T"
of = "plate"
unit = "degC"
[[fit]]
tag = "GAP"
stack = "B - J"
unit = "thou"
[[fit]]
tag = "SUM"
stack = "B + J"
unit = "thou"
[[fit]]
tag = "TAPER"
stack = "S@a - S@b"
unit = "thou"
[[fit]]
tag = "BORE"
stack = "B"
unit = "thou"
[[fit]]
tag = "FLOAT"
stack = "EF"
unit = "thou"
[[fit]]
tag = "WARM"
stack = "T"
"""
TENTH = {"resolution": "1 tenth", "max_error": "1 tenth", "zero_error": "1 tenth"}


def tiny(**gauges: dict[str, str]) -> Tiny:
    """Return a job that knows some gauges."""
    job = Tiny(SHEET)
    for name, keys in gauges.items():
        job.describe(name=name, **keys)
    return job


def u2(job: Tiny, fit: str) -> Fraction:
    """Return u² of a fit, in the square of its unit (thou²)."""
    found = job.fit(fit)
    assert found.variance is not None
    return found.variance


def value(job: Tiny, address: str) -> Fraction:
    """Return what is known of an address, in inches."""
    (spot,) = job.job.select(address).spots
    known = Readings(job.job).known(spot)
    assert known is not None
    assert known.estimate is not None
    assert known.estimate.low is not None
    return known.estimate.low / INCH


# ---- shared errors: r = e = z = 0.1 thou, so r²/12 = 1/1200, e²/3 = z²/3 = 1/300


def test_the_zero_of_one_gauge_drops_out_of_a_difference_and_counts_twice_in_a_sum() -> None:
    job = tiny(mic1=TENTH).say("B 1.0031 on mic1", "J.1 1.0001 on mic1")
    assert job.fit("GAP.1").mean == 3
    assert u2(job, "GAP.1") == 2 * F(1, 1200) + 2 * F(1, 300)
    assert u2(job, "SUM.1") == 2 * F(1, 1200) + 2 * F(1, 300) + 4 * F(1, 300)


def test_two_gauges_or_two_settings_have_two_zeros() -> None:
    apart = 2 * F(1, 1200) + 4 * F(1, 300)
    job = tiny(mic1=TENTH, mic2=TENTH).say("B 1.0031 on mic1", "J.1 1.0001 on mic2")
    assert u2(job, "GAP.1") == apart
    job = tiny(mic1=TENTH).say(
        "B 1.0031 on mic1", "set mic1 shown 1.0000in on 1in", "J.1 1.0001 on mic1"
    )
    assert u2(job, "GAP.1") == apart
    assert u2(job.say("strike 4"), "GAP.1") == 2 * F(1, 1200) + 2 * F(1, 300)


def test_the_maximum_error_is_shared_along_a_feature_and_not_between_positions() -> None:
    job = tiny(mic1=TENTH).say("S 1.0031 1.0001 on mic1")
    assert u2(job, "TAPER") == 2 * F(1, 1200)
    job = tiny(mic1=TENTH).say("B 1.0031 on mic1", "J.1 1.0001 on mic1", "J.2 1.0001 on mic1")
    assert u2(job, "GAP.2") == u2(job, "GAP.1") == 2 * F(1, 1200) + 2 * F(1, 300)


def test_repeats_thin_out_the_scatter_alone() -> None:
    """s = 0.2 thou: of four readings 0.04/4; their shared last digit stays 0.01/12."""
    mic = {"resolution": "1 tenth", "repeatability": "2 tenths"}
    job = tiny(mic1=mic).say("B 1.0031 1.0030 1.0029 1.0030 on mic1")
    assert u2(job, "BORE") == F(1, 1200) + F(4, 100) / 4


def test_scatter_is_found_from_repeats_from_five_degrees_of_freedom_on() -> None:
    """Six readings within a tenth of their mean, in tenths 0 1 −1 0 1 −1: s² = 4/5 tenth²."""
    mic = {"resolution": "1 tenth"}
    job = tiny(mic1=mic).say("B 1.0030 1.0031 1.0029 1.0030 1.0031 on mic1")
    assert u2(job, "BORE") == F(1, 1200)
    job.say("B 1.0029 on mic1 again")
    assert u2(job, "BORE") == F(1, 1200) + F(4, 5) / 100 / 6


def test_scatter_is_pooled_life_by_life() -> None:
    """Before and after a rework: 2 + 3 degrees of freedom, in tenths² 2 + 2 over 5."""
    job = tiny(mic1={"resolution": "1 tenth"}).say("B 1.0030 1.0031 1.0029 on mic1")
    job.say("ring reworked", "B 1.0050 1.0051 1.0049 1.0050 on mic1")
    assert u2(job, "BORE") == F(1, 1200) + F(4, 5) / 100 / 4


def test_felt_with_one_and_read_on_the_other() -> None:
    """Scatter of both, 0.04 + 0.01; digits, maximum error and zero of the second alone."""
    gauge = {"tg1": {"repeatability": "2 tenths", "max_error": "9 thou", "zero_error": "9 thou"},
             "mic1": {**TENTH, "repeatability": "1 tenth"}}  # fmt: skip
    job = tiny(**gauge).say("B 1.0031 on tg1/mic1")
    assert u2(job, "BORE") == F(1, 1200) + 2 * F(1, 300) + F(5, 100)
    job.say("set tg1 shown 0.0100in on 0in", "J.1 1.0001 on tg1/mic1")
    assert job.fit("GAP.1").mean == 3
    assert u2(job, "GAP.1") == 2 * F(1, 1200) + 2 * F(1, 300) + 2 * F(5, 100)


def test_scatter_of_a_pair_is_pooled_under_the_name_of_the_pair() -> None:
    gauges = {"tg1": {"kind": "telescopic"}, "mic1": {"resolution": "1 tenth"}}
    job = tiny(**gauges).say("B 1.0030 1.0031 1.0029 on tg1/mic1", "J.1 1.0 1.0 1.0 on mic1")
    job.say("J.2 1.0 1.0 1.0 1.0 on mic1")
    assert u2(job, "BORE") == F(1, 1200)
    job.say("B 1.0030 1.0031 1.0029 on tg1/mic1 again")
    assert u2(job, "BORE") == F(1, 1200) + F(4, 5) / 100 / 6


def test_of_a_report_its_own_u_counts_once_an_address() -> None:
    """U = 0.4 thou, so u² = 0.04, not averaged, and no typed step beside it."""
    shop = {"kind": "report", "uncertainty": "4 tenths"}
    job = tiny(shop=shop).say("B 1.0031 1.0031 on shop", "J.1 1.0001 on shop")
    assert u2(job, "BORE") == F(4, 100)
    assert u2(job, "GAP.1") == 2 * F(4, 100)


@pytest.mark.parametrize("on", ["", " on mic1"])
def test_what_is_not_described_has_the_finest_step_typed_for_the_feature(on: str) -> None:
    """Steps: B a tenth in one reading of two, J a thou; r²/12 of 0.1 and of 1 thou."""
    job = tiny(mic1={"kind": "micrometer"}).say(f"B 1.003{on}", f"B 1.0031{on} again")
    job.say(f"J.1 1.000{on}")
    assert u2(job, "GAP.1") == F(1, 1200) + F(1, 12)


def test_a_gauge_without_resolution_has_the_typed_step_beside_what_is_stated() -> None:
    job = tiny(mic1={"max_error": "1 tenth"}).say("B 1.003 on mic1")
    assert u2(job, "BORE") == F(1, 12) + F(1, 300)


def test_a_gauge_means_the_same_in_whatever_unit_it_is_described() -> None:
    """2.54 µm is a tenth."""
    job = tiny(mic1={"resolution": "2.54 um", "max_error": "0.00254 mm", "zero_error": "1 tenth"})
    job.say("B 1.0031 on mic1", "J.1 25.40254mm on mic1")
    assert u2(job, "GAP.1") == 2 * F(1, 1200) + 2 * F(1, 300)
    assert job.fit("GAP.1").mean == 3


# ---- set from elsewhere: r = 1 µm, micrometer e = 4 µm and z = 2 µm, bore gauge e = 1 µm

BUSH = """
unit = "mm"
source = "Invented handbook"
[[component]]
id = "bush"
[[feature]]
tag = "B"
of = "bush"
[[feature]]
tag = "J"
of = "bush"
[[fit]]
tag = "BC"
stack = "B - J"
unit = "um"
"""


@pytest.mark.parametrize(
    ("on", "square"),
    [
        ("on 30mm", F(1, 12) + F(16, 3) + F(4, 3) + F(1, 12) + F(1, 3)),
        ("on 30mm in mic3", F(1, 12) + F(16, 3) + F(1, 12) + F(1, 3) + F(16, 3)),
        ("on J in mic3", F(1, 12) + F(1, 3)),
        ("on J", F(1, 12) + F(1, 3)),
    ],
)
def test_what_a_bore_gauge_was_set_on_makes_the_difference(on: str, square: Fraction) -> None:
    job = Tiny(BUSH)
    job.describe(name="mic3", resolution="1 um", max_error="4 um", zero_error="2 um")
    job.describe(name="bore1", reads="differences", resolution="1 um", max_error="1 um")
    job.say("J 30.002 on mic3", f"set bore1 shown 0mm {on}")
    shown = "+0.038" if "J" in on else "+0.040"
    job.say(f"B {shown} on bore1")
    assert job.fit("BC").mean == 38
    assert u2(job, "BC") == square


def test_a_reading_on_a_gauge_set_from_another_counts_that_error_in_a_single_size() -> None:
    """The journal's own 1/12 + 16/3 + 4/3, carried into the bore, and the bore gauge's."""
    job = Tiny(BUSH.replace('"B - J"', '"B"'))
    job.describe(name="mic3", resolution="1 um", max_error="4 um", zero_error="2 um")
    job.describe(name="bore1", reads="differences", resolution="1 um", max_error="1 um")
    job.say("J 30.002 on mic3", "set bore1 shown 0mm on J in mic3", "B +0.038 on bore1")
    assert job.fit("BC").mean == 30040
    assert u2(job, "BC") == F(1, 12) + F(16, 3) + F(4, 3) + F(1, 12) + F(1, 3)


# ---- temperature: ring bronze 18.0e-6, gear steel 11.7e-6, gauge 11.5e-6 unless said


@pytest.mark.parametrize(
    ("said", "factor"),
    [
        ("at 30degC", F("1.000115") / F("1.00018")),
        ("at 86degF", F("1.000115") / F("1.00018")),
        ("at 30degC gauge-at 20degC", 1 / F("1.00018")),
        ("at 30degC gauge-at 25degC", F("1.0000575") / F("1.00018")),
        ("at 20degC", F(1)),
        ("at 10degC", F("0.999885") / F("0.99982")),
    ],
)
def test_a_length_is_brought_to_20_degrees(said: str, factor: Fraction) -> None:
    job = tiny().say(f"B 1.0031 {said}")
    assert value(job, "B") == F("1.0031") * factor


def test_the_offset_comes_off_before_the_temperature_and_the_error_is_not_scaled() -> None:
    job = tiny(mic1={"resolution": "1 tenth", "expansion": "10e-6"})
    job.say("set mic1 shown 1.0002in on 1in", "B 1.0033 on mic1 at 30degC")
    assert value(job, "B") == F("1.0031") * F("1.0001") / F("1.00018")
    assert u2(job, "BORE") == F(1, 1200)


@pytest.mark.parametrize("address", ["EF.1", "P"])
def test_without_one_known_expansion_nothing_is_corrected(address: str) -> None:
    assert value(tiny().say(f"{address} 1.0031 at 30degC"), address) == F("1.0031")


def test_parts_together_of_one_expansion_are_corrected() -> None:
    job = Tiny(SHEET.replace('"bronze"', '"Steel"')).say("EF.1 1.0 at 30degC")
    assert value(job, "EF.1") == F("1.000115") / F("1.000117")


def test_its_own_expansion_goes_before_its_materials() -> None:
    sheet = SHEET.replace('material = "bronze"', 'material = "bronze"\nexpansion = "20e-6"')
    assert value(Tiny(sheet).say("B 1.0 at 30degC"), "B") == F("1.000115") / F("1.0002")


def test_what_is_no_length_is_not_corrected() -> None:
    job = Tiny(SHEET.replace('of = "plate"', 'of = "ring"')).say("T 80.5 at 30degC")
    fit = job.fit("WARM")
    assert (fit.mean, fit.unit, fit.step) == (F("80.5"), "degC", F("0.1"))
    assert fit.variance == F(1, 1200)


# ---- from nominal, two ends, several, none


def test_what_is_counted_from_nominal_is_known_in_full() -> None:
    job = tiny().say("B -0.0004", "J.1 +0.0003..+0.0005")
    assert value(job, "B") == F("1.0026")
    fit = job.fit("GAP.1")
    assert (fit.tightest, fit.loosest, fit.step) == (F("2.1"), F("2.3"), F("0.1"))


def test_a_nominal_in_another_unit_is_added_in_the_unit_of_the_value() -> None:
    job = tiny().say("B -0.01mm")
    assert value(job, "B") == F("1.0030") - F("0.01") / F("25.4")


def test_nothing_is_known_where_nothing_was_read_and_a_reason_where_it_was_left_out() -> None:
    job = tiny().say("B left-out cracked here")
    readings = Readings(job.job)
    assert readings.known(Spot("B")) == Known(None, left_out="cracked here")
    assert readings.known(Spot("J", ("1",))) is None


def test_a_value_beside_a_place_left_out_counts() -> None:
    job = tiny().say("B left-out cracked")
    job.put(Reading(address="B", value="1.0031 in"))
    known = Readings(job.job).known(Spot("B"))
    assert known is not None
    assert known.left_out is None
    assert known.estimate is not None


def test_what_is_known_of_a_spare_goes_by_its_mark() -> None:
    job = tiny().say("gear new mark K")
    readings = Readings(job.job)
    assert readings.known_spare(Spot("J", ("K",))) is None
    job.say("J.K 1.0000 1.0002")
    known = Readings(job.job).known_spare(Spot("J", ("K",)))
    assert known is not None
    assert known.estimate is not None
    assert known.estimate.low == F("1.0001") * INCH
    assert known.estimate.entries == (3, 4)


def test_as_found_and_as_left_are_known_apart() -> None:
    job = tiny().say("B 1.0031", "ring reworked", "B 1.0040")
    readings = Readings(job.job)
    found, left = readings.known(Spot("B"), as_found=True), readings.known(Spot("B"))
    assert found is not None
    assert left is not None
    assert found.estimate is not None
    assert left.estimate is not None
    assert (found.estimate.entries, left.estimate.entries) == ((2,), (4,))


def test_a_forecast_overlays_some_addresses_and_leaves_the_readings_alone() -> None:
    job = tiny().say("B 1.0031", "J.1 1.0000")
    readings = Readings(job.job)
    was = readings.known(Spot("B"))
    other = Known(Estimate(F(1), F(1), {}, {}))
    later = readings.overlaid({Spot("B"): other})
    assert later.known(Spot("B")) is other
    assert readings.known(Spot("B")) is was
    assert later.known(Spot("J", ("1",))) == readings.known(Spot("J", ("1",)))
    assert later.known(Spot("B"), as_found=True) == was


def test_the_step_of_a_reading_is_that_of_its_text() -> None:
    readings = Readings(tiny().say("B 1.0031", "J.1 0.9..1.1", "P 3/8in").job)
    assert [readings.step(n) / INCH for n in (2, 3, 4)] == [F(1, 10_000), 0, F(1, 8)]


def test_a_gauge_named_only_where_it_was_struck_is_known_by_its_name() -> None:
    job = tiny()
    job.put(Reading(address="B", value="1.0031 in", gauge="tg9/mic9"))
    job.say("strike 2", "set mic8 shown 0in on 0in in mic7")
    assert Readings(job.job).gauges == {
        name: Gauge(name) for name in ("tg9", "mic9", "mic8", "mic7")
    }


# ---- texts of the record


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (Reading(address="B", value="3 kg"), 'Not read. Entry 2: "3 kg" is a mass, not a length.'),
        (Reading(address="B", value="+1 thou", nominal="nought"),
         'Not read. Entry 2: "nought" is not a figure.'),
        (Reading(address="B", value="+1 thou", nominal="..1 in"),
         "Not read. Entry 2 counts from a nominal with an open end."),
    ],
)  # fmt: skip
def test_a_record_that_says_nonsense_is_not_read(reading: Reading, said: str) -> None:
    job = tiny()
    job.put(reading)
    with pytest.raises(StorageError) as refused:
        _ = Readings(job.job).typed
    assert refused.value.message == said


def test_a_stranded_reading_is_read_in_the_unit_of_its_text() -> None:
    job = tiny()
    job.put(Reading(address="GONE", value="412.5 g"))
    assert Readings(job.job).typed[2].unit == "g"


@pytest.mark.parametrize(
    ("text", "unit"),
    [("19.057 mm", "mm"), ("3/8 in", "in"), ('3/8"', "in"), ("30 N*m", "N*m"), ("4 %", "%"),
     ("17 kgf/cm^2", "kgf/cm^2"), ("0.700 in+3 tenths", "tenth"), (" 20 °C ", "degC")],
)  # fmt: skip
def test_the_unit_stands_at_the_end(text: str, unit: str) -> None:
    assert unit_in(text) == unit


def test_a_text_without_a_unit_has_none() -> None:
    with pytest.raises(NotUnderstoodError) as refused:
        unit_in("0.75")
    assert refused.value.message == '"0.75" has no unit.'


def test_a_size_is_one_figure() -> None:
    assert in_base("1", "in") == 1
    assert in_base("25.4 mm", "m") == INCH
    for text in ("1..2 in", "..2 in", "2.. in"):
        with pytest.raises(NotUnderstoodError) as refused:
            in_base(text, "m")
        assert refused.value.message == f"A size is one figure, not {text}."


def test_a_gauge_has_all_its_figures_in_base_units() -> None:
    keys = {
        "name": "mic1", "kind": "micrometer", "reads": "differences", "resolution": "1 um",
        "max_error": "2 um", "zero_error": "3 um", "repeatability": "4 um", "uncertainty": "5 um",
        "expansion": "11e-6", "title": "the old one", "serial": "7",
    }  # fmt: skip
    micro = F(1, 10**6)
    assert gauge_from(keys) == Gauge(
        "mic1", "micrometer", "differences", micro, 2 * micro, 3 * micro, 4 * micro, 5 * micro,
        11 * micro,
    )  # fmt: skip
    assert gauge_from({"name": "mic1"}) == Gauge("mic1")
    with pytest.raises(NotUnderstoodError) as refused:
        gauge_from({"name": "mic1", "max_error": "..2 um"})
    assert refused.value.message == "max_error of mic1 is one figure."


@pytest.mark.parametrize(
    ("name", "parted"),
    [("tg/mic", ("tg", "mic")), ("mic", (None, "mic")), (None, (None, None)),
     ("a/b/c", ("a", "b/c"))],
)  # fmt: skip
def test_a_name_says_what_was_felt_with_and_what_was_read(
    name: str | None, parted: tuple[str | None, str | None]
) -> None:
    assert split_gauge(name) == parted
