"""A value does as a dataclass does, and is cheaper to define."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from dataclasses import FrozenInstanceError, asdict, field, fields, replace
from typing import Any

import pytest

from bedplate.values import dataclass


@dataclass(frozen=True, slots=True)
class Ours:
    """What is tried."""

    low: int
    high: int = 4
    names: list[str] = field(default_factory=list, compare=False)
    note: str = field(default="", repr=False, compare=False)

    @property
    def width(self) -> int:
        """From one to the other."""
        return self.high - self.low


@dataclasses.dataclass(frozen=True, slots=True)
class Theirs:
    """The same by the book."""

    low: int
    high: int = 4
    names: list[str] = field(default_factory=list, compare=False)
    note: str = field(default="", repr=False, compare=False)

    @property
    def width(self) -> int:
        """From one to the other."""
        return self.high - self.low


@dataclass(frozen=True, slots=True)
class Wider(Ours):
    """With a field more."""

    colour: str = "red"


@dataclass(frozen=True, slots=True)
class Nothing:
    """Without a field."""


MADE: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    ((1,), {}),
    ((1, 2), {"note": "x"}),
    ((), {"low": 1, "names": ["a"]}),
    ((1, 2, ["a"], "x"), {}),
    ((), {}),
    ((1, 2, 3, 4, 5), {}),
    ((1,), {"low": 1}),
    ((1,), {"colour": "red"}),
]


def told(kind: type[Ours | Theirs], given: tuple[Any, ...], named: dict[str, Any]) -> Any:
    """Return what comes of making one."""
    try:
        made = kind(*given, **named)
    except TypeError as error:
        return str(error).replace("Theirs", "Ours").removeprefix("Ours.")
    return asdict(made), repr(made).replace("Theirs", "Ours"), made.width, made.__match_args__


@pytest.mark.parametrize(("given", "named"), MADE)
def test_a_value_is_made_and_refused_as_a_dataclass_is(
    given: tuple[Any, ...], named: dict[str, Any]
) -> None:
    assert told(Ours, given, named) == told(Theirs, given, named)


def test_its_fields_are_those_of_a_dataclass() -> None:
    assert [str(each) for each in fields(Ours)] == [str(each) for each in fields(Theirs)]
    assert dataclasses.is_dataclass(Ours)
    assert replace(Ours(1, names=["a"]), high=9) == Ours(1, 9)


def test_values_are_compared_by_what_is_to_be_compared() -> None:
    assert Ours(1, note="x", names=["a"]) == Ours(1)
    assert hash(Ours(1, note="x")) == hash(Ours(1))
    assert Ours(1) != Ours(2)
    assert Ours(1).__eq__(Theirs(1)) is NotImplemented
    assert Ours(1) != Wider(1)
    assert (Nothing(), hash(Nothing())) == (Nothing(), hash(Nothing()))


def test_each_instance_has_a_list_of_its_own() -> None:
    assert Ours(1).names is not Ours(1).names


def test_a_value_cannot_be_changed() -> None:
    one = Ours(1)
    with pytest.raises(FrozenInstanceError, match="cannot assign to field 'low'"):
        one.low = 2  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError, match="cannot delete field 'low'"):
        del one.low
    with pytest.raises(FrozenInstanceError):
        one.other = 2  # type: ignore[attr-defined]
    assert not hasattr(one, "__dict__")


def test_a_field_more_stands_behind_those_of_the_base() -> None:
    assert repr(Wider(1)) == "Wider(low=1, high=4, names=[], colour='red')"
    assert [each.name for each in fields(Wider)] == ["low", "high", "names", "note", "colour"]
    assert Wider(1, colour="blue").width == 3


def test_a_value_is_copied_and_kept() -> None:
    one = Ours(1, names=["a"])
    assert copy.deepcopy(one) == one
    assert copy.deepcopy(one).names is not one.names
    assert pickle.loads(pickle.dumps(one)).names == ["a"]


def test_a_value_is_told_apart_by_its_places() -> None:
    match Ours(1, 3):
        case Ours(low, high):
            assert (low, high) == (1, 3)


def test_other_kinds_are_left_to_the_library() -> None:
    @dataclass(slots=True)
    class Open:
        low: int = 0

    @dataclass
    class Bare:
        low: int = 0

    for each in (Open(), Bare()):
        each.low = 3
        assert each.low == 3

    @dataclass(frozen=True, slots=True)
    class Checked:
        low: int

        def __post_init__(self) -> None:
            if self.low < 0:
                msg = "below nought"
                raise ValueError(msg)

    with pytest.raises(ValueError, match="below nought"):
        Checked(-1)


def test_defining_one_compiles_nothing() -> None:
    @dataclass(frozen=True, slots=True)
    class Late:
        low: int

    assert Late.__init__.__name__ == "first"
    assert Late(3).low == 3
    assert Late.__init__.__name__ == "__init__"
