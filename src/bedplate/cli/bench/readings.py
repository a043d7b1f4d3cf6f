"""Asking for readings: one station after another."""

from __future__ import annotations

from bedplate.assembly.words import called
from bedplate.assess.limits import feature_unit, nominal_text
from bedplate.assess.request import Request
from bedplate.cli.bench import heads
from bedplate.cli.bench.answers import values_in
from bedplate.cli.bench.questions import put_request, read_again, record_values
from bedplate.cli.bench.recording import is_placed
from bedplate.cli.bench.state import Bench
from bedplate.cli.bench.task import Task
from bedplate.cli.show import preferred
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.report import figures, values
from bedplate.sheet.layout import joined
from bedplate.sheet.model import Feature
from bedplate.text import counted, visible
from bedplate.units import read_value


class ReadingTask(Task):
    """One reading.

    Args:
        bench: the session.
        at: its address in full.
        wanted: for what it is read though it is not due, in words.
    """

    def __init__(self, bench: Bench, at: Spot, *, wanted: str | None = None) -> None:
        self.at = at
        self.wanted = wanted
        self.gauge = bench.gauges.of(bench.job, at)
        run = joined(at.tag, at.position)
        super().__init__(bench, f"read {at} {wanted or ''}", f"{run} {self.gauge} {wanted or ''}")

    @property
    def _was_read(self) -> bool:
        return bool(self.bench.job.standing(self.at))

    @property
    def place(self) -> str | None:
        """The address that is read; a part without a place has none that a note could stand at."""
        return str(self.at) if is_placed(self.bench, self.at) else None

    @property
    def spot(self) -> Spot:
        """The address that is read."""
        return self.at

    def lead(self, *, first: bool) -> list[str]:
        """Return the heading of the run, or what a voice says of the reading."""
        screen = self.bench.screen
        if not first and not screen.plain:
            return []
        head = heading_of(self.bench, self.at, self.gauge)
        if screen.plain:
            lines = heads.spoken(head, self._label, first=first)
        else:
            lines = heads.heading(head, screen)
        if first and self.wanted is not None:
            word = "read again" if self._was_read else "read"
            if screen.plain:
                lines = [*lines, f"{word.capitalize()}: {self.wanted}."]
            else:
                lines = [*lines, *heads.running(f"{word}: {self.wanted}", screen, "  ")]
        if first and self.gauge is None and self.bench.once("no gauge"):
            said = "only the last digit typed counts as doubt"
            if screen.plain:
                lines = [*lines, f"No gauge is named: {said}."]
            else:
                lines = [*lines, *heads.running(f"no gauge: {said}", screen, "  ")]
        return lines

    @property
    def _label(self) -> str:
        return f"@{'/'.join(self.at.station)}" if self.at.station else str(self.at)

    def prompt(self) -> str:
        """Return the prompt: the station alone."""
        stations = self.bench.job.layout.select(self.at.tag, "feature").stations
        labels = heads.labels_of(stations) if self.at.station else ()
        return heads.station_prompt(self._label, labels, self.bench.screen)

    def take(self, text: str) -> Task | None:
        """Record one value here, or several at the following stations too."""
        self.bench.run.elsewhere = False
        unit = feature_unit(self.bench.job, self.at.tag)
        values = values_in(text, unit)
        spots = self.bench.course.following(self.at, len(values))
        if len(values) > len(spots):
            places = "  ".join(str(spot) for spot in spots)
            raise NotUnderstoodError(
                f"Not recorded. {len(values)} values were typed, and "
                f"{counted(len(spots), 'place')} {'is' if len(spots) == 1 else 'are'} left of "
                f"{self.at.tag}: {places}",
            )
        if self.wanted is not None and len(values) == 1 and self._was_read:
            return read_again(self.bench, self.at, values[0], self.wanted)
        return record_values(self.bench, list(zip(spots, values, strict=False)))

    def skip(self, why: str) -> Task | None:
        """Leave the reading for later; with a reason, record that it is left out."""
        if not why:
            self.bench.course.skip(self.at)
            return super().skip("")
        if not any(char.isalpha() for char in why):
            raise NotUnderstoodError(
                f'Not recorded. "{visible(why)}" is no reason for leaving {self.at} out.',
                "s  alone leaves it for later.",
            )
        request = Request(address=str(self.at), left_out=why)
        return put_request(self.bench, request, self.at)


def heading_of(bench: Bench, spot: Spot, gauge: str | None) -> heads.Heading:
    """Return what stands over the readings of one feature at one position."""
    job = bench.job
    feature = job.layout.row(spot.tag, Feature)
    expected, said = _expected(bench, spot)
    tight = bench.tight_for(spot) if is_placed(bench, spot) else []
    return heads.Heading(
        tag=feature.tag,
        title=visible(feature.title),
        where=_where(bench, spot),
        gauge=gauge,
        expected=expected,
        how=visible(feature.how or ""),
        tight=tuple(called(job.layout, s.row.tag, s.position) for s in tight),
        spoken=said,
    )


def _where(bench: Bench, spot: Spot) -> str:
    """Return where on the unit a feature is read: ``gear driver``, ``body``, ``main 1``."""
    named = bench.job.layout.named(spot.tag, "feature")
    components = bench.job.layout.row(spot.tag, Feature).components
    position = "/".join(spot.position)
    if len(components) == 1:
        return f"{components[0]} {position}".strip()
    if not position:
        return ""
    axes = "/".join(axis.name for axis in named.positions)
    return f"{axes} {position}"


def _expected(bench: Bench, spot: Spot) -> tuple[str, str]:
    """Return what a reading should come to, as shown and as said: its nominal, else its band."""
    text = nominal_text(bench.job, spot)
    unit = feature_unit(bench.job, spot.tag)
    draw = bench.screen.can_draw
    if text is not None:
        typed = read_value(text, unit)
        figure = text.removesuffix(f" {typed.unit}").strip()
        if not figure.replace(".", "").isdigit():
            return f"nominal {text}", f"nominal {text}"
        return (
            f"nominal {figures.amount(figure, typed.unit, draw=draw)}",
            f"nominal {heads.spoken_amount(figure, typed.unit)}",
        )
    result = bench.direct_band(spot)
    if result is None:
        return "", ""
    result = preferred([result], bench.screen)[0]
    limits = values.limits_shown(result, draw=draw)
    return f"band of {result.tag} {limits}", f"band {values.limits_shown(result)}"
