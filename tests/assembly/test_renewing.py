"""Parts that are always new: what is drawn for a place is its new part, with a life of its own."""

from __future__ import annotations

import pytest
from shop import Shop

from bedplate.assembly.renewing import lacking_new, new_parts
from bedplate.errors import RefusedError
from bedplate.record import entries as e

SHELLS = """
unit = "mm"
source = "Invented handbook"
[axes]
main = ["1", "2"]
[[component]]
id = "cap"
positions = "main"
[[component]]
id = "shell"
positions = "main"
renew = true
[[component]]
id = "seal"
renew = true
[[feature]]
tag = "T"
of = "shell"
[[fit]]
tag = "WALL"
stack = "T"
band = { limits = "1.9..2.1 mm" }
[[fasteners]]
tag = "M"
positions = "main"
holds = ["cap", "shell"]
spends = { tight = { shell = 1 } }
"""


def use(shop: Shop, part: str, count: int | None = None, number: str | None = None) -> list[int]:
    """Draw a part as `use` does: with the changes that it brings about."""
    used = e.PartUsed(part=part, count=count, number=number)
    return [shop.do(entry) for entry in (used, *new_parts(shop.job, used))]


def lacking(shop: Shop, component: str = "shell") -> list[str]:
    return [str(place) for place in lacking_new(shop.job, component)]


def missing(shop: Shop) -> list[str]:
    return [address for fit in shop.fits(shop.job) for address in fit.missing]


def in_the_way(shop: Shop) -> list[str]:
    return [b.type for b in shop.blockers() if b.what == "shell"]


def test_what_is_drawn_for_a_place_is_its_new_part() -> None:
    shop = Shop(SHELLS)
    assert in_the_way(shop) == ["bedplate use shell --count 2"]
    use(shop, "SHELL.2", number="S-20")
    changed = shop.job.live(e.Changed)[-1]
    assert (changed.component, changed.how, changed.number) == ("shell.2", "new", "S-20")
    assert lacking(shop) == ["shell.1"]
    assert in_the_way(shop) == ["bedplate use shell"]
    use(shop, "shell")
    assert (lacking(shop), in_the_way(shop)) == ([], [])


def test_what_was_reworked_is_not_new() -> None:
    shop = Shop(SHELLS)
    shop.change("shell.1", "reworked")
    assert lacking(shop) == ["shell.1", "shell.2"]


def test_readings_of_the_old_part_do_not_count_for_the_new_one() -> None:
    shop = Shop(SHELLS)
    shop.read("T.1", "2.00 mm")
    shop.read("T.2", "2.00 mm")
    assert missing(shop) == []
    use(shop, "shell", 2)
    assert missing(shop) == ["T.1", "T.2"]
    assert not shop.job.stranded()
    new = shop.read("T.1", "2.02 mm")
    (wall, _) = shop.fits(shop.job)
    assert (wall.readings, wall.verdict) == ((new,), "in")


def test_the_new_part_of_a_place_still_clamped_is_refused_with_what_frees_it() -> None:
    shop = Shop(SHELLS)
    use(shop, "shell", 2)
    shop.fasten("M.1", "tight")
    shop.fasten("M.1", "backed-off")
    assert lacking(shop) == []
    shop.fasten("M.1", "tight")
    shop.fasten("M.1", "backed-off")
    assert lacking(shop) == ["shell.1", "shell.2"], "both that were drawn are spent"
    use(shop, "shell", 2)
    shop.fasten("M", "tight")
    with pytest.raises(RefusedError) as refused:
        shop.do(e.Changed(component="shell.1", how="new"))
    assert refused.value.hint == ("Take it off first:  bedplate fasten M.1 removed",)


def test_nothing_more_is_changed_where_no_place_lacks_one() -> None:
    shop = Shop(SHELLS)
    use(shop, "shell", 2)
    assert new_parts(shop.job, e.PartUsed(part="shell")) == []
    assert new_parts(shop.job, e.PartUsed(part="shell.1")) == []


def test_more_drawn_than_there_are_places_are_spares() -> None:
    shop = Shop(SHELLS)
    assert len(use(shop, "shell", 5)) == 3
    assert shop.stock("shell") == (5, 0, 0)


@pytest.mark.parametrize("part", ["seal", "cap", "shell.7", "tab washer", "cap.1"])
def test_what_is_not_measured_or_not_of_the_unit_is_only_drawn(part: str) -> None:
    assert new_parts(Shop(SHELLS).job, e.PartUsed(part=part)) == []


def test_a_change_alone_is_enough_too() -> None:
    shop = Shop(SHELLS)
    shop.do(e.Changed(component="shell", how="new"))
    assert lacking(shop) == []
    assert new_parts(shop.job, e.PartUsed(part="shell", count=2)) == []


def test_a_draw_without_its_change_lifts_nothing() -> None:
    shop = Shop(SHELLS)
    shop.do(e.PartUsed(part="shell", count=2))
    assert lacking(shop) == ["shell.1", "shell.2"]


def test_the_next_thing_is_to_free_what_is_to_be_drawn() -> None:
    shop = Shop(SHELLS)
    use(shop, "shell", 2)
    shop.fasten("M", "tight")
    shop.strike(3)
    assert lacking(shop) == ["shell.1"]
    assert in_the_way(shop) == ["bedplate fasten M.1 removed"]
