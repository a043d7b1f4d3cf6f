"""A fit as plain data: every key, figures as decimal text in the unit of the row."""

from __future__ import annotations

from tiny import Tiny

from bedplate.assess.rows import as_row

SHEET = """
unit = "in"
source = "Handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "ring"
[[component]]
id = "gear"
positions = "gear"
[[feature]]
tag = "R"
of = "ring"
[[feature]]
tag = "H"
of = "gear"
[[feature]]
tag = "F"
of = "ring"
[[fit]]
tag = "EC"
name = "Gear end clearance"
stack = "R - H"
band = { limits = "2..4 thou", source = "p. 31", wear = "..6 thou" }
[[fit]]
tag = "THIRD"
stack = "1/3*R"
[[fit]]
tag = "FLOAT"
stack = "F"
unit = "thou"
band = { limits = "..4 thou" }
[[fit]]
tag = "AGAIN"
stack = "R"
same_as = "THIRD"
"""


def pump() -> Tiny:
    """Return a pump read on a micrometer with r = e = z = 0.1 thou: U = 2√(1/120) = 0.18257."""
    tenth = "1 tenth"
    job = Tiny(SHEET).describe(
        name="mic1", resolution=tenth, max_error=tenth, zero_error=tenth, repeatability="0 in"
    )
    return job.say("R 1.0030 on mic1", "H.idler 0.9977 0.9979 on mic1")


def test_a_measured_row_has_every_key() -> None:
    row = as_row(pump().fit("EC.idler"))
    chance = row.pop("probability_in_band")
    assert row == {
        "tag": "EC", "position": "idler", "name": "Gear end clearance", "kind": "clearance",
        "stage": "as found", "verdict": "serviceable", "side": "high", "word": "loose",
        "unit": "thou", "mean": "5.2", "tightest": "5.2", "loosest": "5.2", "judged": "5.2",
        "expanded_uncertainty": "0.182574185835",
        "band": {"low": "2", "high": "4", "source": "p. 31"},
        "wear": {"low": None, "high": "6"}, "margin": "-1.2", "capability": 5.477225575051661,
        "readings": [3, 4, 5], "missing": [], "same_as": None, "e_n": None,
        "notes": ["no temperature given: taken as 20 degC, and not in U"],
    }  # fmt: skip
    assert 0 <= chance < 1e-30


def test_an_unmeasured_row_has_every_key_too() -> None:
    row = as_row(pump().fit("EC.driver"))
    nothing = [
        "side", "word", "mean", "tightest", "loosest", "judged", "expanded_uncertainty",
        "margin", "probability_in_band", "capability", "same_as", "e_n",
    ]  # fmt: skip
    assert {key: row[key] for key in nothing} == dict.fromkeys(nothing)
    assert (row["verdict"], row["missing"], row["readings"]) == ("unmeasured", ["H.driver"], [3])
    assert row["band"] == {"low": "2", "high": "4", "source": "p. 31"}
    assert row["wear"] == {"low": None, "high": "6"}
    assert list(row) == list(as_row(pump().fit("EC.idler")))


def test_what_does_not_end_is_rounded_at_twelve_decimals() -> None:
    row = as_row(Tiny(SHEET).say("R 1.0").fit("THIRD"))
    assert (row["mean"], row["position"], row["band"]) == ("0.333333333333", None, None)


def test_a_side_without_a_limit_is_null() -> None:
    row = as_row(Tiny(SHEET).say("F 0.003").fit("FLOAT"))
    assert row["band"] == {"low": None, "high": "4", "source": "Handbook"}
    assert (row["capability"], row["margin"], row["name"]) == (None, "1", "FLOAT")


def test_another_way_says_what_it_is_one_to_and_how_they_agree() -> None:
    """R − R/3 is 2/3·R, and its U 2/3·0.0002/√12 in: E_n = √12/0.0002."""
    row = as_row(Tiny(SHEET).say("R 1.0000").fit("AGAIN"))
    assert (row["same_as"], row["e_n"]) == ("THIRD", "17320.508075688773")
