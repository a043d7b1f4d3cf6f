"""``bedplate remedy`` and ``bedplate match``: what would bring a fit in, and what goes where."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Annotated, Any

import typer

from bedplate.assess.fits import Assessment
from bedplate.assess.matching import matched
from bedplate.assess.placing import Seat
from bedplate.assess.remedies import Remedy, remedies
from bedplate.assess.result import FitResult
from bedplate.assess.rows import as_row
from bedplate.cli import context, show
from bedplate.cli.screen import Screen, wrapped
from bedplate.cli.store import AtHand, at_hand
from bedplate.errors import NotUnderstoodError
from bedplate.report import phrases, values
from bedplate.sheet.model import Fit
from bedplate.text import near_or_list, quoted, visible
from bedplate.units import decimal_text

FitName = Annotated[str, typer.Argument(metavar="FIT", help="Its tag.")]


def _fit(found: AtHand, typed: str) -> Fit:
    tag = typed.partition(".")[0]
    named = found.job.layout.find(tag, "fit")
    if named is None:
        raise NotUnderstoodError(
            f"Nothing to say. There is no fit {quoted(tag)}.",
            near_or_list(tag, found.job.layout.names("fit"), "Fits"),
        )
    return found.job.layout.row(named.name, Fit)


def remedy(fit: FitName) -> int:
    """Show what would bring a fit in, and what it would spoil.

    The exit code is 1 where nothing that the sheet allows reaches.

    Examples:
      bedplate remedy EC
    """
    found = at_hand()
    assessment = Assessment(found.job)
    named = _fit(found, fit)
    place = fit.partition(".")[2].casefold()
    offered = [
        r
        for r in remedies(assessment, named)
        if not place or any((f.place or "").casefold() == place for f in r.fits)
    ]
    ok = _places(offered) == _places([one for one in offered if one.reaches])
    screen = context.screen()
    if screen.as_json:
        rows = [_as_row(one) for one in offered]
        head = context.document("remedy", found.name, found.job.last)
        screen.json({**head, "ok": ok, "fit": named.tag, "remedies": rows})
        return 0 if ok else 1
    if not offered:
        screen.out(f"{named.tag} is in as it stands.")
    for one in offered:
        for line in _lines(one, screen):
            screen.out(line)
    return 0 if ok else 1


def _places(offered: Iterable[Remedy]) -> set[str]:
    return {result.address for one in offered for result in one.fits}


def _as_row(one: Remedy) -> dict[str, Any]:
    return {
        "feature": one.feature,
        "make": one.make,
        "change": None if one.change is None else decimal_text(one.change),
        "size": None if one.size is None else decimal_text(one.size),
        "part": one.part,
        "unit": one.unit,
        "reaches": one.reaches,
        "fits": [as_row(result) for result in one.fits],
        "spoils": [as_row(result) for result in one.spoils],
    }


def _lines(one: Remedy, screen: Screen) -> list[str]:
    names = ", ".join(phrases.fit_name(result) for result in one.fits)
    if one.change is None:
        cannot = f"made {one.make}" if one.make else "chosen or changed"
        return [f"{one.feature}  cannot be {cannot} so that {names} comes in."]
    fits = show.preferred(one.fits, screen)
    lines = [f"{one.feature}  {_change(one, fits[0], draw=screen.can_draw)}"]
    for result in fits:
        value, verdict = show.figure_shown(result, screen), show.said(result, screen)
        said = f"{phrases.fit_name(result)}  {value}, {verdict}"
        lines += _fitting(said, screen)
    if not one.reaches:
        out = ", ".join(phrases.fit_name(result) for result in fits if not result.passes)
        within = "No size there is" if one.size is not None else "No such change alone"
        lines += wrapped(f"{within} brings {out} in.", "  ", "    ", screen.measure)
    for result in show.preferred(one.spoils, screen):
        said = f"but {phrases.fit_name(result)} would be {show.said(result, screen)}"
        lines += _fitting(said, screen)
    return lines


def _fitting(said: str, screen: Screen) -> list[str]:
    """Return a line set in, folded where a terminal is too narrow for it."""
    width = screen.width or 0
    return wrapped(said, "  ", "    ", width) if width else [f"  {said}"]


def _change(one: Remedy, fit: FitResult, *, draw: bool) -> str:
    """Return what is to be done to a figure: which part, which size, by how much.

    Args:
        one: the remedy.
        fit: the first of its fits, as it is shown.
        draw: with drawn unit signs.
    """
    change = one.change or Fraction(0)
    amount = values.distance_shown(fit, change, draw=draw)
    way = "larger" if change > 0 else "smaller"
    if one.size is None:
        return f"{amount} {way}"
    size = values.size_shown(fit, one.size, draw=draw)
    which = f"{visible(one.part)}, {size}" if one.part is not None else f"size {size}"
    return f"{which} ({amount} {way})" if change else f"{which} (as it is)"


MANY = 1_000_000
"""Arrangements above which their number is not told in figures."""


def match(fit: FitName) -> None:
    """Show which part goes where.

    The worst deviation from the aim is made least.

    Examples:
      bedplate match PC
    """
    found = at_hand()
    named = _fit(found, fit)
    seats, untried = matched(Assessment(found.job), named)
    screen = context.screen()
    if screen.as_json:
        rows = [_seat_row(seat) for seat in seats]
        screen.json(
            {
                **context.document("match", found.name, found.job.last),
                "fit": named.tag,
                "places": rows,
            }
        )
        return
    for line in _seat_lines(named, seats, screen):
        screen.out(line)
    moves = [move for seat in seats for move in seat.moves]
    if not moves:
        screen.out("All stay where they are.")
    if untried is not None:
        ways = "over a million" if untried > MANY else str(untried)
        screen.out(f"Parts of several kinds can be arranged in {ways} ways; not all were tried.")
        screen.out("This is the best that was found; there may be a better one.")
    for place, origin in moves:
        move = f"  bedplate change {place} moved --from {visible(origin)}"
        screen.err(context.to_type(move))


def _seat_row(seat: Seat) -> dict[str, Any]:
    return {
        "position": "/".join(seat.position),
        "part": seat.part,
        "stays": seat.stays,
        "deviation": decimal_text(seat.deviation),
        "unit": seat.result.unit,
        "fit": as_row(seat.result),
        "moves": [{"place": place, "from": origin} for place, origin in seat.moves],
    }


def _seat_lines(fit: Fit, seats: Sequence[Seat], screen: Screen) -> list[str]:
    lines = []
    fits = show.preferred((seat.result for seat in seats), screen)
    for seat, result in zip(seats, fits, strict=True):
        which = "stays" if seat.stays else f"takes {visible(seat.part)}"
        aim = values.deviation_shown(result, seat.deviation, draw=screen.can_draw)
        aim = f"{aim} its aim" if seat.deviation else "on its aim"
        name = f"{fit.tag} {'/'.join(seat.position)}"
        figure = f"{show.figure_shown(result, screen)}, {aim}"
        line = f"{name}  {which}  {figure}"
        if screen.plain or len(line) <= screen.measure:
            lines.append(line)
            continue
        lines += wrapped(which, f"{name}  ", width=screen.measure)
        lines += wrapped(figure, "  ", width=screen.measure)
    return lines
