"""What may not go on yet: held by something put off, or asked about by a finding."""

from __future__ import annotations

from bedplate.assembly.state import Assembly
from bedplate.assembly.words import called, until_words
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Finding
from bedplate.record.waiting import PutOff
from bedplate.sheet.layout import Place, Selection, Setting
from bedplate.text import quoted, visible


def _selection(assembly: Assembly, address: str | None) -> Selection | None:
    if address is None:
        return None
    try:
        return assembly.layout.select(address)
    except NotUnderstoodError:
        return None


def _names(selection: Selection | None, name: str, position: Setting) -> bool:
    return (
        selection is not None and selection.named.name == name and position in selection.positions
    )


def holder(assembly: Assembly, name: str, position: Setting) -> PutOff | None:
    """Return what holds a set, step, proof or component at a position, None if nothing does."""
    return next(
        (
            item
            for item in assembly.waiting.put_off
            if _names(_selection(assembly, item.holds), name, position)
        ),
        None,
    )


def holder_of_reading(assembly: Assembly, spot: Spot) -> PutOff | None:
    """Return what holds an address: itself, its feature, or a component it is measured on."""
    for item in assembly.waiting.put_off:
        selection = _selection(assembly, item.holds)
        if selection is None:
            continue
        if selection.named.noun == "component":
            places = {Place(selection.named.name, position) for position in selection.positions}
            if places.intersection(assembly.layout.rests_on(spot.tag, spot.position)):
                return item
        elif _names(selection, spot.tag, spot.position) and spot.station in selection.stations:
            return item
    return None


def refuse_held(assembly: Assembly, name: str, position: Setting) -> None:
    """Refuse to go on with what something put off holds.

    Raises:
        RefusedError: names the entry that holds it.

    """
    item = holder(assembly, name, position)
    if item is not None:
        raise refusal(called(assembly.layout, name, position), item)


def refusal(name: str, item: PutOff) -> RefusedError:
    """Return the refusal of something that is held, by its name."""
    return RefusedError(
        f"Refused. {name} may not go on: it waits for {quoted(item.text)} (entry {item.n}), "
        f"put off until {until_words(item.until)}.",
        f"When that is over:  bedplate settle {item.n}",
    )


def unanswered(assembly: Assembly, name: str, position: Setting) -> Finding | None:
    """Return a finding that comes back at a step or set and has no answer yet."""
    return next(
        (
            finding
            for finding in assembly.waiting.findings
            if _names(_selection(assembly, finding.back), name, position)
        ),
        None,
    )


def refuse_unanswered(assembly: Assembly, name: str, position: Setting) -> None:
    """Refuse to pass the step or set at which a finding comes back, before it is answered.

    Raises:
        RefusedError: shows the finding.

    """
    finding = unanswered(assembly, name, position)
    if finding is not None:
        raise RefusedError(
            f"Refused. {called(assembly.layout, name, position)} may not go on: entry "
            f"{finding.n} comes back here and has no answer.",
            f"Found{_at(finding)}: {quoted(finding.note or finding.severity)}",
            f"Type:  bedplate settle {finding.n} --how ANSWER",
        )


def _at(finding: Finding) -> str:
    return f" at {visible(finding.place)}" if finding.place else ""
