"""``strike``, ``note``, ``decide`` and ``change``: what is recorded, and what each can refuse."""

from __future__ import annotations

from typing import Any

import pytest
from typist import PUMP, RECORDED_KEYS, Typist

SIZED = PUMP.replace(
    '[[fit]]\ntag = "EC"', '[[size]]\nid = "u10"\nnominal = { H = "0.9900" }\n[[fit]]\ntag = "EC"'
)
"""The pump, with an undersize of its gears."""


def own(typist: Typist, count: int) -> list[dict[str, Any]]:
    """Return the own fields of the last entries, without what every entry has."""
    common = ("n", "at", "by", "prev")
    return [
        {key: value for key, value in entry.items() if key not in common}
        for entry in typist.entries[-count:]
    ]


# ---- strike


def test_an_entry_is_struck_with_its_reason_and_what_it_settled_is_told(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    assert typist.done('strike 2 --why "wrong body" --note "see photo" --at 2025-11-24') == [
        "entry 3   strikes 2 (1.0031 in): wrong body   (see photo)",
        "  EC driver  waiting for D, H.driver",
        "  EC idler   waiting for D, H.idler",
    ]
    assert typist.last["done_at"].startswith("2025-11-24T00:00:00")
    assert {**typist.last, "done_at": ""} == {
        "kind": "strike", "entry": 2, "why": "wrong body", "note": "see photo", "done_at": "",
    }  # fmt: skip


def test_the_last_is_the_last_that_can_be_struck(typist: Typist) -> None:
    typist.open().done("measure D 1.0031", "note hello", "strike last --why slip")
    assert typist.last["entry"] == 3
    typist.done("strike last --why slip")
    assert typist.last["entry"] == 2
    assert typist.refused("strike last --why slip") == [
        "Nothing changed. There is no entry that can be struck."
    ]


def test_the_document_of_a_strike(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    found = typist.document("strike 2 --why slip")
    assert list(found) == RECORDED_KEYS
    assert (found["format"], found["recorded"]) == ("bedplate-out-strike/1", [3])
    assert [fit["position"] for fit in found["fits"]] == ["driver", "idler"]


def test_a_gauge_set_on_what_is_struck_touches_what_was_read_with_it(typist: Typist) -> None:
    typist.open().done(
        'gauge add dial1 --reads differences --resolution "1 tenth"',
        "measure D 1.0031",
        "gauge set dial1 0 --on D",
        "measure BL 0.0020 -g dial1 --yes",
    )
    found = typist.document("strike 2 --why slip")
    lash = next(fit for fit in found["fits"] if fit["tag"] == "LASH")
    assert (lash["verdict"], lash["missing"]) == ("unmeasured", ["BL"])
    assert lash["notes"][-1] == (
        "entry 5 waits for a new setting of dial1: what entry 4 was set on has been struck"
    )


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        (
            "strike 2",
            2,
            [
                "Nothing changed. A strike needs its reason.",
                "  Type:  bedplate strike 2 --why slip",
            ],
        ),
        (
            "strike 99 --why slip",
            2,
            [
                'Nothing changed. There is no entry "99"; the last is 2.',
                "  See them:  bedplate log",
            ],
        ),
        (
            "strike two --why slip",
            2,
            [
                'Nothing changed. There is no entry "two"; the last is 2.',
                "  See them:  bedplate log",
            ],
        ),
        (
            f"strike {'9' * 400} --why slip",
            2,
            [
                "Nothing changed. There is no entry",
                f'"{"9" * 57}..."; the last is 2.',
                "  See them:  bedplate log",
            ],
        ),
        ("strike 2 --why ''", 2, ['Not recorded. "why" is empty.']),
        (
            "strike 1 --why slip",
            1,
            ["Refused. Entry 1 (opened) cannot be struck.", "  Another job:  bedplate open NAME"],
        ),
    ],
)
def test_what_cannot_be_struck_is_named(
    typist: Typist, line: str, code: int, said: list[str]
) -> None:
    typist.open().done("measure D 1.0031")
    assert typist.refused(line, code) == said


def test_nothing_is_struck_twice(typist: Typist) -> None:
    typist.open().done("measure D 1.0031", "strike 2 --why slip")
    assert typist.refused("strike 2 --why slip", 1)[0] == (
        "Refused. Entry 2 was struck already (entry 3)."
    )
    assert typist.refused("strike 3 --why slip", 1)[0] == (
        "Refused. Entry 3 (strike) cannot be struck."
    )


# ---- note


def test_a_note_is_of_the_job_or_of_something_in_it(typist: Typist) -> None:
    typist.open()
    assert typist.done('note "cover gasket was hard"') == ["entry 2   note: cover gasket was hard"]
    assert typist.last == {
        "kind": "finding", "severity": "note", "note": "cover gasket was hard",
    }  # fmt: skip
    for typed, kept in [
        ("GEAR.idler", "gear.idler"),
        ("h.idler@A", "H.idler@a"),
        ("gear", "gear"),
        ("D", "D"),
    ]:
        typist.done(f"note rub --on {typed}")
        assert typist.last["place"] == kept


def test_a_note_is_of_nothing_that_there_is_not(typist: Typist) -> None:
    typist.open()
    assert typist.refused("note rub --on gear.idle") == [
        'Not recorded. gear has no position "idle".',
        "  Nearest: idler",
    ]
    assert typist.refused("note rub --on grea") == [
        'Not recorded. There is no name "grea".',
        "  Nearest: gear",
    ]
    assert typist.refused("note ''") == ['Not recorded. "note" is empty.']


# ---- decide


def test_a_decision_is_of_every_part_that_is_named(typist: Typist) -> None:
    typist.open()
    assert typist.done('decide gear reuse --why "all within"') == [
        "entry 2   gear.driver: reuse, because all within",
        "entry 3   gear.idler: reuse, because all within",
    ]
    typist.done("decide gear.IDLER replace --why out --extra --note ask --at 2025-11-24T08:00:00Z")
    assert typist.last == {
        "kind": "disposition", "component": "gear.idler", "decision": "replace", "why": "out",
        "extra": True, "note": "ask", "done_at": "2025-11-24T08:00:00+00:00",
    }  # fmt: skip
    typist.done("decide gear.all rework --why lap")
    assert [entry["component"] for entry in own(typist, 2)] == ["gear.driver", "gear.idler"]


def test_alone_it_lists_what_is_undecided(typist: Typist) -> None:
    typist.open().done("decide gear reuse --why ok")
    said = typist.type("decide")
    assert said.out == ["2 parts without a decision:", "  body", "  valve"]
    assert said.err == ['Type:  bedplate decide body reuse --why "..."']
    assert typist.document("decide") == {
        "format": "bedplate-out-decide/1", "job": "pump", "entries": 3,
        "undecided": ["body", "valve"],
    }  # fmt: skip
    typist.done("decide body reuse --why ok", "decide valve reuse --why ok")
    assert typist.done("decide") == ["Every part has its decision."]


def test_the_document_of_a_decision(typist: Typist) -> None:
    found = typist.open().document("decide gear reuse --why ok")
    assert list(found) == RECORDED_KEYS
    assert (found["format"], found["recorded"], found["fits"]) == (
        "bedplate-out-decide/1", [2, 3], [],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "decide gear.idler",
            [
                "What becomes of it?",
                "  Type:  bedplate decide gear.idler reuse|rework|replace|scrap --why ...",
            ],
        ),
        (
            "decide gear.idler throw --why old",
            [
                '"throw" is no decision.',
                "  Type:  bedplate decide gear.idler reuse|rework|replace|scrap --why ...",
            ],
        ),
        (
            "decide gear.idler reuse",
            [
                "A decision needs its reason.",
                '  Type:  bedplate decide gear.idler reuse --why "..."',
            ],
        ),
        ("decide gaer reuse --why ok", ['There is no component "gaer".', "  Nearest: gear"]),
        (
            "decide D reuse --why ok",
            ['There is no component "D".', "  Components: body, gear, valve"],
        ),
        (
            "decide gear.idle reuse --why ok",
            ['gear has no position "idle".', "  Nearest: idler"],
        ),
    ],
)
def test_a_decision_names_part_word_and_reason(typist: Typist, line: str, said: list[str]) -> None:
    first, *more = said
    assert typist.open().refused(line) == [f"Not recorded. {first}", *more]


# ---- change


def test_a_new_part_is_recorded_with_all_that_is_said_of_it(typist: Typist) -> None:
    typist.open().done("measure D 1.0030", "measure H.idler 0.9979 0.9978 0.9979")
    assert typist.done(
        "change gear.IDLER new --number FT-2207 --mark C --shop Quay --note bright "
        "--at 2025-11-24T08:00:00Z"
    ) == [
        "entry 6   gear.idler new, mark C, part number FT-2207, by Quay   (bright)",
        "  EC idler  waiting for H.idler",
        "  LASH      waiting for BL",
    ]
    assert typist.last == {
        "kind": "changed", "component": "gear.idler", "how": "new", "mark": "C",
        "number": "FT-2207", "shop": "Quay", "note": "bright",
        "done_at": "2025-11-24T08:00:00+00:00",
    }  # fmt: skip


def test_what_was_touched_is_spelled_as_the_sheet_does_and_alone_begins_anew(
    typist: Typist,
) -> None:
    typist.open().done("measure D 1.0030", "measure Z 0.0010")
    assert typist.done("change body reworked --touching d") == [
        "entry 4   body reworked, touching D",
        "  EC driver  waiting for D, H.driver",
        "  EC idler   waiting for D, H.idler",
    ]
    typist.done("measure D 1.0031")
    assert typist.last["on"] == [{"place": "body", "part": "body", "life": 4}]
    assert typist.type("measure Z 0.0011").code == 2


def test_a_size_is_made_or_found(typist: Typist) -> None:
    typist.open(SIZED).done("change gear.idler reworked --size U10")
    assert typist.last == {
        "kind": "changed", "component": "gear.idler", "how": "reworked", "size": "u10",
    }  # fmt: skip
    typist.done("change gear.driver found --size u10", "measure H.driver@a 0.9901")
    assert typist.last["on"] == [{"place": "gear.driver", "part": "gear.driver", "life": 1}]


def test_a_spare_is_measured_and_moved_into_a_place(typist: Typist) -> None:
    typist.open()
    assert typist.done("change gear new --mark C") == ["entry 2   gear new, mark C"]
    typist.done("measure H.C 1.0001 1.0001 1.0001", "measure D 1.0030")
    assert typist.done("change gear.idler moved --from c") == [
        "entry 7   gear.idler moved, from C",
        "  EC idler  2.9 ±0.09 thou  in band  2 ├───────═o═──────────┤ 4",
        "  LASH      waiting for BL",
    ]
    assert typist.last["from"] == "C"


def test_a_part_moves_from_one_place_to_another(typist: Typist) -> None:
    typist.open().done("measure D 1.0030", "measure H.driver 1.0000 1.0000 1.0000")
    assert typist.done("change gear.idler moved --from GEAR.driver") == [
        "entry 6   gear.idler moved, from gear.driver",
        "  EC driver  waiting for H.driver",
        "  EC idler   3.0 ±0.09 thou  in band  2 ├────────═o═─────────┤ 4",
        "  LASH       waiting for BL",
    ]


def test_of_two_parts_that_are_called_alike_it_is_said_which_one_moved(typist: Typist) -> None:
    """The gear found at driver lies aside when K is put there; both answer to gear.driver."""
    typist.open().done("change gear.driver new --mark K")
    assert typist.refused("change gear.idler moved --from K") == [
        "Not recorded. K sits in gear.driver, but so is called the part that was found",
        "there too, and that one would be moved.",
        "  First put that back:  bedplate change gear.driver moved --from gear.driver",
        "  Then K has no place, and goes anywhere by its mark.",
    ]
    said = typist.type("change gear.idler moved --from gear.driver")
    assert said.err[-2:] == [
        "The part called gear.driver that was laid aside is in gear.idler now.",
        "  K stays in gear.driver.",
    ]
    assert typist.done("change gear.idler moved --from k")[0] == (
        "entry 4   gear.idler moved, from gear.driver"
    )


def test_two_parts_change_places_in_two_moves(typist: Typist) -> None:
    typist.open().done("measure H.driver@a 1.0001", "measure H.idler@a 1.0002")
    typist.done("change gear.idler moved --from gear.driver")
    said = typist.type("change gear.driver moved --from gear.idler")
    assert not [line for line in said.err if "laid aside" in line]
    here = typist.document("check EC", 1)["fits"]
    assert [(fit["position"], fit["readings"]) for fit in here] == [
        ("driver", [3]),
        ("idler", [2]),
    ]


def test_the_document_of_a_change(typist: Typist) -> None:
    typist.open().done("measure H.idler@a 0.9979")
    found = typist.document("change gear.idler new")
    assert list(found) == RECORDED_KEYS
    assert (found["format"], found["recorded"]) == ("bedplate-out-change/1", [3])
    assert [(fit["tag"], fit["stage"], fit["readings"]) for fit in found["fits"]] == [
        ("EC", "as left", []),
        ("LASH", "as left", []),
    ]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("gear.idler bent", ['"bent" is no change.', "  They are:  reworked, new, moved, found"]),
        ("bdy new", ['There is no component "bdy".', "  Nearest: body"]),
        (
            "gear.idler reworked --size u9",
            ['There is no size "u9".', "  Sizes: u10"],
        ),
        (
            "gear.idler reworked --touching X",
            ['There is no feature "X".', "  There are: D, H, BL, Z, RP"],
        ),
        (
            "gear.idler reworked --touching D",
            ['"D" is not measured on gear.', "  Features of gear: H, BL"],
        ),
        (
            "gear moved --from C",
            [
                "There are several: gear.driver, gear.idler.",
                "  Type:  bedplate change gear.driver moved --from PLACE",
            ],
        ),
        (
            "gear.idler moved",
            [
                "Where was gear.idler moved from?",
                "  Type:  bedplate change gear.idler moved --from PLACE",
            ],
        ),
        ("gear.all new --mark C", ["One mark is of one part."]),
        (
            "gear.idler reworked --mark C",
            [
                "Only a new part is given a mark, not one that was reworked.",
                "  Type:  bedplate change gear.idler reworked",
            ],
        ),
        ("gear.idler new --shop ''", ['"shop" is empty.']),
    ],
)
def test_a_change_that_cannot_have_happened_is_refused(
    typist: Typist, line: str, said: list[str]
) -> None:
    first, *more = said
    assert typist.open(SIZED).refused(f"change {line}") == [f"Not recorded. {first}", *more]


MATCHED = """
format = "bedplate-sheet/1"
unit = "mm"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "gear"
positions = "gear"
keep = "gear"
"""


def test_parting_a_matched_part_is_said_where_nobody_can_be_asked(typist: Typist) -> None:
    typist.open(MATCHED)
    line = "change gear.idler new --number FT-2207 --note 'by hand'"
    question = "gear.idler is matched to gear.driver. Is gear.idler alone new?"
    assert question in typist.type(line).err
    assert typist.last["number"] == "FT-2207"
    assert question not in typist.type(f"{line} --yes").err
    # Both together, and a part reworked in its place, part nothing.
    typist.done("change gear new", "change gear.driver reworked")
