"""Slips with everything but quotes: headers, signs between and after, brackets, unseen signs."""

from __future__ import annotations

import re

from bedplate.sheet.slip_parts import ASSIGNED, OUTSIDE, Found, replaced_outside, without_remark
from bedplate.sheet.statements import TABLES
from bedplate.text import visible


def header(text: str) -> Found:
    """Notice a header without its brackets closed, or with a key behind it."""
    found = re.match(r"\s*\[+\s*([A-Za-z_]+)\s*\]*\s*([^\]]*)$", text)
    if not found or found[1].casefold() not in TABLES:
        return None
    name, rest = found[1].casefold(), found[2].strip()
    header = f"[{name}]" if name == "axes" else f"[[{name}]]"
    if rest and not rest.startswith("#"):
        return "A header stands on a line of its own, its keys below it", f"{header}\n{rest}"
    return "A table begins with its name in brackets, both closed", header


def bare_header(text: str) -> Found:
    """Notice a header without brackets."""
    word = text.strip().strip("()<>:").casefold()
    if word not in TABLES:
        return None
    header = f"[{word}]" if word == "axes" else f"[[{word}]]"
    return "A table begins with its name in brackets", header


def semicolon(text: str) -> Found:
    """Notice keys parted by semicolons, or one at the end."""
    mended = replaced_outside(text, lambda run: re.sub(r"\s*;\s*", "\n", run)).rstrip("\n")
    if mended == text:
        return None
    if "\n" in mended:
        return "One key to a line: begin a new line in place of the semicolon", mended
    return "No semicolon at the end of a line", mended


def remark(text: str) -> Found:
    """Notice a remark that begins as in other languages."""
    mended = replaced_outside(text, lambda run: re.sub(r"//|--(?=\s)|/\*", "#", run, count=1))
    return ("A remark begins with #", mended) if mended != text else None


def separator(text: str) -> Found:
    """Notice something other than one equals sign between key and value."""
    found = re.match(
        r"(\s*)(?:-\s+)?([A-Za-z0-9_-]+)\s*(?:==+|:=?|=>|->)\s*(.*)$", text, re.DOTALL
    )
    if not found:
        return None
    return "Between key and value stands one =", f"{found[1]}{found[2]} = {found[3]}"


def key_of_words(text: str) -> Found:
    """Notice a key of several words."""
    found = ASSIGNED.match(text)
    if not found or re.fullmatch(r"[A-Za-z0-9_-]+", found[2]):
        return None
    key = re.sub(r"[^A-Za-z0-9_-]+", "_", found[2].strip()).strip("_")
    return (
        "A key is one word of plain letters, digits, - and _",
        f"{found[1]}{key}{found[3]}{found[4]}",
    )


def no_value(text: str) -> Found:
    """Notice a key without a value."""
    found = re.match(r"\s*([A-Za-z0-9_-]+)\s*=\s*(?:#.*)?$", text)
    return (f"Nothing stands after {found[1]} =", "") if found else None


def unseen(text: str) -> Found:
    """Notice a character that no screen shows."""
    mended = "".join(c for c in text if c in "\n\t" or (ord(c) >= 32 and ord(c) != 127))
    if mended == text:
        return None
    odd = next(c for c in text if c not in mended)
    return f"A character that cannot be seen ({visible(odd)}) stands here; type it without", mended


def comma_at_end(text: str) -> Found:
    """Notice a comma before a closing brace, or at the end of the line."""
    mended = replaced_outside(text, lambda run: re.sub(r",(\s*\})", r"\1", run))
    mended = mended.rstrip().rstrip(",") if mended.rstrip().endswith(",") else mended
    return ("No comma at the end", mended) if mended != text else None


def comma_missing(text: str) -> Found:
    """Notice no comma between two of a list or a table."""
    mended = re.sub(r'(["}\]])(\s+)(?=["{\[]|[A-Za-z_]+\s*=)', r"\1,\2", text)
    mended = re.sub(r"(\d)(\s+)(?=[A-Za-z_]+\s*=)", r"\1,\2", mended)
    if re.search(r"=\s*\[[\d\s]+\]\s*$", text):
        mended = re.sub(r"(\d)(\s+)(?=\d)", r"\1,\2", text)
    return ("A comma is missing between two of these", mended) if mended != text else None


def one_line(text: str) -> Found:
    """Notice a table in braces over several lines."""
    if "\n" not in text or "{" not in text:
        return None
    lines = [without_remark(line).strip() for line in text.split("\n")]
    joined = re.sub(r",\s*([}\]])", r"\1", " ".join(line for line in lines if line))
    return "What stands between { and } stays on one line", joined


def not_closed(text: str) -> Found:
    """Notice a bracket or brace that is not closed."""
    body = without_remark(text).rstrip().rstrip(",")
    open_: list[str] = []
    for piece in OUTSIDE.findall(body):
        if piece in ("[", "{"):
            open_.append("]" if piece == "[" else "}")
        elif open_ and piece == open_[-1]:
            open_.pop()
    if not open_ or len(open_) > 8:
        return None
    sentence = f"The {'[' if open_[0] == ']' else '{'} is not closed with {open_[0]}"
    return sentence, body + "".join(reversed(open_))


def too_many_closed(text: str) -> Found:
    """Notice a bracket too many at the end."""
    mended = re.sub(r"([\]}])\s*[\]})]+\s*$", r"\1", text)
    return ("One closing bracket too many", mended) if mended != text else None
