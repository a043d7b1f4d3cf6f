"""The order of the readings: that of the sheet, from where somebody went."""

from __future__ import annotations

import pytest
from bench_session import SMALL
from hypothesis import given
from hypothesis import strategies as st
from tiny import sheet_of

from bedplate.cli.bench.course import Course
from bedplate.metrology.axes import Spot
from bedplate.sheet.layout import Layout

LAYOUT = Layout(sheet_of(SMALL))
ALL = [spot for tag in LAYOUT.names("feature") for spot in LAYOUT.select(tag).spots]
D, HDA, HDB, HIA, HIB, BL = ALL


@pytest.fixture
def course() -> Course:
    return Course(LAYOUT, reversed(ALL))


def asked(course: Course, number: int = 10) -> list[Spot]:
    """Return what is asked for if every reading is taken at once."""
    found: list[Spot] = []
    while len(found) < number and (spot := course.next()) is not None:
        found.append(spot)
        course.read(spot)
    return found


def test_all_are_asked_for_in_the_order_of_the_sheet(course: Course) -> None:
    assert course.left == 6
    assert asked(course) == ALL
    assert (course.left, course.due) == (0, [])


def test_it_goes_on_from_where_somebody_went_and_comes_back_to_the_rest(course: Course) -> None:
    course.go_to(HIA)
    assert asked(course) == [HIA, HIB, BL, D, HDA, HDB]


def test_what_is_skipped_is_passed_over_and_stays_due(course: Course) -> None:
    course.skip(D)
    assert asked(course) == [HDA, HDB, HIA, HIB, BL]
    assert course.due == [D]
    assert course.left == 0


def test_going_to_what_was_skipped_asks_for_it(course: Course) -> None:
    course.skip(D)
    course.go_to(D)
    assert course.next() == D


def test_a_place_that_is_not_due_is_asked_for_once_if_somebody_goes_there(course: Course) -> None:
    course.read(D)
    course.go_to(D)
    assert course.next() == D
    course.read(D)
    assert course.next() == HDA


def test_a_place_that_is_not_due_can_be_left_again(course: Course) -> None:
    course.read(D)
    course.go_to(D)
    course.skip(D)
    assert course.next() == HDA
    assert course.skipped == set()


def test_the_following_ones_are_those_of_the_same_feature(course: Course) -> None:
    course.skip(HDB)
    assert course.following(HDA, 3) == [HDA, HIA, HIB]
    assert course.following(D, 4) == [D]


def test_what_is_due_can_change(course: Course) -> None:
    course.read(D)
    course.renew([BL, HDB], Layout(sheet_of(SMALL)))
    assert course.due == [HDB, BL]


def test_a_spare_part_has_its_place_behind_all_others(course: Course) -> None:
    spare = Spot("H", ("C",), ("a",))
    course.go_to(spare)
    assert course.next() == spare
    course.read(spare)
    assert course.next() == D


@given(st.lists(st.sampled_from(["read", "skip", "go"]), max_size=30), st.data())
def test_whatever_somebody_does_every_reading_is_asked_for_once(
    acts: list[str], data: st.DataObject
) -> None:
    course = Course(LAYOUT, ALL)
    read: set[Spot] = set()
    for act in acts:
        here = course.next()
        if act == "go":
            course.go_to(data.draw(st.sampled_from(ALL)))
        elif here is not None and act == "read":
            course.read(here)
            read.add(here)
        elif here is not None:
            course.skip(here)
    rest = set(asked(course, 50))
    assert rest | read | course.skipped == set(ALL)
    assert set(course.due) == set(ALL) - rest - read
