"""Changes and dispositions: what there is to change, where from, to which size, with what mate."""

from __future__ import annotations

import pytest
from sheets import COVER, CRANK
from shop import Shop

from bedplate.assembly.changing import Question
from bedplate.assembly.rules import questions
from bedplate.record.entries import Changed, Fasteners

GEARS = """
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "gear"
positions = "gear"
keep = "gear"
[[feature]]
tag = "H"
of = "gear"
"""


@pytest.fixture
def crank() -> Shop:
    return Shop(CRANK)


def asked(shop: Shop, **told: object) -> list[Question]:
    return questions(Changed.model_validate(told), shop.job, shop.now)


def test_only_what_is_there_can_be_decided_on(crank: Shop) -> None:
    said = crank.said(lambda: crank.decide("piston", "reuse"))
    assert said[0] == 'Not recorded. There is no component "piston".'
    said = crank.said(lambda: crank.decide("cap.4", "reuse"))
    assert said[0] == 'Not recorded. cap has no position "4".'
    crank.decide("cap", "reuse")


def test_a_size_names_a_feature_of_the_part(crank: Shop) -> None:
    assert crank.said(lambda: crank.change("block", "reworked", size="u50")) == [
        'Not recorded. Size "u50" names nothing that is measured on block.',
        "  There are no sizes of block yet.",
    ]
    crank.change("crank", "reworked", size="U50")


def test_what_a_change_touches_is_measured_on_the_part(crank: Shop) -> None:
    assert crank.said(lambda: crank.change("block", "reworked", touching=("MJ.1",))) == [
        'Not recorded. "MJ.1" is not measured on block.',
        "  Features of block: MB, EF",
    ]
    assert crank.said(lambda: crank.change("block", "reworked", touching=("rod",))) == [
        'Not recorded. There is no feature "rod".',
        "  There are: MB, MJ, EF",
    ]
    crank.change("block", "reworked", touching=("MB.1", "MB.2"))


def test_what_is_moved_comes_from_somewhere_real(crank: Shop) -> None:
    assert crank.said(lambda: crank.change("rod.1", "moved")) == [
        "Not recorded. Where was rod.1 moved from?",
        "  Type:  bedplate change rod.1 moved --from PLACE",
    ]
    assert crank.said(lambda: crank.change("rod.1", "moved", from_="cap.2")) == [
        'Not recorded. "cap.2" is nowhere rod.1 can come from.',
        "  It can come from: rod.2",
    ]
    assert crank.said(lambda: crank.change("rod.1", "moved", from_="rod.1"))[0] == (
        'Not recorded. "rod.1" is nowhere rod.1 can come from.'
    )
    crank.change("rod.1", "moved", from_="rod.2")
    assert crank.said(lambda: crank.change("rod.1", "moved", from_="cap.2"))[1] == (
        "  It can come from: rod.1"
    ), "rod.2 stands empty; what was in rod.1 lies aside"


def test_only_what_is_moved_comes_from_a_place(crank: Shop) -> None:
    assert crank.said(lambda: crank.change("rod.1", "new", from_="rod.2")) == [
        "Not recorded. Only what is moved comes from a place, not what is new.",
        "  Type:  bedplate change rod.1 moved --from rod.2",
    ]


def test_an_empty_place_has_nothing_to_rework(crank: Shop) -> None:
    crank.change("rod.1", "moved", from_="rod.2")
    assert crank.said(lambda: crank.change("rod.2", "reworked")) == [
        "Refused. rod.2 stands empty: its part was moved.",
        "  Type:  bedplate change rod.2 new --mark MARK",
        "  Or:  bedplate change rod.2 moved --from PLACE",
    ]
    assert crank.said(lambda: crank.decide("rod.2", "reuse"))[0] == (
        "Refused. rod.2 stands empty: its part was moved."
    )
    assert crank.in_the_way("disposition")[-3] == "rod.2 stands empty"
    crank.change("rod.2", "moved", from_="rod.1")
    crank.change("rod.1", "new")


def test_two_parts_do_not_bear_the_name_of_one_place(crank: Shop) -> None:
    crank.change("rod.1", "moved", from_="rod.2")
    assert crank.said(lambda: crank.change("rod.2", "new")) == [
        "Refused. rod.2 stands empty, and the part that was in it is still marked rod.2: the new "
        "one needs a mark of its own.",
        "  Type:  bedplate change rod.2 new --mark MARK",
    ]
    crank.change("rod.2", "new", mark="C")
    crank.change("rod.2", "new")
    assert sorted(part.mark for part in crank.job.parts.all() if part.component == "rod") == [
        "C",
        "rod.1",
        "rod.2",
    ]


def test_a_part_moved_stays_as_it_is(crank: Shop) -> None:
    told = {"from_": "rod.2", "mark": "C"}
    assert crank.said(lambda: crank.change("rod.1", "moved", **told)) == [
        "Not recorded. A part that is moved stays as it is: rod.1.",
        "  First:  bedplate change rod.1 moved --from rod.2",
    ]


def test_a_spare_is_announced_and_put_in_its_place(crank: Shop) -> None:
    crank.change("rod", "new", mark="C")
    crank.change("rod.C", "reworked")
    assert crank.said(lambda: crank.change("rod.C", "new"))[1] == (
        "  Type:  bedplate change rod.POSITION moved --from C"
    )
    crank.change("rod.2", "moved", from_="C")
    part = crank.job.parts.at(crank.job.layout.all_places()[-3])
    assert part is not None
    assert part.mark == "C"


def test_two_parts_do_not_bear_one_mark(crank: Shop) -> None:
    crank.change("rod", "new", mark="C")
    assert crank.said(lambda: crank.change("rod", "new", mark="c")) == [
        'Not recorded. There is a rod marked "c" already.',
        "  Give the new one a mark of its own:  --mark",
    ]
    assert crank.said(lambda: crank.change("rod.1", "new", mark="C")) == [
        'Not recorded. There is a rod marked "C" already.',
        "  To put it there:  bedplate change rod.1 moved --from C",
    ]
    assert crank.said(lambda: crank.change("rod", "new", mark="2")) == [
        'Not recorded. "2" is a position of rod, so it cannot be a mark.',
        "  Positions: 1, 2",
    ]
    assert crank.said(lambda: crank.change("rod", "new", mark="C@1"))[0] == (
        'Not recorded. "C@1" cannot be a mark: it would stand in addresses.'
    )


def test_only_a_new_part_is_given_a_mark(crank: Shop) -> None:
    assert crank.said(lambda: crank.change("rod.1", "reworked", mark="C"))[0] == (
        "Not recorded. Only a new part is given a mark, not one that was reworked."
    )


def test_one_part_is_moved_to_one_place(crank: Shop) -> None:
    assert crank.said(lambda: crank.change("rod", "moved", from_="rod.1")) == [
        "Not recorded. rod is 2 places; one part fits one.",
        "  Name the place, such as  rod.1",
    ]


def test_a_part_without_a_place_can_be_found_to_a_size_too(crank: Shop) -> None:
    crank.change("rod", "new", mark="C")
    assert crank.said(lambda: crank.change("rod.C", "found")) == [
        "Not recorded. To which size was rod.C found?",
        "  Type:  bedplate change rod.C found --size SIZE",
    ]


def test_what_was_found_was_found_to_a_size(crank: Shop) -> None:
    assert crank.said(lambda: crank.change("crank", "found")) == [
        "Not recorded. To which size was crank found?",
        "  Type:  bedplate change crank found --size SIZE",
    ]
    crank.change("crank", "found", size="u50")


def test_finding_a_size_changes_nothing_so_it_may_be_clamped(crank: Shop) -> None:
    crank.fasten("M.1", "tight", "30 N*m", stage=1)
    crank.change("crank", "found", size="u50")
    assert crank.said(lambda: crank.change("crank", "reworked", size="u50"))[0].startswith(
        "Refused. crank may not be changed: M.1 (main cap bolts) holds it and is tight"
    )


def test_what_was_moved_away_counts_as_clamped_there(crank: Shop) -> None:
    crank.use("rod bolt", 4)
    crank.fasten("R.2", "tight", "36 N*m")
    assert crank.said(lambda: crank.change("rod.1", "moved", from_="rod.2"))[0] == (
        "Refused. rod.2 may not be changed: R.2 (big end bolts) holds it and is tight "
        "(entry 3, 14:03)."
    )


def test_a_held_part_may_not_be_changed(crank: Shop) -> None:
    n = crank.defer("crank at the grinder", "grinder", "crank")
    assert crank.said(lambda: crank.change("crank", "reworked"))[0] == (
        'Refused. crank may not go on: it waits for "crank at the grinder" (entry 2), put off '
        "until grinder."
    )
    crank.settle(n)
    crank.change("crank", "reworked")


# ---- matched parts


def test_changing_one_of_a_matched_set_is_asked_about() -> None:
    shop = Shop(GEARS)
    assert asked(shop, component="gear.idler", how="new") == [
        Question("gear.idler is matched to gear.driver. Is gear.idler alone new?")
    ]
    assert asked(shop, component="gear", how="new") == []
    assert asked(shop, component="gear.idler", how="reworked") == []
    assert asked(shop, component="gear", how="new", mark="spare") == []


def test_moving_a_part_from_its_mate_is_asked_about(crank: Shop) -> None:
    found = asked(crank, component="rcap.1", how="moved", **{"from": "rcap.2"})
    assert [question.text for question in found] == [
        "rcap.1 is matched to rod.1. Is rcap.1 alone moved?"
    ]
    found = asked(crank, component="rod.2", how="new")
    assert [question.text for question in found] == [
        "rod.2 is matched to rcap.2. Is rod.2 alone new?"
    ]
    found = asked(crank, component="block", how="new")
    assert [question.text for question in found] == [
        "block is matched to cap.1, cap.2, cap.3. Is block alone new?"
    ]
    assert asked(crank, component="crank", how="new") == []


def test_the_order_is_asked_back_but_nothing_hangs_on_it() -> None:
    shop = Shop(COVER)
    tight = Fasteners(set="N", state="tight")
    assert questions(tight, shop.job, shop.now) == [
        Question("N is tightened in this order: 1, 3, 2, 4. Was it?", needed=False)
    ]
    assert questions(Fasteners(set="N", state="removed"), shop.job, shop.now) == []
