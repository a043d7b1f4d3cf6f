"""``bedplate gauge``: your gauges, and what they stood at and showed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from bedplate.assess.gauges import checked_description, described
from bedplate.assess.setting import setting_to_record
from bedplate.cabinet.gauges import KEYS
from bedplate.cli import context
from bedplate.cli.columns import Column, table
from bedplate.cli.declared import At, Note
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.store import at_hand, clock, record
from bedplate.cli.times import done_at
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, GaugeDescribed, Setting
from bedplate.record.job import Job
from bedplate.text import visible


def add(
    gauge: Annotated[str, typer.Argument(metavar="GAUGE", help="What you call it: mic1.")],
    *,
    kind: Annotated[
        str | None, typer.Option(metavar="TEXT", help="micrometer, bore gauge, report, ...")
    ] = None,
    resolution: Annotated[
        str | None, typer.Option(metavar="FIGURE", help="The step of its last digit.")
    ] = None,
    max_error: Annotated[
        str | None, typer.Option(metavar="FIGURE", help="Greatest error over its range.")
    ] = None,
    zero_error: Annotated[
        str | None, typer.Option(metavar="FIGURE", help="Greatest error of its zero.")
    ] = None,
    repeatability: Annotated[
        str | None, typer.Option(metavar="FIGURE", help="Scatter of one reading, 1 sigma.")
    ] = None,
    uncertainty: Annotated[
        str | None, typer.Option(metavar="FIGURE", help="U with k = 2, of a shop's report.")
    ] = None,
    expansion: Annotated[
        str | None, typer.Option(metavar="FIGURE", help="Per degC: 11.5e-6.")
    ] = None,
    reads: Annotated[
        str | None, typer.Option(metavar="sizes|differences", help="Sizes, unless said.")
    ] = None,
    span: Annotated[str | None, typer.Option("--range", metavar="RANGE", help='"0..1 in"')] = None,
    serial: Annotated[str | None, typer.Option(metavar="TEXT", help="Its number.")] = None,
    title: Annotated[str | None, typer.Option(metavar="TEXT", help="What it is.")] = None,
    due: Annotated[
        str | None, typer.Option(metavar="DATE", help="When it is to be calibrated again.")
    ] = None,
) -> None:
    """Describe a gauge once, for every job to come.

    A job at hand that has used it keeps the new description too, as an entry.

    Examples:
      bedplate gauge add mic1 --kind micrometer --range "0..1 in" --resolution "1 tenth"
      bedplate gauge add mic1 --resolution "1 tenth" --max-error "1 tenth" --zero-error "1 tenth"
      bedplate gauge add bore1 --kind "bore gauge" --reads differences --resolution "2 um"
    """
    said = {
        "title": title, "kind": kind, "range": span, "resolution": resolution,
        "max_error": max_error, "zero_error": zero_error, "repeatability": repeatability,
        "uncertainty": uncertainty, "expansion": expansion, "reads": reads, "serial": serial,
        "due": due,
    }  # fmt: skip
    try:
        keys = checked_description(
            gauge, {k: text for k, text in said.items() if text is not None}
        )
    except NotUnderstoodError as fault:
        raise NotUnderstoodError(f"Not added. {fault.message}", *fault.hint) from None
    kept = _kept(gauge, keys)
    if _is_used_at_hand(kept):
        entry = GaugeDescribed.model_validate({"gauge": kept})
        tell(record(lambda job, _: permitted(job, [entry])), "gauge-add")
        return
    screen = context.screen()
    if screen.as_json:
        screen.json({**context.document("gauge add"), "gauge": _whole(kept["name"], kept)})
        return
    screen.out(f"{visible(kept['name'])} described: {_told(kept)}.")


def _kept(gauge: str, keys: dict[str, str]) -> dict[str, str]:
    """Keep a description in the cabinet and return it whole; say what is no longer said."""
    cabinet = context.cabinet()
    before = cabinet.gauges()
    cabinet.keep_gauge(gauge, keys)
    kept = cabinet.gauge_described(gauge)
    lost = {k: text for k, text in before.get(kept["name"], {}).items() if k not in kept}
    if lost:
        context.screen().err(f"No longer said of {visible(kept['name'])}: {_told(lost)}")
    return kept


def _is_used_at_hand(kept: dict[str, str]) -> bool:
    """Tell whether the one job at hand knows this gauge otherwise."""
    if context.current().job is None and len(context.jobs_in(Path())) != 1:
        return False
    known = described(at_hand().job).get(kept["name"])
    return known is not None and known != kept


def _whole(name: str, keys: Mapping[str, str]) -> dict[str, str | None]:
    """Return all that can be said of a gauge, null where nothing is."""
    return {"name": name, **{key: keys.get(key) for key in KEYS}}


def _told(keys: dict[str, str]) -> str:
    told = [f"{key.replace('_', ' ')} {text}" for key, text in keys.items() if key != "name"]
    return visible(", ".join(told)) or "nothing said of it, so typed digits alone count"


def set_gauge(
    gauge: Annotated[str | None, typer.Argument(metavar="GAUGE", help="What was set.")] = None,
    shown: Annotated[
        list[str] | None, typer.Argument(metavar="SHOWN", help="What it showed.")
    ] = None,
    *,
    on: Annotated[
        str | None, typer.Option("--on", metavar="SIZE|ADDRESS", help="What it stood at; 0.")
    ] = None,
    within: Annotated[
        str | None, typer.Option("--in", metavar="GAUGE", help="The gauge it was set in.")
    ] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Record what a gauge stood at and showed.

    A zero check, or a setting.

    What it showed too much is taken off every reading from here on. Alone it lists your gauges.

    Examples:
      bedplate gauge set mic1 1.0001 --on 1in
      bedplate gauge set depth1 0
      bedplate gauge set bore1 0 --on MJ.1@front/v --in mic1
    """
    if gauge is None:
        list_gauges()
        return
    if not shown:
        raise NotUnderstoodError(
            f"Not recorded. What did {visible(gauge)} show?",
            f"Type:  bedplate gauge set {visible(gauge)} SHOWN --on SIZE",
        )
    when, said_shown = done_at(at, clock()), " ".join(shown)

    def settled(job: Job, _answers: object) -> list[AnyEntry]:
        found = setting_to_record(
            job, gauge, said_shown, on=on, within=within, cabinet=context.cabinet().gauges()
        )
        said = [
            e.model_copy(update={"note": note, "done_at": when}) if isinstance(e, Setting) else e
            for e in found
        ]
        return permitted(job, said)

    tell(record(settled), "gauge-set")


def list_gauges() -> None:
    """List your gauges.

    Examples:
      bedplate gauge list
    """
    gauges = context.cabinet().gauges()
    screen = context.screen()
    if screen.as_json:
        listed = [_whole(name, keys) for name, keys in gauges.items()]
        screen.json({**context.document("gauge list"), "gauges": listed})
        return
    if not gauges:
        screen.out("No gauge is described yet.")
        screen.err('Describe one:  bedplate gauge add mic1 --resolution "1 tenth"')
        return
    rows = [(visible(name), _told(keys)) for name, keys in gauges.items()]
    columns = (Column("gauge", head=True), Column("what is said of it", bare=True))
    for line in table(columns, rows, screen.width, plain=screen.plain):
        screen.out(line)
