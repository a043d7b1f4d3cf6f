"""The customer's page: asked, found, agreed, done, still to come, in plain words."""

from __future__ import annotations

from summaries import evidence, mypump, opened, pump, seal
from tiny import Tiny

from bedplate.record import entries as e
from bedplate.report.customer import customer
from bedplate.report.customer_fits import FEW
from bedplate.report.document import Document, Fits, Items, State, Table, Words


def sections(document: Document) -> dict[str, list[str]]:
    """Return what stands in each section, a line an item, row or paragraph."""
    found: dict[str, list[str]] = {}
    for section in document.sections:
        lines = found.setdefault(section.title, [])
        for block in section.blocks:
            match block:
                case Words():
                    lines.append(block.text)
                case Items():
                    lines += [f"{item.text} | {item.more}".rstrip(" |") for item in block.items]
                case Table():
                    lines += [" | ".join(row.cells) for row in block.rows]
                case Fits():
                    lines += [f"{fit.name}, {fit.place}: {fit.now.said}" for fit in block.fits]
                case _:
                    raise AssertionError(block)
    return found


def signed_pump() -> Document:
    job = pump()
    return customer(
        evidence(job, seals=(seal(len(job.entries) + 1),), signed=("handover",), said=())
    )


def test_the_sections_stand_in_the_order_of_the_work() -> None:
    assert list(sections(signed_pump())) == [
        "In short",
        "What you asked for",
        "What was found",
        "What was agreed",
        "What was done",
        "The measurements that matter",
        "What was put off, and until when",
        "What to watch",
        "Still to come: first run",
        "Parts used",
        "Who signed",
        "Cautions",
        "The words on this page",
        "About this page",
    ]


def test_in_short_counts_what_came_of_it() -> None:
    assert sections(signed_pump())["In short"] == [
        "As found: of 4 measurements 3 were within limits, 1 was worn but within the limit for "
        "used parts. As left: of 5 measurements 4 are within limits, 1 is still to be measured. "
        "Parts: 1 new, 1 reworked, 1 used again. 1 decision waits for your answer. 1 thing was "
        "put off, listed below. 1 thing was accepted as it is. Signed for handover by Ann Fitter "
        "on 25 Nov 2025 10:00."
    ]


def test_what_was_found_is_said_with_what_it_means() -> None:
    assert sections(signed_pump())["What was found"] == [
        "Pitted flank | pump gear, idler; not fit for use; answered: new gear (entry 13, "
        "24 Nov 2025 15:53, Ann Fitter)",
        "Light scoring | pump body; to be watched",
        "End clearance, idler: worn, but within the limit for parts that stay in use | 5.7 to "
        "5.8 ±0.09 thou; limits 2 to 4 thou",
    ]


def test_what_was_agreed_names_who_agreed_and_what_is_awaited() -> None:
    assert sections(signed_pump())["What was agreed"] == [
        "Pump body, beyond what you asked for: reworked | joint lapped; your answer is awaited",
        "End clearance, driver, accepted as it is by A. Owner | no time",
    ]


def test_every_part_is_told_with_what_became_of_it() -> None:
    assert sections(signed_pump())["What was done"] == [
        "Pump body | reworked by Harbour Grinding | joint lapped",
        "Pump gear, driver | used again | sound",
        "Pump gear, idler | new (part number FT-2207) | worn",
        "Checked: Turns freely by hand | passed",
    ]


def test_what_is_still_to_come_is_told_by_its_moment() -> None:
    assert sections(signed_pump())["Still to come: first run"] == [
        "Set the relief warm",
        "Measure: relief setting",
        "nip up the nuts | put off until then",
    ]


def test_what_is_put_off_says_until_when() -> None:
    assert sections(signed_pump())["What was put off, and until when"] == [
        "Nip up the nuts | until first run"
    ]


def test_only_words_that_stand_on_the_page_are_explained() -> None:
    words = [line.partition(":")[0] for line in sections(signed_pump())["The words on this page"]]
    assert words == [
        "clearance", "roundness, taper, flatness", "thou", "0.001 in", "±", "accepted as it is",
    ]  # fmt: skip


def test_no_tag_and_no_entry_of_the_record_is_needed_to_read_it() -> None:
    lines = sections(signed_pump())
    assert lines["The measurements that matter"] == [
        "End clearance, driver: within its limits",
        "End clearance, idler: within its limits",
        "Gear height along the teeth, driver: within its limits",
        "Gear height along the teeth, idler: within its limits",
    ]
    assert "EC" not in " ".join(line for section in lines.values() for line in section)


def test_a_draft_says_so_and_how_much_is_left() -> None:
    document = customer(evidence(mypump()))
    assert document.state == State(
        "NOT SIGNED", "open", "a draft: 4 things to do before it can be signed"
    )
    assert sections(document)["In short"] == [
        "As found: of 2 measurements 1 was within limits, 1 was outside limits. Nobody has signed "
        "for it yet: this page is a draft."
    ]


def test_a_job_without_readings_says_that_nothing_is_measured() -> None:
    document = customer(evidence(opened('unit = "mm"\n[[component]]\nid = "body"')))
    assert sections(document)["In short"] == [
        "Nothing has been measured yet. Nobody has signed for it yet: this page is a draft."
    ]
    assert "The measurements that matter" not in sections(document)


def test_an_altered_record_is_not_to_be_relied_on() -> None:
    found = evidence(mypump(), ok=False, first_bad_entry=3, reason="line 3 was altered")
    document = customer(found)
    assert document.state == State(
        "ALTERED at entry 3", "bad", "line 3 was altered; what stands before it is shown"
    )
    assert sections(document)["In short"][0].endswith(
        "The record was altered after it was written: do not rely on this page."
    )


def test_a_signature_by_an_unknown_key_is_not_passed_off_as_one() -> None:
    found = evidence(mypump(), seals=(seal(5, ok=False, known_as=None),))
    assert sections(customer(found))["In short"][0].endswith(
        "It bears a signature that could not be confirmed here."
    )
    assert sections(customer(found))["Who signed"] == [
        "handover | Ann Fitter, fitter (holds, by a key not known here) | 25 Nov 2025 10:00 | "
        "The work is as recorded here."
    ]


MANY = """
unit = "mm"
source = "Invented handbook"
[axes]
pin = [{names}]
[[component]]
id = "pin"
positions = "pin"
[[feature]]
tag = "P"
of = "pin"
[[fit]]
tag = "PD"
name = "pin diameter"
kind = "size"
stack = "P"
band = {{ limits = "10.00..10.02 mm" }}
"""


def many(count: int) -> Tiny:
    job = opened(MANY.format(names=", ".join(f'"{n}"' for n in range(count))))
    return job.say(*(f"P.{n} 10.01" for n in range(count - 1)), f"P.{count - 1} 10.05")


def test_of_many_measurements_only_those_that_matter_are_drawn() -> None:
    lines = sections(customer(evidence(many(FEW + 4))))["The measurements that matter"]
    assert lines == [
        "Pin diameter, 11: outside its limits: 0.030 mm too large",
        "11 further measurements, of pin diameter: all within their limits, or without any.",
    ]


def test_of_few_measurements_all_are_drawn() -> None:
    assert len(sections(customer(evidence(many(FEW))))["The measurements that matter"]) == FEW


def test_of_many_that_are_out_each_fit_is_told_once_with_its_places() -> None:
    job = opened(MANY.format(names=", ".join(f'"{n}"' for n in range(FEW + 1))))
    job.say(*(f"P.{n} 10.05" for n in range(FEW + 1)))
    lines = sections(customer(evidence(job)))
    told = ["Pin diameter, 0, 1, 2, 3, 4, 5, 6, 7, 8: outside limits"]
    assert lines["What was found"] == told
    assert lines["What to watch"] == told


def test_an_answer_of_the_customer_is_told_as_agreed() -> None:
    job = mypump()
    job.put(
        e.Deferred(until="customer", note="new fuel cock"),
        e.Settled(entry=5, how="yes, by telephone"),
    )
    assert sections(customer(evidence(job)))["What was agreed"] == [
        "New fuel cock | yes, by telephone (entry 6, 24 Nov 2025 15:46, Ann Fitter)"
    ]


BOX = """
title = "Reversing gearbox"
unit = "mm"
source = "Invented handbook"
[axes]
shaft = ["ahead", "astern"]
[[component]]
id = "shaft"
positions = "shaft"
[[component]]
id = "shim"
positions = "shaft"
[[feature]]
tag = "EF"
of = "shaft"
[[fit]]
tag = "END"
name = "End float"
stack = "EF"
band = { limits = "0.05..0.15 mm" }
[[proof]]
tag = "SPIN"
text = "Turns freely"
positions = "shaft"
[[proof]]
tag = "FLOAT"
fit = "END"
"""


def test_of_a_place_only_the_part_that_is_there_now_is_told() -> None:
    box = opened(BOX)
    box.put(
        e.Changed(component="shim.ahead", how="reworked"),
        e.Changed(component="shim.ahead", how="new", mark="S1"),
        e.Changed(component="shim.ahead", how="new", mark="S2", number="7"),
        e.Changed(component="shim.ahead", how="reworked"),
        e.Changed.model_validate({"component": "shim.astern", "how": "moved", "from": "S1"}),
    )
    assert sections(customer(evidence(box)))["What was done"] == [
        "Shim, ahead | new (part number 7), reworked | ",
        "Shim, astern | moved here from another place | ",
    ]


def test_what_was_checked_is_told_with_its_place_or_the_name_of_its_fit() -> None:
    box = opened(BOX).say("EF.ahead 0.10").say("EF.astern 0.10")
    box.put(e.Proof(proof="SPIN.ahead", passed=True))
    assert sections(customer(evidence(box)))["What was done"] == [
        "Checked: Turns freely, ahead | passed",
        "Checked: End float, in band | passed",
    ]


def test_two_things_are_accepted_as_they_are() -> None:
    box = opened(BOX)
    box.put(
        *(e.Concession(what=what, accepted_by="A. Owner", why="old") for what in ("END", "SPIN"))
    )
    assert (
        "2 things were accepted as they are." in sections(customer(evidence(box)))["In short"][0]
    )


def test_the_same_drawn_at_several_times_is_one_row() -> None:
    box = opened(BOX)
    box.put(
        e.PartUsed(part="tab washer", count=5),
        e.PartUsed(part="gasket", number="G7"),
        e.PartUsed(part="Tab Washer"),
        e.PartUsed(part="gasket", number="G8"),
    )
    assert sections(customer(evidence(box)))["Parts used"] == [
        "tab washer | 6 | ", "gasket | 1 | G7", "gasket | 1 | G8",
    ]  # fmt: skip
