"""``calc``: one clearance, no job needed."""

from __future__ import annotations

from pathlib import Path

import pytest
from typist import FIT_KEYS, Typist


@pytest.mark.parametrize(
    ("line", "said", "code"),
    [
        (
            'calc "1.0030 - 0.9979" --band 2..4thou',
            "5.1 ±0.09 thou   OUT, loose by 1.1   2 ├────────────────────┤ 4  X",
            1,
        ),
        (
            "calc 1.0030 - 1.0000 --band 2..4thou",
            "3.0 ±0.09 thou   in band   2 ├────────═o═─────────┤ 4",
            0,
        ),
        (
            'calc "1.2530 - 2*0.2500 - 0.7500" --band "2..4 thou" --gauge-error "1 tenth"',
            "3.0 ±0.32 thou   in band   2 ├──────═══o════──────┤ 4",
            0,
        ),
        ('calc "(48.043 - 47.990)/2 mm"', "0.026 ±0.0005 mm", 0),
        ("calc 29.5psi", "29.5 ±0.06 psi", 0),
    ],
)
def test_one_sum_is_one_line(typist: Typist, line: str, said: str, code: int) -> None:
    answer = typist.type(line)
    assert (answer.out, answer.err, answer.code) == ([said], [], code)
    assert not list(Path().iterdir())


def test_a_close_call_says_how_far_it_may_reach(typist: Typist) -> None:
    answer = typist.type("calc 1.0030-0.9990 --band 2..4thou")
    assert answer.out == ["4.0 ±0.09 thou   in, close to high   2 ├──────────────────═?┤ 4  ="]
    assert answer.err == ["It could be 4.1."]


def test_plain_is_one_fact_a_line(typist: Typist) -> None:
    assert typist.type("calc 1.0030-0.9979 --band 2..4thou --plain").out == [
        "OUT, loose by 1.1.",
        "5.1 thou, plus or minus 0.09.",
        "Band 2 to 4 thou.",
    ]


def test_the_document_of_a_sum_is_one_row_of_a_check(typist: Typist) -> None:
    found = typist.document('calc "1.0030 - 0.9979" --band 2..4thou', 1)
    assert list(found) == ["format", "job", "entries", "ok", "hot", "fits"]
    assert {key: found[key] for key in list(found)[:5]} == {
        "format": "bedplate-out-calc/1", "job": None, "entries": None, "ok": False, "hot": None,
    }  # fmt: skip
    (row,) = found["fits"]
    assert list(row) == FIT_KEYS
    assert row == {
        "tag": "calc", "position": None, "name": "1.0030 - 0.9979", "kind": "clearance",
        "stage": "as left", "verdict": "out", "side": "high", "word": "loose", "unit": "thou",
        "mean": "5.1", "tightest": "5.1", "loosest": "5.1", "judged": "5.1",
        "expanded_uncertainty": "0.0816496580928",
        "band": {"low": "2", "high": "4", "source": None}, "wear": None, "margin": "-1.1",
        "probability_in_band": pytest.approx(0, abs=1e-99),
        "capability": pytest.approx(1 / 0.0816496580928), "readings": [], "missing": [],
        "same_as": None, "e_n": None, "notes": ["U from typed digits only"],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "calc abc",
            ['"abc" has no figure.', '  Type:  bedplate calc "1.0030 - 0.9979" --band 2..4thou'],
        ),
        (
            'calc "1 + 2*x"',
            ['"x" is no figure.', '  Type:  bedplate calc "1.0030 - 0.9979" --band 2..4thou'],
        ),
        ('calc "1.0/0"', ['"1.0/0" cannot be read: something is divided by 0.']),
        (
            'calc "1.0*2.0"',
            ['"1.0*2.0" cannot be read: a figure is multiplied by a', "figure."],
        ),
        ('calc "(1.0 - 0.5"', ['"(1.0 - 0.5" cannot be read: it ends before a ")" is due.']),
        ('calc "1.0 -"', ['"1.0 -" cannot be read: it ends where a figure is due.']),
        (
            "calc 1.0-0.5 --band 3thou",
            [
                '"3thou" is one figure; limits have two ends, or one left',
                "open.",
                "  At most:  ..3thou     at least:  3thou..     both:  2..4 thou",
            ],
        ),
        (
            "calc 1.0-0.5 --band 4..2thou",
            ['"4..2thou" has its higher end first.', "  Type the lower end first:  4..5"],
        ),
        ("calc 1.0-0.5 --gauge-error -1thou", ['"-1thou" is no gauge error.']),
        (
            f"calc {'1+' * 2100}1",
            ["A sum may have 4000 characters, and this has 4201."],
        ),
    ],
)
def test_what_is_no_sum_is_named(typist: Typist, line: str, said: list[str]) -> None:
    first, *more = said
    assert typist.refused(line) == [f"Nothing worked out. {first}", *more]
