"""Bands and stages as they are typed at a command: limits, each with its source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.option_values import spaced
from bedplate.text import counted, quoted

_PARTS = ("source", "wear", "aim", "from", "for")


def typed_bands(
    raw: dict[str, Any], given: Mapping[str, Sequence[str]], source: str | None
) -> None:
    """Put the bands that were typed into a fit's keys.

    With ``band``, what stood there is replaced; without it, its parts are changed where there is
    one band only. A part given once holds for all bands, else there must be one for each.

    Args:
        raw: the keys of the fit, changed in place.
        given: ``band`` and the parts, each as a list of texts; an empty one takes away.
        source: the sheet's own source.

    Raises:
        NotUnderstoodError: parts without a band, not one for each, or a band without a source.
    """
    if list(given.get("band", ())) == [""]:
        raw.pop("band", None)
        return
    bands = _bands(raw, given)
    for key in _PARTS:
        _share_out(bands, key, given.get(key))
    for band in bands:
        _needs_source(band, source, "band")
    raw["band"] = bands[0] if len(bands) == 1 else bands


def _bands(raw: Mapping[str, Any], given: Mapping[str, Sequence[str]]) -> list[dict[str, Any]]:
    if "band" in given:
        return [{"limits": spaced(text)} for text in given["band"]]
    there = raw.get("band")
    part = next(key for key in _PARTS if key in given)
    if there is None:
        raise NotUnderstoodError(
            f"--{part} belongs to a band, and there is none.",
            "Type the same again with, for example:  --band 2..4thou",
        )
    if isinstance(there, list):
        raise NotUnderstoodError(
            f"There are {len(there)} bands: whose {part} is it?",
            "Type all of them again, each with --band and --for",
        )
    return [dict(there)]


def _share_out(bands: list[dict[str, Any]], key: str, values: Sequence[str] | None) -> None:
    """Give each band its value: the one for all, or its own."""
    if values is None:
        return
    if len(values) not in (1, len(bands)):
        raise NotUnderstoodError(
            f"There are {counted(len(bands), 'band')} and --{key} stands {len(values)} times.",
            f"Give --{key} once for all, or once for each, in the same order",
        )
    for at, band in enumerate(bands):
        value = values[at if len(values) > 1 else 0]
        if value == "":
            band.pop(key, None)
        else:
            band[key] = spaced(value) if key in ("wear", "aim") else value


def typed_stages(
    raw: dict[str, Any], given: Mapping[str, Sequence[str]], source: str | None
) -> None:
    """Put the stages of tightening that were typed into a set's keys.

    Raises:
        NotUnderstoodError: a source without stages, or a stage without a source.
    """
    if list(given.get("stages", ())) == [""]:
        raw.pop("stages", None)
        return
    if "stages" in given:
        stages = [{"limits": spaced(text)} for text in given["stages"]]
    else:
        stages = [dict(stage) for stage in raw.get("stages", ())]
    if not stages:
        raise NotUnderstoodError(
            "--source belongs to stages, and there are none.",
            'Type the same again with, for example:  --stages "16..18 lbf*ft"',
        )
    _share_out(stages, "source", given.get("source"))
    for stage in stages:
        _needs_source(stage, source, "stage")
    raw["stages"] = stages


def _needs_source(limits: Mapping[str, Any], source: str | None, what: str) -> None:
    if limits.get("source") or source:
        return
    shown = quoted(str(limits["limits"]))[1:-1]
    raise NotUnderstoodError(
        f"A {what} needs its source: where does {shown} come from?",
        'Type the same again with, for example:  --source "Handbook p. 31"',
    )
