"""What each kind of entry leaves behind in the job, whatever the rules would say of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from shop import ANN, Shop
from tiny import sheet_of

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.metrology.axes import Spot
from bedplate.record import entries as e
from bedplate.record.job import UNSTRIKABLE, Job, extended, fold
from bedplate.record.stamping import stamped
from bedplate.sheet.layout import Place

SHEET = """
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "body"
[[component]]
id = "gear"
positions = "gear"
[[feature]]
tag = "D"
of = "body"
nominal = "1.0030"
[[feature]]
tag = "H"
of = "gear"
stations = { at = ["a", "b"] }
nominal = "1.0000"
[[feature]]
tag = "BL"
of = ["gear", "body"]
positions = ""
[[size]]
id = "u5"
nominal = { H = "0.9950" }
[[fasteners]]
tag = "N"
count = 4
[[proof]]
tag = "SPIN"
text = "Spins"
[[step]]
id = "drain"
text = "Drain"
[[fit]]
tag = "DD"
stack = "D"
band = { limits = "1.002..1.004", source = "p. 31" }
"""
LATER = f'{SHEET}[[component]]\nid = "cover"\n'
BODY, DRIVER, IDLER = Place("body", ()), Place("gear", ("driver",)), Place("gear", ("idler",))
TALL = Spot("H", ("idler",), ("a",))


def put(shop: Shop, kind: type[e.Entry], **told: Any) -> int:
    """Keep an entry, whatever the rules say of it; return its number."""
    kept: Any = kind.model_validate(told)
    return shop.keep(kept)


def values(job: Job, spot: Spot, *, as_found: bool = False) -> list[str | None]:
    return [taken.entry.value for taken in job.standing(spot, as_found=as_found)]


def read(shop: Shop, address: str, value: str = "1 in", **told: Any) -> int:
    return put(shop, e.Reading, address=address, value=value, **told)


# --- each kind -----------------------------------------------------------------------------------

Says = Callable[[Job], object]
FOLDED: list[tuple[type[e.Entry], dict[str, Any], Says, object, object]] = [
    (e.SheetRevised, {"what": "add component cover", "sheet": sheet_of(LATER).as_json()},
     lambda job: Place("cover", ()) in job.parts.in_place, False, True),
    (e.Reading, {"address": "D", "value": "1.0031 in"},
     lambda job: values(job, Spot("D")), [], ["1.0031 in"]),
    (e.Reading, {"address": "D", "left_out": "no gauge"},
     lambda job: [taken.entry.left_out for taken in job.standing(Spot("D"))], [], ["no gauge"]),
    (e.Disposition, {"component": "gear.idler", "decision": "replace", "why": "scored"},
     lambda job: {place: told.decision for place, told in job.decided.items()},
     {}, {IDLER: "replace"}),
    (e.Disposition, {"component": "gear", "decision": "reuse", "why": "sound"},
     lambda job: sorted(map(str, job.decided)), [], ["gear.driver", "gear.idler"]),
    (e.Changed, {"component": "gear.idler", "how": "reworked"},
     lambda job: job.is_as_found(TALL), True, False),
    (e.Changed, {"component": "gear", "how": "new", "mark": "B"},
     lambda job: [(place, mark) for _, place, mark in job.changed], [], [(None, "B")]),
    (e.Changed, {"component": "gear.idler", "how": "found", "size": "u5"},
     lambda job: job.size_of(TALL), None, "u5"),
]  # fmt: skip
"""What each kind that the job itself follows changes: kind, fields, question, before, after."""


@pytest.mark.parametrize(("kind", "told", "says", "before", "after"), FOLDED)
def test_an_entry_does_what_it_says_and_its_strike_undoes_it(
    kind: type[e.Entry], told: dict[str, Any], says: Says, before: object, after: object
) -> None:
    shop = Shop(SHEET)
    assert says(shop.job) == before
    n = put(shop, kind, **told)
    assert says(shop.job) == after
    assert shop.job.is_live(n)
    put(shop, e.Strike, entry=n, why="slip")
    assert says(shop.job) == before
    assert not shop.job.is_live(n)


KEPT: list[tuple[type[e.Entry], dict[str, Any]]] = [
    (e.GaugeDescribed, {"gauge": {"name": "mic1"}}),
    (e.Setting, {"gauge": "mic1", "shown": "0 in"}),
    (e.Finding, {"severity": "note", "note": "wet"}),
    (e.Fasteners, {"set": "N", "state": "tight"}),
    (e.Proof, {"proof": "SPIN", "passed": True}),
    (e.Step, {"step": "drain", "done": True}),
    (e.PartUsed, {"part": "gasket"}),
    (e.Deferred, {"until": "handover"}),
    (e.Settled, {"entry": 2}),
    (e.Concession, {"what": "DD", "accepted_by": "A. Owner", "why": "light duty"}),
    (e.Attachment, {"file": "pump.files/x", "name": "x", "sha256": "ab" * 32}),
    (e.SetAside, {"bytes": 3, "sha256": "ab" * 32}),
    (e.Signed, {"sealed": "x", "signature": "ab" * 64, "key": "ab" * 32}),
    (e.Reopened, {"why": "weeps"}),
]


@pytest.mark.parametrize(("kind", "told"), KEPT)
def test_a_kind_that_others_follow_is_kept_until_it_is_struck(
    kind: type[e.Entry], told: dict[str, Any]
) -> None:
    shop = Shop(SHEET)
    n = put(shop, kind, **told)
    assert [entry.n for entry in shop.job.live(kind)] == [n]
    put(shop, e.Strike, entry=n, why="slip")
    assert shop.job.live(kind) == []
    assert [entry.n for entry in shop.job.entries] == [1, n, n + 1]


def test_all_kinds_are_looked_at_here() -> None:
    seen = {kind for kind, *_ in FOLDED} | {kind for kind, _ in KEPT}
    assert seen | {e.Opened, e.Strike} == set(e.KINDS.values())


def test_what_cannot_be_struck() -> None:
    assert {"opened", "signed", "reopened", "strike"} == UNSTRIKABLE


# --- strikes -------------------------------------------------------------------------------------


@pytest.mark.parametrize("entry", [3, 4, 99, 10**19])
def test_the_strike_of_an_entry_that_does_not_stand_before_it_does_nothing(entry: int) -> None:
    shop = Shop(SHEET)
    read(shop, "D")
    n = put(shop, e.Strike, entry=entry, why="slip")
    read(shop, "D", "2 in")
    read(shop, "D", "3 in")
    assert shop.job.struck == {}
    assert values(shop.job, Spot("D")) == ["1 in", "2 in", "3 in"]
    assert [strike.n for strike in shop.job.live(e.Strike)] == [n]


def test_of_two_strikes_the_first_counts() -> None:
    shop = Shop(SHEET)
    read(shop, "D")
    put(shop, e.Strike, entry=2, why="slip")
    put(shop, e.Strike, entry=2, why="again")
    assert shop.job.struck == {2: 3}


def test_a_struck_reading_is_still_among_all() -> None:
    shop = Shop(SHEET)
    read(shop, "D")
    put(shop, e.Strike, entry=2, why="slip")
    assert [taken.entry.n for taken in shop.job.all_readings] == [2]
    assert shop.job.readings == {}


# --- readings ------------------------------------------------------------------------------------


def test_readings_of_one_place_in_one_life_are_repeats() -> None:
    shop = Shop(SHEET)
    read(shop, "H.idler@a")
    read(shop, "h.IDLER@a", "2 in")
    read(shop, "H.idler@b", "3 in")
    assert values(shop.job, TALL) == ["1 in", "2 in"]


def test_a_new_part_is_read_anew_and_what_was_found_stays() -> None:
    shop = Shop(SHEET)
    read(shop, "H.idler@a")
    put(shop, e.Changed, component="gear.idler", how="new")
    assert values(shop.job, TALL) == []
    read(shop, "H.idler@a", "2 in")
    assert values(shop.job, TALL) == ["2 in"]
    assert values(shop.job, TALL, as_found=True) == ["1 in"]


def test_a_reading_of_one_part_follows_it_to_another_place() -> None:
    shop = Shop(SHEET)
    read(shop, "H.idler@a")
    put(shop, e.Changed, component="gear.driver", how="moved", **{"from": "gear.idler"})
    assert values(shop.job, Spot("H", ("driver",), ("a",))) == ["1 in"]
    assert values(shop.job, TALL) == []


def test_a_reading_of_several_together_belongs_to_the_places() -> None:
    shop = Shop(SHEET)
    read(shop, "BL")
    assert values(shop.job, Spot("BL")) == ["1 in"]
    put(shop, e.Changed, component="body", how="reworked")
    assert values(shop.job, Spot("BL")) == []


def test_a_change_that_touches_one_feature_leaves_the_others() -> None:
    shop = Shop(SHEET)
    read(shop, "D")
    read(shop, "BL")
    put(shop, e.Changed, component="body", how="reworked", touching=("D",))
    assert values(shop.job, Spot("D")) == []
    assert values(shop.job, Spot("BL")) == ["1 in"]


def test_a_reading_on_a_life_that_was_struck_is_stranded() -> None:
    shop = Shop(SHEET)
    n = put(shop, e.Changed, component="gear.idler", how="reworked")
    on = ({"place": "gear.idler", "part": "gear.idler", "life": n},)
    read(shop, "H.idler@a", on=on)
    assert values(shop.job, TALL) == ["1 in"]
    put(shop, e.Strike, entry=n, why="slip")
    (taken,) = shop.job.stranded()
    assert taken.stranded == (
        "it was taken on gear.idler in a life or place that has been struck out"
    )
    assert values(shop.job, TALL) == []


def test_a_reading_on_other_parts_than_the_sheet_says_is_stranded() -> None:
    shop = Shop(SHEET)
    read(shop, "D", on=({"place": "gear.idler", "part": "gear.idler", "life": 1},))
    (taken,) = shop.job.stranded()
    assert taken.stranded == "the sheet says now that it rests on other parts"


@pytest.mark.parametrize(
    ("address", "spot", "why"),
    [
        ("X", Spot("X"), 'There is no feature "X".'),
        ("H.idle@a", Spot("H", ("idle",), ("a",)), 'H has no position "idle".'),
        ("H.idler@z", Spot("H", ("idler",), ("z",)), 'H has no station "z".'),
        (" ", Spot(" "), '" " is no whole address.'),
    ],
)
def test_a_reading_at_an_address_that_leads_nowhere_is_kept_and_stranded(
    address: str, spot: Spot, why: str
) -> None:
    shop = Shop(SHEET)
    read(shop, address)
    job = shop.job
    (taken,) = job.stranded()
    assert (taken.spot, taken.stranded) == (spot, why)
    assert job.readings == {2: taken}
    assert job.standing(Spot("D")) == []


def test_a_lost_address_is_shown_as_text() -> None:
    shop = Shop(SHEET)
    read(shop, "\x1b[2J\u202e")
    (taken,) = shop.job.stranded()
    assert taken.stranded == 'There is no feature "\\x1b[2J\\u202e".'


def test_a_part_without_a_place_is_read_by_its_mark() -> None:
    shop = Shop(SHEET)
    put(shop, e.Changed, component="gear", how="new", mark="C")
    assert shop.job.spares_of("H") == ["C"]
    assert shop.job.spares_of("BL") == []
    read(shop, "H.C@a")
    spare = Spot("H", ("C",), ("a",))
    assert [taken.entry.value for taken in shop.job.standing_spare(spare)] == ["1 in"]
    put(shop, e.Changed, component="gear.idler", how="moved", **{"from": "C"})
    assert values(shop.job, TALL) == ["1 in"]


def test_nothing_rests_where_a_part_was_moved_away() -> None:
    shop = Shop(SHEET)
    put(shop, e.Changed, component="gear.driver", how="moved", **{"from": "gear.idler"})
    with pytest.raises(NotUnderstoodError) as refused:
        shop.job.resting_on("H", ("idler",))
    assert refused.value.message == "Nothing sits in gear.idler: its part was moved."


def test_a_reading_rests_on_the_parts_that_are_there() -> None:
    shop = Shop(SHEET)
    n = put(shop, e.Changed, component="gear.idler", how="new", mark=None)
    found = [(on.place, on.part, on.life) for on in shop.job.resting_on("BL", ())]
    assert found == [("gear.driver", "gear.driver", 1), ("gear.idler", "gear.idler", n),
                     ("body", "body", 1)]  # fmt: skip


# --- changes -------------------------------------------------------------------------------------


def test_a_change_of_what_the_sheet_does_not_name_does_nothing() -> None:
    shop = Shop(SHEET)
    put(shop, e.Changed, component="cover", how="new")
    put(shop, e.Changed, component="body", how="reworked", touching=("X",))
    put(shop, e.Changed, component="body", how="found", size="u9")
    assert shop.job.changed == []
    assert shop.job.is_as_found(Spot("D"))


def test_new_without_a_size_is_nominal_again() -> None:
    shop = Shop(SHEET)
    put(shop, e.Changed, component="gear.idler", how="reworked", size="u5")
    assert (shop.job.size_of(TALL), shop.job.size_of(TALL, first=True)) == ("u5", None)
    put(shop, e.Changed, component="gear.idler", how="new")
    assert shop.job.size_of(TALL) is None


def test_a_spare_is_announced_by_its_mark_where_there_are_positions() -> None:
    job = Shop(SHEET).job
    for component, how, mark, spare in (
        ("gear", "new", "C", True), ("gear", "new", None, False), ("gear", "moved", "C", False),
        ("body", "new", "C", False), ("cover", "new", "C", False),
    ):  # fmt: skip
        told = {"component": component, "how": how, "mark": mark}
        assert job.announces_spare(e.Changed.model_validate(told)) is spare


def test_a_spare_may_be_reworked() -> None:
    shop = Shop(SHEET)
    put(shop, e.Changed, component="gear", how="new", mark="C")
    n = put(shop, e.Changed, component="gear.C", how="reworked")
    (spare,) = shop.job.parts.spares("gear")
    assert spare.life("H", ()) == n
    assert [(entry.n, place, mark) for entry, place, mark in shop.job.changed] == [
        (2, None, "C"), (n, None, "C"),
    ]  # fmt: skip


def test_places_are_named_by_component_and_position() -> None:
    job = Shop(SHEET).job
    assert job.places_named("gear") == [DRIVER, IDLER]
    assert job.places_named("GEAR.idler") == [IDLER]
    assert job.places_named("body") == [BODY]
    assert job.places_named("D") == job.places_named("gear.x") == []


# --- the fold ------------------------------------------------------------------------------------


def test_a_job_begins_with_its_opening() -> None:
    note = stamped(e.Finding(severity="note"), n=1, at="2025-11-24T15:40:00Z", by=ANN,
                     prev=e.NO_LINE)  # fmt: skip
    for entries in ([], [note]):
        with pytest.raises(StorageError) as refused:
            fold(entries)
        assert refused.value.message == (
            "Not read. This is no job: it does not begin with its opening."
        )


def test_a_job_without_a_sheet_has_an_empty_one() -> None:
    entry = stamped(e.Opened(job="0" * 32), n=1, at="2025-11-24T15:40:00Z", by=ANN,
                      prev=e.NO_LINE)  # fmt: skip
    job = fold([entry])
    assert (job.last, job.parts.all(), job.sheet.component) == (1, [], ())


def test_a_job_grown_is_the_job_folded_anew() -> None:
    shop = Shop(SHEET)
    read(shop, "H.idler@a")
    grown = shop.job
    put(shop, e.Changed, component="gear.idler", how="new")
    read(shop, "H.idler@a", "2 in")
    same = extended(grown, shop.entries[2:])
    assert same is grown
    put(shop, e.Strike, entry=3, why="slip")
    anew = extended(grown, shop.entries[4:])
    assert anew is not grown
    for job in (grown, anew):
        folded = fold(job.entries)
        assert (job.readings, job.changed, job.struck) == (
            folded.readings, folded.changed, folded.struck,
        )  # fmt: skip
    assert values(anew, TALL) == ["1 in", "2 in"]


def test_only_an_entry_that_is_there_is_live() -> None:
    job = Shop(SHEET).job
    assert [job.is_live(n) for n in (-1, 0, 1, 2)] == [False, False, True, False]
