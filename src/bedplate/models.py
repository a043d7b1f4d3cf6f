"""Frozen values that are checked as they are made, read from JSON and written to it.

What checks them and spells them is pydantic's core. pydantic's own ``BaseModel`` is left out: a
third of what a plain command may take went into loading it and making forty such classes
(``docs/speed.md``). Here a class is made from its annotations, and its validator when it is first
asked for one. The methods that both have are called alike and do alike; the JSON schemas that are
handed out are written by pydantic.

An annotation is one of these: ``str``, ``int``, ``bool``, ``Any``, a `Model`, ``Literal[...]``,
``X | Y``, ``X | None``, ``tuple[X, ...]``, ``dict[X, Y]``, or ``Annotated`` of one with the marks
of this module. They must be there as objects: a module of models does without the import of
``annotations`` from ``__future__``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import NoneType, UnionType
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    ClassVar,
    Final,
    Literal,
    NamedTuple,
    Self,
    TypeAlias,
    Union,
    dataclass_transform,
    get_args,
    get_origin,
)

from pydantic_core import SchemaSerializer, SchemaValidator, ValidationError

if TYPE_CHECKING:
    from pydantic_core import CoreSchema

__all__ = [
    "After",
    "Alias",
    "Before",
    "Field",
    "Limited",
    "Model",
    "ValidationError",
    "json_schema",
]

Schema: TypeAlias = dict[str, Any]
"""What pydantic's core builds a validator or a serializer from."""

REQUIRED: Final = object()
"""In place of the default of a field that has none."""

_OF_THE_CLASS: Final[object] = ClassVar
_PLAIN: Final[Mapping[object, str]] = {str: "str", int: "int", bool: "bool", Any: "any"}


class _Mark:
    """What stands in ``Annotated`` behind a type and narrows it; pydantic asks it the same."""

    def of(self, schema: Schema) -> Schema:
        """Return the schema of the type as it is narrowed."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], Schema]
    ) -> Schema:
        """Return the same for pydantic."""
        return self.of(handler(source))


class Limited(_Mark):
    """Bounds, by the names that pydantic's core has for them: ``min_length``, ``pattern``."""

    def __init__(self, **bounds: str | int | bool) -> None:
        self.bounds = bounds

    def of(self, schema: Schema) -> Schema:
        """Return the schema with the bounds in it."""
        return schema | self.bounds


class Before(_Mark):
    """What becomes of a value before it is checked."""

    def __init__(self, function: Callable[[Any], Any]) -> None:
        self.function = function

    def of(self, schema: Schema) -> Schema:
        """Return the schema with the function before it."""
        return _with_function("function-before", self.function, schema)


class After(_Mark):
    """A further check of a value that was taken; it returns it, or raises ``ValueError``."""

    def __init__(self, function: Callable[[Any], Any]) -> None:
        self.function = function

    def of(self, schema: Schema) -> Schema:
        """Return the schema with the function behind it."""
        return _with_function("function-after", self.function, schema)


def _with_function(kind: str, function: Callable[[Any], Any], schema: Schema) -> Schema:
    return {"type": kind, "function": {"type": "no-info", "function": function}, "schema": schema}


class Alias(str):
    """The key of a field in JSON, where Python would not have it as a name."""

    __slots__ = ()


class Field(NamedTuple):
    """One field of a model.

    Attributes:
        annotation: its type, marks and all.
        default: what it is where nothing is said; `REQUIRED` where something must be.
        alias: its key in JSON, where that is not its name.
    """

    annotation: Any
    default: Any
    alias: str | None

    def is_required(self) -> bool:
        """Tell whether it must be given."""
        return self.default is REQUIRED

    @classmethod
    def of(cls, annotation: Any, default: Any) -> Field:
        """Return a field as a class declares it."""
        marks = getattr(annotation, "__metadata__", ())
        return cls(annotation, default, next((m for m in marks if isinstance(m, Alias)), None))

    @property
    def schema(self) -> Schema:
        """What the core takes for the field."""
        inner = schema_of(self.annotation)
        if not self.is_required():
            inner = {"type": "default", "schema": inner, "default": self.default}
        found = {"type": "model-field", "schema": inner}
        if self.alias is not None:
            found |= {"validation_alias": self.alias, "serialization_alias": self.alias}
        return found


def json_schema(choices: Mapping[str, type[Model]], discriminator: str) -> dict[str, Any]:
    """Return the JSON schema of one of several models, told apart by a field of theirs.

    Args:
        choices: the models, by what the field says; where there is one only, it is that one's.
        discriminator: the name of the field.
    """
    from pydantic.json_schema import GenerateJsonSchema  # noqa: PLC0415 - some 100 ms

    found = {name: model.core_schema() for name, model in choices.items()}
    union = {"type": "tagged-union", "discriminator": discriminator, "choices": found}
    schema: CoreSchema = _named(union if len(found) > 1 else next(iter(found.values())))
    return GenerateJsonSchema().generate(schema)


def _named(schema: Any) -> Any:
    """Return a schema whose models have names, so that each is told once."""
    if isinstance(schema, list):
        return [_named(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    found = {key: _named(each) for key, each in schema.items()}
    if found.get("type") == "model":
        found["ref"] = f"{found['cls'].__module__}.{found['cls'].__name__}"
    return found


def schema_of(annotation: Any) -> Schema:
    """Return what the core takes for a type.

    Raises:
        TypeError: it is none of those that a model may have.
    """
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        schema = schema_of(inner[0])
        for mark in inner[1:]:
            schema = mark.of(schema) if isinstance(mark, _Mark) else schema
        return schema
    if origin in (Union, UnionType):
        choices = [schema_of(each) for each in inner if each is not NoneType]
        schema = choices[0] if len(choices) == 1 else {"type": "union", "choices": choices}
        return {"type": "nullable", "schema": schema} if NoneType in inner else schema
    if origin is Literal:
        return {"type": "literal", "expected": list(inner)}
    if origin is tuple and inner[1:] == (...,):
        return {
            "type": "tuple", "items_schema": [schema_of(inner[0])], "variadic_item_index": 0,
        }  # fmt: skip
    if origin is dict:
        keys, values = map(schema_of, inner)
        return {"type": "dict", "keys_schema": keys, "values_schema": values}
    if isinstance(annotation, type) and issubclass(annotation, Model):
        return annotation.core_schema()
    if annotation in _PLAIN:
        return {"type": _PLAIN[annotation]}
    msg = f"no model has fields of {annotation}"
    raise TypeError(msg)


@dataclass_transform(kw_only_default=True, frozen_default=True)
class Model:
    """A frozen value with named fields, and no others; made with keywords.

    Attributes:
        model_fields: its fields in the order in which they are written.
        model_config: how strictly it reads, in pydantic's words; a subclass may say more.
        closing: names of fields that are written last, also behind those of a subclass.
    """

    __slots__ = (
        "__dict__",
        "__pydantic_extra__",
        "__pydantic_fields_set__",
        "__pydantic_private__",
    )

    model_fields: ClassVar[dict[str, Field]] = {}
    model_config: ClassVar[dict[str, Any]] = {"extra": "forbid"}
    closing: ClassVar[Sequence[str]] = ()
    __pydantic_complete__: ClassVar[bool] = False
    __pydantic_validator__: ClassVar[SchemaValidator]
    __pydantic_serializer__: ClassVar[SchemaSerializer]
    if TYPE_CHECKING:
        __pydantic_fields_set__: set[str]

    def __init_subclass__(cls) -> None:
        """Note the fields."""
        fields = dict(cls.model_fields)
        for name, annotation in cls.__annotations__.items():
            if get_origin(annotation) is not _OF_THE_CLASS:
                fields[name] = Field.of(annotation, cls.__dict__.get(name, REQUIRED))
        for name in cls.closing:
            if name in fields:
                fields[name] = fields.pop(name)
        cls.model_fields = fields
        cls.__pydantic_complete__ = False

    def __init__(self, **given: Any) -> None:
        """Make one of what is given.

        Raises:
            ValidationError: it cannot be.
        """
        type(self).validator().validate_python(given, self_instance=self)

    def _sound(self) -> Self:
        """Return it, or raise ``ValueError``: what no one field shows. For subclasses."""
        return self

    # ---- reading and writing

    @classmethod
    def core_schema(cls) -> Schema:
        """Return what the core takes for the model."""
        config = {
            "title": cls.__name__,
            "extra_fields_behavior": cls.model_config["extra"],
            "strict": cls.model_config.get("strict", False),
            "validate_by_alias": True,
            "validate_by_name": True,
        }
        fields = {name: field.schema for name, field in cls.model_fields.items()}
        inner = {"type": "model-fields", "fields": fields, "model_name": cls.__name__}
        schema = {"type": "model", "cls": cls, "schema": inner, "config": config}
        if cls._sound is Model._sound:
            return schema
        return _with_function("function-after", cls._sound, schema)

    @classmethod
    def _complete(cls) -> None:
        schema: CoreSchema = cls.core_schema()
        cls.__pydantic_validator__ = SchemaValidator(schema)
        cls.__pydantic_serializer__ = SchemaSerializer(schema)
        cls.__pydantic_complete__ = True

    @classmethod
    def validator(cls) -> SchemaValidator:
        """Return what checks it; built when it is first asked for."""
        if not cls.__pydantic_complete__:
            cls._complete()
        return cls.__pydantic_validator__

    @classmethod
    def serializer(cls) -> SchemaSerializer:
        """Return what writes it; built when it is first asked for."""
        if not cls.__pydantic_complete__:
            cls._complete()
        return cls.__pydantic_serializer__

    @classmethod
    def model_validate(cls, data: object) -> Self:
        """Return the model of plain data.

        Raises:
            ValidationError: it is none.
        """
        found: Self = cls.validator().validate_python(data)
        return found

    @classmethod
    def model_validate_json(cls, data: bytes | str) -> Self:
        """Return the model of a JSON text.

        Raises:
            ValidationError: it is none.
        """
        found: Self = cls.validator().validate_json(data)
        return found

    def as_json(self) -> dict[str, Any]:
        """Return it as JSON data, absent fields left out."""
        found: dict[str, Any] = self.serializer().to_python(
            self, mode="json", by_alias=True, exclude_none=True
        )
        return found

    def model_copy(self, *, update: Mapping[str, Any]) -> Self:
        """Return another with some fields set otherwise; they are taken as they are given."""
        other = object.__new__(type(self))
        put = object.__setattr__
        put(other, "__dict__", {**self.__dict__, **update})
        put(other, "__pydantic_fields_set__", self.__pydantic_fields_set__ | update.keys())
        put(other, "__pydantic_extra__", None)
        put(other, "__pydantic_private__", None)
        return other

    # ---- as a value

    def __setattr__(self, name: str, value: object) -> None:
        raise ValidationError.from_exception_data(
            type(self).__name__, [{"type": "frozen_instance", "loc": (name,), "input": value}]
        )

    def __delattr__(self, name: str) -> None:
        self.__setattr__(name, None)

    def __iter__(self) -> Iterator[tuple[str, Any]]:
        yield from self.__dict__.items()

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and self.__dict__ == other.__dict__

    def __hash__(self) -> int:
        return hash((type(self), *self.__dict__.values()))

    def __repr__(self) -> str:
        told = ", ".join(f"{name}={value!r}" for name, value in self)
        return f"{type(self).__name__}({told})"
