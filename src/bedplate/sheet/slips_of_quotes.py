"""Slips with quotes: the printer's ones, missing, doubled, and values that need some."""

from __future__ import annotations

import re

from bedplate.sheet.slip_parts import ASSIGNED, OUTSIDE, Found, without_remark

TEXTS = frozenset(
    {
        "title",
        "revision",
        "source",
        "name",
        "material",
        "part_number",
        "how",
        "gauge",
        "threads",
        "lock",
        "caution",
        "text",
        "stack",
        "spread",
        "flatness",
        "unit",
        "id",
        "tag",
        "kind",
        "due",
    }
)
"""Keys whose value is one text: a comma in it stands between no two of anything."""

FIGURES = frozenset({"nominal", "limits", "wear", "aim", "expansion", "effect", "sizes", "wait"})
"""Keys whose value is a figure: one comma in it is a decimal comma."""

_LISTS = frozenset(
    {
        "positions",
        "stations",
        "of",
        "when",
        "leave",
        "order",
        "holds",
        "prove",
        "hold",
        "after",
        "moments",
        "stages",
    }
)
_CURLY = str.maketrans(dict.fromkeys("“”„‟″«»", '"') | dict.fromkeys("‘’‚‛′", "'"))
_SOUND = re.compile(r"[+-]?(?:0|[1-9]\d*)(?:\.\d+)?|true|false|\d{4}-\d\d-\d\d")
_FIGURE = re.compile(r"[-+−–]?\s*[.,]?\d[\d.,/ ]*")
_COMMA = re.compile(r"([-+−–]?\d+),(\d+)(\s*[A-Za-zµ].*)?")


def printers_quotes(text: str) -> Found:
    """Notice the printer's quotes that word processors put in."""
    mended = text.translate(_CURLY)
    if mended == text:
        return None
    if mended.count("'") % 2:  # an apostrophe of the printer's, inside a text
        mended = text.translate({k: v for k, v in _CURLY.items() if v == '"'})
    return "These are printer's quotes. Use the plain \" from the keyboard.", mended


def yes_or_no(text: str) -> Found:
    """Notice yes or no in other words, or with a capital."""
    found = re.match(r"(\s*(?:renew|signed)\s*=\s*)(\w+)(\s*(?:#.*)?)$", text)
    words = {"true": "true", "yes": "true", "y": "true", "on": "true"}
    words |= {"false": "false", "no": "false", "n": "false", "off": "false"}
    if not found or found[2].casefold() not in words:
        return None
    return (
        "Yes or no is written true or false",
        f"{found[1]}{words[found[2].casefold()]}{found[3]}",
    )


def list_without_brackets(text: str) -> Found:
    """Notice several values without brackets, or in round ones."""
    found = ASSIGNED.match(text)
    key = found[2].strip() if found else ""
    if not found or key in TEXTS:
        return None
    if key in FIGURES or key not in _LISTS:
        value = without_remark(found[4]).strip()
        return None if _COMMA.fullmatch(value) else listed_value(text)
    return listed_value(text)


def listed_value(text: str) -> Found:
    """Notice several values, whatever the key."""
    found = ASSIGNED.match(without_remark(text))
    if not found or found[4][:1] in ("[", "{", ""):
        return None
    value = found[4].strip()
    bare = value[1:-1] if value.startswith("(") and value.endswith(")") else value
    several = any(piece == "," for piece in OUTSIDE.findall(bare))
    if not several and bare is value:
        return None
    items = _quoted_bare(f"[{bare}]")
    return "A list stands in square brackets", f"{found[1]}{found[2]}{found[3]}{items}"


def without_quotes(text: str) -> Found:
    """Notice a value that needs quotes and has none."""
    found = ASSIGNED.match(without_remark(text))
    if not found or "\n" in text:
        return None
    value = found[4].rstrip()
    mended = _quoted_bare(value)
    if mended == value or value.translate(_CURLY).count('"') != value.count('"'):
        return None
    sentence = _why_quotes(value) if value[0] not in "[{" else _why_quotes_inside(value, mended)
    return sentence, f"{found[1]}{found[2]}{found[3]}{mended}"


def _why_quotes(value: str) -> str:
    if _COMMA.fullmatch(value):
        return "A figure has a point, not a comma"
    if _FIGURE.fullmatch(value):
        return "A figure written so needs straight quotes"
    if _FIGURE.match(value) or value.startswith(".."):
        return "A value with a unit needs straight quotes"
    return "A text needs straight quotes"


def _why_quotes_inside(value: str, mended: str) -> str:
    added = re.findall(r'"([^"]*)"', mended)
    first = next((t for t in added if f'"{t}"' not in value), "")
    return _why_quotes(first)


def _quoted_bare(value: str) -> str:
    """Return a value with quotes put round what has none and needs them."""
    if value[:1] not in ("[", "{"):
        return _quoted_token(value)
    parts: list[str] = []
    run = ""
    for piece in OUTSIDE.findall(value):
        if piece in ("[", "]", "{", "}", ",", "=", "\n"):
            parts += [run if piece == "=" else _quoted_run(run), piece]
            run = ""
        else:
            run += piece
    return "".join([*parts, _quoted_run(run)])


def _quoted_run(run: str) -> str:
    core = run.strip()
    if not core:
        return run
    lead = run[: len(run) - len(run.lstrip())]
    return f"{lead}{_quoted_token(core)}{run[len(run.rstrip()) :]}"


def _quoted_token(piece: str) -> str:
    if not piece or '"' in piece or piece[0] == "'" or _SOUND.fullmatch(piece):
        return piece
    if ";" in piece or " //" in piece:
        return piece
    comma = _COMMA.fullmatch(piece)
    if comma:
        piece = f"{comma[1]}.{comma[2]}{comma[3] or ''}"
    return f'"{piece}"'.replace("\\", "\\\\")


def inch_mark(text: str) -> Found:
    """Notice the inch mark within or in place of quotes."""
    mended = re.sub(r'"([^"\n]*\d)""(?=\s*(?:[,\]}#]|$))', r'"\1 in"', text)
    mended = re.sub(r'(?<==)(\s*)([\d./ -]*\d)"(?=\s*(?:#.*)?$)', r'\1"\2 in"', mended)
    return ("The inch mark is a quote too; type in instead", mended) if mended != text else None


def doubled_quotes(text: str) -> Found:
    """Notice quotes doubled, or three where one is meant."""
    mended = re.sub(r'"{2,3}([^"\n]+?)("{2,3}|\s*$)', r'"\1"', text)
    return ("One quote at each end is enough", mended) if mended != text else None


def quotes_inside(text: str) -> Found:
    """Notice the same quotes inside a text as round it."""
    found = ASSIGNED.match(text)
    value = found[4].strip() if found else ""
    if not found or len(value) < 2 or value[0] != value[-1] or value[0] not in "\"'":
        return None
    other = "'" if value[0] == '"' else '"'
    if other in value:
        return None
    sentence = f"A text with such quotes in it stands between two {other}"
    return sentence, f"{found[1]}{found[2]}{found[3]}{other}{value[1:-1]}{other}"


def quote_missing(text: str) -> Found:
    """Notice a quote missing at one end."""
    found = ASSIGNED.match(text)
    value = found[4].strip() if found else ""
    if not found or not value:
        return None
    quote = '"' if '"' in value else "'"
    if value.count(quote) % 2 == 0:
        return None
    if not value.startswith(("[", "{")):
        whole = value if value.endswith(quote) else value + quote
        whole = whole if whole.startswith(quote) else quote + whole
        return "A quote is missing", f"{found[1]}{found[2]}{found[3]}{whole}"
    tail = re.search(r"[\]}\s,]*$", value)
    end = tail.start() if tail else len(value)
    return "A quote is missing", f"{found[1]}{found[2]}{found[3]}{value[:end]}{quote}{value[end:]}"


def backslash(text: str) -> Found:
    """Notice a backslash as in a Windows path."""
    if "\\" not in text:
        return None
    return "A backslash is written twice", re.sub(r"\\+", r"\\\\", text)
