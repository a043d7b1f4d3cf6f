"""A model does as one of pydantic's own does, and is made without it."""

import json
import subprocess
import sys
from typing import Annotated, Any, ClassVar, Literal, Self

import pydantic
import pytest
from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints

from bedplate.models import After, Alias, Before, Limited, Model, ValidationError, json_schema


def as_text(value: Any) -> Any:
    """Return a whole number as its text."""
    return str(value) if type(value) is int else value


class Inner(Model):
    """A part of another."""

    size: Annotated[int, Limited(ge=1)]


class Mine(Model):
    """What is tried."""

    name: Annotated[str, Limited(pattern="^[a-z]+$"), Before(as_text)]
    kind: Literal["a", "b"] = "a"
    parts: tuple[Inner, ...] | None = None
    more: dict[str, int | bool] | None = None
    from_: Annotated[str | None, Alias("from")] = None


class OfPydantic(BaseModel):
    """The inner one as pydantic has it."""

    model_config = ConfigDict(extra="forbid", frozen=True, title="Inner")
    size: Annotated[int, pydantic.Field(ge=1)]


class Theirs(BaseModel):
    """The same as pydantic has it."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)
    name: Annotated[str, StringConstraints(pattern="^[a-z]+$"), BeforeValidator(as_text)]
    kind: Literal["a", "b"] = "a"
    parts: tuple[OfPydantic, ...] | None = None
    more: dict[str, int | bool] | None = None
    from_: str | None = pydantic.Field(default=None, alias="from")


GIVEN: list[dict[str, Any]] = [
    {"name": "bore"},
    {"name": "bore", "kind": "b", "parts": [{"size": 2}, {"size": 3}], "more": {"x": True}},
    {"name": "bore", "from": "here"},
    {"name": "bore", "from_": "here"},
    {},
    {"name": 3},
    {"name": "Bore"},
    {"name": "bore", "kind": "c"},
    {"name": "bore", "parts": [{"size": 0}, {"length": 2}]},
    {"name": "bore", "parts": {"size": 1}},
    {"name": "bore", "more": {"x": "y"}},
    {"name": "bore", "colour": "red"},
    {"name": "bore", "from": 3},
]


def faults(error: ValidationError) -> list[tuple[object, str]]:
    """Return where and what the faults are."""
    return [(fault["loc"], fault["type"]) for fault in error.errors()]


def outcome(model: type[Mine | Theirs], given: dict[str, Any]) -> object:
    """Return what is written of what was taken, or the faults it was refused for."""
    try:
        made = model.model_validate(given)
    except ValidationError as error:
        return faults(error)
    if isinstance(made, Mine):
        return made.as_json()
    return made.model_dump(mode="json", by_alias=True, exclude_none=True)


@pytest.mark.parametrize("given", GIVEN, ids=json.dumps)
def test_a_model_takes_and_refuses_what_one_of_pydantic_does(given: dict[str, Any]) -> None:
    assert outcome(Mine, given) == outcome(Theirs, given)


@pytest.mark.parametrize("given", GIVEN, ids=json.dumps)
def test_json_is_read_as_the_same_data_are(given: dict[str, Any]) -> None:
    try:
        read: object = Mine.model_validate_json(json.dumps(given)).as_json()
    except ValidationError as error:
        read = faults(error)
    assert read == outcome(Mine, given)


class Strict(Model):
    """Strict, with what no one field shows, and a field that comes last."""

    model_config: ClassVar[dict[str, Any]] = {"extra": "forbid", "strict": True}
    closing: ClassVar[tuple[str, ...]] = ("last",)

    last: str = ""
    low: int

    def _sound(self) -> Self:
        if self.low < 0:
            msg = "below nought"
            raise ValueError(msg)
        return self


class Wider(Strict):
    """One field more."""

    high: Annotated[int, After(abs)] = 0


def test_a_closing_field_stands_behind_those_of_a_subclass() -> None:
    assert list(Wider.model_fields) == ["low", "high", "last"]
    assert list(Wider(low=1, last="x").as_json()) == ["low", "high", "last"]


def test_what_no_one_field_shows_is_held_in_subclasses_too() -> None:
    with pytest.raises(ValidationError, match="below nought"):
        Wider(low=-1)
    with pytest.raises(ValidationError, match="valid integer"):
        Wider.model_validate({"low": "1"})
    assert Wider(low=1, high=-2).high == 2


def test_a_model_is_a_value() -> None:
    one, other = Inner(size=1), Inner.model_validate({"size": 1})
    assert one == other
    assert hash(one) == hash(other)
    assert one != Inner(size=2)
    assert repr(one) == "Inner(size=1)"
    assert dict(one) == {"size": 1}
    assert one.model_copy(update={"size": 3}) == Inner(size=3)


def test_a_model_cannot_be_changed() -> None:
    one = Inner(size=1)
    with pytest.raises(ValidationError, match="Instance is frozen"):
        one.size = 2  # type: ignore[misc]
    with pytest.raises(ValidationError, match="Instance is frozen"):
        del one.size
    assert one.size == 1


def test_a_field_of_another_type_is_refused_when_it_is_first_used() -> None:
    class Odd(Model):
        when: complex

    with pytest.raises(TypeError, match="no model has fields of"):
        Odd.model_validate({"when": 1j})


def test_the_json_schema_tells_each_model_once() -> None:
    found = json_schema({"mine": Mine}, "kind")
    assert set(found["$defs"]) == {"Inner"}
    both = json_schema({"a": Mine, "b": Wider}, "kind")
    assert both["discriminator"]["mapping"] == {"a": "#/$defs/Mine", "b": "#/$defs/Wider"}


def test_neither_a_sheet_nor_an_entry_loads_pydantic() -> None:
    code = (
        "import sys\n"
        "from bedplate.record.entries import Reading\n"
        "from bedplate.sheet.model import Sheet\n"
        "Sheet.model_validate({'format': 'bedplate-sheet/1'})\n"
        "Reading(address='D', value='1 in')\n"
        "print([name for name in sys.modules if name.split('.')[0] == 'pydantic'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert done.stdout == "[]\n"
