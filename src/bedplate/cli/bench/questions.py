"""Values on their way into the record, and the questions that one can raise.

Nothing is recorded until a question is answered; retyping is the answer.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from bedplate.assess.doubts import far_from_nominal
from bedplate.assess.limits import feature_unit, nominal_of, nominal_text
from bedplate.assess.questions import DoubtedError, QuestionError
from bedplate.assess.request import Request
from bedplate.assess.taking import readings_to_record
from bedplate.assess.written import split_gauge
from bedplate.cli.bench import heads
from bedplate.cli.bench.answers import values_in
from bedplate.cli.bench.recording import is_placed, record_request, request_for, taken
from bedplate.cli.bench.state import Act, Bench
from bedplate.cli.bench.task import Question, Task
from bedplate.cli.bench.zero import set_gauge
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import AnyEntry, Strike
from bedplate.record.job import Job
from bedplate.text import visible
from bedplate.units import convert, read_value, system

_ASKED = itertools.count()
"""Numbers the questions: each is shown once, and the same one asked again is another."""

Pairs = Sequence[tuple[Spot, str]]


def record_values(bench: Bench, pairs: Pairs) -> Task | None:
    """Record values at their addresses, one after another, until one raises a question."""
    for number, (spot, value) in enumerate(pairs, start=1):
        try:
            asked = _one_value(bench, spot, value, pairs[number:])
        except (NotUnderstoodError, RefusedError) as error:
            rest = "  ".join(text for _, text in pairs[number:])
            if not rest:
                raise
            kind = RefusedError if isinstance(error, RefusedError) else NotUnderstoodError
            raise kind(error.message, *error.hint, f"Nor was what followed: {rest}") from error
        if asked is not None:
            return asked
    return None


def _one_value(bench: Bench, spot: Spot, value: str, rest: Pairs) -> Task | None:
    request = request_for(bench, spot, value)
    point = decimal_comma(bench, spot, value) if bench.keyboard.person else None
    if point is not None:
        return Comma(bench, spot, value, point, rest)
    return put_request(bench, request, spot, rest)


def put_request(bench: Bench, request: Request, spot: Spot, rest: Pairs = ()) -> Task | None:
    """Record a request, or return the question that stands in its way.

    Raises:
        QuestionError: there is one, and nobody who could be asked.
    """
    try:
        record_request(bench, request)
    except QuestionError as question:
        if not bench.keyboard.person:
            raise
        if isinstance(question, DoubtedError):
            return Doubted(bench, request, spot, question, rest)
        return ReadBefore(bench, request, spot, question, rest)
    return None


def read_again(bench: Bench, spot: Spot, value: str, why: str) -> Task | None:
    """Record a reading in place of those that stand there, which are struck for a reason."""
    request = request_for(bench, spot, value)._replace(repeat="instead")

    def proposed(job: Job) -> list[AnyEntry]:
        return [
            entry.model_copy(update={"why": why}) if isinstance(entry, Strike) else entry
            for entry in readings_to_record(job, request, {}, bench.gauges.cabinet)
        ]

    try:
        recorded = bench.record(proposed, Act((), f"{spot} {value}"))
    except DoubtedError as question:
        if not bench.keyboard.person:
            raise
        return Doubted(bench, request, spot, question, ())
    taken(bench, recorded)
    return None


# ---- questions


class Doubted(Question):
    """A value that cannot be right: retyping is the answer, ``k`` keeps it."""

    def __init__(
        self, bench: Bench, request: Request, at: Spot, question: DoubtedError, rest: Pairs
    ) -> None:
        super().__init__(bench, f"doubt {next(_ASKED)}")
        self.request = request
        self.at = at
        self.question = question
        self.rest = rest

    @property
    def spot(self) -> Spot:
        """The address that is read."""
        return self.at

    @property
    def place(self) -> str:
        """The address that is read."""
        return str(self.at)

    def lead(self, *, first: bool) -> list[str]:
        """Return what is odd about the value."""
        del first
        return [*heads.below(self._odd, self.bench.screen), *self._ending[0]]

    def prompt(self) -> str:
        """Return what it probably is, and what can be answered."""
        return self._ending[1]

    @property
    def _odd(self) -> str:
        doubt = self.question.doubt
        beside = "" if "neighbour" in doubt.text or "repeat" in doubt.text else self._neighbour()
        return f"{doubt.text}{beside}."

    @property
    def _ending(self) -> tuple[list[str], str]:
        doubt = self.question.doubt
        guess = f"{doubt.guess[:1].upper()}{doubt.guess[1:]}"
        if doubt.instead:
            guess += f"  {doubt.instead} would be {doubt.then}."
        wanted = "right value, or k to keep"
        if doubt.cure:
            nominal = nominal_text(self.bench.job, self.at) or "1in"
            wanted = f"what it was set to, like 0 on {nominal.replace(' ', '')}; {wanted}"
        return heads.prompt_after(guess.strip(), wanted, self.bench.screen)

    def _neighbour(self) -> str:
        """Return what stands at another station of the same part, for the eye to compare."""
        job = self.bench.job
        for station in reversed(job.layout.select(self.at.tag, "feature").stations):
            spot = Spot(self.at.tag, self.at.position, station)
            if spot == self.at or not is_placed(self.bench, spot):
                continue
            values = [t.entry.value for t in job.standing(spot) if t.entry.value is not None]
            if values:
                figure = values[-1].partition(" ")[0]
                return f"; its neighbour @{'/'.join(station)} was {figure}"
        return ""

    def take(self, text: str) -> Task | None:
        """Take the right value in place of the one questioned, or what its gauge was set to."""
        if self.question.doubt.cure and re.search(r"\son\s", text, re.IGNORECASE):
            set_gauge(self.bench, split_gauge(self.request.gauge)[1] or "", text, None)
            return self._put(self.request)
        key = self.question.key
        place = key[2] if isinstance(key, tuple) else 0
        unit = feature_unit(self.bench.job, self.at.tag)
        values = values_in(text, unit)
        if len(values) != 1:
            raise NotUnderstoodError(
                f"Not recorded. One value is asked for here, and {len(values)} were typed."
            )
        all_values = [*self.request.values]
        all_values[place] = values[0]
        return self._put(self.request._replace(values=tuple(all_values)))

    def keep(self) -> Task | None:
        """Record the value as it is; the mark stays in the record."""
        return self._put(self.request._replace(yes=True))

    def _put(self, request: Request) -> Task | None:
        asked = put_request(self.bench, request, self.at, self.rest)
        return asked or (record_values(self.bench, self.rest) if self.rest else None)


class ReadBefore(Question):
    """A value on a place that was read already: a repeat, or instead of what stands there."""

    def __init__(
        self, bench: Bench, request: Request, at: Spot, question: QuestionError, rest: Pairs
    ) -> None:
        words = frozenset(question.answers)
        super().__init__(bench, f"before {next(_ASKED)}", words=words)
        self.request = request
        self.at = at
        self.question = question
        self.rest = rest

    @property
    def spot(self) -> Spot:
        """The address that is read."""
        return self.at

    def lead(self, *, first: bool) -> list[str]:
        """Return what stands there."""
        del first
        return [*heads.below(self._was, self.bench.screen), *self._ending[0]]

    def prompt(self) -> str:
        """Return what can be answered."""
        return self._ending[1]

    @property
    def _was(self) -> str:
        return self.question.lines[0].removesuffix(" This is")

    @property
    def _ending(self) -> tuple[list[str], str]:
        screen = self.bench.screen
        if screen.plain:
            ways = "type i for instead of it, a slip; a for again, averaged; s for neither"
            return heads.prompt_after("", ways, screen)
        instead, again, neither = "i instead of it (a slip)", "a again (averaged)", "s neither"
        if heads.is_narrow(screen):
            lines = [*heads.below(instead, screen), *heads.below(again, screen)]
            return lines, heads.prompt_after("", neither, screen)[1]
        return heads.prompt_after("", f"{instead}   {again}   {neither}", screen)

    def take(self, text: str) -> Task | None:
        """Record the value as a repeat or instead; another value takes its place."""
        way = self.question.answers.get(text.casefold())
        if way is None:
            return record_values(self.bench, [(self.at, text)])
        asked = put_request(self.bench, self.request._replace(repeat=way), self.at, self.rest)
        return asked or (record_values(self.bench, self.rest) if self.rest else None)


class Comma(Question):
    """``1,003`` for a feature whose nominal says that the comma is a decimal one."""

    def __init__(self, bench: Bench, at: Spot, typed: str, point: str, rest: Pairs) -> None:
        super().__init__(bench, f"comma {next(_ASKED)}")
        self.at = at
        self.typed = typed
        self.point = point
        self.rest = rest

    @property
    def spot(self) -> Spot:
        """The address that is read."""
        return self.at

    def lead(self, *, first: bool) -> list[str]:
        """Return how the value can be read."""
        del first
        text = f'"{visible(self.typed)}" could be thousands; by the nominal it is {self.point}.'
        return heads.below(text, self.bench.screen)

    def prompt(self) -> str:
        """Return what can be answered."""
        question = f"value with a point, or k for {self.point}"
        return heads.prompt_after("", question, self.bench.screen)[1]

    def take(self, text: str) -> Task | None:
        """Take another value."""
        return record_values(self.bench, [(self.at, text), *self.rest])

    def keep(self) -> Task | None:
        """Take the comma for a decimal one."""
        return record_values(self.bench, [(self.at, self.point), *self.rest])


class Repeat(Question):
    """One more reading where the last one was taken."""

    def __init__(self, bench: Bench, at: Spot) -> None:
        super().__init__(bench, f"again {next(_ASKED)}")
        self.at = at

    @property
    def spot(self) -> Spot:
        """The address that is read."""
        return self.at

    @property
    def place(self) -> str:
        """The address that is read."""
        return str(self.at)

    def prompt(self) -> str:
        """Return the prompt."""
        if self.bench.screen.plain:
            return f"{self.at} again, value: "
        return heads.station_prompt(f"{self.at} again", (), self.bench.screen)

    def take(self, text: str) -> Task | None:
        """Record a repeat."""
        return repeat(self.bench, self.at, text)


def repeat(bench: Bench, spot: Spot, text: str) -> Task | None:
    """Record repeats where something was read before; they are averaged."""
    values = values_in(text, feature_unit(bench.job, spot.tag))
    request = request_for(bench, spot, *values)._replace(repeat="again")
    return put_request(bench, request, spot)


def decimal_comma(bench: Bench, spot: Spot, text: str) -> str | None:
    """Return a value with a point for its comma, where only the nominal can say so.

    Three digits behind a comma may be thousands; in mm they never are.
    """
    found = re.fullmatch(r"([0-9]{1,3}),([0-9]{3})( *[A-Za-z]+)?", text.strip())
    nominal = nominal_of(bench.job, spot)
    if found is None or nominal is None:
        return None
    point = f"{found[1]}.{found[2]}{found[3] or ''}"
    try:
        typed = read_value(point, feature_unit(bench.job, spot.tag))
    except NotUnderstoodError:
        return None
    near = far_from_nominal(typed, convert(*nominal, typed.unit)) is None
    return point if near and system(typed.unit) == "inch" else None
