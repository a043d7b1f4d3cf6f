"""Adding rows to a sheet and changing them."""

from __future__ import annotations

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.checker import check_sheet
from bedplate.sheet.editing import with_row, with_row_amended
from bedplate.sheet.model import Sheet
from bedplate.sheet.option_values import Given

EMPTY = Sheet(format="bedplate-sheet/1", unit="in")


def add(sheet: Sheet, noun: str, row: str, /, **options: Given) -> Sheet:
    added = with_row(sheet, noun, row, _keys(options))
    assert check_sheet(added) == []
    return added


def amend(sheet: Sheet, noun: str, row: str, /, **options: Given) -> Sheet:
    changed = with_row_amended(sheet, noun, row, _keys(options))
    assert check_sheet(changed) == []
    return changed


def _keys(options: dict[str, Given]) -> dict[str, Given]:
    return {key.rstrip("_"): given for key, given in options.items()}


def pump() -> Sheet:
    sheet = add(EMPTY, "component", "body")
    sheet = add(sheet, "component", "gear", positions="driver,idler")
    sheet = add(sheet, "feature", "D", of="body", name="bore depth", nominal="1.0030")
    return add(sheet, "feature", "H", of="gear", name="gear height", nominal="1.0000")


PUMP = pump()


def not_added(noun: str, row: str, sheet: Sheet = PUMP, /, **options: Given) -> list[str]:
    with pytest.raises(NotUnderstoodError) as caught:
        with_row(sheet, noun, row, _keys(options))
    return caught.value.as_lines()


def not_changed(sheet: Sheet, noun: str, row: str, /, **options: Given) -> list[str]:
    with pytest.raises(NotUnderstoodError) as caught:
        with_row_amended(sheet, noun, row, _keys(options))
    return caught.value.as_lines()


# ---- the newcomer's way -------------------------------------------------------------------


def test_names_given_as_positions_make_an_axis_named_as_the_component() -> None:
    assert PUMP.axes == {"gear": ("driver", "idler")}
    assert PUMP.component[1].positions == "gear"


def test_a_band_needs_its_source() -> None:
    assert not_added("fit", "EC", stack="D - H", band="2..4thou") == [
        "Not added. A band needs its source: where does 2..4 thou come from?",
        '  Type the same again with, for example:  --source "Handbook p. 31"',
    ]


def test_a_fit_is_added_with_its_band() -> None:
    sheet = add(
        PUMP, "fit", "EC", name="end clearance", stack="D - H", band="2..4thou",
        source="Handbook p. 31",
    )  # fmt: skip
    assert sheet.as_json()["fit"] == [
        {
            "tag": "EC",
            "name": "end clearance",
            "stack": "D - H",
            "band": {"limits": "2..4 thou", "source": "Handbook p. 31"},
        }
    ]


def test_a_source_of_the_sheet_is_enough() -> None:
    sheet = PUMP.model_copy(update={"source": "Handbook"})
    band = add(sheet, "fit", "EC", stack="D - H", band="2..4thou").fit[0].bands[0]
    assert (band.limits, band.source) == ("2..4 thou", None)


def test_a_feature_needs_a_unit_from_somewhere() -> None:
    sheet = add(Sheet(format="bedplate-sheet/1"), "component", "body")
    assert not_added("feature", "D", sheet, of="body", name="bore depth") == [
        "Not added. D (bore depth) has no unit, and the sheet has none.",
        "  Type the same again with:  --unit mm   or   --unit in",
    ]
    assert add(sheet, "feature", "D", of="body", unit="mm").feature[0].unit == "mm"


# ---- what is refused ----------------------------------------------------------------------


def test_a_feature_needs_its_component() -> None:
    assert not_added("feature", "X") == [
        "Not added. A feature is measured on a component: on which? Components: body, gear.",
        "  Type the same again with, for example:  --of body",
    ]
    assert not_added("feature", "X", of="bdy") == ['Not added. No component "bdy". Nearest: body']


@pytest.mark.parametrize(
    ("noun", "lines"),
    [
        ("fit", ["Not added. A fit says what it is worked out from.",
                 '  Type the same again with, for example:  --stack "D - H"']),
        ("step", ["Not added. A step says what is to be done.",
                  '  Type the same again with, for example:  --text "Cover, new gasket, nuts"']),
        ("proof", ["Not added. A proof says what is to be shown, or by which fit it passes.",
                   '  Type the same again with, for example:  --text "Turns freely by hand"']),
        ("size", ["Not added. A size says the nominals it changes.",
                  "  Type the same again with, for example:  --nominal PJ=47.490,PB=47.530"]),
        ("axis", ["Not added. An axis needs its names.", "  Type:  --names a,b,c   for x"]),
    ],
)  # fmt: skip
def test_a_row_has_what_it_must_have(noun: str, lines: list[str]) -> None:
    assert not_added(noun, "x") == lines


def test_a_name_is_taken_once() -> None:
    assert not_added("feature", "BODY", of="body") == [
        "Not added. There is a component body already; all names of a sheet differ.",
        "  To change it:  bedplate amend component body ... --why ...",
    ]


def test_a_name_has_letters_digits_and_two_signs() -> None:
    assert not_added("component", "cover plate") == [
        'Not added. "cover plate" is no name: a name has only letters, digits, - and _, '
        "at most 64.",
        '  For example:  "cover-plate"',
    ]


def test_an_unknown_option_is_named_with_the_nearest() -> None:
    assert not_added("component", "x", matrial="steel") == [
        "Not added. A component has no option --matrial.",
        "  Nearest: --material",
    ]
    assert not_added("axis", "x", nam="steel") == [
        "Not added. An axis has no option --nam.",
        "  Nearest: --names",
    ]


def test_a_fault_elsewhere_is_said_with_its_row() -> None:
    sheet = add(PUMP, "fit", "EC", stack="D - H", band="2..4", source="p")
    sheet = amend(sheet, "fit", "EC", band="2..4", source="p", for_="idler")
    assert not_changed(sheet, "axis", "gear", names="one,two") == [
        'Not changed. fit EC, band.for: EC has no position, station or size "idler". '
        "Positions, stations and sizes: one, two"
    ]


def test_an_unknown_axis_is_refused_with_what_makes_one() -> None:
    assert not_added("component", "x", positions="geer") == [
        'Not added. No axis "geer". Nearest: gear',
        "  Several names make an axis:  --positions a,b",
    ]


def test_control_characters_are_refused() -> None:
    assert not_added("component", "x", material="st\x1b[2Jeel") == [
        "Not added. --material: There is a control character (\\x1b) in this text. "
        "Type it without."
    ]


def test_a_very_long_text_is_refused() -> None:
    assert not_added("component", "x", name="y" * 4001) == [
        "Not added. This text has 4,001 characters; 4,000 are the most."
    ]


# ---- axes ---------------------------------------------------------------------------------


def test_an_axis_is_added_and_changed() -> None:
    sheet = add(PUMP, "axis", "round", names="12,4,8")
    assert sheet.axes is not None
    assert sheet.axes["round"] == ("12", "4", "8")
    sheet = amend(sheet, "axis", "ROUND", names=["12", "6"])
    assert sheet.axes is not None
    assert sheet.axes["round"] == ("12", "6")


def test_an_axis_may_have_coordinates() -> None:
    sheet = add(PUMP, "axis", "across", names="1=0,2=3.5 in")
    assert sheet.axes is not None
    assert sheet.axes["across"] == {"1": "0", "2": "3.5 in"}


def test_an_axis_is_added_once_and_changed_only_if_it_is_there() -> None:
    assert not_added("axis", "Gear", names="a,b") == [
        "Not added. There is an axis gear already (driver, idler).",
        "  To change it:  bedplate amend axis gear --names a,b --why ...",
    ]
    assert not_changed(PUMP, "axis", "geer", names="a,b") == [
        'Not changed. There is no axis "geer".',
        "  Nearest: gear",
    ]


def test_positions_that_an_axis_has_already_use_it() -> None:
    sheet = add(PUMP, "feature", "B", of="body", positions="driver,idler", stations="a,b")
    assert sheet.feature[-1].positions == "gear"
    assert sheet.feature[-1].stations == "B"
    assert sheet.axes == {"gear": ("driver", "idler"), "B": ("a", "b")}


def test_a_feature_may_have_axes_of_its_own_both_ways() -> None:
    sheet = add(PUMP, "feature", "B", of="body", positions="l,r", stations="a,b")
    assert sheet.axes is not None
    assert (sheet.axes["B"], sheet.axes["B-stations"]) == (("l", "r"), ("a", "b"))


def test_axes_are_joined_and_none_is_said() -> None:
    sheet = add(PUMP, "axis", "round", names="v,h")
    sheet = add(sheet, "feature", "B", of="gear", stations="Round")
    sheet = add(sheet, "feature", "C", of="gear", positions="none", stations="gear/Round")
    assert (sheet.feature[-2].stations, sheet.feature[-1].stations) == ("round", "gear/round")
    assert sheet.feature[-1].positions == ""


# ---- amending -----------------------------------------------------------------------------


def test_keys_given_are_replaced_and_the_others_stay() -> None:
    sheet = amend(PUMP, "feature", "d", nominal="1.0040", how="At 20 C")
    assert sheet.feature[0].as_json() == {
        "tag": "D", "of": "body", "name": "bore depth", "nominal": "1.0040", "how": "At 20 C"
    }  # fmt: skip
    assert [row.tag for row in sheet.feature] == ["D", "H"]


def test_an_empty_text_takes_a_key_away() -> None:
    sheet = amend(PUMP, "feature", "D", nominal="")
    assert sheet.feature[0].nominal is None
    sheet = amend(amend(sheet, "component", "body", renew="true"), "component", "body", renew="")
    assert sheet.component[0].renew is None


def test_what_a_row_must_have_cannot_be_taken_away() -> None:
    assert not_changed(PUMP, "feature", "D", of="")[0].startswith(
        "Not changed. A feature is measured on a component: on which?"
    )


def test_the_names_on_a_rows_own_axis_change_with_it() -> None:
    sheet = amend(PUMP, "component", "gear", positions="driver,idler,third")
    assert sheet.axes == {"gear": ("driver", "idler", "third")}


def test_only_a_row_that_is_there_is_changed() -> None:
    assert not_changed(PUMP, "feature", "DD", name="x") == [
        'Not changed. There is no feature "DD".',
        "  Nearest: D",
    ]
    assert not_changed(PUMP, "feature", "body", name="x") == [
        "Not changed. body is a component.",
        "  Type:  bedplate amend component body ... --why ...",
    ]


def test_the_sheet_given_stays_as_it_was() -> None:
    before = PUMP.as_json()
    add(PUMP, "axis", "round", names="v,h")
    amend(PUMP, "feature", "D", nominal="2")
    assert PUMP.as_json() == before


def test_the_work_is_added_row_by_row() -> None:
    sheet = add(
        PUMP, "fasteners", "N", order="1,3,2,4", stages=["10 lbf*ft", "16..18lbf*ft"],
        source="p. 34", lock="tab washer", holds="body,gear",
        spends=["tight:gasket=1", "locked:tab washer=4"],
    )  # fmt: skip
    sheet = add(sheet, "proof", "SPIN", text="Turns", when="N", times="2", hand="another")
    sheet = amend(sheet, "fasteners", "N", prove="SPIN")
    sheet = add(sheet, "step", "close", text="Cover", leaves="N=tight", hold="SPIN", wait="12 h")
    sheet = add(sheet, "size", "u50", nominal="H=0.9,D=1")
    assert sheet.as_json()["fasteners"] == [
        {
            "tag": "N",
            "order": ["1", "3", "2", "4"],
            "stages": [
                {"limits": "10 lbf*ft", "source": "p. 34"},
                {"limits": "16..18 lbf*ft", "source": "p. 34"},
            ],
            "lock": "tab washer",
            "holds": ["body", "gear"],
            "prove": ["SPIN"],
            "spends": {"tight": {"gasket": 1}, "locked": {"tab washer": 4}},
        }
    ]
    assert sheet.proof[0].times == 2
    assert sheet.step[0].leaves == {"N": "tight"}
    assert sheet.size[0].nominal == {"H": "0.9", "D": "1"}
