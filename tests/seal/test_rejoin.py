"""Two copies of one job that went on apart: what is taken over, and what is done again."""

from __future__ import annotations

from hashlib import sha256

import pytest
from signed_jobs import AT, SHEET, Pen, reading

from bedplate.errors import RefusedError
from bedplate.record import entries as e
from bedplate.record.chain import check
from bedplate.record.spelling import read_line
from bedplate.seal import rejoin as r
from bedplate.seal.rejoin import Rejoin, rejoin

LATER = "2025-11-25T08:00:00+01:00"


def on(position: str, life: int = 1, part: str | None = None) -> list[e.On]:
    place = f"gear.{position}"
    return [e.On(place=place, part=part or place, life=life)]


def height(position: str, value: str, **more: object) -> e.Reading:
    return reading(f"H.{position}@a", value, **{"on": tuple(on(position)), **more})


COMMON = Pen().open().write(height("idler", "1.0000 in"), height("driver", "1.0000 in")).data


def fork(*entries: e.AnyEntry, by: str = "Bert") -> bytes:
    return Pen(COMMON, by=by, at=LATER).write(*entries).data


def joined(here: bytes, there: bytes) -> Rejoin:
    return rejoin(check(here), check(there))


def taken_into(here: bytes, found: Rejoin, by: str = "Ann Fitter") -> bytes:
    """Return the job with what was proposed, and the tail attached, as a command does it."""
    pen = Pen(here, by=by, at="2025-11-26T08:00:00+01:00").write(*found.take)
    if found.tail:
        digest = sha256(found.tail).hexdigest()
        file = f"pump.files/{digest[:16]}.jsonl"
        pen.write(e.Attachment(file=file, name="other.jsonl", sha256=digest))
    return pen.data


def why(found: Rejoin) -> list[tuple[int, str]]:
    return [(each.entry.n, each.why) for each in found.again]


CLEAN = e.Finding(severity="note", note="bore clean")


# --- where there is nothing to take --------------------------------------------------------------


def test_the_copy_that_is_further_on_is_named() -> None:
    longer = fork(CLEAN, CLEAN)
    assert joined(COMMON, longer) == Rejoin(3, "there", (), (), 0, b"")
    assert joined(longer, COMMON) == Rejoin(3, "here", (), (), 0, b"")
    assert joined(longer, longer) == Rejoin(5, "same", (), (), 0, b"")


def test_two_jobs_are_not_joined() -> None:
    other = Pen().open("ab" * 16).data
    with pytest.raises(RefusedError) as caught:
        joined(COMMON, other)
    assert caught.value.as_lines() == ["Nothing was taken. The two are not of one job."]


@pytest.mark.parametrize("altered", ["here", "there"])
def test_a_copy_that_is_not_whole_is_not_joined(altered: str) -> None:
    here, there = fork(CLEAN), fork(e.Finding(severity="note", note="scored"))
    bad = {"here": (here.replace(b"1.0000", b"1.0001"), there), "there": (here, b"")}[altered]
    with pytest.raises(RefusedError) as caught:
        joined(*bad)
    which, named = {"here": ("This job", ""), "there": ("The other", " OTHER")}[altered]
    assert caught.value.as_lines() == [
        f"Nothing was taken. {which} is not whole.",
        f"  Type:  bedplate verify{named}",
    ]


# --- what is taken -------------------------------------------------------------------------------


def test_observations_are_taken_with_where_they_come_from() -> None:
    there = fork(height("idler", "1.0002 in", temp="20 C"), CLEAN)
    found = joined(fork(height("driver", "0.9999 in"), by="Ann Fitter"), there)
    lines = there.splitlines(keepends=True)
    head = sha256(lines[3]).hexdigest()
    assert found.take[0] == height(
        "idler",
        "1.0002 in",
        temp="20 C",
        done_at=LATER,
        taken=e.Taken(n=4, at=LATER, by="Bert", head=f"4:{head}"),
    )
    assert [entry.kind for entry in found.take] == ["reading", "finding"]
    assert (found.common, found.further, found.again, found.already) == (3, None, (), 0)
    assert found.tail == b"".join(lines[3:])


def test_every_kind_of_observation_is_taken_in_its_order() -> None:
    seen: list[e.AnyEntry] = [
        e.GaugeDescribed(gauge={"name": "mic1", "kind": "micrometer"}),
        e.Setting(gauge="mic1", shown="0.0000 in", reference="1 in"),
        height("idler", "1.0002 in", gauge="mic1"),
        CLEAN,
        e.PartUsed(part="gasket", count=1),
        e.Attachment(file="pump.files/" + "ab" * 8, name="x.jpg", sha256="ab" * 32),
    ]
    found = joined(fork(CLEAN, by="Ann Fitter"), fork(*seen))
    assert [entry.kind for entry in found.take] == [entry.kind for entry in seen]
    assert {entry.taken.by for entry in found.take if entry.taken} == {"Bert"}


def test_when_it_was_done_is_kept_where_it_was_said() -> None:
    found = joined(fork(CLEAN, by="Ann Fitter"), fork(height("idler", "1 in", done_at=AT)))
    assert found.take[0].done_at == AT


def test_what_is_taken_can_be_recorded() -> None:
    here = fork(CLEAN, by="Ann Fitter")
    found = joined(here, fork(height("idler", "1.0002 in")))
    report = check(taken_into(here, found))
    assert report.whole
    taken = report.entries[4]
    assert isinstance(taken, e.Reading)
    assert (taken.by, taken.taken and taken.taken.by) == ("Ann Fitter", "Bert")


# --- what is not ---------------------------------------------------------------------------------


def test_decisions_are_listed_to_be_done_again() -> None:
    there = fork(
        e.Disposition(component="gear.idler", decision="reuse", why="in band"),
        e.Fasteners(set="M", state="removed"),
        e.Proof(proof="SPIN", passed=True),
        e.Step(step="clean", done=True),
        e.Deferred(until="handover", note="paint"),
        e.Settled(entry=2),
        e.Concession(what="EC", accepted_by="J. Skipper", why="old"),
        e.SheetRevised(what="amend feature D", sheet=SHEET),
        e.Reopened(why="x"),
        e.Strike(entry=2, why="misread"),
    )
    found = joined(fork(CLEAN, by="Ann Fitter"), there)
    assert found.take == ()
    assert why(found) == [(n, r.NOT_SEEN) for n in range(4, 14)]


def test_what_was_struck_there_is_neither_taken_nor_done_again() -> None:
    there = fork(height("idler", "1.2 in"), e.Strike(entry=4, why="misread"), CLEAN)
    found = joined(fork(CLEAN, by="Ann Fitter"), there)
    assert [entry.kind for entry in found.take] == ["finding"]
    assert found.again == ()


def test_a_tail_that_was_set_aside_there_is_no_ones_work() -> None:
    there = fork(e.SetAside(bytes=3, sha256="ab" * 32), CLEAN)
    found = joined(fork(height("idler", "1 in"), by="Ann Fitter"), there)
    assert (len(found.take), found.again) == (1, ())


NEW_IDLER = e.Changed(component="gear.idler", how="new")


@pytest.mark.parametrize("side", ["here", "there"])
def test_a_reading_on_a_part_that_either_side_changed_is_done_again(side: str) -> None:
    read = [height("idler", "1.0002 in"), height("driver", "1.0003 in")]
    here = fork(NEW_IDLER if side == "here" else CLEAN, by="Ann Fitter")
    there = fork(*read, *([NEW_IDLER] if side == "there" else []))
    found = joined(here, there)
    assert [entry.address for entry in found.take if isinstance(entry, e.Reading)] == [
        "H.driver@a"
    ]
    assert (4, r.CHANGED) in why(found)


def test_a_change_without_position_changes_all_of_them() -> None:
    here = fork(e.Changed(component="gear", how="reworked"), by="Ann Fitter")
    there = fork(height("idler", "1 in"), height("driver", "1 in"), reading("D", "2 in"))
    assert why(joined(here, there)) == [(4, r.CHANGED), (5, r.CHANGED)]


def test_a_move_changes_both_places() -> None:
    moved = e.Changed.model_validate(
        {"component": "gear.idler", "how": "moved", "from": "gear.driver"}
    )
    there = fork(height("idler", "1 in"), height("driver", "1 in"))
    assert why(joined(fork(moved, by="Ann Fitter"), there)) == [(4, r.CHANGED), (5, r.CHANGED)]


def test_a_change_that_was_struck_is_none() -> None:
    here = fork(NEW_IDLER, e.Strike(entry=4, why="wrong gear"), by="Ann Fitter")
    assert len(joined(here, fork(height("idler", "1 in"))).take) == 1


def test_striking_an_older_change_is_one() -> None:
    common = Pen(COMMON).write(NEW_IDLER).data
    here = Pen(common, at=LATER).write(e.Strike(entry=4, why="it was not")).data
    read = height("idler", "1 in", on=tuple(on("idler", life=4)))
    there = Pen(common, by="Bert", at=LATER).write(read).data
    assert why(joined(here, there)) == [(5, r.CHANGED)]


def test_findings_photos_and_settings_on_a_changed_part_are_done_again() -> None:
    there = fork(
        e.Finding(place="gear.idler", severity="reject", note="chipped"),
        e.Finding(place="gear.driver", severity="note", note="clean"),
        e.Attachment(
            file="pump.files/" + "ab" * 8, name="x.jpg", sha256="ab" * 32, place="H.idler"
        ),
        e.Setting(gauge="dti", shown="0", reference="H.idler@a"),
        e.Finding(place="body", severity="note", note="no crack"),
    )
    found = joined(fork(NEW_IDLER, by="Ann Fitter"), there)
    assert why(found) == [(4, r.CHANGED), (6, r.CHANGED), (7, r.CHANGED)]
    assert len(found.take) == 2


def test_a_reading_by_a_gauge_that_was_set_anew_here_is_done_again() -> None:
    here = fork(e.Setting(gauge="Mic1", shown="0.0002 in"), by="Ann Fitter")
    there = fork(
        height("idler", "1 in", gauge="mic1"),
        e.Setting(gauge="mic1", shown="0.0001 in"),
        height("driver", "1 in", gauge="mic1"),
        reading("D", "2 in", gauge="depth1"),
    )
    found = joined(here, there)
    assert why(found) == [(4, r.GAUGE_HERE)]
    assert [entry.kind for entry in found.take] == ["setting", "reading", "reading"]


def test_two_descriptions_of_one_gauge_are_not_merged() -> None:
    def gauge(error: str) -> e.GaugeDescribed:
        return e.GaugeDescribed(gauge={"name": "mic1", "max_error": error})

    here = fork(gauge("1 tenth"), by="Ann Fitter")
    found = joined(here, fork(gauge("2 tenths"), height("idler", "1 in", gauge="mic1")))
    assert why(found) == [(4, r.OF_GAUGE), (5, r.GAUGE_HERE)]
    same = joined(here, fork(gauge("1 tenth"), height("idler", "1 in", gauge="mic1")))
    assert (len(same.take), same.again, same.already) == (1, (), 1)


def test_a_reading_of_what_is_not_on_this_sheet_is_done_again() -> None:
    more = {**SHEET, "feature": [*SHEET["feature"], {"tag": "Z", "of": "body"}]}
    there = fork(e.SheetRevised(what="add feature Z", sheet=more), reading("Z", "1 in"))
    found = joined(fork(CLEAN, by="Ann Fitter"), there)
    assert why(found) == [(4, r.NOT_SEEN), (5, r.NOT_ON_SHEET)]


# --- twice, and both ways ------------------------------------------------------------------------


def test_rejoining_twice_takes_nothing() -> None:
    here, there = fork(CLEAN, by="Ann Fitter"), fork(height("idler", "1 in"), CLEAN)
    once = taken_into(here, joined(here, there))
    again = joined(once, there)
    assert (again.take, again.again, again.already, again.tail) == ((), (), 2, b"")
    assert taken_into(once, again) == once


def test_of_a_copy_that_went_on_only_the_new_is_taken() -> None:
    here, there = fork(CLEAN, by="Ann Fitter"), fork(height("idler", "1 in"))
    once = taken_into(here, joined(here, there))
    further = Pen(there, by="Bert", at=LATER).write(height("driver", "2 in")).data
    found = joined(once, further)
    assert [entry.taken.n for entry in found.take if entry.taken] == [5]
    assert found.already == 1
    assert found.tail == b"".join(further.splitlines(keepends=True)[3:])


def test_what_was_taken_there_from_here_does_not_come_back() -> None:
    here, there = fork(CLEAN, by="Ann Fitter"), fork(height("idler", "1 in"))
    theirs = taken_into(there, joined(there, here), by="Bert")
    found = joined(here, theirs)
    assert [entry.kind for entry in found.take] == ["reading", "attachment"]
    assert found.already == 1


def test_what_two_copies_took_from_a_third_is_taken_once() -> None:
    third = fork(height("driver", "3 in"), by="Cleo")
    here, there = fork(CLEAN, by="Ann Fitter"), fork(height("idler", "1 in"))
    here, there = (taken_into(copy, joined(copy, third)) for copy in (here, there))
    found = joined(here, there)
    addresses = [entry.address for entry in found.take if isinstance(entry, e.Reading)]
    assert addresses == ["H.idler@a"]


def test_a_row_that_both_imported_is_taken_once() -> None:
    row = e.FromFile(name="heights.csv", sha256="cd" * 32, row=2)
    here = fork(CLEAN, height("idler", "1 in", from_file=row), by="Ann Fitter")
    there = fork(height("idler", "1 in", from_file=row))
    found = joined(here, there)
    assert (found.take, found.already) == ((), 1)


def test_what_is_taken_is_taken_from_the_copy_it_was_seen_in() -> None:
    here, there = fork(CLEAN, by="Ann Fitter"), fork(height("idler", "1 in"))
    (entry, *_), lines = joined(here, there).take, there.splitlines(keepends=True)
    assert entry.taken is not None
    number = entry.taken.n
    assert entry.taken.head == f"{number}:{sha256(lines[number - 1]).hexdigest()}"
    assert read_line(lines[number - 1]).at == entry.taken.at
