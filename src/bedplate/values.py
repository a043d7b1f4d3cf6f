"""Frozen values with named fields: dataclasses that are cheap to define.

``dataclasses.dataclass(frozen=True, slots=True)`` writes and compiles eight functions for a class,
and makes the class twice. A command loads a hundred such classes and uses half of them once or
twice: a quarter of its time went into that (``docs/speed.md``). Here a class shares all functions
with every other but ``__init__``, and that one is compiled when the first instance is made. What
is written, and what comes of it, is the same, `dataclasses.replace`, ``fields`` and ``asdict``
included; any other kind of dataclass is made by ``dataclasses`` itself. To a type checker it *is*
`dataclasses.dataclass`.
"""

from __future__ import annotations

import dataclasses
from dataclasses import MISSING, Field, FrozenInstanceError
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass

    _Class = type[Any]

__all__ = ["dataclass"]

_OURS: Final = {"frozen": True, "slots": True}
_PUT: Final = object.__setattr__
_TOLD: Final = "_fields_told"
"""Where a class keeps its fields: name, annotation and what stood behind the equals sign."""

if not TYPE_CHECKING:

    def dataclass(cls: _Class | None = None, /, **how: bool) -> Any:
        """Return a class as a dataclass, or what makes one of it; see the module."""
        if cls is not None or how != _OURS:
            return dataclasses.dataclass(cls, **how)
        return _value


def _value(cls: _Class) -> _Class:
    """Return a class as a frozen value with slots."""
    if hasattr(cls, "__post_init__"):
        return dataclasses.dataclass(frozen=True, slots=True)(cls)
    own = dict(cls.__annotations__)
    told: dict[str, tuple[Any, Any]] = {}
    for base in reversed(cls.__mro__[1:]):
        told |= base.__dict__.get(_TOLD, {})
    told |= {name: (kind, cls.__dict__.get(name, MISSING)) for name, kind in own.items()}
    compared = [name for name, (_, default) in told.items() if _is_compared(default)]
    body = {k: v for k, v in cls.__dict__.items() if k not in {*own, "__dict__", "__weakref__"}}
    body |= {
        "__slots__": tuple(own),
        "__match_args__": tuple(told),
        "__dataclass_fields__": _LateFields(),
        "__setattr__": _refuse_to_set,
        "__delattr__": _refuse_to_delete,
        "__getstate__": _state,
        "__setstate__": _set_state,
        _TOLD: told,
        "_compared": staticmethod(attrgetter(*compared)) if compared else staticmethod(type),
    }
    body.setdefault("__repr__", _told)
    body.setdefault("__eq__", _equal)
    if cls.__dict__.get("__hash__") is None:
        body["__hash__"] = _hash
    body["__qualname__"] = cls.__qualname__
    kind: Any = type(cls)
    made: _Class = kind(cls.__name__, cls.__bases__, body)

    def first(self: Any, *given: Any, **named: Any) -> None:
        type.__setattr__(made, "__init__", _init(told))
        made.__init__(self, *given, **named)

    type.__setattr__(made, "__init__", first)
    return made


def _is_compared(default: Any) -> bool:
    return not isinstance(default, Field) or default.compare is not False


def _init(told: dict[str, tuple[Any, Any]]) -> Callable[..., None]:
    """Return what makes an instance: the one function that differs from class to class."""
    space: dict[str, Any] = {"_put": _PUT, "_absent": MISSING}
    taken, put = ["self"], []
    for name, (_, default) in told.items():
        value, given = name, name
        if isinstance(default, Field) and default.default_factory is not MISSING:
            space[f"_make_{name}"] = default.default_factory
            given = f"{name}=_absent"
            value = f"_make_{name}() if {name} is _absent else {name}"
        elif (plain := default.default if isinstance(default, Field) else default) is not MISSING:
            space[f"_else_{name}"] = plain
            given = f"{name}=_else_{name}"
        taken.append(given)
        put.append(f"    _put(self, {name!r}, {value})")
    lines = [f"def __init__({', '.join(taken)}):", *(put or ["    pass"])]
    exec("\n".join(lines), space)  # noqa: S102 - names of fields, as `dataclasses` does it
    found: Callable[..., None] = space["__init__"]
    return found


class _LateFields:
    """The fields as `dataclasses` tells them, worked out when they are first asked for."""

    def __get__(self, _instance: object, cls: _Class) -> dict[str, Field[Any]]:
        told = getattr(cls, _TOLD)
        body: dict[str, Any] = {n: d for n, (_, d) in told.items() if d is not MISSING}
        body["__annotations__"] = {name: kind for name, (kind, _) in told.items()}
        body["__module__"] = cls.__module__
        found: dict[str, Field[Any]] = dataclasses.dataclass(init=False, repr=False, eq=False)(
            type(cls.__name__, (), body)
        ).__dataclass_fields__  # type: ignore[attr-defined]
        type.__setattr__(cls, "__dataclass_fields__", found)
        return found


def _refuse_to_set(_self: Any, name: str, _value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(_self: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, name) for name in self._fields_told]


def _set_state(self: Any, state: list[Any]) -> None:
    for name, value in zip(self._fields_told, state, strict=True):
        _PUT(self, name, value)


def _equal(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self._compared(self) == self._compared(other)


def _hash(self: Any) -> int:
    return hash(self._compared(self))


def _told(self: Any) -> str:
    shown = [name for name, field in self.__dataclass_fields__.items() if field.repr]
    return f"{type(self).__qualname__}({', '.join(f'{n}={getattr(self, n)!r}' for n in shown)})"
