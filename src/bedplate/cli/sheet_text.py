"""A build sheet as people read it on a screen."""

from __future__ import annotations

from bedplate.cli.columns import Column, table
from bedplate.cli.screen import Screen, wrapped
from bedplate.sheet.layout import Layout, Named
from bedplate.sheet.model import (
    NOUNS,
    Component,
    Fasteners,
    Feature,
    Fit,
    Limits,
    Proof,
    Row,
    Sheet,
    Size,
    Step,
    name_of,
)
from bedplate.text import visible

TITLES = {
    "component": "Components", "feature": "Features", "size": "Sizes", "fit": "Fits",
    "fasteners": "Fasteners", "proof": "Proofs", "step": "Steps",
}  # fmt: skip


def sheet_lines(sheet: Sheet, screen: Screen) -> list[str]:
    """Return the sheet as lines: what it is of, then a table for each kind of row."""
    layout = Layout(sheet)
    head = [sheet.title or "No title", f"unit {sheet.unit or 'not said'}"]
    head += [f"revision {sheet.revision}"] if sheet.revision else []
    head += [f"limits from {sheet.source}"] if sheet.source else []
    lines = wrapped(visible(", ".join(head)))
    lines += wrapped(visible(f"Signed for: {', '.join(sheet.signed_for)}"))
    for noun in NOUNS:
        if sheet.rows(noun):
            lines += ["", TITLES[noun], *_table(layout, sheet, noun, screen)]
    return lines


def _table(layout: Layout, sheet: Sheet, noun: str, screen: Screen) -> list[str]:
    rows = []
    for row in sheet.rows(noun):
        named = layout.named(name_of(row))
        name = row.title if row.title != name_of(row) else ""
        rows.append([visible(name_of(row)), visible(name), visible("; ".join(_facts(named, row)))])
    columns = [Column("", head=True), Column("", head=True), Column("", bare=True)]
    return table(columns, rows, screen.width, plain=screen.plain)[0 if screen.plain else 1 :]


def _facts(named: Named, row: Row) -> list[str]:
    where = [f"{axis.name}: {' '.join(axis.names)}" for axis in named.positions]
    match row:
        case Component():
            return [*where, *_component(row)]
        case Feature():
            at = [f"@ {axis.name}: {' '.join(axis.names)}" for axis in named.stations]
            return [f"on {', '.join(row.components)}", *where, *at, *_feature(row)]
        case Size():
            return [f"{tag} {figure}" for tag, figure in row.nominal.items()]
        case Fit():
            return _fit(row)
        case Fasteners():
            return [*where, *_fasteners(row)]
        case Proof():
            return [*where, *_listed("with tight", row.when), *_listed("by", row.hand)]
        case Step():
            return [*where, *_step(row)]


def _listed(word: str, names: tuple[str, ...] | str | None) -> list[str]:
    if not names:
        return []
    return [f"{word} {names if isinstance(names, str) else ', '.join(names)}"]


def _component(row: Component) -> list[str]:
    return [
        *_listed("of", row.material), *_listed("number", row.part_number),
        *_listed("kept with", row.keep), *(["always new"] if row.renew else []),
    ]  # fmt: skip


def _feature(row: Feature) -> list[str]:
    nominal = row.nominal
    if isinstance(nominal, dict):
        nominal = ", ".join(f"{name} {figure}" for name, figure in nominal.items())
    return [
        *_listed("nominal", nominal), *_listed("in", row.unit), *_listed("with tight", row.when),
        *_listed("gauge:", row.gauge), *([row.how] if row.how else []),
    ]  # fmt: skip


def _limits(limits: Limits) -> str:
    said = limits.limits
    said += f", worn {limits.wear}" if limits.wear else ""
    said += f", aim {limits.aim}" if limits.aim else ""
    said += " from nominal" if limits.from_ else ""
    said += f" for {limits.for_}" if limits.for_ else ""
    return said + (f" ({limits.source})" if limits.source else "")


def _fit(row: Fit) -> list[str]:
    if row.stack is not None:
        formed = row.stack
    elif row.spread is not None:
        formed = f"spread of {row.spread} along {row.along}"
    else:
        formed = f"flatness of {row.flatness}"
    bands = [_limits(limits) for limits in row.bands] or ["no limits"]
    same = [f"another way to {row.same_as}"] if row.same_as else []
    return [formed, *(same or bands), *_listed("due", row.due)]


def _fasteners(row: Fasteners) -> list[str]:
    stages = [_limits(stage) for stage in row.stages or ()]
    spends = [
        f"{state} takes {count} {thing}"
        for state, things in (row.spends or {}).items()
        for thing, count in things.items()
    ]
    return [
        *_listed("order", row.order), *_listed("to", tuple(stages)), *_listed("lock:", row.lock),
        *_listed("holds", row.holds), *_listed("locked after", row.prove), *spends,
        *_listed("threads", row.threads), *([f"CAUTION {row.caution}"] if row.caution else []),
    ]  # fmt: skip


def _step(row: Step) -> list[str]:
    leaves = [f"{tag} {state}" for tag, state in (row.leaves or {}).items()]
    return [
        row.phase or "build", *_listed("after", row.after), *_listed("leaves", tuple(leaves)),
        *_listed("held by", row.hold), *_listed("wait", row.wait), *_listed("due", row.due),
        *([f"CAUTION {row.caution}"] if row.caution else []),
    ]  # fmt: skip
