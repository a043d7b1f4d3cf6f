"""What a person must say before something is recorded.

Raised while entries are proposed, so that the same question is met whether it was asked before
or the job has changed since; whoever can ask puts it, notes the answer and proposes again. Where
nobody can be asked it is the refusal that it carries.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import TYPE_CHECKING

from bedplate.errors import NotUnderstoodError
from bedplate.text import visible

if TYPE_CHECKING:
    from bedplate.assess.doubts import Doubt
    from bedplate.metrology.axes import Spot
    from bedplate.record.job import Taken
    from bedplate.units import Typed

Answers = Mapping[Hashable, str]
"""What has been answered so far, by the key of the question."""


class QuestionError(NotUnderstoodError):
    """A question that stands in the way of recording.

    Attributes:
        key: what the answer is filed under.
        lines: the question as it is put on a terminal; the last line is the prompt.
        answers: what may be answered, by the letter or word typed; ``*`` for any other text,
            which then stands in place of what was typed.
    """

    def __init__(
        self, message: str, *hint: str, key: Hashable, lines: list[str], answers: dict[str, str]
    ) -> None:
        super().__init__(message, *hint)
        self.key = key
        self.lines = lines
        self.answers = answers


class DoubtedError(QuestionError):
    """A question about a value that is probably not what was meant.

    Attributes:
        doubt: what is odd about it.
        figure: the value as it was typed.
    """

    def __init__(
        self,
        message: str,
        *hint: str,
        key: Hashable,
        lines: list[str],
        answers: dict[str, str],
        doubt: Doubt,
        figure: str,
    ) -> None:
        super().__init__(message, *hint, key=key, lines=lines, answers=answers)
        self.doubt = doubt
        self.figure = figure


KEEP = "keep "
"""What an answer begins with that keeps the value behind it; no value begins so."""


def repeat_or_instead(
    spot: Spot, standing: list[Taken], text: str | None, command: str
) -> QuestionError:
    """Return the question what becomes of what stands at an address.

    Args:
        spot: the address in full.
        standing: the readings there, the last of which is named.
        text: the new value as typed, None where the address is to be left out.
        command: the one that records it, but for the answer.
    """
    before = standing[-1].entry
    was = before.value if before.value is not None else "left out"
    now = visible(text) if text is not None else "leaving it out"
    return QuestionError(
        f"Not recorded. {spot} was read before: {was} (entry {before.n}). There is no terminal "
        f"to ask on: is {now} a repeat, or instead of it?",
        f"Type:  {command} --again     or   --instead",
        key=("repeat", str(spot)),
        lines=[
            f"{spot} was read before: {was} (entry {before.n}). This is",
            "  i  instead of it (a slip)    a  again (a repeat, averaged)    q  neither: ",
        ],
        answers={"i": "instead", "a": "again", "instead": "instead", "again": "again"},
    )


def questioned(key: Hashable, text: str, typed: Typed, doubt: Doubt, command: str) -> DoubtedError:
    """Return the question whether a value that is doubted is what was meant.

    Args:
        key: what the answer is filed under.
        text: as typed.
        typed: the same, understood.
        doubt: what is odd about it.
        command: the one that records it, but for the answer.
    """
    from bedplate.assess.doubts import shown  # noqa: PLC0415 - questions only

    figure = shown(typed)
    would = f"{doubt.instead} would be {doubt.then}." if doubt.instead else ""
    probably = f": {doubt.guess}" if doubt.guess else "."
    cure = [f"  Set it first:  bedplate {doubt.cure}"] if doubt.cure else []
    prompt = f"  Type the right value, or k to keep {figure}, or q to record nothing: "
    return DoubtedError(
        f"Not recorded. {doubt.text}{probably}",
        *(line.strip() for line in cure),
        f"{would} There is no terminal to ask on.".strip(),
        f"If {figure} is right:  {command} --yes",
        key=key,
        lines=[
            f"{doubt.text}. {doubt.guess}".rstrip(),
            *([f"  {would}"] if would else []),
            *cure,
            prompt,
        ],
        answers={"k": KEEP + text, "keep": KEEP + text, "*": "value"},
        doubt=doubt,
        figure=figure,
    )
