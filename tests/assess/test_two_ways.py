"""Two ways to one quantity whose stacks meet the same axes in another order."""

from __future__ import annotations

from fractions import Fraction

from tiny import Tiny

VALVES = """
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
way = ["in", "ex"]
[[component]]
id = "head"
[[component]]
id = "valve"
positions = "cyl/way"
[[feature]]
tag = "G"
of = "head"
positions = "way/cyl"
[[feature]]
tag = "S"
of = "valve"
[[feature]]
tag = "RK"
of = ["valve", "head"]
[[fit]]
tag = "STEM"
stack = "G - S"
band = { limits = "0.02..0.05" }
[[fit]]
tag = "ROCK"
stack = "RK"
same_as = "STEM"
"""


def test_they_are_compared_position_by_position() -> None:
    job = Tiny(VALVES).say("G.ex/1 8.030", "S.1/ex 8.000", "G.in/2 8.04", "RK.1/ex 0.034")
    rocked = job.fit("ROCK.1/ex")
    assert rocked.e_n is not None
    assert rocked.disagrees
    assert job.fit("ROCK.2/in").e_n is None
    # U of the difference: three last digits of 0.001.
    assert abs(rocked.e_n**2 - Fraction("0.004") ** 2 / (Fraction("0.001") ** 2)) < 1e-9
