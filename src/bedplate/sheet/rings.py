"""Rings in what follows what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


def ring_in(links: Mapping[str, Iterable[str]]) -> list[str] | None:
    """Return the names of a ring, each pointing at the next and the last at the first, or None.

    Args:
        links: for each name those it points at; names match without case, strangers lead nowhere.

    >>> ring_in({"a": ["b"], "b": ["c"], "c": ["B"]})
    ['b', 'c']
    """
    folded = {name.casefold(): (name, [n.casefold() for n in to]) for name, to in links.items()}
    done: set[str] = set()
    for start in folded:
        ring = _ring_from(start, folded, done)
        if ring is not None:
            return [folded[name][0] for name in ring]
    return None


def _ring_from(
    start: str, links: Mapping[str, tuple[str, list[str]]], done: set[str]
) -> list[str] | None:
    """Follow everything from one name, without recursion: a sheet may have thousands of steps."""
    way: list[str] = []
    heap: list[tuple[str, bool]] = [(start, False)]
    on_way: set[str] = set()
    while heap:
        name, left = heap.pop()
        if left:
            way.pop()
            on_way.discard(name)
            done.add(name)
            continue
        if name in on_way:
            return way[way.index(name) :]
        if name in done or name not in links:
            continue
        way.append(name)
        on_way.add(name)
        heap.append((name, True))
        heap += [(other, False) for other in reversed(links[name][1])]
    return None
