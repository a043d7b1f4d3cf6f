"""What was typed: a value, a key, or an address. A letter at its head is never a reading."""

from __future__ import annotations

import re
from typing import NamedTuple

from bedplate.assess.request import joined_values
from bedplate.errors import NotUnderstoodError
from bedplate.sheet.layout import Layout, Named
from bedplate.text import nearest, quoted
from bedplate.units import read_value


class Key(NamedTuple):
    """One key.

    Attributes:
        letter: what is typed, or the whole `word`.
        word: see above.
        takes: what may stand behind it, empty where nothing may.
        does: what it does.
    """

    letter: str
    word: str
    takes: str
    does: str


KEYS = (
    Key("b", "back", "", "takes back the last entry of this session, and asks again"),
    Key("a", "again", "VALUE", "one more reading where the last one was taken"),
    Key("s", "skip", "WHY", "leaves it for later; with a reason, it is left out for good"),
    Key("g", "gauge", "GAUGE", "another gauge from here on:  g mic2   or   g none"),
    Key("t", "temp", "T", "temperature of the part from here on:  t 24C   or   t none"),
    Key("n", "note", "TEXT", "a note on what is in hand; on another:  n gear.2 blued"),
    Key("f", "finding", "TEXT", "what you saw on the part:  f reject pitted   or   f gear.2 burr"),
    Key("d", "due", "", "what is still due"),
    Key("k", "keep", "", "keeps a value that was questioned"),
    Key("q", "quit", "", "stops; everything recorded is kept"),
    Key("?", "keys", "", "these keys"),
)
"""All keys, in the order they are shown."""

SAID_OF = {
    "fasteners": ("removed", "fitted", "tight", "trial", "locked", "backed-off", "again"),
    "proof": ("pass", "fail"),
    "step": ("done",),
}
"""Words that may stand behind the address of what is no reading."""

_BY_WORD = {key.letter: key for key in KEYS} | {key.word: key for key in KEYS}
_MINUS = "-+\u2212\u2013"


class Answer(NamedTuple):
    """An answer.

    Attributes:
        kind: ``nothing``, ``value``, ``key``, ``address`` or ``unknown``.
        text: the whole of it, as typed.
        key: the letter of the key.
        address: the address.
        rest: what stands behind the key or the address.
    """

    kind: str
    text: str
    key: str = ""
    address: str = ""
    rest: str = ""


def understood(text: str, layout: Layout) -> Answer:
    """Return what an answer is.

    Args:
        text: as typed, without outer spaces.
        layout: the names of the sheet.
    """
    if not text:
        return Answer("nothing", text)
    if text[0].isdigit() or text[0] in ".," or text[0] in _MINUS:
        return Answer("value", text)
    word, _, rest = text.partition(" ")
    rest = rest.strip()
    key = _BY_WORD.get(word.casefold())
    tag = word.partition("@")[0].partition(".")[0]
    named = layout.find(tag)
    if key is not None and not (named and _means_address(key, named, word, rest)):
        return Answer("key", text, key=key.letter, rest=rest)
    if named is not None:
        return Answer("address", text, address=word, rest=rest)
    return Answer("unknown", text)


def _means_address(key: Key, named: Named, word: str, rest: str) -> bool:
    """Tell whether a letter that is a tag too is meant as one: ``D``, ``d 1.003``, ``N removed``.

    Alone it is, typed as the sheet has it, unless that is how the key is typed. Before a value it
    is too, or where the key takes nothing, and before a word that is said of such a thing; before
    any other text it is the key.
    """
    own = word == named.name and word != key.letter
    if not rest:
        return own
    value = rest[0].isdigit() or rest[0] in f".,{_MINUS}"
    said = rest.partition(" ")[0].casefold() in SAID_OF.get(named.noun, ())
    return (value and (own or not key.takes)) or (said and own)


def refuse_unknown(text: str, layout: Layout) -> NotUnderstoodError:
    """Return what is said to an answer that is neither a value, a key nor an address."""
    names = [*(key.word for key in KEYS), *layout.names()]
    word = text.partition(" ")[0]
    near = nearest(word, names) if len(word) > 2 else []
    hint = f"Nearest: {', '.join(near)}" if near else "?  shows the keys."
    return NotUnderstoodError(
        f"Not recorded. {quoted(text)} is neither a value, a key nor an address.", hint
    )


def values_in(text: str, unit: str) -> list[str]:
    """Return the values of one answer; blanks part them, but not a unit or a sum.

    Args:
        text: as typed.
        unit: of bare figures.

    Raises:
        NotUnderstoodError: a whole number and a fraction stand apart.

    >>> values_in("0.7503 0.7501 in", "in"), values_in("0.700 + 0.050", "in")
    (['0.7503', '0.7501 in'], ['0.700+0.050'])
    >>> values_in("1 3/8 in", "in")
    ['1 3/8 in']
    """
    together = re.sub(r" +([-+]) +", r"\1", text)
    together = re.sub(r" *(\.\.) *", r"\1", together)
    words = together.split()
    if len(words) > 1 and _is_one(together, unit):
        return [together]
    return joined_values(words)


def _is_one(text: str, unit: str) -> bool:
    """Tell whether figures with blanks between them are one value: ``1 3/8 in``, not ``1 3/8``."""
    if not re.fullmatch(r"[0-9]+ [0-9]+/[0-9]+ *[^0-9]+", text):
        return False
    try:
        read_value(text, unit)
    except NotUnderstoodError:
        return False
    return True
