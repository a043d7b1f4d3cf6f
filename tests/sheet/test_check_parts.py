"""Components, features and sizes: units, nominals, what they refer to."""

from __future__ import annotations

from sheet_faults import said, said_after


def test_an_unknown_unit_of_the_sheet_is_a_fault() -> None:
    assert said('unit = "thuo"') == ['2: There is no unit "thuo". Nearest: thou']


def test_a_unit_is_needed_once_for_all_features() -> None:
    assert said('[[component]]\nid = "body"\n[[feature]]\ntag = "D"\nof = "body"') == [
        "4: D has no unit, and the sheet has none.\n"
        'At the top of the sheet:  unit = "mm"   or   unit = "in"'
    ]


def test_features_with_their_own_units_need_none_of_the_sheet() -> None:
    assert (
        said('[[component]]\nid = "body"\n[[feature]]\ntag = "D"\nof = "body"\nunit = "in"') == []
    )


def test_a_nominal_of_another_dimension_is_a_fault() -> None:
    assert said_after('[[feature]]\ntag = "P"\nof = "body"\nunit = "psi"\nnominal = "3 mm"') == [
        '5: "3 mm" is a length, not a pressure.\nA pressure reads like  32psi  2.2bar  220kPa  '
        "20inHg"
    ]


def test_a_nominal_is_one_figure() -> None:
    assert said_after('[[feature]]\ntag = "P"\nof = "body"\nnominal = "3..4"') == [
        '4: "3..4" has two ends; here stands one figure.'
    ]


def test_a_nominal_by_name_names_positions_or_stations() -> None:
    assert said_after("""
[[feature]]
tag = "W"
of = "gear"
nominal = { driver = "2.0", idlr = "2.1" }
""") == ['4: W has no position or station "idlr". Nearest: idler']


def test_two_names_on_one_axis_make_no_nominal() -> None:
    assert said_after("""
[[feature]]
tag = "W"
of = "gear"
nominal = { "driver/idler" = "2.0" }
""") == ['4: "driver/idler" has two names on the one axis gear.']


def test_a_name_on_two_axes_makes_no_nominal() -> None:
    assert said_after("""
[[feature]]
tag = "W"
of = "gear"
stations = { end = ["driver", "free"] }
nominal = { driver = "2.0" }
""") == ['5: "driver" stands on several axes of W: gear, end.']


def test_the_same_names_in_another_order_are_the_same_nominal() -> None:
    assert said_after("""
[[feature]]
tag = "W"
of = "gear"
stations = "tooth"
nominal = { "driver/a" = "2.0", "a/driver" = "2.1" }
""") == ['5: "a/driver" says the same as "driver/a".']


def test_a_nominal_by_name_without_names_is_a_fault() -> None:
    assert said_after('[[feature]]\ntag = "W"\nof = "gear"\nnominal = {}') == [
        '4: Here stands no nominal:  nominal = { in = "7.980", ex = "7.965" }'
    ]


def test_a_feature_waits_for_fastener_sets_only() -> None:
    assert said_after('[[feature]]\ntag = "W"\nof = "gear"\nwhen = ["body", "N"]') == [
        "4: body is a component; here belongs a fastener set. This sheet has no fastener sets.",
        '4: No fastener set "N". This sheet has no fastener sets.',
    ]


def test_a_part_is_kept_with_a_component() -> None:
    assert said_after('[[component]]\nid = "cap"\nkeep = "geer"') == [
        '3: No component "geer". Nearest: gear'
    ]


def test_an_expansion_is_small() -> None:
    assert said_after('[[component]]\nid = "cap"\nexpansion = "11.7"') == [
        '3: "11.7" is more than any metal expands per degC.\nDid you mean  11.7e-6'
    ]


def test_an_unknown_material_is_no_fault() -> None:
    assert said_after('[[component]]\nid = "cap"\nmaterial = "unobtainium"') == []


def test_a_size_names_features() -> None:
    assert said_after('[[size]]\nid = "u50"\nnominal = { Dd = "47.490", H = "1 psi" }') == [
        '3: No feature "Dd". Nearest: D (bore depth)',
        '3: "1 psi" is a pressure, not a length.\n'
        'A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"',
    ]


def test_a_size_without_nominals_is_a_fault() -> None:
    assert said_after('[[size]]\nid = "u50"\nnominal = {}') == [
        '3: A size says the nominals it changes:  nominal = { PJ = "47.490" }'
    ]


def test_a_size_names_a_feature_once() -> None:
    assert said_after('[[size]]\nid = "u50"\nnominal = { H = "1", h = "2" }') == [
        '3: "h" stands twice here.'
    ]


def test_an_unknown_unit_of_a_feature_is_said_once() -> None:
    assert said_after("""
[[feature]]
tag = "W"
of = "gear"
unit = "inn"
nominal = "2"
[[fit]]
tag = "X"
stack = "W"
""") == ['4: There is no unit "inn". Nearest: in, min']
