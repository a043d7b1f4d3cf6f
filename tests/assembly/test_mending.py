"""What is offered on a part whose fit is out, and what leads on from a fit that is."""

from __future__ import annotations

import pytest
from shop import Shop
from tiny import sheet_of

from bedplate.assembly.mending import command_to_mend, likely
from bedplate.assembly.state import Assembly
from bedplate.record import entries as e

PUMP = """
unit = "mm"
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
[[feature]]
tag = "H"
of = "gear"
[[fit]]
tag = "EC"
stack = "D - H"
band = { limits = "0.02..0.04 mm" }
ADJUST
"""
MACHINED = 'adjust = [{ feature = "D", make = "smaller" }]'
CHOSEN = 'adjust = [{ feature = "H", sizes = ["9.98 mm", "10.00 mm"] }]'
SIZED = '[[size]]\nid = "p1"\nnominal = { H = "10.02 mm" }'


def pump(adjust: str = "") -> Shop:
    """Return a pump with the driver's gear good and the idler's too low."""
    shop = Shop(PUMP.replace("ADJUST", adjust))
    shop.read("D", "10.03 mm")
    shop.read("H.driver", "10.00 mm")
    shop.read("H.idler", "9.95 mm")
    return shop


def assembly(shop: Shop) -> Assembly:
    job = shop.job
    return Assembly(job, shop.fits(job), shop.now)


def offered(shop: Shop) -> dict[str, str]:
    """Return what is offered on every part."""
    now = assembly(shop)
    return {str(place): likely(now, place) for place in now.job.layout.all_places()}


@pytest.mark.parametrize(
    ("adjust", "body", "idler"),
    [
        ("", "reuse", "replace"),
        (MACHINED, "rework", "replace"),
        (CHOSEN, "reuse", "replace"),
        (SIZED, "reuse", "rework"),
    ],
)
def test_a_part_whose_fit_is_out_is_not_offered_to_be_reused(
    adjust: str, body: str, idler: str
) -> None:
    assert offered(pump(adjust)) == {"body": body, "gear.driver": "reuse", "gear.idler": idler}


def test_where_a_shim_is_chosen_to_size_the_other_parts_are_reused() -> None:
    shop = Shop("""
unit = "mm"
source = "Invented handbook"
[[component]]
id = "case"
[[component]]
id = "shim"
[[feature]]
tag = "D"
of = "case"
[[feature]]
tag = "T"
of = "shim"
[[feature]]
tag = "F"
of = ["case", "shim"]
[[fit]]
tag = "END"
stack = "D - T"
band = { limits = "0.05..0.15 mm" }
adjust = [{ feature = "T", sizes = "1.2..1.6 step 0.05 mm" }]
[[fit]]
tag = "DIAL"
stack = "F"
same_as = "END"
""")
    shop.read("D", "2.00 mm")
    shop.read("T", "1.40 mm")
    shop.read("F", "0.60 mm")
    assert offered(shop) == {"case": "reuse", "shim": "replace"}


def test_what_is_decided_of_one_part_leaves_the_others_be() -> None:
    shop = pump(MACHINED)
    shop.do(e.Disposition(component="gear.idler", decision="replace", why="low"))
    assert offered(shop) == dict.fromkeys(("body", "gear.driver", "gear.idler"), "reuse")


def test_a_fit_that_is_conceded_speaks_against_no_part() -> None:
    shop = pump()
    shop.do(e.Concession(what="EC.idler", accepted_by="A. Owner", why="runs"))
    assert set(offered(shop).values()) == {"reuse"}


def test_the_decision_shown_in_the_way_is_the_one_offered() -> None:
    shown = [b.type for b in pump().blockers() if b.what == "gear.idler"]
    assert shown == ["bedplate decide gear.idler replace --why REASON"]


SPREAD = """
unit = "mm"
source = "Invented handbook"
[[component]]
id = "bore"
[[feature]]
tag = "B"
of = "bore"
stations = { way = ["1", "2"] }
[[fit]]
tag = "ROUND"
spread = "B"
along = "way"
band = { limits = "..0.01 mm" }
ADJUST
"""


def mending(shop: Shop) -> list[str]:
    """Return the command that leads on from each fit that does not pass."""
    now = assembly(shop)
    return [command_to_mend(now, fit) for fit in now.fits if fit.measured and not fit.passes]


def test_a_stack_has_a_remedy_whatever_its_sheet_says() -> None:
    assert mending(pump()) == mending(pump(MACHINED)) == ["bedplate remedy EC"]


def test_a_spread_without_adjustment_leads_to_its_part() -> None:
    shop = Shop(SPREAD.replace("ADJUST", ""))
    shop.read("B@1", "10.00 mm")
    shop.read("B@2", "10.05 mm")
    assert mending(shop) == ["bedplate decide bore replace --why REASON"]
    shop.do(e.Disposition(component="bore", decision="rework", why="oval"))
    assert mending(shop) == ["bedplate change bore reworked"]


def test_a_part_that_is_always_new_is_not_decided_on() -> None:
    sheet = SPREAD.replace("ADJUST", "").replace('id = "bore"', 'id = "bore"\nrenew = true')
    assert sheet_of(sheet).component[0].renew
    shop = Shop(sheet)
    shop.read("B@1", "10.00 mm")
    shop.read("B@2", "10.05 mm")
    assert mending(shop) == ["bedplate concede ROUND --accepted-by NAME --why REASON"]


CLOSE = """
unit = "mm"
source = "Invented handbook"
rule = "guarded"
[[component]]
id = "pump"
[[feature]]
tag = "IMP"
of = "pump"
stations = { blade = ["1", "2"] }
[[fit]]
tag = "IMPV"
spread = "IMP"
along = "blade"
band = { limits = "..0.30 mm" }
"""


def test_to_use_a_part_again_mends_no_close_call() -> None:
    shop = Shop(CLOSE)
    shop.read("IMP@1", "12.1 mm")
    shop.read("IMP@2", "12.4 mm")
    now = assembly(shop)
    (fit,) = now.fits
    assert (fit.verdict, fit.passes) == ("in-close", False)
    assert command_to_mend(now, fit) == "bedplate concede IMPV --accepted-by NAME --why REASON"
