"""Words for people: hostile text made visible, near names, plurals and lists.

Everything that was typed, or came out of a file, passes `visible` before it is shown.
"""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable, Sequence

HIDDEN = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
"""Unicode categories that a screen acts on, or does not show at all."""


def visible(text: str, keep: str = "") -> str:
    r"""Return ``text`` with every character that cannot be seen turned into an escape.

    Args:
        text: any text, also from an untrusted file.
        keep: control characters to let through (a line feed, where lines are wanted).

    >>> visible("H\x1b[2J")
    'H\\x1b[2J'
    >>> visible("idler\u202eteg")
    'idler\\u202eteg'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        char if char in keep or unicodedata.category(char) not in HIDDEN else _escape(char)
        for char in text
    )


def _escape(char: str) -> str:
    code = ord(char)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def shown_text(text: str) -> str:
    """Return free text of the record on one line, safe to print."""
    return " ".join(visible(text, keep="\n").split("\n"))


def quoted(text: str, limit: int = 60) -> str:
    """Return what was typed, visible and in quotes, cut where it is very long."""
    shown = visible(text)
    return f'"{shown}"' if len(shown) <= limit else f'"{shown[: limit - 3]}..."'


def titled(name: str, title: str) -> str:
    """Return a name with what people call it, made visible: ``H (gear height)``.

    >>> titled("H", "gear height"), titled("D", "D")
    ('H (gear height)', 'D')
    """
    return visible(name if title == name else f"{name} ({title})")


def nearest(word: str, names: Iterable[str], most: int = 3, alike: float = 0.6) -> list[str]:
    """Return the names near to ``word`` (difflib ratio of at least ``alike``), best first.

    Case is no difference.

    >>> nearest("h.idle", ["H.idler", "H.driver", "D"])
    ['H.idler']
    """
    by_fold: dict[str, str] = {}
    for name in names:
        by_fold.setdefault(name.casefold(), name)
    near = difflib.get_close_matches(word.casefold(), by_fold, n=most, cutoff=alike)
    return [by_fold[name] for name in near]


def listed(names: Sequence[str], most: int = 8) -> str:
    """Return names, made visible, joined by commas: at most ``most``, then how many more.

    >>> listed(["a", "b", "c"], most=2)
    'a, b and 1 more'
    """
    shown = ", ".join(map(visible, names[:most]))
    return shown if len(names) <= most else f"{shown} and {len(names) - most} more"


def together(names: Sequence[str]) -> str:
    """Return names, made visible, as one says them of things that belong together.

    >>> together(["gear"]), together(["gear", "body"]), together(["block", "cap", "mshell"])
    ('gear', 'gear and body', 'block, cap and mshell')
    """
    *first, last = map(visible, names)
    return f"{', '.join(first)} and {last}" if first else last


def near_or_list(word: str, names: Sequence[str], what: str) -> str:
    """Return the sentence that helps after an unknown name: the nearest ones, else the list.

    >>> near_or_list("x", [], "Fits"), near_or_list("x", [], "There are")
    ('There are no fits yet.', 'There are none yet.')
    """
    if near := nearest(word, names):
        return f"Nearest: {listed(near)}"
    if not names:
        is_noun = what.split(" ", maxsplit=1)[0] not in ("There", "It", "They")
        return f"There are no {what.lower()} yet." if is_noun else "There are none yet."
    return f"{what}: {listed(list(names))}"


def folded(text: str) -> str:
    """Return a text as it is compared where neither case nor blanks make another of it.

    >>> folded(" Ann  Fitter") == folded("ann fitter")
    True
    """
    return " ".join(text.casefold().split())


def bare(text: str) -> str:
    """Return the letters and digits of a text, without case.

    >>> bare("Tab-washers"), bare("first  run")
    ('tabwashers', 'firstrun')
    """
    return "".join(char for char in text.casefold() if char.isalnum())


def shell(text: str) -> str:
    """Return a text as one word of a command line, in double quotes where it needs them."""
    plain = visible(text).replace('"', "'")
    safe = all(char.isalnum() or char in "._/@+-:," for char in plain)
    return plain if plain and safe and plain[0] not in "@-" else f'"{plain}"'


def counted(number: int, noun: str, plural: str | None = None) -> str:
    """Return a number with its noun in the right number.

    >>> counted(1, "reading"), counted(2, "reading"), counted(2, "entry", "entries")
    ('1 reading', '2 readings', '2 entries')
    """
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def column_for_most(rows: Sequence[tuple[int, int]], width: int) -> int:
    """Return the column at which the most texts find room beside others; the first of equals.

    Args:
        rows: the column at which the text on the left, with its gap, ends; the columns that the
            text on the right takes.
        width: columns that are there.

    >>> column_for_most([(10, 20), (12, 60), (70, 20)], width=80)
    12
    """

    def beside(column: int) -> int:
        return sum(left <= column <= width - right for left, right in rows)

    return max(sorted({left for left, _ in rows}), key=beside, default=0)
