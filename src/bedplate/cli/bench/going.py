"""Going somewhere: a place, a part, a fit, a step, a set, a proof; and what is asked there."""

from __future__ import annotations

from collections.abc import Sequence

from bedplate.assess.limits import feature_unit
from bedplate.assess.request import Request
from bedplate.cli.bench import heads
from bedplate.cli.bench.answers import Answer, values_in
from bedplate.cli.bench.questions import put_request
from bedplate.cli.bench.state import Bench
from bedplate.cli.bench.task import Task
from bedplate.cli.bench.walk import Walk
from bedplate.cli.show import fit_lines
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.sheet.layout import Named, joined
from bedplate.text import listed, near_or_list, quoted, visible

WORK = ("step", "fasteners", "proof")
"""What is done at an address, and not read."""


def keep_to(bench: Bench, walk: Walk, what: Sequence[str]) -> None:
    """Take up what the command was asked for: readings, steps, sets, proofs.

    Raises:
        NotUnderstoodError: something is called so nowhere on the sheet.
    """
    layout = bench.job.layout
    spots: list[Spot] = []
    for address in what:
        named = layout.find(tag_of(address))
        if named is None or named.noun == "size":
            names = [name for name in layout.names() if layout.named(name).noun != "size"]
            raise NotUnderstoodError(
                f"Nothing done. There is nothing called {quoted(tag_of(address))}.",
                near_or_list(address, names, "There are"),
            )
        if named.noun in WORK:
            for position in reversed(layout.select(address, named.noun).positions):
                walk.go_to(named.noun, named.name, position)
        else:
            spots += bench.course.in_order(spots_of(bench, named, address))
    if what:
        bench.keep_to(spots)


def go(bench: Bench, walk: Walk, answer: Answer) -> Task | None:
    """Go to an address, or record there what stands behind it.

    Returns:
        A question that stands in the way of recording, None where none does.

    Raises:
        NotUnderstoodError: there is no such place, or nothing can stand behind it.
    """
    named = bench.job.layout.named(tag_of(answer.address))
    if named.noun == "feature":
        return _to_feature(bench, answer)
    if named.noun in WORK:
        return _to_work(bench, walk, named, answer)
    if answer.rest:
        raise NotUnderstoodError(
            f"Not recorded. {visible(named.name)} is no place that a value can be read at."
        )
    _to_readings(bench, named, answer.address)
    return None


def tag_of(address: str) -> str:
    """Return the name that an address begins with.

    >>> tag_of("H.driver@b"), tag_of("D@12")
    ('H', 'D')
    """
    return address.partition("@")[0].partition(".")[0]


def _to_feature(bench: Bench, answer: Answer) -> Task | None:
    try:
        spots = bench.job.select(answer.address).spots
    except NotUnderstoodError as unknown:
        fate = "Not recorded. " if answer.rest else ""
        raise NotUnderstoodError(f"{fate}{unknown.message}", *unknown.hint) from None
    if not answer.rest:
        due = set(bench.course.due)
        bench.course.go_to(next((spot for spot in spots if spot in due), spots[0]))
        return None
    unit = feature_unit(bench.job, spots[0].tag)
    request = Request(
        address=answer.address, values=tuple(values_in(answer.rest, unit)),
        gauge=bench.gauges.of(bench.job, spots[0]), temp=bench.run.temp,
    )  # fmt: skip
    bench.run.elsewhere = True
    return put_request(bench, request, spots[0])


def _to_work(bench: Bench, walk: Walk, named: Named, answer: Answer) -> Task | None:
    """Go to a step, a set or a proof; a word behind it is answered there at once."""
    positions = bench.job.layout.select(answer.address, named.noun).positions
    if len(positions) > 1 and named.noun != "step":
        places = [joined(named.name, position) for position in positions]
        raise NotUnderstoodError(
            f"Nothing done. There are several: {listed(places)}.", f"Type  {places[0]}"
        )
    for position in reversed(positions):
        walk.go_to(named.noun, named.name, position)
    task = walk.wanted() if answer.rest else None
    word = answer.rest.partition(" ")[0].casefold()
    return task.take(answer.rest) if task is not None and word in task.words else None


def _to_readings(bench: Bench, named: Named, address: str) -> None:
    """Go to the first reading due on a component, or of a fit; say how a fit stands."""
    spots = spots_of(bench, named, address)
    due = [spot for spot in bench.course.due if spot in spots]
    if named.noun == "fit":
        results = [fit for fit in bench.fits if fit.tag == named.name]
        bench.out(heads.under(fit_lines(results, bench.screen), bench.screen))
    if due:
        bench.course.go_to(due[0])
    elif named.noun != "fit":
        raise NotUnderstoodError(f"Nothing is due on {visible(address)} just now.")


def spots_of(bench: Bench, named: Named, address: str) -> set[Spot]:
    """Return the addresses that a feature, a component or a fit stands for.

    Raises:
        NotUnderstoodError: there is no such position.
    """
    layout = bench.job.layout
    if named.noun == "feature":
        return set(bench.job.select(address).spots)
    if named.noun == "fit":
        place = address.partition(".")[2].casefold()
        return {
            spot
            for fit in bench.fits
            if fit.tag == named.name and (not place or (fit.place or "").casefold() == place)
            for text in fit.missing
            for spot in layout.select(text, "feature").spots
        }
    positions = layout.select(address, "component").positions
    places = {joined(named.name, position) for position in positions}
    return {
        spot
        for tag in layout.names("feature")
        for spot in layout.select(tag, "feature").spots
        if places & {str(place) for place in layout.rests_on(tag, spot.position)}
    }
