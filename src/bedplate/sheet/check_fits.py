"""Fits: what each is, whether it can be formed, and how it may be brought in."""

from __future__ import annotations

from functools import partial

from bedplate.metrology.axes import Shape
from bedplate.sheet.check_limits import check_bands
from bedplate.sheet.choices import read_choices
from bedplate.sheet.line_index import Path
from bedplate.sheet.model import Adjust, Feature, Fit
from bedplate.sheet.quantity import Quantity, dimension_agrees, quantity_of, shape_of, swept_axis
from bedplate.sheet.rings import ring_in
from bedplate.sheet.scope import Entry, Scope, a, dimension_of, instead
from bedplate.text import listed, quoted
from bedplate.units import dimension, read_exact, unit_named

_FORMS = ("stack", "spread", "flatness")


def check_fits(scope: Scope) -> None:
    """Check every fit, then what they say of each other."""
    quantities: dict[str, Quantity] = {}
    for entry in scope.of("fit"):
        if not isinstance(entry.row, Fit):
            continue
        quantity = _check_fit(scope, entry, entry.row)
        if quantity is not None and not scope.is_vague(entry.row.tag):
            quantities[entry.row.tag.casefold()] = quantity
    for entry in scope.of("fit"):
        if isinstance(entry.row, Fit):
            _check_same(scope, entry, entry.row, quantities)
    _check_same_rings(scope)


def _check_fit(scope: Scope, entry: Entry, fit: Fit) -> Quantity | None:
    if (
        fit.unit is not None
        and scope.attempt((*entry.path, "unit"), partial(unit_named, fit.unit)) is None
    ):
        fit = fit.model_copy(update={"unit": None})
    quantity = _quantity(scope, entry, fit)
    _check_keys(scope, entry, fit)
    for at, adjust in enumerate(fit.adjust or ()):
        _check_adjust(scope, (*entry.path, "adjust", at), adjust, quantity)
    check_bands(scope, entry, fit, quantity)
    check_due(scope, entry, fit.due)
    return quantity


def check_due(scope: Scope, entry: Entry, due: str | None) -> None:
    """Check that a moment named is one the job is signed for."""
    moments = scope.sheet.signed_for
    if due is None or due in moments:
        return
    if scope.sheet.moments or scope.lacks("moments"):
        help_ = instead(due, {moment: moment for moment in moments}, "moments")
        scope.fault((*entry.path, "due"), f"No moment {quoted(due)}. {help_}")


def _quantity(scope: Scope, entry: Entry, fit: Fit) -> Quantity | None:
    """Return what a fit is, None where that cannot be told, a fault noted unless hidden."""
    given = [form for form in _FORMS if getattr(fit, form) is not None]
    if len(given) != 1:
        _say_one_form(scope, entry, given)
        return None
    form = given[0]
    path: Path = (*entry.path, form)
    text = str(getattr(fit, form))
    if scope.is_hidden(text) or scope.is_vague(fit.tag):
        return None
    if form != "stack":
        shape = _feature(scope, path, text)
        if shape is None:
            return None
        if form == "spread" and not _check_spread(scope, entry, fit, shape):
            return None
    return scope.attempt(path, partial(quantity_of, scope.layout, fit))


def _say_one_form(scope: Scope, entry: Entry, given: list[str]) -> None:
    if scope.is_vague(entry.label.split(" ")[0]):
        return
    if given:
        scope.fault((*entry.path, given[1]), f"A fit has {' or '.join(given)}, not both.")
    else:
        scope.fault(
            entry.path,
            "A fit says what it is by one of these:\n"
            'stack = "D - H"     spread = "B", along = "way"     flatness = "DK"',
        )


def _feature(scope: Scope, path: Path, tag: str) -> Shape | None:
    """Return the shape of the one feature that a spread or a flatness is of."""
    found = scope.refer(path, tag.strip(), "feature")
    if found is None or not isinstance(found.row, Feature):
        return None
    return scope.attempt(path, partial(shape_of, scope.layout, found.row.tag))


def _check_spread(scope: Scope, entry: Entry, fit: Fit, shape: Shape) -> bool:
    """Check along and leave; return whether the spread can be formed."""
    sound = True
    for at, name in enumerate(fit.leave or ()):
        if all(axis.spelled(name) is None for axis in shape.axes):
            names = {own: own for axis in shape.axes for own in axis.names}
            help_ = instead(name, names, "positions and stations")
            said = f"{shape.tag} has no {quoted(name)} to leave out. {help_}"
            scope.fault((*entry.path, "leave", at), said)
            sound = False
    key = "spread" if fit.along is None else "along"
    return scope.attempt((*entry.path, key), partial(swept_axis, shape, fit)) is not None and sound


def _check_keys(scope: Scope, entry: Entry, fit: Fit) -> None:
    """Check that no key stands that means nothing for this kind of fit."""
    for key in ("along", "leave"):
        if getattr(fit, key) is not None and fit.spread is None:
            scope.fault((*entry.path, key), f"{key} belongs to a spread; this fit is none.")
    if fit.method is not None and fit.flatness is None:
        scope.fault((*entry.path, "method"), "method belongs to a flatness; this fit is none.")


# ---- adjust ---------------------------------------------------------------------------------


def _check_adjust(scope: Scope, path: Path, adjust: Adjust, quantity: Quantity | None) -> None:
    entry = scope.refer((*path, "feature"), adjust.feature, "feature")
    if adjust.make is None and adjust.sizes is None and adjust.effect is None:
        scope.fault(
            path,
            'This says not how it changes:  make = "smaller"  (or "larger"),  or\n'
            'sizes = "2.40..3.10 step 0.05 mm"',
        )
    if adjust.effect is not None:
        effect = scope.attempt((*path, "effect"), partial(read_exact, adjust.effect))
        if effect == 0:
            scope.fault((*path, "effect"), "An effect of 0 changes nothing.")
    if entry is None or not isinstance(entry.row, Feature):
        return
    unit = entry.row.unit or scope.sheet.unit
    if unit is not None and dimension_of(unit) and adjust.sizes is not None:
        scope.attempt((*path, "sizes"), partial(read_choices, adjust.sizes, unit))
    if quantity is None or scope.is_vague(entry.row.tag):
        return
    if entry.row.tag not in quantity.tags and adjust.effect is None:
        scope.fault(
            path,
            f"{entry.label} is no part of this fit; say what 1 more of it does to it:\n"
            "effect = -1",
        )
    if unit and quantity.unit and dimension_of(unit) and not dimension_agrees(unit, quantity.unit):
        scope.fault(
            (*path, "feature"),
            f"{entry.label} is {a(dimension(unit_named(unit)))} and this fit "
            f"{a(dimension(quantity.unit))}; one cannot make up for the other.",
        )


# ---- same_as --------------------------------------------------------------------------------


def _check_same(scope: Scope, entry: Entry, fit: Fit, quantities: dict[str, Quantity]) -> None:
    """Check that two ways to one quantity can be that."""
    if fit.same_as is None:
        return
    path: Path = (*entry.path, "same_as")
    other = scope.refer(path, fit.same_as, "fit")
    if other is None or not isinstance(other.row, Fit):
        return
    if other is entry:
        scope.fault(path, f"{fit.tag} names itself; name the other way to the same quantity.")
        return
    if fit.band is not None and other.row.band is not None and fit.bands != other.row.bands:
        scope.fault(path, f"{fit.tag} and {other.row.tag} share one band; give it to one of them.")
    one, two = quantities.get(fit.tag.casefold()), quantities.get(other.row.tag.casefold())
    if one is None or two is None:
        return
    if one.unit and two.unit and not dimension_agrees(one.unit, two.unit):
        scope.fault(
            path,
            f"{fit.tag} is {a(dimension(one.unit))} and {other.label} {a(dimension(two.unit))}.",
        )
    ours, theirs = _position_names(one), _position_names(two)
    if ours != theirs:
        scope.fault(
            path,
            f"positions of {fit.tag} ({_shown(one)}) and {other.row.tag} ({_shown(two)}) do not "
            "match, so they cannot be two ways to one quantity.",
        )


def _position_names(quantity: Quantity) -> dict[str, set[str]]:
    return {a.name.casefold(): {n.casefold() for n in a.names} for a in quantity.positions}


def _shown(quantity: Quantity) -> str:
    names = [f"{axis.name}: {listed(axis.names, 4)}" for axis in quantity.positions]
    return "; ".join(names) or "none"


def _check_same_rings(scope: Scope) -> None:
    links = {
        entry.row.tag: [entry.row.same_as]
        for entry in scope.of("fit")
        if isinstance(entry.row, Fit) and entry.row.same_as is not None
    }
    ring = ring_in(links)
    if ring is not None and len(ring) > 1:
        entry = scope.by_name[ring[0].casefold()]
        shown = ", ".join([*ring, ring[0]])
        scope.fault((*entry.path, "same_as"), f"These name each other in a ring: {shown}.")
