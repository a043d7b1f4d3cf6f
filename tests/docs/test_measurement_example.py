"""The figures worked out by hand in ``docs/measurement.md`` are worked out again.

Once more by hand, in plain fractions, and once by the program, from the readings of the page.
"""

from __future__ import annotations

import json
import re
from decimal import Decimal
from fractions import Fraction
from math import floor, isqrt
from pathlib import Path

import pytest

from bedplate.cli.main import main
from bedplate.metrology.thermal import GAUGE_STEEL, MATERIALS

PAGE = (Path(__file__).parents[2] / "docs" / "measurement.md").read_text("utf-8")
TENTH = Fraction("0.1")
"""Resolution, maximum error and zero error of the page's micrometers, in thou."""
DIGIT, ERROR = TENTH**2 / 12, TENTH**2 / 3
ONE_MICROMETER = 2 * DIGIT + 2 * ERROR
DIAL = DIGIT + Fraction("0.2") ** 2 / 3


def rows_under(heading: str) -> dict[str, list[str]]:
    """Return the rows of the first table under a heading, by their first cell."""
    section = PAGE[PAGE.index(f"# {heading}\n") :]
    lines = [line for line in section.splitlines() if line.startswith("|") or not line]
    rows: dict[str, list[str]] = {}
    for line in lines:
        if line.startswith("|"):
            first, *cells = (cell.strip() for cell in line.strip("|").split("|"))
            rows[first] = cells
        elif rows:
            break
    return rows


def told(value: Fraction, places: int) -> str:
    """Return a figure as the page rounds it."""
    return f"{Decimal(round(value * 10**places)).scaleb(-places):.{places}f}"


def root(square: Fraction) -> Fraction:
    """Return a square root to 15 decimals."""
    scale = 10**30
    return Fraction(isqrt(square.numerator * scale // square.denominator), 10**15)


def test_the_example_of_one_micrometer_adds_up() -> None:
    rows = rows_under("One example by hand")
    assert rows["last digit, 0.1"] == [
        f"0.1²/12 = {told(DIGIT, 6)}",
        f"twice: {told(2 * DIGIT, 6)}",
    ]
    assert rows["maximum error, 0.1"] == [
        f"0.1²/3 = {told(ERROR, 6)}",
        f"twice: {told(2 * ERROR, 6)}",
    ]
    cancelled = (1 - 1) ** 2 * ERROR
    assert rows["zero error, 0.1"] == [
        f"0.1²/3 = {told(ERROR, 6)}",
        f"+1 and −1 of one and the same: {told(cancelled, 6)}",
    ]
    assert rows["sum, u²"][-1] == told(ONE_MICROMETER + cancelled, 6)
    assert rows["u"][-1] == told(root(ONE_MICROMETER), 4)
    assert rows["U = 2u"][-1] == told(2 * root(ONE_MICROMETER), 4)


def test_the_example_of_two_micrometers_adds_up() -> None:
    rows = rows_under("With two micrometers")
    square = ONE_MICROMETER + (1**2 + (-1) ** 2) * ERROR
    assert rows["zero error, 0.1"] == [f"two of them: {told(2 * ERROR, 6)}"]
    assert rows["sum, u²"] == [told(square, 6)]
    assert rows["U = 2u"] == [told(2 * root(square), 4)]


def test_the_example_of_typed_digits_adds_up() -> None:
    square, expanded = told(2 * DIGIT, 6), told(2 * root(2 * DIGIT), 4)
    assert f"u² = {square}, U = {expanded}." in PAGE


def test_what_would_settle_the_close_call_adds_up() -> None:
    wanted = Fraction("0.1") ** 2 / 4
    room = wanted - 2 * DIGIT
    factor = root(room / (2 * ERROR))
    cut = told(Fraction(floor(factor * 1000), 1000), 3)
    text = " ".join(PAGE.split())
    for part in (
        f"so u² is {told(wanted, 6)}. The last digits alone are {told(2 * DIGIT, 6)}.",
        f"That leaves {told(room, 6)} for the maximum errors, which are {told(2 * ERROR, 6)} now.",
        f"square root of {told(room, 6)}/{told(2 * ERROR, 6)} is {told(factor, 4)}, cut "
        f"to {cut}, ",
        f"a maximum error of {told(Fraction(cut) * TENTH, 4)} thou would settle it",
    ):
        assert part in text


def test_the_agreement_of_two_ways_adds_up() -> None:
    rows = rows_under("Two ways to one quantity")
    expanded = 2 * root(ONE_MICROMETER + DIAL)
    assert list(rows.values())[2:] == [
        [told(ONE_MICROMETER, 6)],
        [told(DIAL, 6)],
        [told(ONE_MICROMETER + DIAL, 6)],
        [told(expanded, 4)],
        [told(Fraction("0.2") / expanded, 3)],
        [told(Fraction("0.4") / expanded, 3)],
    ]


def test_the_lengths_at_20_degrees_add_up() -> None:
    alpha = {material.name: material.expansion for material in MATERIALS}
    ring = Fraction("1.0031") * (1 + 10 * GAUGE_STEEL) / (1 + 10 * alpha["bronze"])
    gear = Fraction("1.0001") * (1 + 10 * GAUGE_STEEL) / (1 + 10 * alpha["steel"])
    text = " ".join(PAGE.split())
    assert f"1.0031 · 1.000115/1.000180 = {told(ring, 6)} in" in text
    assert f"1.0001 · 1.000115/1.000117 = {told(gear, 6)} in" in text
    assert f"The clearance at 20 °C is {told(1000 * (ring - gear), 3)} thou" in text


# --- the bore gauge, by hand and by the program ----------------------------------------------

JOURNAL = {"digit": Fraction(1, 12), "maximum": Fraction(16, 3), "zero": Fraction(4, 3)}
BORE = Fraction(1, 12) + Fraction(1, 3)
WAYS = {
    "in a setting ring of 30 mm": (sum(JOURNAL.values()) + BORE, ["--on", "30mm"], "+0.040mm"),
    "in the micrometer, set to 30 mm": (
        JOURNAL["digit"] + 2 * JOURNAL["maximum"] + BORE,
        ["--on", "30mm", "--in", "mic"],
        "+0.040mm",
    ),
    "in the micrometer, locked where it read the journal": (
        BORE,
        ["--on", "J", "--in", "mic"],
        "+0.038mm",
    ),
}


@pytest.fixture
def bush(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Begin the page's job of the bush, its journal read."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BEDPLATE_HOME", str(tmp_path / "settings"))
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    monkeypatch.delenv("BEDPLATE_JOB", raising=False)
    mic = "--resolution 1um --max-error 4um --zero-error 2um"
    for line in (
        f"gauge add mic --kind micrometer {mic}",
        "gauge add bore --reads differences --resolution 1um --max-error 1um",
        "open bush",
        "add component bush",
        "add component shaft",
        "add feature B --of bush --nominal 30.040mm",
        "add feature J --of shaft --nominal 30.000mm",
        "add fit BC --stack B-J --band 30..50um --source p.12",
        "measure J 30.002mm -g mic",
    ):
        assert main(line.split()) == 0, line


@pytest.mark.usefixtures("bush")
@pytest.mark.parametrize("way", WAYS)
def test_the_bore_gauge_is_as_sure_as_what_it_was_set_on(
    way: str, capsys: pytest.CaptureFixture[str]
) -> None:
    square, setting, typed = WAYS[way]
    assert main(["gauge", "set", "bore", "0mm", *setting]) == 0
    assert main(["measure", "B", typed, "-g", "bore"]) == 0
    capsys.readouterr()
    assert main(["check", "--json"]) == 0
    (fit,) = json.loads(capsys.readouterr().out)["fits"]
    assert (fit["mean"], fit["verdict"]) == ("38", "in")
    assert abs(Fraction(fit["expanded_uncertainty"]) ** 2 - 4 * square) < Fraction("1e-9")
    parts, shown = rows_under("The bore gauge, set on the micrometer")[way]
    up = -(-4 * square * 10**4).__floor__()
    assert Fraction(shown) == Fraction(isqrt(up - 1) + 1, 100), "U is rounded up"
    if "as above" not in parts:
        added = sum(map(Fraction, re.findall(r"\d+\.\d+", parts)))
        assert abs(added - square) < Fraction("0.003")


# --- the table of materials --------------------------------------------------------------------


def test_the_materials_of_the_page_are_those_of_the_program() -> None:
    rows = rows_under("Temperature")
    sources = dict(re.findall(r"^- (\[\d\]) (.*)$", PAGE, re.M))
    told_of = {
        name: (Fraction(cells[0]), cells[1], sources[cells[2]])
        for name, cells in rows.items()
        if cells[0].endswith("e-6")
    }
    assert told_of == {
        material.name: (material.expansion, material.stands_for, material.source)
        for material in MATERIALS
    }
    assert f"{float(GAUGE_STEEL * 10**6)}e-6" in PAGE
