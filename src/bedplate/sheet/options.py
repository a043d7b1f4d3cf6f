"""What may be given when a row is added or changed: the keys of its table as options."""

from __future__ import annotations

from typing import Literal, NamedTuple

Form = Literal[
    "text", "name", "names", "along", "flag", "count", "nominal", "size", "adjust", "stages",
    "spends", "leaves", "axis", "band", "part of band",
]  # fmt: skip
"""How the text of an option becomes the value of its key."""


class Option(NamedTuple):
    """One option.

    Attributes:
        key: the key of the sheet that it gives.
        help: one line for people.
        form: how its text becomes the key's value.
    """

    key: str
    help: str
    form: Form = "text"

    @property
    def name(self) -> str:
        """The option as typed, without its two hyphens."""
        return self.key.replace("_", "-")

    @property
    def is_flag(self) -> bool:
        """Whether it stands alone, without a value."""
        return self.form == "flag"

    @property
    def is_many(self) -> bool:
        """Whether it may be given several times."""
        return self.form in _MANY


_MANY = frozenset(
    {"names", "size", "adjust", "stages", "spends", "leaves", "axis", "band", "part of band"}
)
_NAME = Option("name", "What people call it.")
_POSITIONS = Option("positions", "Axes (cyl/port), or names (driver,idler), or none.", "along")
_DUE = Option("due", "Moment by which it must be so; the first unless said.")
_CAUTION = Option("caution", "What can hurt; shown before the work.")

OPTIONS: dict[str, tuple[Option, ...]] = {
    "axis": (Option("names", "Names along it: a,b,c  or with coordinates: 1=0,2=80", "axis"),),
    "component": (
        _NAME,
        _POSITIONS,
        Option("material", "Such as steel, bronze, aluminium 356."),
        Option("expansion", "Per degC, where it is known better: 11.7e-6"),
        Option("part_number", "The maker's number."),
        Option("renew", "Always new: no decision and no as-found reading asked.", "flag"),
        Option("keep", "Matched: stays with that component.", "name"),
    ),
    "feature": (
        Option("of", "Component it is measured on, or several: gear,body", "names"),
        _NAME,
        _POSITIONS,
        Option("stations", "Where on it: axes (depth/way), or names (a,b).", "along"),
        Option("unit", "Of its figures; the sheet's unless said."),
        Option("nominal", "A figure, or by name: in=7.980,ex=7.965", "nominal"),
        Option("how", "Conditions, shown at the prompt."),
        Option("gauge", "Kind of gauge expected."),
        Option("when", "Fastener sets that must be tight at that moment.", "names"),
        Option("signed", "May be below nought: protrusion, height.", "flag"),
    ),
    "size": (
        _NAME,
        Option("nominal", "Nominals once made to it: PJ=47.490,PB=47.530", "size"),
    ),
    "fit": (
        _NAME,
        Option("kind", "clearance, interference, size, wear, form or direct."),
        Option("stack", 'What it is worked out from: "D - H"'),
        Option("spread", "Feature whose greatest less least it is."),
        Option("along", "Axis a spread is taken along.", "name"),
        Option("leave", "Names a spread leaves out.", "names"),
        Option("flatness", "Feature whose points are held against a plane."),
        Option("method", "least squares or minimum zone, of a flatness."),
        Option("unit", "Unit it is shown in."),
        Option("band", "Limits: 2..4thou, ..4thou; several with --for each.", "band"),
        Option("source", "Where the limits come from: page, drawing, person.", "part of band"),
        Option("wear", "Wider limits for used parts: ..6thou", "part of band"),
        Option("aim", "The value wished for.", "part of band"),
        Option("from", "nominal: the limits are deviations from it.", "part of band"),
        Option("for", "Position, station or size the band is for: ex", "part of band"),
        Option("judge", "every, mean, tightest or loosest."),
        Option("rule", "simple or guarded."),
        Option("adjust", '"D smaller" or "TW -1 2.310..2.410 step 0.050 mm"', "adjust"),
        Option("same_as", "Fit that is another way to the same quantity.", "name"),
        Option("wear_for", "any: wear limits hold for new parts too."),
        _DUE,
    ),
    "fasteners": (
        _NAME,
        _POSITIONS,
        Option("count", "How many there are.", "count"),
        Option("order", "Order of tightening: 1,3,2,4", "names"),
        Option("stages", '"16..18 lbf*ft"; once for each stage, in turn.', "stages"),
        Option("source", "Where the stages come from.", "part of band"),
        Option("threads", "Such as oiled, dry."),
        Option("lock", "Kind of lock: tab washer, split pin, wire."),
        Option("holds", "Components clamped by it.", "names"),
        Option("prove", "Proofs that must stand before it is locked.", "names"),
        Option("spends", "What a state uses up: tight:gasket=1", "spends"),
        Option("final", "tight or locked: how it is left."),
        _CAUTION,
    ),
    "proof": (
        Option("text", "What is to be shown."),
        _POSITIONS,
        Option("when", "Fastener sets that must be tight.", "names"),
        Option("fit", "Fit by which it passes.", "name"),
        Option("hand", "another (a second person) or customer."),
        Option("times", "How many looks it takes.", "count"),
        _DUE,
    ),
    "step": (
        Option("text", "What is to be done."),
        Option("phase", "strip or build."),
        _POSITIONS,
        Option("after", "Steps that come before it.", "names"),
        Option("leaves", "State it leaves a set in: M=tight", "leaves"),
        Option("hold", "Proofs that must stand before it is done.", "names"),
        Option("wait", "What must pass before what follows: 12 h"),
        _DUE,
        _CAUTION,
    ),
}
"""The options of each noun, in the order of the sheet's keys."""
