"""The slips people make in TOML: each recognised in one statement, said in plain words, mended.

A *doctor* looks at the text of one statement and returns what is wrong and the statement as it was
meant, or None. `diagnose` keeps what a TOML reader then accepts, so no doctor needs to be sure.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass

from bedplate.sheet.statements import TABLES
from bedplate.text import visible

MOST_SHOWN = 60
"""Characters of a mended line that are shown as the cure."""

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

NOT_UNDERSTOOD = (
    'This line is not understood. A line reads  key = "value"  or  [[feature]]\n'
    "or begins with # as a remark."
)

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
_ASSIGNED = re.compile(r"(\s*)([^=\"'\[{#]+?)(\s*=\s*)(.*)$", re.DOTALL)
_OUTSIDE = re.compile(r""""(?:[^"\\\n]|\\.)*"|'[^'\n]*'|#[^\n]*|.""", re.DOTALL)
_SOUND = re.compile(r"[+-]?(?:0|[1-9]\d*)(?:\.\d+)?|true|false|\d{4}-\d\d-\d\d")
_FIGURE = re.compile(r"[-+−–]?\s*[.,]?\d[\d.,/ ]*")
_COMMA = re.compile(r"([-+−–]?\d+),(\d+)(\s*[A-Za-zµ].*)?")


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is wrong with a statement, and what was meant (None where that cannot be told)."""

    text: str
    mended: str | None


Doctor = Callable[[str], tuple[str, str] | None]


def reads(statement: str) -> bool:
    """Return whether a statement by itself is TOML."""
    try:
        tomllib.loads(statement, parse_float=str)
    except (tomllib.TOMLDecodeError, RecursionError):
        return False
    return True


def diagnose(statement: str, table: str = "") -> Diagnosis:
    """Return what is wrong with a statement that is not TOML by itself.

    Args:
        statement: its text, in one line or several.
        table: the table it stands in, where that is known: the keys of ``axes`` have lists.
    """
    if table == "axes":
        found = _listed(statement)
        if found is not None and reads(found[1]):
            return Diagnosis(_with_cure(*found), found[1])
    for doctor in DOCTORS:
        found = doctor(statement)
        if found is not None and reads(found[1]):
            return Diagnosis(_with_cure(*found), found[1])
    return _together(statement)


def _together(statement: str) -> Diagnosis:
    """Return the diagnosis of several slips in one statement: one doctor after another."""
    said: list[str] = []
    text = statement
    for doctor in DOCTORS:
        found = doctor(text)
        if found is None or found[1] == text:
            continue
        said.append(found[0])
        text = found[1]
        if reads(text):
            first = "\n".join(_ended(sentence) for sentence in said[:-1])
            return Diagnosis(f"{first}\n{_with_cure(said[-1], text)}", text)
    return Diagnosis(_ended(said[0]) if said else NOT_UNDERSTOOD, None)


def _ended(sentence: str) -> str:
    return sentence if sentence.endswith(".") else f"{sentence}."


def _with_cure(sentence: str, mended: str) -> str:
    cure = _without_remark(mended).strip()
    if sentence.endswith("."):
        return sentence
    if not cure or "\n" in cure or len(cure) > MOST_SHOWN:
        return f"{sentence}."
    return f"{sentence}:  {visible(cure)}"


def _without_remark(text: str) -> str:
    """Return one line without the remark at its end."""
    return "".join(m.group() for m in _OUTSIDE.finditer(text) if not m.group().startswith("#"))


def _replaced_outside(text: str, change: Callable[[str], str]) -> str:
    """Return ``text`` with ``change`` made to each stretch that is neither text nor remark."""
    parts: list[str] = []
    run = ""
    for found in _OUTSIDE.finditer(text):
        piece = found.group()
        if piece[0] in "\"'#" and len(piece) > 1:
            parts += [change(run), piece]
            run = ""
        else:
            run += piece
    return "".join([*parts, change(run)])


# ---- doctors ------------------------------------------------------------------------------


def _printers_quotes(text: str) -> tuple[str, str] | None:
    mended = text.translate(_CURLY)
    if mended == text:
        return None
    if mended.count("'") % 2:  # an apostrophe of the printer's, inside a text
        mended = text.translate({k: v for k, v in _CURLY.items() if v == '"'})
    return "These are printer's quotes. Use the plain \" from the keyboard.", mended


def _header(text: str) -> tuple[str, str] | None:
    found = re.match(r"\s*\[+\s*([A-Za-z_]+)\s*\]*\s*([^\]]*)$", text)
    if not found or found[1].casefold() not in TABLES:
        return None
    name, rest = found[1].casefold(), found[2].strip()
    header = f"[{name}]" if name == "axes" else f"[[{name}]]"
    if rest and not rest.startswith("#"):
        return "A header stands on a line of its own, its keys below it", f"{header}\n{rest}"
    return "A table begins with its name in brackets, both closed", header


def _bare_header(text: str) -> tuple[str, str] | None:
    word = text.strip().strip("()<>:").casefold()
    if word not in TABLES:
        return None
    header = f"[{word}]" if word == "axes" else f"[[{word}]]"
    return "A table begins with its name in brackets", header


def _semicolon(text: str) -> tuple[str, str] | None:
    mended = _replaced_outside(text, lambda run: re.sub(r"\s*;\s*", "\n", run)).rstrip("\n")
    if mended == text:
        return None
    if "\n" in mended:
        return "One key to a line: begin a new line in place of the semicolon", mended
    return "No semicolon at the end of a line", mended


def _remark(text: str) -> tuple[str, str] | None:
    mended = _replaced_outside(text, lambda run: re.sub(r"//|--(?=\s)|/\*", "#", run, count=1))
    return ("A remark begins with #", mended) if mended != text else None


def _separator(text: str) -> tuple[str, str] | None:
    found = re.match(
        r"(\s*)(?:-\s+)?([A-Za-z0-9_-]+)\s*(?:==+|:=?|=>|->)\s*(.*)$", text, re.DOTALL
    )
    if not found:
        return None
    return "Between key and value stands one =", f"{found[1]}{found[2]} = {found[3]}"


def _key_of_words(text: str) -> tuple[str, str] | None:
    found = _ASSIGNED.match(text)
    if not found or re.fullmatch(r"[A-Za-z0-9_-]+", found[2]):
        return None
    key = re.sub(r"[^A-Za-z0-9_-]+", "_", found[2].strip()).strip("_")
    return (
        "A key is one word of plain letters, digits, - and _",
        f"{found[1]}{key}{found[3]}{found[4]}",
    )


def _yes_or_no(text: str) -> tuple[str, str] | None:
    found = re.match(r"(\s*(?:renew|signed)\s*=\s*)(\w+)(\s*(?:#.*)?)$", text)
    words = {"true": "true", "yes": "true", "y": "true", "on": "true"}
    words |= {"false": "false", "no": "false", "n": "false", "off": "false"}
    if not found or found[2].casefold() not in words:
        return None
    return (
        "Yes or no is written true or false",
        f"{found[1]}{words[found[2].casefold()]}{found[3]}",
    )


def _no_value(text: str) -> tuple[str, str] | None:
    found = re.match(r"\s*([A-Za-z0-9_-]+)\s*=\s*(?:#.*)?$", text)
    return (f"Nothing stands after {found[1]} =", "") if found else None


def _list_without_brackets(text: str) -> tuple[str, str] | None:
    found = _ASSIGNED.match(text)
    key = found[2].strip() if found else ""
    if not found or key in TEXTS:
        return None
    if key in FIGURES or key not in _LISTS:
        value = _without_remark(found[4]).strip()
        return None if _COMMA.fullmatch(value) else _listed(text)
    return _listed(text)


def _listed(text: str) -> tuple[str, str] | None:
    found = _ASSIGNED.match(_without_remark(text))
    if not found or found[4][:1] in ("[", "{", ""):
        return None
    value = found[4].strip()
    bare = value[1:-1] if value.startswith("(") and value.endswith(")") else value
    several = any(piece == "," for piece in _OUTSIDE.findall(bare))
    if not several and bare is value:
        return None
    items = _quoted_bare(f"[{bare}]")
    return "A list stands in square brackets", f"{found[1]}{found[2]}{found[3]}{items}"


def _without_quotes(text: str) -> tuple[str, str] | None:
    found = _ASSIGNED.match(_without_remark(text))
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
    for piece in _OUTSIDE.findall(value):
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


def _inch_mark(text: str) -> tuple[str, str] | None:
    mended = re.sub(r'"([^"\n]*\d)""(?=\s*(?:[,\]}#]|$))', r'"\1 in"', text)
    mended = re.sub(r'(?<==)(\s*)([\d./ -]*\d)"(?=\s*(?:#.*)?$)', r'\1"\2 in"', mended)
    return ("The inch mark is a quote too; type in instead", mended) if mended != text else None


def _doubled_quotes(text: str) -> tuple[str, str] | None:
    mended = re.sub(r'"{2,3}([^"\n]+?)("{2,3}|\s*$)', r'"\1"', text)
    return ("One quote at each end is enough", mended) if mended != text else None


def _quotes_inside(text: str) -> tuple[str, str] | None:
    found = _ASSIGNED.match(text)
    value = found[4].strip() if found else ""
    if not found or len(value) < 2 or value[0] != value[-1] or value[0] not in "\"'":
        return None
    other = "'" if value[0] == '"' else '"'
    if other in value:
        return None
    sentence = f"A text with such quotes in it stands between two {other}"
    return sentence, f"{found[1]}{found[2]}{found[3]}{other}{value[1:-1]}{other}"


def _quote_missing(text: str) -> tuple[str, str] | None:
    found = _ASSIGNED.match(text)
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


def _backslash(text: str) -> tuple[str, str] | None:
    if "\\" not in text:
        return None
    return "A backslash is written twice", re.sub(r"\\+", r"\\\\", text)


def _unseen(text: str) -> tuple[str, str] | None:
    mended = "".join(c for c in text if c in "\n\t" or (ord(c) >= 32 and ord(c) != 127))
    if mended == text:
        return None
    odd = next(c for c in text if c not in mended)
    return f"A character that cannot be seen ({visible(odd)}) stands here; type it without", mended


def _comma_at_end(text: str) -> tuple[str, str] | None:
    mended = _replaced_outside(text, lambda run: re.sub(r",(\s*\})", r"\1", run))
    mended = mended.rstrip().rstrip(",") if mended.rstrip().endswith(",") else mended
    return ("No comma at the end", mended) if mended != text else None


def _comma_missing(text: str) -> tuple[str, str] | None:
    mended = re.sub(r'(["}\]])(\s+)(?=["{\[]|[A-Za-z_]+\s*=)', r"\1,\2", text)
    mended = re.sub(r"(\d)(\s+)(?=[A-Za-z_]+\s*=)", r"\1,\2", mended)
    if re.search(r"=\s*\[[\d\s]+\]\s*$", text):
        mended = re.sub(r"(\d)(\s+)(?=\d)", r"\1,\2", text)
    return ("A comma is missing between two of these", mended) if mended != text else None


def _one_line(text: str) -> tuple[str, str] | None:
    if "\n" not in text or "{" not in text:
        return None
    lines = [_without_remark(line).strip() for line in text.split("\n")]
    joined = re.sub(r",\s*([}\]])", r"\1", " ".join(line for line in lines if line))
    return "What stands between { and } stays on one line", joined


def _not_closed(text: str) -> tuple[str, str] | None:
    body = _without_remark(text).rstrip().rstrip(",")
    open_: list[str] = []
    for piece in _OUTSIDE.findall(body):
        if piece in ("[", "{"):
            open_.append("]" if piece == "[" else "}")
        elif open_ and piece == open_[-1]:
            open_.pop()
    if not open_ or len(open_) > 8:
        return None
    sentence = f"The {'[' if open_[0] == ']' else '{'} is not closed with {open_[0]}"
    return sentence, body + "".join(reversed(open_))


def _too_many_closed(text: str) -> tuple[str, str] | None:
    mended = re.sub(r"([\]}])\s*[\]})]+\s*$", r"\1", text)
    return ("One closing bracket too many", mended) if mended != text else None


DOCTORS: tuple[Doctor, ...] = (
    _printers_quotes,
    _header,
    _bare_header,
    _unseen,
    _semicolon,
    _separator,
    _key_of_words,
    _yes_or_no,
    _no_value,
    _inch_mark,
    _doubled_quotes,
    _comma_at_end,
    _comma_missing,
    _one_line,
    _backslash,
    _list_without_brackets,
    _without_quotes,
    _remark,
    _quotes_inside,
    _quote_missing,
    _not_closed,
    _too_many_closed,
)
"""In the order they are asked: the surest first."""
