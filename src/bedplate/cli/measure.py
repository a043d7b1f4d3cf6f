"""``bedplate measure`` and ``bedplate correct``: readings, and the verdicts they complete."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

import typer

from bedplate.assess.questions import Answers, QuestionError
from bedplate.assess.request import Request, joined_values
from bedplate.assess.taking import readings_to_record, selected
from bedplate.assess.usual import usual_gauge
from bedplate.cli import context
from bedplate.cli.declared import At, Gauge, GaugeTemp, Note, Temp, Yes
from bedplate.cli.due import list_due
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.store import clock, record
from bedplate.cli.striking import entry_number
from bedplate.cli.times import done_at, temperature
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Reading, Strike
from bedplate.record.job import UNSTRIKABLE, Job
from bedplate.text import counted, quoted, visible


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
        repeat=repeat, left_out=left_out, yes=yes, note=note, done_at=done_at(at, clock()), at=at,
    )  # fmt: skip
    if source is not None:
        _refuse_beside_table(address, left_out)
        from bedplate.cli.table_of_readings import measure_from  # noqa: PLC0415 - a table only

        measure_from(source, request)
        return
    if address is None:
        list_due()
        return
    request = request._replace(address=address, values=tuple(joined_values(values or [])))
    if left_out is not None and request.values:
        raise NotUnderstoodError("Not recorded. A reading left out has no value.")
    recorded = record(lambda job, answers: taken(job, [request], answers))
    tell(recorded, "measure")


def _refuse_beside_table(address: str | None, left_out: str | None) -> None:
    if address is not None:
        raise NotUnderstoodError(
            f"Not recorded. --from takes a file, and {quoted(address)} was given too."
        )
    if left_out is not None:
        raise NotUnderstoodError(
            "Not recorded. --left-out is of one address, and --from takes a file of values.",
            f"Type:  bedplate measure ADDRESS --left-out {quoted(left_out)}",
        )


def taken(job: Job, requests: list[Request], answers: Answers) -> list[AnyEntry]:
    """Return the entries that record some requests, once the rules have let them pass."""
    entries: list[AnyEntry] = []
    gauges = context.cabinet().gauges()
    for request in requests:
        found = _with_usual_gauge(job, request, gauges, say=not answers)
        try:
            entries += readings_to_record(job, found, answers, gauges)
        except QuestionError:
            # Nothing is asked of a reading that may not be made at all.
            sure = found._replace(repeat="again", yes=True)
            permitted(job, readings_to_record(job, sure, answers, gauges))
            raise
    return permitted(job, entries)


def _with_usual_gauge(
    job: Job, request: Request, gauges: Mapping[str, Mapping[str, str]], *, say: bool
) -> Request:
    """Return a request with the gauge it is surely on, where none was named.

    Args:
        job: the job as it stands.
        request: one that may name a gauge.
        gauges: the user's.
        say: whether a gauge taken is said, on stderr; not a second time, after a question.
    """
    if request.gauge is not None or request.left_out is not None:
        return request
    selection = selected(job, request)
    if selection.mark is not None:
        return request
    usual = context.settings().usual_gauge
    found = usual_gauge(job, selection.spots[0], gauges, usual)
    if found is None:
        return request
    name, why = found
    if say:
        context.screen().err(f"gauge {visible(name)}: {why}.")
    return request._replace(gauge=name)


def correct(
    entry: Annotated[
        str | None, typer.Argument(metavar="ENTRY", help="Number of the reading.")
    ] = None,
    values: Annotated[
        list[str] | None, typer.Argument(metavar="VALUE...", help="What it should be.")
    ] = None,
    *,
    yes: Yes = False,
    at: At = None,
    note: Note = None,
) -> None:
    """Strike a reading and put the right one.

    Gauge and temperature stay those of the reading that is struck. Alone it lists the latest.

    Examples:
      bedplate correct 13 1.0002
      bedplate correct 9 19.057 mm --note "read the wrong line"
    """
    if entry is None:
        from bedplate.cli.offered import list_entries  # noqa: PLC0415 - loaded when nothing is given

        list_entries("correct", "VALUE", readings=True)
        return
    if not values:
        raise NotUnderstoodError(
            "Not recorded. There is no value.", f"Type:  bedplate correct {entry} VALUE"
        )
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
            gauge_temp=wrong.gauge_temp, repeat="again", yes=yes, corrects=wrong.n,
            note=note, done_at=when or wrong.done_at, at=at,
        )  # fmt: skip
        proposed = readings_to_record(job, request, answers, context.cabinet().gauges())
        # It is the same part in the same life that was read, whatever has become of it since;
        # one left out would be struck for the value that comes in its place: it is already.
        same = [
            entry.model_copy(update={"on": wrong.on}) if isinstance(entry, Reading) else entry
            for entry in proposed
            if not isinstance(entry, Strike)
        ]
        return permitted(job, [strike, *same])

    tell(record(corrected), "correct")


def _reading_at(job: Job, typed: str) -> Reading:
    """Return the live reading with the number typed.

    Raises:
        NotUnderstoodError: no such entry, no reading, or one struck already.
    """
    found = job.entries[entry_number(job, typed, "Not recorded.") - 1]
    if not isinstance(found, Reading):
        raise NotUnderstoodError(
            f"Not recorded. Entry {found.n} is no reading.",
            "See them:  bedplate log"
            if found.kind in UNSTRIKABLE
            else f"Type:  bedplate strike {found.n} --why slip",
        )
    if found.n in job.struck:
        raise NotUnderstoodError(
            f"Not recorded. Entry {found.n} was struck by entry {job.struck[found.n]}.",
            f"Type:  bedplate measure {found.address} VALUE",
        )
    return found
