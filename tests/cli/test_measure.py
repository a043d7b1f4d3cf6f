"""``measure`` and ``correct``: what is recorded, what is said, and every way to be refused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from typist import FIT_KEYS, PUMP, RECORDED_KEYS, Typist

LENGTHS = '  A length reads like  0.7503  .7503  19.057mm  3thou  "3/8 in"'

# ---- what is recorded


def test_a_reading_is_echoed_as_typed_with_its_entry_number(typist: Typist) -> None:
    typist.open()
    assert typist.done("measure D 1.0031") == [
        "entry 2   D  1.0031 in   bore depth",
        "  EC driver  waiting for H.driver",
        "  EC idler   waiting for H.idler",
    ]
    assert typist.last == {
        "kind": "reading",
        "address": "D",
        "value": "1.0031 in",
        "on": [{"place": "body", "part": "body", "life": 1}],
    }


def test_values_at_an_address_without_its_stations_fill_them_in_order(typist: Typist) -> None:
    typist.open()
    assert typist.done("measure D 1.0031", "measure h.DRIVER 1.0001 1.0000 1.0001") == [
        "entry 3   H.driver@a  1.0001 in   gear height",
        "entry 4   H.driver@b  1.0000 in   gear height",
        "entry 5   H.driver@c  1.0001 in   gear height",
        "  EC driver  3.0 to 3.1 ±0.09 thou  in band  2 ├─────────═o═────────┤ 4",
    ]


def test_values_at_a_full_address_are_repeats(typist: Typist) -> None:
    typist.open().done("measure D 1.0031 1.0032 1.0033")
    assert [entry.get("address") for entry in typist.entries] == [None, "D", "D", "D"]
    fit = typist.document("measure H.idler 1.0000 1.0000 1.0000")["fits"][0]
    assert (fit["mean"], fit["readings"]) == ("3.2", [2, 3, 4, 5, 6, 7])


def test_one_two_ended_value_covers_all_stations(typist: Typist) -> None:
    typist.open().done("measure H.idler 0.9996..0.9998")
    assert [(entry["address"], entry["value"]) for entry in typist.entries[1:]] == [
        ("H.idler@a", "0.9996..0.9998 in"),
        ("H.idler@b", "0.9996..0.9998 in"),
        ("H.idler@c", "0.9996..0.9998 in"),
    ]


@pytest.mark.parametrize(
    ("typed", "kept", "nominal"),
    [
        ("-0.0002", "-0.0002 in", "1.0030 in"),
        ("+0.0003", "+0.0003 in", "1.0030 in"),
        ("1.0031", "1.0031 in", None),
        ("25.478 mm", "25.478 mm", None),
        ("25,478mm", "25,478mm", None),
        ("1.0031 IN", "1.0031 IN", None),
        ("0.700+0.303+1 tenth", "0.700 in+0.303 in+1 tenth", None),
        ("1.2531-0.2500", "1.2531 in-0.2500 in", None),
        ("\u22120.0002", "-0.0002 in", "1.0030 in"),
        (".9990", ".9990 in", None),
        ("..1.0035", "..1.0035 in", None),
    ],
)
def test_a_value_is_kept_as_typed(
    typist: Typist, typed: str, kept: str, nominal: str | None
) -> None:
    typist.open().done(f"measure D {typed}")
    assert (typist.last["value"], typist.last.get("nominal")) == (kept, nominal)


@pytest.mark.parametrize(
    ("line", "value"),
    [
        ("measure BL ..4thou", "..4thou"),
        ("measure BL 4..5 thou", "4..5 thou"),
        ("measure BL 7 tenths", "7 tenths"),
        ("measure Z 1-3/8in", "1-3/8in"),
        ('measure Z "1 3/8 in"', "1 3/8 in"),
        ("measure Z 3/8in", "3/8in"),
        ("measure Z -0.0002", "-0.0002 in"),
        ("measure Z +0.0003", "+0.0003 in"),
        ("measure --by Ann Z -.0003 --plain", "-.0003 in"),
        ("measure RP 29.5", "29.5 psi"),
        ("measure RP 2.05 bar", "2.05 bar"),
    ],
)
def test_words_of_the_command_line_are_read_as_people_mean_them(
    typist: Typist, line: str, value: str
) -> None:
    typist.open().done(line)
    assert typist.last["value"] == value
    assert "nominal" not in typist.last


def test_temperatures_time_and_note_go_with_a_reading(typist: Typist) -> None:
    typist.open().done(
        'measure D 1.0031 --temp 24C --gauge-temp "68 degF" --at "2025-11-24T14:52:00+01:00" '
        '--note "burr on the edge"'
    )
    assert typist.last == {
        "kind": "reading",
        "address": "D",
        "value": "1.0031 in",
        "temp": "24C",
        "gauge_temp": "68 degF",
        "on": [{"place": "body", "part": "body", "life": 1}],
        "note": "burr on the edge",
        "done_at": "2025-11-24T14:52:00+01:00",
    }


def test_a_bare_temperature_takes_the_unit_set(typist: Typist) -> None:
    typist.open().done("settings temperature F", "measure D 1.0031 --temp 75")
    assert typist.last["temp"] == "75 degF"


def test_a_gauge_is_copied_into_the_job_at_its_first_use(typist: Typist) -> None:
    typist.open().done('gauge add mic1 --resolution "1 tenth" --max-error "1 tenth"')
    assert typist.done("measure D 1.0031 -g MIC1")[:2] == [
        "entry 2   gauge mic1: resolution 1 tenth, max error 1 tenth",
        "entry 3   D  1.0031 in   bore depth   on mic1",
    ]
    typist.done("measure BL 5 thou --gauge mic1")
    assert [entry["kind"] for entry in typist.entries] == ["opened", "gauge", "reading", "reading"]
    assert typist.entries[1]["gauge"] == {
        "name": "mic1",
        "resolution": "1 tenth",
        "max_error": "1 tenth",
    }


def test_what_is_left_out_has_a_reason_in_place_of_a_value(typist: Typist) -> None:
    typist.open().done("measure D 1.0030", "measure H.idler@a 1.0000", "measure H.idler@b 1.0000")
    assert typist.done('measure H.idler@c --left-out "tooth chipped"') == [
        "entry 5   H.idler@c  left out: tooth chipped",
        "  EC idler  3.0 ±0.09 thou  in band  2 ├────────═o═─────────┤ 4",
    ]
    assert typist.last["left_out"] == "tooth chipped"
    assert typist.done("measure H.idler@c 1.0001")[:2] == [
        "entry 6   strikes 5 (left out): slip",
        "entry 7   H.idler@c  1.0001 in   gear height",
    ]


def test_alone_it_lists_what_is_due(typist: Typist) -> None:
    typist.open().done("measure H.idler@b 0.9978")
    said = typist.type("measure")
    assert said.out == [
        "7 readings due:",
        "  D",
        "  H.driver  @a  @b  @c",
        "  H.idler  @a  @c",
        "  BL",
    ]
    assert said.err == ["Type:  bedplate measure D VALUE"]
    assert typist.document("measure") == {
        "format": "bedplate-measure/1",
        "job": "pump",
        "entries": 2,
        "due": [
            "D", "H.driver@a", "H.driver@b", "H.driver@c", "H.idler@a", "H.idler@c", "BL",
        ],
    }  # fmt: skip


def test_the_name_of_the_job_is_said_where_there_are_two(typist: Typist) -> None:
    typist.open().done("open head --sheet pump.toml")
    assert typist.done("measure BL 5thou --job pump")[0] == "pump: entry 2   BL  5thou   backlash"


# ---- JSON


def test_the_document_of_a_recording(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    found = typist.document("measure H.driver 1.0001 1.0000 1.0001")
    assert list(found) == RECORDED_KEYS
    assert {key: found[key] for key in RECORDED_KEYS[:5]} == {
        "format": "bedplate-measure/1",
        "job": "pump",
        "entries": 5,
        "recorded": [3, 4, 5],
        "questioned": [],
    }
    (fit,) = found["fits"]
    assert list(fit) == FIT_KEYS
    assert fit == {
        "tag": "EC", "position": "driver", "name": "end clearance", "kind": "clearance",
        "stage": "as found", "verdict": "in", "side": None, "word": None, "unit": "thou",
        "mean": "3.033333333333", "tightest": "3", "loosest": "3.1", "judged": "3.1",
        # u² = 2·(0.1 thou)²/12, so U = 0.1·√(2/3).
        "expanded_uncertainty": "0.0816496580928",
        "band": {"low": "2", "high": "4", "source": "p. 31"}, "wear": None, "margin": "0.9",
        "probability_in_band": 1.0, "capability": pytest.approx(1 / 0.0816496580928),
        "readings": [2, 3, 4, 5], "missing": [], "same_as": None, "e_n": None,
        "notes": [
            "U from typed digits only", "no temperature given: taken as 20 degC, and not in U",
        ],
    }  # fmt: skip
    assert list(found["next"][0]) == ["kind", "what", "text", "type"]


def test_what_was_questioned_and_kept_is_told(typist: Typist) -> None:
    typist.open()
    found = typist.document("measure H.idler@b 0.9799 --yes")
    assert found["recorded"] == [2]
    assert found["questioned"] == [{"entry": 2, "kept": "0.9799 is 20.1 thou under nominal"}]
    assert typist.last["kept"] == "0.9799 is 20.1 thou under nominal"


def test_a_fit_that_waits_gives_the_mean_so_far_and_what_is_missing(typist: Typist) -> None:
    typist.open().done("measure D 1.0030", "measure H.idler@b 0.9978")
    fit = typist.document("measure H.idler@a 0.9980")["fits"][0]
    told = {key: value for key, value in fit.items() if value not in (None, [])}
    assert told == {
        "tag": "EC", "position": "idler", "name": "end clearance", "kind": "clearance",
        "stage": "as found", "verdict": "unmeasured", "unit": "thou", "mean": "5.1",
        "tightest": "5", "loosest": "5.2", "band": {"low": "2", "high": "4", "source": "p. 31"},
        "readings": [2, 3, 4], "missing": ["H.idler@c"],
        "notes": [
            "U from typed digits only", "no temperature given: taken as 20 degC, and not in U",
        ],
    }  # fmt: skip


# ---- what is refused: nothing recorded, the file untouched

REFUSED = [
    ("G 1.0", ['There is no feature "G".', "  There are: D, H, BL, Z, RP"]),
    ("H.idle@a 0.9", ['H (gear height) has no position "idle".', "  Nearest: idler"]),
    ("H.idler@d 1", ['H (gear height) has no station "d".', "  There are: a, b, c"]),
    ("@a 1", ['"@a" is no whole address.', "  An address reads like  H.idler@b"]),
    (
        "D.idler 1.0",
        ['D (bore depth) has no positions, so "idler" names none.', "  Its address is  D"],
    ),
    (
        "H@a 0.9978",
        [
            "H is on the gear, and there are 2: driver, idler.",
            "  Type:  bedplate measure H.driver@a 0.9978   or   H.idler@a",
        ],
    ),
    (
        "H.idler@all 1.0",
        [
            '"H.idler@all" names 3 stations, and a value is read at one.',
            "  They are:  H.idler@a, H.idler@b, H.idler@c",
        ],
    ),
    (
        "H.idler 0.9979 0.9978",
        [
            "H.idler has 3 stations (a, b, c) and 2 values were given.",
            "  Give 3 in that order, or name the station:",
            "  Type:  bedplate measure H.idler@a 0.9979",
        ],
    ),
    ("D abc", ['"abc" is not a figure.', LENGTHS]),
    ("D nan", ['"nan" is not a figure.', LENGTHS]),
    ("D -inf", ['Nothing done. bedplate measure has no option "-i".']),
    ("D ''", ["There is no value.", LENGTHS]),
    ("D", ["There is no value.", "  Type:  bedplate measure D VALUE"]),
    ("D 1e0", ['"1e0" has an exponent.', "  Type the figure out, with a point:  0.0002"]),
    (
        "D \u0661.\u0660",
        ['"\u0661.\u0660" has digits other than 0 to 9.', "  Type it with the digits 0 to 9."],
    ),
    (
        "D 0.75inHg",
        ['"0.75inHg" is a pressure; D (bore depth) is a length.', LENGTHS],
    ),
    (
        "D 1,003",
        [
            '"1,003" can be 1.003 or one thousand and three.',
            "  Type it with a point:  1.003     (in PowerShell a comma splits values)",
        ],
    ),
    (
        "D 1 3/8",
        [
            '"1" and "3/8" stand apart: two readings, or 1 and 3/8?',
            '  Type:  "1 3/8 in"   or   1-3/8in   or   1 and the decimal figure',
        ],
    ),
    (
        "D '1 in + 2 mm'",
        [
            '"1 in + 2 mm" mixes inch and metric.',
            "  Type all of it in one of them; a figure without a unit takes the feature's.",
        ],
    ),
    (
        "D 4..2",
        ['"4..2" has its higher end first.', "  Type the lower end first:  4..5"],
    ),
    (
        "BL -0.0003",
        [
            '"-0.0003" is counted from nominal, and BL (backlash) has none.',
            "  Type the whole value, or give it one:",
            "    bedplate amend feature BL --nominal VALUE --why ...",
        ],
    ),
    (
        "BL '1 thou-2 thou'",
        [
            '"1 thou-2 thou" is below nothing, and BL (backlash) is a size.',
            "  Only what is marked  signed = true  on the sheet may be negative.",
        ],
    ),
    (
        "D 1.0031 --temp 24",
        ['"24" has no unit.', "  A temperature reads like  24C  75F  297K"],
    ),
    (
        "D 1.0031 --temp 24kg",
        ['"24kg" is a mass, not a temperature.', "  A temperature reads like  24C  75F  297K"],
    ),
    (
        "D 1.0031 --gauge-temp 24C",
        [
            "The gauge's temperature needs the part's beside it.",
            "  Type:  bedplate measure D 1.0031 --temp T --gauge-temp 24C",
        ],
    ),
    ("D 1.0031 --again --instead", ["--again and --instead exclude each other."]),
    ("D 1.0031 --left-out chipped", ["A reading left out has no value."]),
    ("D --left-out ''", ['"left_out" is empty.']),
    ("D 1.0031 --note ''", ['"note" is empty.']),
    (f"D 1.0031 --note {'x' * 4001}", ['"note" is longer than 4,000 characters.']),
    (
        "D 1.0031 -g mic9",
        [
            'There is no gauge "mic9" in your cabinet yet.',
            '  Describe it once:  bedplate gauge add mic9 --resolution "1 tenth"',
            "  Or leave --gauge out: then only the last digit you type counts as doubt.",
        ],
    ),
    (
        "D 1.0031 --at tomorrow",
        ['"tomorrow" is no time.', '  Type:  --at 14:52   or   --at "2025-11-24 14:52"'],
    ),
    ("D 1.0031 --at 2999-01-01", ['"2999-01-01" is still to come.']),
    (
        "H.idler@b 0.9728",
        [
            "0.9728 is 27.2 thou under nominal: one turn of the thimble?",
            "  0.9978 would be 2.2 thou under. There is no terminal to ask on.",
            "  If 0.9728 is right:  bedplate measure H.idler@b 0.9728 --yes",
        ],
    ),
    (
        "--from pump.toml D",
        ['--from takes a file, and "D" was given too.'],
    ),
    (
        "--from pump.toml --left-out chipped",
        [
            "--left-out is of one address, and --from takes a file of values.",
            '  Type:  bedplate measure ADDRESS --left-out "chipped"',
        ],
    ),
]


@pytest.mark.parametrize(("line", "said"), REFUSED, ids=[line[:40] for line, _ in REFUSED])
def test_what_is_not_understood_is_named_and_nothing_is_recorded(
    typist: Typist, line: str, said: list[str]
) -> None:
    first, *more = said
    if not first.startswith("Nothing done."):
        first = f"Not recorded. {first}"
    assert typist.open().refused(f"measure {line}")[: len(said)] == [first, *more]


def test_a_figure_of_400_digits_is_refused_and_cut_where_it_is_shown(typist: Typist) -> None:
    assert typist.open().refused(f"measure D {'1' * 400}") == [
        f'Not recorded. "{"1" * 57}..."',
        "has more than 20 digits.",
        "  Type the digits that the gauge shows.",
    ]


def test_characters_that_cannot_be_seen_are_shown_as_escapes(typist: Typist) -> None:
    typist.open()
    assert typist.refused(["measure", "D", "1.003\x1b[2J"]) == [
        'Not recorded. "1.003\\x1b[2J" holds a character that cannot be seen.',
        "  Type the value again.",
    ]
    assert typist.refused(["measure", "D\x07", "1.003"])[0] == (
        'Not recorded. There is no feature "D\\x07".'
    )


def test_half_a_character_of_a_terminal_is_refused(typist: Typist) -> None:
    assert typist.open().refused(["measure", "D", "1.0031", "--note", "caf\udce9"]) == [
        'Not recorded. "note" holds half of a character (a lone surrogate).'
    ]


def test_a_second_value_is_never_taken_silently(typist: Typist) -> None:
    typist.open().done("measure H.driver@a 1.0001")
    assert typist.refused("measure H.driver@a 1.0011") == [
        "Not recorded. H.driver@a was read before: 1.0001 in (entry 2). There is no",
        "terminal to ask on: is 1.0011 a repeat, or instead of it?",
        "  Type:  bedplate measure H.driver@a 1.0011 --again     or   --instead",
    ]
    assert typist.done("measure H.driver@a 1.0003 --again") == [
        "entry 3   H.driver@a  1.0003 in   gear height",
        "  EC driver  waiting for D, H.driver",
    ]
    assert typist.done("measure H.driver@a 1.0002 --instead")[:3] == [
        "entry 4   strikes 2 (1.0001 in): slip",
        "entry 5   strikes 3 (1.0003 in): slip",
        "entry 6   H.driver@a  1.0002 in   gear height",
    ]
    assert typist.done('measure H.driver@a 1.0000 --instead --note "wiped"')[0] == (
        "entry 7   strikes 6 (1.0002 in): wiped"
    )


@pytest.mark.parametrize(
    ("value", "asked"),
    [("1.0150", False), ("1.0151", True), ("0.9850", False), ("0.9849", True)],
)
def test_an_inch_value_is_asked_about_beyond_15_thou(
    typist: Typist, value: str, *, asked: bool
) -> None:
    typist.open()
    # 25.4 + 0.3 mm is asked in metric: a value is held by the system that it was typed in.
    assert typist.type(f"measure H.idler@a {value}").code == (
        2 if asked and "mm" not in value else 0
    )


def test_a_value_far_off_is_held_against_the_size_it_is_made_to_now(typist: Typist) -> None:
    typist.open("""
format = "bedplate-sheet/1"
unit = "mm"
[[component]]
id = "crank"
[[feature]]
tag = "MJ"
of = "crank"
nominal = "54.990"
[[size]]
id = "u50"
nominal = { MJ = "54.490" }
""")
    said = typist.refused("measure MJ 54.485")[0]
    assert said.partition(":")[0] == "Not recorded. 54.485 is 0.505 mm under nominal"
    typist.done("change crank reworked --size u50", "measure MJ 54.485")
    assert typist.last["value"] == "54.485 mm"
    typist.done("measure MJ -0.001 --again")
    assert typist.last["nominal"] == "54.490 mm"


def test_half_a_small_nominal_is_far_enough(typist: Typist) -> None:
    typist.open("""
format = "bedplate-sheet/1"
unit = "in"
[[component]]
id = "gear"
[[feature]]
tag = "BL"
of = "gear"
nominal = "0.0040"
""").done("measure BL 0.0060")
    assert typist.refused("measure BL 0.0061 --again")[0] == (
        "Not recorded. 0.0061 is 2.1 thou over nominal."
    )


# ---- correct


def test_a_correction_strikes_the_wrong_and_keeps_what_it_was_read_with(typist: Typist) -> None:
    typist.open().done(
        'gauge add mic1 --resolution "1 tenth"',
        "measure D 1.0041 -g mic1 --temp 24C --at 2025-11-24T14:52:00+01:00",
    )
    assert typist.done("correct 3 1.0031")[:2] == [
        "entry 4   strikes 3 (1.0041 in): corrected",
        "entry 5   D  1.0031 in at 24C   bore depth   on mic1",
    ]
    assert typist.last["done_at"] == "2025-11-24T14:52:00+01:00"
    assert typist.done('correct 5 1.0032 in --note "read the wrong line"')[0] == (
        "entry 6   strikes 5 (1.0031 in): read the wrong line"
    )
    found = typist.document("correct 7 1.0030")
    assert (list(found), found["format"]) == (RECORDED_KEYS, "bedplate-out-correct/1")
    assert (found["recorded"], found["entries"]) == ([8, 9], 9)


def test_what_was_left_out_is_corrected_by_its_value(typist: Typist) -> None:
    typist.open().done("measure D --left-out burred")
    assert typist.done("correct 2 1.0031")[:2] == [
        "entry 3   strikes 2 (left out): corrected",
        "entry 4   D  1.0031 in   bore depth",
    ]


def test_a_reading_of_an_earlier_life_is_corrected_in_that_life(typist: Typist) -> None:
    typist.open().done("measure D 1.0041", "change body reworked", "correct 2 1.0031")
    assert typist.last["on"] == [{"place": "body", "part": "body", "life": 1}]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("99 1.0", ['There is no entry "99"; the last is 3.', "  See them:  bedplate log"]),
        ("0 1.0", ['There is no entry "0"; the last is 3.', "  See them:  bedplate log"]),
        (
            "\u0662 1.0",
            ['There is no entry "\u0662"; the last is 3.', "  See them:  bedplate log"],
        ),
        ("1 1.0", ["Entry 1 is no reading.", "  See them:  bedplate log"]),
        (
            "2 1.0",
            ["Entry 2 was struck by entry 3.", "  Type:  bedplate measure D VALUE"],
        ),
    ],
)
def test_only_a_standing_reading_can_be_corrected(
    typist: Typist, line: str, said: list[str]
) -> None:
    typist.open().done("measure D 1.0031", "strike 2 --why slip")
    first, *more = said
    assert typist.refused(f"correct {line}") == [f"Not recorded. {first}", *more]


def test_one_reading_is_corrected_by_one_value(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    assert typist.refused("correct 2 1.0030 1.0031") == [
        "Not recorded. Entry 2 is one reading, and 2 values were given."
    ]


def test_a_questioned_correction_is_kept_by_correcting_again(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    said = typist.refused("correct 2 0.9531")
    assert said[-1] == "  If 0.9531 is right:  bedplate correct 2 0.9531 --yes"
    assert typist.done("correct 2 0.9531 --yes")[0] == "entry 3   strikes 2 (1.0031 in): corrected"


# ---- the job at hand


@pytest.mark.parametrize(
    ("what", "code", "said"),
    [
        ("missing", 2, "Which job? There is none here."),
        ("empty", 3, "Not read. pump.job.jsonl holds no whole entry: it was never begun, or is"),
        ("another's", 3, "Not read. pump.job.jsonl is no job of bedplate."),
        ("a link", 3, "Not recorded. pump.job.jsonl is a link; a job is opened only where it is."),
    ],
)
def test_a_job_that_cannot_be_read_is_named(
    typist: Typist, what: str, code: int, said: str
) -> None:
    if what == "empty":
        typist.path.touch()
    elif what == "another's":
        typist.path.write_text('{"some": "thing"}\n', "utf-8")
    elif what == "a link":
        Path("elsewhere").touch()
        typist.path.symlink_to("elsewhere")
    assert typist.refused("measure D 1.0", code)[0] == said


def test_a_folder_in_place_of_a_job_is_named(typist: Typist) -> None:
    typist.path.mkdir()
    assert typist.refused("measure D 1.0 --job pump.job.jsonl", 3)[0] == (
        "Not recorded. pump.job.jsonl is a folder, no job file."
    )


def test_of_two_jobs_one_must_be_named(typist: Typist) -> None:
    typist.open().done("open head --sheet pump.toml")
    assert typist.refused("measure D 1.0031") == [
        "Which job? There are 2 here: head, pump.",
        "  Type:  bedplate --job head status",
    ]
    assert typist.refused("measure D 1.0031 --job pmup", 3) == [
        'Not read. There is no job "pmup".',
        "  Nearest: pump",
    ]


def test_somebody_records(typist: Typist, monkeypatch: pytest.MonkeyPatch) -> None:
    typist.open()
    monkeypatch.delenv("BEDPLATE_BY")
    assert typist.refused("measure D 1.0031") == [
        "Not recorded. Who is recording? There is no terminal to ask on.",
        '  Type:  bedplate settings name "Ann Fitter"',
        '  Or for once:  --by "Ann Fitter"',
    ]
    typist.done("measure D 1.0031 --by Bo")
    assert typist.entries[-1]["by"] == "Bo"


def test_a_value_reaches_the_record_from_a_process_of_its_own(typist: Typist) -> None:
    typist.open()
    ran = subprocess.run(
        [sys.executable, "-m", "bedplate", "measure", "D", "-0.0002"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ran.returncode, ran.stdout.splitlines()[0]) == (
        0,
        "entry 2   D  -0.0002 in from 1.0030 in (1.0028 in)   bore depth",
    )
    assert (
        ran.stderr
        == "next: measure H.driver (gear height): 3 readings   bedplate bench H.driver\n"
    )


def test_a_part_that_has_a_place_is_read_there_and_its_mark_says_where(typist: Typist) -> None:
    typist.open().done("change gear.idler new --mark K")
    assert typist.refused("measure H.k@b 1.0001") == [
        "Not recorded. K sits in gear.idler.",
        "  Its address is  H.idler@b",
    ]


def test_what_is_to_be_typed_again_has_all_that_was_given(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    assert typist.refused('measure D 1.3000 --again --note "hot day"')[-1] == (
        '    bedplate measure D 1.3000 --note "hot day" --again --yes'
    )
    assert typist.refused("measure D 1.3000 --yes")[-1] == (
        "  Type:  bedplate measure D 1.3000 --yes --again     or   --instead"
    )
    assert typist.refused('correct 2 1.3000 --note "x y"')[-1] == (
        '  If 1.3000 is right:  bedplate correct 2 1.3000 --note "x y" --yes'
    )


def test_several_values_are_all_typed_again(typist: Typist) -> None:
    typist.open().done("measure H.driver 1.0001 1.0000 1.0001")
    said = typist.refused("measure H.driver 1.0002 1.0003 1.0004 --temp 20C")
    assert said[-1] == (
        "    bedplate measure H.driver 1.0002 1.0003 1.0004 --temp 20C --again     or   --instead"
    )


def test_what_has_no_stations_is_called_with_its_position(typist: Typist) -> None:
    typist.open("""
format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
[axes]
cyl = ["1", "2"]
[[component]]
id = "rod"
positions = "cyl"
[[feature]]
tag = "R"
of = "rod"
""")
    assert typist.refused("measure R.2@z 1.0") == [
        'Not recorded. R has no stations, so "z" names none.',
        "  Its address is  R.2",
    ]


def test_a_reading_that_may_not_be_made_is_refused_before_it_is_asked_about(
    typist: Typist,
) -> None:
    loose = '[[fasteners]]\ntag = "N"\n'
    sheet = PUMP.replace('tag = "BL"', 'tag = "BL"\nwhen = ["N"]')
    Path("pump.toml").write_text(f"{sheet}{loose}", "utf-8")
    typist.done("open pump --sheet pump.toml", "measure BL '5 thou'", "fasten N removed")
    said = typist.type("measure BL '6 thou'")
    assert (said.code, said.err[0]) == (1, "Refused. BL may not be read: N is not tight.")
