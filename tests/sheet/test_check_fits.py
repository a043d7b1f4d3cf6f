"""Fits: what each is, whether it can be formed, and how it may be brought in."""

from __future__ import annotations

from sheet_faults import said_after


def fit(keys: str, *, after: str = "") -> list[str]:
    """Return the faults of one fit: ``[[fit]]`` is line 1, its tag line 2."""
    return said_after(f'[[fit]]\ntag = "EC"\n{keys}\n{after}')


def test_a_stack_of_known_features_is_sound() -> None:
    assert fit('stack = "D - H@a"') == []


def test_a_fit_says_what_it_is() -> None:
    assert fit("") == [
        "1: A fit says what it is by one of these:\n"
        'stack = "D - H"     spread = "B", along = "way"     flatness = "DK"'
    ]


def test_a_fit_is_one_thing_only() -> None:
    assert fit('stack = "D - H"\nspread = "H"\nalong = "tooth"') == [
        "4: A fit has stack or spread, not both."
    ]


def test_an_unknown_feature_is_named_with_the_nearest() -> None:
    assert fit('stack = "Dd - H"', after='[[feature]]\ntag = "DD1"\nof = "body"') == [
        '3: No feature "Dd". Nearest: DD1, D (bore depth)'
    ]


def test_the_nearest_feature_is_shown_with_its_title() -> None:
    assert fit(
        'stack = "HE - H"', after='[[feature]]\ntag = "HEI"\nof = "body"\nname = "gear height"'
    ) == ['3: No feature "HE". Nearest: HEI (gear height), H']


def test_a_stack_needs_a_tag() -> None:
    assert fit('stack = ""') == ['3: A stack needs a tag at least, as in "D - H".']


def test_what_cancels_does_not_count() -> None:
    assert fit('stack = "D - H - D"') == ['3: D cancels in "D - H - D": it would not count.']


def test_features_that_meet_list_the_same_names() -> None:
    more = '[[feature]]\ntag = "P"\nof = "body"\npositions = { g = ["one", "two"] }\n'
    more += '[[feature]]\ntag = "Q"\nof = "body"\npositions = { g = ["driver", "idler"] }'
    assert fit('stack = "P - Q"', after=more) == [
        '3: positions of P (one, two) and Q (driver, idler) do not match, so "P - Q" '
        "cannot be paired."
    ]


def test_features_that_meet_may_list_their_names_in_another_order() -> None:
    more = '[[feature]]\ntag = "P"\nof = "body"\npositions = { g = ["one", "two"] }\n'
    more += '[[feature]]\ntag = "Q"\nof = "body"\npositions = { g = ["two", "one"] }'
    assert fit('stack = "P - Q"', after=more) == []


def test_a_fit_has_at_most_a_hundred_thousand_combinations() -> None:
    names = ",\n".join(f'"{n}"' for n in range(320))
    more = "".join(
        f'[[feature]]\ntag = "{tag}"\nof = "body"\nstations.{axis} = [\n{names}]\n'
        for tag, axis in (("P", "p"), ("Q", "q"))
    )
    assert fit('stack = "P - Q"', after=more) == [
        '3: "P - Q" comes to 102400 combinations; 100000 are the most a fit may have.\n'
        "Hold a station with @, or measure at fewer."
    ]


def test_lengths_and_pressures_do_not_add_up() -> None:
    more = '[[feature]]\ntag = "RP"\nof = "body"\nunit = "psi"'
    assert fit('stack = "D - RP"', after=more) == [
        "3: D is a length (mm) and RP a pressure (psi); they do not add up."
    ]


def test_a_fit_has_a_unit_of_its_kind() -> None:
    assert fit('stack = "D - H"\nunit = "bar"') == [
        "3: bar measures a pressure, and D is a length."
    ]


def test_an_unknown_unit_of_a_fit_is_said_once() -> None:
    assert fit('stack = "D - H"\nunit = "inn"') == ['4: There is no unit "inn". Nearest: in, min']


# ---- spread -------------------------------------------------------------------------------


def test_a_spread_is_taken_along_an_axis() -> None:
    assert fit('spread = "H"') == [
        "3: A spread needs the axis it is taken along; H has: gear, tooth.\n"
        'For example:  along = "tooth"'
    ]


def test_a_spread_is_taken_along_an_axis_of_its_feature() -> None:
    assert fit('spread = "H"\nalong = "toth"') == ['4: H has no axis "toth". Nearest: tooth']


def test_a_spread_may_run_along_a_position_axis() -> None:
    assert fit('spread = "H"\nalong = "gear"') == []


def test_a_spread_of_one_station_is_none() -> None:
    assert fit('spread = "H"\nalong = "tooth"\nleave = ["a", "c"]') == [
        "4: A spread needs two stations at least; along tooth H has 1."
    ]


def test_what_a_spread_leaves_out_is_there() -> None:
    assert fit('spread = "H"\nalong = "tooth"\nleave = ["z"]') == [
        '5: H has no "z" to leave out. Positions and stations: driver, idler, a, b, c'
    ]


def test_a_spread_is_of_a_feature() -> None:
    assert fit('spread = "body"\nalong = "tooth"') == [
        "3: body is a component; here belongs a feature. Features: D (bore depth), H"
    ]


def test_along_and_leave_belong_to_a_spread_and_method_to_a_flatness() -> None:
    assert fit('stack = "D - H"\nalong = "tooth"\nleave = ["a"]\nmethod = "minimum zone"') == [
        "4: along belongs to a spread; this fit is none.",
        "5: leave belongs to a spread; this fit is none.",
        "6: method belongs to a flatness; this fit is none.",
    ]


# ---- flatness -----------------------------------------------------------------------------

DECK = """
unit = "mm"
[axes]
across = {across}
length = {length}
[[component]]
id = "head"
[[feature]]
tag = "DK"
of = "head"
stations = "across/length"
"""
FLAT = '[[fit]]\ntag = "FL"\nflatness = "DK"'


def test_a_flatness_has_two_axes_with_coordinates() -> None:
    deck = DECK.format(across='{ "1" = "0", "2" = "80" }', length='{ a = "0", b = "2 in" }')
    assert said_after(FLAT, deck) == []


def test_a_flatness_without_coordinates_is_a_fault() -> None:
    deck = DECK.format(across='{ "1" = "0", "2" = "80" }', length='["a", "b"]')
    assert said_after(FLAT, deck) == [
        "3: A flatness needs two station axes with coordinates; DK has not.\n"
        'Under [axes]:  across = { "1" = "0", "2" = "80" }'
    ]


def test_points_in_one_line_make_no_plane() -> None:
    deck = DECK.format(across='{ "1" = "0", "2" = "80" }', length='{ a = "5", b = "5.0" }')
    assert said_after(FLAT, deck) == [
        "3: All points of DK lie in one line: length has one coordinate.\n"
        "A plane needs two places at least each way."
    ]


# ---- due, adjust, same_as -----------------------------------------------------------------


def test_a_moment_is_one_of_the_sheet() -> None:
    assert fit('stack = "D"\ndue = "handver"') == ['4: No moment "handver". Nearest: handover']


def test_an_adjustment_says_what_changes() -> None:
    assert fit('stack = "D - H"\nadjust = [{ feature = "D" }]') == [
        '4: This says not how it changes:  make = "smaller"  (or "larger"),  or\n'
        'sizes = "2.40..3.10 step 0.05 mm"'
    ]


def test_an_adjustment_of_what_the_stack_does_not_name_says_its_effect() -> None:
    more = '[[feature]]\ntag = "SH"\nof = "body"\nname = "shim"'
    assert fit('stack = "D - H"\nadjust = [{ feature = "SH", make = "larger" }]', after=more) == [
        "4: SH (shim) is no part of this fit; say what 1 more of it does to it:\neffect = -1"
    ]
    assert fit('stack = "D - H"\nadjust = [{ feature = "SH", effect = -1 }]', after=more) == []


def test_an_effect_is_a_plain_figure_other_than_nought() -> None:
    assert fit('stack = "D"\nadjust = [{ feature = "D", make = "smaller", effect = 0 }]') == [
        "4: An effect of 0 changes nothing."
    ]
    assert fit('stack = "D"\nadjust = [{ feature = "D", make = "smaller", effect = "1mm" }]') == [
        '4: "1mm" has a unit where a plain figure is wanted.\nType the figure alone.'
    ]


def test_sizes_to_choose_from_are_read() -> None:
    assert fit('stack = "D"\nadjust = [{ feature = "D", sizes = "2.40..3.10 mm" }]') == [
        '4: "2.40..3.10 mm" is no range with a step.\n'
        'Sizes read like  "2.40..3.10 step 0.05 mm"   or   ["2.40 mm", "2.45 mm"]'
    ]


def test_a_pressure_does_not_make_up_for_a_length() -> None:
    more = '[[feature]]\ntag = "RP"\nof = "body"\nunit = "psi"'
    keys = 'stack = "D"\nadjust = [{ feature = "RP", make = "larger", effect = "1/2" }]'
    assert fit(keys, after=more) == [
        "4: RP is a pressure and this fit a length; one cannot make up for the other."
    ]


def test_an_adjusted_feature_is_known() -> None:
    assert fit('stack = "D"\nadjust = [{ feature = "DDD", make = "smaller" }]') == [
        '4: No feature "DDD". Features: D (bore depth), H'
    ]


def test_two_ways_to_one_quantity_share_positions() -> None:
    assert fit('stack = "D - H"\nsame_as = "EC2"', after='[[fit]]\ntag = "EC2"\nstack = "D"') == [
        "4: positions of EC (gear: driver, idler) and EC2 (none) do not match, so they cannot "
        "be two ways to one quantity."
    ]


def test_two_ways_to_one_quantity_measure_the_same() -> None:
    more = '[[feature]]\ntag = "RP"\nof = "body"\nunit = "psi"\n[[fit]]\ntag = "R"\nstack = "RP"'
    assert fit('stack = "D"\nsame_as = "R"', after=more) == ["4: EC is a length and R a pressure."]


def test_two_ways_to_one_quantity_have_one_band() -> None:
    other = '[[fit]]\ntag = "EC2"\nstack = "D"\nband = { limits = "2..3" }'
    keys = 'stack = "D"\nsame_as = "EC2"\nband = { limits = "2..4" }'
    assert fit(keys, after=other) == ["4: EC and EC2 share one band; give it to one of them."]
    assert fit(keys.replace("2..4", "2..3"), after=other) == []


def test_a_fit_is_no_other_way_to_itself() -> None:
    assert fit('stack = "D"\nsame_as = "ec"') == [
        "4: EC names itself; name the other way to the same quantity."
    ]


def test_fits_do_not_name_each_other_in_a_ring() -> None:
    other = '[[fit]]\ntag = "EC2"\nstack = "D"\nsame_as = "EC"'
    assert fit('stack = "D"\nsame_as = "EC2"', after=other) == [
        "4: These name each other in a ring: EC, EC2, EC."
    ]


def test_an_unknown_other_way_is_named_with_the_nearest() -> None:
    assert fit('stack = "D"\nsame_as = "EC3"') == ['4: No fit "EC3". Nearest: EC']
