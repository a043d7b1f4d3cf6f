from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest

from bedplate.metrology.axes import Spot
from bedplate.metrology.error import Draw, Estimate, Gauge, combine
from bedplate.metrology.scatter import Pool
from bedplate.metrology.settings import Reading, Setting
from bedplate.metrology.settled import Basis, Settled, settle

F = Fraction
BORE, SHAFT, OTHER = Spot("B", ("1",)), Spot("J", ("1",)), Spot("J", ("2",))
MIC = Gauge("mic", resolution=F(6), max_error=F(3), zero_error=F(9), repeatability=F(2))
DIAL = Gauge("dial", reads="differences", resolution=F(6), max_error=F(6), repeatability=F(1))
BARE = Gauge("bare")
GAUGES = {gauge.name: gauge for gauge in (MIC, DIAL, BARE)}


def reading(n: int, spot: Spot, typed: str, gauge: str | None = "mic", **more: object) -> Reading:
    return Reading(n, spot, F(typed), F(typed), gauge, **more)  # type: ignore[arg-type]


def value(settled: Settled, n: int) -> Fraction | None:
    return settled.estimate(n).low


def draws(settled: Settled, n: int) -> Mapping[Draw, Fraction]:
    return settled.estimate(n).draws


def difference(settled: Settled, one: int, other: int) -> Estimate:
    return combine([(F(1), settled.estimate(one)), (F(-1), settled.estimate(other))])


# Offsets


def test_before_the_first_setting_a_reading_is_what_was_typed() -> None:
    settled = settle([reading(1, SHAFT, "1.0002")], GAUGES)
    assert value(settled, 1) == F("1.0002")
    assert Draw("zero_error", ("mic", 0)) in draws(settled, 1)
    assert settled.basis(1) == Basis(setting=0, step=None, described=True, scatter="stated")


def test_what_a_gauge_showed_too_much_is_taken_off_every_reading_from_there_on() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "0.9979"),
            Setting(2, "mic", F("1.0002"), F(1)),
            reading(3, SHAFT, "0.9979"),
            reading(4, OTHER, "0.5"),
        ],
        GAUGES,
    )
    assert [value(settled, n) for n in (1, 3, 4)] == [F("0.9979"), F("0.9977"), F("0.4998")]
    assert settled.basis(3).setting == 2


def test_the_last_setting_before_the_reading_is_in_force_whatever_the_order_given() -> None:
    events: list[Setting | Reading] = [
        reading(5, SHAFT, "2"),
        Setting(4, "mic", F("1.25"), F(1)),
        Setting(2, "mic", F("1.5"), F(1)),
        Setting(6, "mic", F("1.75"), F(1)),
        reading(3, SHAFT, "2"),
    ]
    settled = settle(events, GAUGES)
    assert (value(settled, 3), value(settled, 5)) == (F("1.5"), F("1.75"))
    assert Draw("zero_error", ("mic", 2)) in draws(settled, 3)
    assert Draw("zero_error", ("mic", 4)) in draws(settled, 5)


def test_a_setting_of_another_gauge_does_not_count() -> None:
    settled = settle([Setting(1, "dial", F(5), F(1)), reading(2, SHAFT, "2")], GAUGES)
    assert value(settled, 2) == 2


def test_a_gauge_that_reads_differences_counts_from_its_reference() -> None:
    settled = settle(
        [Setting(1, "dial", F("0.0002"), F("1.5")), reading(2, SHAFT, "-0.0003", "dial")], GAUGES
    )
    assert value(settled, 2) == F("1.4995")


def test_no_setting_touches_a_reading_without_a_gauge() -> None:
    settled = settle([Setting(1, "mic", F(3), F(1)), reading(2, SHAFT, "7", None)], GAUGES)
    assert value(settled, 2) == 7


def test_the_temperature_correction_comes_after_the_offset_and_leaves_the_draws() -> None:
    settled = settle(
        [Setting(1, "mic", F(2), F(1)), reading(2, SHAFT, "5", factor=F(1, 2))], GAUGES
    )
    assert value(settled, 2) == 2
    assert set(draws(settled, 2).values()) == {F(1)}
    assert settled.estimate(2).variance == 3 + 3 + 27 + 4


# Zero errors, shared and not


def test_two_readings_after_one_setting_share_the_zero() -> None:
    settled = settle([reading(1, SHAFT, "2"), reading(2, OTHER, "5")], GAUGES)
    assert difference(settled, 2, 1).variance == 2 * (3 + 3 + 4)


def test_a_new_setting_is_a_new_zero() -> None:
    settled = settle(
        [reading(1, SHAFT, "2"), Setting(2, "mic", F(1), F(1)), reading(3, OTHER, "5")], GAUGES
    )
    assert difference(settled, 3, 1).variance == 2 * (3 + 3 + 4 + 27)


def test_repeats_share_the_last_digit_but_not_the_hand() -> None:
    settled = settle([reading(1, SHAFT, "2"), reading(2, SHAFT, "5")], GAUGES)
    assert difference(settled, 2, 1).variance == 2 * 4


# Set on a reading, or in another gauge


def test_a_gauge_set_on_a_reading_takes_its_value_and_carries_its_draws() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "1.4980"),
            Setting(2, "dial", F(0), SHAFT),
            reading(3, BORE, "0.0025", "dial"),
        ],
        GAUGES,
    )
    assert value(settled, 3) == F("1.5005")
    assert settled.estimate(3).entries == (3,)
    gap = difference(settled, 3, 1)
    assert gap.low == F("0.0025")
    own = {draw for draw in draws(settled, 3) if draw not in draws(settled, 1)}
    assert {draw for draw, count in gap.draws.items() if count} == own
    assert gap.variance == 3 + 12 + 1


def test_the_reference_is_taken_before_the_temperature_correction() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "4", factor=F(1, 2)),
            Setting(2, "dial", F(0), SHAFT),
            reading(3, BORE, "2", "dial", factor=F(1, 3)),
        ],
        GAUGES,
    )
    assert (value(settled, 1), value(settled, 3)) == (F(2), F(2))


def test_the_last_reading_live_at_the_setting_is_the_reference() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "10"),
            reading(2, SHAFT, "11"),
            reading(3, SHAFT, "12", struck=4),
            Setting(5, "dial", F(0), SHAFT),
            reading(6, BORE, "1", "dial"),
            reading(7, SHAFT, "13"),
        ],
        GAUGES,
    )
    assert value(settled, 6) == 12
    assert settled.waiting == {}


def test_readings_wait_where_the_reference_was_struck_after_the_setting() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "10"),
            reading(2, SHAFT, "11", struck=6),
            Setting(3, "dial", F(0), SHAFT),
            reading(4, BORE, "1", "dial"),
            reading(5, OTHER, "1", "dial", struck=8),
            Setting(7, "dial", F(0), SHAFT),
            reading(9, OTHER, "1", "dial"),
        ],
        GAUGES,
    )
    assert settled.waiting == {4: 3}
    assert set(settled.numbers) == {1, 9}
    assert value(settled, 9) == 11


def test_readings_wait_where_nothing_was_read_at_the_address() -> None:
    settled = settle([Setting(1, "dial", F(0), SHAFT), reading(2, BORE, "1", "dial")], GAUGES)
    assert settled.waiting == {2: 1}


def test_what_waits_makes_what_is_set_on_it_wait() -> None:
    settled = settle(
        [
            Setting(1, "dial", F(0), SHAFT),
            reading(2, BORE, "1", "dial"),
            Setting(3, "mic", F(0), BORE),
            reading(4, OTHER, "1"),
        ],
        GAUGES,
    )
    assert settled.waiting == {2: 1, 4: 3}


def test_a_gauge_set_in_another_draws_that_ones_zero_and_maximum_error_along() -> None:
    settled = settle(
        [
            Setting(1, "mic", F("1.5002"), F("1.5")),
            Setting(2, "dial", F(0), F("1.5"), "mic"),
            reading(3, BORE, "0.0010", "dial"),
            reading(4, SHAFT, "1.4992"),
        ],
        GAUGES,
    )
    assert value(settled, 3) == F("1.5010")
    carried = {
        Draw("max_error", ("mic", "setting", 2)): F(1),
        Draw("zero_error", ("mic", 1)): F(1),
    }
    assert carried.items() <= draws(settled, 3).items()
    # The zero of the micrometer is common to bore and shaft; its maximum error is not.
    assert difference(settled, 3, 4).variance == (3 + 12 + 1 + 3) + (3 + 3 + 4)


def test_two_readings_after_one_setting_in_a_gauge_share_its_maximum_error() -> None:
    settled = settle(
        [
            Setting(2, "dial", F(0), F("1.5"), "mic"),
            reading(3, BORE, "0.0010", "dial"),
            reading(4, SHAFT, "0.0030", "dial"),
        ],
        GAUGES,
    )
    assert difference(settled, 3, 4).variance == 2 * (3 + 12 + 1)


def test_locked_on_a_part_in_the_gauge_that_read_it_nothing_counts_twice() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "1.4980"),
            Setting(2, "dial", F(0), SHAFT, "mic"),
            reading(3, BORE, "0.0025", "dial"),
        ],
        GAUGES,
    )
    assert set(draws(settled, 3).values()) == {F(1)}
    assert difference(settled, 3, 1).variance == 3 + 12 + 1


def test_set_on_a_part_in_a_third_gauge_both_are_carried() -> None:
    third = {**GAUGES, "comp": Gauge("comp", max_error=F(15), zero_error=F(12), resolution=F(0))}
    settled = settle(
        [
            reading(1, SHAFT, "1.4980"),
            Setting(2, "dial", F(0), SHAFT, "comp"),
            reading(3, BORE, "0.0025", "dial"),
        ],
        third,
    )
    assert draws(settled, 3)[Draw("max_error", ("comp", "J", ("1",)))] == 1
    assert difference(settled, 3, 1).variance == (3 + 12 + 1) + 75 + 48


def test_a_chain_of_gauges_carries_every_link() -> None:
    chain = {
        **GAUGES,
        "comp": Gauge("comp", max_error=F(15), resolution=F(0), repeatability=F(0)),
    }
    settled = settle(
        [
            reading(1, OTHER, "7"),
            Setting(2, "mic", F(7), OTHER),
            Setting(3, "comp", F(0), F(7), "mic"),
            Setting(4, "dial", F(0), F(7), "comp"),
            reading(5, BORE, "1", "dial"),
        ],
        chain,
    )
    assert value(settled, 5) == 8
    assert settled.estimate(5).variance == (3 + 12 + 1) + 75 + (3 + 27) + (3 + 3 + 27 + 4)


def test_two_gauges_set_in_each_other_look_back_and_come_to_an_end() -> None:
    settled = settle(
        [
            Setting(1, "mic", F(1), F(2), "dial"),
            Setting(2, "dial", F(1), F(3), "mic"),
            Setting(3, "mic", F(1), F(4), "dial"),
            reading(4, SHAFT, "5"),
        ],
        GAUGES,
    )
    assert value(settled, 4) == 8
    assert settled.estimate(4).variance == (3 + 3 + 27 + 4) + 12 + (3 + 27) + 12


def test_a_gauge_set_in_itself_carries_nothing_of_its_own_along() -> None:
    settled = settle([Setting(1, "mic", F(1), F(2), "mic"), reading(2, SHAFT, "5")], GAUGES)
    assert value(settled, 2) == 6
    assert settled.estimate(2).variance == 3 + 3 + 27 + 4


def test_a_gauge_set_on_a_bracket_takes_both_its_ends() -> None:
    bracket = Reading(1, SHAFT, F(10), F(11), "mic")
    settled = settle(
        [bracket, Setting(2, "dial", F(0), SHAFT), reading(3, BORE, "2", "dial")], GAUGES
    )
    assert (settled.estimate(3).low, settled.estimate(3).high) == (F(12), F(13))
    assert draws(settled, 3)[Draw("width", (1,))] == 1


def test_a_gauge_set_on_an_open_end_reads_an_open_end() -> None:
    up_to = Reading(1, SHAFT, None, F(11), "mic")
    settled = settle(
        [up_to, Setting(2, "dial", F(0), SHAFT), reading(3, BORE, "2", "dial")], GAUGES
    )
    assert (settled.estimate(3).low, settled.estimate(3).high) == (None, F(13))


# Brackets, steps and scatter


def test_a_bracket_draws_its_width_after_correction() -> None:
    bracket = Reading(1, SHAFT, F(10), F(16), "mic", factor=F(1, 2))
    settled = settle([bracket], GAUGES)
    estimate = settled.estimate(1)
    assert (estimate.low, estimate.high) == (F(5), F(8))
    assert estimate.width_variance == F(9, 12)
    assert estimate.variance == 37


def test_an_open_end_has_no_width() -> None:
    settled = settle([Reading(1, SHAFT, None, F(16), "mic")], GAUGES)
    assert settled.estimate(1).width_variance == 0


def test_the_finest_step_typed_for_a_feature_with_a_gauge_stands_for_the_resolution() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "1.00", "bare", step=F(12)),
            reading(2, OTHER, "1.000", "bare", step=F(6)),
            reading(3, OTHER, "1.0000", "bare", step=F(1), struck=9),
            Reading(4, OTHER, F(1), F(2), "bare", step=F(1)),
            reading(5, BORE, "1.0000", "bare", step=F(2)),
            reading(6, SHAFT, "1.0", None, step=F(24)),
            reading(7, SHAFT, "1", None, step=F(0)),
        ],
        GAUGES,
    )
    assert [settled.estimate(n).variance for n in (1, 2, 4, 5, 6)] == [3, 3, 3, F(1, 3), 48]
    assert settled.basis(1) == Basis(0, F(6), described=False, scatter="unknown")
    assert settled.basis(6) == Basis(0, F(24), described=False, scatter="unknown")


def test_a_reading_that_waits_still_shows_how_fine_the_gauge_reads() -> None:
    settled = settle(
        [
            reading(1, SHAFT, "1.00", "bare", step=F(12)),
            Setting(2, "bare", F(0), BORE),
            reading(3, SHAFT, "1.000", "bare", step=F(6)),
        ],
        GAUGES,
    )
    assert settled.waiting == {3: 2}
    assert settled.estimate(1).variance == 3


def test_a_bracket_alone_has_no_step_of_its_own() -> None:
    settled = settle([Reading(1, SHAFT, F(4), F(5), None)], GAUGES)
    assert settled.estimate(1).variance == 0
    assert settled.basis(1).step == 0


def test_the_u_of_a_report_is_said_to_be_described() -> None:
    gauges = {"shop": Gauge("shop", "report", uncertainty=F(4))}
    settled = settle([reading(1, SHAFT, "1", "shop", step=F(12))], gauges)
    assert settled.estimate(1).variance == 4
    assert settled.basis(1) == Basis(0, None, described=True, scatter="unknown")


SIX = [reading(n, SHAFT, str(n), "loose") for n in range(1, 7)]
LOOSE = {**GAUGES, "loose": Gauge("loose", resolution=F(6)), "tg": Gauge("tg")}


def test_scatter_that_is_not_stated_is_pooled_over_the_job() -> None:
    settled = settle([*SIX, reading(7, OTHER, "0", "loose")], LOOSE)
    assert settled.pools == {"loose": Pool(F(7, 2), 5)}
    assert settled.estimate(7).variance == 3 + F(7, 2)
    assert settled.basis(7).scatter == "pooled"


def test_below_five_degrees_of_freedom_scatter_is_unknown() -> None:
    settled = settle(SIX[:5], LOOSE)
    assert settled.pools == {"loose": Pool(F(0), 4)}
    assert settled.estimate(1).variance == 3
    assert settled.basis(1).scatter == "unknown"


def test_repeats_on_another_life_or_at_another_address_are_another_group() -> None:
    others = [
        reading(11, SHAFT, "100", "loose", life=8),
        reading(12, SHAFT, "102", "loose", life=8),
        reading(13, OTHER, "200", "loose"),
    ]
    settled = settle([*SIX, *others], LOOSE)
    assert settled.pools["loose"] == Pool((F(35, 2) + 2) / 6, 6)


def test_pooling_is_over_corrected_readings_and_leaves_out_what_is_struck_or_two_ended() -> None:
    events: list[Setting | Reading] = [
        *(reading(n, SHAFT, str(2 * n), "loose", factor=F(1, 2)) for n in range(1, 4)),
        Setting(4, "loose", F(1), F(0)),
        *(reading(n, SHAFT, str(2 * (n - 1) + 1), "loose", factor=F(1, 2)) for n in range(5, 8)),
        reading(8, SHAFT, "50", "loose", struck=9),
        Reading(10, SHAFT, F(1), F(99), "loose"),
        Reading(11, SHAFT, None, F(99), "loose"),
    ]
    assert settle(events, LOOSE).pools["loose"] == Pool(F(7, 2), 5)


def test_no_scatter_is_pooled_for_a_gauge_of_which_nothing_is_stated() -> None:
    bare = [reading(n, SHAFT, str(n), "bare") for n in range(1, 9)]
    none = [reading(n, OTHER, str(n), None) for n in range(11, 19)]
    settled = settle([*bare, *none], GAUGES)
    assert settled.pools == {}
    assert {estimate.variance for estimate in map(settled.estimate, settled.numbers)} == {F(0)}


def test_a_stated_scatter_is_not_pooled() -> None:
    settled = settle([reading(n, SHAFT, str(n)) for n in range(1, 9)], GAUGES)
    assert settled.pools == {}
    assert settled.basis(1).scatter == "stated"


# Felt with one, read on the other


def test_a_pair_has_the_scatter_of_both_and_the_other_errors_of_the_second() -> None:
    gauges = {**GAUGES, "tg": Gauge("tg", max_error=F(30), repeatability=F(5))}
    events = [Setting(1, "tg", F(7), F(0)), Setting(2, "mic", F(1), F(0))]
    settled = settle([*events, reading(3, BORE, "10", "mic", felt="tg")], gauges)
    assert value(settled, 3) == 9
    assert settled.estimate(3).variance == 3 + 3 + 27 + (4 + 25)
    assert settled.basis(3).setting == 2


def test_the_scatter_of_a_pair_is_pooled_under_its_own_name() -> None:
    pair = [reading(n, BORE, str(n), "mic", felt="tg") for n in range(1, 7)]
    single = [reading(n, SHAFT, "5", "mic") for n in range(11, 13)]
    settled = settle([*pair, *single], LOOSE)
    assert settled.pools == {"tg/mic": Pool(F(7, 2), 5)}
    assert settled.estimate(1).part("repeatability") == F(7, 2)
    assert settled.estimate(11).part("repeatability") == 4


def test_what_is_stated_of_a_pair_counts_while_the_rest_is_unknown() -> None:
    settled = settle([reading(1, BORE, "5", "mic", felt="tg")], LOOSE)
    assert settled.estimate(1).part("repeatability") == 4
    assert settled.basis(1).scatter == "unknown"


def test_the_step_of_a_pair_is_its_own() -> None:
    settled = settle(
        [
            reading(1, BORE, "5", "bare", felt="tg", step=F(12)),
            reading(2, BORE, "5", "bare", step=F(6)),
        ],
        LOOSE,
    )
    assert [settled.estimate(n).variance for n in (1, 2)] == [12, 3]
    assert difference(settled, 1, 2).variance == 15


def test_a_gauge_that_is_not_there_is_a_fault_of_the_caller() -> None:
    with pytest.raises(KeyError):
        settle([reading(1, SHAFT, "5", "lost")], GAUGES)
