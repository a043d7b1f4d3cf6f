"""What a session asks for: one thing at a time, with its prompt and what an answer does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bedplate.errors import NotUnderstoodError

if TYPE_CHECKING:
    from bedplate.cli.bench.state import Bench
    from bedplate.metrology.axes import Spot


class Task:
    """One thing that is asked for.

    Attributes:
        bench: the session.
        name: tells it from every other; its lead is shown when it changes.
        group: what stands under one heading.
        words: words that mean something here, before they are taken as keys.
        above: lines shown before its lead.
        shows: the step whose heading is among them.
    """

    def __init__(
        self, bench: Bench, name: str, group: str = "", words: frozenset[str] = frozenset()
    ) -> None:
        self.bench = bench
        self.name = name
        self.group = group or name
        self.words = words
        self.above: tuple[str, ...] = ()
        self.shows: str | None = None

    def lead(self, *, first: bool) -> list[str]:
        """Return the lines shown before the prompt, once.

        Args:
            first: whether it is the first under its heading.
        """
        del first
        return []

    def prompt(self) -> str:
        """Return the prompt."""
        raise NotImplementedError

    def take(self, text: str) -> Task | None:
        """Do what an answer says; return a question that stands in the way, None where none does.

        Raises:
            BedplateError: nothing was recorded.
        """
        raise NotImplementedError

    def skip(self, why: str) -> Task | None:
        """Leave it for later; with a reason, for good. Return a question that stands in the way.

        Raises:
            NotUnderstoodError: it cannot be left out for good.
        """
        if why:
            raise NotUnderstoodError(
                "Not recorded. Only a reading can be left out for good.",
                "s  alone leaves this for later.",
            )
        self.bench.run.passed.add((type(self).__name__, self.name))
        return None

    @property
    def place(self) -> str | None:
        """The address that a note typed now is about."""
        return None

    @property
    def spot(self) -> Spot | None:
        """The address that is read, if one is."""
        return None


class Question(Task):
    """What stands in the way of recording; any other answer than its own leaves it."""

    def skip(self, why: str) -> Task | None:
        """Record nothing, and leave what was asked about for later."""
        super().skip(why)
        if self.spot is not None:
            self.bench.course.skip(self.spot)
        return None

    def keep(self) -> Task | None:
        """Take what was questioned as it is.

        Raises:
            NotUnderstoodError: it is not a question of that kind.
        """
        raise NotUnderstoodError("Nothing is questioned, so there is nothing to keep.")
