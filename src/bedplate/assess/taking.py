"""Taking a reading: from what was typed to the entries that record it.

`readings_to_record` is pure: it proposes entries against a job as it stands, raises what cannot
be understood, and raises a question where only a person can say. It runs once to ask and once
more under the lock, against the job as it is then.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from bedplate.assess.doubts import Doubt, far_from_nominal, shown
from bedplate.assess.estimates import split_gauge
from bedplate.assess.gauges import ReadOn, copied_gauge, described, gauge_doubts, reads_differences
from bedplate.assess.limits import feature_unit, nominal_of, nominal_text
from bedplate.assess.questions import QuestionError
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Entry, FromFile, GaugeDescribed, Reading, Strike
from bedplate.record.job import Job, Taken
from bedplate.sheet.layout import Selection
from bedplate.sheet.model import Feature
from bedplate.text import counted, listed, quoted
from bedplate.units import Typed, convert, dimension, read_temperature, read_value

Answers = Mapping[Hashable, str]
"""What has been answered, by the key of the question."""


@dataclass(frozen=True, slots=True)
class Request:
    """One reading, or several at one address, as a person or a file gives them.

    Attributes:
        address: as typed.
        values: one text a value, its unit with it.
        gauge: what it was read on (``TG/MIC``: felt with one, read on the other).
        temp, gauge_temp: temperatures as typed, with their unit.
        repeat: ``again`` (averaged with what stands there) or ``instead`` (strikes it).
        left_out: why there is no value, on purpose.
        yes: whether a value that is questioned is kept without asking.
        note, done_at, from_file: as the entry keeps them.
    """

    address: str
    values: tuple[str, ...] = ()
    gauge: str | None = None
    temp: str | None = None
    gauge_temp: str | None = None
    repeat: str | None = None
    left_out: str | None = None
    yes: bool = False
    note: str | None = None
    done_at: str | None = None
    from_file: FromFile | None = None
    together: frozenset[int] = field(default_factory=frozenset)
    """Entries recorded by the same file: readings at one address there are repeats."""


def joined_values(words: Sequence[str]) -> list[str]:
    """Return values from the words of a command line: a unit apart belongs to its figure.

    Raises:
        NotUnderstoodError: a whole number and a fraction stand apart.

    >>> joined_values(["19.057", "mm", "0.7503", "4..5", "thou"])
    ['19.057 mm', '0.7503', '4..5 thou']
    """
    values: list[str] = []
    for word in words:
        if values and word and not any(char.isdigit() for char in word):
            values[-1] = f"{values[-1]} {word}"
            continue
        if values and values[-1].isdigit() and _is_fraction(word):
            whole = values[-1]
            raise NotUnderstoodError(
                f'Not recorded. "{whole}" and {quoted(word)} stand apart: two readings, or '
                f"{whole} and {word}?",
                f'Type:  "{whole} {word} in"   or   {whole}-{word}in   or   '
                f"{whole} and the decimal figure",
            )
        values.append(word)
    return values


def _is_fraction(word: str) -> bool:
    above, slash, rest = word.partition("/")
    return bool(slash) and above.isdigit() and rest[:1].isdigit()


def readings_to_record(
    job: Job, request: Request, answers: Answers, cabinet: Mapping[str, Mapping[str, str]]
) -> list[Entry]:
    """Return the entries that record a request: strikes first, a gauge's copy, the readings.

    Args:
        job: the job as it stands.
        request: what is to be recorded.
        answers: what has been answered so far.
        cabinet: the user's gauges by name, each with its keys as text.

    Raises:
        QuestionError: only a person can say; nothing is to be recorded until then.
        NotUnderstoodError: what was typed cannot be recorded.
    """
    selection = selected(job, request.address)
    spots = _spots(job, selection, request)
    entries: list[Entry] = []
    gauge = _gauge(job, request.gauge, cabinet, entries)
    gauges = described(job) | {
        entry.gauge["name"]: {str(key): text for key, text in entry.gauge.items()}
        for entry in entries
        if isinstance(entry, GaugeDescribed)
    }
    _check_temperatures(request)
    typed_at = _values_at(job, selection, spots, request)
    for place, (spot, text) in enumerate(typed_at):
        spare = selection.mark is not None
        strikes, repeat = _what_stands(job, spot, spare, request, answers, text)
        if place == 0 or typed_at[place - 1][0] != spot:
            entries += strikes
        entries.append(
            _reading(job, spot, text, (gauge, gauges), request, answers, place, spare=spare)
        )
    return entries


def selected(job: Job, address: str) -> Selection:
    """Return what an address names, which must be one position.

    Raises:
        NotUnderstoodError: it names nothing, or several.
    """
    try:
        selection = job.select(address)
    except NotUnderstoodError as unknown:
        raise NotUnderstoodError(f"Not recorded. {unknown.message}", *unknown.hint) from None
    positions = selection.positions
    if len(positions) > 1:
        raise _which_position(job, selection)
    return selection


def _which_position(job: Job, selection: Selection) -> NotUnderstoodError:
    feature = job.layout.row(selection.named.name, Feature)
    on = " and ".join(feature.components)
    places = ["/".join(position) for position in selection.positions]
    tag = selection.named.name
    return NotUnderstoodError(
        f"Not recorded. {tag} is on the {on}, and there are {len(places)}: {listed(places)}.",
        f"Type:  bedplate measure {tag}.{places[0]} VALUE   or   {tag}.{places[1]} VALUE",
    )


def _spots(job: Job, selection: Selection, request: Request) -> list[Spot]:
    """Return the full addresses a request is about; ``all`` is no address of a value."""
    given = "@" in request.address
    spots = selection.spots
    if given and len(spots) > 1:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(request.address)} names {counted(len(spots), 'station')}, "
            "and a value is read at one.",
            f"They are:  {listed([str(spot) for spot in spots])}",
        )
    del job
    return spots


def _values_at(
    job: Job, selection: Selection, spots: list[Spot], request: Request
) -> list[tuple[Spot, str | None]]:
    """Pair values and addresses: one each in order, repeats at one, or one sweep over all."""
    if request.left_out is not None:
        return [(spot, None) for spot in spots]
    values = request.values
    if not values:
        raise NotUnderstoodError(
            "Not recorded. There is no value.", f"Type:  bedplate measure {request.address} VALUE"
        )
    if len(spots) == 1:
        return [(spots[0], value) for value in values]
    if len(values) == len(spots):
        return list(zip(spots, values, strict=True))
    if len(values) == 1 and ".." in values[0]:
        return [(spot, values[0]) for spot in spots]
    return _refuse_count(job, selection, spots, request)


def _refuse_count(
    job: Job, selection: Selection, spots: list[Spot], request: Request
) -> list[tuple[Spot, str | None]]:
    names = ["/".join(spot.station) for spot in spots]
    tag = request.address.strip()
    del job, selection
    given = counted(len(request.values), "value")
    was = "was" if len(request.values) == 1 else "were"
    in_order = f"Give {len(spots)} in that order, or name the station:"
    raise NotUnderstoodError(
        f"Not recorded. {tag} has {len(spots)} stations ({listed(names)}) and {given} {was} given.",
        in_order,
        f"Type:  bedplate measure {spots[0]} {request.values[0]}",
    )


def _gauge(
    job: Job,
    name: str | None,
    cabinet: Mapping[str, Mapping[str, str]],
    entries: list[Entry],
) -> str | None:
    """Return the gauge as the record names it; its copy is added at its first use."""
    if name is None:
        return None
    named = []
    for part in split_gauge(name):
        if part is None:
            continue
        own, copy = copied_gauge(job, part, cabinet)
        named.append(own)
        if copy is not None:
            entries.append(copy)
    return "/".join(named)


def _check_temperatures(request: Request) -> None:
    for text in (request.temp, request.gauge_temp):
        if text is not None:
            read_temperature(text)
    if request.gauge_temp is not None and request.temp is None:
        raise NotUnderstoodError(
            "Not recorded. The gauge's temperature needs the part's beside it.",
            f"Type:  --temp ... --gauge-temp {request.gauge_temp}",
        )


def _what_stands(
    job: Job, spot: Spot, spare: bool, request: Request, answers: Answers, text: str | None
) -> tuple[list[Entry], str]:  # fmt: skip
    """Return the strikes that make way, and what was decided of what stands there."""
    standing = job.standing_spare(spot) if spare else job.standing(spot)
    standing = [taken for taken in standing if taken.entry.n not in request.together]
    if not standing:
        return [], ""
    left_out_only = all(taken.entry.value is None for taken in standing)
    repeat = "instead" if left_out_only else request.repeat or answers.get(("repeat", str(spot)))
    if repeat is None:
        raise _repeat_or_instead(spot, standing, text)
    if repeat == "again":
        return [], repeat
    why = request.note or "slip"
    return [Strike(entry=taken.entry.n, why=why) for taken in standing], repeat


def _repeat_or_instead(spot: Spot, standing: list[Taken], text: str | None) -> QuestionError:
    before = standing[-1].entry
    was = before.value if before.value is not None else "left out"
    now = text if text is not None else "leaving it out"
    return QuestionError(
        f"Not recorded. {spot} was read before: {was} (entry {before.n}). There is no terminal "
        f"to ask on: is {now} a repeat, or instead of it?",
        f"Type:  bedplate measure {spot} {now} --again     or   --instead",
        key=("repeat", str(spot)),
        lines=[
            f"{spot} was read before: {was} (entry {before.n}). This is",
            "  i  instead of it (a slip)    a  again (a repeat, averaged)    q  neither: ",
        ],
        answers={"i": "instead", "a": "again", "instead": "instead", "again": "again"},
    )


def _reading(
    job: Job, spot: Spot, text: str | None, read_on: ReadOn, request: Request, answers: Answers,
    place: int, *, spare: bool,
) -> Reading:  # fmt: skip
    gauge = read_on[0]
    on = tuple(job.resting_on(spot.tag, spot.position, spare=spare))
    common = {
        "address": str(spot), "gauge": gauge, "temp": request.temp, "on": on,
        "gauge_temp": request.gauge_temp, "note": request.note, "done_at": request.done_at,
        "from_file": request.from_file,
    }  # fmt: skip
    if text is None:
        return Reading.model_validate({**common, "left_out": request.left_out})
    question = ("value", str(spot), place)
    answer = answers.get(question)
    if answer not in (None, "keep"):
        text = answer or text
    typed, nominal = _read(job, spot, text, read_on)
    doubt = first_doubt(job, spot, typed, nominal, read_on)
    if doubt is not None and answer != "keep" and not request.yes:
        raise _questioned(spot, typed, doubt, question)
    return Reading.model_validate({
        **common, "value": typed.text, "nominal": nominal,
        "kept": doubt.text if doubt is not None else None,
    })  # fmt: skip


def _read(job: Job, spot: Spot, text: str, read_on: ReadOn) -> tuple[Typed, str | None]:
    """Return a value as typed, and the nominal it was counted from, if it was."""
    feature = job.layout.row(spot.tag, Feature)
    unit = feature_unit(job, spot.tag)
    title = f"{spot.tag} ({feature.title})" if feature.title != spot.tag else spot.tag
    typed = read_value(text, unit, what=title)
    if feature.signed or reads_differences(*read_on) or dimension(unit) == "temperature":
        return typed, None
    if not typed.sign:
        _refuse_negative(typed, title)
        return typed, None
    nominal = nominal_text(job, spot)
    if nominal is None:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(text)} is counted from nominal, and {title} has none.",
            f"Type the whole value, or give it one:  bedplate amend feature {spot.tag} "
            "--nominal VALUE --why ...",
        )
    return typed, read_value(nominal, unit).text


def _refuse_negative(typed: Typed, title: str) -> None:
    if any(end is not None and end < 0 for end in (typed.low, typed.high)):
        raise NotUnderstoodError(
            f"Not recorded. {quoted(typed.text)} is below nothing, and {title} is a size.",
            "Only what is marked  signed = true  on the sheet may be negative.",
        )


def first_doubt(
    job: Job, spot: Spot, typed: Typed, nominal: str | None, read_on: ReadOn
) -> Doubt | None:
    """Return what is most questionable in a value, None where nothing is.

    Args:
        job: the job.
        spot: where it was read.
        typed: as typed (a deviation where ``nominal`` is given).
        nominal: what it was counted from.
        read_on: the gauge as the record names it, and what is known of the gauges.
    """
    found = nominal_of(job, spot)
    shift = Fraction(0)
    if found is not None:
        shift = convert(found[0], found[1], typed.unit)
    ends = (typed.low, typed.high)
    if nominal is not None:
        low, high = (None if end is None else end + shift for end in ends)
        full = Typed(typed.text, typed.unit, low, high, typed.step, typed.sign, typed.two_ended)
    else:
        full = typed
    differences = reads_differences(*read_on)
    if found is not None and not differences and (doubt := far_from_nominal(full, shift)):
        return doubt
    return next(iter(gauge_doubts(*read_on, full)), None)


def _questioned(spot: Spot, typed: Typed, doubt: Doubt, key: Hashable) -> QuestionError:
    figure = shown(typed)
    would = f"{doubt.instead} would be {doubt.then}." if doubt.instead else ""
    probably = f": {doubt.guess}" if doubt.guess else "."
    prompt = f"  Type the right value, or k to keep {figure}, or q to record nothing: "
    return QuestionError(
        f"Not recorded. {doubt.text}{probably}",
        f"{would} There is no terminal to ask on.".strip(),
        f"If {figure} is right:  bedplate measure {spot} {_copyable(typed)} --yes",
        key=key,
        lines=[
            f"{doubt.text}. {doubt.guess}".rstrip(),
            *([f"  {would}"] if would else []),
            prompt,
        ],
        answers={"k": "keep", "keep": "keep", "*": "value"},
    )


def _copyable(typed: Typed) -> str:
    text = shown(typed)
    return f'"{text}"' if " " in text else text
