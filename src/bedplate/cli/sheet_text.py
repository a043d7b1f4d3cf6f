"""A build sheet as people read it on a screen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bedplate.cli.columns import Column, table
from bedplate.cli.screen import Screen, wrapped
from bedplate.metrology.axes import Axis
from bedplate.sheet.layout import Layout, Named
from bedplate.sheet.model import (
    NOUNS,
    Adjust,
    Along,
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
    if judged := [*_listed("judged:", sheet.judge), *_listed("rule:", sheet.rule)]:
        lines += wrapped(f"Fits, unless they say otherwise: {'; '.join(judged)}")
    if sheet.axes:
        rows = [[visible(name), "", visible(_run(names))] for name, names in sheet.axes.items()]
        lines += ["", "Axes", *_lines_of(rows, screen)]
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
    return _lines_of(rows, screen)


def _lines_of(rows: Sequence[Sequence[str]], screen: Screen) -> list[str]:
    columns = [Column("", head=True), Column("", head=True), Column("", bare=True)]
    return table(columns, rows, screen.width, plain=screen.plain)[0 if screen.plain else 1 :]


def _run(names: Iterable[str] | Mapping[str, str]) -> str:
    """Return the names along an axis, each with its coordinate where it has one."""
    if isinstance(names, Mapping):
        return ", ".join(f"{name} at {figure}" for name, figure in names.items())
    return " ".join(names)


def _axes(axes: Sequence[Axis], written: Along | None, before: str = "") -> list[str]:
    """Return the axes that something has: those written in place with their coordinates."""
    here = written if isinstance(written, dict) else {}
    return [f"{before}{axis.name}: {_run(here.get(axis.name, axis.names))}" for axis in axes]


def _facts(named: Named, row: Row) -> list[str]:
    written = None if isinstance(row, Size | Fit) else row.positions
    where = _axes(named.positions, written)
    match row:
        case Component():
            return [*where, *_component(row)]
        case Feature():
            at = _axes(named.stations, row.stations, "@ ")
            return [f"on {', '.join(row.components)}", *where, *at, *_feature(row)]
        case Size():
            return [f"{tag} {figure}" for tag, figure in row.nominal.items()]
        case Fit():
            return _fit(row)
        case Fasteners():
            return [*where, *_fasteners(row)]
        case Proof():
            return [*where, *_proof(row)]
        case Step():
            return [*where, *_step(row)]


def _listed(word: str, names: tuple[str, ...] | str | None) -> list[str]:
    if not names:
        return []
    return [f"{word} {names if isinstance(names, str) else ', '.join(names)}".strip()]


def _component(row: Component) -> list[str]:
    return [
        *_listed("of", row.material), *_listed("grows by", row.expansion),
        *_listed("number", row.part_number),
        *_listed("kept with", row.keep), *(["always new"] if row.renew else []),
    ]  # fmt: skip


def _feature(row: Feature) -> list[str]:
    nominal = row.nominal
    if isinstance(nominal, dict):
        nominal = ", ".join(f"{figure} for {name}" for name, figure in nominal.items())
    return [
        *_listed("nominal", nominal), *_listed("unit", row.unit), *_listed("with tight", row.when),
        *(["may be negative"] if row.signed else []), *_listed("gauge:", row.gauge),
        *([row.how] if row.how else []),
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
        formed += f" without {', '.join(row.leave)}" if row.leave else ""
    else:
        formed = f"flatness of {row.flatness}" + (f" by {row.method}" if row.method else "")
    same = [f"another way to {row.same_as}"] if row.same_as else []
    bands = [_limits(limits) for limits in row.bands] or ([] if same else ["no limits"])
    return [
        *_listed("", row.kind), formed, *_listed("unit", row.unit), *same, *bands,
        *_listed("judged:", row.judge), *_listed("rule:", row.rule),
        *(["wear limits hold for any part"] if row.wear_for else []),
        *(_adjust(one) for one in row.adjust or ()), *_listed("due", row.due),
    ]  # fmt: skip


def _adjust(one: Adjust) -> str:
    sizes = one.sizes if isinstance(one.sizes, str) else ", ".join(one.sizes or ())
    said = f"brought in by {one.feature}"
    said += f" made {one.make}" if one.make else ""
    said += f" in sizes {sizes}" if sizes else ""
    return said + (f", effect {one.effect}" if one.effect else "")


def _fasteners(row: Fasteners) -> list[str]:
    stages = [_limits(stage) for stage in row.stages or ()]
    spends = [
        f"{state} takes {count} {thing}"
        for state, things in (row.spends or {}).items()
        for thing, count in things.items()
    ]
    return [
        *([f"{row.count} of them"] if row.count else []),
        *_listed("order", row.order), *_listed("to", tuple(stages)), *_listed("lock:", row.lock),
        *_listed("holds", row.holds), *_listed("locked after", row.prove), *spends,
        *_listed("threads", row.threads), *_listed("left", row.final),
        *([f"CAUTION {row.caution}"] if row.caution else []),
    ]  # fmt: skip


def _proof(row: Proof) -> list[str]:
    return [
        *(_listed("by fit", row.fit) if row.text else []), *_listed("with tight", row.when),
        *([f"{row.times} times"] if row.times else []), *_listed("by", row.hand),
        *_listed("due", row.due),
    ]  # fmt: skip


def _step(row: Step) -> list[str]:
    leaves = [f"{tag} {state}" for tag, state in (row.leaves or {}).items()]
    return [
        row.phase or "build", *_listed("after", row.after), *_listed("leaves", tuple(leaves)),
        *_listed("held by", row.hold), *_listed("wait", row.wait), *_listed("due", row.due),
        *([f"CAUTION {row.caution}"] if row.caution else []),
    ]  # fmt: skip
