"""Parts and their lives, apart from any entry."""

from __future__ import annotations

import pytest

from bedplate.record.parts import FIRST_LIFE, Event, Part, Parts
from bedplate.sheet.layout import Place

DRIVER, IDLER = Place("gear", ("driver",)), Place("gear", ("idler",))
BODY = Place("body", ())


@pytest.fixture
def parts() -> Parts:
    return Parts([BODY, DRIVER, IDLER])


def marks(parts: Parts) -> dict[str, str | None]:
    return {str(place): part.mark if part else None for place, part in parts.in_place.items()}


# --- one part ------------------------------------------------------------------------------------

ALL = Event(5, begins=True)
BORE_ONLY = Event(7, begins=True, touched=frozenset({("B", None)}))
THIRD_ONLY = Event(9, begins=True, touched=frozenset({("B", ("3",))}))
LOOKED_AT = Event(11, begins=False)


@pytest.mark.parametrize(
    ("events", "bore", "third", "other"),
    [
        ((), 1, 1, 1),
        ((ALL,), 5, 5, 5),
        ((BORE_ONLY,), 7, 7, 1),
        ((THIRD_ONLY,), 1, 9, 1),
        ((ALL, BORE_ONLY, THIRD_ONLY), 7, 9, 5),
        ((BORE_ONLY, ALL), 5, 5, 5),
        ((ALL, LOOKED_AT), 5, 5, 5),
    ],
)
def test_a_life_is_that_of_the_feature(
    events: tuple[Event, ...], bore: int, third: int, other: int
) -> None:
    part = Part("block", "block", events=list(events))
    assert part.life("B", ("1",)) == bore
    assert part.life("B", ("3",)) == third
    assert part.life("G", ("3",)) == other


def test_every_life_is_remembered() -> None:
    part = Part("block", "block", born=3, events=[ALL, LOOKED_AT, THIRD_ONLY])
    assert part.lives() == {3, 5, 9}


def sized(n: int, size: str | None, *names: str, begins: bool = True) -> Event:
    return Event(n, begins=begins, size=size, sizes=frozenset(names) if names else None)


@pytest.mark.parametrize(
    ("events", "now", "first"),
    [
        ((), None, None),
        ((sized(4, "p50", "B"),), (4, "p50"), None),
        ((sized(4, "p50", "B", begins=False),), (4, "p50"), (4, "p50")),
        ((sized(4, "p50", "B", begins=False), sized(6, "p75", "B")), (6, "p75"), (4, "p50")),
        ((sized(4, "p50", "B"), sized(6, "x", "G")), (4, "p50"), None),
        ((sized(4, "p50", "B"), sized(6, None)), None, None),
        ((sized(4, "p50", "B"), Event(6, begins=True)), (4, "p50"), None),
    ],
)
def test_a_size_lasts_until_another_names_the_feature_or_the_part_is_new(
    events: tuple[Event, ...], now: tuple[int, str] | None, first: tuple[int, str] | None
) -> None:
    part = Part("block", "block", events=list(events))
    assert part.size("B", ()) == now
    assert part.size("B", (), first=True) == first


# --- what sits where -----------------------------------------------------------------------------


def test_every_place_begins_with_the_part_found_in_it(parts: Parts) -> None:
    assert marks(parts) == {
        "body": "body", "gear.driver": "gear.driver", "gear.idler": "gear.idler",
    }  # fmt: skip
    assert {part.life("H", ()) for part in parts.all()} == {FIRST_LIFE}


def test_a_new_part_bears_the_mark_of_the_one_it_replaces(parts: Parts) -> None:
    part = parts.new(IDLER, None, ALL)
    assert (part.mark, part.born, parts.at(IDLER)) == ("gear.idler", 5, part)
    assert parts.spares("gear") == []


def test_a_new_part_with_a_mark_lays_the_old_one_aside(parts: Parts) -> None:
    old = parts.at(IDLER)
    parts.new(IDLER, "C", ALL)
    assert marks(parts)["gear.idler"] == "C"
    assert parts.spares("gear") == [old]
    assert parts.first[IDLER] is old


def test_a_spare_waits_under_its_mark_until_it_is_moved(parts: Parts) -> None:
    spare = parts.announce("gear", "C", ALL)
    assert (parts.spares("gear"), parts.place_of(spare)) == ([spare], None)
    assert parts.move(IDLER, "C") is spare
    assert parts.place_of(spare) == IDLER
    assert [part.mark for part in parts.spares("gear")] == ["gear.idler"]


def test_a_new_part_of_the_mark_of_a_spare_is_that_one(parts: Parts) -> None:
    parts.announce("gear", "C", ALL)
    parts.new(IDLER, "C", BORE_ONLY)
    assert [part.mark for part in parts.spares("gear")] == ["gear.idler"]


def test_a_part_that_is_moved_leaves_its_place_empty(parts: Parts) -> None:
    moved = parts.at(IDLER)
    assert parts.move(DRIVER, "GEAR.Idler") is moved
    assert marks(parts) == {"body": "body", "gear.driver": "gear.idler", "gear.idler": None}
    assert [part.mark for part in parts.spares("gear")] == ["gear.driver"]
    assert parts.new(IDLER, None, ALL).mark == "gear.idler"


@pytest.mark.parametrize("origin", ["gear.driver", "gear.x", "C", ""])
def test_a_move_from_where_nothing_is_does_nothing(parts: Parts, origin: str) -> None:
    before = marks(parts)
    assert parts.move(DRIVER, origin) is None
    assert marks(parts) == before


def test_a_move_from_an_empty_place_does_nothing(parts: Parts) -> None:
    parts.move(DRIVER, "gear.idler")
    before = marks(parts)
    assert parts.move(DRIVER, "gear.idler") is None
    assert marks(parts) == before


def test_a_spare_of_another_component_is_not_taken(parts: Parts) -> None:
    parts.announce("body", "C", ALL)
    assert parts.move(IDLER, "C") is None
    assert [part.mark for part in parts.spares("body")] == ["C"]


def test_places_that_a_later_sheet_brings_are_taken_up(parts: Parts) -> None:
    cover = Place("cover", ())
    parts.new(IDLER, "C", ALL)
    parts.add_places([IDLER, cover])
    assert marks(parts)["cover"] == "cover"
    assert marks(parts)["gear.idler"] == "C"
    assert parts.all()[-1].mark == "gear.idler", "those in place first, then the loose ones"


def test_a_place_that_is_none_has_no_part(parts: Parts) -> None:
    assert parts.at(Place("cover", ())) is None
