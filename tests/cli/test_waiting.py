"""``inspect``, ``defer``, ``settle`` and ``concede`` as they are typed."""

from __future__ import annotations

from pathlib import Path

import pytest
from typist import PUMP, Typist


@pytest.fixture
def pump(typist: Typist) -> Typist:
    """Return somebody beside a pump that has nothing recorded yet."""
    Path("pump.toml").write_text(PUMP, "utf-8")
    typist.type("open pump --sheet pump.toml")
    return typist


def test_a_finding_says_where_how_grave_and_how_it_was_judged(pump: Typist) -> None:
    line = 'inspect gear.idler "pitted flank" --severity reject --how fingernail'
    assert pump.type(line).out == ["entry 2   reject on gear.idler: pitted flank, by fingernail"]
    assert any(b["kind"] == "finding" for b in pump.document("status")["blockers"])
    assert pump.type('settle 2 --how "gear goes"').code == 0
    assert not any(b["kind"] == "finding" for b in pump.document("status")["blockers"])


def test_what_is_put_off_stays_in_sight_until_it_is_settled(pump: Typist) -> None:
    line = 'defer "retorque cover" --until "FIRST RUN" --why settles'
    assert pump.type(line).out == [
        'entry 2   put off: "retorque cover" until first run, because settles'
    ]
    assert pump.document("status")["deferred"] == [
        {"entry": 2, "text": "retorque cover", "until": "first run", "holds": None}
    ]
    assert pump.type("settle 2").out == ["entry 3   settles 2"]
    assert pump.document("status")["deferred"] == []


@pytest.mark.parametrize(
    ("line", "said", "code"),
    [
        (
            "inspect body x --severity bad",
            ['Not recorded. "bad" is no severity.', "  They are:  note, watch, reject"],
            2,
        ),
        ("inspect bdoy x", ['Not recorded. There is no name "bdoy".', "  Nearest: body"], 2),
        (
            "defer retorque",
            ["Not recorded. What is put off needs what it waits for.",
             '  Type:  bedplate defer "retorque" --until "first run" --why "..."'],
            2,
        ),
        (
            "settle 99",
            ['Not recorded. There is no entry "99"; the last is 1.', "  See them:  bedplate log"],
            2,
        ),
        (
            "concede EC.idler",
            ["Not recorded. A concession needs who accepts it, and why.",
             '  Type:  bedplate concede EC.idler --accepted-by NAME --why "..."'],
            2,
        ),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_not_recorded(
    pump: Typist, line: str, said: list[str], code: int
) -> None:
    before = Path("pump.job.jsonl").read_bytes()
    answer = pump.type(line)
    assert (answer.out, answer.err, answer.code) == ([], said, code)
    assert Path("pump.job.jsonl").read_bytes() == before


def test_a_concession_lifts_the_one_thing_it_names(pump: Typist) -> None:
    pump.type("measure BL 9thou")
    assert "LASH" in [b["what"] for b in pump.document("status")["blockers"]]
    answer = pump.type('concede LASH --accepted-by "A. Owner" --why "sold after the season"')
    assert answer.code == 0
    assert "LASH" not in [b["what"] for b in pump.document("status")["blockers"]]
    assert pump.type("check LASH").code == 1


def test_what_is_known_from_outside_the_file_is_conceded_too(pump: Typist) -> None:
    """A gauge past its due date, and a copy of the job that is further on."""
    pump.done('gauge add dial1 --resolution "1 thou" --due 2020-01-01')
    pump.done("measure BL 6thou -g dial1")
    there = Path("pump.job.jsonl").read_bytes()
    pump.done("note further")
    Path("pump.job.copy.jsonl").write_bytes(Path("pump.job.jsonl").read_bytes())
    Path("pump.job.jsonl").write_bytes(there)
    for what in ("dial1", "pump.job.copy.jsonl"):
        assert what in [b["what"] for b in pump.document("status")["blockers"]]
        assert pump.type(f"concede {what} --accepted-by Owner --why known").code == 0
        assert what not in [b["what"] for b in pump.document("status")["blockers"]]


def test_a_note_is_taken_on_every_tag_of_the_sheet(pump: Typist) -> None:
    for on in (
        "body",
        "gear.idler",
        "H.idler",
        "H.idler@b",
        "EC",
        "EC.idler",
        "ec.Driver",
        "LASH",
    ):
        assert pump.type(f"note seen --on {on}").code == 0, on
    assert [entry["place"] for entry in pump.entries[-3:]] == ["EC.idler", "EC.driver", "LASH"]
    assert pump.refused("note seen --on EC.idle") == [
        'Not recorded. Fit EC is not formed at "idle".',
        "  Nearest: idler",
    ]
    assert pump.refused("note seen --on LASH.idler") == [
        'Not recorded. Fit LASH is not formed at "idler".',
        "  Its address is  LASH",
    ]


def test_a_fit_cannot_be_held_only_what_it_rests_on(pump: Typist) -> None:
    said = pump.refused('defer wait --until "first run" --why w --holds EC.idler')
    assert said == [
        "Not recorded. EC is a fit: what waits is an address, set or step.",
        "  Name what it rests on, such as  --holds D",
    ]


def test_a_finding_comes_back_at_a_step_or_a_set(typist: Typist) -> None:
    on = '[[step]]\nid = "relief-in"\ntext = "Screw in"\n[[fasteners]]\ntag = "N"\n'
    Path("pump.toml").write_text(f"{PUMP}{on}", "utf-8")
    typist.done("open pump --sheet pump.toml")
    for nowhere in ("nowhere", "gear.idler"):
        said = typist.type(f"inspect valve 'seven turns' --back {nowhere}")
        assert (said.code, said.err) == (2, [
            f'Not recorded. There is no step or fasteners "{nowhere.partition(".")[0]}".',
            "  There are: N, relief-in",
        ])  # fmt: skip
