"""Where a fit is formed: rows by position, and the addresses each figure rests on."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.geometry import FitRow, addresses_of, kind_of, rows_of, tags_of
from bedplate.errors import NotUnderstoodError
from bedplate.sheet.model import Fit

F = Fraction
SHEET = """
unit = "um"
source = "Invented handbook"
[axes]
no = ["1", "2"]
end = ["a", "b", "c"]
along = { front = "0mm", mid = "150mm", rear = "300mm" }
across = { port = "0mm", mid = "60mm", stbd = "120mm" }
[[component]]
id = "block"
[[component]]
id = "gear"
positions = "no"
[[feature]]
tag = "D"
of = "block"
[[feature]]
tag = "H"
of = "gear"
stations = "end"
[[feature]]
tag = "DK"
of = "block"
stations = "along/across"
signed = true
[[feature]]
tag = "GK"
of = "gear"
stations = "along/across"
signed = true
[[fit]]
tag = "EC"
stack = "D - H"
[[fit]]
tag = "HALF"
stack = "(H@a + H@b)/2"
[[fit]]
tag = "ONE"
stack = "2*D"
[[fit]]
tag = "SIZED"
kind = "size"
stack = "D"
[[fit]]
tag = "ROUND"
spread = "h"
along = "end"
leave = ["C"]
[[fit]]
tag = "SET"
spread = "H"
along = "no"
[[fit]]
tag = "ZONE"
flatness = "DK"
method = "minimum zone"
[[fit]]
tag = "FLAT"
flatness = "dk"
[[fit]]
tag = "EACH"
flatness = "GK"
"""


def shown(rows: list[FitRow]) -> dict[str, list[str]]:
    """Return by position the addresses of each group."""
    return {
        "/".join(row.position): [" ".join(map(str, group.spots)) for group in row.groups]
        for row in rows
    }


def rows(tag: str) -> list[FitRow]:
    job = Tiny(SHEET).job
    return rows_of(job.layout, job.layout.row(tag, Fit))


def test_a_stack_is_swept_over_its_stations_at_every_position() -> None:
    found = rows("EC")
    assert shown(found) == {
        "1": ["D H.1@a", "D H.1@b", "D H.1@c"], "2": ["D H.2@a", "D H.2@b", "D H.2@c"],
    }  # fmt: skip
    assert [row.axes for row in found] == [("no",), ("no",)]
    assert [str(spot) for spot in found[1].spots] == ["D", "H.2@a", "H.2@b", "H.2@c"]
    (first, *_) = found[0].groups
    assert [(str(count), str(spot)) for count, spot in first.parts] == [
        ("1", "D"),
        ("-1", "H.1@a"),
    ]
    assert (first.brackets, first.least, first.summed) == (True, None, True)


def test_a_spread_has_a_line_for_each_setting_of_the_other_axes() -> None:
    assert shown(rows("ROUND")) == {"1": ["H.1@a H.1@b"], "2": ["H.2@a H.2@b"]}
    (row,) = rows("SET")
    assert (row.position, row.axes) == ((), ())
    assert shown([row]) == {"": ["H.1@a H.2@a", "H.1@b H.2@b", "H.1@c H.2@c"]}
    (first, *_) = row.groups
    assert [(str(count), str(spot)) for count, spot in first.parts] == [("1", "H.1@a")]
    assert (first.brackets, first.least, first.summed) == (False, 2, False)


def test_a_plane_is_one_group_of_all_its_points() -> None:
    (row,) = rows("ZONE")
    (group,) = row.groups
    assert [str(spot) for spot in group.spots][:4] == [
        "DK@front/port", "DK@front/mid", "DK@front/stbd", "DK@mid/port",
    ]  # fmt: skip
    assert len(group.spots) == 9
    assert [(str(count), str(spot)) for count, spot in group.parts] == [("1", "DK@front/port")]
    assert (group.brackets, group.least, group.summed) == (False, None, False)
    assert [(row.position, row.axes) for row in rows("EACH")] == [
        (("1",), ("no",)),
        (("2",), ("no",)),
    ]


DECK = "0 12 -4 8 25 10 -6 9 3"


@pytest.mark.parametrize(("fit", "figure"), [("FLAT", "61/2"), ("ZONE", "30")])
def test_a_deck_is_held_against_its_plane(fit: str, figure: str) -> None:
    """Least squares: mean 19/3, slopes −1/3 and 7/6 a step; residuals −71/6 to 56/3."""
    job = Tiny(SHEET).say(f"DK {DECK}")
    assert str(job.fit(fit).mean) == figure


def test_a_point_left_out_or_of_two_ends_leaves_no_plane() -> None:
    job = Tiny(SHEET).say(f"DK {DECK}", "DK@mid/mid left-out bolt hole instead")
    left_out = job.fit("FLAT")
    assert (left_out.verdict, left_out.mean, left_out.missing) == ("unmeasured", None, ())
    job = Tiny(SHEET).say(f"DK {DECK}", "DK@mid/mid 24..26 instead")
    assert job.fit("FLAT").mean is None


@pytest.mark.parametrize(
    ("tag", "kind", "tags"),
    [
        ("EC", "clearance", ["D", "H"]),
        ("HALF", "clearance", ["H"]),
        ("ONE", "direct", ["D"]),
        ("SIZED", "size", ["D"]),
        ("ROUND", "form", ["H"]),
        ("FLAT", "form", ["DK"]),
    ],
)
def test_the_kind_of_a_fit_and_what_it_rests_on(tag: str, kind: str, tags: list[str]) -> None:
    layout = Tiny(SHEET).job.layout
    fit = layout.row(tag, Fit)
    assert (kind_of(layout, fit), tags_of(layout, fit)) == (kind, tags)


def test_a_fit_is_named_at_each_of_its_positions() -> None:
    layout = Tiny(SHEET).job.layout
    assert addresses_of(layout, layout.row("EC", Fit)) == ["EC.1", "EC.2"]
    assert addresses_of(layout, layout.row("ONE", Fit)) == ["ONE"]


def test_a_spread_along_no_axis_of_its_own_is_refused() -> None:
    job = Tiny(SHEET).job
    fit = job.layout.row("ROUND", Fit).model_copy(update={"along": "across"})
    with pytest.raises(NotUnderstoodError) as refused:
        rows_of(job.layout, fit)
    assert refused.value.as_lines() == ['H has no axis "across".', "  Axes: no, end"]
