from __future__ import annotations

import json
import time
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedplate.errors import StorageError
from bedplate.record.entries import KINDS, NO_LINE, On, Reading, SheetRevised
from bedplate.record.spelling import (
    LINE_LIMIT,
    SpellingError,
    UnknownHereError,
    read_line,
    read_link,
    spell,
)
from bedplate.record.stamping import stamped

GOLDEN = Path(__file__).parent / "golden" / "format-1-every-kind.job.jsonl"

TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20)
NUMBER = st.integers(1, 10**20 - 1)
HEX64 = st.text("0123456789abcdef", min_size=64, max_size=64)
HEAD = st.builds(lambda n, digits: f"{n}:{digits}", NUMBER, HEX64)
MOMENT = st.datetimes(datetime(1000, 1, 1), datetime(8999, 12, 31)).map(
    lambda when: when.isoformat(timespec="seconds") + "+01:00"
)
SHEET = st.dictionaries(
    TEXT,
    st.recursive(
        TEXT | st.booleans() | st.integers(0, 10**20 - 1),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
        max_leaves=6,
    ),
    max_size=4,
)


def ordered(**parts: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Return objects with all of these keys, in this order."""
    return st.fixed_dictionaries(parts).map(lambda found: {key: found[key] for key in parts})


ON = ordered(place=TEXT, part=TEXT, life=NUMBER)
GAUGE_KEYS = (
    "kind title range resolution max_error zero_error repeatability expansion reads serial due"
    " uncertainty"
)
GAUGE = st.dictionaries(st.sampled_from(GAUGE_KEYS.split()), TEXT).map(
    lambda rest: {"name": "mic1", **rest}
)

ALWAYS: dict[str, dict[str, st.SearchStrategy[Any]]] = {
    "opened": {
        "format": st.just("bedplate-job/1"),
        "job": st.text("0123456789abcdef", min_size=32, max_size=32),
    },
    "sheet-revised": {"what": TEXT, "sheet": SHEET},
    "gauge": {"gauge": GAUGE},
    "setting": {"gauge": TEXT, "shown": TEXT},
    "reading": {"address": TEXT, "value": TEXT},
    "finding": {"severity": st.sampled_from(["note", "watch", "reject"])},
    "disposition": {
        "component": TEXT,
        "decision": st.sampled_from(["reuse", "rework", "replace", "scrap"]),
        "why": TEXT,
    },
    "changed": {"component": TEXT, "how": st.sampled_from(["reworked", "new", "moved", "found"])},
    "fasteners": {
        "set": TEXT,
        "state": st.sampled_from(["removed", "fitted", "tight", "locked", "backed-off", "again"]),
    },
    "proof": {"proof": TEXT, "passed": st.booleans()},
    "step": {"step": TEXT, "done": st.booleans()},
    "part-used": {"part": TEXT},
    "deferred": {"until": TEXT},
    "settled": {"entry": NUMBER},
    "concession": {"what": TEXT, "accepted_by": TEXT, "why": TEXT},
    "attachment": {"file": TEXT, "name": TEXT, "sha256": HEX64},
    "strike": {"entry": NUMBER, "why": TEXT},
    "set-aside": {"bytes": NUMBER, "sha256": HEX64},
    "signed": {
        "sealed": TEXT,
        "signature": st.text("0123456789abcdef", min_size=128, max_size=128),
        "key": HEX64,
    },
    "reopened": {"why": TEXT},
}
SOMETIMES: dict[str, dict[str, st.SearchStrategy[Any]]] = {
    "opened": {
        **dict.fromkeys(("customer", "machine", "serial", "hours", "asked"), TEXT),
        "previous": ordered(file=TEXT, head=HEAD),
        "sheet": SHEET,
    },
    "sheet-revised": {"why": TEXT},
    "setting": {"reference": TEXT, "in": TEXT},
    "reading": {
        **dict.fromkeys(("nominal", "gauge", "temp", "gauge_temp", "kept"), TEXT),
        "on": st.lists(ON, min_size=1, max_size=3),
    },
    "finding": {"place": TEXT, "how": TEXT, "back": TEXT},
    "disposition": {"extra": st.booleans()},
    "changed": {
        "touching": st.lists(TEXT, min_size=1, max_size=3),
        **dict.fromkeys(("size", "mark", "from", "number", "shop"), TEXT),
    },
    "fasteners": {
        "count": st.integers(0, 10**20 - 1),
        "stage": NUMBER,
        "value": TEXT,
        "gauge": TEXT,
        "trial": st.booleans(),
    },
    "part-used": {
        "count": st.integers(0, 10**20 - 1),
        **dict.fromkeys(("number", "maker", "batch"), TEXT),
    },
    "deferred": {"holds": TEXT, "why": TEXT},
    "settled": {"how": TEXT},
    "attachment": {"place": TEXT},
}
CLOSING: dict[str, st.SearchStrategy[Any]] = {
    "note": TEXT,
    "done_at": MOMENT,
    "from_file": ordered(name=TEXT, sha256=HEX64, row=NUMBER),
    "taken": ordered(n=NUMBER, at=MOMENT, by=TEXT, head=HEAD),
}


def lines_of_kind(kind: str) -> st.SearchStrategy[dict[str, Any]]:
    """Return what lines of a kind may say, keys in any order."""
    always = {"n": NUMBER, "at": MOMENT, "by": TEXT, "kind": st.just(kind), "prev": HEX64}
    closing = {} if kind == "signed" else CLOSING
    return st.fixed_dictionaries(always | ALWAYS[kind], optional=SOMETIMES.get(kind, {}) | closing)


def in_order(said: dict[str, Any]) -> dict[str, Any]:
    """Return the same with its keys in the order of the documents."""
    model = KINDS[said["kind"]]
    order = [field.alias or name for name, field in model.model_fields.items()]
    return {key: said[key] for key in order if key in said}


def as_line(said: dict[str, Any]) -> bytes:
    return json.dumps(said, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def reading_line(**own: Any) -> bytes:
    """Return a good line of a reading, with some of what it says replaced."""
    said = {
        "n": 5,
        "at": "2025-11-24T15:40:00+00:00",
        "by": "Ann Fitter",
        "kind": "reading",
        "address": "H.idler@b",
        "value": "0.7503 in",
        "on": [{"place": "gear.idler", "part": "gear.idler", "life": 1}],
        "prev": NO_LINE,
    }
    return as_line(said | own)


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=25)
@given(data=st.data())
def test_every_kind_is_read_back_from_the_very_bytes_it_is_spelled_in(
    kind: str, data: st.DataObject
) -> None:
    said = in_order(data.draw(lines_of_kind(kind)))
    line = as_line(said)
    entry = read_line(line)
    assert type(entry) is KINDS[kind]
    assert spell(entry) == line
    assert json.loads(line) == said


@pytest.mark.parametrize("kind", KINDS)
def test_the_strategies_know_every_field(kind: str) -> None:
    given_here = {"n", "at", "by", "kind", "prev", *ALWAYS[kind], *SOMETIMES.get(kind, {})}
    given_here |= set() if kind == "signed" else set(CLOSING)
    known = {field.alias or name for name, field in KINDS[kind].model_fields.items()}
    assert known - given_here == ({"left_out"} if kind == "reading" else set())


@settings(max_examples=150)
@given(data=st.data())
def test_keys_in_any_other_order_are_refused(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(sorted(KINDS)))
    said = in_order(data.draw(lines_of_kind(kind)))
    keys = data.draw(st.permutations(list(said)))
    line = as_line({key: said[key] for key in keys})
    if keys == list(said):
        assert spell(read_line(line)) == line
    else:
        with pytest.raises(SpellingError, match="keys are in another order"):
            read_line(line)


def test_the_golden_file_of_format_1_is_read_and_spelled_to_the_byte() -> None:
    data = GOLDEN.read_bytes()
    entries = [read_line(line) for line in data.splitlines(keepends=True)]
    assert {entry.kind for entry in entries} == set(KINDS)
    assert b"".join(spell(entry) for entry in entries) == data


def test_letters_stand_as_themselves_and_control_characters_are_escaped() -> None:
    reading = Reading(address="D", value='½ in µ \u202e \u2028 \x7f " \\ / \n \t \x01 😀')
    line = spell(stamped(reading, n=1, at="2025-11-24T15:40:00Z", by="Å", prev=NO_LINE))
    assert (
        line
        == (
            '{"n":1,"at":"2025-11-24T15:40:00Z","by":"Å","kind":"reading","address":"D",'
            '"value":"½ in µ \u202e \u2028 \x7f \\" \\\\ / \\n \\t \\u0001 😀",'
            f'"prev":"{NO_LINE}"}}\n'
        ).encode()
    )
    assert read_line(line).by == "Å"


def test_what_has_no_value_is_left_out_also_within() -> None:
    on = (On(place="body", part="body", life=1),)
    reading = Reading(address="D", left_out="no access", on=on)
    line = spell(stamped(reading, n=1, at="2025-11-24T15:40:00Z", by="Ann", prev=NO_LINE))
    assert b"null" not in line
    assert b'"left_out":"no access","on":[{"place":"body","part":"body","life":1}],"prev"' in line


def test_false_is_a_value_and_is_kept() -> None:
    line = (
        b'{"n":1,"at":"2025-11-24T15:40:00Z","by":"Ann","kind":"fasteners","set":"N",'
        b'"state":"tight","trial":false,"prev":"' + b"0" * 64 + b'"}\n'
    )
    assert spell(read_line(line)) == line


def refusal(line: bytes) -> SpellingError:
    with pytest.raises(SpellingError) as caught:
        read_line(line, file="pump.job.jsonl", number=5)
    return caught.value


def sheet_line(sheet: bytes) -> bytes:
    start = b'{"n":5,"at":"2025-11-24T15:40:00Z","by":"Ann","kind":"sheet-revised","what":"a",'
    return start + b'"sheet":' + sheet + b',"prev":"' + b"0" * 64 + b'"}\n'


GOOD = reading_line()


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (GOOD[:-1], "it has no line end"),
        (b"", "it has no line end"),
        (b"\n", "it is no JSON"),
        (GOOD + GOOD, "it holds the control character 0x0a"),
        (GOOD[:-1] + b"\r\n", "it holds the control character 0x0d"),
        (GOOD.replace(b"idler@b", b"idler\t"), "it holds the control character 0x09"),
        (GOOD.replace(b"idler@b", b"idler\0"), "it holds the control character 0x00"),
        (GOOD.replace(b"idler@b", b"idler\xff"), "it is not UTF-8"),
        (GOOD.replace(b"idler@b", b"idler\xed\xa0\x80"), "it is not UTF-8"),
        (b"\xef\xbb\xbf" + GOOD, "it is no JSON"),
        (GOOD[:40] + b"\n", "it is no JSON"),
        (b'"n"\n', "it is no object"),
        (b"[" * 100_000 + b"\n", "it is nested more than 16 deep"),
        (b"{" * 17 + b"\n", "it is nested more than 16 deep"),
        (GOOD.replace(b'"n":5', b'"n":5,"n":5'), 'the key "n" stands in it twice'),
        (GOOD.replace(b'"life":1', b'"life":1,"life":2'), 'the key "life" stands in it twice'),
        (GOOD.replace(b'"n":5', b'"n":5.0'), '"5.0" in it is no whole number'),
        (GOOD.replace(b'"n":5', b'"n":5e0'), '"5e0" in it is no whole number'),
        (GOOD.replace(b'"n":5', b'"n":NaN'), '"NaN" in it is no whole number'),
        (GOOD.replace(b'"n":5', b'"n":-Infinity'), '"-Infinity" in it is no whole number'),
        (GOOD.replace(b'"n":5', b'"n":05'), "it is no JSON"),
        (GOOD.replace(b'"n":5', b'"n":+5'), "it is no JSON"),
        (GOOD.replace(b'"n":5', b'"n":"5"'), '"n" is not what it may be'),
        (GOOD.replace(b'"n":5', b'"n":true'), '"n" is not what it may be'),
        (GOOD.replace(b'"n":5', b'"n":0'), '"n" is not what it may be'),
        (GOOD.replace(b'"n":5', b'"n":-0'), '"n" is not what it may be'),
        (GOOD.replace(b'"n":5', b'"n":' + b"9" * 21), "a number in it has more than 20 digits"),
        (GOOD.replace(b'"n":5', b'"n":' + b"9" * 9_999), "a number in it has more than 20 digits"),
        (GOOD.replace(b'"n":5,', b""), '"n" is missing'),
        (GOOD.replace(b'"kind":"reading",', b""), '"kind" is missing'),
        (GOOD.replace(b'"reading"', b"[1]"), '"kind" is no word'),
        (GOOD.replace(b'"address":"H.idler@b",', b""), '"address" is missing'),
        (GOOD.replace(b"H.idler@b", b""), '"address" is empty'),
        (reading_line(on=[]), '"on" is empty'),
        (reading_line(address="x" * 4_001), '"address" is longer than 4,000 characters'),
        (reading_line(value=None), '"what it says" is without one'),
        (reading_line(on=[{"place": "a", "part": "a", "life": 0}]), '"on.0.life" is not what'),
        (reading_line(at="2025-02-29T00:00:00Z"), '"at" is no time of RFC 3339 with its'),
        (reading_line(at="today"), '"at" is no time of RFC 3339 with its offset, like'),
        (reading_line(prev="0"), '"prev" is not what it may be'),
        (GOOD.replace(b'"n":5', b'"n": 5'), "its keys are in another order, or something"),
        (b" " + GOOD, "its keys are in another order, or something"),
        (GOOD.replace(b"idler@b", b"idler\\u0040b"), "its keys are in another order, or some"),
        (GOOD.replace(b"gear.idler", b"gear\\/idler"), "its keys are in another order, or some"),
        (GOOD.replace(b"idler@b", b"\\ud800"), "what it says is no JSON"),
        (reading_line(value="x" * LINE_LIMIT), "it is longer than 1 MiB"),
        (sheet_line(b'{"a":1.5}'), '"1.5" in it is no whole number'),
        (sheet_line(b'{"a":null}'), '"sheet" is holding something that is no text, list or'),
        (sheet_line(b'{"a":1,"a":1}'), 'the key "a" stands in it twice'),
        (sheet_line(b'{"a":' * 16 + b"1" + b"}" * 16), "it is nested more than 16 deep"),
        (sheet_line(b'{"a":-0}'), "its keys are in another order, or something"),
        (sheet_line(b'{"a":"' + b"x" * 4_001 + b'"}'), '"sheet" is with a text of more than'),
    ],
)
def test_what_is_not_spelled_so_is_refused_with_its_reason(line: bytes, reason: str) -> None:
    error = refusal(line)
    assert not isinstance(error, UnknownHereError)
    assert reason.replace('"what it says" is', "what it says is") in error.reason
    assert error.message == (
        f"Not read. Line 5 of pump.job.jsonl is not as bedplate writes it: {error.reason}."
    )
    assert error.hint == ("To see it as it stands:  bedplate log --raw",)
    assert error.exit_code == 3


def test_a_sheet_nested_as_deep_as_may_be_is_read() -> None:
    line = sheet_line(b'{"a":' * 15 + b"1" + b"}" * 15)
    assert spell(read_line(line)) == line


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (b'"' + b'\\"' * 500_000 + b"\n", "it is no JSON"),
        (b'"' * 999_999 + b"\n", "it is no JSON"),
        (b"[]" * 500_000 + b"\n", "it is no JSON"),
        (b"-" * 999_999 + b"\n", "it is no JSON"),
        (b"[" + b"1," * 500_000 + b"1]\n", "it is no object"),
        (
            as_line({f"{n}": 1 for n in range(90_000)})[:-2] + b',"0":1}\n',
            'the key "0" stands in it twice',
        ),
    ],
)
def test_a_line_made_to_keep_the_reader_busy_does_not(line: bytes, reason: str) -> None:
    assert len(line) <= LINE_LIMIT
    began = time.process_time()
    assert refusal(line).reason == reason
    assert time.process_time() - began < 5


def test_braces_within_a_text_are_no_nesting() -> None:
    line = reading_line(note="{" * 40 + '"' + "[" * 40)
    assert refusal(line).reason.startswith("its keys are in another order")
    said = in_order(json.loads(line))
    assert spell(read_line(as_line(said))) == as_line(said)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (
            GOOD.replace(b'"reading"', b'"lubricated"'),
            'Not read. Line 5 of pump.job.jsonl has the kind "lubricated", which this bedplate '
            "does not know. Nothing was changed.",
        ),
        (
            GOOD.replace(b'"value"', b'"colour":"blue","value"'),
            'Not read. Line 5 of pump.job.jsonl has the field "colour", which this bedplate '
            "does not know. Nothing was changed.",
        ),
        (
            GOOD.replace(b'"life":1', b'"life":1,"hue":1'),
            'Not read. Line 5 of pump.job.jsonl has the field "on.0.hue", which this bedplate '
            "does not know. Nothing was changed.",
        ),
        (
            as_line(
                {
                    "n": 5,
                    "at": "2025-11-24T15:40:00Z",
                    "by": "Ann",
                    "kind": "gauge",
                    "gauge": {"name": "mic1", "hue": "red"},
                    "prev": NO_LINE,
                }
            ),
            'Not read. Line 5 of pump.job.jsonl has the field "gauge.hue", which this bedplate '
            "does not know. Nothing was changed.",
        ),
    ],
)
def test_a_kind_or_field_not_known_here_is_named(line: bytes, message: str) -> None:
    error = refusal(line)
    assert isinstance(error, UnknownHereError)
    assert error.message == message


def test_a_newer_format_has_its_own_refusal() -> None:
    line = as_line(
        {
            "n": 1,
            "at": "2031-11-24T15:40:00Z",
            "by": "Ann",
            "kind": "opened",
            "format": "bedplate-job/2",
            "job": "0" * 32,
            "colour": "blue",
            "prev": NO_LINE,
        }
    )
    error = refusal(line)
    assert isinstance(error, UnknownHereError)
    assert error.as_lines() == [
        "Not read. pump.job.jsonl is of format 2; this bedplate reads 1. Nothing was changed."
    ]


@pytest.mark.parametrize("form", ["bedplate-job/01", "bedplate-job/0", "bedplate-job/", "x"])
def test_what_is_no_format_at_all_is_no_newer_one(form: str) -> None:
    opened = {"n": 1, "at": "2031-11-24T15:40:00Z", "by": "Ann", "kind": "opened"}
    error = refusal(as_line({**opened, "format": form, "job": "0" * 32, "prev": NO_LINE}))
    assert not isinstance(error, UnknownHereError)
    assert error.reason == '"format" is not what it may be'


def test_hostile_names_are_shown_visibly() -> None:
    error = refusal(GOOD.replace(b'"reading"', b'"\\u001b[2J"'))
    assert '"\\x1b[2J"' in error.message


def test_a_line_without_a_number_says_so_too() -> None:
    with pytest.raises(SpellingError) as caught:
        read_line(b"{}\n")
    assert caught.value.message == (
        'Not read. A line of the file is not as bedplate writes it: "n" is missing.'
    )


def test_an_entry_too_long_for_a_line_is_not_spelled() -> None:
    sheet = {f"k{i}": "x" * 4_000 for i in range(300)}
    long = stamped(
        SheetRevised(what="a", sheet=sheet), n=1, at="2025-11-24T15:40:00Z", by="A", prev=NO_LINE
    )
    with pytest.raises(StorageError) as caught:
        spell(long)
    assert caught.value.message == (
        "Not recorded. The entry is longer than 1 MiB, more than one line may hold."
    )


def test_the_link_of_a_line_of_another_format_is_read() -> None:
    prev = "ab" * 32
    assert read_link(as_line({"n": 7, "new": [1], "prev": prev})) == (7, prev)


@pytest.mark.parametrize(
    "line",
    [
        b"{}\n",
        b"[]\n",
        b"{",
        as_line({"n": True, "prev": NO_LINE}),
        as_line({"n": "7", "prev": NO_LINE}),
        as_line({"n": 7, "prev": "0"}),
        as_line({"n": 7, "prev": 0}),
        as_line({"n": 7.5, "prev": NO_LINE}),
        b'{"n":7,"n":7,"prev":"' + b"0" * 64 + b'"}\n',
    ],
)
def test_a_line_without_a_link_is_refused(line: bytes) -> None:
    with pytest.raises(SpellingError):
        read_link(line)


@settings(max_examples=300)
@given(line=st.binary(max_size=80) | st.text(max_size=80).map(lambda text: text.encode()))
def test_no_bytes_bring_the_reader_down(line: bytes) -> None:
    with pytest.raises(SpellingError):
        read_line(line + b"\n")
    with pytest.raises(SpellingError):
        read_link(line + b"\n")
