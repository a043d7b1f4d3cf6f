"""What goes with what: positions that agree, places held, axes of fits."""

from __future__ import annotations

import pytest
from sheets import CRANK
from shop import Shop

from bedplate.assembly.state import Assembly
from bedplate.errors import NotUnderstoodError

HEAD = """
unit = "mm"
source = "Invented handbook"
moments = ["handover", "first run"]
[axes]
cyl = ["1", "2"]
port = ["in", "ex"]
[[component]]
id = "head"
[[component]]
id = "valve"
positions = "cyl/port"
[[feature]]
tag = "S"
of = "valve"
stations = { way = ["x", "y"] }
[[feature]]
tag = "G"
of = "head"
positions = "cyl/port"
[[feature]]
tag = "P"
of = "head"
positions = { corner = ["a", "b"] }
stations = { lap = ["i", "ii"] }
[[fit]]
tag = "GC"
stack = "G - S@x"
[[fit]]
tag = "INLET"
stack = "G@in - S@in/x"
[[fit]]
tag = "ROUND"
spread = "S"
along = "way"
[[fit]]
tag = "SAME"
spread = "G"
along = "port"
[[fit]]
tag = "LEVEL"
spread = "P"
along = "corner"
[[fasteners]]
tag = "V"
positions = "port"
holds = ["valve"]
"""


def at_bench(toml: str) -> Assembly:
    shop = Shop(toml)
    return Assembly(shop.job, shop.fits(shop.job), shop.now)


def test_every_fit_knows_its_position_axes() -> None:
    assembly = at_bench(HEAD)
    assert assembly.fit_axes == {
        "GC": ("cyl", "port"),
        "INLET": ("cyl",),
        "ROUND": ("cyl", "port"),
        "SAME": ("cyl",),
        "LEVEL": (),
    }
    for fit in assembly.fits:
        assert len(fit.position) == len(assembly.fit_axes[fit.tag]), fit.tag


def test_results_agree_where_they_bear_the_names_wanted() -> None:
    assembly = at_bench(HEAD)
    found = assembly.fits_agreeing("gc", {"port": "ex", "face": "top"})
    assert [fit.place for fit in found] == ["1/ex", "2/ex"]


def test_a_set_holds_the_places_that_agree_with_it() -> None:
    assembly = at_bench(HEAD)
    held = assembly.held_places(assembly.sets.at("V", ("in",)))
    assert [str(place) for place in held] == ["valve.1/in", "valve.2/in"]


def test_a_fit_rests_on_features_at_the_positions_that_agree() -> None:
    assembly = at_bench(HEAD)
    (fit,) = (f for f in assembly.fits if f.address == "INLET.2")
    assert [str(spot) for spot in assembly.rests_on(fit)] == [
        "G.2/in",
        "G.2/ex",
        "S.2/in",
        "S.2/ex",
    ]


def test_moments_are_known_without_case() -> None:
    assembly = at_bench(HEAD)
    assert assembly.moment_index("First Run") == 1
    assert assembly.moment_index(None) == 0
    assert assembly.moment_index("10 h") is None


def test_a_move_changes_both_places() -> None:
    shop = Shop(CRANK)
    n = shop.change("rod.1", "moved", from_="rod.2")
    shop.change("crank", "found", size="u50")
    assembly = Assembly(shop.job, (), shop.now)
    assert {str(place): ns for place, ns in assembly.changes.items()} == {
        "rod.1": [n],
        "rod.2": [n],
    }
    assert assembly.changed(assembly.changes, before=n) == 0
    assert assembly.changed(assembly.changes, before=n + 1) == n


def test_an_address_of_another_kind_is_not_understood() -> None:
    with pytest.raises(NotUnderstoodError, match=r"Not recorded. There is no proof"):
        at_bench(CRANK).select("M.1", "proof")
