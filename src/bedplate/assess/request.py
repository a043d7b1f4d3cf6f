"""What a person or a file gives to be recorded, and the command that gives the same again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from bedplate.assess.retyped import copyable
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import FromFile
from bedplate.text import quoted


class Request(NamedTuple):
    """One reading, or several at one address, as a person or a file gives them.

    Attributes:
        address: as typed.
        values: one text a value, its unit with it.
        gauge: what it was read on (``TG/MIC``: felt with one, read on the other).
        temp, gauge_temp: temperatures as typed, with their unit.
        repeat: ``again`` (averaged with what stands there) or ``instead`` (strikes it).
        left_out: why there is no value, on purpose.
        yes: whether a value that is questioned is kept without asking.
        corrects: number of the reading that it takes the place of, where that is struck with it.
        note: as the entry keeps it; of a correction, why the other is struck.
        done_at, from_file: as the entry keeps them.
        at: the time of `done_at` as it was typed.
    """

    address: str
    values: tuple[str, ...] = ()
    gauge: str | None = None
    temp: str | None = None
    gauge_temp: str | None = None
    repeat: str | None = None
    left_out: str | None = None
    yes: bool = False
    corrects: int | None = None
    note: str | None = None
    done_at: str | None = None
    from_file: FromFile | None = None
    at: str | None = None

    def command(self, address: str, *values: str) -> str:
        """Return the command that gives the same again, which loses nothing of what was given.

        Typed again without its gauge and temperatures a reading would be another figure.

        Args:
            address: where, in place of the address typed.
            values: what is read there, in place of the values typed; none where it is left out.

        >>> read = Request("MJ", ("63.489",), gauge="TG/mic1", temp="24 C", at="14:52", yes=True)
        >>> read.command("MJ.1", "63.489")
        'bedplate measure MJ.1 63.489 -g TG/mic1 --temp "24 C" --at 14:52 --yes'
        """
        begun = f"measure {address}" if self.corrects is None else f"correct {self.corrects}"
        words = ["bedplate", begun, *map(copyable, values)]
        given = {"--at": self.at, "--note": self.note}
        if self.corrects is None:
            read_with = {"-g": self.gauge, "--temp": self.temp, "--gauge-temp": self.gauge_temp}
            given = {"--left-out": self.left_out} | read_with | given
        words += [f"{option} {copyable(text)}" for option, text in given.items() if text]
        if self.yes:
            words.append("--yes")
        if self.repeat is not None and self.corrects is None:
            words.append(f"--{self.repeat}")
        return " ".join(words)


def joined_values(words: Sequence[str]) -> list[str]:
    """Return values from the words of a command line: a unit apart belongs to its figure.

    Raises:
        NotUnderstoodError: a whole number and a fraction stand apart.

    >>> joined_values(["19.057", "mm", "0.7503", "4..5", "thou"])
    ['19.057 mm', '0.7503', '4..5 thou']
    """
    values: list[str] = []
    for word in words:
        if values and word and not any(char.isdigit() for char in word):
            values[-1] = f"{values[-1]} {word}"
            continue
        if values and values[-1].isdigit() and _is_fraction(word):
            whole = values[-1]
            raise NotUnderstoodError(
                f'Not recorded. "{whole}" and {quoted(word)} stand apart: two readings, or '
                f"{whole} and {word}?",
                f'Type:  "{whole} {word} in"   or   {whole}-{word}in   or   '
                f"{whole} and the decimal figure",
            )
        values.append(word)
    return values


def _is_fraction(word: str) -> bool:
    above, slash, rest = word.partition("/")
    return bool(slash) and above.isdigit() and rest[:1].isdigit()
