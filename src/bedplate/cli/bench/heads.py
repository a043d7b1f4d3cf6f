"""What stands over a prompt and beside it: one text for wide screens, narrow ones, and a voice.

Pure: data in, lines out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from bedplate.cli.bench.answers import KEYS
from bedplate.cli.screen import MEASURE, Screen, wrapped

NARROW = 60
"""Columns below which everything is set for a narrow screen."""
INDENT = 7
"""Columns that what follows an answer is set in, on a wide screen."""
SPOKEN_UNITS = {"in": "inch", "mm": "millimetre", "um": "micrometre"}


class Heading(NamedTuple):
    """What a run of readings is about.

    Attributes:
        tag: the feature.
        title: what people call it; the tag, where it has no name.
        where: on which part: ``gear driver``, ``body``; empty where that goes without saying.
        gauge: what it is read on, None for nothing named.
        expected: ``nominal 1.0030 in`` or ``band of LASH 4 to 8 thou``; empty for neither.
        how: conditions, as the sheet has them.
        tight: the sets that must be tight.
        spoken: ``expected`` as a voice says it.
    """

    tag: str
    title: str
    where: str
    gauge: str | None
    expected: str
    how: str = ""
    tight: tuple[str, ...] = ()
    spoken: str = ""


def is_narrow(screen: Screen) -> bool:
    """Tell whether a screen is too narrow for the wide form."""
    return screen.columns < NARROW


def room(screen: Screen) -> int:
    """Return the columns that running text has."""
    return max(12, min(MEASURE, screen.columns - 1))


def running(text: str, screen: Screen, first: str = "", then: str | None = None) -> list[str]:
    """Return running text in lines; see `screen.wrapped`."""
    return wrapped(text, first, then, room(screen))


def heading(head: Heading, screen: Screen) -> list[str]:
    """Return the lines over a run of readings; nothing with ``--plain``, see `spoken`."""
    if screen.plain:
        return []
    left = head.tag if head.title == head.tag else f"{head.tag} {head.title}"
    left += f", {head.where}" if head.where else ""
    if is_narrow(screen):
        first = two_ends(left, head.gauge or "", screen.columns - 1)
        lines = [*first, *([f"  {head.expected}"] if head.expected else [])]
    else:
        right = "   ".join(filter(None, (head.gauge, head.expected)))
        lines = two_ends(left, right, room(screen))
    width = room(screen)
    if head.how:
        lines += wrapped(f"how: {head.how}", "  ", "  ", width)
    if head.tight:
        lines += wrapped(f"tight: {', '.join(head.tight)}", "  ", "  ", width)
    return lines


def two_ends(left: str, right: str, width: int) -> list[str]:
    """Return two texts at the ends of a line; the second on a line of its own if need be."""
    if not right:
        return wrapped(left, "", "  ", width)
    if len(left) + 2 + len(right) <= width:
        return [f"{left}{right:>{width - len(left)}}"]
    return [*wrapped(left, "", "  ", width), f"{right:>{width}}"]


def spoken(head: Heading, label: str, *, first: bool) -> list[str]:
    """Return what a voice says before a reading: all of it once, then the station alone."""
    station = f", station {label}" if label.startswith("@") else ""
    station = station.replace("@", "", 1)
    if not first:
        return [f"Next: {head.tag}{station or f', {label}'}."]
    title = "" if head.title == head.tag else f", {head.title}"
    where = f", {head.where}" if head.where else ""
    said = [f"Next: {head.tag}{title}{where}{station}."]
    said += [f"Gauge {head.gauge}."] if head.gauge else ["No gauge."]
    said += [f"{head.spoken[:1].upper()}{head.spoken[1:]}."] if head.spoken else []
    lines = [" ".join(said)]
    lines += [f"How: {head.how}."] if head.how else []
    return lines + ([f"Must be tight: {', '.join(head.tight)}."] if head.tight else [])


def station_prompt(label: str, labels: Iterable[str], screen: Screen) -> str:
    """Return the prompt of one reading.

    Args:
        label: ``@b``, or the address of what has no stations.
        labels: those of all readings of the run, so that the answers stand under each other.
        screen: what it is shown on.
    """
    if screen.plain:
        return "Value: "
    width = max([len(each) for each in labels] + [len(label)])
    if is_narrow(screen):
        return f"{label:<{width}} > "
    return f"  {label:<{max(4, width)}} > "


def below(text: str, screen: Screen) -> list[str]:
    """Return what is said under an answer: set in, wrapped, or one sentence."""
    if screen.plain:
        return [text]
    blanks = " " * (2 if is_narrow(screen) else INDENT)
    return wrapped(text, blanks, blanks, room(screen))


def set_in(line: str, screen: Screen) -> list[str]:
    """Return the acknowledgment of an entry: a little in, its further lines further."""
    if is_narrow(screen):
        return wrapped(line, "  ", "  ", screen.columns - 1)
    return wrapped(line, "  ", " " * 12, room(screen))


def under(lines: Iterable[str], screen: Screen) -> list[str]:
    """Return lines of `show` set in under an answer as far as the screen has room."""
    if screen.plain or is_narrow(screen):
        return list(lines)
    return [f"{' ' * (INDENT - 2)}{line}" for line in lines]


def work_prompt(question: str, screen: Screen, indent: int = 2) -> str:
    """Return the prompt of what is no reading; on a narrow screen its end alone may stand there.

    Args:
        question: the prompt, without its sign.
        screen: what it is shown on.
        indent: columns it is set in on a wide screen.
    """
    if screen.plain:
        return _asked_aloud(question)
    blanks = " " * (2 if is_narrow(screen) else indent)
    return f"{blanks}{question} > "


def _asked_aloud(question: str) -> str:
    words = " ".join(question.split())
    return f"{words[:1].upper()}{words[1:]}: "


def prompt_after(text: str, question: str, screen: Screen) -> tuple[list[str], str]:
    """Return the lines before a question and its prompt: on one line where both fit.

    Args:
        text: what goes before, empty for nothing.
        question: the prompt, without its sign.
        screen: what it is shown on.
    """
    if screen.plain:
        return ([text] if text else []), _asked_aloud(question)
    blanks = " " * (2 if is_narrow(screen) else INDENT)
    room = screen.columns - (9 if is_narrow(screen) else 14)
    if text and not is_narrow(screen) and len(blanks) + len(text) + 4 + len(question) <= room:
        return [], f"{blanks}{text}    {question} > "
    lines = below(text, screen) if text else []
    if len(blanks) + len(question) + 3 <= room:
        return lines, f"{blanks}{question} > "
    *more, last = wrapped(question, blanks, blanks, max(20, room))
    return [*lines, *more], f"{last} > "


def key_line(screen: Screen) -> list[str]:
    """Return the keys in one line, or where to see them."""
    if screen.plain:
        return ["Type a question mark for the keys."]
    if is_narrow(screen):
        return ["? for the keys"]
    first, *others = [f"{key.letter} {key.word}" for key in KEYS if key.letter not in "k?"]
    lines = [f"keys: {first}"]
    for shown in others:
        if len(lines[-1]) + 2 + len(shown) <= screen.columns:
            lines[-1] += f"  {shown}"
        else:
            lines.append(f"      {shown}")
    return lines


def key_table(screen: Screen) -> list[str]:
    """Return every key with what it does."""
    rows = [
        ("VALUE", "records it; several fill the following stations in order"),
        *((f"{key.letter} {key.takes}".strip(), f"{key.word}: {key.does}") for key in KEYS),
        ("ADDRESS", "goes there:  H.driver@b   and records:  H.driver@b 1.0001"),
        ("", "A step, a set or a proof is an address too. An empty Enter does nothing."),
    ]
    if screen.plain:
        return [f"{left}: {' '.join(right.split())}." if left else right for left, right in rows]
    column = 4 if is_narrow(screen) else 12
    lines = []
    for left, right in rows:
        fits = len(left) + 4 <= column
        lines += [] if fits or not left else [f"  {left}"]
        first = f"  {left:<{column - 2}}" if fits else " " * column
        lines += wrapped(right, first, " " * column, room(screen))
    return lines


def spoken_amount(figure: str, unit: str) -> str:
    """Return a figure with its unit as a voice says it."""
    return f"{figure} {SPOKEN_UNITS.get(unit, unit.replace('*', ' '))}"


def labels_of(stations: Sequence[tuple[str, ...]]) -> list[str]:
    """Return stations as they are typed behind an address."""
    return [f"@{'/'.join(station)}" for station in stations]
