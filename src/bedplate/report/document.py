"""The summary as data: sections of plain blocks, every figure already in words.

One builder a reader makes a `Document` (`workshop`, `customer`, `public`); each renderer walks its
blocks and decides nothing but layout. So the terminal, the HTML page and the PDF cannot disagree,
and a text that a builder left out can be found in none of them.

Texts are as people read them (`±`, `µm`, `°C`); what was typed has passed `bedplate.text.visible`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal, TypeAlias

Reader: TypeAlias = Literal["workshop", "customer", "public"]
"""Who a summary is for."""

Purpose: TypeAlias = Reader | Literal["form"]
"""What a document is for: one of the readers, or to be filled in by pencil."""

READERS: Final[tuple[Reader, ...]] = ("workshop", "customer", "public")

Kind: TypeAlias = Literal["text", "figure", "sign", "blank"]
"""What a column holds: words; figures, aligned on the point; signs; nothing, to be filled in."""

Tone: TypeAlias = Literal["open", "good", "bad"]
"""How a state is to be taken: not there yet, as it should be, not to be relied on."""

CLOSING: Final = (
    "Limits are as entered by the signer from the named source. The maker's manual, local codes "
    "and licensed practice govern. This record releases nothing to service by law."
)
"""What every summary ends with."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing known of the job, with what it is called."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str
    block: Literal["words"] = "words"


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a list: what there is, more of it, and what to type about it."""

    text: str
    more: str = ""
    command: str = ""


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    items: tuple[Item, ...]
    block: Literal["items"] = "items"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table; ``head`` where it names the row."""

    title: str
    kind: Kind = "text"
    head: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table, as many cells as there are columns.

    Attributes:
        cells: texts; empty where there is nothing to say.
        struck: by which entry it was crossed out and why, empty where it stands.
    """

    cells: tuple[str, ...]
    struck: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    block: Literal["table"] = "table"


@dataclass(frozen=True, slots=True)
class Mark:
    """A value on a drawn band; places run from 0 (low limit) to 1 (high limit).

    Attributes:
        letter: the one that stands there, as on the screen.
        at: where.
        start, end: how far the value itself reaches, tightest to loosest.
        doubt_start, doubt_end: how far with U on either side.
    """

    letter: str
    at: float
    start: float
    end: float
    doubt_start: float
    doubt_end: float


@dataclass(frozen=True, slots=True)
class Bar:
    """A band to be drawn: its limits as entered, and what stands on it.

    Attributes:
        low, high: the limits' texts, None on an open side.
        wear_low, wear_high: the wear limits' texts, None where none counts.
        now: the value as it is.
        found: as it was found, where that is another one.
    """

    low: str | None
    high: str | None
    wear_low: str | None
    wear_high: str | None
    now: Mark | None
    found: Mark | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """A fit at one stage: its value, its doubt, its verdict.

    Attributes:
        value: without its unit: ``2.9 to 3.1``, or a dash.
        uncertainty: U, or a dash.
        verdict: its code, as in the data of `check`.
        said: the verdict in words.
        sign: its five-place picture.
    """

    value: str
    uncertainty: str
    verdict: str
    said: str
    sign: str


@dataclass(frozen=True, slots=True)
class FitView:
    """A fit at one position, as found and as left.

    Attributes:
        tag, place, name: what it is called; ``place`` is empty where it has no position.
        unit: as it is read, of all its values.
        found: in the first lives of its parts, None where it was never formed then.
        left: in their last, None where that is still the first.
        limits: the band with its unit, a dash without one.
        source: where the band comes from.
        bar: the drawing; None where nothing can be drawn.
    """

    tag: str
    place: str
    name: str
    unit: str
    found: Outcome | None
    left: Outcome | None
    limits: str
    source: str
    bar: Bar | None

    @property
    def now(self) -> Outcome:
        """How it stands: as left, else as found."""
        outcome = self.left or self.found
        if outcome is None:
            raise ValueError(f"{self.tag} has no outcome at all")
        return outcome

    @property
    def title(self) -> str:
        """Tag and place."""
        return f"{self.tag} {self.place}".rstrip()


@dataclass(frozen=True, slots=True)
class Fits:
    """Fits with their drawings; ``by_name`` where their tags would say nothing to the reader."""

    fits: tuple[FitView, ...]
    by_name: bool = False
    block: Literal["fits"] = "fits"


@dataclass(frozen=True, slots=True)
class Trace:
    """One line of readings along an axis.

    Attributes:
        label: which line, and at which stage.
        values: one a station, a dash where there is none.
        heights: the same from 0 (least of the plot) to 1 (greatest); None where there is none.
        found: whether it is as found, where the plot shows both.
    """

    label: str
    values: tuple[str, ...]
    heights: tuple[float | None, ...]
    found: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """Readings by station: how round, how straight, how flat.

    Attributes:
        shape: ``lines`` along one axis, or a ``map`` of a plane, a trace a row of it.
        caption: the fit and its place.
        axis: name of the axis along which the stations stand.
        across: name of the axis that the rows of a map stand on.
        unit: of all values, as it is read.
        stations: their names.
    """

    shape: Literal["lines", "map"]
    caption: str
    axis: str
    across: str
    unit: str
    stations: tuple[str, ...]
    traces: tuple[Trace, ...]
    block: Literal["plot"] = "plot"


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture that belongs to the record.

    Attributes:
        entry: number of the entry that names it.
        caption: what it shows.
        media: its type, as in ``image/jpeg``.
        data: its bytes in base64.
    """

    entry: int
    caption: str
    media: str
    data: str


@dataclass(frozen=True, slots=True)
class Photos:
    """Pictures as evidence."""

    photos: tuple[Photo, ...]
    block: Literal["photos"] = "photos"


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """The head of the record in full, as text and for a QR code."""

    text: str
    block: Literal["fingerprint"] = "fingerprint"


Block: TypeAlias = Words | Items | Table | Fits | Plot | Photos | Fingerprint


@dataclass(frozen=True, slots=True)
class Section:
    """One section: a heading and what stands below it."""

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class State:
    """How far a record has come, in words, and how that is to be taken."""

    text: str
    tone: Tone
    more: str = ""


@dataclass(frozen=True, slots=True)
class Document:
    """One job as one reader is shown it.

    Attributes:
        reader: who that is.
        name: what the job is called on the page; empty where that is nobody's business.
        title: what the page is about.
        state: signed or not, and for what; None where the copy cannot say.
        count: how many entries, in words; empty where the copy does not say.
        by: who recorded it and until when, in words.
        facts: what is known of the job from its opening.
        sections: in the order they are read.
        closing: the statement that every summary ends with.
        foot: the head of the record in short, empty where the copy has none.
    """

    reader: Purpose
    name: str
    title: str
    state: State | None
    count: str
    by: str
    facts: tuple[Fact, ...]
    sections: tuple[Section, ...]
    closing: str
    foot: str

    def as_json(self, *, pictures: bool = True) -> dict[str, Any]:
        """Return the document as JSON data; without the bytes of its pictures if so wanted."""
        data = asdict(self)
        if not pictures:
            for section in data["sections"]:
                for block in section["blocks"]:
                    for photo in block.get("photos", ()):
                        photo["data"] = ""
        return data

    def photos(self) -> Iterator[Photo]:
        """Yield every picture of the document."""
        for section in self.sections:
            for block in section.blocks:
                if isinstance(block, Photos):
                    yield from block.photos


def filled(
    columns: Sequence[Column], rows: Sequence[Row], empty: Collection[str] = ("", "-")
) -> tuple[list[Column], list[Row]]:
    """Return a table without the columns in which nothing stands; the first is always kept.

    Args:
        columns: of the table.
        rows: of the table.
        empty: texts that say nothing.
    """
    kept = [
        at
        for at in range(len(columns))
        if at == 0
        or columns[at].kind == "blank"
        or any(row.cells[at] not in empty for row in rows)
    ]
    return (
        [columns[at] for at in kept],
        [Row(tuple(row.cells[at] for at in kept), row.struck) for row in rows],
    )


def section(key: str, title: str, *blocks: Block | None) -> list[Section]:
    """Return a section of the blocks that hold something; none at all where none does."""
    kept = tuple(block for block in blocks if block is not None and not _is_empty(block))
    return [Section(key, title, kept)] if kept else []


def _is_empty(block: Block) -> bool:
    match block:
        case Items():
            return not block.items
        case Table():
            return not block.rows
        case Fits():
            return not block.fits
        case Photos():
            return not block.photos
        case _:
            return False
