"""What would bring a fit in: changes, sizes, parts from stock, and what they would spoil."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.fits import Assessment
from bedplate.assess.remedies import Remedy, remedies
from bedplate.errors import NotUnderstoodError
from bedplate.sheet.model import Fit

F = Fraction

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
[[feature]]
tag = "E"
of = "body"
[[feature]]
tag = "H"
of = "gear"
stations = "tooth"
[[fit]]
tag = "EC"
stack = "D - H"
band = { limits = "2..4 thou", wear = "..6 thou" }
ADJUST
[[fit]]
tag = "DEPTH"
kind = "size"
stack = "D"
unit = "in"
band = { limits = "1.0010..1.0040 in" }
[[fit]]
tag = "WALL"
stack = "E - D"
band = { limits = "100..102 thou" }
"""


def pump(adjust: str, fit: str = "") -> Tiny:
    """Return a pump whose end clearance is 3.0 at the driver, 5.0 and 5.2 thou at the idler."""
    keys = (f"adjust = [{adjust}]\n" if adjust else "") + fit
    return Tiny(PUMP.replace("ADJUST\n", keys)).say(
        "D 1.0030", "H.driver 1.0000 1.0000", "H.idler 0.9980 0.9978"
    )


def offered(job: Tiny, tag: str = "EC") -> list[Remedy]:
    fit = job.job.layout.row(tag, Fit)
    return remedies(Assessment(job.job), fit)


def only(job: Tiny, tag: str = "EC") -> Remedy:
    (one,) = offered(job, tag)
    return one


def forecast(one: Remedy) -> list[tuple[str, str, str, str]]:
    """Return address, tightest, loosest and verdict of the fit as it would be."""
    return [(r.address, str(r.tightest), str(r.loosest), r.verdict) for r in one.fits]


def refusal(job: Tiny, tag: str = "EC") -> list[str]:
    with pytest.raises(NotUnderstoodError) as refused:
        offered(job, tag)
    return refused.value.as_lines()


# ---- a change


def test_a_part_of_its_own_is_changed_by_itself_onto_the_middle_of_the_band() -> None:
    """Middle of 5.0 and 5.2 is 5.1: the gear must be 2.1 larger; the driver is in."""
    one = only(pump('{ feature = "H", make = "larger" }'))
    assert (one.feature, one.make, one.change, one.unit) == ("H.idler", "larger", F("2.1"), "thou")
    assert (one.size, one.part, one.reaches) == (None, None, True)
    assert forecast(one) == [("EC.idler", "29/10", "31/10", "in")]


def test_a_figure_is_not_made_to_go_the_other_way() -> None:
    one = only(pump('{ feature = "H", make = "smaller" }'))
    assert (one.feature, one.make, one.change, one.reaches) == ("H.idler", "smaller", None, False)
    assert forecast(one) == [("EC.idler", "5", "26/5", "serviceable")]


def test_a_part_that_serves_all_positions_has_one_change_over_all_together() -> None:
    """Deviations 0 to 2.2: 1.1 smaller leaves 1.9 at the driver, 3.9 and 4.1 at the idler."""
    one = only(pump('{ feature = "D", make = "smaller" }'))
    assert (one.feature, one.change, one.reaches) == ("D", F("-1.1"), False)
    assert forecast(one) == [
        ("EC.driver", "19/10", "19/10", "out"), ("EC.idler", "39/10", "41/10", "out"),
    ]  # fmt: skip


def test_what_has_an_aim_is_put_on_its_aim() -> None:
    one = offered(_aimed('{ feature = "H", make = "larger" }', "2.5 thou"))[-1]
    assert (one.feature, one.change) == ("H.idler", F("2.6"))
    assert forecast(one) == [("EC.idler", "12/5", "13/5", "in")]


def _aimed(adjust: str, aim: str) -> Tiny:
    sheet = PUMP.replace('wear = "..6 thou" }', f'wear = "..6 thou", aim = "{aim}" }}')
    return Tiny(sheet.replace("ADJUST", f"adjust = [{adjust}]")).say(
        "D 1.0030", "H.driver 1.0000 1.0000", "H.idler 0.9980 0.9978"
    )


def test_under_mean_the_mean_is_put_on_the_aim() -> None:
    """Repeats weigh nothing, stations do: 5.0, 5.0, 5.3 have the mean 5.1, the middle 5.15."""
    sheet = PUMP.replace('tooth = ["a", "b"]', 'tooth = ["a", "b", "c"]').replace(
        "ADJUST", 'judge = "mean"\nadjust = [{ feature = "H", make = "larger" }]'
    )
    job = Tiny(sheet).say("D 1.0030", "H.driver 1.0 1.0 1.0", "H.idler 0.9980 0.9980 0.9977")
    assert only(job).change == F("2.1")


def test_with_one_limit_and_no_aim_the_least_change_that_is_surely_in_will_do() -> None:
    """5.2 down to 4 less U = 2√(2·0.01/12) = 0.0816496580…, rounded up at the ninth decimal."""
    job = Tiny(
        PUMP.replace('"2..4 thou"', '"..4 thou"').replace(
            "ADJUST", 'adjust = [{ feature = "H", make = "larger" }]'
        )
    ).say("D 1.0030", "H.driver 1.0000 1.0000", "H.idler 0.9980 0.9978")
    one = only(job)
    assert one.change == F("1.281649659")
    assert forecast(one)[0][3] == "in"


def test_with_one_limit_a_shared_part_moves_until_every_position_is_in() -> None:
    sheet = PUMP.replace('"2..4 thou", wear = "..6 thou"', '"3.5.. thou"')
    job = Tiny(sheet.replace("ADJUST", 'adjust = [{ feature = "D", make = "larger" }]'))
    job.say("D 1.0030", "H.driver 1.0000 1.0000", "H.idler 0.9980 0.9978")
    one = only(job)
    assert one.change == F("0.581649659")
    assert [verdict for *_, verdict in forecast(one)] == ["in", "in"]


def test_an_open_end_against_its_limit_cannot_be_brought_in() -> None:
    job = pump('{ feature = "D", make = "larger" }').say("H.idler ..0.9980 instead")
    one = only(job)
    assert (one.change, one.reaches) == (None, False)


def test_a_tag_counted_twice_moves_the_fit_twice() -> None:
    sheet = PUMP.replace('"D - H"', '"D - 2*H + 1/2*H"').replace(
        "ADJUST", 'adjust = [{ feature = "H", make = "larger" }]'
    )
    job = Tiny(sheet).say("D 1.5030", "H.driver 1.0000 1.0000", "H.idler 0.9980 0.9980")
    one = only(job)
    assert one.change == 2
    assert forecast(one) == [("EC.idler", "3", "3", "in")]


def test_what_is_in_needs_no_remedy_and_what_is_close_does() -> None:
    job = pump('{ feature = "H", make = "larger" }').say("H.idler 1.0000 1.0000 instead")
    assert offered(job) == []
    close = only(job.say("H.driver 0.9990 0.9990 instead"))
    assert (close.feature, close.change) == ("H.driver", F(1))


def test_every_way_of_the_sheet_is_offered_in_its_order() -> None:
    job = pump('{ feature = "D", make = "smaller" }, { feature = "H", make = "larger" }')
    assert [one.feature for one in offered(job)] == ["D", "H.idler"]


def test_what_has_been_changed_is_held_to_the_band_not_to_its_wear_limits() -> None:
    """D 1.05 smaller: up to 4.15 at the idler, which a used part might be, and this one not."""
    one = only(_aimed('{ feature = "D", make = "smaller" }', "3.05 thou"))
    assert one.change == F("-1.05")
    assert [r.verdict for r in one.fits] == ["out-close", "out"]
    assert all(r.wear is None for r in one.fits)


def test_positions_not_yet_measured_are_left_out() -> None:
    job = pump('{ feature = "D", make = "smaller" }').say("strike 4")
    assert forecast(only(job)) == [("EC.idler", "29/10", "31/10", "in")]


def test_a_close_call_does_not_reach_where_it_is_guarded() -> None:
    """Idler 0.9 thou apart at its ends, the band 1 wide: 0.05 inside each limit, U 0.08."""
    sheet = PUMP.replace('"2..4 thou"', '"2.5..3.5 thou"')
    for rule, reaches in (("simple", True), ("guarded", False)):
        keys = f'rule = "{rule}"\nadjust = [{{ feature = "H", make = "larger" }}]'
        job = Tiny(sheet.replace("ADJUST", keys))
        job.say("D 1.0030", "H.driver 1.0000 1.0000", "H.idler 0.9980 0.9971")
        one = only(job)
        assert ([r.verdict for r in one.fits], one.reaches) == (["in-close"], reaches)


# ---- what it spoils


def test_other_fits_that_would_pass_no_more_are_said() -> None:
    """D 2.1 smaller is 1.0009: too shallow by 0.1; the wall, 100 thou, would be 102.1."""
    job = pump('{ feature = "D", make = "smaller" }').say("E 1.1030", "strike 3", "strike 4")
    one = only(job)
    assert one.change == F("-2.1")
    assert [(r.address, r.verdict) for r in one.spoils] == [("DEPTH", "out"), ("WALL", "out")]
    assert one.reaches


def test_what_does_not_pass_now_is_not_spoilt() -> None:
    job = pump('{ feature = "D", make = "smaller" }').say("E 1.2030", "strike 3", "strike 4")
    assert [r.address for r in only(job).spoils] == ["DEPTH"]


def test_what_stays_in_is_not_spoilt() -> None:
    job = pump('{ feature = "D", make = "smaller" }').say("E 1.1030")
    assert [r.address for r in only(job).spoils] == []


# ---- a part for several positions of the fit

VALVES = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
port = ["in", "ex"]
[[component]]
id = "bridge"
positions = "cyl"
[[component]]
id = "valve"
positions = "cyl/port"
[[feature]]
tag = "B"
of = "bridge"
[[feature]]
tag = "V"
of = "valve"
[[fit]]
tag = "VC"
stack = "B - V"
band = { limits = "0.10..0.20 mm" }
adjust = [{ feature = "B", make = "smaller" }]
"""


def test_a_part_of_one_cylinder_serves_its_own_valves() -> None:
    job = Tiny(VALVES).say("B.1 10.00", "B.2 10.10", "V.1/in 9.85", "V.1/ex 9.84", "V.2/in 9.85")
    one = only(job.say("V.2/ex 9.83"), "VC")
    assert (one.feature, one.change) == ("B.2", F("-0.11"))
    assert forecast(one) == [
        ("VC.2/in", "7/50", "7/50", "in"), ("VC.2/ex", "4/25", "4/25", "in"),
    ]  # fmt: skip


# ---- sizes

GASKET = """
unit = "mm"
source = "Invented handbook"
[axes]
no = ["1", "2"]
[[component]]
id = "case"
[[component]]
id = "gear"
positions = "no"
[[component]]
id = "gasket"
[[feature]]
tag = "C"
of = "case"
[[feature]]
tag = "H"
of = "gear"
[[feature]]
tag = "G"
of = "gasket"
nominal = "0.30"
[[fit]]
tag = "EC"
stack = "C + G - H"
band = { limits = "0.10..0.20 mm" }
adjust = [{ feature = "G", sizes = SIZES }]
"""


def gasket(sizes: str, *say: str) -> Tiny:
    """Return a case whose gears want 0.05 and 0.07 mm less than a gasket of 0.30 gives."""
    job = Tiny(GASKET.replace("SIZES", sizes))
    return job.say("C 20.00", "G 0.30", "H.1 20.10", "H.2 20.08", *say)


@pytest.mark.parametrize(
    ("sizes", "size"),
    [
        ('["0.20", "0.25 mm", "0.40"]', "0.25"),
        ('["0.20", "0.40"]', "0.20"),
        ('"0.10..0.40 step 0.02 mm"', "0.24"),
        ('["0.23", "0.25"]', "0.25"),
        ('["10 thou", "0.40"]', "0.254"),
    ],
)
def test_of_the_sizes_the_one_with_the_least_worst_deviation_is_taken(
    sizes: str, size: str
) -> None:
    """Deviations at 0.30 are 0.05 and 0.07; best is 0.24; of 0.23 and 0.25 the smaller change."""
    one = only(gasket(sizes))
    assert (one.feature, one.make, one.size, one.unit) == ("G", None, F(size), "mm")
    assert one.change == F(size) - F("0.30")


def test_where_it_is_not_read_the_nominal_stands_for_it() -> None:
    job = Tiny(
        GASKET.replace("SIZES", '["0.24"]').replace("C + G - H", "C - H")
        .replace('sizes = ["0.24"]', 'sizes = ["0.24"], effect = "1"')
    ).say("C 20.30", "H.1 20.10", "H.2 20.08")  # fmt: skip
    one = only(job)
    assert (one.size, one.change) == (F("0.24"), F("-0.06"))
    assert forecast(one) == [("EC.1", "7/50", "7/50", "in"), ("EC.2", "4/25", "4/25", "in")]


def test_neither_read_nor_nominal_is_refused_with_the_cure() -> None:
    sheet = GASKET.replace("SIZES", '["0.24"], effect = "1"').replace("C + G - H", "C - H")
    job = Tiny(sheet.replace('nominal = "0.30"\n', "")).say("C 20.3", "H.1 20.1", "H.2 20.1")
    assert refusal(job) == [
        "Nothing to say. G is neither read nor has it a nominal.",
        "  Type:  bedplate measure G VALUE",
    ]


def test_with_one_limit_the_size_nearest_to_the_present_that_is_in_is_taken() -> None:
    sheet = GASKET.replace('"0.10..0.20 mm"', '"0.10.. mm"')
    job = Tiny(sheet.replace("SIZES", '"0.30..0.60 step 0.05 mm"'))
    job.say("C 20.00", "G 0.30", "H.1 20.30", "H.2 20.28")
    assert only(job).size == F("0.45")
    none = Tiny(sheet.replace("SIZES", '["0.31", "0.32"]'))
    none.say("C 20.00", "G 0.30", "H.1 20.30", "H.2 20.28")
    assert (only(none).size, only(none).change, only(none).reaches) == (None, None, False)


# ---- what the reading feels but the stack does not name

LASH = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2", "3"]
[[component]]
id = "valve"
positions = "cyl"
[[component]]
id = "shim"
positions = "cyl"
[[feature]]
tag = "L"
of = "valve"
[[feature]]
tag = "SH"
of = "shim"
[[fit]]
tag = "LASH"
stack = "L"
band = { limits = "0.15..0.25 mm", wear = "0.10..0.30 mm" }
adjust = [{ feature = "SH", sizes = "2.40..3.10 step 0.05 mm", effect = "-1" }]
"""


@pytest.fixture
def lash() -> Tiny:
    return Tiny(LASH).say("L.1 0.20", "L.2 0.35", "SH.1 2.50", "SH.2 2.50")


def test_a_thicker_shim_takes_up_the_lash(lash: Tiny) -> None:
    one = only(lash, "LASH")
    assert (one.feature, one.size, one.change, one.unit) == (
        "SH.2", F("2.65"), F("0.15"), "mm",
    )  # fmt: skip
    assert forecast(one) == [("LASH.2", "1/5", "1/5", "in")]
    (fit,) = one.fits
    assert (fit.mean, fit.judged, fit.margin, fit.side, fit.word, fit.wear, fit.passes) == (
        F("0.20"), F("0.20"), F("0.05"), None, None, None, True,
    )  # fmt: skip


def test_a_measured_spare_that_serves_goes_before_what_is_to_be_bought(lash: Tiny) -> None:
    lash.say("shim new mark K", "SH.K 2.62", "shim new mark L", "SH.L 2.66", "shim new mark M")
    stock, bought = offered(lash, "LASH")
    assert (stock.part, stock.size, stock.change) == ("L", F("2.66"), F("0.16"))
    assert forecast(stock) == [("LASH.2", "19/100", "19/100", "in")]
    assert (bought.part, bought.size) == (None, F("2.65"))


def test_a_spare_is_known_by_the_mean_of_its_stations() -> None:
    """2.64 and 2.66 against 2.49 and 2.51: 0.15 thicker."""
    sheet = LASH.replace('of = "shim"', 'of = "shim"\nstations = { side = ["a", "b"] }')
    job = Tiny(sheet).say("L.2 0.35", "SH.2 2.49 2.51", "shim new mark K", "SH.K 2.64 2.66")
    stock, _ = offered(job, "LASH")
    assert (stock.part, stock.size, stock.change) == ("K", F("2.65"), F("0.15"))


def test_a_spare_that_does_not_serve_is_not_offered(lash: Tiny) -> None:
    lash.say("shim new mark K", "SH.K 2.90")
    assert [one.part for one in offered(lash, "LASH")] == [None]


def test_where_no_size_will_do_the_nearest_is_said_and_how_it_would_be(lash: Tiny) -> None:
    one = only(lash.say("L.2 1.00 instead"), "LASH")
    assert (one.size, one.reaches) == (F("3.10"), False)
    assert forecast(one) == [("LASH.2", "2/5", "2/5", "out")]
    assert one.fits[0].word == "high"


# ---- refusals


def test_where_the_sheet_says_nothing_each_feature_of_the_stack_is_told() -> None:
    told = [(one.feature, one.make, str(one.change), one.reaches) for one in offered(pump(""))]
    assert told == [("D", None, "-11/10", False), ("H.idler", None, "21/10", True)]


def test_a_spread_that_may_not_be_adjusted_is_refused_with_the_cure() -> None:
    tiny = (
        PUMP.replace("ADJUST", "")
        + """
[[fit]]
tag = "TAPER"
spread = "H"
along = "tooth"
band = { limits = "..0.1 thou" }
"""
    )
    job = Tiny(tiny).say("H.driver 1.0000 1.0000", "H.idler 0.9980 0.9978")
    assert refusal(job, "TAPER") == [
        "Nothing to say. No change of one figure brings TAPER in: it is how much readings of a "
        "part differ.",
        "  Type:  bedplate decide gear rework --why REASON",
    ]


def test_a_fit_without_readings_is_refused_with_the_cure() -> None:
    job = Tiny(PUMP.replace("ADJUST", 'adjust = [{ feature = "D", make = "smaller" }]'))
    assert refusal(job.say("D 1.0030", "H.idler@a 0.9980")) == [
        "Nothing to say. EC has no position with every reading in.",
        "  See what is wanted:  bedplate check EC",
    ]
