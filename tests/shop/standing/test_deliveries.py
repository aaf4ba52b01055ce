"""How long orders took, read from the ledger: on both databases."""

from __future__ import annotations

from datetime import date, timedelta

from stackopt.choose.choice_records import Order, OrderLine
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, SHOP, THIN_OFFER, chosen_for, twin


def shelf_order(ledger: Ledger, packs: int = 1) -> int:
    (number,) = ledger.draft([Order("Quillhaven", 900, (OrderLine(THIN_OFFER, packs),))], ANA)
    ledger.send(number, ANA)
    return number


def test_an_order_still_to_come_is_counted_up_to_today(ledger: Ledger) -> None:
    """Sent today; looked at 12 days later: 12 days, 5 are stated, 7 late."""
    ledger.load(SHOP, ANA)
    number = shelf_order(ledger)
    sent_on = ledger.order(number).sent_on
    assert isinstance(sent_on, date)
    (delivery,) = ledger.deliveries(sent_on + timedelta(12))
    assert (delivery.supplier, delivery.part) == ("Quillhaven", "BG-040")
    assert (delivery.stated_days, delivery.taken_days) == (5, 12)
    assert (delivery.arrived, delivery.late_days, delivery.bridged) == (False, 7, None)


def test_an_order_that_came_in_parts_is_here_with_the_last(ledger: Ledger) -> None:
    """Two packs of two: one piece, then the rest."""
    ledger.load(SHOP, ANA)
    number = shelf_order(ledger, packs=2)
    later = date.today() + timedelta(30)
    ledger.receive(number, ANA, {"BG-040": 1})
    assert not ledger.deliveries(later)[0].arrived
    ledger.receive(number, ANA)
    (delivery,) = ledger.deliveries(later)
    assert (delivery.arrived, delivery.taken_days, delivery.bridged) == (True, 0, True)


def test_an_order_made_for_an_engine_bridges_nothing_and_drafts_are_none(ledger: Ledger) -> None:
    """Three twins take 6 thin gaskets, 2 are here: the order is promised to engines before it is sent."""
    ledger.load(SHOP, ANA)
    request, choice = chosen_for(ledger.supply(), twin("J-1"), twin("J-2"), twin("J-3"))
    held = ledger.hold_all(request, choice, ANA)
    assert ledger.deliveries(date.today()) == ()
    for number in held.orders:
        ledger.send(number, ANA)
        ledger.receive(number, ANA)
    assert {delivery.bridged for delivery in ledger.deliveries(date.today())} == {None}
