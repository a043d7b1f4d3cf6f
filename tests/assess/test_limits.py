"""What a fit is held against: its unit, the nominals, and which band holds where."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.limits import (
    Where,
    band_here,
    base_unit,
    feature_unit,
    fit_unit,
    nominal_of,
    nominal_text,
    shared_bands,
)
from bedplate.metrology.axes import Spot
from bedplate.sheet.model import Fit

F = Fraction

SHEET = """
unit = "in"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
port = ["in", "ex"]
end = ["top", "foot"]
[[component]]
id = "block"
[[component]]
id = "valve"
positions = "cyl/port"
[[component]]
id = "crank"
[[feature]]
tag = "S"
of = "valve"
stations = "end"
nominal = { in = "0.3145", ex = "0.3140", "2/ex" = "0.3130", "2/ex/foot" = "0.3120" }
[[feature]]
tag = "G"
of = "block"
unit = "mm"
nominal = "8.00"
[[feature]]
tag = "PJ"
of = "crank"
nominal = "1.8750"
[[feature]]
tag = "PB"
of = "block"
nominal = "1.8770"
[[feature]]
tag = "N"
of = "block"
[[feature]]
tag = "T"
of = "block"
unit = "N*m"
[[size]]
id = "u20"
nominal = { PJ = "1.8550", pb = "1.8570" }
[[fit]]
tag = "STEM"
stack = "G - S"
band = [
  { limits = "1..3 thou", wear = "..5 thou", aim = "2 thou" },
  { limits = "2..4 thou", for = "ex", source = "p. 7" },
  { limits = "3..5 thou", for = "2/EX" },
  { limits = "4..6 thou", for = "foot/2/ex" },
]
[[fit]]
tag = "JOURNAL"
kind = "size"
stack = "PJ"
band = [
  { limits = "-1..0 thou", from = "nominal", wear = "-0.05mm..", aim = "-0.5 thou" },
  { limits = "-2..0 thou", for = "u20", from = "nominal" },
]
[[fit]]
tag = "ROD"
stack = "PB - PJ"
band = { limits = "-1..1 thou", from = "nominal" }
[[fit]]
tag = "OTHER"
stack = "PB - N"
same_as = "AGAIN"
[[fit]]
tag = "AGAIN"
stack = "PB - PJ"
same_as = "ROD"
"""


@pytest.fixture
def head() -> Tiny:
    return Tiny(SHEET)


def fit_row(tiny: Tiny, tag: str) -> Fit:
    return tiny.job.layout.row(tag, Fit)


def band(tiny: Tiny, tag: str, *names: str, nominal: str | None = None) -> list[str | None]:
    """Return low, high, wear low, wear high and aim of the band that holds, in thou."""
    where = Where(frozenset(names), None if nominal is None else F(nominal))
    found = band_here(tiny.job, fit_row(tiny, tag), where, "thou")
    assert found is not None
    figures = (found.low, found.high, found.wear_low, found.wear_high, found.aim)
    return [None if figure is None else str(figure) for figure in figures]


def nominal(tiny: Tiny, address: str, *, first: bool = False) -> str | None:
    (spot,) = tiny.job.select(address).spots
    return nominal_text(tiny.job, spot, first=first)


# ---- units


def test_a_feature_has_its_own_unit_else_the_sheets(head: Tiny) -> None:
    assert (feature_unit(head.job, "s"), feature_unit(head.job, "G")) == ("in", "mm")


@pytest.mark.parametrize(
    ("keys", "tags", "unit"),
    [
        ('unit = "um"\nband = { limits = "1..3 thou" }', "PB - PJ", "um"),
        ('band = { limits = "1..3 thou" }', "PB - PJ", "thou"),
        ('band = [{ limits = "1..3" }, { limits = "1..3 thou", for = "ex" }]', "S - PJ", "in"),
        ('band = { limits = "1..3" }', "2*G", "mm"),
        ('same_as = "ROD"', "PB - PJ", "thou"),
        ("", "PB - PJ", "in"),
        ("", "2*G", "mm"),
        ("", "G - PJ", "in"),
        ("", "2*T", "N*m"),
    ],
)
def test_the_unit_of_a_fit(keys: str, tags: str, unit: str) -> None:
    sheet = f'{SHEET}[[fit]]\ntag = "X"\nstack = "{tags}"\n{keys}\n'
    tiny = Tiny(sheet)
    named = [tag for tag in ("PB", "PJ", "G", "T", "S") if tag in tags]
    assert fit_unit(tiny.job, fit_row(tiny, "X"), named) == unit


def test_everything_of_one_dimension_is_reckoned_in_one_unit() -> None:
    assert [base_unit(unit) for unit in ("thou", "um", "psi", "lbf*ft", "degF")] == [
        "m", "m", "Pa", "N*m", "degC",
    ]  # fmt: skip


def test_the_band_of_another_way_is_shared_through_as_many_as_there_are(head: Tiny) -> None:
    rod = fit_row(head, "ROD").bands
    assert shared_bands(head.job, fit_row(head, "OTHER")) == rod
    assert shared_bands(head.job, fit_row(head, "AGAIN")) == rod
    ring = fit_row(head, "OTHER").model_copy(update={"tag": "AGAIN", "same_as": "again"})
    assert shared_bands(head.job, ring) == ()


# ---- nominals


@pytest.mark.parametrize(
    ("address", "text"),
    [
        ("S.1/in@top", "0.3145"),
        ("S.1/ex@foot", "0.3140"),
        ("S.2/ex@top", "0.3130"),
        ("S.2/ex@foot", "0.3120"),
        ("G", "8.00"),
        ("N", None),
    ],
)
def test_the_nominal_of_the_most_names_holds(head: Tiny, address: str, text: str | None) -> None:
    assert nominal(head, address) == text


def test_a_size_shifts_the_nominals_it_names_of_the_parts_changed(head: Tiny) -> None:
    head.say("crank reworked size u20")
    assert (nominal(head, "PJ"), nominal(head, "PB")) == ("1.8550", "1.8770")
    assert nominal(head, "PJ", first=True) == "1.8750"
    head.say("block reworked size u20")
    assert nominal(head, "PB") == "1.8570"
    head.say("crank new")
    assert nominal(head, "PJ") == "1.8750"


def test_a_spare_is_counted_from_the_nominal_of_its_own_size() -> None:
    sheet = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
[[component]]
id = "piston"
positions = "cyl"
[[feature]]
tag = "P"
of = "piston"
nominal = "79.950"
[[size]]
id = "o5"
nominal = { P = "80.450" }
"""
    shop = Tiny(sheet).say("piston new mark K size o5", "piston new mark L")
    assert nominal_text(shop.job, Spot("P", ("K",))) == "80.450"
    assert nominal_text(shop.job, Spot("P", ("L",))) == "79.950"


def test_it_came_so_is_no_new_life_and_shifts_all_the_same(head: Tiny) -> None:
    head.say("crank found size u20", "PJ 1.8545")
    assert nominal(head, "PJ") == nominal(head, "PJ", first=True) == "1.8550"
    fit = head.fit("JOURNAL")
    assert (fit.stage, fit.verdict) == ("as found", "in")


def test_a_nominal_comes_with_the_unit_it_is_typed_in(head: Tiny) -> None:
    assert nominal_of(head.job, Spot("G")) == (F(8), "mm")
    assert nominal_of(head.job, Spot("PJ")) == (F("1.875"), "in")
    assert nominal_of(head.job, Spot("N")) is None


def test_a_part_without_a_place_has_the_nominal_that_needs_no_position() -> None:
    sheet = SHEET.replace('"0.3120" }', '"0.3120", top = "0.3000" }')
    tiny = Tiny(sheet).say("valve new mark K")
    assert nominal(tiny, "S.K@top") == "0.3000"
    assert nominal(tiny, "S.K@foot") is None


# ---- which band


@pytest.mark.parametrize(
    ("names", "low"),
    [
        (("1", "in", "top"), "1"),
        (("1", "ex", "foot"), "2"),
        (("2", "ex", "top"), "3"),
        (("2", "ex", "foot"), "4"),
        (("2", "in", "foot"), "1"),
    ],
)
def test_of_several_bands_the_most_particular_holds(
    head: Tiny, names: tuple[str, ...], low: str
) -> None:
    assert band(head, "STEM", *names)[0] == low


def test_a_band_has_wear_and_aim_beside_its_limits(head: Tiny) -> None:
    assert band(head, "STEM", "in") == ["1", "3", None, "5", "2"]
    assert band(head, "STEM", "ex") == ["2", "4", None, None, None]


def test_a_band_is_told_by_its_source_its_own_else_the_sheets(head: Tiny) -> None:
    for names, source in ((frozenset({"in"}), "Invented handbook"), (frozenset({"ex"}), "p. 7")):
        found = band_here(head.job, fit_row(head, "STEM"), Where(names, None), "thou")
        assert found is not None
        assert found.source == source
        assert found.text == found.entry.limits


def test_limits_from_nominal_are_deviations_wear_and_aim_too(head: Tiny) -> None:
    """The wear limit in mm: −0.05 mm is −250/127 thou."""
    assert band(head, "JOURNAL", nominal="1875") == [
        "1874", "1875", str(1875 - F(250, 127)), None, "3749/2",
    ]  # fmt: skip
    assert band(head, "JOURNAL", "u20", nominal="1855")[:2] == ["1853", "1855"]


def test_without_the_nominal_there_is_no_band_from_it(head: Tiny) -> None:
    where = Where(frozenset(), None)
    assert band_here(head.job, fit_row(head, "JOURNAL"), where, "thou") is None


def test_where_no_band_holds_there_is_none() -> None:
    sheet = SHEET.replace('  { limits = "1..3 thou", wear = "..5 thou", aim = "2 thou" },\n', "")
    tiny = Tiny(sheet)
    where = Where(frozenset({"1", "in"}), None)
    assert band_here(tiny.job, fit_row(tiny, "STEM"), where, "thou") is None


def test_where_adds_up_names_sizes_and_nominals(head: Tiny) -> None:
    head.say("crank reworked size u20")
    spot = Spot("S", ("2", "ex"), ("foot",))
    parts = ((F(2), spot), (F(-1), Spot("PJ")))
    where = Where.of(head.job, parts, "thou")
    assert where == Where(frozenset({"2", "ex", "foot", "u20"}), F(624) - F(1855))
    assert Where.of(head.job, parts, "thou", first=True) == Where(
        frozenset({"2", "ex", "foot"}), F(624) - F(1875)
    )
    named = Where.of(head.job, parts, "thou", positions_only=True).names
    assert named == frozenset({"2", "ex", "u20"})


def test_one_nominal_wanting_leaves_the_sum_without(head: Tiny) -> None:
    parts = [(F(1), Spot("N")), (F(1), Spot("PJ"))]
    assert Where.of(head.job, parts, "in").nominal is None
    assert Where.of(head.job, reversed(parts), "in").nominal is None
    assert Where.of(head.job, [(F(1), Spot("G"))], "in").nominal == F(80, 254)


# ---- seen in a fit


def test_a_size_of_both_parts_moves_the_band_by_both(head: Tiny) -> None:
    """From nominal: 1.8570 − 1.8550 is 2 thou, and with the crank alone 22 thou."""
    head.say("crank reworked size u20", "PB 1.8775", "PJ 1.8550")
    fit = head.fit("ROD")
    assert fit.band is not None
    assert (fit.band.low, fit.band.high, fit.verdict) == (F(21), F(23), "in")
    head.say("block reworked size u20", "PB 1.8575")
    fit = head.fit("ROD")
    assert fit.band is not None
    assert (fit.band.low, fit.band.high, fit.verdict) == (F(1), F(3), "in")


def test_wear_limits_hold_for_parts_in_their_first_life_only(head: Tiny) -> None:
    head.say("G 8.000", "S.1/in 0.3105 0.3108")
    assert (head.verdict("STEM.1/in"), head.fit("STEM.1/in").wear is None) == (
        "serviceable",
        False,
    )
    head.say("block reworked", "G 8.000")
    assert (head.verdict("STEM.1/in"), head.fit("STEM.1/in").wear) == ("out", None)


def test_wear_limits_for_any_hold_after_rework_too() -> None:
    head = Tiny(SHEET.replace('stack = "G - S"', 'stack = "G - S"\nwear_for = "any"'))
    head.say("G 8.000", "S.1/in 0.3105 0.3108", "block reworked", "G 8.000")
    assert head.verdict("STEM.1/in") == "serviceable"


def test_a_change_of_another_feature_leaves_the_wear_limits_alone(head: Tiny) -> None:
    head.say("G 8.000", "S.1/in 0.3105 0.3108", "block reworked touching PB")
    assert (head.verdict("STEM.1/in"), head.fit("STEM.1/in").stage) == ("serviceable", "as found")


TWO_UNITS = """
unit = "mm"
source = "Invented handbook"
[[component]]
id = "rod"
[[feature]]
tag = "B"
of = "rod"
[[feature]]
tag = "T"
of = "rod"
unit = "thou"
[[fit]]
tag = "RC"
stack = "B"
band = { limits = "0.025..0.060" }
[[fit]]
tag = "RCT"
stack = "T"
same_as = "RC"
[[fit]]
tag = "WORN"
stack = "B"
unit = "mm"
band = { limits = "2..4 thou", wear = "..6", aim = "3" }
"""


def test_bare_limits_that_two_ways_share_are_in_the_unit_they_were_entered_in() -> None:
    other = Tiny(TWO_UNITS).say("B 0.030", "T 1.5").fit("RCT")
    assert other.band is not None
    limits = (F("0.025") / F("0.0254"), F("0.06") / F("0.0254"))
    assert (other.unit, other.band.low, other.band.high) == ("thou", *limits)


def test_a_bare_wear_limit_is_in_the_unit_of_the_limits_beside_it() -> None:
    """Not in that of the fit: 6 mm would let anything pass."""
    worn = Tiny(TWO_UNITS).say("B 0.12").fit("WORN")
    assert worn.wear is not None
    assert (worn.unit, worn.wear.high, worn.aim) == ("mm", F("0.1524"), F("0.0762"))
