"""Names of a sheet: axes and what stands on them, rows, positions and stations."""

from __future__ import annotations

from sheet_faults import said, said_after


def test_a_sheet_without_slips_is_sound() -> None:
    assert said_after("") == []


def test_an_axis_without_names_is_a_fault() -> None:
    assert said("[axes]\ngear = []") == ['3: "gear" has no names:  gear = ["a", "b"]']


def test_a_name_twice_on_an_axis_is_a_fault() -> None:
    assert said('[axes]\ngear = ["a", "b", "a"]') == ['3: "a" stands twice here.']


def test_names_on_an_axis_that_differ_by_capitals_are_a_fault() -> None:
    assert said('[axes]\nport = ["in", "IN"]') == ['3: "in" and "IN" differ only by capitals.']


def test_all_is_no_name_on_an_axis() -> None:
    assert said('[axes]\nport = ["in", "All"]') == [
        '3: "all" stands for every name of an axis and cannot be one of them.'
    ]


def test_axes_that_differ_by_capitals_are_a_fault() -> None:
    assert said('[axes]\nport = ["in"]\nPort = ["ex"]') == [
        "4: Port and port differ only by capitals; they would be one axis."
    ]


def test_a_coordinate_that_is_no_length_is_a_fault() -> None:
    assert said('unit = "mm"\n[axes]\nacross = { "1" = "0", "2" = "80 psi" }') == [
        '4: "80 psi" is a pressure, not a length.\n'
        'A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"'
    ]


def test_a_moment_twice_is_a_fault() -> None:
    assert said('moments = ["handover", "handover"]') == ['2: "handover" stands twice here.']


def test_no_moment_at_all_is_a_fault() -> None:
    assert said("moments = []") == ['2: Name a moment at least:  moments = ["handover"]']


def test_two_rows_of_one_name_are_a_fault() -> None:
    assert said_after('[[proof]]\ntag = "D"\ntext = "Turns"') == [
        '2: "D" is taken by the feature D (line 12); choose another tag.'
    ]


def test_two_rows_that_differ_by_capitals_are_a_fault() -> None:
    assert said_after('[[step]]\nid = "Body"\ntext = "Clean it"') == [
        '2: "Body" differs only by capitals from the component body (line 7).'
    ]


def test_an_axis_may_bear_the_name_of_a_component() -> None:
    assert said('[axes]\nbody = ["a"]\n[[component]]\nid = "body"\npositions = "body"') == []


def test_an_unknown_axis_is_a_fault_with_the_nearest_named() -> None:
    assert said_after('[[component]]\nid = "shaft"\npositions = "gaer/tooth"') == [
        '3: No axis "gaer". Nearest: gear'
    ]


def test_an_axis_twice_in_one_address_is_a_fault() -> None:
    assert said_after('[[component]]\nid = "shaft"\npositions = "gear/gear"') == [
        '3: "gear" stands twice here.'
    ]


def test_an_axis_in_place_may_not_bear_the_name_of_one_of_the_sheet() -> None:
    assert said_after('[[component]]\nid = "shaft"\npositions = { gear = ["a", "b"] }') == [
        '3: "gear" is an axis under [axes] (line 5). Write  "gear"  alone to use it, '
        "or give this one another name."
    ]


def test_only_one_axis_stands_in_place() -> None:
    assert said_after('[[component]]\nid = "shaft"\npositions = { x = ["a"], y = ["b"] }') == [
        "3: One axis may be written in place, and here are 2. Name them under [axes] and "
        'join them:  "cyl/port"'
    ]


def test_names_of_an_axis_in_place_are_checked_too() -> None:
    assert said_after('[[component]]\nid = "shaft"\npositions = { x = ["a", "a"] }') == [
        '3: "a" stands twice here.'
    ]


def test_stations_cannot_run_along_an_axis_of_the_positions() -> None:
    assert said_after('[[feature]]\ntag = "B"\nof = "gear"\nstations = "gear"') == [
        '4: "gear" is an axis of its positions already; stations need another.'
    ]


def test_an_unknown_component_is_a_fault_with_the_nearest_named() -> None:
    assert said_after('[[feature]]\ntag = "B"\nof = ["bdy", "gear"]') == [
        '3: No component "bdy". Nearest: body'
    ]


def test_a_feature_is_not_measured_on_a_feature() -> None:
    assert said_after('[[feature]]\ntag = "B"\nof = "D"') == [
        "3: D is a feature; here belongs a component. Components: body, gear"
    ]


def test_a_component_twice_in_one_list_is_a_fault() -> None:
    assert said_after('[[feature]]\ntag = "B"\nof = ["body", "Body"]') == [
        "3: body stands twice in this list."
    ]


def test_a_feature_of_nothing_is_a_fault() -> None:
    assert said_after('[[feature]]\ntag = "B"\nof = []') == [
        '3: A feature is measured on a component:  of = "body"'
    ]


def test_components_of_one_feature_agree_on_the_axis_they_share() -> None:
    assert said_after("""
[[component]]
id = "rod"
positions = { throw = ["1", "2"] }
[[component]]
id = "shell"
positions = { throw = ["1", "2", "3"] }
[[feature]]
tag = "PB"
of = ["rod", "shell"]
""") == ["9: positions of rod (1, 2) and shell (1, 2, 3) do not match."]


def test_a_row_has_at_most_a_hundred_thousand_places() -> None:
    names = ", ".join(f'"{n}"' for n in range(60))
    axes = "\n".join(f"{axis} = [\n{names[: len(names)]}]" for axis in ("a", "b", "c"))
    assert said(f'unit = "mm"\n[axes]\n{axes}\n[[component]]\nid = "x"\npositions = "a/b/c"') == [
        "12: This comes to 216,000 places; 100,000 are the most."
    ]


def test_what_follows_from_a_faulty_axis_is_not_said_as_well() -> None:
    assert said_after("""
[[feature]]
tag = "B"
of = "gear"
stations = "toth"
[[fit]]
tag = "X"
stack = "D - B@a"
""") == ['4: No axis "toth". Nearest: tooth']
