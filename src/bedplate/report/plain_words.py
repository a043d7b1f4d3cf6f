"""What the customer is told in place of the trade's short words, and what those mean."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bedplate.assess.result import FitResult
from bedplate.report import values
from bedplate.report.document import Item
from bedplate.report.second import second_of

DECIDED = {
    "reuse": "used again",
    "rework": "to be reworked",
    "replace": "to be replaced",
    "scrap": "scrapped",
}
"""What was decided of a part."""

HAPPENED = {
    "reworked": "reworked",
    "new": "new",
    "moved": "moved here from another place",
    "found": "found so",
}
"""What has happened to a part."""

SEVERITY = {"reject": "not fit for use", "watch": "to be watched", "note": "noted"}
"""How grave something is that was seen."""

KINDS = {
    "clearance": (
        "clearance",
        "the gap between two parts that move on each other: too small and they seize, too large "
        "and they knock, leak or lose pressure",
    ),
    "interference": (
        "interference",
        "how much larger a part is than the hole it is pressed into: too little and it works "
        "loose",
    ),
    "size": ("size", "what a part measures, against what its maker allows"),
    "wear": ("wear", "how much of a part has gone"),
    "form": ("roundness, taper, flatness", "how far a part is from its true shape"),
    "direct": ("direct reading", "read from a gauge as it stands, not worked out"),
}
"""What each kind of fit is called, and what it is."""

UNITS = {
    "thou": ("thou", "one thousandth of an inch, 0.0254 mm; writing paper is about 4 thou thick"),
    "tenth": ("tenth", "one ten-thousandth of an inch, 0.00254 mm"),
    "in": ("0.001 in", "one thousandth of an inch; writing paper is about 0.004 in thick"),
    "mm": ("0.1 mm", "about the thickness of a sheet of writing paper"),
    "um": ("µm", "one thousandth of a millimetre; writing paper is about 100 µm thick"),
}
"""How large the small units are."""

VERDICTS = {
    "in": "within its limits",
    "in-close": "within its limits, close to the {limit}",
    "serviceable": "worn, but within the limit for parts that stay in use",
    "out-close": "just outside its limits ({word})",
    "out": "outside its limits: {beyond}",
    "no-band": "measured; no limits were entered for it",
    "unmeasured": "not measured",
}
"""What each verdict is called."""

SHORT = {
    "in-close": "within limits, close to one",
    "serviceable": "worn, but within the limit for parts that stay in use",
    "out-close": "just outside limits",
    "out": "outside limits",
}
"""The same for several at once, without how much."""


def verdict_words(result: FitResult) -> str:
    """Return a verdict as a customer reads it: ``outside its limits: 1.3 thou too loose``."""
    return VERDICTS[result.verdict].format(
        limit=_limit(result), word=result.word, beyond=_beyond(result)
    )


def _limit(result: FitResult) -> str:
    return "smaller one" if result.side == "low" else "larger one"


def _beyond(result: FitResult) -> str:
    if result.margin is None or result.word is None:
        return result.word or "OUT"
    amount = values.distance_shown(result, result.margin, draw=True)
    return f"{amount} {_HOW[result.word]}" if result.word in _HOW else f"{result.word} by {amount}"


_HOW = {
    "tight": "too tight",
    "loose": "too loose",
    "low": "too low",
    "high": "too high",
    "worn": "more wear than allowed",
    "oversize": "too large",
    "undersize": "too small",
}


def glossary(results: Iterable[FitResult], *, conceded: bool) -> Iterator[Item]:
    """Yield what the words and units on a page mean; only those that stand on it."""
    shown = list(results)
    for kind in dict.fromkeys(result.kind for result in shown):
        yield Item(": ".join(KINDS[kind]))
    seconds = [second.unit for second in map(second_of, shown) if second is not None]
    for unit in dict.fromkeys([*(result.unit for result in shown), *seconds]):
        if unit in UNITS:
            yield Item(": ".join(UNITS[unit]))
    if any(result.measured and result.variance for result in shown):
        yield Item("±: how far a figure may be off, from the gauges and how they were read")
    if any(result.verdict in ("in-close", "out-close") for result in shown):
        yield Item("close, just: nearer to a limit than the gauges can tell apart for certain")
    if conceded:
        yield Item("accepted as it is: somebody named here agreed to it, though not as wished")
