from __future__ import annotations

from bedplate.metrology.axes import Axis, Shape, Spot


def test_a_name_is_found_whatever_its_case_and_spelled_as_the_axis_has_it() -> None:
    way = Axis("way", ("Crown", "split"))
    assert way.spelled("CROWN") == "Crown"
    assert way.spelled("Split") == "split"
    assert way.spelled("ridge") is None


def test_positions_come_before_stations_in_an_address() -> None:
    main, depth = Axis("main", ("1",)), Axis("depth", ("front",))
    assert Shape("MJ", (main,), (depth,)).axes == (main, depth)


def test_an_address_reads_as_it_is_typed() -> None:
    assert str(Spot("D")) == "D"
    assert str(Spot("D", (), ("12",))) == "D@12"
    assert str(Spot("H", ("idler",))) == "H.idler"
    assert str(Spot("S", ("2", "ex"), ("mid", "rock"))) == "S.2/ex@mid/rock"


def test_addresses_sort_by_tag_then_position_then_station() -> None:
    spots = [Spot("H", ("b",)), Spot("D", (), ("2",)), Spot("H", ("a",), ("9",)), Spot("D")]
    assert list(map(str, sorted(spots))) == ["D", "D@2", "H.a@9", "H.b"]
