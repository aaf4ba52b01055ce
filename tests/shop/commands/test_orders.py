"""Orders: drafted, sent, received in part or whole, cancelled."""

from __future__ import annotations

import pytest

from stackopt.choose.choice_records import Use
from stackopt.problems import InputError
from stackopt.shop.commands.receiving import Arrival
from stackopt.shop.database.acts import Balance
from stackopt.shop.ledger import Ledger
from tests.shop.situations import (
    ANA,
    BEN,
    HEAD,
    SET_OFFER,
    SHOP,
    THIN,
    THIN_OFFER,
    TODAY,
    asked,
    choice_of,
    fitted,
    order_of,
    twin,
)


@pytest.fixture
def waiting(ledger: Ledger) -> Ledger:
    """J-104 holds two head gaskets and waits for two of the four base gaskets of order 1; two are for the shelf."""
    ledger.load(SHOP, ANA)
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 2),))
    ledger.hold(asked(twin("J-104")), choice, ANA)
    return ledger


def test_a_draft_is_not_on_order(waiting: Ledger) -> None:
    (order,) = waiting.orders()
    assert (order.state, order.supplier, order.freight_cents) == ("draft", "Quillhaven", 900)
    assert [(line.part, line.packs, line.pack, line.line_cents) for line in order.lines] == [("BG-040", 2, 2, 1280)]
    assert waiting.balances()["BG-040"] == Balance(on_hand=2, promised=2)


def test_the_price_is_that_of_the_tier_the_packs_reach(ledger: Ledger) -> None:
    """From 3 packs on each costs 5.90: 3 x 590 = 1770."""
    ledger.load(SHOP, ANA)
    ledger.draft([order_of(THIN_OFFER, 3)], ANA)
    assert ledger.orders()[0].total_cents == 1770 + 900


def test_what_is_sent_is_on_order_in_pieces(waiting: Ledger) -> None:
    waiting.send(1, BEN)
    assert waiting.orders()[0].state == "sent"
    assert waiting.balances()["BG-040"] == Balance(on_hand=2, on_order=4, promised=2)


def test_what_arrives_goes_first_to_the_engine_that_waits(waiting: Ledger) -> None:
    waiting.send(1, BEN)
    assert waiting.receive(1, BEN, {"BG-040": 1}) == Arrival({("J-104", "BG-040"): 1}, {})
    assert waiting.orders()[0].state == "received in part"
    assert waiting.balances()["BG-040"] == Balance(on_hand=3, held=1, on_order=3, promised=1)
    assert waiting.receive(1, BEN) == Arrival({("J-104", "BG-040"): 1}, {"BG-040": 2})
    assert waiting.orders()[0].state == "received"
    assert waiting.balances()["BG-040"] == Balance(on_hand=6, held=2)
    assert waiting.use("J-104", BEN) == {"BG-040": 2, "HG-050": 2}


def test_the_engine_that_was_promised_first_gets_the_first_piece(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    use = (Use("BG-040", "Quillhaven", 4), Use("HG-050", "shelf", 4))
    engines = (fitted("J-104", THIN, HEAD), fitted("J-105", THIN, HEAD))
    ledger.hold(
        asked(twin("J-104"), twin("J-105")), choice_of(*engines, use=use, orders=(order_of(THIN_OFFER, 2),)), ANA
    )
    ledger.send(1, ANA)
    ledger.receive(1, ANA, {"BG-040": 3})
    assert ledger.orders()[0].promised == {("J-105", "BG-040"): 1}


def test_a_kit_received_is_its_parts(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(SET_OFFER, 2),))
    ledger.hold(asked(twin("J-104")), choice, ANA)
    ledger.send(1, ANA)
    assert ledger.balances()["KIT-A"] == Balance(on_hand=1, on_order=2)
    ledger.receive(1, ANA, {"KIT-A": 1})
    assert ledger.balances()["KIT-A"] == Balance(on_hand=1, on_order=1)
    assert ledger.balances()["BG-040"] == Balance(on_hand=2 + 2, held=2)
    assert ledger.balances()["HG-050"] == Balance(on_hand=6 + 2, held=2)


def test_more_than_is_outstanding_is_refused(waiting: Ledger) -> None:
    waiting.send(1, BEN)
    with pytest.raises(InputError, match="order 1: found '5 of BG-040', expected the 4 still to come"):
        waiting.receive(1, BEN, {"BG-040": 5})
    assert waiting.balances()["BG-040"].on_hand == 2


def test_a_part_that_was_not_ordered_is_refused(waiting: Ledger) -> None:
    waiting.send(1, BEN)
    with pytest.raises(InputError, match="order 1: found 'HG-050', expected one of its parts: BG-040"):
        waiting.receive(1, BEN, {"HG-050": 1})


def test_a_draft_is_not_received_and_nothing_is_sent_twice(waiting: Ledger) -> None:
    with pytest.raises(InputError, match="order 1: found 'draft', expected an order that was sent"):
        waiting.receive(1, BEN)
    waiting.send(1, BEN)
    with pytest.raises(InputError, match="order 1: found 'sent', expected a draft"):
        waiting.send(1, BEN)
    waiting.receive(1, BEN)
    with pytest.raises(InputError, match="order 1: found 'received'"):
        waiting.receive(1, BEN)
    with pytest.raises(InputError, match="order 1: found 'received'"):
        waiting.cancel(1, BEN)


def test_an_order_that_is_not_there_is_refused(ledger: Ledger) -> None:
    with pytest.raises(InputError, match="found '7', expected the number of an order"):
        ledger.send(7, BEN)


@pytest.mark.parametrize("sent", [False, True])
def test_cancelling_names_the_engines_that_waited(waiting: Ledger, sent: bool) -> None:
    if sent:
        waiting.send(1, BEN)
        assert waiting.receive(1, BEN, {"BG-040": 1}) == Arrival({("J-104", "BG-040"): 1}, {})
    assert waiting.cancel(1, BEN) == ("J-104",)
    assert waiting.orders()[0].state == "cancelled"
    sums = waiting.balances()["BG-040"]
    assert (sums.on_order, sums.promised, sums.held) == (0, 0, 1 if sent else 0)


def test_what_drafts_and_sent_orders_bring_to_the_shelf_leaves_out_what_engines_wait_for(waiting: Ledger) -> None:
    """Four base gaskets are ordered, J-104 waits for two; a set on order is two base and two head gaskets."""
    assert waiting.supply(today=TODAY).pieces_under_way == {"BG-040": 4 - 2}
    waiting.send(1, BEN)
    assert waiting.supply(today=TODAY).pieces_under_way == {"BG-040": 4 - 2}
    (number,) = waiting.draft([order_of(SET_OFFER, 1)], BEN)
    assert waiting.supply(today=TODAY).pieces_under_way == {"BG-040": 2 + 2, "HG-050": 2}
    waiting.cancel(number, BEN)
    waiting.receive(1, BEN, {"BG-040": 3})
    assert waiting.supply(today=TODAY).pieces_under_way == {"BG-040": 1}
    waiting.receive(1, BEN)
    assert waiting.supply(today=TODAY).pieces_under_way == {}


def test_an_order_no_engine_waits_for_goes_to_the_shelf(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    (number,) = ledger.draft([order_of(THIN_OFFER, 1)], BEN)
    ledger.send(number, BEN)
    ledger.receive(number, BEN)
    assert ledger.balances()["BG-040"] == Balance(on_hand=4)
