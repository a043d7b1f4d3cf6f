"""Bands and stages as they are typed at a command."""

from __future__ import annotations

from typing import Any

import pytest

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.bands_typed import typed_bands, typed_stages


def bands(raw: dict[str, Any] | None = None, **given: list[str]) -> Any:
    row = dict(raw or {})
    typed_bands(row, {key.rstrip("_"): texts for key, texts in given.items()}, None)
    return row.get("band")


def refusal(raw: dict[str, Any] | None = None, **given: list[str]) -> list[str]:
    with pytest.raises(NotUnderstoodError) as caught:
        bands(raw, **given)
    return caught.value.as_lines()


def test_a_band_with_all_its_parts() -> None:
    assert bands(
        band=["2..4thou"], source=["p. 31"], wear=["..6thou"], aim=["3thou"], from_=["nominal"],
        for_=["ex"],
    ) == {
        "limits": "2..4 thou", "source": "p. 31", "wear": "..6 thou", "aim": "3 thou",
        "from": "nominal", "for": "ex",
    }  # fmt: skip


def test_several_bands_each_with_its_own_part_or_one_for_all() -> None:
    assert bands(band=["2..4", "3..5"], source=["p. 31"], for_=["in", "ex"]) == [
        {"limits": "2..4", "source": "p. 31", "for": "in"},
        {"limits": "3..5", "source": "p. 31", "for": "ex"},
    ]


def test_parts_that_are_neither_one_nor_one_each_are_refused() -> None:
    assert refusal(band=["1..2", "2..3", "3..4"], source=["p"], for_=["in", "ex"]) == [
        "There are 3 bands and --for stands 2 times.",
        "  Give --for once for all, or once for each, in the same order",
    ]


def test_a_part_alone_changes_the_one_band_there_is() -> None:
    raw = {"band": {"limits": "2..4", "source": "p", "wear": "..5"}}
    assert bands(raw, wear=["..6thou"]) == {"limits": "2..4", "source": "p", "wear": "..6 thou"}
    assert bands(raw, wear=[""]) == {"limits": "2..4", "source": "p"}
    assert raw["band"]["wear"] == "..5"


def test_a_part_alone_without_a_band_or_with_several_is_refused() -> None:
    assert refusal(wear=["..6"]) == [
        "--wear belongs to a band, and there is none.",
        "  Type the same again with, for example:  --band 2..4thou",
    ]
    assert refusal({"band": [{"limits": "1..2"}, {"limits": "2..3"}]}, aim=["2"]) == [
        "There are 2 bands: whose aim is it?",
        "  Type all of them again, each with --band and --for",
    ]


def test_an_empty_band_is_taken_away() -> None:
    assert bands({"band": {"limits": "2..4"}}, band=[""]) is None


def test_a_source_is_needed() -> None:
    assert refusal(band=["2..4mm"])[0] == (
        "A band needs its source: where does 2..4 mm come from?"
    )
    row: dict[str, Any] = {}
    typed_bands(row, {"band": ["2..4"]}, "Handbook")
    assert row == {"band": {"limits": "2..4"}}


def stages(raw: dict[str, Any], given: dict[str, list[str]], source: str | None = None) -> Any:
    typed_stages(raw, given, source)
    return raw.get("stages")


def test_stages_stand_in_the_order_typed() -> None:
    given = {"stages": ["30N*m", "60..65deg"], "source": ["p. 14", "p. 15"]}
    assert stages({}, given) == [
        {"limits": "30 N*m", "source": "p. 14"},
        {"limits": "60..65 deg", "source": "p. 15"},
    ]


def test_stages_need_a_source_and_a_source_needs_stages() -> None:
    with pytest.raises(NotUnderstoodError) as caught:
        stages({}, {"stages": ["30 N*m"]})
    assert str(caught.value) == "A stage needs its source: where does 30 N*m come from?"
    with pytest.raises(NotUnderstoodError) as caught:
        stages({}, {"source": ["p. 3"]})
    assert caught.value.as_lines() == [
        "--source belongs to stages, and there are none.",
        '  Type the same again with, for example:  --stages "16..18 lbf*ft"',
    ]


def test_the_source_of_stages_there_are_is_changed() -> None:
    raw = {"stages": [{"limits": "30 N*m", "source": "p. 1"}]}
    assert stages(raw, {"source": ["p. 2"]}) == [{"limits": "30 N*m", "source": "p. 2"}]
    assert stages(raw, {"stages": [""]}) is None
