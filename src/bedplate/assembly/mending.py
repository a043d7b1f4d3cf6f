"""What would mend a fit that is out: the remedy of its sheet, else what becomes of its parts."""

from __future__ import annotations

from bedplate.assembly.state import Assembly
from bedplate.assess.geometry import tags_of
from bedplate.assess.result import FitResult
from bedplate.record.entries import Decision
from bedplate.sheet.layout import Place
from bedplate.sheet.model import Component, Feature, Fit
from bedplate.text import folded

CONCEDE = "bedplate concede {} --accepted-by NAME --why REASON"
CARRIED_OUT = {"rework": "reworked", "replace": "new", "scrap": "new"}
"""The change that carries out a decision."""


def pending(assembly: Assembly, place: Place) -> str | None:
    """Return the change that a decision asks for and that has not happened, None without one."""
    decided = assembly.job.decided.get(place)
    if decided is None or decided.decision not in CARRIED_OUT:
        return None
    done = any(n > decided.n for n in assembly.changes.get(place, ()))
    return None if done else CARRIED_OUT[decided.decision]


def places_of(assembly: Assembly, fit: FitResult) -> list[Place]:
    """Return the places that a fit rests on at its position, each once."""
    spots = assembly.rests_on(fit)
    found = (p for spot in spots for p in assembly.layout.rests_on(spot.tag, spot.position))
    return list(dict.fromkeys(found))


def command_to_mend(assembly: Assembly, fit: FitResult) -> str:
    """Return the command that leads on from a fit that does not pass.

    It is the remedy, where one can be worked out: of a stack, or where the sheet says how the fit
    may be brought in. Else it is the change decided on, or the decision on the first of its parts
    that does not serve; where all serve, only a concession is left.
    """
    if fit.fit.adjust or fit.fit.stack is not None:
        return f"bedplate remedy {fit.tag}"
    places = places_of(assembly, fit)
    for place in places:
        change = pending(assembly, place)
        if change is not None:
            return f"bedplate change {place} {change}"
    for place in places:
        if not assembly.layout.row(place.component, Component).renew:
            decision = likely(assembly, place)
            if decision != "reuse":  # to use a part again brings nothing in
                return f"bedplate decide {place} {decision} --why REASON"
    return CONCEDE.format(fit.address)


def likely(assembly: Assembly, place: Place) -> Decision:
    """Return the decision to offer on a part.

    ``reuse``, unless a fit that rests on it is out, nobody has accepted that, and no change
    decided on may still bring it in, or another part is what the sheet chooses to a size for it
    (a shim). Then ``rework`` where the sheet says that metal of the part may go or come
    (``adjust`` with ``make``, a size named for its feature), else ``replace`` of a part that does
    not serve the same fit well at another position.
    """
    accepted = {folded(c.what) for c in assembly.waiting.concessions}
    for fit in assembly.fits:
        if fit.verdict not in ("out", "out-close") or folded(fit.address) in accepted:
            continue
        places = places_of(assembly, fit)
        if place not in places or any(pending(assembly, other) for other in places):
            continue
        chosen = _chosen_to_size(assembly, fit.fit)
        if chosen and place.component not in chosen:
            continue
        if _can_be_worked(assembly, fit, place):
            return "rework"
        if not _serves_well_elsewhere(assembly, fit, place):
            return "replace"
    return "reuse"


def _serves_well_elsewhere(assembly: Assembly, fit: FitResult, place: Place) -> bool:
    """Tell whether the same fit passes at another position that rests on the part too."""
    return any(
        other.tag == fit.tag and other.passes and place in places_of(assembly, other)
        for other in assembly.fits
    )


def _chosen_to_size(assembly: Assembly, fit: Fit) -> set[str]:
    """Return the components that a fit, or the other way to its quantity, is brought in with."""
    adjusts = [*(fit.adjust or ())]
    for other in assembly.job.sheet.fit:
        twins = {folded(name) for name in (other.same_as, fit.same_as) if name is not None}
        if twins & {folded(fit.tag), folded(other.tag)}:
            adjusts += other.adjust or ()
    return {
        component
        for adjust in adjusts
        if adjust.sizes is not None
        for component in _components(
            assembly, assembly.layout.named(adjust.feature.strip(), "feature").name
        )
    }


def _can_be_worked(assembly: Assembly, fit: FitResult, place: Place) -> bool:
    own = {
        name
        for name in tags_of(assembly.layout, fit.fit)
        if place.component in _components(assembly, name)
    }
    worked = [adjust.feature for adjust in fit.fit.adjust or () if adjust.make is not None]
    sized = [tag for size in assembly.job.sheet.size for tag in size.nominal]
    named = {assembly.layout.named(tag.strip(), "feature").name for tag in (*worked, *sized)}
    return bool(own & named)


def _components(assembly: Assembly, tag: str) -> set[str]:
    row = assembly.layout.row(tag, Feature)
    return {assembly.layout.named(name, "component").name for name in row.components}
