"""A checker of job files that shares no code with bedplate: what a stranger would write.

It is written from the description of the format alone (docs/record.md), with the standard library
and `cryptography`. Tests hold what the program writes, and what it says of altered files, against
it. So nothing here may be imported from bedplate, and nothing of it may be made to agree with
bedplate: where the two differ, one of them, or the description, is wrong.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any, NoReturn

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

OWN: dict[str, str] = {
    "opened": "format job customer machine serial hours asked previous sheet",
    "sheet-revised": "what why sheet",
    "gauge": "gauge",
    "setting": "gauge shown reference in",
    "reading": "address value left_out nominal gauge temp gauge_temp on kept",
    "finding": "place severity how back",
    "disposition": "component decision why extra",
    "changed": "component how touching size mark from number shop",
    "fasteners": "set state count stage value gauge trial",
    "proof": "proof passed",
    "step": "step done",
    "part-used": "part count number maker batch",
    "deferred": "until holds why",
    "settled": "entry how",
    "concession": "what accepted_by why",
    "attachment": "file name sha256 place",
    "strike": "entry why",
    "set-aside": "bytes sha256",
    "signed": "sealed signature key",
    "reopened": "why",
}
"""The own fields of every kind, in their order."""
NEEDED: dict[str, str] = {
    "opened": "format job", "sheet-revised": "what sheet", "gauge": "gauge",
    "setting": "gauge shown", "reading": "address", "finding": "severity",
    "disposition": "component decision why",
    "changed": "component how", "fasteners": "set state", "proof": "proof passed",
    "step": "step done", "part-used": "part", "deferred": "until", "settled": "entry",
    "concession": "what accepted_by why", "attachment": "file name sha256", "strike": "entry why",
    "set-aside": "bytes sha256", "signed": "sealed signature key", "reopened": "why",
}  # fmt: skip
"""Those that no entry of a kind is without."""
WORDS = {
    ("finding", "severity"): "note watch reject",
    ("disposition", "decision"): "reuse rework replace scrap",
    ("changed", "how"): "reworked new moved found",
    ("fasteners", "state"): "removed fitted tight locked backed-off again",
}
"""Fields that are one of a few words."""
NUMBERS = {"n", "entry", "bytes", "stage", "life", "row"}
COUNTS = {"part-used": {"count"}, "fasteners": {"count"}}
FLAGS = {"passed", "done", "trial", "extra"}
GAUGE = (
    "name kind title range resolution max_error zero_error repeatability expansion reads serial "
    "due uncertainty"
)
OBJECTS = {"previous": "file head", "from_file": "name sha256 row", "taken": "n at by head"}
SEAL = ("job", "moment", "entries", "sha256", "key", "name", "role", "at", "statement")
HEX = {"prev": 64, "sha256": 64, "key": 64, "signature": 128, "job": 32}
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:\d\d)", re.ASCII)
WITH_UNIT = re.compile(r"(?s).*[^\W\d_%].*|.*[%\"'°].*")


class WrongError(ValueError):
    """What is wrong with a line or a seal."""


@dataclass(frozen=True)
class Seal:
    """A seal: its line, whose it says it is, its key, and what is wrong with it."""

    line: int
    name: str
    moment: str
    key: str
    wrong: str | None

    @property
    def fingerprint(self) -> str:
        blob = b"\0\0\0\x0bssh-ed25519\0\0\0\x20" + bytes.fromhex(self.key)
        return "SHA256:" + base64.b64encode(sha256(blob).digest()).decode().rstrip("=")


@dataclass(frozen=True)
class Checked:
    """What a file is: its entries up to the first wrong line, its torn tail, its seals."""

    lines: list[bytes]
    entries: list[dict[str, Any]]
    torn: bytes
    wrong_line: int | None
    wrong: str | None
    seals: list[Seal]

    @property
    def head(self) -> str | None:
        return f"{len(self.lines)}:{sha256(self.lines[-1]).hexdigest()}" if self.lines else None

    def yes(self, known: Mapping[str, str]) -> bool:
        """Tell whether the file is whole and every seal is by a key known by this name."""
        return (
            bool(self.lines)
            and self.wrong is None
            and all(s.wrong is None and known.get(s.key) == s.name for s in self.seals)
        )


def examine(data: bytes) -> Checked:
    """Read a job file as its description says."""
    lines, torn = parted(data)
    entries: list[dict[str, Any]] = []
    seals: list[Seal] = []
    link = "0" * 64
    for number, line in enumerate(lines, 1):
        try:
            entry = entry_of(line)
            if (entry["n"], entry["prev"]) != (number, link):
                raise WrongError("it does not follow on the line before it")
            if (entry["kind"] == "opened") != (number == 1):
                raise WrongError("the first line, and no other, opens the job")
            if entry["kind"] == "signed":
                seals.append(seal_of(entry, lines[: number - 1], entries[0]["job"]))
                if seals[-1].wrong:
                    raise WrongError(seals[-1].wrong)
        except WrongError as wrong:
            return Checked(lines, entries, torn, number, str(wrong), seals)
        entries.append(entry)
        link = sha256(line).hexdigest()
    return Checked(lines, entries, torn, None, None, seals)


def parted(data: bytes) -> tuple[list[bytes], bytes]:
    """Part a file at LF alone; what has no LF, or ends in lines with NUL, was never recorded."""
    *lines, torn = data.split(b"\n")
    while lines and b"\0" in lines[-1] and b'\0{"n":' not in lines[-1]:
        torn = lines.pop() + b"\n" + torn
    return [line + b"\n" for line in lines], torn


def entry_of(line: bytes) -> dict[str, Any]:
    """Read one line, in its one spelling."""
    if len(line) > 1 << 20:
        raise WrongError("longer than 1 MiB")
    if min(line[:-1], default=0x20) < 0x20:
        raise WrongError("a control character")
    depth = deepest = 0
    for mark in re.sub(rb'"(?:[^"\\]|\\.)*"', b"", line):
        depth += {0x7B: 1, 0x5B: 1, 0x7D: -1, 0x5D: -1}.get(mark, 0)
        deepest = max(deepest, depth)
    if deepest > 16:
        raise WrongError("nested too deep")
    try:
        entry = json.loads(line.decode("utf-8"), object_pairs_hook=once, parse_int=whole,
                           parse_float=never, parse_constant=never)  # fmt: skip
        again = json.dumps(entry, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
    except ValueError as err:
        raise WrongError(str(err)) from err
    if again != line:
        raise WrongError("spelled in another way")
    if not isinstance(entry, dict):
        raise WrongError("no object")
    check_fields(entry)
    return entry


def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len({key for key, _ in pairs}) < len(pairs):
        raise WrongError("a key twice")
    return dict(pairs)


def whole(digits: str) -> int:
    if len(digits.lstrip("-")) > 20:
        raise WrongError("more than 20 digits")
    return int(digits)


def never(text: str) -> NoReturn:
    raise WrongError(f"{text} is no whole number")


def check_fields(entry: dict[str, Any]) -> None:
    kind = entry.get("kind")
    if not isinstance(kind, str) or kind not in OWN:
        raise WrongError("no kind that is known")
    last = [] if kind == "signed" else ["note", "done_at", "from_file", "taken"]
    order = ["n", "at", "by", "kind", *OWN[kind].split(), *last, "prev"]
    if list(entry) != [key for key in order if key in entry]:
        raise WrongError("a field that is not known, or out of its order")
    if not {"n", "at", "by", "prev", *NEEDED[kind].split()} <= set(entry):
        raise WrongError("a field is missing")
    if kind == "reading" and ("value" in entry) == ("left_out" in entry):
        raise WrongError("a value, or why there is none")
    if kind == "opened" and entry["format"] != "bedplate-job/1":
        raise WrongError("another format")
    for key, value in entry.items():
        check_value(kind, key, value)


def check_value(kind: str, key: str, value: Any) -> None:
    if key in NUMBERS | COUNTS.get(kind, set()):
        good = type(value) is int and value >= (0 if key == "count" else 1)
    elif key in FLAGS:
        good = type(value) is bool
    elif key in {"sheet", "on", "touching", *OBJECTS} or (kind, key) == ("gauge", "gauge"):
        good = is_structure(key, value)
    elif (kind, key) in WORDS:
        good = value in WORDS[kind, key].split()
    else:
        good = isinstance(value, str) and is_text(key, value)
    if not good:
        raise WrongError(f"{key} is not what it may be")


def is_structure(key: str, value: Any) -> bool:
    if key == "sheet":
        return isinstance(value, dict) and bounded(value)
    if key == "gauge":
        good = isinstance(value, dict) and next(iter(value), "") == "name"
        return good and set(value) <= set(GAUGE.split()) and all_texts(value.values())
    if key == "touching":
        return isinstance(value, list) and bool(value) and all_texts(value)
    each = {"on": "place part life", **OBJECTS}[key].split()
    rows = value if key == "on" else [value]
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        return False
    for row in rows:
        for inner in row:
            check_value("", inner, row[inner])
    return bool(rows) and all(list(row) == each for row in rows)


def is_text(key: str, value: str) -> bool:
    if key in {"at", "done_at"}:
        return is_time(value)
    if key in HEX:
        return bool(re.fullmatch(rf"[0-9a-f]{{{HEX[key]}}}", value))
    if key == "head":
        return bool(re.fullmatch(r"[1-9][0-9]{0,19}:[0-9a-f]{16,64}", value))
    return 0 < len(value) <= 4_000


def all_texts(values: Iterable[Any]) -> bool:
    return all(isinstance(each, str) and 0 < len(each) <= 4_000 for each in values)


def bounded(value: Any) -> bool:
    if isinstance(value, dict):
        return all(bounded(part) for pair in value.items() for part in pair)
    if isinstance(value, list):
        return all(bounded(part) for part in value)
    return type(value) in {int, bool} or (isinstance(value, str) and len(value) <= 4_000)


def is_time(text: str) -> bool:
    try:
        return bool(TIME.fullmatch(text)) and datetime.fromisoformat(text) is not None
    except ValueError:
        return False


def seal_of(entry: dict[str, Any], before: list[bytes], job: str) -> Seal:
    """Weigh a seal: its text, its signature, what it covers, and the line around it."""
    values: dict[str, str] = {}
    wrong: str | None = None
    try:
        values = sealed_lines(entry["sealed"])
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(values["key"])).verify(
            bytes.fromhex(entry["signature"]), entry["sealed"].encode()
        )
        covered = {
            "job": job,
            "entries": str(len(before)),
            "sha256": sha256(b"".join(before)).hexdigest(),
            "key": entry["key"],
            "name": entry["by"],
            "at": entry["at"],
        }
        if off := [key for key, value in covered.items() if values[key] != value]:
            wrong = f"sealed of another {off[0]}"
    except InvalidSignature:
        wrong = "the signature does not hold"
    except ValueError as err:
        wrong = str(err)
    moment = values.get("moment", "")
    return Seal(entry["n"], entry["by"], moment, entry["key"], wrong)


def sealed_lines(text: str) -> dict[str, str]:
    first, *lines, end = text.split("\n")
    if first != "bedplate-seal/1" or end or len(lines) != len(SEAL):
        raise WrongError("no sealed text of ten lines")
    values = {}
    for key, line in zip(SEAL, lines, strict=True):
        name, _, value = line.partition(": ")
        if name != key or value != value.strip() or re.search(r"[\x00-\x1f\x7f-\x9f]", value):
            raise WrongError(f"the sealed line {key} is not as it must be")
        values[key] = value
    return values


def without_unit(entries: list[dict[str, Any]]) -> list[tuple[int, str, str]]:
    """Return the quantities of a job that stand without their unit: entry, field, text."""
    found = []
    for entry in entries:
        fields = {"reading": ("value", "nominal", "temp", "gauge_temp"), "setting": ("shown",),
                  "fasteners": ("value",)}.get(entry["kind"], ())  # fmt: skip
        texts = {key: entry[key] for key in fields if key in entry}
        if entry["kind"] == "gauge":
            sizes = ("resolution", "max_error", "zero_error", "repeatability", "uncertainty")
            texts |= {key: entry["gauge"][key] for key in sizes if key in entry["gauge"]}
        found += [(entry["n"], k, t) for k, t in texts.items() if not WITH_UNIT.fullmatch(t)]
    return found
