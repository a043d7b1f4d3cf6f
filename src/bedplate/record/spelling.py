"""One spelling: an entry as the bytes of its line, and a line read back, strictly.

A line is read only if it is spelled exactly as `spell` would spell what it says. So twin keys,
other orders, spaces, fractions, escapes where none are needed: none of them gets past, and two
programs that read one file can never see two different jobs in it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any, Final, NoReturn

from pydantic import ValidationError

from bedplate.errors import StorageError
from bedplate.record.entries import FORMAT, KINDS
from bedplate.record.fields import NESTING_LIMIT
from bedplate.text import quoted

if TYPE_CHECKING:
    from bedplate.record.entries import AnyEntry, Entry

LINE_LIMIT: Final = 1 << 20
"""The longest line, in bytes with its LF: 1 MiB."""
DIGITS_LIMIT: Final = 20

_FORMAT = re.compile(r"bedplate-job/([1-9][0-9]{0,8})", re.ASCII)
_KIND = b',"kind":"'
_CONTROL = re.compile(rb"[\0-\x1f]")
_IN_QUOTES = re.compile(rb'(?s)"(?:[^"\\]|\\.)*+(?:"|\Z)')  # one without end takes the rest
_ONE_KIND = bytes.maketrans(b"{}", b"[]")
_NO_BRACKET = bytes(byte for byte in range(256) if byte not in b"[]{}")
_HASH = re.compile(r"[0-9a-f]{64}", re.ASCII)
_NO_TIME = "is no time of RFC 3339 with its offset, like 2025-11-24T15:40:00+01:00"
_AS_IT_STANDS = "To see it as it stands:  bedplate log --raw"


class SpellingError(StorageError):
    """A line that is not an entry in its one spelling.

    Attributes:
        reason: what is wrong with the line, as the end of a sentence about it.
    """

    def __init__(self, message: str, *hint: str, reason: str) -> None:
        super().__init__(message, *hint)
        self.reason = reason


class UnknownHereError(SpellingError):
    """A format, a kind or a field that this bedplate does not know; a newer one may."""


class UnknownFormatError(UnknownHereError):
    """A format of another number: such a file may hold kinds and fields of its own."""


class _UnknownFormat(Exception):  # noqa: N818 - caught here, never seen
    """Its number."""


class _UnknownName(Exception):  # noqa: N818 - caught here, never seen
    """The kind or field, with its name."""


def spell(entry: Entry) -> bytes:
    """Return the line of an entry, its LF included.

    Raises:
        StorageError: it is longer than a line may be.
    """
    json_of = entry.__pydantic_serializer__.to_json
    line = json_of(entry, exclude_none=True, by_alias=True) + b"\n"
    if len(line) > LINE_LIMIT:
        msg = "Not recorded. The entry is longer than 1 MiB, more than one line may hold."
        raise StorageError(msg)
    return line


def read_line(line: bytes, file: str = "the file", number: int | None = None) -> AnyEntry:
    """Return the entry of one line; the line has its LF.

    Args:
        line: the bytes.
        file: name of the file, for messages.
        number: number of the line, for messages.

    Raises:
        UnknownHereError: of a format or kind, or with a field, not known to this bedplate.
        SpellingError: not an entry, or not in its one spelling.
    """
    codec = _codec_of(_kind_in(line))
    if codec is not None and len(line) <= LINE_LIMIT:
        validate, to_json = codec
        try:
            entry: AnyEntry = validate(line)
        except ValidationError:
            pass  # why, is found out below, with better words
        else:
            if to_json(entry, exclude_none=True, by_alias=True) + b"\n" == line:
                return entry
    raise _what_is_wrong(line, file, "a line" if number is None else f"line {number}")


def _kind_in(line: bytes) -> bytes:
    """Return the kind as a well spelled line has it: within a text every quote is escaped."""
    start = line.find(_KIND) + len(_KIND)
    return line[start : line.find(b'"', start)] if start >= len(_KIND) else b""


@cache
def _codec_of(kind: bytes) -> tuple[Callable[[bytes], AnyEntry], Callable[..., bytes]] | None:
    """Return what reads and what spells lines of a kind; only the kinds met are ever built."""
    model = KINDS.get(kind.decode("latin-1"))
    if model is None:
        return None
    model.model_rebuild()
    return model.__pydantic_validator__.validate_json, model.__pydantic_serializer__.to_json


def read_link(line: bytes) -> tuple[int, str]:
    """Return ``n`` and ``prev`` of a line of any format or kind, also one not known here.

    Raises:
        SpellingError: it has no such fields, or is not strict JSON within the bounds.
    """
    try:
        reason = _fault_in_bytes(line)
        found = None if reason else _parsed(line)
    except ValueError as err:
        reason = _json_fault(err)
    else:
        if isinstance(found, dict):
            n, prev = found.get("n"), found.get("prev")
            if type(n) is int and isinstance(prev, str) and _HASH.fullmatch(prev):
                return n, prev
    reason = reason or 'it has no "n" and "prev"'
    msg = f"Not read. A line is not as bedplate writes it: {reason}."
    raise SpellingError(msg, reason=reason)


def _what_is_wrong(line: bytes, file: str, place: str) -> SpellingError:
    """Return the error that says why a line cannot be read."""
    try:
        reason = _fault_in_bytes(line) or _fault_in_fields(_parsed(line), line)
    except _UnknownFormat as err:
        return UnknownFormatError(
            f"Not read. {file} is of format {err}; this bedplate reads 1. Nothing was changed.",
            reason=f"it is of format {err}",
        )
    except _UnknownName as err:
        return UnknownHereError(
            f"Not read. {place.capitalize()} of {file} has {err}, which this bedplate does not "
            "know. Nothing was changed.",
            _AS_IT_STANDS,
            reason=f"it has {err}, not known here",
        )
    except ValueError as err:
        reason = _json_fault(err)
    return SpellingError(
        f"Not read. {place.capitalize()} of {file} is not as bedplate writes it: {reason}.",
        _AS_IT_STANDS,
        reason=reason,
    )


def _fault_in_bytes(line: bytes) -> str | None:
    if len(line) > LINE_LIMIT:
        return "it is longer than 1 MiB"
    if not line.endswith(b"\n"):
        return "it has no line end"
    if control := _CONTROL.search(line, 0, len(line) - 1):
        return f"it holds the control character 0x{control[0][0]:02x}"
    try:
        line.decode()
    except UnicodeDecodeError:
        return "it is not UTF-8"
    return f"it is nested more than {NESTING_LIMIT} deep" if _is_deep(line) else None


def _parsed(line: bytes) -> object:
    """Return what a line of JSON says; twin keys and fractions are faults (`ValueError`)."""
    return json.loads(
        line.decode(),  # as text: of bytes it would drop a byte-order mark, or take UTF-16
        object_pairs_hook=_once_each,
        parse_int=_whole,
        parse_float=_no_fraction,
        parse_constant=_no_fraction,
    )


def _is_deep(line: bytes) -> bool:
    """Tell whether braces and brackets stand too deep within one another, those in texts aside.

    Each round takes the innermost pairs away. One step a character, in Python, would let a line
    of 1 MiB take a second.
    """
    left = _IN_QUOTES.sub(b"", line).translate(_ONE_KIND, _NO_BRACKET)
    for _ in range(NESTING_LIMIT):
        left = left.replace(b"[]", b"")
    return b"[]" in left or left.count(b"[") > NESTING_LIMIT


def _json_fault(err: ValueError) -> str:
    return "it is no JSON" if isinstance(err, json.JSONDecodeError) else str(err)


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            msg = f"the key {quoted(key)} stands in it twice"
            raise ValueError(msg)
        found[key] = value
    return found


def _whole(digits: str) -> int:
    if len(digits.removeprefix("-")) > DIGITS_LIMIT:
        msg = f"a number in it has more than {DIGITS_LIMIT} digits"
        raise ValueError(msg)
    return int(digits)


def _no_fraction(text: str) -> NoReturn:
    msg = f"{quoted(text)} in it is no whole number"
    raise ValueError(msg)


def _fault_in_fields(found: object, line: bytes) -> str:
    """Return what is wrong with the fields of a line, or that only its spelling is.

    Raises:
        _UnknownFormat: it says that it is of another format.
        _UnknownName: its kind, or one of its fields, is not known here.
    """
    if not isinstance(found, dict):
        return "it is no object"
    if (of := _FORMAT.fullmatch(str(found.get("format")))) and of[0] != FORMAT:
        raise _UnknownFormat(of[1])
    kind = found.get("kind")
    if isinstance(kind, str) and kind not in KINDS:
        raise _UnknownName(f"the kind {quoted(kind)}")
    if missing := [key for key in ("n", "at", "by", "kind", "prev") if key not in found]:
        return f"{quoted(missing[0])} is missing"
    try:
        KINDS[str(kind)].model_validate_json(line)
    except KeyError:
        return '"kind" is no word'
    except ValidationError as err:
        _refuse_unknown_fields(err)
        return in_words(err)
    return "its keys are in another order, or something in it is spelled in another way"


def _refuse_unknown_fields(err: ValidationError) -> None:
    for fault in err.errors(include_url=False, include_context=False):
        names = [str(step) for step in fault["loc"]]
        of_gauge = names[:1] == ["gauge"] and names[-1] == "[key]"
        if of_gauge or fault["type"] == "extra_forbidden":
            raise _UnknownName(f"the field {quoted('.'.join(names[: -1 if of_gauge else None]))}")


def in_words(err: ValidationError) -> str:
    """Return pydantic's first finding about an entry in the words of this program.

    >>> from bedplate.record.entries import Reading
    >>> try:
    ...     Reading(address="D", value="")
    ... except ValidationError as err:
    ...     print(in_words(err))
    "value" is empty
    """
    fault = err.errors(include_url=False, include_context=False)[0]
    said = {
        "missing": "is missing",
        "string_too_long": "is longer than 4,000 characters",
        "string_too_short": "is empty",
        "string_unicode": "holds half of a character (a lone surrogate)",
        "too_short": "is empty",
        "json_invalid": "is no JSON",
        "value_error": "is " + fault["msg"].removeprefix("Value error, "),
    }
    what = ".".join(str(step) for step in fault["loc"])
    where = quoted(what) if what else "what it says"
    is_time = fault["loc"][-1:] in {("at",), ("done_at",)}
    otherwise = _NO_TIME if is_time else "is not what it may be"
    return f"{where} {said.get(fault['type'], otherwise)}"
