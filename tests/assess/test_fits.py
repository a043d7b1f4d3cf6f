"""Fits from standing readings: what is formed, what is missing, what it is held against."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

PUMP = """
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
tooth = ["a", "b"]
[[component]]
id = "body"
[[component]]
id = "gear"
positions = "gear"
[[feature]]
tag = "D"
of = "body"
nominal = "1.0030"
[[feature]]
tag = "H"
of = "gear"
stations = "tooth"
nominal = "1.0000"
[[fit]]
tag = "EC"
stack = "D - H"
band = { limits = "2..4 thou", source = "p. 31", wear = "..6 thou" }
"""

ONE = """
unit = "in"
source = "Invented handbook"
[[component]]
id = "body"
[[feature]]
tag = "B"
of = "body"
[[feature]]
tag = "S"
of = "body"
[[feature]]
tag = "J"
of = "body"
[[fit]]
tag = "GAP"
stack = "B - J"
band = { limits = "2..4 thou" }
[[fit]]
tag = "SHIM"
stack = "B - 2*S - J"
band = { limits = "2..4 thou" }
"""


@pytest.mark.parametrize(
    ("bore", "shaft", "verdict"),
    [
        ("0.7540", "0.7500", "in-close"),
        ("0.7539", "0.7500", "in"),
        ("0.7541", "0.7500", "out"),
        ("19.1516mm", "19.05000mm", "in-close"),
        ("19.14906mm", "19.05000mm", "in"),
        ("19.15414mm", "19.05000mm", "out"),
    ],
)
def test_a_clearance_on_its_limit_is_close_and_a_tenth_decides(
    bore: str, shaft: str, verdict: str
) -> None:
    tiny = Tiny(ONE).say(f"B {bore}", f"J {shaft}")
    assert tiny.verdict("GAP") == verdict
    assert (tiny.fit("GAP").margin == 0) == (verdict == "in-close")


@pytest.mark.parametrize(("bores", "clearance"), [("1.2540", "4"), ("1.2520", "2")])
def test_a_thickness_counted_twice_is_exact_at_its_limit(bores: str, clearance: str) -> None:
    tiny = Tiny(ONE).say(
        f"B {bores} {bores} {bores}", "S 0.2501 0.2500 0.2499", "J 0.7499 0.7500 0.7501"
    )
    fit = tiny.fit("SHIM")
    assert fit.verdict == "in-close"
    assert fit.mean == Fraction(clearance)
    assert fit.margin == 0


def test_a_fit_that_waits_shows_the_limits_that_will_hold() -> None:
    tiny = Tiny(PUMP)
    waits = tiny.fit("EC.idler")
    assert waits.band is not None
    assert waits.wear is not None
    assert [waits.band.low, waits.band.high, waits.wear.high] == [2, 4, 6]
    assert tiny.say("gear.idler new").fit("EC.idler").wear is None


def test_a_fit_waits_for_every_reading_and_names_those_missing() -> None:
    tiny = Tiny(PUMP).say("D 1.0030", "H.driver 1.0001 1.0000", "H.idler@b 0.9978")
    idler = tiny.fit("EC.idler")
    assert idler.verdict == "unmeasured"
    assert idler.missing == ("H.idler@a",)
    assert idler.mean == idler.tightest == idler.loosest == Fraction("5.2")
    assert tiny.verdict("EC.driver") == "in"


def test_a_station_left_out_on_purpose_is_not_waited_for() -> None:
    tiny = Tiny(PUMP).say("D 1.0030", "H.idler@b 1.0000", "H.idler@a left-out tooth chipped")
    idler = tiny.fit("EC.idler")
    assert (idler.verdict, idler.missing, idler.left_out) == ("in", (), ("H.idler@a",))
    assert "left out: H.idler@a" in idler.notes


def test_repeats_are_averaged_and_a_slip_is_struck() -> None:
    tiny = Tiny(ONE).say("J 0.7500", "B 0.7530", "B 0.7532 again")
    assert tiny.fit("GAP").mean == Fraction("3.1")
    tiny.say("B 0.7529 instead")
    assert tiny.fit("GAP").mean == Fraction("2.9")
    assert tiny.fit("GAP").readings == (2, 7)


def test_two_ends_enter_tightest_and_loosest() -> None:
    fit = Tiny(ONE).say("J 0.7500", "B 0.7521..0.7533").fit("GAP")
    assert (fit.tightest, fit.loosest) == (Fraction("2.1"), Fraction("3.3"))
    assert fit.mean == Fraction("2.7")


def test_what_has_two_ends_has_no_step() -> None:
    tiny = Tiny(ONE).say("J 0.74..0.75", "B 0.7515..0.7525")
    assert tiny.fit("GAP").step == 0
    assert tiny.say("J 0.7500 instead").fit("GAP").step == Fraction("0.1")


def test_either_of_two_ends_may_decide() -> None:
    """1.5 to 2.5 against 2 to 4, then 3.5 to 4.5: half a thou out at one end each."""
    low = Tiny(ONE).say("J 0.7500", "B 0.7515..0.7525").fit("GAP")
    assert (low.judged, low.side, low.margin) == (Fraction("1.5"), "low", Fraction("-0.5"))
    high = Tiny(ONE).say("J 0.7500", "B 0.7535..0.7545").fit("GAP")
    assert (high.judged, high.side, high.margin) == (Fraction("4.5"), "high", Fraction("-0.5"))


def test_under_mean_the_band_from_nominal_is_that_of_the_mean_nominal() -> None:
    """Nominals 1.000 and 1.010 at the ends: the mean, 1.0055, is 0.5 thou over 1.005."""
    tiny = Tiny("""
unit = "in"
source = "Invented handbook"
[[component]]
id = "shaft"
[[feature]]
tag = "S"
of = "shaft"
stations = { end = ["top", "foot"] }
nominal = { top = "1.000", foot = "1.010" }
[[fit]]
tag = "SIZE"
kind = "size"
stack = "S"
judge = "mean"
band = { limits = "-1..1 thou", from = "nominal" }
""").say("S 1.0000 1.0110")
    fit = tiny.fit("SIZE")
    assert fit.band is not None
    assert (fit.judged, fit.band.low, fit.band.high) == (
        Fraction("1005.5"), Fraction(1004), Fraction(1006),
    )  # fmt: skip


def test_a_new_part_begins_a_new_life_and_is_read_again() -> None:
    tiny = Tiny(PUMP).say("D 1.0030", "H.idler 0.9979 0.9978")
    assert (tiny.verdict("EC.idler"), tiny.fit("EC.idler").stage) == ("serviceable", "as found")
    tiny.say("gear.idler new")
    assert tiny.fit("EC.idler").missing == ("H.idler@a", "H.idler@b")
    tiny.say("H.idler 1.0000 1.0001")
    left, found = tiny.fit("EC.idler"), tiny.fit("EC.idler", both=True)
    assert (left.verdict, left.stage, left.wear) == ("in", "as left", None)
    assert (found.verdict, found.stage) == ("serviceable", "as found")
    assert found.loosest == Fraction("5.2")


def test_rework_of_one_feature_leaves_the_other_standing() -> None:
    tiny = Tiny(PUMP).say("D 1.0030", "H.idler 1.0000 1.0000", "body reworked touching D")
    assert tiny.fit("EC.idler").missing == ("D",)
    assert tiny.say("D 1.0029").verdict("EC.idler") == "in"


def test_striking_a_change_strands_what_was_read_after_it() -> None:
    tiny = Tiny(PUMP).say("D 1.0030", "H.idler 0.9990 0.9990", "gear.idler new")
    tiny.say("H.idler 1.0000 1.0000", "strike 5")
    assert [taken.entry.n for taken in tiny.job.stranded()] == [6, 7]
    assert tiny.fit("EC.idler").mean == 4


def test_a_moved_gear_takes_its_readings_along() -> None:
    tiny = Tiny(PUMP).say("D 1.0030", "H.driver 1.0000 1.0000", "H.idler 0.9990 0.9990")
    tiny.say("gear.driver moved from gear.idler")
    assert tiny.fit("EC.driver").mean == 4
    assert tiny.fit("EC.idler").missing == ("H.idler@a", "H.idler@b")
    tiny.say("gear.idler moved from gear.driver")
    assert tiny.fit("EC.idler").mean == 3
    assert tiny.fit("EC.idler").stage == "as found"


def test_a_size_shifts_the_limits_that_count_from_nominal() -> None:
    tiny = Tiny("""
unit = "mm"
source = "Invented handbook"
[[component]]
id = "crank"
[[feature]]
tag = "MJ"
of = "crank"
nominal = "54.990"
[[size]]
id = "m25"
nominal = { MJ = "54.740" }
[[fit]]
tag = "MJD"
kind = "size"
stack = "MJ"
band = { limits = "-0.015..0 mm", from = "nominal" }
""").say("MJ 54.960")
    assert (tiny.verdict("MJD"), tiny.fit("MJD").word) == ("out", "undersize")
    tiny.say("crank reworked size m25", "MJ 54.735")
    fit = tiny.fit("MJD")
    assert fit.band is not None
    assert fit.verdict == "in"
    assert (fit.band.low, fit.band.high) == (Fraction("54.725"), Fraction("54.740"))


def test_the_most_particular_band_holds() -> None:
    tiny = Tiny("""
unit = "mm"
source = "Invented handbook"
[axes]
port = ["in", "ex"]
[[component]]
id = "valve"
positions = "port"
[[feature]]
tag = "S"
of = "valve"
[[fit]]
tag = "STEM"
kind = "size"
stack = "S"
band = [{ limits = "7.9..8.0 mm" }, { limits = "7.8..7.9 mm", for = "ex" }]
""").say("S.in 7.95", "S.ex 7.95")
    assert (tiny.verdict("STEM.in"), tiny.verdict("STEM.ex")) == ("in", "out")


def test_of_two_ways_to_one_quantity_the_difference_is_held_against_its_own_doubt() -> None:
    tiny = Tiny("""
unit = "mm"
source = "Invented handbook"
[[component]]
id = "rod"
[[feature]]
tag = "PB"
of = "rod"
[[feature]]
tag = "PJ"
of = "rod"
[[feature]]
tag = "PT"
of = "rod"
[[fit]]
tag = "RC"
stack = "PB - PJ"
band = { limits = "0.025..0.060 mm" }
[[fit]]
tag = "RCT"
stack = "PT"
same_as = "RC"
""").say("PB 48.030", "PJ 47.990", "PT 0.041")
    fit = tiny.fit("RCT")
    assert (fit.same_as, fit.disagrees) == ("RC", False)
    assert fit.e_n == pytest.approx(1.0 / (2 * (3 / 12) ** 0.5))
    assert fit.band is not None
    assert fit.band.high == Fraction("0.060")
    assert tiny.say("PT 0.050 instead").fit("RCT").disagrees


@pytest.mark.parametrize(
    ("stack", "kind", "word"),
    [
        ("B - J", "clearance", "loose"),
        ("B-J", "clearance", "loose"),
        ("B", "direct", "high"),
        ("2*B", "direct", "high"),
    ],
)
def test_a_stack_of_one_tag_is_direct_and_blanks_make_no_difference(
    stack: str, kind: str, word: str
) -> None:
    tiny = Tiny(ONE.replace('"B - J"', f'"{stack}"')).say("B 0.7600", "J 0.7500")
    fit = tiny.fit("GAP")
    assert (fit.kind, fit.verdict, fit.word) == (kind, "out", word)


ZEROED = """
unit = "in"
source = "Invented handbook"
[axes]
depth = ["top", "mid", "foot"]
[[component]]
id = "body"
[[component]]
id = "shaft"
[[feature]]
tag = "A"
of = "body"
stations = "depth"
[[feature]]
tag = "B"
of = "shaft"
[[fit]]
tag = "C"
stack = "A - B"
band = { limits = "2..4 thou" }
"""


def test_what_two_readings_have_in_common_decides_which_of_them_is_the_close_one() -> None:
    """The zero error of mic1 drops out of A - B where both are read on it, and not elsewhere."""
    job = Tiny(ZEROED)
    job.describe(name="mic1", resolution="1 tenth", zero_error="3 tenths")
    job.describe(name="mic2", resolution="1 tenth")
    job.say("B 1.0000 on mic1", "A@top 1.0030 on mic1", "A@foot 1.0039 on mic1")
    assert job.say("A@mid 1.0037 on mic1").verdict("C") == "in"
    job.say("strike 7", "A@mid 1.0037 on mic2")
    found = job.fit("C")
    assert (found.verdict, found.judged) == ("in-close", Fraction("3.7"))


@pytest.mark.parametrize(
    ("typed", "ends"), [("..+0.0002", (None, "3.2")), ("-0.0001..", ("2.9", None))]
)
def test_an_open_end_counted_from_nominal_stays_open(
    typed: str, ends: tuple[str | None, str | None]
) -> None:
    """D is 1.0030 nominal; H reads 1.0000."""
    job = Tiny(PUMP).say("H.driver@a 1.0000", "H.driver@b 1.0000", f"D {typed}")
    found = job.fit("EC.driver")
    known = tuple(
        None if end is None else str(float(end)) for end in (found.tightest, found.loosest)
    )
    assert known == ends
