"""Parts without a place: read under their mark, and under the positions within them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tiny import Tiny

from bedplate.assess.fits import Assessment
from bedplate.assess.matching import matched
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Reading
from bedplate.sheet.model import Fit

F = Fraction

GROOVES = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
groove = ["top", "oil"]
[[component]]
id = "piston"
positions = "cyl"
[[component]]
id = "ring"
positions = "cyl/groove"
[[feature]]
tag = "G"
of = "piston"
positions = "cyl/groove"
[[feature]]
tag = "R"
of = "ring"
[[fit]]
tag = "SIDE"
stack = "G - R"
band = { limits = "0.03..0.07 mm" }
"""


def test_a_spare_is_read_at_each_position_within_it_and_takes_its_readings_along() -> None:
    job = Tiny(GROOVES).say("R.1/top 2.00", "R.1/oil 4.00", "piston new mark K")
    job.say("G.K/top 2.04", "G.K/oil 4.06")
    assert [entry.address for entry in job.job.live(Reading)][-2:] == ["G.K/top", "G.K/oil"]
    job.say("piston.1 moved from K")
    means = [result.mean for result in Assessment(job.job).all if result.position[0] == "1"]
    assert means == [F("0.04"), F("0.06")]


def test_a_spare_with_several_positions_within_it_is_asked_which() -> None:
    job = Tiny(GROOVES).say("piston new mark K")
    with pytest.raises(NotUnderstoodError) as refused:
        job.say("G.K 2.04")
    assert refused.value.as_lines() == [
        "Not recorded. G is on the piston, and there are 2: K/top, K/oil.",
        "  Type:  bedplate measure G.K/top 2.04 --yes   or   G.K/oil",
    ]


def test_a_spare_is_matched_by_the_positions_within_it() -> None:
    sheet = GROOVES.replace('tag = "SIDE"', 'tag = "SIDE"\njudge = "mean"')
    sheet = sheet.replace("G - R", "G@top - R@top")
    job = Tiny(sheet).say("R.1/top 2.00", "R.2/top 2.00", "G.1/top 2.05", "G.2/top 2.09")
    job.say("piston new mark K", "G.K/top 2.05")
    seats = matched(Assessment(job.job), job.job.layout.row("SIDE", Fit)).seats
    assert [seat.moves for seat in seats] == [(), (("piston.2", "K"),)]


def test_what_is_left_of_a_fit_whose_other_part_is_gone_tells_its_stage() -> None:
    """The piston is new; that its ring was taken to another groove does not make it as found."""
    sheet = GROOVES.replace('tag = "SIDE"\nstack = "G - R"', 'tag = "GAP"\nstack = "E"').replace(
        'tag = "R"\nof = "ring"', 'tag = "E"\nof = ["piston", "ring"]'
    )
    job = Tiny(sheet).say("piston.1 new", "ring.2/top moved from ring.1/top")
    assert [job.fit(f"GAP.{at}").stage for at in ("1/top", "2/oil")] == ["as left", "as found"]
