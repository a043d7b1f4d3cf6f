"""What a value in the job file may be: the bounded texts, times, hashes and whole numbers.

Every type here is checked when an entry is made as well as when it is read from a file.
"""

from typing import Annotated, Any, Final

from pydantic import AfterValidator, Field

TEXT_LIMIT: Final = 4_000
"""The longest text, in characters."""
NESTING_LIMIT: Final = 16
"""Braces and brackets within one another in a line, the entry's own counted."""
NUMBER_LIMIT: Final = 10**20
"""A whole number has at most 20 digits."""

_LEAP = "(?:[1-8][0-9](?:0[48]|[2468][048]|[13579][26])|(?:1[26]|[2468][048]|[3579][26])00)-02-29"
_DATE = (
    "(?:[1-8][0-9]{3}-(?:(?:0[1-9]|1[0-2])-(?:0[1-9]|1[0-9]|2[0-8])"
    "|(?:0[13-9]|1[0-2])-(?:29|30)|(?:0[13578]|1[02])-31)"
    f"|{_LEAP})"
)
_CLOCK = "(?:[01][0-9]|2[0-3]):[0-5][0-9]"
_MOMENT = rf"^{_DATE}T{_CLOCK}:[0-5][0-9](?:\.[0-9]{{1,9}})?(?:Z|[+-]{_CLOCK})$"
"""RFC 3339, in the years 1000 to 8999: none leaves the calendar when its offset is taken off.

A pattern, and not a call of Python, since it is asked once a line in files of 100,000 lines.
"""


def _a_sheet(sheet: dict[str, Any]) -> dict[str, Any]:
    """Return the sheet if it holds only objects, lists, texts, true, false and whole numbers."""
    _walk(sheet, depth=2)
    return sheet


def _walk(value: object, depth: int) -> None:
    if isinstance(value, dict):
        _bound_depth(depth)
        for key, inner in value.items():
            _bound_text(key)
            _walk(inner, depth + 1)
    elif isinstance(value, list):
        _bound_depth(depth)
        for inner in value:
            _walk(inner, depth + 1)
    elif isinstance(value, str):
        _bound_text(value)
    elif isinstance(value, int):  # true and false are among them
        _bound_number(value)
    else:
        msg = "holding something that is no text, list or whole number"
        raise ValueError(msg)


def _bound_depth(depth: int) -> None:
    if depth > NESTING_LIMIT:
        msg = f"nested more than {NESTING_LIMIT} deep"
        raise ValueError(msg)


def _bound_text(text: object) -> None:
    if not isinstance(text, str):
        msg = "with a key that is no text"
        raise ValueError(msg)
    if len(text) > TEXT_LIMIT:
        msg = f"with a text of more than {TEXT_LIMIT} characters"
        raise ValueError(msg)
    if not text.isascii() and any("\ud800" <= char <= "\udfff" for char in text):
        msg = "with half of a character (a lone surrogate)"
        raise ValueError(msg)


def _bound_number(number: int) -> None:
    if not -NUMBER_LIMIT < number < NUMBER_LIMIT:
        msg = "with a number of more than 20 digits"
        raise ValueError(msg)


Text = Annotated[str, Field(min_length=1, max_length=TEXT_LIMIT)]
"""Free text, a name, an address, a quantity with its unit: never empty, no lone surrogate."""
Moment = Annotated[str, Field(pattern=_MOMENT)]
"""Date and time of RFC 3339 with the offset."""
Number = Annotated[int, Field(ge=1, lt=NUMBER_LIMIT)]
"""The number of an entry, a life, a row, a stage."""
Count = Annotated[int, Field(ge=0, lt=NUMBER_LIMIT)]
"""How many."""
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
"""A SHA-256 in 64 lower-case hex digits."""
Hex32 = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
"""32 hex digits: what tells one job from every other."""
Hex128 = Annotated[str, Field(pattern=r"^[0-9a-f]{128}$")]
"""128 hex digits: an Ed25519 signature."""
Head = Annotated[str, Field(pattern=r"^[1-9][0-9]{0,19}:[0-9a-f]{16,64}$")]
"""The head of a job: its count of entries, a colon, 16 to 64 digits of its last line's hash."""
SheetObject = Annotated[dict[str, Any], AfterValidator(_a_sheet)]
"""A build sheet as plain JSON; whether it is a good sheet is the sheet layer's matter."""
