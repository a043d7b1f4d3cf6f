"""Rings in what follows what."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from bedplate.sheet.rings import ring_in


def test_a_line_is_no_ring() -> None:
    assert ring_in({"a": ["b", "c"], "b": ["c"], "c": []}) is None


def test_a_ring_is_named_in_its_order() -> None:
    assert ring_in({"x": ["a"], "a": ["B"], "b": ["c"], "c": ["a"]}) == ["a", "b", "c"]


def test_what_points_at_itself_is_a_ring() -> None:
    assert ring_in({"a": ["a"]}) == ["a"]


def test_strangers_lead_nowhere() -> None:
    assert ring_in({"a": ["z"]}) is None


def test_a_very_long_line_is_followed() -> None:
    links = {str(n): [str(n + 1)] for n in range(20_000)}
    assert ring_in(links) is None
    links["20000"] = ["0"]
    ring = ring_in(links)
    assert ring is not None
    assert len(ring) == 20_001


@given(st.dictionaries(st.sampled_from("abcdef"), st.lists(st.sampled_from("abcdef"), max_size=3)))
def test_a_ring_found_is_one_and_none_is_missed(links: dict[str, list[str]]) -> None:
    ring = ring_in(links)
    if ring is not None:
        for name, following in zip(ring, [*ring[1:], ring[0]], strict=True):
            assert following in links[name]
        return
    reached = {name: set(to) for name, to in links.items()}
    for _ in links:
        for name, to in reached.items():
            reached[name] = to | {n for other in to for n in reached.get(other, ())}
    assert all(name not in to for name, to in reached.items())
