"""Writing a sheet as TOML that people can read and go on with; it reads back the same.

Keys stand in the order of the pages, figures in quotes with the digits that were typed. What
would make a line too long goes over several: lists, tables and texts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bedplate.sheet.model import NOUNS, Sheet

if TYPE_CHECKING:
    from tomlkit.items import AoT, Array, Item, String, Table

MOST_COLUMNS = 100
"""Characters of a line before a list or a table goes over several."""

MOST_TEXT = 400
"""Bytes of a text before it goes over several lines; a sheet's line has at most 500."""

MOST_PART = 90
"""Characters of one line of such a text, each of at most four bytes."""


def sheet_as_toml(sheet: Sheet) -> str:
    """Return a sheet as the text of a file."""
    import tomlkit  # noqa: PLC0415 - costs start-up time at every other command

    document = tomlkit.document()
    data = sheet.as_json()
    tables = {key: data.pop(key) for key in ("axes", *NOUNS) if key in data}
    for key, value in data.items():
        document.add(key, _item(value, len(key)))
    for key, value in tables.items():
        document.add(tomlkit.nl())
        document.add(key, _table(value) if key == "axes" else _rows(value))
    return tomlkit.dumps(document)


def _rows(rows: list[dict[str, Any]]) -> AoT:
    """Return the rows of one table, each under its header."""
    import tomlkit  # noqa: PLC0415

    found = tomlkit.aot()
    for row in rows:
        found.append(_table(row))
    return found


def _table(row: dict[str, Any]) -> Table:
    """Return one table; what is too long for a line goes into a table of its own at its end."""
    import tomlkit  # noqa: PLC0415

    table = tomlkit.table()
    later: dict[str, Item] = {}
    for key, value in row.items():
        if _fits_inline(value, len(key)) or not _has_tables(value):
            table.add(key, _item(value, len(key)))
        else:
            later[key] = _table(value) if isinstance(value, dict) else _rows(value)
    for key, item in later.items():
        table.add(key, item)
    return table


def _has_tables(value: Any) -> bool:
    """Return whether a value is a table or a list of them that are too long for a line each."""
    if isinstance(value, dict):
        return True
    return isinstance(value, list) and any(
        isinstance(inner, dict) and not _fits_inline(inner, 0) for inner in value
    )


def _fits_inline(value: Any, before: int) -> bool:
    import tomlkit  # noqa: PLC0415

    text = tomlkit.item(_bare(value)).as_string()
    return "\n" not in text and len(text.encode()) + before <= MOST_COLUMNS


def _bare(value: Any) -> Any:
    """Return a value with its tables as they are written within a line."""
    import tomlkit  # noqa: PLC0415

    if isinstance(value, dict):
        table = tomlkit.inline_table()
        for key, inner in value.items():
            table.add(key, _bare(inner))
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for inner in value:
            array.append(_bare(inner))
        return array
    return value


def _item(value: Any, before: int) -> Item:
    """Return a value as it stands behind its key."""
    import tomlkit  # noqa: PLC0415

    if isinstance(value, str) and len(value.encode()) > MOST_TEXT:
        return _long_text(value)
    if isinstance(value, list) and not _fits_inline(value, before):
        return _tall_list(value)
    item: Item = tomlkit.item(_bare(value))
    return item


def _tall_list(values: list[Any]) -> Array:
    import tomlkit  # noqa: PLC0415

    array = tomlkit.array()
    array.multiline(multiline=True)
    for value in values:
        array.append(_item(value, 4))
    return array


def _long_text(text: str) -> String:
    """Return a text over several lines; a backslash at their ends keeps it one line."""
    import tomlkit  # noqa: PLC0415
    from tomlkit.items import String, StringType, Trivia  # noqa: PLC0415

    lines: list[str] = []
    rest = text
    while rest:
        part = _first_part(rest)
        lines.append(tomlkit.string(part).as_string()[1:-1])
        rest = rest[len(part) :]
    return String(StringType.MLB, text, "\\\n" + "\\\n".join(lines), Trivia())


def _first_part(text: str) -> str:
    """Return the beginning of a text for one line; the next may not begin with a blank.

    A line end after a backslash takes the blanks behind it along.
    """
    if len(text) <= MOST_PART:
        return text
    end = text.rfind(" ", 0, MOST_PART) + 1
    while end < len(text) and text[end] in " \t":
        end += 1
    if 0 < end <= 2 * MOST_PART:
        return text[:end]
    end = MOST_PART
    while end < len(text) and text[end] in " \t":
        end += 1
    return text[:end]
