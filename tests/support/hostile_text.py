"""A job with every kind of entry and every text of a sheet, and what somebody may have put there.

`ENTRIES` is such a job as plain data. `leaves` finds every text in it, and `put` sets another in
its place, so that no field is forgotten.
"""

from __future__ import annotations

import contextlib
import json
import unicodedata
from collections.abc import Iterator, Sequence
from copy import deepcopy
from hashlib import sha256
from typing import Any

from pydantic import ValidationError
from signed_jobs import ANN, seal_over

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.record import entries as e
from bedplate.record.spelling import spell
from bedplate.seal.sign import Draft
from bedplate.sheet.reader import sheet_from_json
from bedplate.text import HIDDEN

Json = dict[str, Any]
Path = tuple[str | int, ...]

MARKERS = {
    "ESC": "\x1b[2J",
    "title": "\x1b]0;owned\x07",
    "link": "\x1b]8;;http://example.invalid\x1b\\click\x1b]8;;\x1b\\",
    "C1": "\x9b31m",
    "BEL": "\x07",
    "TAB": "\t",
    "CR": "\r",
    "BS": "\x08\x08",
    "DEL": "\x7f",
    "LF": "\n",
    "NEL": "\x85",
    "soft hyphen": "\xad",
    "BOM": "\ufeff",
    "RLO": "\u202e",
    "LRI": "\u2066",
    "zero width": "\u200b",
    "line separator": "\u2028",
    "paragraph separator": "\u2029",
    "tag": "\U000e0041",
}
"""One of each sort that a screen acts on, or does not show at all."""

MARKUP = ("[bold]b[/bold]", "[/]", ":pump:", "</script><script>alert(1)</script>", "{{7*7}}",
          "#read(\"x\")", "<img src=x onerror=y>", "&lt;")  # fmt: skip
"""What a template or a library might take for more than text."""

UNSEEN = "".join(f"q{mark}w" for mark in MARKERS.values())
FORMATS = "".join(
    f"q{mark}w" for mark in MARKERS.values() if {unicodedata.category(c) for c in mark} == {"Cf"}
)
"""Those that a sheet may hold: a name may need one to be spelled right in its script."""
ALL = f"={UNSEEN}{' '.join(MARKUP)}"
IN_A_SHEET = f"={FORMATS}{' '.join(MARKUP)}"


def raw_in(said: str, allowed: str = "\n") -> list[str]:
    """Return what of a text a screen would act on, each character as its number."""
    return sorted(
        {f"U+{ord(c):04X}" for c in said if c not in allowed and unicodedata.category(c) in HIDDEN}
    )


# --- a lawful job --------------------------------------------------------------------------------

SHEET: Json = {
    "format": "bedplate-sheet/1",
    "title": "Fuel pump", "revision": "A", "unit": "in", "source": "Invented handbook",
    "moments": ["handover", "first run"],
    "axes": {"gear": ["driver", "idler"], "tooth": ["a", "b"], "across": {"1": "0", "2": "80"}},
    "component": [
        {"id": "body", "name": "pump body", "material": "brass", "part_number": "P1"},
        {"id": "gear", "name": "spur gear", "positions": "gear", "expansion": "19e-6/K"},
        {"id": "gasket", "name": "cover gasket", "renew": True},
    ],
    "feature": [
        {"tag": "D", "of": "body", "name": "bore depth", "nominal": "1.0030", "unit": "in",
         "how": "at the rim", "gauge": "depth", "when": ["N"]},
        {"tag": "H", "of": "gear", "name": "gear height", "stations": "tooth",
         "nominal": {"driver": "1.0000", "idler": "1.0000"}},
        {"tag": "F", "of": "body", "name": "face", "stations": "across", "signed": True},
    ],
    "size": [{"id": "u5", "name": "five under", "nominal": {"H": "0.9950"}}],
    "fit": [
        {"tag": "EC", "name": "end clearance", "stack": "D - H", "unit": "thou",
         "band": [{"limits": "2..4 thou", "source": "p. 31", "wear": "..6 thou", "aim": "3 thou"}],
         "adjust": [{"feature": "H", "make": "smaller", "sizes": ["5 thou"], "effect": "0.005"}],
         "due": "handover"},
        {"tag": "HS", "name": "height spread", "spread": "H", "along": "tooth",
         "band": {"limits": "..1 thou", "source": "p. 32"}, "due": "first run"},
    ],
    "fasteners": [
        {"tag": "N", "name": "cover nuts", "count": 4, "lock": "tab washer", "threads": "oiled",
         "stages": [{"limits": "16..18 lbf*ft", "source": "p. 40"}], "holds": ["body", "gasket"],
         "prove": ["SPIN"], "caution": "The cover springs up",
         "spends": {"tight": {"gasket": 1}, "locked": {"tab washer": 4}}},
    ],
    "proof": [{"tag": "SPIN", "text": "Spins by hand", "when": ["N"], "due": "handover"}],
    "step": [
        {"id": "drain", "text": "Drain the oil", "phase": "strip", "caution": "It is hot"},
        {"id": "close", "text": "Close it", "after": ["drain"], "leaves": {"N": "tight"},
         "hold": ["SPIN"], "wait": "12 h", "due": "handover", "caution": "Mind the fingers"},
    ],
}  # fmt: skip

AT = "2025-11-24T15:40:00+01:00"
FROM: Json = {"name": "found.csv", "sha256": "ab" * 32, "row": 2}
TAKEN: Json = {"n": 3, "at": AT, "by": "Ben Lathe", "head": "3:" + "cd" * 32}
GAUGE: Json = {
    "name": "mic1", "kind": "micrometer", "title": "Micrometer 0-1", "range": "0..1in",
    "resolution": "0.0001in", "max_error": "0.0001in", "zero_error": "0 in", "serial": "S1",
    "repeatability": "0.00005in", "expansion": "19e-6/K", "reads": "in", "due": "2027-03-01",
    "uncertainty": "0.0001in",
}  # fmt: skip
ON = [{"place": "gear.driver", "part": "gear.driver", "life": 1}]

ENTRIES: list[Json] = [
    {"kind": "opened", "job": "5f" * 16, "customer": "A. Owner", "machine": "Harbour launch",
     "serial": "L1", "hours": "400 h", "asked": "Look at the pump", "sheet": SHEET,
     "previous": {"file": "old.job.jsonl", "head": "9:" + "ef" * 32}, "note": "brought in wet"},
    {"kind": "gauge", "gauge": GAUGE, "note": "from the drawer"},
    {"kind": "setting", "gauge": "mic1", "shown": "0.0001 in", "reference": "1 in", "note": "x"},
    {"kind": "setting", "gauge": "mic1", "shown": "0.0001 in", "in": "mic1"},
    {"kind": "step", "step": "drain", "done": True, "note": "it was hot"},
    {"kind": "reading", "address": "D", "value": "1.0031 in", "gauge": "mic1", "temp": "22 degC",
     "gauge_temp": "21 degC", "kept": "far off", "note": "a burr", "from_file": FROM},
    {"kind": "reading", "address": "H.driver@a", "value": "1.0001 in", "on": ON, "taken": TAKEN},
    {"kind": "reading", "address": "H.driver@b", "value": "0.0002 in", "nominal": "1.0000 in"},
    {"kind": "reading", "address": "H.idler@a", "value": "0.9979 in"},
    {"kind": "reading", "address": "H.idler@b", "left_out": "chipped"},
    {"kind": "reading", "address": "F@1", "value": "0.0001 in", "note": "struck below"},
    {"kind": "strike", "entry": 11, "why": "misread", "note": "sorry"},
    {"kind": "finding", "place": "gear.idler", "severity": "reject", "how": "by eye",
     "back": "close", "note": "scored"},
    {"kind": "finding", "severity": "note", "note": "smells of fuel"},
    {"kind": "disposition", "component": "body", "decision": "reuse", "why": "in band"},
    {"kind": "disposition", "component": "gear.idler", "decision": "replace", "why": "scored",
     "extra": True},
    {"kind": "changed", "component": "gear.idler", "how": "new", "number": "G2", "mark": "Q",
     "shop": "Invented Works", "size": "u5", "touching": ["H.idler"], "note": "from stock"},
    {"kind": "changed", "component": "gear", "how": "new", "mark": "R"},
    {"kind": "changed", "component": "gear.driver", "how": "moved", "from": "R"},
    {"kind": "part-used", "part": "gasket", "count": 1, "number": "G9", "maker": "Invented",
     "batch": "B7", "note": "dry"},
    {"kind": "fasteners", "set": "N", "state": "tight", "value": "17 lbf*ft", "gauge": "mic1",
     "note": "in turn"},
    {"kind": "proof", "proof": "SPIN", "passed": True, "note": "freely"},
    {"kind": "deferred", "until": "first run", "holds": "close", "why": "no part",
     "note": "new seal"},
    {"kind": "deferred", "until": "A. Owner", "note": "ask about the paint"},
    {"kind": "settled", "entry": 13, "how": "replaced", "note": "x"},
    {"kind": "concession", "what": "EC.driver", "accepted_by": "A. Owner", "why": "light duty",
     "note": "by telephone"},
    {"kind": "attachment", "file": "pump.files/" + "ab" * 8 + ".jpg", "name": "gear.jpg",
     "sha256": "ab" * 32, "place": "gear.idler", "note": "photo"},
    {"kind": "set-aside", "bytes": 12, "sha256": "ab" * 32, "note": "cut short"},
    {"kind": "sheet-revised", "what": "amend fit EC", "why": "misread the page", "sheet": SHEET},
    {"kind": "reading", "address": "H.driver@a", "value": "0.0001 in", "nominal": "1.0000 in"},
    {"kind": "reading", "address": "H.driver@b", "value": "0.0002 in", "nominal": "1.0000 in"},
    {"kind": "reading", "address": "H.idler@a", "value": "0.9949 in"},
    {"kind": "reading", "address": "H.idler@b", "value": "0.9951 in"},
    {"kind": "signed", "moment": "handover", "name": "Ann Fitter", "role": "fitter",
     "statement": "All well."},
    {"kind": "reopened", "why": "it weeps", "note": "at the cover", "done_at": AT},
]  # fmt: skip
"""Each kind of entry, every field of it at least once; they need not be lawful as work."""


# --- every text of it ----------------------------------------------------------------------------


def leaves(value: object, path: Path = ()) -> Iterator[Path]:
    """Yield the place of every text within plain data."""
    match value:
        case dict():
            for key, inner in value.items():
                yield from leaves(inner, (*path, key))
        case list():
            for at, inner in enumerate(value):
                yield from leaves(inner, (*path, at))
        case str():
            yield path


def put(data: Any, path: Path, text: object) -> Any:
    """Return a copy of plain data with something else at a place."""
    copy = deepcopy(data)
    holder = copy
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = text
    return copy


def job_of(entries: Sequence[Json]) -> bytes:
    """Return entries as a job whose chain holds, in the spelling that bedplate writes.

    A seal is given by what it says, and made over what stands before it.

    Raises:
        ValidationError: a field does not take what it has.
        NotUnderstoodError: a seal does not.
    """
    data, link = b"", e.NO_LINE
    for n, told in enumerate(entries, 1):
        said: Json = {key: tuple(v) if isinstance(v, list) else v for key, v in told.items()}
        stamp = {"n": n, "at": AT, "by": said.pop("by", "Ann Fitter"), "prev": link}
        if said["kind"] == "signed":
            draft = Draft(said["moment"], said["name"], said["role"], AT, said["statement"])
            stamp["by"] = draft.name
            said = dict(seal_over(data, f"{n - 1}:{link}", draft, ANN))
        line = spell(e.KINDS[said["kind"]].model_validate({**said, **stamp}))
        data, link = data + line, sha256(line).hexdigest()
    return data


def free(entries: Sequence[Json], text: str) -> list[Path]:
    """Return the places of entries, the sheet's aside, that a file may hold any text in."""
    return [
        path
        for path in leaves(list(entries))
        if "sheet" not in path and is_spelled(put(list(entries), path, text), int(path[0]))
    ]


def is_spelled(entries: Sequence[Json], at: int) -> bool:
    """Tell whether one of some entries can stand in a file as it is."""
    try:
        job_of([{"kind": "opened", "job": "5f" * 16}, entries[at]])
    except (ValidationError, NotUnderstoodError, KeyError):
        return False
    return True


NAMING = frozenset({
    "address", "component", "set", "proof", "step", "part", "place", "back", "holds", "until",
    "what", "from", "in", "mark", "number", "sealed", "value", "nominal", "temp", "gauge_temp",
    "shown", "reference", "gauge", "size",
})  # fmt: skip
"""Fields whose text is looked up or read; the others only describe."""


def described() -> bytes:
    """Return a job that works, whose every describing text is hostile, those of its sheet too."""
    entries = ENTRIES
    for path in free(entries, ALL):
        in_gauge = path[1] == "gauge" and path[-1] not in ("title", "kind", "serial")
        if not in_gauge and path[-1] not in NAMING and not {"on", "touching"} & set(path):
            entries = put(entries, path, ALL)
    sheet = hostile_sheet()
    for at, entry in enumerate(entries):
        if "sheet" in entry:
            entries = put(entries, (at, "sheet"), sheet)
    return job_of(entries)


def named() -> bytes:
    """Return a job whose every text is hostile that is not a figure, names of things too."""
    entries = ENTRIES
    for path in free(entries, ALL):
        reads = {"resolution", "max_error", "zero_error", "repeatability", "expansion",
                 "uncertainty", "value", "nominal", "shown", "reference"}  # fmt: skip
        if path[-1] not in reads:
            entries = put(entries, path, ALL)
    return job_of(entries)


def hostile_sheet() -> Json:
    """Return a sheet without a fault, every text of which is hostile that may be."""
    sheet = SHEET
    for path in leaves(SHEET):
        changed = put(sheet, path, IN_A_SHEET)
        with contextlib.suppress(StorageError):
            sheet_from_json(changed)
            sheet = changed
    return sheet


def at(data: Any, path: Path) -> str:
    """Return the text at a place of plain data."""
    for step in path:
        data = data[step]
    return str(data)


def chained_again(data: bytes) -> bytes:
    """Return lines with their chain worked out anew, whatever they say."""
    lines: list[bytes] = []
    link = e.NO_LINE
    for line in data.splitlines(keepends=True):
        head, _, _ = line.rpartition(b'"prev":"')
        lines.append(head + b'"prev":"' + link.encode() + b'"}\n')
        link = sha256(lines[-1]).hexdigest()
    return b"".join(lines)


def toml(sheet: Json) -> str:
    """Return a sheet as the text of a file, without a check; what cannot stand there, escaped."""
    lines = [f"{key} = {_value(value)}" for key, value in sheet.items() if not _is_table(value)]
    for key, value in sheet.items():
        for row in value if _is_table(value) and isinstance(value, list) else ():
            lines += [f"[[{key}]]", *(f"{name} = {_value(inner)}" for name, inner in row.items())]
    lines += ["[axes]", *(f"{name} = {_value(inner)}" for name, inner in sheet["axes"].items())]
    return "\n".join(lines) + "\n"


def _is_table(value: object) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and isinstance(value[0], dict))


def _value(value: object) -> str:
    match value:
        case dict():
            inner = (f"{json.dumps(key)} = {_value(each)}" for key, each in value.items())
            return f"{{ {', '.join(inner)} }}"
        case list():
            return f"[{', '.join(map(_value, value))}]"
        case bool() | int():
            return str(value).lower()
        case _:
            text = json.dumps(str(value), ensure_ascii=False)
            return "".join(f"\\U{ord(c):08x}" if raw_in(c, "") else c for c in text)
