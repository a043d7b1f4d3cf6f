"""The build sheet as it is written: one model for each of its tables, nothing worked out.

Figures are kept as the text that was typed (``"1.0030"``); what they mean, and how names refer to
each other, is worked out by `bedplate.sheet.layout`. Optional keys are ``None`` when absent and
are left out again when the sheet is written, so that a sheet goes into a job as it was.
"""

from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints
from typing_extensions import TypeAliasType

FORMAT = "bedplate-sheet/1"

NOUNS = ("component", "feature", "size", "fit", "fasteners", "proof", "step")
"""The tables of a sheet whose rows share one namespace, in the order of a sheet."""


def _figure_text(value: Any) -> Any:
    """Return a whole number that was typed without quotes as its text."""
    return str(value) if type(value) is int else value


# Aliases by name: pydantic works out what each of them means once, and not at every field.
Text = TypeAliasType("Text", Annotated[str, StringConstraints(max_length=4000)])
Name = TypeAliasType(
    "Name",
    Annotated[
        str, BeforeValidator(_figure_text), StringConstraints(pattern=r"^[A-Za-z0-9_-]{1,64}$")
    ],
)
Figure = TypeAliasType(
    "Figure", Annotated[str, StringConstraints(max_length=4000), BeforeValidator(_figure_text)]
)
Names = TypeAliasType("Names", tuple[Name, ...])
Coordinates = TypeAliasType("Coordinates", dict[Name, Figure])
Along = TypeAliasType("Along", Text | dict[Name, Names | Coordinates])
"""Axis names joined by ``/``, or one axis written in place."""
Flag: TypeAlias = Annotated[bool, Field(strict=True)]
Count: TypeAlias = Annotated[int, Field(strict=True, ge=1, le=100_000)]
Judge: TypeAlias = Literal["every", "mean", "tightest", "loosest"]
Rule: TypeAlias = Literal["simple", "guarded"]
Kind: TypeAlias = Literal["clearance", "interference", "size", "wear", "form", "direct"]
FinalState: TypeAlias = Literal["tight", "locked"]


class Table(BaseModel):
    """What all tables of a sheet have in common: frozen, and no key that is not known."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, defer_build=True)

    def as_json(self) -> dict[str, Any]:
        """Return the table as JSON data, absent keys left out."""
        return self.model_dump(mode="json", by_alias=True, exclude_none=True)


class Limits(Table):
    """One pair of limits with its source: a band, or a stage of tightening."""

    limits: Figure
    source: Text | None = None
    wear: Figure | None = None
    aim: Figure | None = None
    from_: Literal["nominal"] | None = Field(default=None, alias="from")
    for_: Figure | None = Field(default=None, alias="for")


class Component(Table):
    """Something the unit consists of, at one or several positions."""

    id: Name
    name: Text | None = None
    positions: Along | None = None
    material: Text | None = None
    expansion: Figure | None = None
    part_number: Text | None = None
    renew: Flag | None = None
    keep: Name | None = None

    @property
    def title(self) -> str:
        """What people call it."""
        return self.name or self.id


class Feature(Table):
    """Something that is measured, on one component or on several together."""

    tag: Name
    of: Name | Names
    name: Text | None = None
    positions: Along | None = None
    stations: Along | None = None
    unit: Text | None = None
    nominal: Figure | dict[Text, Figure] | None = None
    how: Text | None = None
    gauge: Text | None = None
    when: Names | None = None
    signed: Flag | None = None

    @property
    def title(self) -> str:
        """What people call it."""
        return self.name or self.tag

    @property
    def components(self) -> tuple[str, ...]:
        """Ids of the components it is measured on, as written."""
        return (self.of,) if isinstance(self.of, str) else self.of


class Size(Table):
    """An under- or oversize: the nominals that hold once a part is made to it."""

    id: Name
    name: Text | None = None
    nominal: dict[Name, Figure]

    @property
    def title(self) -> str:
        """What people call it."""
        return self.name or self.id


class Adjust(Table):
    """One way a fit may be brought in: what happens to the figure of a feature."""

    feature: Name
    make: Literal["smaller", "larger"] | None = None
    sizes: Figure | tuple[Figure, ...] | None = None
    effect: Figure | None = None


class Fit(Table):
    """A quantity derived from readings, and the limits it is held against."""

    tag: Name
    name: Text | None = None
    kind: Kind | None = None
    stack: Text | None = None
    spread: Text | None = None
    along: Name | None = None
    leave: Names | None = None
    flatness: Text | None = None
    method: Literal["least squares", "minimum zone"] | None = None
    unit: Text | None = None
    band: Limits | tuple[Limits, ...] | None = None
    judge: Judge | None = None
    rule: Rule | None = None
    adjust: tuple[Adjust, ...] | None = None
    same_as: Name | None = None
    wear_for: Literal["any"] | None = None
    due: Text | None = None

    @property
    def title(self) -> str:
        """What people call it."""
        return self.name or self.tag

    @property
    def bands(self) -> tuple[Limits, ...]:
        """Its limits, however they were written."""
        if self.band is None:
            return ()
        return (self.band,) if isinstance(self.band, Limits) else self.band


class Fasteners(Table):
    """Nuts, bolts or screws that are handled together, with what locks them."""

    tag: Name
    name: Text | None = None
    positions: Along | None = None
    count: Count | None = None
    order: Names | None = None
    stages: tuple[Limits, ...] | None = None
    threads: Text | None = None
    lock: Text | None = None
    holds: Names | None = None
    prove: Names | None = None
    spends: dict[Literal["fitted", "tight", "locked"], dict[Text, Count]] | None = None
    final: FinalState | None = None
    caution: Text | None = None

    @property
    def title(self) -> str:
        """What people call it."""
        return self.name or self.tag

    @property
    def final_state(self) -> FinalState:
        """The state it must be left in: locked where it has a lock."""
        return self.final or ("locked" if self.lock else "tight")

    @property
    def number(self) -> int | None:
        """How many fasteners there are at one position, where that is known."""
        return self.count or (len(self.order) if self.order else None)


class Proof(Table):
    """A check that must pass at its moment."""

    tag: Name
    text: Text | None = None
    positions: Along | None = None
    when: Names | None = None
    fit: Name | None = None
    hand: Literal["another", "customer"] | None = None
    times: Count | None = None
    due: Text | None = None

    @property
    def title(self) -> str:
        """What is to be proved."""
        return self.text or (f"{self.fit} in band" if self.fit else self.tag)


class Step(Table):
    """A line of the order of work."""

    id: Name
    text: Text
    phase: Literal["strip", "build"] | None = None
    positions: Along | None = None
    after: Names | None = None
    leaves: dict[Name, Literal["removed", "fitted", "tight", "locked"]] | None = None
    hold: Names | None = None
    wait: Figure | None = None
    due: Text | None = None
    caution: Text | None = None

    @property
    def title(self) -> str:
        """What is to be done."""
        return self.text


Row: TypeAlias = Component | Feature | Size | Fit | Fasteners | Proof | Step


class Sheet(Table):
    """A whole build sheet."""

    format: Literal["bedplate-sheet/1"]
    title: Text | None = None
    revision: Figure | None = None
    unit: Text | None = None
    source: Text | None = None
    moments: tuple[Text, ...] | None = None
    rule: Rule | None = None
    judge: Judge | None = None
    axes: dict[Name, Names | Coordinates] | None = None
    component: tuple[Component, ...] = ()
    feature: tuple[Feature, ...] = ()
    size: tuple[Size, ...] = ()
    fit: tuple[Fit, ...] = ()
    fasteners: tuple[Fasteners, ...] = ()
    proof: tuple[Proof, ...] = ()
    step: tuple[Step, ...] = ()

    @property
    def signed_for(self) -> tuple[str, ...]:
        """The moments the job is signed for, in order."""
        return self.moments or ("handover",)

    def judge_of(self, fit: Fit) -> Judge:
        """Return which values of a fit are judged: its own word, else the sheet's, else every."""
        return fit.judge or self.judge or "every"

    def rule_of(self, fit: Fit) -> Rule:
        """Return whether a close call passes: its own word, else the sheet's, else simple."""
        return fit.rule or self.rule or "simple"

    def rows(self, noun: str) -> tuple[Row, ...]:
        """Return the rows of one table, ``noun`` being one of `NOUNS`."""
        found: tuple[Row, ...] = getattr(self, noun)
        return found

    def as_json(self) -> dict[str, Any]:
        """Return the sheet as JSON data, absent keys and empty tables left out."""
        return {key: value for key, value in super().as_json().items() if value != []}


def name_of(row: Row) -> str:
    """Return the tag or id by which a row is called."""
    return row.id if isinstance(row, Component | Size | Step) else row.tag
