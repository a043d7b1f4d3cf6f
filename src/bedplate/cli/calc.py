"""``bedplate calc``: one sum, no job."""

from __future__ import annotations

from typing import Annotated

import typer

from bedplate.assess.calculation import calculate
from bedplate.assess.rows import as_row
from bedplate.cli import context, show
from bedplate.cli.check import reach_of
from bedplate.errors import NotUnderstoodError
from bedplate.report import values


def calc(
    words: Annotated[list[str], typer.Argument(metavar="EXPR", help="In quotes, if it has *.")],
    *,
    band: Annotated[str | None, typer.Option(metavar="BAND", help="Such as 2..4thou.")] = None,
    gauge_error: Annotated[
        str | None, typer.Option(metavar="E", help="Maximum error of every figure.")
    ] = None,
) -> int:
    """Work out one clearance, no job needed.

    The exit code is 1 where it is out of its band.

    Examples:
      bedplate calc "1.0030 - 0.9979" --band 2..4thou
      bedplate calc "1.2530 - 2*0.2500 - 0.7500" --band "2..4 thou" --gauge-error "1 tenth"
      bedplate calc "(48.043 - 47.990)/2 mm"
    """
    try:
        result = calculate(" ".join(words), band, gauge_error)
    except NotUnderstoodError as fault:
        if fault.message.startswith("Nothing"):
            raise
        raise NotUnderstoodError(f"Nothing worked out. {fault.message}", *fault.hint) from None
    screen = context.screen()
    if screen.as_json:
        head = context.document("calc")
        screen.json({**head, "ok": result.passes, "hot": None, "fits": [as_row(result)]})
        return 0 if result.passes else 1
    for line in show.calc_lines(result, screen):
        screen.out(line)
    reach = reach_of(result) if result.verdict.endswith("-close") else None
    if reach is not None:
        shown = show.preferred([result], screen)[0]
        screen.err(f"It could be {values.length_shown(shown, reach, draw=screen.can_draw)}.")
    return 0 if result.passes else 1
