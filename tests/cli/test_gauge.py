"""``gauge``: describing gauges once, and what they stood at and showed."""

from __future__ import annotations

from pathlib import Path

import pytest
from typist import RECORDED_KEYS, Typist

EVERYTHING = (
    "gauge add mic1 --kind micrometer --range '0..1 in' --resolution '1 tenth' "
    "--max-error '2 tenths' --zero-error '1 tenth' --repeatability '0.5 tenth' "
    "--expansion 11.5e-6 --reads sizes --serial 77 --title 'Small micrometer' --due 2027-03-01 "
    "--uncertainty '1 tenth'"
)


def test_everything_that_can_be_said_of_a_gauge_is_kept(typist: Typist) -> None:
    assert typist.done(EVERYTHING) == [
        "mic1 described: title Small micrometer, kind micrometer, range 0..1 in, resolution 1 "
        "tenth, max error 2 tenths, zero error 1 tenth, repeatability 0.5 tenth, uncertainty 1 "
        "tenth, expansion 11.5e-6, reads sizes, serial 77, due 2027-03-01."
    ]
    assert typist.document("gauge list") == {
        "format": "bedplate-out-gauge-list/1", "job": None, "entries": None,
        "gauges": [
            {
                "name": "mic1", "title": "Small micrometer", "kind": "micrometer",
                "range": "0..1 in", "resolution": "1 tenth", "max_error": "2 tenths",
                "zero_error": "1 tenth", "repeatability": "0.5 tenth", "uncertainty": "1 tenth",
                "expansion": "11.5e-6", "reads": "sizes", "serial": "77", "due": "2027-03-01",
            }
        ],
    }  # fmt: skip


def test_a_gauge_described_anew_says_only_what_was_said_last(typist: Typist) -> None:
    typist.done(EVERYTHING)
    answer = typist.type("gauge add MIC1 --resolution '2 tenths' --kind micrometer")
    assert answer.out == ["mic1 described: kind micrometer, resolution 2 tenths."]
    assert " ".join(answer.err) == (
        "No longer said of mic1: title Small micrometer, range 0..1 in, max error 2 tenths, zero "
        "error 1 tenth, repeatability 0.5 tenth, uncertainty 1 tenth, expansion 11.5e-6, reads "
        "sizes, serial 77, due 2027-03-01"
    )
    assert typist.document("gauge add MIC1 --resolution '2 tenths'") == {
        "format": "bedplate-out-gauge-add/1", "job": None, "entries": None,
        "gauge": {
            "name": "mic1", "title": None, "kind": None, "range": None, "resolution": "2 tenths",
            "max_error": None, "zero_error": None, "repeatability": None, "uncertainty": None,
            "expansion": None, "reads": None, "serial": None, "due": None,
        },
    }  # fmt: skip


def test_a_job_that_has_used_it_keeps_the_new_description(typist: Typist) -> None:
    typist.done("gauge add mic1 --resolution '1 tenth'")
    typist.open().done("measure D 1.0030", "measure H.idler 1 1 1 -g mic1")
    found = typist.document("gauge add mic1 --resolution '1 tenth' --max-error '2 tenths'")
    assert list(found) == RECORDED_KEYS
    assert (found["format"], found["recorded"]) == ("bedplate-out-gauge-add/1", [7])
    assert [(fit["tag"], fit["position"]) for fit in found["fits"]] == [("EC", "idler")]
    assert typist.last["gauge"] == {
        "name": "mic1", "resolution": "1 tenth", "max_error": "2 tenths",
    }  # fmt: skip
    before = typist.data
    typist.done("gauge add mic1 --resolution '1 tenth' --max-error '2 tenths'")
    assert typist.data == before


def test_gauges_are_listed(typist: Typist) -> None:
    said = typist.type("gauge list")
    assert (said.out, said.err) == (
        ["No gauge is described yet."],
        ['Describe one:  bedplate gauge add mic1 --resolution "1 tenth"'],
    )
    typist.done("gauge add mic1 --resolution '1 tenth'", "gauge add tg")
    assert typist.done("gauge list") == [
        "gauge  what is said of it",
        "mic1   resolution 1 tenth",
        "tg     nothing said of it, so typed digits alone count",
    ]


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (
            "mic2 --resolution 1",
            ['mic2: resolution "1" has no unit.', '  Type it with one:  "1 mm"'],
        ),
        (
            "mic2 --resolution -1thou",
            ['mic2: resolution must be above nought, and "-1thou" is not.'],
        ),
        ("mic2 --resolution 0mm", ['mic2: resolution must be above nought, and "0mm" is not.']),
        (
            "mic2 --max-error 1..2um",
            ['mic2: max error is one figure, not "1..2um".'],
        ),
        (
            "mic2 --resolution 1thou --max-error 1psi",
            ["mic2: its resolution is a length, and its max error a pressure."],
        ),
        (
            "mic2 --reads sums",
            ['mic2 cannot read "sums".', "  It reads  sizes  or  differences"],
        ),
        (
            "mic2 --range ..1in",
            ['mic2: a range has two ends, unlike "..1in".', '  Such as  "0..1 in"'],
        ),
        (
            "mic2 --expansion 11.5",
            ['"11.5" is more than any metal expands per degC.', "  Did you mean  11.5e-6"],
        ),
        (
            "mic2 --due tomorrow",
            ['mic2: due is "tomorrow", no day.', "  A day reads like:  2026-03-01"],
        ),
        ("'m c'", ['"m c" is no name for a gauge.', "  It reads like:  mic1"]),
        ("''", ['"" is no name for a gauge.', "  It reads like:  mic1"]),
    ],
)
def test_what_cannot_be_said_of_a_gauge_is_refused(
    typist: Typist, keys: str, said: list[str]
) -> None:
    first, *more = said
    assert typist.refused(f"gauge add {keys}") == [f"Not added. {first}", *more]
    assert not Path("../home/gauges.toml").exists()


# ---- settings


@pytest.fixture
def at_work(typist: Typist) -> Typist:
    """Return a typist with a job and two gauges, one of them for differences."""
    typist.done("gauge add mic1 --resolution '1 tenth'")
    typist.done("gauge add bore1 --reads differences --resolution '1 tenth'")
    return typist.open()


def test_a_zero_check_is_taken_off_what_is_read_from_then_on(at_work: Typist) -> None:
    at_work.done("measure D 1.0030", "measure H.driver 1 1 1 -g mic1")
    assert at_work.done(
        "gauge set mic1 1.0002 --on 1in --note warm --at 2025-11-24T08:00:00Z"
    ) == ["entry 7   setting mic1: shows 1.0002 in on 1in   (warm)"]
    assert at_work.last == {
        "kind": "setting", "gauge": "mic1", "shown": "1.0002 in", "reference": "1in",
        "note": "warm", "done_at": "2025-11-24T08:00:00+00:00",
    }  # fmt: skip
    at_work.done("measure H.idler 1.0001 1.0001 1.0001 -g mic1")
    means = [fit["mean"] for fit in at_work.document("check EC")["fits"]]
    assert means == ["3", "3.1"]


def test_a_comparator_is_set_on_a_reading_and_in_a_gauge(at_work: Typist) -> None:
    at_work.done("measure H.idler@a 0.9999 -g mic1")
    found = at_work.document("gauge set BORE1 0 --on h.IDLER@A --in MIC1")
    assert list(found) == RECORDED_KEYS
    assert (found["format"], found["recorded"]) == ("bedplate-out-gauge-set/1", [4, 5])
    assert at_work.last == {
        "kind": "setting", "gauge": "bore1", "shown": "0 in", "reference": "H.idler@a",
        "in": "mic1",
    }  # fmt: skip
    at_work.done("measure D 0.0031 -g bore1", "measure H.idler@b 1 -g mic1", "measure H.idler@c 1")
    fit = at_work.document("check EC.idler")["fits"][0]
    # D is 0.9999 + 0.0031 = 1.0030: 3.1 over a, 3.0 over b and c.
    assert (fit["tightest"], fit["loosest"]) == ("3", "3.1")


def test_nought_is_what_a_gauge_stood_at_where_nothing_is_said(at_work: Typist) -> None:
    assert at_work.done("gauge set bore1 5 tenths")[-1] == (
        "entry 3   setting bore1: shows 5 tenths on 0 in"
    )


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "mic9 1",
            [
                'There is no gauge "mic9" in your cabinet yet. There are: mic1,',
                "bore1.",
                '  Describe it once:  bedplate gauge add mic9 --resolution "1 tenth"',
            ],
        ),
        (
            "mic1 1.0001",
            [
                "mic1 is said to show 1.0001 in on 0 in: 1.0001 in off.",
                "  Say what it stood on:  --on 1in",
                "  Or, for a dial or comparator:",
                '    bedplate gauge add mic1 --resolution "1 tenth" --reads differences',
            ],
        ),
        (
            "mic1 1 --on X",
            [
                '"X" is neither a size nor an address.',
                "  Type:  --on 1in   or   --on H.idler@a",
            ],
        ),
        (
            "mic1 1 --on H.idler@a",
            [
                "Nothing was read at H.idler@a yet, so nothing can be set on it.",
                "  Type:  bedplate measure H.idler@a VALUE",
            ],
        ),
        (
            "mic1 1 --on H.idler",
            ['"H.idler" names 3 places; a gauge is set at one.', "  Type:  --on H.idler@a"],
        ),
        ("mic1 0.9..1.0 --on 1in", ['A gauge shows one figure, not "0.9..1.0".']),
        (
            "mic1 1psi --on 1in",
            [
                '"1psi" is a pressure, not a length.',
                '  A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"',
            ],
        ),
        (
            "mic1 1 --on 1in --in mic1",
            [
                "The gauges would be set on each other in a ring: mic1 in mic1.",
                "  Set mic1 on a standard first:  bedplate gauge set mic1 SHOWN --on SIZE",
            ],
        ),
    ],
)
def test_a_setting_that_cannot_be_is_refused(at_work: Typist, line: str, said: list[str]) -> None:
    first, *more = said
    assert at_work.refused(f"gauge set {line}") == [f"Not recorded. {first}", *more]
