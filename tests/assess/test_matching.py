"""Which part goes where: parts, spares, matched sets, and parts that a fit only feels."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.fits import Assessment
from bedplate.assess.matching import matched
from bedplate.assess.placing import Seat
from bedplate.errors import NotUnderstoodError
from bedplate.sheet.model import Fit

F = Fraction

PISTONS = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2", "3"]
way = ["thrust", "axis"]
[[component]]
id = "block"
[[component]]
id = "piston"
positions = "cyl"
[[component]]
id = "pin"
positions = "cyl"
PINS
[[feature]]
tag = "B"
of = "block"
positions = "cyl"
[[feature]]
tag = "P"
of = "piston"
stations = "way"
[[feature]]
tag = "N"
of = "piston"
[[feature]]
tag = "Q"
of = "pin"
[[fit]]
tag = "PC"
stack = "B - P"
band = { limits = "0.040..0.060 mm", wear = "..0.080 mm" }
[[fit]]
tag = "PINC"
stack = "N - Q"
band = { limits = "0.010..0.020 mm" }
[[fit]]
tag = "DECK"
stack = "B - N - Q"
band = { limits = "0.040..0.060 mm" }
"""


def pistons(*say: str, pins: str = "", sheet: str = PISTONS) -> Tiny:
    """Return bores 80.01, 80.00, 80.02 with pistons 79.97, 79.95, 79.95 as they sit."""
    job = Tiny(sheet.replace("PINS\n", f"{pins}\n" if pins else ""))
    job.say("B.1 80.010", "B.2 80.000", "B.3 80.020")
    return job.say("P.1 79.97 79.97", "P.2 79.95 79.95", "P.3 79.95 79.95", *say)


def match(job: Tiny, tag: str = "PC") -> list[Seat]:
    return matched(Assessment(job.job), job.job.layout.row(tag, Fit)).seats


def seats(job: Tiny, tag: str = "PC") -> list[tuple[str, str, str]]:
    """Return position, part and deviation from the aim."""
    return [(seat.position[0], seat.part, str(seat.deviation)) for seat in match(job, tag)]


def refusal(job: Tiny, tag: str = "PC") -> list[str]:
    with pytest.raises(NotUnderstoodError) as refused:
        match(job, tag)
    return refused.value.as_lines()


# ---- parts of the stack


def test_the_worst_deviation_from_the_middle_is_made_least() -> None:
    """As they sit: 0.04, 0.05, 0.07. The large piston to the large bore: 0.06, 0.05, 0.05."""
    first, second, third = match(pistons())
    assert (first.part, first.stays, first.deviation) == ("piston.3", False, F("0.01"))
    assert first.moves == (("piston.1", "piston.3"),)
    assert (second.part, second.stays, second.deviation, second.moves) == ("2", True, F(0), ())
    assert (third.part, third.moves) == ("piston.1", (("piston.3", "piston.1"),))
    assert [seat.result.mean for seat in (first, second, third)] == [
        F("0.06"),
        F("0.05"),
        F("0.05"),
    ]
    assert [seat.result.position for seat in (first, second, third)] == [("1",), ("2",), ("3",)]


def test_the_aim_goes_before_the_middle_and_may_stand_alone() -> None:
    sheet = PISTONS.replace(
        '"0.040..0.060 mm", wear = "..0.080 mm"', '"..0.080 mm", aim = "0.04 mm"'
    )
    assert seats(pistons(sheet=sheet)) == [
        ("1", "piston.3", "1/50"), ("2", "2", "1/100"), ("3", "piston.1", "1/100"),
    ]  # fmt: skip


def test_ties_are_left_where_they_are() -> None:
    job = Tiny(PISTONS.replace("PINS\n", ""))
    job.say("B.1 80.000", "B.2 80.000", "B.3 80.000")
    job.say("P.1 79.95 79.95", "P.2 79.95 79.95", "P.3 79.95 79.95")
    assert all(seat.stays and not seat.moves for seat in match(job))


def test_the_middle_of_tightest_and_loosest_counts() -> None:
    """Piston 3 is oval: 79.93 and 79.97, whose middle is as before."""
    job = pistons("P.3@thrust 79.93 instead", "P.3@axis 79.97 instead")
    assert seats(job)[0] == ("1", "piston.3", "1/100")


def test_under_mean_the_mean_counts() -> None:
    """Of three stations 79.93, 79.97, 79.97 the middle is 79.95, the mean 79.957."""
    sheet = PISTONS.replace('"thrust", "axis"', '"thrust", "axis", "skew"').replace(
        'tag = "PC"', 'tag = "PC"\njudge = "mean"'
    )
    job = Tiny(sheet.replace("PINS\n", "")).say("B.1 80.010", "B.2 80.000", "B.3 80.020")
    job.say("P.1 79.93 79.97 79.97", "P.2 79.95 79.95 79.95", "P.3 79.97 79.97 79.97")
    assert [deviation for _, _, deviation in seats(job)] == ["1/300", "0", "0"]


def test_spares_take_part_and_what_they_replace_stays_out() -> None:
    job = pistons("piston new mark K", "P.K 79.96 79.96", "piston new mark L", "P.L 79.97 79.97")
    first, second, third = match(job)
    assert (first.part, first.moves, first.deviation) == ("K", (("piston.1", "K"),), F(0))
    assert (second.part, second.deviation) == ("2", F(0))
    assert third.deviation == 0
    assert third.part in ("piston.1", "L")
    # Bore 1 and the spare's two readings; not those of the piston that it replaces.
    assert first.result.readings == (2, 12, 13)


def test_a_spare_not_read_at_every_station_takes_no_part() -> None:
    job = pistons("piston new mark K", "P.K@axis 79.96")
    assert "K" not in [part for _, part, _ in seats(job)]


def test_a_part_that_is_not_read_waits_while_there_are_enough_others() -> None:
    job = pistons("piston new mark K", "P.K 79.96 79.96", "strike 7", "strike 8")
    assert seats(job) == [("1", "K", "0"), ("2", "piston.3", "0"), ("3", "piston.1", "0")]


def test_moved_parts_are_still_the_used_parts_they_were_and_new_ones_not() -> None:
    """Wanted is 0.05; the largest piston goes to the largest bore and leaves 0.07 there."""
    job = Tiny(PISTONS.replace("PINS\n", "")).say("B.1 80.030", "B.2 80.000", "B.3 80.000")
    job.say("P.1 79.94 79.94", "P.2 79.96 79.96", "P.3 79.95 79.95")
    assert told(job) == [
        ("piston.2", "7/100", "serviceable", "as found"),
        ("piston.1", "3/50", "in-close", "as found"),
        ("3", "1/20", "in", "as found"),
    ]
    job.say("piston.2 new", "P.2 79.96 79.96")
    assert told(job) == [
        ("piston.2", "7/100", "out", "as left"),
        ("piston.1", "3/50", "in-close", "as found"),
        ("3", "1/20", "in", "as found"),
    ]


def told(job: Tiny) -> list[tuple[str, str, str, str]]:
    """Return part, figure, verdict and stage at each position of PC."""
    return [(s.part, str(s.result.mean), s.result.verdict, s.result.stage) for s in match(job)]


def test_too_few_measured_parts_are_said() -> None:
    job = Tiny(PISTONS.replace("PINS\n", "")).say("B.1 80.0", "B.2 80.0", "B.3 80.0")
    assert refusal(job) == [
        "Nothing to match. 0 parts measured for 3 places of PC.",
        "  See what is wanted:  bedplate check PC",
    ]
    assert refusal(job.say("P.2 79.95 79.95"))[0] == (
        "Nothing to match. 1 part measured for 3 places of PC."
    )


def test_a_place_that_is_not_measured_cannot_be_filled() -> None:
    job = pistons("strike 2")
    assert refusal(job) == [
        "Nothing to match. Not every place of PC can be filled by a measured part.",
        "  See what is wanted:  bedplate check PC",
    ]


def test_one_limit_and_no_aim_is_refused_with_the_cure() -> None:
    sheet = PISTONS.replace('"0.040..0.060 mm", wear', '"..0.060 mm", wear')
    assert refusal(pistons(sheet=sheet)) == [
        "Nothing to match. PC has limits on one side and no aim.",
        '  Type:  bedplate amend fit PC --aim "3 thou" --why ...',
    ]


NOTHING = [
    "Nothing to match. No part of PC can change places so that it matters.",
    "  A part can, if its component has the positions of the fit and other parts of it stay.",
]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('id = "piston"\npositions = "cyl"', 'id = "piston"'),
        ('stack = "B - P"', 'stack = "B@1 - P@1"'),
        ('id = "piston"', 'id = "piston"\nkeep = "block"'),
    ],
)
def test_where_nothing_can_change_places_it_is_said(before: str, after: str) -> None:
    sheet = PISTONS.replace(before, after)
    if 'id = "piston"\n[[' in sheet:
        sheet = sheet.replace(
            'of = "piston"\nstations', 'of = "piston"\npositions = "cyl"\nstations'
        )
        sheet = sheet.replace(
            'tag = "N"\nof = "piston"', 'tag = "N"\nof = "piston"\npositions = "cyl"'
        )
    job = Tiny(sheet.replace("PINS\n", ""))
    assert refusal(job) == NOTHING


# ---- matched sets


def test_of_equals_the_fewest_parts_move() -> None:
    """N + Q is 79.97, 79.95, 79.95, as the pistons by themselves are above; all N are alike."""
    job = pistons("N.1 40.00", "N.2 40.00", "N.3 40.00", "Q.1 39.97", "Q.2 39.95", "Q.3 39.95")
    first, *_ = match(job, "DECK")
    assert (first.part, first.moves) == ("pin.3", (("pin.1", "pin.3"),))


@pytest.mark.parametrize(("owner", "mate"), [("pin", "piston"), ("piston", "pin")])
def test_what_is_matched_goes_along_though_the_fit_does_not_name_it(owner: str, mate: str) -> None:
    sheet = PISTONS.replace(f'id = "{owner}"', f'id = "{owner}"\nkeep = "{mate}"')
    job = pistons("piston new mark K", "P.K 79.96 79.96", sheet=sheet)
    first, *_ = match(job)
    assert first.moves == (("piston.1", "piston.3"), ("pin.1", "pin.3"))
    assert "K" not in [part for _, part, _ in seats(job)]


def test_a_set_of_all_positions_is_not_parted_by_a_spare() -> None:
    sheet = PISTONS.replace('id = "piston"', 'id = "piston"\nkeep = "piston"')
    job = pistons("piston new mark K", "P.K 79.96 79.96", sheet=sheet)
    assert [part for _, part, _ in seats(job)] == ["piston.3", "2", "piston.1"]


def test_what_is_matched_to_what_stays_does_not_change_places() -> None:
    """Pistons move over pins that keep to the block: 0.005 and 0.025 become 0.015 both."""
    job = pistons("N.1 40.00", "N.2 40.01", "N.3 40.00", pins='keep = "block"')
    job.say("Q.1 39.995", "Q.2 39.985", "Q.3 39.985")
    assert [seat.moves for seat in match(job, "PINC")] == [
        (("piston.1", "piston.2"),), (("piston.2", "piston.1"),), (),
    ]  # fmt: skip


def test_where_all_could_change_places_the_first_named_stays() -> None:
    job = pistons("N.1 40.00", "N.2 40.01", "N.3 40.00")
    job.say("Q.1 39.995", "Q.2 39.985", "Q.3 39.985")
    assert [seat.moves for seat in match(job, "PINC")] == [
        (("pin.1", "pin.2"),), (("pin.2", "pin.1"),), (),
    ]  # fmt: skip


def test_one_matched_set_by_itself_has_nothing_to_go_to() -> None:
    job = pistons(*(f"N.{n} 40.0" for n in "123"), pins='keep = "piston"')
    job.say(*(f"Q.{n} 39.985" for n in "123"))
    assert refusal(job, "PINC")[0] == (
        "Nothing to match. No part of PINC can change places so that it matters."
    )


# ---- two axes

VALVES = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
port = ["in", "ex"]
[[component]]
id = "head"
[[component]]
id = "valve"
positions = "port/cyl"
[[feature]]
tag = "G"
of = "head"
positions = "cyl/port"
[[feature]]
tag = "S"
of = "valve"
[[fit]]
tag = "STEM"
stack = "G - S"
band = { limits = "0.04..0.06 mm" }
"""


def test_places_are_named_in_the_order_of_the_component() -> None:
    job = Tiny(VALVES).say(*(f"G.{c}/{p} 8.00" for c in "12" for p in ("in", "ex")))
    job.say("G.2/in 8.02 instead", "S.in/1 7.97", "S.ex/1 7.95", "S.in/2 7.95", "S.ex/2 7.95")
    moves = {seat.position: seat.moves for seat in match(job, "STEM")}
    assert moves == {
        ("1", "in"): (("valve.in/1", "valve.in/2"),), ("1", "ex"): (),
        ("2", "in"): (("valve.in/2", "valve.in/1"),), ("2", "ex"): (),
    }  # fmt: skip


# ---- a part that the reading feels and the stack does not name

LASH = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2", "3"]
side = ["a", "b"]
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
stations = "side"
[[fit]]
tag = "LASH"
stack = "L"
band = { limits = "0.15..0.25 mm", wear = "0.12..0.28 mm" }
adjust = [
  { feature = "L", make = "larger" },
  { feature = "SH", sizes = "2.40..3.10 step 0.05 mm", effect = "-1" },
]
"""


@pytest.fixture
def lash() -> Tiny:
    """Lash 0.10, 0.30, 0.20 with shims of 2.70, 2.60, 2.50: 0.1 too thick, 0.1 too thin, right."""
    job = Tiny(LASH).say("L.1 0.10", "L.2 0.30", "L.3 0.20")
    return job.say("SH.1 2.70 2.70", "SH.2 2.61 2.59", "SH.3 2.50 2.50")


def test_shims_that_a_fit_only_feels_change_places(lash: Tiny) -> None:
    """Wanted are 2.60, 2.70 and 2.50."""
    first, second, third = match(lash, "LASH")
    assert (first.part, first.moves, first.deviation) == ("shim.2", (("shim.1", "shim.2"),), F(0))
    assert (second.part, second.moves) == ("shim.1", (("shim.2", "shim.1"),))
    assert (third.stays, third.moves, third.part) == (True, (), "3")
    assert (first.result.mean, first.result.verdict, first.result.stage) == (
        F("0.20"), "in", "as found",
    )  # fmt: skip


def test_an_effect_of_its_own_counts(lash: Tiny) -> None:
    """With the shim on a rocker of 1 : 2, the swap moves the lash by twice the difference."""
    job = Tiny(LASH.replace('effect = "-1"', 'effect = "-1/2"'))
    job.say("L.1 0.10", "L.2 0.30", "L.3 0.20", "SH.1 2.70 2.70", "SH.2 2.50 2.50", "SH.3 2.5 2.5")
    first, *_ = match(job, "LASH")
    assert (first.moves, first.result.mean) == ((("shim.1", "shim.2"),), F("0.20"))


def test_spare_shims_take_part_and_are_held_to_the_band(lash: Tiny) -> None:
    lash.say("L.3 0.10 instead", "shim new mark K", "SH.K 2.34 2.34")
    third = match(lash, "LASH")[2]
    assert (third.part, third.moves) == ("K", (("shim.3", "K"),))
    assert (third.deviation, third.result.mean) == (F("0.06"), F("0.26"))
    assert (third.result.verdict, third.result.stage, third.result.wear) == (
        "out",
        "as left",
        None,
    )


def test_a_used_shim_from_stock_leaves_the_wear_limits(lash: Tiny) -> None:
    lash.say("shim.3 new mark K", "SH.3 2.40 2.40", "L.3 0.26 instead")
    seat = match(lash, "LASH")[2]
    assert (seat.part, seat.result.mean, seat.result.verdict) == ("shim.3", F("0.16"), "in")
    assert seat.result.stage == "as found"


def test_a_shim_read_at_one_end_only_is_not_known(lash: Tiny) -> None:
    lash.say("strike 6")
    assert refusal(lash, "LASH")[0] == "Nothing to match. 2 parts measured for 3 places of LASH."


def test_a_lash_that_is_not_read_leaves_its_place_unfilled(lash: Tiny) -> None:
    lash.say("strike 2")
    assert refusal(lash, "LASH")[0] == (
        "Nothing to match. Not every place of LASH can be filled by a measured part."
    )


def test_one_shim_under_all_of_them_has_nowhere_to_go() -> None:
    one = LASH.replace('id = "shim"\npositions = "cyl"', 'id = "shim"')
    assert refusal(Tiny(one), "LASH")[0] == (
        "Nothing to match. No part of LASH can change places so that it matters."
    )


@pytest.mark.parametrize("judge", ["every", "mean"])
@pytest.mark.parametrize("bore", ["80.000", "80.000..80.004"])
def test_what_is_told_without_a_judgement_is_what_a_judgement_tells(judge: str, bore: str) -> None:
    job = Tiny(f'judge = "{judge}"\n{PISTONS}'.replace("PINS\n", ""))
    job.say("B.1 80.010", f"B.2 {bore}", "P.1 79.97 79.96", "P.2 79.95 79.95")
    assessment = Assessment(job.job)
    fit = job.job.layout.row("PC", Fit)
    for row in assessment.rows(fit):
        result = assessment.row(fit, row)[-1]
        judged = None
        if judge == "every" and result.tightest is not None and result.loosest is not None:
            judged = (result.tightest + result.loosest) / 2 - F("0.05")
        bracket = ".." in bore and row.position == ("2",)
        assert assessment.off_aim(fit, row, {}) == (None if bracket else judged)


BORED = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
[[component]]
id = "block"
[[component]]
id = "piston"
positions = "cyl"
[[feature]]
tag = "B"
of = "block"
positions = "cyl"
nominal = "80.000"
[[feature]]
tag = "P"
of = "piston"
nominal = "79.950"
[[size]]
id = "o5"
nominal = { B = "80.500", P = "80.450" }
[[fit]]
tag = "PC"
stack = "B - P"
band = { limits = "-0.010..0.010 mm", from = "nominal" }
"""


def test_limits_from_nominal_go_by_the_size_of_the_part_that_would_be_there() -> None:
    """Both bores are bored out; an oversize piston waits, and a standard one sits in bore 1."""
    job = Tiny(BORED).say("block reworked size o5", "B.1 80.500", "B.2 80.500")
    job.say("P.1 79.950", "piston.2 new size o5", "P.2 80.460")
    job.say("piston new mark K size o5", "P.K 80.450")
    # By nominal bore 1 with its standard piston is on its aim of 0.55; bore 2 takes K, on 0.05.
    first, second = match(job)
    assert (first.part, first.deviation) == ("1", F(0))
    assert (second.part, second.deviation) == ("K", F(0))
    assert second.result.band is not None
    assert (second.result.band.low, second.result.band.high) == (F("0.04"), F("0.06"))


def test_a_part_of_another_size_is_held_to_its_own_nominal_in_its_new_place() -> None:
    """Bore 2 alone is bored out, 3 um under; the oversize piston in bore 1 is 3 um under too."""
    job = Tiny(BORED).say("block reworked touching B.2 size o5", "B.1 80.004", "B.2 80.497")
    job.say("piston.1 new size o5", "P.1 80.447", "P.2 79.954")
    first, second = match(job)
    assert (first.moves, first.deviation) == ((("piston.1", "piston.2"),), F(0))
    assert (second.moves, second.deviation) == ((("piston.2", "piston.1"),), F(0))
    assert second.result.band is not None
    assert (second.result.band.low, second.result.band.high) == (F("0.04"), F("0.06"))


GEARBOX = """
unit = "mm"
source = "Invented handbook"
[axes]
shaft = ["in", "out"]
[[component]]
id = "case"
[[component]]
id = "shaft"
positions = "shaft"
[[component]]
id = "shim"
positions = "shaft"
[[feature]]
tag = "L"
of = "case"
positions = "shaft"
[[feature]]
tag = "S"
of = "shaft"
[[feature]]
tag = "T"
of = "shim"
[[fit]]
tag = "EF"
stack = "L - S - T"
band = { limits = "0.05..0.15 mm" }
"""


def test_parts_that_are_not_matched_may_change_places_each_by_itself() -> None:
    """The shafts are of two lengths and stay; their shims lie the wrong way round."""
    job = Tiny(GEARBOX).say("L.in 120.00", "L.out 140.00", "S.in 119.40", "S.out 139.50")
    job.say("T.in 0.40", "T.out 0.50")
    first, second = match(job, "EF")
    assert (first.moves, first.deviation) == ((("shim.in", "shim.out"),), F(0))
    assert (second.moves, second.deviation) == ((("shim.out", "shim.in"),), F(0))


def test_shafts_and_shims_are_arranged_together() -> None:
    """Neither alone, nor both in pairs, puts each on its aim; 0.10 is wished for everywhere."""
    job = Tiny(GEARBOX.replace('["in", "out"]', '["a", "b", "c"]'))
    job.say("L.a 120.00", "L.b 121.00", "L.c 122.00", "S.a 121.40", "S.b 119.30", "S.c 120.50")
    job.say("T.a 0.40", "T.b 0.60", "T.c 0.50")
    assert [(seat.moves, seat.deviation) for seat in match(job, "EF")] == [
        ((("shaft.a", "shaft.b"), ("shim.a", "shim.b")), F(0)),
        ((("shaft.b", "shaft.c"), ("shim.b", "shim.a")), F(0)),
        ((("shaft.c", "shaft.a"),), F(0)),
    ]


def test_a_spare_shim_is_considered_though_the_shafts_could_move_too() -> None:
    job = Tiny(GEARBOX).say("L.in 120.00", "L.out 140.00", "S.in 119.40", "S.out 139.50")
    job.say("T.in 0.50", "T.out 0.55", "shim new mark K", "T.K 0.40")
    first, second = match(job, "EF")
    assert (first.part, second.part, second.deviation) == ("in", "K", F(0))


def test_shims_in_front_and_behind_change_places_between_all_of_these() -> None:
    """Of four shims at two ends of two shafts the thickest and the thinnest belong together."""
    sheet = GEARBOX.replace('"in", "out"]', '"in", "out"]\nend = ["front", "rear"]')
    sheet = sheet.replace('"shim"\npositions = "shaft"', '"shim"\npositions = "shaft/end"')
    sheet = sheet.replace("- T", "- T@front - T@rear").replace(
        'of = "shaft"', 'of = "case"\npositions = "shaft"'
    )
    job = Tiny(sheet).say("L.in 120.00", "L.out 120.00", "S.in 118.90", "S.out 118.90")
    job.say("T.in/front 0.40", "T.in/rear 0.45", "T.out/front 0.60", "T.out/rear 0.55")
    first, second = match(job, "EF")
    assert (first.moves, first.deviation) == ((("shim.in/rear", "shim.out/front"),), F(0))
    assert (second.moves, second.deviation) == ((("shim.out/front", "shim.in/rear"),), F(0))


def test_a_spare_of_the_first_named_is_considered_where_everything_could_go() -> None:
    job = pistons("N.1 40.00", "N.2 40.00", "N.3 40.00", "Q.1 39.985", "Q.2 39.985", "Q.3 39.96")
    job.say("piston new mark K", "N.K 39.975")
    assert [seat.moves for seat in match(job, "PINC")] == [(), (), (("piston.3", "K"),)]


def test_where_there_are_too_many_arrangements_it_is_said() -> None:
    names = [f"n{at}" for at in range(20)]
    listed = ", ".join(f'"{name}"' for name in names)
    job = Tiny(GEARBOX.replace('"in", "out"', listed))
    for at, name in enumerate(names):
        job.say(
            f"L.{name} 120", f"S.{name} {119 + at * 0.01:.2f}", f"T.{name} {1 - at * 0.01:.2f}"
        )
    found = matched(Assessment(job.job), job.job.layout.row("EF", Fit))
    assert found.untried == math.factorial(20) ** 2
    assert {seat.deviation for seat in found.seats} == {F("-0.1")}
