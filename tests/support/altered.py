"""A signed job, and what a careless hand or a forger does to it, family by family.

Bytes are changed here without any code of bedplate; only the jobs to begin with are made by it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from hashlib import sha256
from typing import Any, Final

from signed_jobs import ANN, BERT, Pen, reading, signer

from bedplate.record import entries as e
from bedplate.seal.openssh import Signer

Change = Callable[[bytes], bytes]
EVE: Final = signer(9)
_PREV = re.compile(rb'"prev":"[0-9a-f]{64}"}\n\Z')


def _plain() -> bytes:
    on = ({"place": "gear.idler", "part": "gear.idler", "life": 1},)
    origin = {"name": "a.csv", "sha256": "ab" * 32, "row": 2}
    pen = Pen().open(customer="J. Skipper")
    pen.write(
        e.GaugeDescribed(gauge={"name": "mic1", "resolution": "1 tenth"}),
        e.Setting(gauge="mic1", shown="0.0001 in", reference="1 in"),
        reading("H.idler@a", "0.9979 in", gauge="mic1", on=on, note="Übermaß geprüft"),
        reading("D", "1.0100 in"),
        e.Strike(entry=5, why="one turn of the thimble"),
        e.Finding(severity="watch", place="gear.idler", note='a "bright"\tline\x1b\u2028\x85'),
        reading("D", "1.0030 in", from_file=origin),
    )
    return pen.data


PLAIN: Final = _plain()
"""A job of eight entries, not signed."""
SIGNED: Final = Pen(PLAIN).sign().data
"""The same with Ann's seal behind it as entry 9."""
LATER: Final = Pen(SIGNED).sign(BERT).write(reading("W")).sign(moment="first run").data
"""The same, counter-signed by Bert, gone on for a later moment, and signed for that."""
SEAL: Final = 9
"""Number of the entry that holds the seal."""


def lines_of(data: bytes) -> list[bytes]:
    """Return the lines, parted at LF alone."""
    return [line + b"\n" for line in data.split(b"\n")[:-1]]


def changed(number: int, change: Change, data: bytes = SIGNED) -> bytes:
    """Return a job in which one line was changed, and nothing else."""
    lines = lines_of(data)
    before = lines[number - 1]
    lines[number - 1] = change(before)
    assert lines[number - 1] != before, "nothing was changed"
    return b"".join(lines)


def forged(number: int, change: Change, data: bytes = SIGNED, key: Signer | None = None) -> bytes:
    """Return a job in which one line was changed and all behind it was made to agree.

    With a key the seals are made anew too, by a forger who has it.
    """
    lines = lines_of(data)
    assert change(lines[number - 1]) != lines[number - 1], "nothing was changed"
    out: list[bytes] = []
    for n, line in enumerate(lines, 1):
        again = line
        if n > number:
            again = followed(line, out[-1])
            if key is not None and b',"kind":"signed",' in line:
                again = sealed_again(again, out, key)
        out.append(change(line) if n == number else again)
    return b"".join(out)


def followed(line: bytes, before: bytes) -> bytes:
    """Return a line with its last field made to agree with the line before it."""
    link = sha256(before).hexdigest().encode()
    return _PREV.sub(b'"prev":"' + link + b'"}\n', line)


def sealed_again(line: bytes, before: Sequence[bytes], key: Signer) -> bytes:
    """Return a seal's line with its seal made anew over what stands before it."""
    digest = sha256(b"".join(before)).hexdigest()

    def seal(text: str) -> str:
        text = re.sub(r"(?m)^sha256: .*$", f"sha256: {digest}", text)
        text = re.sub(r"(?m)^key: .*$", f"key: {key.public.hex}", text)
        return re.sub(r"(?m)^entries: .*$", f"entries: {len(before)}", text)

    return resealed(seal, key)(line)


def resealed(change: Callable[[str], str], key: Signer = ANN) -> Change:
    """Return what changes the sealed text of a line and signs it, as the key's holder could."""

    def again(line: bytes) -> bytes:
        entry = json.loads(line)
        text = change(entry["sealed"])
        entry |= {"sealed": text, "signature": key.sign(text.encode()).hex()}
        return dumped(entry | {"key": key.public.hex})

    return again


def dumped(entry: dict[str, Any]) -> bytes:
    """Return an entry as a line."""
    text = json.dumps(entry, ensure_ascii=False, separators=(",", ":"))
    return text.encode("utf-8", "surrogatepass") + b"\n"


def put(**fields: object) -> Change:
    """Return what gives fields of a line other values; new ones go before ``prev``."""

    def again(line: bytes) -> bytes:
        entry = json.loads(line)
        prev = entry.pop("prev")
        return dumped({**entry, **fields, "prev": fields.get("prev", prev)})

    return again


def without(*names: str) -> Change:
    """Return what takes fields out of a line."""
    return lambda line: dumped({k: v for k, v in json.loads(line).items() if k not in names})


def swapped(old: bytes, new: bytes) -> Change:
    """Return what puts some bytes in the place of their first like in a line."""
    return lambda line: line.replace(old, new, 1)


def _reordered(line: bytes) -> bytes:
    entry = json.loads(line)
    return dumped({"at": entry.pop("at"), **entry})


def _deep(line: bytes) -> bytes:
    entry = json.loads(line)
    deep: object = "x"
    for _ in range(16):
        deep = [deep]
    return dumped({**entry, "note": deep})


SPELLINGS: Final[dict[str, list[tuple[int, Change]]]] = {
    "key order": [(4, _reordered), (9, _reordered), (1, _reordered)],
    "white space": [
        (4, swapped(b":", b": ")),
        (4, swapped(b",", b", ")),
        (4, swapped(b"{", b"{ ")),
        (1, swapped(b"}\n", b" }\n")),
        (8, swapped(b'"kind"', b'\t"kind"')),
        (4, lambda line: b" " + line),
        (9, lambda line: b"\t" + line),
    ],
    "trailing blanks": [
        (4, swapped(b"}\n", b"} \n")),
        (8, swapped(b"}\n", b"}\t\n")),
        (9, swapped(b"}\n", b"}  \n")),
    ],
    "twin keys": [
        (4, swapped(b'"by":', b'"by":"Eve","by":')),
        (4, swapped(b'"by":"Ann Fitter"', b'"by":"Ann Fitter","by":"Ann Fitter"')),
        (4, swapped(b'"life":1', b'"life":1,"life":2')),
        (1, swapped(b'"title":', b'"title":"x","title":')),
        (9, swapped(b'"key":', b'"key":"' + b"0" * 64 + b'","key":')),
    ],
    "escapes in strings": [
        (4, swapped(b"Ann", b"\\u0041nn")),
        (4, swapped("Ü".encode(), b"\\u00dc")),
        (7, swapped(b"\\u001b", b"\\u001B")),
        (7, swapped(b"\\t", b"\\u0009")),
        (7, swapped(b'\\"', b"\\u0022")),
        (3, swapped(b"1 in", b"1\\/1 in")),
        (9, swapped(b"\\n", b"\\u000a")),
    ],
    "upper-case hex": [
        (4, lambda line: line[:-67] + line[-67:-3].upper() + line[-3:]),
        (8, swapped(b"ab" * 32, b"AB" * 32)),
        (9, lambda line: put(signature=json.loads(line)["signature"].upper())(line)),
        (9, lambda line: put(key=json.loads(line)["key"].upper())(line)),
        (1, swapped(b'"job":"5f', b'"job":"5F')),
    ],
    "floats": [
        (4, swapped(b'"n":4', b'"n":4.0')),
        (4, swapped(b'"n":4', b'"n":4e0')),
        (4, swapped(b'"life":1', b'"life":1.0')),
        (4, swapped(b'"0.9979 in"', b"0.9979")),
        (6, swapped(b'"entry":5', b'"entry":5E0')),
        (6, swapped(b'"entry":5', b'"entry":NaN')),
        (1, swapped(b'"unit":"in"', b'"unit":1e400')),
    ],
    "other types": [
        (4, swapped(b'"n":4', b'"n":"4"')),
        (4, swapped(b'"n":4', b'"n":04')),
        (4, swapped(b'"n":4', b'"n":true')),
        (6, swapped(b'"entry":5', b'"entry":"5"')),
        (6, swapped(b'"entry":5', b'"entry":0')),
        (6, swapped(b'"entry":5', b'"entry":-5')),
        (4, put(value=1)),
        (4, put(note=None)),
        (4, put(note="")),
        (4, put(note=["x"])),
        (4, put(by=None)),
        (2, put(gauge={"resolution": "1 tenth", "name": "mic1"})),
        (7, put(severity="grave")),
        (8, swapped(b'"row":2', b'"row":-2')),
    ],
    "no time": [
        (4, put(at=at))
        for at in (
            "2025-11-24 15:40:00+01:00",
            "2025-11-24T15:40:00",
            "2025-11-24t15:40:00z",
            "now",
            "2025-02-30T15:40:00Z",
            "2025-11-24T24:00:00Z",
            "20251124T154000Z",
            "",
            "2025-11-24T15:40:00+1",
            "٢٠25-11-24T15:40:00Z",
            "2025-11-24T15:40:00,5Z",
            "2025-W48-1T15:40:00Z",
            "12025-11-24T15:40:00Z",
            "2025-11-24T15:40:00+01:00 ",
        )
    ],
    "byte-order mark": [(number, lambda line: b"\xef\xbb\xbf" + line) for number in (1, 4, 9)],
    "NUL bytes": [
        (4, swapped(b"Ann", b"\0nn")),
        (4, swapped(b"}\n", b"}\0\n")),
        (4, swapped(b"}\n", b"}\0")),
        (4, lambda line: b"\0" * len(line)),
        (4, lambda line: b"\0" + line),
    ],
    "control characters": [
        (4, swapped(b"Ann", bytes([byte]) + b"nn")) for byte in (1, 8, 9, 11, 12, 13, 27, 31)
    ],
    "nested too deep": [
        (4, _deep),
        (1, swapped(b'"title":"Bilge fan gearbox"', b'"title":' + b"[" * 15 + b"]" * 15)),
        (4, swapped(b'"0.9979 in"', b"[" * 100_000 + b"]" * 100_000)),
        (4, lambda _: b"[" * 400_000 + b"\n"),
        (4, lambda _: b'{"a":' * 100_000 + b"\n"),
    ],
    "over-long texts and numbers": [
        (4, put(note="A" * 4_001)),
        (1, put(customer="Ü" * 4_001)),
        (4, swapped(b'"life":1', b'"life":' + b"1" * 21)),
        (4, swapped(b'"n":4', b'"n":' + b"4" * 5_000)),
        (4, put(note="A" * (1 << 20))),
        (1, swapped(b'"title"', b'"' + b"t" * 4_001 + b'"')),
    ],
    "lone surrogates": [
        (4, swapped(b"Ann", b"\\ud800nn")),
        (4, swapped(b"Ann", b"\xed\xa0\x80nn")),
        (4, swapped(b"Ann", b"\\ud83d\\ude00")),
        (1, swapped(b"Bilge", b"\\udfff")),
    ],
    "bytes that are no UTF-8": [
        (4, swapped(b"Ann", b"\xffnn")),
        (4, swapped(b"Ann", b"\xc0\xc1nn")),
        (4, swapped(b"Ann", b"\xf4\x90\x80\x80nn")),
        (9, swapped(b"Ann", b"\xe2\x82nn")),
    ],
    "no JSON of one object": [
        (4, swapped(b"}\n", b",}\n")),
        (4, swapped(b"}\n", b"}{}\n")),
        (4, lambda line: b"[" + line[:-1] + b"]\n"),
        (4, lambda _: b"\n"),
        (4, lambda _: b"null\n"),
        (4, lambda line: line.replace(b'"', b"'")),
        (4, swapped(b"}\n", b"}//\n")),
        (4, lambda line: line.decode().encode("utf-16")[:-2] + b"\n"),
    ],
    "fields missing": [
        (4, without("by")),
        (4, without("at")),
        (4, without("prev")),
        (4, without("n")),
        (4, without("kind")),
        (4, without("address")),
        (1, without("job")),
        (9, without("key")),
    ],
    "kind, field or format not known": [
        (4, put(kind="weighed")),
        (4, put(weight="3 lb")),
        (4, swapped(b'"life":1', b'"life":1,"wear":"x"')),
        (2, put(gauge={"name": "mic1", "colour": "red"})),
        (6, put(value="1 in")),
        (9, put(note="more")),
        (9, put(done_at="2025-11-24T15:40:00+01:00")),
        (9, put(taken={"n": 1, "at": "x", "by": "x", "head": "x"})),
    ],
}
"""Lines that say something in a way in which no line is written, by family: number and change."""
