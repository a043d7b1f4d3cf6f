"""Taking a reading: from what was typed to the entries that record it.

`readings_to_record` is pure: it proposes entries against a job as it stands, raises what cannot
be understood, and raises a question where only a person can say. It runs once to ask and once
more under the lock, against the job as it is then.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import NamedTuple

from bedplate.assess.beside import NewValue, doubts
from bedplate.assess.gauge_doubts import reads_differences, refuse_other_kind
from bedplate.assess.gauges import (
    Gauges,
    copied_gauge,
    described,
    described_by,
)
from bedplate.assess.limits import feature_unit, nominal_text
from bedplate.assess.questions import KEEP, Answers, questioned, repeat_or_instead
from bedplate.assess.request import Request
from bedplate.assess.written import split_gauge
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import AnyEntry, On, Reading, Strike
from bedplate.record.job import Job
from bedplate.sheet.layout import Selection
from bedplate.sheet.model import Feature
from bedplate.text import counted, listed, quoted, titled, together
from bedplate.units import Typed, dimension, read_temperature, read_value


def readings_to_record(
    job: Job, request: Request, answers: Answers, cabinet: Mapping[str, Mapping[str, str]]
) -> list[AnyEntry]:
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
    selection = selected(job, request)
    spots = _spots(selection, request)
    entries: list[AnyEntry] = []
    gauge = _gauge(job, request.gauge, cabinet, spots[0].tag, entries)
    gauges = described(job) | described_by(entries)
    _check_temperatures(request)
    typed_at = _values_at(spots, request)
    for place, (spot, text) in enumerate(typed_at):
        spare = selection.mark is not None
        if place == 0 or typed_at[place - 1][0] != spot:
            entries += _strikes(job, spot, text, request, answers, spare=spare)
        at = _At(spot, place, spare, gauge, gauges, tuple(entries))
        entries.append(_reading(job, at, text, request, answers))
    return entries


class _At(NamedTuple):
    """Where one value of a request is read, and on what.

    Attributes:
        spot: the address in full.
        place: which value of the request it is, from 0.
        spare: whether a mark stands for the position.
        gauge: what it is read on, as the record names it.
        gauges: what is known of the gauges.
        before: the entries that the request proposes before it.
    """

    spot: Spot
    place: int
    spare: bool
    gauge: str | None
    gauges: Gauges
    before: tuple[AnyEntry, ...]

    @property
    def question(self) -> Hashable:
        """What an answer about the value is filed under."""
        return ("value", str(self.spot), self.place)


def selected(job: Job, request: Request) -> Selection:
    """Return what the address of a request names, which must be one position.

    Raises:
        NotUnderstoodError: it names nothing, or several.
    """
    try:
        selection = job.select(request.address)
    except NotUnderstoodError as unknown:
        raise NotUnderstoodError(f"Not recorded. {unknown.message}", *unknown.hint) from None
    positions = selection.positions
    if len(positions) > 1:
        raise _which_position(job, selection, request)
    return selection


def _which_position(job: Job, selection: Selection, request: Request) -> NotUnderstoodError:
    feature = job.layout.row(selection.named.name, Feature)
    on = together(feature.components)
    places = ["/".join(position) for position in selection.positions]
    tag = selection.named.name
    at = "".join(request.address.strip().partition("@")[1:])
    values = request.values or (() if request.left_out else ("VALUE",))
    first = request.command(f"{tag}.{places[0]}{at}", *values)
    return NotUnderstoodError(
        f"Not recorded. {tag} is on the {on}, and there are {len(places)}: {listed(places)}.",
        f"Type:  {first}   or   {tag}.{places[1]}{at}",
    )


def _spots(selection: Selection, request: Request) -> list[Spot]:
    """Return the full addresses a request is about; ``all`` is no address of a value."""
    given = "@" in request.address
    spots = selection.spots
    if given and len(spots) > 1:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(request.address)} names {counted(len(spots), 'station')}, "
            "and a value is read at one.",
            f"They are:  {listed([str(spot) for spot in spots])}",
        )
    return spots


def _values_at(spots: list[Spot], request: Request) -> list[tuple[Spot, str | None]]:
    """Pair values and addresses: one each in order, repeats at one, or one sweep over all."""
    if request.left_out is not None:
        return [(spot, None) for spot in spots]
    values = request.values
    if not values:
        raise NotUnderstoodError(
            "Not recorded. There is no value.",
            f"Type:  {request.command(request.address, 'VALUE')}",
        )
    if len(spots) == 1:
        return [(spots[0], value) for value in values]
    if len(values) == len(spots):
        return list(zip(spots, values, strict=True))
    if len(values) == 1 and ".." in values[0]:
        return [(spot, values[0]) for spot in spots]
    raise _wrong_count(spots, request)


def _wrong_count(spots: list[Spot], request: Request) -> NotUnderstoodError:
    names = ["/".join(spot.station) for spot in spots]
    tag = request.address.strip()
    given = counted(len(request.values), "value")
    was = "was" if len(request.values) == 1 else "were"
    return NotUnderstoodError(
        f"Not recorded. {tag} has {len(spots)} stations ({listed(names)}) and {given} {was} "
        "given.",
        f"Give {len(spots)} in that order, or name the station:",
        f"Type:  {request.command(str(spots[0]), request.values[0])}",
    )


def _gauge(
    job: Job,
    name: str | None,
    cabinet: Mapping[str, Mapping[str, str]],
    tag: str,
    entries: list[AnyEntry],
) -> str | None:
    """Return the gauge as the record names it; its copy is added at its first use."""
    if name is None:
        return None
    named = []
    for part in split_gauge(name):
        if part is None:
            continue
        own, copy = copied_gauge(job, part, cabinet, feature_unit(job, tag))
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
            f"Type:  {request._replace(temp='T').command(request.address, *request.values)}",
        )


def _strikes(
    job: Job, spot: Spot, text: str | None, request: Request, answers: Answers, *, spare: bool
) -> list[AnyEntry]:  # fmt: skip
    """Return the strikes that make way for a value; none for a repeat.

    Raises:
        QuestionError: something stands there, and nobody has said what becomes of it.
    """
    standing = job.standing_spare(spot) if spare else job.standing(spot)
    if not standing:
        return []
    left_out_only = all(taken.entry.value is None for taken in standing)
    repeat = "instead" if left_out_only else request.repeat or answers.get(("repeat", str(spot)))
    if repeat is None:
        again = request.command(request.address.strip(), *request.values)
        raise repeat_or_instead(spot, standing, text, again)
    if repeat == "again":
        return []
    why = request.note or "slip"
    return [Strike(entry=taken.entry.n, why=why) for taken in standing]


def _reading(job: Job, at: _At, text: str | None, request: Request, answers: Answers) -> Reading:
    common = {
        "address": str(at.spot), "gauge": at.gauge, "temp": request.temp,
        "on": _resting_on(job, at),
        "gauge_temp": request.gauge_temp, "done_at": request.done_at,
        "note": request.note if request.corrects is None else None,
        "from_file": request.from_file,
    }  # fmt: skip
    if text is None:
        return Reading.model_validate({**common, "left_out": request.left_out})
    answer = answers.get(at.question)
    text = text if answer is None else answer.removeprefix(KEEP)
    typed, nominal = _read(job, at, text)
    new = NewValue(at.spot, typed, nominal, at.gauge, request.temp, at.spare)
    struck = [Strike(entry=request.corrects, why="corrected")] if request.corrects else []
    doubt = next(doubts(job, new, at.gauges, [*struck, *at.before]), None)
    if doubt is not None and not (request.yes or (answer or "").startswith(KEEP)):
        raise questioned(at.question, text, typed, doubt, request.command(str(at.spot), text))
    return Reading.model_validate({
        **common, "value": typed.text, "nominal": nominal,
        "kept": doubt.text if doubt is not None else None,
    })  # fmt: skip


def _resting_on(job: Job, at: _At) -> tuple[On, ...]:
    """Return the parts that a value is read on; an empty place is refused with what fills it."""
    tag, position = at.spot.tag, at.spot.position
    try:
        return tuple(job.resting_on(tag, position, spare=at.spare))
    except NotUnderstoodError as fault:
        empty = [place for place in job.layout.rests_on(tag, position) if not job.parts.at(place)]
        raise NotUnderstoodError(
            f"Not recorded. {fault.message}",
            f"Type:  bedplate change {empty[0]} new --mark MARK",
            f"Or:  bedplate change {empty[0]} moved --from PLACE",
        ) from None


def _read(job: Job, at: _At, text: str) -> tuple[Typed, str | None]:
    """Return a value as typed, and the nominal it was counted from, if it was."""
    feature = job.layout.row(at.spot.tag, Feature)
    unit = feature_unit(job, at.spot.tag)
    title = titled(feature.tag, feature.title)
    try:
        typed = read_value(text, unit, what=title)
    except NotUnderstoodError as fault:
        raise NotUnderstoodError(f"Not recorded. {fault.message}", *fault.hint) from None
    refuse_other_kind(at.gauge, at.gauges, typed.unit, str(at.spot))
    own_sign = feature.signed or reads_differences(at.gauge, at.gauges)
    if own_sign or dimension(unit) == "temperature":
        return typed, None
    if not typed.sign:
        _refuse_negative(typed, title)
        return typed, None
    nominal = nominal_text(job, at.spot)
    if nominal is None:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(text)} is counted from nominal, and {title} has none.",
            f"Type the whole value, or give it one:  bedplate amend feature {feature.tag} "
            "--nominal VALUE --why ...",
        )
    return typed, read_value(nominal, unit).text


def _refuse_negative(typed: Typed, title: str) -> None:
    if any(end is not None and end < 0 for end in (typed.low, typed.high)):
        raise NotUnderstoodError(
            f"Not recorded. {quoted(typed.text)} is below nothing, and {title} is a size.",
            "Only what is marked  signed = true  on the sheet may be negative.",
        )
