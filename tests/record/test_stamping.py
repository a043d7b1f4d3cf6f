"""What the file adds to an entry, and how a moment is written."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from pydantic import ValidationError

from bedplate.record.entries import NO_LINE, Changed, On, Reading, Setting, Step
from bedplate.record.stamping import moment_text, stamped


def test_a_stamped_entry_has_what_the_file_adds_and_all_it_had() -> None:
    on = (On(place="gear.idler", part="gear.idler", life=1),)
    reading = Reading(address="H.idler@b", value="0.7503 in", on=on, note="warm")
    done = stamped(reading, n=7, at="2025-11-24T15:40:00+00:00", by="Ann Fitter", prev="a" * 64)
    assert type(done) is Reading
    assert (done.n, done.at, done.by) == (7, "2025-11-24T15:40:00+00:00", "Ann Fitter")
    assert (done.prev, done.on, done.note, done.value) == ("a" * 64, on, "warm", "0.7503 in")
    assert reading.n == 0


def test_fields_named_as_python_words_are_stamped_too() -> None:
    setting = Setting(gauge="bore1", shown="0.0000 in", in_="mic1")
    changed = Changed(component="gear.idler", how="moved", from_="gear.driver")
    where = {"at": "2025-11-24T15:40:00+00:00", "by": "Ann", "prev": NO_LINE}
    assert stamped(setting, n=1, **where).in_ == "mic1"
    assert stamped(changed, n=1, **where).from_ == "gear.driver"


@pytest.mark.parametrize(
    ("field", "value"), [("n", 0), ("at", "today"), ("by", ""), ("by", "\udcff"), ("prev", "0")]
)
def test_a_bad_stamp_is_refused(field: str, value: str | int) -> None:
    good = {"n": 1, "at": "2025-11-24T15:40:00+00:00", "by": "Ann", "prev": NO_LINE}
    with pytest.raises(ValidationError) as caught:
        stamped(Step(step="cover-on", done=True), **(good | {field: value}))  # type: ignore[arg-type]
    assert [fault["loc"] for fault in caught.value.errors()] == [(field,)]


def test_a_moment_is_written_to_the_second_with_its_offset() -> None:
    moment = datetime(2025, 11, 24, 15, 40, 1, 999_999, tzinfo=timezone(timedelta(hours=1)))
    assert moment_text(moment) == "2025-11-24T15:40:01+01:00"
    assert moment_text(moment.astimezone(UTC)) == "2025-11-24T14:40:01+00:00"
    with pytest.raises(ValueError, match="must know its offset"):
        moment_text(datetime(2025, 11, 24, 15, 40))
