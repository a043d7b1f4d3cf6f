"""``measure --from``: all rows of a table or none, repeats in it, never twice from one file."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from typist import RECORDED_KEYS, Typist

HEAD = "address,value,gauge,temp,at,note"
COLUMNS = f"  It should read:  {HEAD}"


def table(text: str | bytes, name: str = "readings.csv") -> str:
    """Write a table and return the line that takes it."""
    Path(name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return f"measure --from {name}"


def taken(typist: Typist) -> list[tuple[str, str]]:
    """Return address and value of every reading in the record."""
    return [(e["address"], e["value"]) for e in typist.entries if e["kind"] == "reading"]


# ---- accepted


def test_rows_are_recorded_with_where_they_come_from(typist: Typist) -> None:
    typist.open().done('gauge add mic1 --resolution "1 tenth"')
    text = (
        f"{HEAD}\n"
        "D,1.0031,,24C,2025-11-24T14:52:00+01:00,after lapping\n"
        "H.idler@a,0.9979,mic1,,,\n"
        '"H.idler@b"," 0.9978 ",mic1,,,"a rub, bright"\n'
    )
    assert typist.done(table(text)) == [
        "entry 2   gauge mic1: resolution 1 tenth",
        "entry 3   D  1.0031 in at 24C   bore depth   (after lapping)",
        "entry 4   H.idler@a  0.9979 in   gear height   on mic1",
        "entry 5   H.idler@b  0.9978 in   gear height   on mic1   (a rub, bright)",
        "  EC driver  waiting for H.driver",
        "  EC idler   waiting for H.idler",
    ]
    digest = hashlib.sha256(text.encode()).hexdigest()
    assert typist.entries[2] | {"at": "", "prev": ""} == {
        "n": 3, "at": "", "by": "Ann Fitter", "kind": "reading", "address": "D",
        "value": "1.0031 in", "temp": "24C",
        "on": [{"place": "body", "part": "body", "life": 1}], "note": "after lapping",
        "done_at": "2025-11-24T14:52:00+01:00",
        "from_file": {"name": "readings.csv", "sha256": digest, "row": 2}, "prev": "",
    }  # fmt: skip
    assert typist.entries[4]["from_file"]["row"] == 4


def test_rows_of_one_file_at_one_address_are_repeats(typist: Typist) -> None:
    typist.open()
    found = typist.document(table("address,value\nD,1.0031\nD,1.0033\nH.driver@a,1.0000\n"))
    assert (list(found), found["recorded"]) == (RECORDED_KEYS, [2, 3, 4])
    fit = next(fit for fit in found["fits"] if fit["position"] == "driver")
    assert (fit["mean"], fit["readings"]) == ("3.2", [2, 3, 4])


@pytest.mark.parametrize(
    "text",
    [
        b"\xef\xbb\xbfaddress,value\nZ,0.0031\n",
        b"address;value\nZ;0,0031\n",
        b"address;value;gauge;temp;at;note\r\nZ;0,0031;;;;\r\n",
        b'address,value\nZ,"0,0031"\n',
        b"address\tvalue\nZ\t0.0031\n",
        b"Value,ADDRESS\n0.0031,Z\n",
        b"address , value\n\n Z , 0.0031 \n,,\n",
    ],
    ids=["byte-order mark", "semicolons", "CR LF", "quoted comma", "tabs", "order", "blanks"],
)
def test_tables_as_programs_write_them(typist: Typist, text: bytes) -> None:
    typist.open().done(table(text))
    ((address, value),) = taken(typist)
    assert (address, value.replace(",", ".")) == ("Z", "0.0031 in")


def test_a_table_is_read_from_standard_input(typist: Typist) -> None:
    typist.open()
    ran = subprocess.run(
        [sys.executable, "-m", "bedplate", "measure", "--from", "-"],
        input=b"address,value\nZ,-0.0031\n",
        capture_output=True,
        check=False,
    )
    assert (ran.returncode, ran.stdout) == (0, b"entry 2   Z  -0.0031 in   face\n")
    assert typist.last["from_file"]["name"] == "standard input"


def test_a_file_taken_before_is_passed_over_row_by_row(typist: Typist) -> None:
    typist.open().done(table("address,value\nD,1.0031\nZ,0.0010\n"), "strike 3 --why slip")
    before = typist.data
    assert typist.done("measure --from readings.csv") == [
        "2 rows of readings.csv had been recorded before and passed over."
    ]
    assert typist.data == before
    assert typist.document("measure --from readings.csv")["recorded"] == []


def test_what_stands_there_is_repeated_or_struck_for_the_whole_file(typist: Typist) -> None:
    typist.open().done("measure D 1.0031", "measure Z 0.0010")
    text = "address,value\nD,1.0033\nD,1.0035\nZ,0.0011\n"
    assert typist.refused(table(text)) == [
        "Nothing recorded: readings.csv has 3 rows to mend out of 3.",
        "  row 2   D was read before: 1.0031 in (entry 2): give --again or --instead",
        "  row 3   D was read before: 1.0031 in (entry 2): give --again or --instead",
        "  row 4   Z was read before: 0.0010 in (entry 3): give --again or --instead",
    ]
    assert typist.done("measure --from readings.csv --instead")[:5] == [
        "entry 4   strikes 2 (1.0031 in): slip",
        "entry 5   strikes 3 (0.0010 in): slip",
        "entry 6   D  1.0033 in   bore depth",
        "entry 7   D  1.0035 in   bore depth",
        "entry 8   Z  0.0011 in   face",
    ]
    typist.done(table("address,value\nD,1.0034\n", "more.csv") + " --again")
    assert typist.last["value"] == "1.0034 in"


@pytest.mark.parametrize(("note", "why"), [("", "slip"), (' --note "wrong gauge"', "wrong gauge")])
def test_why_the_old_ones_go_is_said_for_the_whole_file(
    typist: Typist, note: str, why: str
) -> None:
    typist.open().done("measure D 1.0031", "measure Z 0.0010")
    text = "address,value,note\nD,1.0033,burr\nD,1.0035,\nZ,0.0011,at the edge\n"
    typist.done(table(text) + f" --instead{note}")
    strikes, readings = typist.entries[3:5], typist.entries[5:]
    assert [(e["entry"], e["why"]) for e in strikes] == [(2, why), (3, why)]
    everywhere = why if note else None
    assert [e.get("note") for e in readings] == ["burr", everywhere, "at the edge"]


def test_what_a_row_says_goes_before_what_the_command_says(typist: Typist) -> None:
    typist.open().done(
        table("address,value,temp,note\nZ,0.0010,30C,mine\nD,1.0031,,\n")
        + " --temp 24C --note all --at 2025-11-24T08:00:00Z"
    )
    assert [(e["temp"], e["note"], e["done_at"]) for e in typist.entries[1:]] == [
        ("30C", "mine", "2025-11-24T08:00:00+00:00"),
        ("24C", "all", "2025-11-24T08:00:00+00:00"),
    ]


def test_yes_answers_what_is_questioned(typist: Typist) -> None:
    typist.open()
    assert typist.refused(table("address,value\nH.idler@b,0.9728\n")) == [
        "Nothing recorded: readings.csv has 1 row to mend out of 1.",
        "  row 2   0.9728 is 27.2 thou under nominal: one turn of the thimble? If it is",
        "    right, give --yes",
    ]
    found = typist.document("measure --from readings.csv --yes")
    assert found["questioned"] == [{"entry": 2, "kept": "0.9728 is 27.2 thou under nominal"}]


# ---- refused, and nothing recorded


def test_every_row_to_mend_is_told_in_the_order_of_the_file(typist: Typist) -> None:
    typist.open()
    text = (
        f"{HEAD}\n"
        "D,1.0031,,,,\n"
        "H.idle@a,0.9979,,,,\n"
        "H.idler@a,0,75,,,,\n"
        "H.idler@b,0.9978,mic3,,,\n"
        "H.idler@c,,,,,\n"
        ",0.9978,,,,\n"
        "H.driver@a,1.0001,,24,,\n"
        "H.driver@b,1.0001,,,soon,\n"
        "H.driver@c,1e0,,,,\n"
        "X,1.0,,,,,,,,\n"
    )
    assert typist.refused(table(text)) == [
        "Nothing recorded: readings.csv has 9 rows to mend out of 10.",
        '  row 3   H (gear height) has no position "idle". Nearest: idler',
        '  row 4   value "0,75": is the comma a decimal point? Then set it as ";" table',
        '  row 5   There is no gauge "mic3" in your cabinet yet.',
        "  row 6   has no value",
        "  row 7   has no address",
        '  row 8   "24" has no unit.',
        '  row 9   "soon" is no time.',
        '  row 10  "1e0" has an exponent.',
        "  row 11  has 10 cells, and the first row names 6",
    ]


@pytest.mark.parametrize("row", ["Z,0,0031", "Z,19,057", "Z,-0,002,,,,", "Z,0,0031,,,,note"])
def test_a_bare_decimal_comma_in_a_comma_table_is_seen_for_what_it_is(
    typist: Typist, row: str
) -> None:
    typist.open()
    shown = ",".join(row.split(",")[1:3])
    first, *more = typist.refused(table(f"{HEAD}\n{row}\n"))
    assert first == "Nothing recorded: readings.csv has 1 row to mend out of 1."
    assert " ".join(line.strip() for line in more) == (
        f'row 2   value "{shown}": is the comma a decimal point? Then set it as ";" table'
    )


def test_three_digits_after_a_comma_may_be_thousands_but_not_in_millimetres(
    typist: Typist,
) -> None:
    typist.open()
    assert typist.refused(table("address;value\nZ;1,003\n"))[1] == (
        '  row 2   "1,003" can be 1.003 or one thousand and three.'
    )
    typist.done(table("address;value\nZ;1,003 mm\n"))
    assert taken(typist) == [("Z", "1,003 mm")]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"", ["readings.csv is empty.", f"  Columns:  {HEAD}"]),
        (b"\n \n,,,\n", ["readings.csv is empty.", f"  Columns:  {HEAD}"]),
        (b"\xef\xbb\xbf", ["readings.csv is empty.", f"  Columns:  {HEAD}"]),
        (b"address,value\n", ["readings.csv has no row but its first."]),
        (
            b"place,value\nD,1.0\n",
            [
                "the first row of readings.csv does not name the columns.",
                '"place" is none.',
                COLUMNS,
            ],
        ),
        (
            b"D,1.0031\n",
            [
                'the first row of readings.csv does not name the columns. "D"',
                "is none.",
                COLUMNS,
            ],
        ),
        (
            b"address,gauge\nD,mic1\n",
            ["the first row of readings.csv does not name the columns.", COLUMNS],
        ),
        (b"address,value,value\nD,1,1\n", ["a column of readings.csv is named twice."]),
        (
            b'address,value\nD,"1.0031\n',
            ["readings.csv is no whole table: unexpected end of data."],
        ),
        (
            "address,value\nD,1.0031\n".encode("utf-16"),
            ["readings.csv is saved as UTF-16. Save it as UTF-8."],
        ),
        (
            b"address,value,note\nD,1.0031,caf\xe9\n",
            ["readings.csv is not saved as UTF-8. Save it as CSV UTF-8."],
        ),
    ],
)
def test_a_table_that_is_none_is_refused(typist: Typist, text: bytes, said: list[str]) -> None:
    first, *more = said
    assert typist.open().refused(table(text)) == [f"Nothing recorded: {first}", *more]


def test_a_file_that_cannot_be_read_is_named(typist: Typist) -> None:
    typist.open()
    Path("folder").mkdir()
    assert typist.refused("measure --from folder", 3) == [
        'Nothing recorded: "folder" is a folder.'
    ]
    assert typist.refused("measure --from lost.csv", 3) == [
        'Nothing recorded: there is no file "lost.csv".'
    ]
    with Path("big.csv").open("wb") as file:
        file.truncate(8 * 1024 * 1024 + 1)
    assert typist.refused("measure --from big.csv") == [
        'Nothing recorded: "big.csv" has more than 8 MiB.'
    ]
    assert typist.refused(["measure", "--from", "a\0b"], 3) == [
        'Nothing recorded: "a\\x00b" cannot be read: no file name.'
    ]


def test_a_row_with_too_few_cells_is_told_and_a_pipe_is_not_waited_on(typist: Typist) -> None:
    typist.open()
    Path("short.csv").write_text("address,value\nD\n", "utf-8")
    said = typist.refused("measure --from short.csv")
    assert said[0] == "Nothing recorded: short.csv has 1 row to mend out of 1."
    os.mkfifo("pipe.csv")
    said = typist.refused("measure --from pipe.csv", 3)
    assert said == ['Nothing recorded: "pipe.csv" is no regular file.']
    assert typist.type("sheet check pipe.csv").code == 3
    assert typist.type("open other --sheet pipe.csv").code == 3
