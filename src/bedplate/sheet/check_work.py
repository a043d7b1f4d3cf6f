"""The work: fastener sets, proofs, steps, and what each waits for."""

from __future__ import annotations

from functools import partial

from bedplate.sheet.check_fits import check_due
from bedplate.sheet.check_limits import check_stage
from bedplate.sheet.model import Fasteners, Proof, Step
from bedplate.sheet.rings import ring_in
from bedplate.sheet.scope import Entry, Scope
from bedplate.text import counted
from bedplate.units import read_duration


def check_work(scope: Scope) -> None:
    """Check sets, proofs and steps."""
    for entry in scope.entries:
        if isinstance(entry.row, Fasteners):
            _check_set(scope, entry, entry.row)
        elif isinstance(entry.row, Proof):
            _check_proof(scope, entry, entry.row)
        elif isinstance(entry.row, Step):
            _check_step(scope, entry, entry.row)
    _check_order_of_steps(scope)


def _check_set(scope: Scope, entry: Entry, fasteners: Fasteners) -> None:
    scope.refer_all((*entry.path, "holds"), fasteners.holds, "component")
    scope.refer_all((*entry.path, "prove"), fasteners.prove, "proof")
    for at, stage in enumerate(fasteners.stages or ()):
        check_stage(scope, (*entry.path, "stages", at), stage)
    _check_count(scope, entry, fasteners)
    if fasteners.lock or scope.is_vague(fasteners.tag):
        return
    if fasteners.final == "locked":
        scope.fault((*entry.path, "final"), _no_lock(entry, "it cannot end up locked"))
    if "locked" in (fasteners.spends or {}):
        scope.fault(
            (*entry.path, "spends", "locked"), _no_lock(entry, "nothing is spent by locking it")
        )


def _no_lock(entry: Entry, so: str) -> str:
    return f'{entry.label} has no lock, so {so}. Say what locks it:\nlock = "tab washer"'


def _check_count(scope: Scope, entry: Entry, fasteners: Fasteners) -> None:
    order = fasteners.order
    if order is None:
        return
    if not order:
        scope.fault((*entry.path, "order"), 'This order is empty:  order = ["1", "3", "2", "4"]')
    seen: set[str] = set()
    for name in order:
        if name.casefold() in seen:
            scope.fault((*entry.path, "order"), f'"{name}" stands twice in this order.')
        seen.add(name.casefold())
    if order and fasteners.count is not None and fasteners.count != len(order):
        named = counted(len(order), "fastener")
        scope.fault(
            (*entry.path, "count"), f"count is {fasteners.count}, and order names {named}."
        )


def _check_proof(scope: Scope, entry: Entry, proof: Proof) -> None:
    scope.refer_all((*entry.path, "when"), proof.when, "fasteners")
    if proof.fit is not None:
        scope.refer((*entry.path, "fit"), proof.fit, "fit")
    elif not (proof.text or "").strip() and not scope.is_vague(proof.tag):
        scope.fault(
            entry.path,
            'A proof says what is to be proved:  text = "Turns freely by hand"\n'
            'or by which fit it passes:  fit = "EFL"',
        )
    check_due(scope, entry, proof.due)


def _check_step(scope: Scope, entry: Entry, step: Step) -> None:
    if not step.text.strip():
        scope.fault((*entry.path, "text"), "The text is empty: say what is to be done.")
    scope.refer_all((*entry.path, "after"), step.after, "step")
    scope.refer_all((*entry.path, "hold"), step.hold, "proof")
    for name, state in (step.leaves or {}).items():
        other = scope.refer((*entry.path, "leaves", name), name, "fasteners")
        if other is None or not isinstance(other.row, Fasteners):
            continue
        if state == "locked" and not other.row.lock and not scope.is_vague(name):
            scope.fault(
                (*entry.path, "leaves", name),
                f"{other.label} has no lock, so it is never locked. It can be left tight.",
            )
    if step.wait is not None:
        scope.attempt((*entry.path, "wait"), partial(read_duration, step.wait))
    check_due(scope, entry, step.due)


def _check_order_of_steps(scope: Scope) -> None:
    links = {
        entry.row.id: list(entry.row.after or ())
        for entry in scope.of("step")
        if isinstance(entry.row, Step)
    }
    ring = ring_in(links)
    if ring is None:
        return
    entry = scope.by_name[ring[0].casefold()]
    if len(ring) == 1:
        text = f"{ring[0]} waits for itself."
    else:
        text = f"These steps wait for each other: {', '.join([*ring, ring[0]])}."
    scope.fault((*entry.path, "after"), text)
