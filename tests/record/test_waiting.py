"""What is put off, found and conceded, until it is settled."""

from __future__ import annotations

import pytest
from sheets import CRANK
from shop import Shop

from bedplate.record import entries as e
from bedplate.record.waiting import PutOff, Waiting, asks


@pytest.fixture
def shop() -> Shop:
    return Shop(CRANK)


def waiting(shop: Shop) -> Waiting:
    return Waiting.of(shop.job)


def test_what_is_put_off_waits_until_it_is_settled(shop: Shop) -> None:
    shop.keep(e.Deferred(until="Ben", holds="M.2", note="bolts", why="on order"))
    shop.keep(e.Deferred(until="50 h", why="on order"))
    assert waiting(shop).put_off == (
        PutOff(2, "Ben", "M.2", "bolts"),
        PutOff(3, "50 h", None, "on order"),
    )
    shop.keep(e.Settled(entry=2, how="came"))
    assert [item.n for item in waiting(shop).put_off] == [3]
    assert waiting(shop).settled[2].how == "came"


def test_beyond_what_was_asked_waits_for_the_customer(shop: Shop) -> None:
    shop.keep(e.Disposition(component="cap", decision="rework", why="worn", extra=True))
    shop.keep(e.Disposition(component="crank", decision="rework", why="worn", extra=False))
    assert waiting(shop).put_off == (PutOff(2, "customer", None, "rework cap: worn"),)
    shop.keep(e.Disposition(component="cap.1", decision="reuse", why="good"))
    assert [item.n for item in waiting(shop).put_off] == [2]
    shop.keep(e.Disposition(component="cap", decision="reuse", why="good"))
    assert waiting(shop).put_off == ()


def test_findings_that_ask_are_those_to_reject_and_those_that_come_back() -> None:
    assert not asks(e.Finding(severity="note"))
    assert not asks(e.Finding(severity="watch"))
    assert asks(e.Finding(severity="reject"))
    assert asks(e.Finding(severity="note", back="M"))


def test_an_answered_finding_asks_no_more(shop: Shop) -> None:
    shop.keep(e.Finding(severity="reject", note="crack"))
    shop.keep(e.Finding(severity="note", note="oil"))
    assert [finding.n for finding in waiting(shop).findings] == [2]
    shop.keep(e.Settled(entry=2))
    assert waiting(shop).findings == ()


def test_concessions_are_kept_in_order(shop: Shop) -> None:
    shop.keep(e.Concession(what="EFL", accepted_by="A. Owner", why="old engine"))
    shop.keep(e.Concession(what="M.2", accepted_by="A. Owner", why="old engine"))
    shop.keep(e.Strike(entry=2, why="slip"))
    assert [concession.what for concession in waiting(shop).concessions] == ["M.2"]
