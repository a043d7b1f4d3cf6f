"""The twenty kinds of entry a job file is made of, one frozen model each.

A *proposed* entry is made with its own fields alone (``Reading(address="D", value="1 in")``);
the job file stamps `Entry.n`, `Entry.at`, `Entry.by` and `Entry.prev` as it appends. The order
of the fields is the order of the keys in the line. A field without a value is ``None`` and is
left out of the line.
"""

from functools import cache
from typing import Annotated, Any, Final, Literal, Self, TypeAlias, get_args

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, TypeAdapter, model_validator

from bedplate.record.fields import (
    Count,
    Head,
    Hex32,
    Hex128,
    Moment,
    Number,
    Sha256,
    SheetObject,
    Text,
)

FORMAT: Final = "bedplate-job/1"
"""The format that this bedplate writes and reads."""
NO_LINE: Final = "0" * 64
"""What the first entry has in place of the hash of a line before it."""

Severity = Literal["note", "watch", "reject"]
Decision = Literal["reuse", "rework", "replace", "scrap"]
How = Literal["reworked", "new", "moved", "found"]
State = Literal["removed", "fitted", "tight", "locked", "backed-off", "again"]
GaugeKey = Literal[
    "name",
    "kind",
    "title",
    "range",
    "resolution",
    "max_error",
    "zero_error",
    "repeatability",
    "expansion",
    "reads",
    "serial",
    "due",
    "uncertainty",
]


class _Lean(BaseModel):
    """Frozen, strict, no field but those named; its validator is built on first use."""

    model_config = ConfigDict(
        strict=True, frozen=True, extra="forbid", populate_by_name=True, defer_build=True
    )


class Previous(_Lean):
    """The last job done on the same unit."""

    file: Text
    head: Head


class On(_Lean):
    """A part that a reading was taken on, where it sat, and the entry that began its life."""

    place: Text
    part: Text
    life: Number


class FromFile(_Lean):
    """The row of a file that an entry was imported from."""

    name: Text
    sha256: Sha256
    row: Number


class Taken(_Lean):
    """The entry of another copy of this job that an entry was taken over from."""

    n: Number
    at: Moment
    by: Text
    head: Head


class Entry(_Lean):
    """What every entry has: its number, when and by whom it was written, the line before it."""

    n: Number = 0
    at: Moment = ""
    by: Text = ""
    kind: str = ""
    prev: Sha256 = ""

    @classmethod
    def __pydantic_init_subclass__(cls, **_kwargs: Any) -> None:
        """Put the fields that close every line behind the kind's own."""
        fields = cls.model_fields
        for name in ("note", "done_at", "from_file", "taken", "prev"):
            if name in fields:
                fields[name] = fields.pop(name)


class Noted(Entry):
    """An entry that may say more: a note, when it was done, where it comes from."""

    note: Text | None = None
    done_at: Moment | None = None
    from_file: FromFile | None = None
    taken: Taken | None = None


class Opened(Noted):
    """The job begins: what it is about, and the build sheet it follows."""

    kind: Literal["opened"] = "opened"
    format: Literal["bedplate-job/1"] = "bedplate-job/1"
    job: Hex32
    customer: Text | None = None
    machine: Text | None = None
    serial: Text | None = None
    hours: Text | None = None
    asked: Text | None = None
    previous: Previous | None = None
    sheet: SheetObject | None = None


class SheetRevised(Noted):
    """The build sheet as it now stands, whole; ``why`` where something was amended."""

    kind: Literal["sheet-revised"] = "sheet-revised"
    what: Text
    why: Text | None = None
    sheet: SheetObject


def _name_first(gauge: dict[GaugeKey, str]) -> dict[GaugeKey, str]:
    if next(iter(gauge), None) != "name":
        msg = "a gauge that does not begin with its name"
        raise ValueError(msg)
    return gauge


class GaugeDescribed(Noted):
    """A gauge and what is known of it; the last live one of a name counts."""

    kind: Literal["gauge"] = "gauge"
    gauge: Annotated[dict[GaugeKey, Text], AfterValidator(_name_first)]

    @property
    def told(self) -> dict[str, str]:
        """What is said of it, its name first, by plain texts."""
        return {str(key): text for key, text in self.gauge.items()}


class Setting(Noted):
    """What a gauge stood at and showed; ``in_`` is the gauge that it was set in."""

    kind: Literal["setting"] = "setting"
    gauge: Text
    shown: Text
    reference: Text | None = None
    in_: Text | None = Field(default=None, alias="in")


class Reading(Noted):
    """One measured value as typed, or the reason why it was left out."""

    kind: Literal["reading"] = "reading"
    address: Text
    value: Text | None = None
    left_out: Text | None = None
    nominal: Text | None = None
    gauge: Text | None = None
    temp: Text | None = None
    gauge_temp: Text | None = None
    on: Annotated[tuple[On, ...], Field(min_length=1)] | None = None
    kept: Text | None = None

    @model_validator(mode="after")
    def _value_or_reason(self) -> Self:
        if (self.value is None) == (self.left_out is None):
            msg = "without one of value and left_out, or with both"
            raise ValueError(msg)
        return self


class Finding(Noted):
    """What was seen (in ``note``), how grave it is, how it was judged, when it must come back."""

    kind: Literal["finding"] = "finding"
    place: Text | None = None
    severity: Severity
    how: Text | None = None
    back: Text | None = None


class Disposition(Noted):
    """What was decided of a part; ``extra`` to what the customer asked for."""

    kind: Literal["disposition"] = "disposition"
    component: Text
    decision: Decision
    why: Text
    extra: bool | None = None


class Changed(Noted):
    """That a part was reworked, is new, was moved, or was found so."""

    kind: Literal["changed"] = "changed"
    component: Text
    how: How
    touching: Annotated[tuple[Text, ...], Field(min_length=1)] | None = None
    size: Text | None = None
    mark: Text | None = None
    from_: Text | None = Field(default=None, alias="from")
    number: Text | None = None
    shop: Text | None = None


class Fasteners(Noted):
    """That fasteners of a set were brought into a state; ``value`` is what was reached."""

    kind: Literal["fasteners"] = "fasteners"
    set: Text
    state: State
    count: Count | None = None
    stage: Number | None = None
    value: Text | None = None
    gauge: Text | None = None
    trial: bool | None = None


class Proof(Noted):
    """That a proof was made, and passed or not."""

    kind: Literal["proof"] = "proof"
    proof: Text
    passed: bool


class Step(Noted):
    """That a step was done, or undone."""

    kind: Literal["step"] = "step"
    step: Text
    done: bool


class PartUsed(Noted):
    """A gasket, seal, lock or part drawn; one of them unless ``count`` says more."""

    kind: Literal["part-used"] = "part-used"
    part: Text
    count: Count | None = None
    number: Text | None = None
    maker: Text | None = None
    batch: Text | None = None


class Deferred(Noted):
    """Work (in ``note``) put off until a moment, a time or a person; what waits for it."""

    kind: Literal["deferred"] = "deferred"
    until: Text
    holds: Text | None = None
    why: Text | None = None


class Settled(Noted):
    """That what an entry put off or asked is settled, and how."""

    kind: Literal["settled"] = "settled"
    entry: Number
    how: Text | None = None


class Concession(Noted):
    """That a named person accepts something as it is."""

    kind: Literal["concession"] = "concession"
    what: Text
    accepted_by: Text
    why: Text


class Attachment(Noted):
    """A file kept beside the job: where, its own name, its hash, what it shows."""

    kind: Literal["attachment"] = "attachment"
    file: Text
    name: Text
    sha256: Sha256
    place: Text | None = None


class Strike(Noted):
    """An entry crossed out; it stays readable."""

    kind: Literal["strike"] = "strike"
    entry: Number
    why: Text


class SetAside(Noted):
    """Bytes that stood behind the last whole line, kept in a file of their own."""

    kind: Literal["set-aside"] = "set-aside"
    bytes: Number
    sha256: Sha256


class Signed(Entry):
    """A seal over everything before it: the text that was signed, the signature, the key."""

    kind: Literal["signed"] = "signed"
    sealed: Text
    signature: Hex128
    key: Sha256


class Reopened(Noted):
    """That work goes on after a seal, and why."""

    kind: Literal["reopened"] = "reopened"
    why: Text


AnyEntry: TypeAlias = Annotated[
    Opened
    | SheetRevised
    | GaugeDescribed
    | Setting
    | Reading
    | Finding
    | Disposition
    | Changed
    | Fasteners
    | Proof
    | Step
    | PartUsed
    | Deferred
    | Settled
    | Concession
    | Attachment
    | Strike
    | SetAside
    | Signed
    | Reopened,
    Field(discriminator="kind"),
]
"""One of the twenty."""

KINDS: Final[dict[str, type[Entry]]] = {
    model.model_fields["kind"].default: model for model in get_args(get_args(AnyEntry)[0])
}
"""The model of every kind, by the word in the line."""


@cache
def adapter() -> TypeAdapter[AnyEntry]:
    """Return pydantic's adapter of the union; built once, on first use (some 40 ms)."""
    return TypeAdapter(AnyEntry)
