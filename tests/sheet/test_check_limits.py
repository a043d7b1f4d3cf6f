"""Limits: figures, sources, wear, names they are for, and which of several holds."""

from __future__ import annotations

from sheet_faults import PARTS, said_after

UNSOURCED = PARTS.replace('source = "Invented handbook"\n', 'title = "x"\n')


def band(text: str, *, keys: str = "", after: str = "", parts: str = PARTS) -> list[str]:
    """Return the faults of the band in line 4 of a fit of D - H, further keys in line 5."""
    toml = f'[[fit]]\ntag = "EC"\nstack = "D - H"\nband = {text}\n{keys}\n{after}'
    return said_after(toml, parts)


def test_limits_with_a_source_are_sound() -> None:
    assert band('{ limits = "2..4 thou", wear = "1..6 thou", aim = "3 thou" }') == []


def test_limits_need_a_source() -> None:
    assert band('{ limits = "2..4 thou" }', parts=UNSOURCED) == [
        "4: A band needs its source: where does 2..4 thou come from?\n"
        'source = "p. 31"  beside it, or once for all at the top of the sheet.'
    ]
    assert band('{ limits = "2..4 thou", source = "p. 31" }', parts=UNSOURCED) == []


def test_one_figure_is_no_limits() -> None:
    assert band('{ limits = "3 thou" }') == [
        '4: "3 thou" is one figure; limits have two ends, or one left open.\n'
        "At most:  ..3 thou     at least:  3 thou..     both:  2..4 thou"
    ]


def test_limits_the_wrong_way_round_are_a_fault() -> None:
    assert band('{ limits = "4..2 thou" }') == [
        '4: "4..2 thou" has its higher end first.\nType the lower end first:  4..5'
    ]


def test_limits_measure_what_the_fit_does() -> None:
    assert band('{ limits = "2..4 psi" }') == ['4: "2..4 psi" is a pressure; EC is a length.']


def test_a_wear_limit_needs_a_limit_on_its_side() -> None:
    assert band('{ limits = "..4 thou", wear = "1.. thou" }') == [
        "4: A low wear limit needs a low limit; here is none."
    ]


def test_a_wear_limit_does_not_lie_inside_the_limits() -> None:
    assert band('{ limits = "2..4 thou", wear = "2.1..3.5 thou" }') == [
        "4: The low wear limit lies inside the limits; it is the wider one.",
        "4: The high wear limit lies inside the limits; it is the wider one.",
    ]


def test_a_wear_limit_may_lie_on_the_limit() -> None:
    assert band('{ limits = "2..4 thou", wear = "2..4 thou" }') == []


def test_an_aim_is_a_figure_of_the_same_kind_and_may_lie_outside() -> None:
    assert band('{ limits = "2..4 thou", aim = "9 thou" }') == []
    assert band('{ limits = "2..4 thou", aim = "3..4" }') == [
        '4: "3..4" has two ends; here stands one figure.'
    ]


# ---- for ----------------------------------------------------------------------------------


def test_a_band_is_for_a_position_a_station_or_a_size() -> None:
    size = '[[size]]\nid = "u50"\nnominal = { H = "0.9" }'
    bands = (
        '[{ limits = "2..4" }, { limits = "2..5", for = "idler" }, '
        '{ limits = "2..6", for = "idler/a" }, { limits = "2..7", for = "u50/driver" }]'
    )
    assert band(bands, after=size) == []


def test_an_unknown_name_of_a_band_is_named_with_the_nearest() -> None:
    assert band('{ limits = "2..4", for = "idlr" }') == [
        '4: EC has no position, station or size "idlr". Nearest: idler'
    ]


def test_a_name_on_two_axes_is_no_name_for_a_band() -> None:
    size = '[[size]]\nid = "a"\nnominal = { H = "0.9" }'
    assert band('{ limits = "2..4", for = "a" }', after=size) == [
        '4: "a" can be one of several here: axis tooth, size a.'
    ]


def test_a_band_is_not_for_two_names_of_one_axis() -> None:
    assert band('{ limits = "2..4", for = "driver/idler" }') == [
        '4: "driver/idler" has two names on one axis.'
    ]


def test_a_band_may_name_a_station_that_the_stack_holds() -> None:
    assert (
        said_after('[[fit]]\ntag = "EC"\nstack = "D - H@a"\nband = { limits = "2..4", for = "a" }')
        == []
    )


def test_under_the_mean_no_station_counts() -> None:
    assert band('{ limits = "2..4", for = "a" }', keys='judge = "mean"') == [
        "4: EC is judged by its mean, all stations together: its band is for positions and "
        'sizes only, not for "a".'
    ]
    assert band('{ limits = "2..4", for = "idler" }', keys='judge = "mean"') == []


def test_a_spread_may_be_judged_line_by_line_in_a_sheet_of_means() -> None:
    toml = '[[fit]]\ntag = "S"\nspread = "H"\nalong = "gear"\nband = { limits = "..4", for = "a" }'
    assert said_after(toml, PARTS.replace('unit = "mm"', 'unit = "mm"\njudge = "mean"')) == []


def test_two_bands_for_the_same_are_a_fault() -> None:
    assert band('[{ limits = "2..4", for = "idler" }, { limits = "2..5", for = "Idler" }]') == [
        '4: Another band (line 24) holds for "Idler" already; keep one of them.'
    ]
    assert band('[{ limits = "2..4" },\n{ limits = "2..5" }]') == [
        "5: Another band (line 24) holds already; keep one of them."
    ]


def test_two_equally_particular_bands_that_meet_are_a_fault() -> None:
    bands = '[\n{ limits = "2..4", for = "idler" },\n{ limits = "2..5", for = "a" }]'
    assert band(bands) == [
        '6: At idler/a this band and that for "idler" (line 25) hold alike.\n'
        'Add one for both:  for = "idler/a"'
    ]


def test_a_more_particular_band_settles_which_of_two_holds() -> None:
    bands = (
        '[{ limits = "2..4", for = "idler" }, { limits = "2..5", for = "a" }, '
        '{ limits = "2..6", for = "a/idler" }]'
    )
    assert band(bands) == []


def test_bands_for_sizes_of_one_feature_exclude_each_other() -> None:
    sizes = '[[size]]\nid = "u25"\nnominal = { H = "0.9" }\n[[size]]\nid = "u50"\n'
    sizes += 'nominal = { H = "0.8" }'
    bands = '[{ limits = "2..4", for = "u25" }, { limits = "2..5", for = "u50" }]'
    assert band(bands, after=sizes) == []


# ---- from nominal -------------------------------------------------------------------------


def test_limits_from_nominal_need_a_nominal() -> None:
    assert band('{ limits = "-0.1..0", from = "nominal" }') == [
        "4: Limits from nominal need a nominal; D has none."
    ]


def test_limits_from_nominal_need_it_at_every_position() -> None:
    more = '[[feature]]\ntag = "W"\nof = "gear"\nnominal = { driver = "2.0" }\n'
    more += '[[fit]]\ntag = "WF"\nstack = "W"\nband = { limits = "0..1", from = "nominal"%s }'
    assert said_after(more % "") == [
        "8: Limits from nominal need a nominal; W has none for idler."
    ]
    assert said_after(more % ', for = "driver"') == []


def test_a_size_gives_the_nominal_that_its_band_is_from() -> None:
    more = '[[size]]\nid = "u50"\nnominal = { D = "0.9" }\n'
    more += '[[fit]]\ntag = "DF"\nstack = "D"\n'
    more += 'band = { limits = "0..1", from = "nominal", for = "u50" }'
    assert said_after(more) == []


def test_a_spread_has_no_nominal() -> None:
    more = '[[fit]]\ntag = "S"\nspread = "H"\nalong = "tooth"\n'
    more += 'band = { limits = "..1", from = "nominal" }'
    assert said_after(more) == ["5: Only a stack has a nominal that limits can be from."]


# ---- stages -------------------------------------------------------------------------------


def stage(text: str, parts: str = PARTS) -> list[str]:
    """Return the faults of one stage, in line 3."""
    return said_after(f'[[fasteners]]\ntag = "N"\nstages = [{text}]', parts)


def test_a_stage_is_a_torque_or_an_angle() -> None:
    assert (
        stage('{ limits = "16..18 lbf*ft" }, { limits = "60 N*m" }, { limits = "60..65 deg" }')
        == []
    )
    assert stage('{ limits = "3 mm" }') == [
        '3: "3 mm" is no torque and no angle. A stage reads like\n'
        '"16..18 lbf*ft"   "60 N*m"   "60..65 degree"'
    ]


def test_a_stage_says_its_unit() -> None:
    assert stage('{ limits = "60" }') == [
        '3: "60" is no torque and no angle. A stage reads like\n'
        '"16..18 lbf*ft"   "60 N*m"   "60..65 degree"'
    ]


def test_a_stage_that_cannot_be_read_is_a_fault() -> None:
    assert stage('{ limits = "18..16 N*m" }') == [
        '3: "18..16 N*m" has its higher end first.\nType the lower end first:  4..5'
    ]


def test_a_stage_needs_a_source() -> None:
    assert stage('{ limits = "60 N*m" }', UNSOURCED) == [
        "3: A stage needs its source: where does 60 N*m come from?\n"
        'source = "p. 31"  beside it, or once for all at the top of the sheet.'
    ]


def test_a_stage_has_no_wear_limit() -> None:
    assert stage('{ limits = "60 N*m", wear = "..70 N*m", for = "x" }') == [
        "3: A stage has limits and a source; wear is for bands.",
        "3: A stage has limits and a source; for is for bands.",
    ]


def test_a_bare_wear_limit_is_in_the_unit_of_the_limits_beside_it() -> None:
    assert band('{ limits = "1..2 mm", wear = "..3" }') == []
    assert band('{ limits = "1..2 mm", wear = "..1" }') == [
        "4: The high wear limit lies inside the limits; it is the wider one."
    ]
