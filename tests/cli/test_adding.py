"""``add`` and ``amend``: the sheet of the job at hand, row by row."""

from __future__ import annotations

import pytest
from typist import RECORDED_KEYS, Typist

from bedplate.cli import commands
from bedplate.sheet.editing import OPTIONS


@pytest.fixture
def begun(typist: Typist) -> Typist:
    """Return a typist with a job begun from nothing."""
    typist.done("open pump")
    return typist


def test_a_pump_is_described_from_nothing(begun: Typist) -> None:
    for line, said in [
        ("add component body --material bronze", "body added."),
        ("add component gear --positions driver,idler", "gear added: driver, idler."),
        (
            'add feature D --of body --name "bore depth" --nominal 1.0030',
            "D added: bore depth, nominal 1.0030.",
        ),
        (
            'add feature H --of gear --stations a,b --name "gear height" --nominal 1.0000',
            "H added: gear height for driver, idler, nominal 1.0000.",
        ),
        (
            'add fit EC --stack "D - H" --band 2..4thou --source "p. 31"',
            "EC added: D - H for driver, idler. Band 2 to 4 thou, p. 31.",
        ),
    ]:
        n = len(begun.entries) + 1
        name = " ".join(line.split()[1:3])
        assert begun.done(line) == [f"entry {n}   sheet: add {name}", said]
    assert begun.entries[-1]["sheet"]["component"] == [
        {"id": "body", "material": "bronze"},
        {"id": "gear", "positions": "gear"},
    ]
    assert begun.entries[-1]["sheet"]["axes"] == {
        "gear": ["driver", "idler"],
        "H": ["a", "b"],
    }
    begun.done("measure D 1.0030", "measure H.idler 0.9979 0.9978")
    assert begun.document("check EC.idler", 1)["fits"][0]["verdict"] == "out"


@pytest.mark.parametrize(
    "line",
    [
        "axis tooth --names a,b,c",
        "axis across --names 1=0,2=80",
        "component body --material bronze --part-number B-1 --name pump",
        "component gasket --renew",
        "component cap --keep body",
        'fasteners N --order 1,3,2,4 --lock tab --stages "16..18 lbf*ft" --source "p. 34"',
        'proof SPIN --text "Turns freely by hand" --hand another --times 2',
        'step close --text "Cover on" --phase build --wait "12 h" --caution "Mind the spring"',
        "size u10 --nominal D=1.0020",
        "feature H --of gear --nominal driver=1.0000,idler=0.9990 --signed --how dry",
        'fit DD --spread P --along way --band "..1 thou" --source "p. 2"',
        'fit DF --stack D --kind size --band "-1..0 thou" --from nominal --source "p. 2"',
    ],
)
def test_every_noun_takes_the_keys_of_the_sheet(begun: Typist, line: str) -> None:
    begun.done(
        "add component body --material bronze" if "component body" not in line else "note begun",
        "add component gear --positions driver,idler",
        "add axis way --names x,y",
    )
    if "component body" not in line:
        begun.done("add feature D --of body --nominal 1.0030")
        begun.done("add feature P --of body --stations way")
    begun.done(f"add {line}")
    noun, name, *_ = line.split()
    assert begun.last["what"] == f"add {noun} {name}"
    sheet = begun.last["sheet"]
    rows = (
        sheet["axes"] if noun == "axis" else [row.get("tag") or row["id"] for row in sheet[noun]]
    )
    assert name in rows


def test_when_and_why_are_kept_with_what_was_changed(begun: Typist) -> None:
    begun.done("add component body --note first --at 2025-11-24T08:00:00Z")
    assert (begun.last["note"], begun.last["done_at"]) == ("first", "2025-11-24T08:00:00+00:00")
    begun.done("add feature D --of body", 'add fit DD --stack D --band ..1in --source "p. 1"')
    begun.done("measure D 0.5")
    found = begun.document('amend fit DD --band ..2in --source "p. 2" --why misread --note seen')
    assert list(found) == RECORDED_KEYS
    assert (found["format"], found["recorded"]) == ("bedplate-out-amend-fit/1", [6])
    assert [(fit["tag"], fit["band"]["high"]) for fit in found["fits"]] == [("DD", "2")]
    assert {key: begun.last[key] for key in ("kind", "what", "why", "note")} == {
        "kind": "sheet-revised", "what": "amend fit DD", "why": "misread", "note": "seen",
    }  # fmt: skip
    assert begun.last["sheet"]["fit"][0]["band"] == {"limits": "..2 in", "source": "p. 2"}


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            'add fit EC --stack "D - D2" --band 2..4thou',
            [
                "Not added. A band needs its source: where does 2..4 thou come from?",
                '  Type the same again with, for example:  --source "Handbook p. 31"',
            ],
        ),
        (
            'add fit EC --stack "D - X"',
            ['Not added. No feature "X".', "  Features: D, D2"],
        ),
        (
            "add component body",
            [
                "Not added. There is a component body already; all names of a sheet differ.",
                "  To change it:  bedplate amend component body ... --why ...",
            ],
        ),
        ("add feature Q --of bdy", ['Not added. No component "bdy". Nearest: body']),
        (
            "add component 'b d'",
            [
                'Not added. "b d" is no name: a name has only letters, digits, - and _, at most',
                "64.",
                '  For example:  "b-d"',
            ],
        ),
        (
            "add component x --postions a",
            [
                'Nothing done. bedplate add component has no option "--postions".',
                "  Nearest: --positions, --expansion, --json",
            ],
        ),
        (
            "amend feature D --nominal 2",
            [
                "Not changed. A change of the sheet needs its reason.",
                '  Type the same again with:  --why "misread the handbook"',
            ],
        ),
        (
            "amend feature X --nominal 2 --why x",
            ['Not changed. There is no feature "X".', "  There are: D, D2"],
        ),
        ("amend feature D --nominal 2 --why ''", ['Not recorded. "why" is empty.']),
        ("add component y --at never", [
            'Not recorded. "never" is no time.',
            '  Type:  --at 14:52   or   --at "2025-11-24 14:52"',
        ]),
    ],
)  # fmt: skip
def test_a_row_that_does_not_fit_the_sheet_is_refused(
    begun: Typist, line: str, said: list[str]
) -> None:
    begun.done("add component body", "add feature D --of body", "add feature D2 --of body")
    assert begun.refused(line) == said


def test_what_was_measured_stays_while_the_sheet_grows(begun: Typist) -> None:
    begun.done("add component body", "add feature D --of body", "measure D 1.0030")
    begun.done('add fit DD --stack D --band "1..1.01 in" --source "p. 1"')
    assert begun.document("check")["fits"][0]["readings"] == [4]


@pytest.mark.parametrize("noun", sorted(OPTIONS))
def test_the_options_are_the_keys_of_the_sheet(typist: Typist, noun: str) -> None:
    for verb in ("add", "amend"):
        assert commands.found(f"{verb} {noun}") is not None
        page = " ".join(typist.done(f"help {verb} {noun}"))
        for option in OPTIONS[noun]:
            assert f"--{option.name}" in page
        assert ("--why" in page) == (verb == "amend")
        assert "--at" in page
        assert "--note" in page
