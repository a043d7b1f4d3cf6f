"""``bedplate measure`` and ``bedplate correct``: readings, and the verdicts they complete."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from bedplate.assess.taking import Answers, Request, joined_values, readings_to_record
from bedplate.cli import context, table_of_readings
from bedplate.cli.due import list_due
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.store import clock, record
from bedplate.cli.times import done_at, temperature
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Reading, Strike
from bedplate.record.job import Job
from bedplate.text import counted, quoted

Gauge = Annotated[str | None, typer.Option("-g", "--gauge", metavar="GAUGE", help="Read on it.")]
Temp = Annotated[str | None, typer.Option(metavar="T", help="Temperature of part and gauge.")]
GaugeTemp = Annotated[str | None, typer.Option(metavar="T", help="The gauge's, if another.")]
At = Annotated[str | None, typer.Option(metavar="TIME", help="When it was done, if not now.")]
Note = Annotated[str | None, typer.Option(metavar="TEXT", help="Kept with the entry.")]
Yes = Annotated[bool, typer.Option("--yes", help="Keep a value that would be questioned.")]


def measure(
    address: Annotated[
        str | None, typer.Argument(metavar="ADDRESS", help="TAG.POSITION@STATION.")
    ] = None,
    values: Annotated[
        list[str] | None, typer.Argument(metavar="VALUE...", help="One or several readings.")
    ] = None,
    *,
    gauge: Gauge = None,
    temp: Temp = None,
    gauge_temp: GaugeTemp = None,
    again: Annotated[bool, typer.Option("--again", help="A repeat, averaged.")] = False,
    instead: Annotated[bool, typer.Option("--instead", help="Strike what stands there.")] = False,
    left_out: Annotated[
        str | None, typer.Option(metavar="WHY", help="Not read, on purpose.")
    ] = None,
    yes: Yes = False,
    at: At = None,
    note: Note = None,
    source: Annotated[
        str | None,
        typer.Option(
            "--from", metavar="FILE|-", help="A table: address,value,gauge,temp,at,note."
        ),
    ] = None,
) -> None:
    """Record readings and see what they settle.

    Alone it lists the readings that are due.

    Examples:
      bedplate measure H.driver@a 1.0001
      bedplate measure H.idler 0.9979 0.9978 0.9979 --gauge mic1
      bedplate measure BL@1 4..5thou --note "4 goes, 5 does not"
      bedplate measure H.idler@b 1.0000 --instead
      bedplate measure --from readings.csv
    """
    if again and instead:
        raise NotUnderstoodError("Not recorded. --again and --instead exclude each other.")
    repeat = "again" if again else "instead" if instead else None
    request = Request(
        address="", gauge=gauge, temp=temperature(temp), gauge_temp=temperature(gauge_temp),
        repeat=repeat, left_out=left_out, yes=yes, note=note, done_at=done_at(at, clock()),
    )  # fmt: skip
    if source is not None:
        _refuse_both(address)
        table_of_readings.measure_from(source, request)
        return
    if address is None:
        list_due()
        return
    request = replace(request, address=address, values=tuple(joined_values(values or [])))
    if left_out is not None and request.values:
        raise NotUnderstoodError("Not recorded. A reading left out has no value.")
    tell(record(lambda job, answers: taken(job, [request], answers)), "measure")


def _refuse_both(address: str | None) -> None:
    if address is not None:
        raise NotUnderstoodError(
            f"Not recorded. --from takes a file, and {quoted(address)} was given too."
        )


def taken(job: Job, requests: list[Request], answers: Answers) -> list[AnyEntry]:
    """Return the entries that record some requests, once the rules have let them pass."""
    entries: list[AnyEntry] = []
    gauges = context.cabinet().gauges()
    for request in requests:
        entries += readings_to_record(job, request, answers, gauges)
    return permitted(job, entries)


def correct(
    entry: Annotated[str, typer.Argument(metavar="ENTRY", help="Number of the reading.")],
    values: Annotated[list[str], typer.Argument(metavar="VALUE...", help="What it should be.")],
    *,
    yes: Yes = False,
    at: At = None,
    note: Note = None,
) -> None:
    """Strike a reading and put the right one.

    Gauge and temperature stay those of the reading that is struck.

    Examples:
      bedplate correct 13 1.0002
      bedplate correct 9 19.057 mm --note "read the wrong line"
    """
    typed = joined_values(values)
    when = done_at(at, clock())

    def corrected(job: Job, answers: Answers) -> list[AnyEntry]:
        wrong = _reading_at(job, entry)
        if len(typed) != 1:
            raise NotUnderstoodError(
                f"Not recorded. Entry {wrong.n} is one reading, and "
                f"{counted(len(typed), 'value')} were given."
            )
        strike = Strike(entry=wrong.n, why=note or "corrected")
        request = Request(
            address=wrong.address, values=tuple(typed), gauge=wrong.gauge, temp=wrong.temp,
            gauge_temp=wrong.gauge_temp, repeat="again", yes=yes, done_at=when or wrong.done_at,
        )  # fmt: skip
        readings = readings_to_record(job, request, answers, context.cabinet().gauges())
        # It is the same part in the same life that was read, whatever has become of it since.
        same = [
            r.model_copy(update={"on": wrong.on}) if isinstance(r, Reading) else r
            for r in readings
        ]
        return permitted(job, [strike, *same])

    tell(record(corrected), "correct")


def _reading_at(job: Job, typed: str) -> Reading:
    """Return the live reading with the number typed.

    Raises:
        NotUnderstoodError: no such entry, no reading, or one struck already.
    """
    if not typed.isascii() or not typed.isdigit() or not 1 <= int(typed[:20]) <= job.last:
        raise NotUnderstoodError(
            f"Not recorded. There is no entry {quoted(typed)}; the last is {job.last}.",
            "See them:  bedplate log",
        )
    found = job.entries[int(typed) - 1]
    if not isinstance(found, Reading):
        raise NotUnderstoodError(
            f"Not recorded. Entry {found.n} is no reading.", f"Type:  bedplate strike {found.n}"
        )
    if found.n in job.struck:
        raise NotUnderstoodError(
            f"Not recorded. Entry {found.n} was struck by entry {job.struck[found.n]}.",
            f"Type:  bedplate measure {found.address} VALUE",
        )
    return found
