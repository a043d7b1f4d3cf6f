from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedplate.metrology.thermal import (
    GAUGE_STEEL,
    MATERIALS,
    correction,
    growth,
    material_named,
)

F = Fraction
BRONZE = F(18, 10**6)
DEGREES = st.fractions(min_value=-40, max_value=200, max_denominator=10)
EXPANSIONS = st.fractions(min_value=0, max_value=F(30, 10**6), max_denominator=10**7)


def test_a_warm_part_read_with_a_warm_steel_gauge() -> None:
    assert correction(BRONZE, F(30)) == (1 + 10 * F("11.5e-6")) / (1 + 10 * F("18e-6"))


def test_part_and_gauge_may_differ_in_temperature_and_in_expansion() -> None:
    assert correction(BRONZE, F(30), F("23.1e-6"), F(10)) == (
        (1 - 10 * F("23.1e-6")) / (1 + 10 * F("18e-6"))
    )


def test_a_gauge_of_no_expansion_is_not_taken_for_steel() -> None:
    assert correction(BRONZE, F(30), F(0)) == 1 / (1 + 10 * F("18e-6"))


def test_a_gauge_at_nought_degrees_is_not_taken_to_be_as_warm_as_the_part() -> None:
    assert correction(BRONZE, F(20), None, F(0)) == 1 - 20 * GAUGE_STEEL


def test_at_twenty_degrees_nothing_is_corrected() -> None:
    assert correction(BRONZE, F(20)) == 1
    assert growth(BRONZE, F(20)) == 1


def test_a_part_read_warm_and_grown_as_warm_is_as_it_was() -> None:
    assert correction(BRONZE, F(75), BRONZE, F(20)) * growth(BRONZE, F(75)) == 1


def test_a_temperature_at_which_nothing_is_left_is_refused() -> None:
    with pytest.raises(ValueError, match="a part at -80 degC has no length left"):
        correction(F(1, 100), F(-80))
    assert correction(F(1, 100), F("-79.9"), F(0)) == 1000


@given(expansion=EXPANSIONS, degrees=DEGREES)
def test_gauge_and_part_alike_and_as_warm_need_no_correction(
    expansion: Fraction, degrees: Fraction
) -> None:
    assert correction(expansion, degrees, expansion) == 1


@given(expansion=EXPANSIONS, degrees=DEGREES)
def test_a_part_colder_than_its_gauge_reads_short(expansion: Fraction, degrees: Fraction) -> None:
    factor = correction(expansion, degrees, expansion, degrees + 1)
    assert (factor > 1) == (expansion > 0)


def test_materials_are_named_whatever_case_and_spaces() -> None:
    found = material_named("  Stainless   304 ")
    assert found is not None
    assert found.name == "stainless 304"
    assert material_named("steel 304") is None
    assert material_named("") is None


def test_every_material_has_a_name_of_its_own_and_a_source() -> None:
    assert len({material.name for material in MATERIALS}) == len(MATERIALS) == 8
    assert all(material.source and material.stands_for for material in MATERIALS)
