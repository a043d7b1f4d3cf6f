"""The one family of failures, each with the exit code of the process and the cure.

A *finding* (a fit out of band, a fault in a sheet) is a value and is returned. What stops the
work at hand is one of these exceptions; the command line prints it and leaves with its code.
"""

from __future__ import annotations

from typing import ClassVar


class BedplateError(Exception):
    """What stops the work at hand.

    The message says the fate first ("Not recorded."), then the fault in the reader's words.

    Attributes:
        exit_code: what the process ends with.
        hint: further lines, the cure last; each is printed indented by two spaces.
    """

    exit_code: ClassVar[int] = 4

    def __init__(self, message: str, *hint: str) -> None:
        super().__init__(message)
        self.hint: tuple[str, ...] = hint

    @property
    def message(self) -> str:
        """The first sentence or two, without the cure."""
        return str(self.args[0])

    def as_lines(self) -> list[str]:
        """Return the message and its hints as they are printed."""
        return [*self.message.split("\n"), *(f"  {line}" for line in self.hint)]


class RefusedError(BedplateError):
    """The answer is no: a rule of the trade forbids it."""

    exit_code = 1


class NotUnderstoodError(BedplateError):
    """What was typed, or stands in a file handed in, is not understood; nothing was recorded."""

    exit_code = 2


class StorageError(BedplateError):
    """A file could not be read, or a record could not be made to last."""

    exit_code = 3


class FaultError(BedplateError):
    """A fault of bedplate itself."""

    exit_code = 4
