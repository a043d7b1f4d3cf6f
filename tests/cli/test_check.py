"""``check``: every fit against its band, as words, as a document, as an exit code."""

from __future__ import annotations

import re

import pytest
from typist import FIT_KEYS, PUMP, Typist

SMALL = """
format = "bedplate-sheet/1"
unit = "in"
source = "Invented handbook"
[axes]
gear = ["driver", "idler"]
[[component]]
id = "body"
material = "bronze"
[[component]]
id = "gear"
positions = "gear"
material = "steel"
[[feature]]
tag = "D"
of = "body"
[[feature]]
tag = "H"
of = "gear"
[[fit]]
tag = "EC"
name = "end clearance"
stack = "D - H"
band = { limits = "2..4 thou", source = "p. 31" }
"""

TWO_WAYS = """
format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
[axes]
throw = ["1", "2"]
[[component]]
id = "crank"
[[feature]]
tag = "PB"
of = "crank"
positions = "throw"
[[feature]]
tag = "PJ"
of = "crank"
positions = "throw"
[[feature]]
tag = "PT"
of = "crank"
positions = "throw"
[[feature]]
tag = "PL"
of = "crank"
positions = "throw"
[[fit]]
tag = "RC"
stack = "PB - PJ"
band = { limits = "0.025..0.060 mm" }
[[fit]]
tag = "RCT"
stack = "PT"
same_as = "rc"
[[fit]]
tag = "RCL"
stack = "PL"
same_as = "RCT"
"""


def undated(lines: list[str]) -> list[str]:
    """Return lines with the time of the first taken out."""
    head = re.sub(r"\d+ \w{3} \d{4} \d\d:\d\d$", "NOW", lines[0])
    return [" ".join(head.split()), *lines[1:]]


def read(typist: Typist, driver: str, idler: str, sheet: str = SMALL) -> Typist:
    """Open a small pump of depth 1.0030 and read both gears."""
    typist.open(sheet).done("measure D 1.0030")
    typist.done(f"measure H.driver {driver}", f"measure H.idler {idler}")
    return typist


# ---- in words


def test_fits_are_a_table_with_what_is_out_and_what_would_mend_it_below(typist: Typist) -> None:
    read(typist, "1.0000", "0.9979")
    said = typist.type("check")
    assert (said.code, said.err) == (1, [])
    assert undated(said.out) == [
        "pump as left, NOW",
        "fit  place   tightest  loosest    ±U  band                  verdict",
        "EC   driver       3.0      3.0  0.09  2 to 4 thou   [ o ]   in band",
        "EC   idler        5.1      5.1  0.09  2 to 4 thou   [   ]X  OUT, loose by 1.1",
        "1 out of 2: to mend: bedplate remedy EC",
        "±U is from typed digits only where no gauge was named or described.",
    ]


def test_fits_asked_for_are_drawn_too(typist: Typist) -> None:
    read(typist, "1.0000", "0.9979")
    assert undated(typist.done("check ec.DRIVER"))[1:] == [
        "fit  place   tightest  loosest    ±U  band                  verdict",
        "EC   driver       3.0      3.0  0.09  2 to 4 thou   [ o ]   in band",
        "EC driver  2 ├────────═o═─────────┤ 4",
        "It passes.",
        "±U is from typed digits only where no gauge was named or described.",
    ]


def test_a_close_call_says_how_far_it_may_reach_and_passes(typist: Typist) -> None:
    read(typist, "1.0000", "0.9990")
    assert undated(typist.done("check"))[3:5] == [
        "EC   idler        4.0      4.0  0.09  2 to 4 thou   [  ?]   in, close to high",
        "1 close of 2: EC idler could be 4.1, neither more repeats nor a gauge of less",
    ]


def test_plain_is_a_sentence_a_fit_without_drawing(typist: Typist) -> None:
    read(typist, "1.0000", "0.9979").done("change gear.idler new")
    said = typist.type("check --plain --all")
    assert re.sub(r"\d+ \w{3} \d{4} \d\d:\d\d", "NOW", said.out[0]) == (
        "pump, as found and as left, NOW"
    )
    assert said.out[1:4] == [
        "As found: Verdict: end clearance EC, driver: in band. 3.0 thou, plus or minus 0.09. "
        "Band 2 to 4 thou.",
        "As found: Verdict: end clearance EC, idler: OUT, loose by 1.1. 5.1 thou, plus or "
        "minus 0.09. Band 2 to 4 thou.",
        "As left: Verdict: end clearance EC, idler: waiting for H.idler.",
    ]
    assert not re.search(r"[\[\]|]|\+-|±", "\n".join(said.out))


def test_as_found_stands_beside_as_left(typist: Typist) -> None:
    read(typist, "1.0000", "0.9979").done("change gear.idler new", "measure H.idler 1.0001")
    assert undated(typist.done("check --all"))[:6] == [
        "pump as found and as left, NOW",
        "fit  place   stage     tightest  loosest    ±U  band                  verdict",
        "EC   driver  as found       3.0      3.0  0.09  2 to 4 thou   [ o ]   in band",
        "EC   idler   as found       5.1      5.1  0.09  2 to 4 thou   [   ]X  OUT, loose by 1.1",
        "EC   idler   as left        2.9      2.9  0.09  2 to 4 thou   [ o ]   in band",
        "All 2 pass.",
    ]


def test_a_job_without_fits_says_how_to_add_one(typist: Typist) -> None:
    typist.done("open pump")
    said = typist.type("check")
    assert (said.code, said.out[1:], said.err) == (
        0,
        ["There is no fit yet."],
        ['Add one:  bedplate add fit EC --stack "D - H" --band 2..4thou --source "p. 31"'],
    )


def test_notes_have_the_sign_of_temperature_where_it_can_be_drawn(typist: Typist) -> None:
    read(typist, "1.0000", "1.0000")
    note = "All: no temperature given: taken as 20 {}C, and not in U"
    assert typist.done("check --all")[-1] == note.format("°")
    typist.done("settings screen ascii")
    assert typist.done("check --all")[-1] == note.format("deg")


# ---- as a document


def test_the_document_of_a_check(typist: Typist) -> None:
    read(typist, "1.0000", "0.9979")
    found = typist.document("check", 1)
    assert list(found) == ["format", "job", "entries", "ok", "hot", "fits"]
    assert {key: found[key] for key in list(found)[:5]} == {
        "format": "bedplate-check/1", "job": "pump", "entries": 4, "ok": False, "hot": None,
    }  # fmt: skip
    assert [list(fit) for fit in found["fits"]] == [FIT_KEYS, FIT_KEYS]
    assert found["fits"][1] == {
        "tag": "EC", "position": "idler", "name": "end clearance", "kind": "clearance",
        "stage": "as found", "verdict": "out", "side": "high", "word": "loose", "unit": "thou",
        "mean": "5.1", "tightest": "5.1", "loosest": "5.1", "judged": "5.1",
        "expanded_uncertainty": "0.0816496580928",
        "band": {"low": "2", "high": "4", "source": "p. 31"}, "wear": None, "margin": "-1.1",
        "probability_in_band": pytest.approx(0, abs=1e-99),
        "capability": pytest.approx(1 / 0.0816496580928),
        "readings": [2, 4], "missing": [], "same_as": None, "e_n": None,
        "notes": [
            "U from typed digits only", "no temperature given: taken as 20 degC, and not in U",
        ],
    }  # fmt: skip


def test_all_adds_the_as_found_rows_and_ok_stays_that_of_as_left(typist: Typist) -> None:
    read(typist, "1.0000", "0.9979").done("change gear.idler new", "measure H.idler 1.0001")
    assert [(f["position"], f["stage"]) for f in typist.document("check")["fits"]] == [
        ("driver", "as found"),
        ("idler", "as left"),
    ]
    found = typist.document("check --all")
    assert [(f["position"], f["stage"], f["verdict"], f["readings"]) for f in found["fits"]] == [
        ("driver", "as found", "in", [2, 3]),
        ("idler", "as found", "out", [2, 4]),
        ("idler", "as left", "in", [2, 6]),
    ]
    assert found["ok"]


def test_hot_each_part_grows_by_its_own_expansion(typist: Typist) -> None:
    read(typist, "1.0000", "1.0000")
    found = typist.document("check EC.idler --hot 90degC --hot gear=50C")
    # (1.0030·(1 + 18e-6·70) − 1.0000·(1 + 11.7e-6·30)) in, in thou.
    assert found["hot"] == {
        "at": "90degC, gear=50C",
        "fits": [
            {
                "tag": "EC", "position": "idler", "unit": "thou", "mean": "3.91278",
                "tightest": "3.91278", "loosest": "3.91278",
            }
        ],
    }  # fmt: skip
    assert found["fits"][0]["mean"] == "3"
    assert typist.done("check EC.idler --hot 90degC")[-3:] == [
        "",
        "Grown as at 90degC; shown, not judged:",
        "  EC idler  3.4 thou",
    ]


# ---- the exit code


@pytest.mark.parametrize(
    ("idler", "rule", "code", "verdict"),
    [
        ("1.0000", "simple", 0, "in"),
        ("0.9990", "simple", 0, "in-close"),
        ("0.9990", "guarded", 1, "in-close"),
        ("0.99899", "simple", 1, "out-close"),
        ("0.9989", "simple", 1, "out"),
    ],
)
def test_yes_only_if_every_fit_asked_for_passes(
    typist: Typist, idler: str, rule: str, code: int, verdict: str
) -> None:
    sheet = SMALL.replace('unit = "in"', f'unit = "in"\nrule = "{rule}"')
    read(typist, "1.0000", idler, sheet)
    assert typist.document("check EC.driver")["ok"] is True
    found = typist.document("check", code)
    assert (found["ok"], found["fits"][1]["verdict"]) == (code == 0, verdict)


def test_what_is_not_measured_does_not_pass(typist: Typist) -> None:
    typist.open()
    assert typist.document("check RELIEF", 1)["ok"] is False
    typist.done("measure RP 30.0")
    assert typist.document("check RELIEF")["ok"] is True


@pytest.mark.parametrize("way", ["PT", "PL"])
def test_of_several_ways_to_one_quantity_one_measured_is_enough(typist: Typist, way: str) -> None:
    typist.open(TWO_WAYS).done(f"measure {way}.1 0.040", f"measure {way}.2 0.041")
    assert typist.document("check")["ok"] is True
    assert typist.document("check RC.1")["ok"] is True


def test_the_other_way_counts_at_its_own_position_only(typist: Typist) -> None:
    typist.open(TWO_WAYS).done("measure PT.1 0.040")
    assert typist.document("check RC.1")["ok"] is True
    assert typist.document("check RC.2", 1)["ok"] is False


def test_another_way_that_is_out_does_not_pass_for_both(typist: Typist) -> None:
    typist.open(TWO_WAYS).done("measure PT.1 0.080 --yes", "measure PT.2 0.040")
    assert typist.document("check RC.1", 1)["ok"] is False
    assert typist.document("check", 1)["ok"] is False


def test_two_ways_that_disagree_are_said_to(typist: Typist) -> None:
    typist.open(TWO_WAYS).done(
        "measure PB.1 48.030", "measure PJ.1 47.990", "measure PT.1 0.045", "measure PL.2 0.040"
    )
    fit = typist.document("check RCT.1")["fits"][0]
    # u²(a − b) = 3·0.001²/12, so U = 0.001 mm, and E_n = 5.
    assert (fit["same_as"], fit["e_n"]) == ("RC", "5")
    said = "RCT 1 disagrees with RC: E_n 5.00, one of the two is wrong"
    assert typist.done("check RCT.1")[-3:-1] == [
        said,
        "It passes. But two ways disagree, one is wrong: RCT 1",
    ]
    assert said in typist.done("check RC.1")
    assert f"{said}." in typist.done("check RC.1 --plain")
    assert not any("E_n" in line for line in typist.type("check RCT.2").out)
    assert not any("E_n" in line for line in typist.type("check").out)


def test_two_ways_that_agree_are_said_to_where_one_of_them_is_asked_for(typist: Typist) -> None:
    typist.open(TWO_WAYS).done(
        "measure PB.1 48.030", "measure PJ.1 47.990", "measure PT.1 0.041", "measure PL.1 0.041"
    )
    # U = 0.001 mm of RCT - RC, and √(2/3) of that of RCL - RCT, whose difference is 0.
    told = ["RCT 1 agrees with RC: E_n 1.00", "RCL 1 agrees with RCT: E_n 0.00"]
    assert [line for line in typist.done("check RCT.1") if "E_n" in line] == told
    assert [line for line in typist.done("check RC.1") if "E_n" in line] == told[:1]
    assert [line for line in typist.done("check RCL.1") if "E_n" in line] == told[1:]


# ---- what is refused


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("check X", ['There is no fit "X".', "  Fits: EC, LASH, RELIEF"]),
        ("check RELEIF", ['There is no fit "RELEIF".', "  Nearest: RELIEF"]),
        ("check EC.idle", ['EC is not formed at "idle".', "  Nearest: idler"]),
        ("check --hot 90", ['"90" has no unit.', "  A temperature reads like  24C  75F  297K"]),
        (
            "check --hot bdy=90C",
            ['There is no component "bdy".', "  Nearest: body"],
        ),
        (
            "check --hot body=hot",
            ['"hot" is not a figure.', "  A temperature reads like  24C  75F  297K"],
        ),
    ],
)
def test_what_is_not_understood_is_named(typist: Typist, line: str, said: list[str]) -> None:
    first, *more = said
    assert typist.open().refused(line) == [f"Nothing checked. {first}", *more]


def test_no_gear_of_the_pump_is_checked_before_it_is_read(typist: Typist) -> None:
    found = typist.open(PUMP).document("check EC", 1)
    assert [fit["missing"] for fit in found["fits"]] == [
        ["D", "H.driver@a", "H.driver@b", "H.driver@c"],
        ["D", "H.idler@a", "H.idler@b", "H.idler@c"],
    ]
