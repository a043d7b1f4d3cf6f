"""What a person must say before something is recorded.

Raised while entries are proposed, so that the same question is met whether it was asked before
or the job has changed since; whoever can ask puts it, notes the answer and proposes again. Where
nobody can be asked it is the refusal that it carries.
"""

from __future__ import annotations

from collections.abc import Hashable

from bedplate.assess.doubts import Doubt
from bedplate.errors import NotUnderstoodError


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
