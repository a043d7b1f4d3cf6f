"""What was lawful when it was recorded, and is not since something was struck."""

from __future__ import annotations

from sheets import COVER, CRANK
from shop import Shop
from tiny import sheet_of

from bedplate.record.entries import SheetRevised


def unlawful(shop: Shop) -> list[tuple[str, str, str]]:
    return [(b.what, b.text, b.type) for b in shop.blockers() if b.kind == "unlawful"]


def locked() -> Shop:
    """Lock the cover: gasket 2, tight 3, SPIN 4, washers 5, locked 6."""
    shop = Shop(COVER)
    shop.use("gasket")
    shop.fasten("N", "tight", "17 lbf*ft")
    shop.prove("SPIN")
    shop.use("tab washer", 4)
    shop.fasten("N", "locked")
    return shop


def test_nothing_is_unlawful_where_nothing_was_struck() -> None:
    assert unlawful(locked()) == []


def test_a_lock_folded_on_a_proof_since_struck() -> None:
    shop = locked()
    shop.strike(4)
    found = [
        (
            "6",
            "entry 6 locked N (cover nuts), which SPIN does not bear out any more",
            "bedplate fasten N backed-off",
        )
    ]
    assert unlawful(shop) == found
    shop.prove("SPIN")
    assert unlawful(shop) == found
    shop.fasten("N", "backed-off")
    assert unlawful(shop) == []


def test_a_lock_folded_on_nuts_whose_tightening_was_struck() -> None:
    shop = locked()
    shop.strike(3)
    assert unlawful(shop) == [
        (
            "6",
            "entry 6 locked N (cover nuts), which was not tight then",
            "bedplate fasten N backed-off",
        )
    ]


def test_one_use_things_whose_drawing_was_struck() -> None:
    shop = locked()
    shop.strike(5)
    assert unlawful(shop) == [
        ("tab washer", "tab washers: 4 used, 0 drawn", 'bedplate use "tab washer" --count 4')
    ]
    shop.use("Tab Washer", 4)
    assert unlawful(shop) == []


def test_an_unlawful_lock_can_be_conceded() -> None:
    shop = locked()
    shop.strike(4)
    shop.concede("6")
    assert unlawful(shop) == []


def test_a_change_made_while_clamped_after_all() -> None:
    shop = Shop(COVER)
    shop.use("gasket")
    shop.fasten("N", "tight", "17 lbf*ft")
    off = shop.fasten("N", "removed")
    n = shop.change("body", "reworked")
    shop.strike(off)
    assert unlawful(shop) == [
        (
            str(n),
            f"entry {n} changed body, but N held body then",
            f"bedplate strike {n} --why REASON",
        )
    ]


def test_a_move_from_where_nothing_is_any_more() -> None:
    shop = Shop(CRANK)
    spare = shop.change("rod", "new", mark="C")
    n = shop.change("rod.1", "moved", from_="C")
    shop.strike(spare)
    assert unlawful(shop) == [
        (
            str(n),
            f"entry {n} changed rod.1, but no part that it speaks of is there any more",
            f"bedplate strike {n} --why REASON",
        )
    ]


def test_a_reading_taken_with_a_set_tight_whose_tightening_was_struck() -> None:
    shop = Shop(CRANK)
    shop.fasten("M", "removed")
    tight = shop.fasten("M.2", "tight", trial=True)
    n = shop.read("MB.2", "60.040 mm")
    shop.strike(tight)
    assert unlawful(shop) == [
        (
            str(n),
            f"entry {n} was read at MB.2 with M.2 not tight",
            "bedplate fasten M.2 tight --stage 1 --reached VALUE",
        )
    ]


def test_what_was_accepted_stays_so_until_what_it_rests_on_is_struck() -> None:
    shop = Shop(CRANK)
    shop.fasten("M", "removed")
    tight = shop.fasten("M.2", "tight", trial=True)
    n = shop.read("MB.2", "60.040 mm")
    slip, other = shop.decide("rod.1", "reuse"), shop.fasten("M.1", "fitted")
    shop.strike(tight)
    accepted = shop.concede(str(n))

    def conceded() -> list[int | None]:
        return [b.conceded for b in shop.weighed() if b.kind == "unlawful"]

    assert conceded() == [accepted]
    shop.strike(slip)
    assert conceded() == [accepted]
    shop.strike(other)
    assert conceded() == [None]


def test_a_proof_made_with_a_set_tight_whose_tightening_was_struck_counts_no_more() -> None:
    shop = Shop(CRANK)
    shop.fasten("M", "removed")
    tight = shop.fasten("M.2", "tight", trial=True)
    shop.prove("TURN.2")
    shop.strike(tight)
    assert "TURN.2 has not passed since bolt M.2 was last moved (entry 2, 14:02)" in (
        shop.in_the_way("proof")
    )


def test_a_change_of_what_only_a_sheet_since_struck_had() -> None:
    shop = Shop(CRANK)
    rod = '[[component]]\nid = "rod"'
    wider = CRANK.replace(rod, f'[[component]]\nid = "pin"\n{rod}')
    revised = shop.do(SheetRevised(what="component pin", sheet=sheet_of(wider).as_json()))
    n = shop.change("pin", "reworked", touching=None)
    m = shop.change("pin", "new", mark="P2")
    shop.strike(revised)
    assert [what for what, _, _ in unlawful(shop)] == [str(n), str(m)]


def test_a_reading_of_a_spare_that_sits_along_two_axes_now_was_taken_on_none() -> None:
    shop = Shop("""
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
way = ["in", "ex"]
[[component]]
id = "valve"
positions = "cyl/way"
[[feature]]
tag = "S"
of = "valve"
when = ["H"]
[[fit]]
tag = "STEM"
stack = "S"
[[fasteners]]
tag = "H"
positions = "cyl"
""")
    shop.change("valve", "new", mark="K")
    shop.read("S.K", "7.98 mm")
    shop.change("valve.2/ex", "moved", from_="K")
    shop.strike(shop.read("S.1/in", "7.99 mm"))
    assert unlawful(shop) == []
