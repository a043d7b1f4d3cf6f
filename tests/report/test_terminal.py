"""The summary on a terminal: wide, narrow, on a pipe, plain."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from summaries import evidence, mypump, plane, pump, seal, texts

from bedplate.report.customer import customer
from bedplate.report.document import Document
from bedplate.report.evidence import Evidence
from bedplate.report.public import public
from bedplate.report.terminal import Form, terminal
from bedplate.report.workshop import workshop

Build = Callable[[Evidence], Document]


def shown(document: Document, **form: object) -> list[str]:
    return terminal([document], Form(**form))  # type: ignore[arg-type]


def test_the_tenth_minute_reads_as_the_newcomer_is_promised() -> None:
    lines = shown(workshop(evidence(mypump(), "mypump")), width=80)
    assert lines[:7] == [
        "mypump                                               NOT SIGNED      4 entries",
        "Harbour launch, transfer pump              recorded by Ann Fitter, 24 Nov 2025",
        "",
        "fit  place   as found  as left  band                  verdict",
        "EC   driver  3.0       -        2 to 4 thou   [ o ]   in band",
        "EC   idler   5.2       -        2 to 4 thou   [   ]X  OUT, loose by 1.2",
        "",
    ]


def test_it_ends_with_the_statement_and_the_head_on_one_line() -> None:
    lines = shown(workshop(evidence(mypump(), "mypump")), width=80)
    assert lines[-3:] == [
        "Limits are as entered by the signer from the named source. The maker's manual,",
        "local codes and licensed practice govern. This record releases nothing to",
        "service by law.                               4 entries, head 3f9ad1c277b0e52a",
    ]


def test_a_blocker_stands_beside_the_command_that_cures_it() -> None:
    lines = shown(workshop(evidence(mypump(), "mypump")), width=80)
    start = lines.index("To do before it can be signed: 4")
    assert lines[start + 1 : start + 3] == [
        "  EC idler is out of band, loose   bedplate remedy EC",
        "  body has no decision         bedplate decide body reuse --why REASON",
    ]


@pytest.mark.parametrize("build", [workshop, customer, public])
@pytest.mark.parametrize("width", [40, 80, 132])
def test_no_line_is_wider_than_the_screen_and_no_word_is_lost(build: Build, width: int) -> None:
    document = build(evidence(pump()))
    lines = shown(document, width=width)
    head = "28:3f9ad1c277b0e52a"
    assert max(len(line) for line in lines if not line.startswith(head)) <= width
    there = words("\n".join(lines))
    assert not [word for text in texts(document) for word in words(text) - there]


def words(text: str) -> set[str]:
    return set(re.findall(r"[A-Za-z0-9.]{2,}", text))


def test_on_a_pipe_a_table_is_as_wide_as_it_needs_to_be() -> None:
    lines = shown(workshop(evidence(pump())))
    heading = next(line for line in lines if line.startswith("entry  address"))
    assert heading.split() == [
        *("entry", "address", "value", "gauge", "set", "by", "at", "when", "by", "remark"),
        "struck",
    ]
    assert "…" not in "\n".join(lines)


def test_a_struck_reading_says_by_which_entry_and_why() -> None:
    lines = shown(workshop(evidence(pump())))
    (line,) = (
        line for line in lines if re.match(r"8 +H.idler@b +0.9799 in", line) and "2025" in line
    )
    assert line.endswith("by entry 9: slip")


def test_plain_says_one_fact_a_line_without_drawing_or_alignment() -> None:
    lines = shown(workshop(evidence(mypump(), "mypump")), plain=True)
    start = lines.index("EC, idler.")
    assert lines[start : start + 4] == [
        "EC, idler.",
        "As found 5.2.",
        "Band 2 to 4 thou.",
        "Verdict OUT, loose by 1.2.",
    ]
    assert not [line for line in lines if "  " in line or "[" in line or "±" in line]
    assert "Uncertainty 0.09." in lines


def test_without_drawn_signs_it_is_ascii() -> None:
    text = "\n".join(shown(workshop(evidence(pump())), draw=False))
    assert text.isascii()
    assert "+-U" in text
    assert "20 degC" in text


def test_drawn_signs_are_used_where_they_can_be() -> None:
    text = "\n".join(shown(workshop(evidence(pump()))))
    assert "±U" in text
    assert "20 °C" in text


def test_weight_goes_with_the_verdict_and_a_strike_with_what_is_struck() -> None:
    lines = shown(workshop(evidence(mypump())), width=80, colour="weight")
    (out,) = (line for line in lines if line.startswith("EC   idler   5.2"))
    assert "\x1b[1;7mOUT, loose by 1.2" in out
    struck = shown(workshop(evidence(pump())), width=80, colour="weight")
    assert [line for line in struck if re.search(r"\x1b\[9m.*0.9799 in", line)]


def test_no_escape_without_colour() -> None:
    assert "\x1b" not in "\n".join(shown(workshop(evidence(pump())), width=80))


def test_a_plane_is_told_row_by_row() -> None:
    lines = shown(workshop(evidence(plane(), "deck")))
    start = lines.index("FACE, mm, along line")
    assert [line.split() for line in lines[start + 1 : start + 4]] == [
        ["row", "1", "2"],
        ["a", "0.000", "0.012"],
        ["b", "-0.008", "0.020"],
    ]


def test_several_jobs_follow_one_another() -> None:
    first, second = workshop(evidence(mypump(), "one")), workshop(evidence(plane(), "two"))
    lines = terminal([first, second], Form(width=80))
    assert lines[0].startswith("one ")
    assert lines[lines.index("=" * 78) + 2].startswith("two ")


def test_a_long_state_stands_below_the_name() -> None:
    job = pump()
    found = evidence(job, seals=(seal(len(job.entries) + 1),), signed=("handover",))
    lines = shown(workshop(found), width=40)
    assert lines[:3] == ["pump", "Signed for handover; first run still to", "come"]


def test_hostile_text_is_shown_and_not_acted_on() -> None:
    job = mypump().say("D 1.0031 again")
    found = evidence(job, "a\x1b]0;owned\x07[bold red]:pump:[/]\u202eb")
    text = "\n".join(shown(workshop(found), width=80))
    assert r"a\x1b]0;owned\x07[bold red]:pump:[/]\u202eb" in text
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f\u202e]", text)
