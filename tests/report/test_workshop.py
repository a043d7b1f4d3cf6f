"""The workshop's page: every figure, every entry that counts, the struck ones too."""

from __future__ import annotations

from summaries import DIGITS, evidence, mypump, opened, pump, seal
from tiny import Tiny

from bedplate.assembly.obstacles import Blocker
from bedplate.record import entries as e
from bedplate.report.document import (
    CLOSING,
    Document,
    Fingerprint,
    Fits,
    Item,
    Items,
    Plot,
    Section,
    Table,
    Words,
)
from bedplate.report.evidence import Evidence
from bedplate.report.workshop import quoted_word, to_do, workshop


def section(document: Document, key: str) -> Section:
    return next(section for section in document.sections if section.key == key)


def tables(document: Document, key: str) -> list[Table]:
    return [block for block in section(document, key).blocks if isinstance(block, Table)]


def rows(document: Document, key: str, number: int = 0) -> list[tuple[str, ...]]:
    return [row.cells for row in tables(document, key)[number].rows]


def items(document: Document, key: str) -> list[Item]:
    blocks = section(document, key).blocks
    return [item for block in blocks if isinstance(block, Items) for item in block.items]


def test_it_begins_with_the_fits_and_what_is_to_do() -> None:
    keys = [part.key for part in workshop(evidence(pump())).sections]
    assert keys == [
        "fits", "to-do", "figures", "plots", "conceded", "parts", "found", "put-off", "readings",
        "gauges", "fasteners", "proofs", "steps", "used", "struck", "cautions", "record",
    ]  # fmt: skip


def test_its_head_says_whose_and_what() -> None:
    document = workshop(evidence(pump()))
    assert (document.name, document.title, document.count) == (
        "pump", "Harbour launch", "28 entries",
    )  # fmt: skip
    assert [(fact.label, fact.text) for fact in document.facts] == [
        ("Customer", "A. Owner"),
        ("Machine", "Harbour launch"),
        ("Serial number", "FT-0042"),
        ("Asked for", "Loses prime"),
        ("Build sheet", "Small gear pump, revision A"),
        ("Limits from", "Invented handbook"),
        ("Opened", "24 Nov 2025 by Ann Fitter"),
    ]
    assert document.closing == CLOSING
    assert document.foot == f"28 entries, head {DIGITS[:16]}"


def test_a_fit_stands_as_found_beside_as_left() -> None:
    (fits,) = section(workshop(evidence(pump())), "fits").blocks
    assert isinstance(fits, Fits)
    idler = fits.fits[1]
    assert idler.found is not None
    assert idler.left is not None
    assert (idler.title, idler.name, idler.limits, idler.source) == (
        "EC idler", "end clearance", "2 to 4 thou", "Handbook p. 31",
    )  # fmt: skip
    assert (idler.found.value, idler.found.sign, idler.found.said) == (
        "5.7 to 5.8", "[   ]w", "worn, within wear limit",
    )  # fmt: skip
    assert (idler.left.value, idler.left.sign, idler.left.said) == (
        "2.9 to 3.0", "[ o ]", "in band",
    )  # fmt: skip


def test_a_fit_without_a_band_says_its_unit_with_its_value() -> None:
    job = opened(
        'unit = "mm"\n[[component]]\nid = "a"\n[[feature]]\ntag = "T"\nof = "a"\n'
        '[[fit]]\ntag = "TW"\nstack = "T"\n'
    ).say("T 2.310")
    (fits,) = section(workshop(evidence(job)), "fits").blocks
    assert isinstance(fits, Fits)
    assert (fits.fits[0].now.value, fits.fits[0].limits) == ("2.310 mm", "-")
    assert (fits.fits[0].now.said, fits.fits[0].bar) == ("recorded, no limit entered", None)


def test_every_figure_of_a_fit_is_there() -> None:
    document = workshop(evidence(pump()))
    assert rows(document, "figures")[2] == (
        "EC", "idler", "as found", "5.8", "5.7", "5.8", "0.09", "thou",
    )  # fmt: skip
    assert rows(document, "figures", 1)[2] == (
        "EC", "idler", "as found", "worn, within wear limit", "..6 thou", "under 0.1 %",
        "12.2 to 1", "Handbook p. 31", "4, 7, 10",
    )  # fmt: skip


def test_what_was_assumed_is_said_once_with_the_fits_it_holds_for() -> None:
    notes = {item.text: item.more for item in items(workshop(evidence(pump())), "figures")}
    assert notes["no temperature given: taken as 20 °C, and not in U"] == (
        "EC driver, EC idler, RUN idler"
    )


def test_spreads_are_plotted_by_station() -> None:
    driver, idler = section(workshop(evidence(pump())), "plots").blocks
    assert isinstance(driver, Plot)
    assert isinstance(idler, Plot)
    assert (driver.axis, driver.unit, driver.stations) == ("tooth", "in", ("a", "b"))
    assert [trace.values for trace in driver.traces] == [("1.0001", "1.0000")]
    assert [(trace.values, trace.heights, trace.found) for trace in idler.traces] == [
        (("0.9979", "0.9978"), (1 / 23, 0.0), True),
        (("1.0000", "1.0001"), (22 / 23, 1.0), False),
    ]


def test_a_reading_is_told_with_gauge_setting_temperature_time_and_hand() -> None:
    document = workshop(evidence(pump()))
    assert rows(document, "readings")[1] == (
        "5", "H.driver@a", "1.0002 in", "mic1", "entry 3", "20 °C", "24 Nov 2025 15:45",
        "Ann Fitter", "",
    )  # fmt: skip


def test_a_struck_reading_stays_with_what_struck_it() -> None:
    document = workshop(evidence(pump()))
    (struck,) = (row for row in tables(document, "readings")[0].rows if row.struck)
    assert (struck.cells[:3], struck.struck) == (
        ("8", "H.idler@b", "0.9799 in"),
        "by entry 9: slip",
    )
    assert rows(document, "struck") == [
        (
            "8", "H.idler@b 0.9799 in gear height kept though questioned", "Ann Fitter",
            "entry 9, Ann Fitter", "slip",
        )
    ]  # fmt: skip


def test_what_is_no_plain_decimal_is_shown_in_full_too() -> None:
    sheet = 'unit = "in"\n[[component]]\nid = "a"\n[[feature]]\ntag = "T"\nof = "a"\n'
    job = opened(sheet).say("T 3/8in")
    on = (e.On(place="a", part="a", life=1),)
    job.put(e.Reading(address="T", value="+3 tenth", nominal="0.7000 in", on=on))
    job.put(e.Reading(address="T", value="0.7000 in..0.7010 in", on=on))
    assert [row[2] for row in rows(workshop(evidence(job)), "readings")] == [
        "3/8in (0.3750)",
        "+3 tenth from 0.7000 in (0.7003 in)",
        "0.7000 in..0.7010 in",
    ]


def test_parts_are_told_with_decision_and_what_has_happened() -> None:
    assert rows(workshop(evidence(pump())), "parts") == [
        (
            "body: pump body", "rework, beyond what was asked", "joint lapped",
            "reworked, by Harbour Grinding, touching D", "16, 18",
        ),
        ("gear.driver: pump gear, driver", "reuse", "sound", "", "15"),
        (
            "gear.idler: pump gear, idler", "replace", "worn", "new, part number FT-2207",
            "14, 17",
        ),
    ]  # fmt: skip


def test_a_part_with_a_mark_of_its_own_is_named_by_it() -> None:
    job = pump()
    job.put(
        e.Changed(component="gear", how="new", mark="C"),
        e.Changed(component="gear.idler", how="moved", from_="C"),
    )
    told = [row[0] for row in rows(workshop(evidence(job)), "parts")]
    assert told == [
        "body: pump body",
        "gear.driver: pump gear, driver",
        "gear.idler: pump gear, idler (mark C)",
        "gear: mark gear.idler, without a place",
    ]


def test_findings_and_what_was_put_off_are_told_with_their_answers() -> None:
    document = workshop(evidence(pump()))
    assert [row[1:7] for row in rows(document, "found")] == [
        (
            "gear.idler", "reject", "pitted flank", "", "",
            "new gear (entry 13, 24 Nov 2025 15:53, Ann Fitter)",
        ),
        ("body", "watch", "light scoring", "", "", ""),
    ]  # fmt: skip
    assert [row[:6] for row in rows(document, "put-off")] == [
        ("27", "nip up the nuts", "first run", "", "the gasket settles", ""),
        (
            "16", "rework body, beyond what was asked", "the customer's yes", "", "joint lapped",
            "",
        ),
    ]  # fmt: skip


def test_sets_are_told_as_they_stand_and_as_they_came_there() -> None:
    document = workshop(evidence(pump()))
    assert rows(document, "fasteners") == [
        (
            "N", "cover nuts", "4 of 4 locked", "locked", "16 to 18 lbf ft (Handbook p. 34)", "",
            "tab washer",
        )
    ]  # fmt: skip
    assert [row[:7] for row in rows(document, "fasteners", 1)] == [
        ("23", "N", "tight", "", "", "17 lbf ft", "wr1"),
        ("26", "N", "locked", "", "", "", ""),
    ]


def test_proofs_and_steps_are_told_as_they_stand() -> None:
    document = workshop(evidence(pump()))
    assert rows(document, "proofs") == [("SPIN", "Turns freely by hand", "passed (entry 24)")]
    assert rows(document, "proofs", 1) == [
        ("24", "SPIN", "passed", "24 Nov 2025 16:04", "Ann Fitter", "")
    ]
    assert rows(document, "steps") == [
        ("warm", "build", "Set the relief warm", "first run", "not done", "", "")
    ]


def test_a_failed_proof_is_told_with_the_entry_it_failed_in() -> None:
    job = pump()
    job.put(e.Proof(proof="SPIN", passed=False, note="a tight spot"))
    document = workshop(evidence(job))
    assert rows(document, "proofs") == [("SPIN", "Turns freely by hand", "failed (entry 29)")]
    assert rows(document, "proofs", 1)[1][2:6] == (
        "FAILED", "24 Nov 2025 16:09", "Ann Fitter", "a tight spot",
    )  # fmt: skip


def test_seals_are_told_with_their_fingerprints() -> None:
    job = pump()
    n = len(job.entries) + 1
    bad = seal(n + 1, ok=False, fault="its text is not what was signed", at="yesterday")
    document = workshop(evidence(job, seals=(seal(n), bad), signed=("handover",)))
    assert rows(document, "seals") == [
        (
            "29", "handover", "Ann Fitter", "fitter", "28 entries", "25 Nov 2025 10:00",
            "SHA256:abcDEF123", "holds, by the key of Ann Fitter", "The work is as recorded here.",
        ),
        (
            "30", "handover", "Ann Fitter", "fitter", "29 entries", "yesterday",
            "SHA256:abcDEF123", "does not hold: its text is not what was signed",
            "The work is as recorded here.",
        ),
    ]  # fmt: skip


def test_cautions_of_steps_and_sets_are_always_there() -> None:
    assert items(workshop(evidence(pump())), "cautions") == [
        Item("Hot oil under pressure.", "Set the relief warm"),
        Item("The cover is spring loaded.", "cover nuts"),
    ]


def test_the_head_stands_there_in_full() -> None:
    blocks = section(workshop(evidence(pump())), "record").blocks
    assert blocks[-1] == Fingerprint(f"28:{DIGITS}")
    assert blocks[0] == Words("It is not signed.")


def test_what_verifying_found_is_said() -> None:
    found = evidence(mypump(), ok=False, reason="the attachment x was altered", said=())
    (first, *_) = section(workshop(found), "record").blocks
    assert first == Words("Verifying it says no: the attachment x was altered.")


def test_sheet_changes_and_reopenings_are_told() -> None:
    job = mypump()
    sheet = job.job.sheet.as_json()
    job.put(e.SheetRevised(what="fit EC", why="the manual's second printing", sheet=sheet))
    job.put(e.Reopened(why="weeps"), e.SetAside(bytes=12, sha256="0" * 64))
    assert [item.text for item in items(workshop(evidence(job)), "changes")] == [
        "entry 5: sheet: fit EC (the manual's second printing)",
        "entry 6: reopened: weeps",
        "entry 7: 12 bytes of a write that was cut short were set aside",
    ]


def test_what_is_to_do_names_the_moment_where_it_is_not_the_first() -> None:
    job = pump()
    found = evidence(job, signed=("handover",), seals=(seal(29),))
    (section_,) = to_do(found)
    assert section_.title == "To do before it can be signed for first run: 4"


def test_nothing_in_the_way_says_how_to_sign() -> None:
    found = evidence(mypump())
    clear = Evidence(found.name, found.job, found.verification, found.now)
    (section_,) = to_do(clear)
    assert section_.title == "To do before it can be signed: 0"
    assert section_.blocks == (
        Items((Item("Nothing is in the way", command="bedplate sign handover"),)),
    )
    assert quoted_word("first run") == '"first run"'


def test_a_blocker_is_told_with_what_to_type() -> None:
    found = evidence(mypump())
    blocked = Evidence(
        found.name, found.job, found.verification, found.now,
        [Blocker("fit", "EC.idler", "EC idler is out of band", "bedplate remedy EC")],
    )  # fmt: skip
    assert items(workshop(blocked), "to-do") == [
        Item("EC idler is out of band", command="bedplate remedy EC")
    ]


def test_a_job_with_nothing_in_it_still_makes_a_page() -> None:
    document = workshop(evidence(opened('unit = "mm"\n[[component]]\nid = "body"')))
    assert [part.key for part in document.sections] == ["to-do", "record"]


def test_how_two_ways_to_one_quantity_agree_is_told() -> None:
    sheet = """
    unit = "in"
    source = "Invented handbook"
    [[component]]
    id = "body"
    [[feature]]
    tag = "A"
    of = "body"
    [[feature]]
    tag = "B"
    of = "body"
    [[feature]]
    tag = "F"
    of = "body"
    [[fit]]
    tag = "GAP"
    stack = "A - B"
    band = { limits = "2..4 thou" }
    [[fit]]
    tag = "FLOAT"
    stack = "F"
    same_as = "GAP"
    """
    job = Tiny(sheet).say("A 1.0031", "B 1.0001", "F 3.1thou")
    # U is that of three last digits of 0.1 thou: √(4·3·0.1²/12) = 0.1 thou.
    assert items(workshop(evidence(job)), "figures")[0] == Item("FLOAT agrees with GAP: E_n 1.00")
