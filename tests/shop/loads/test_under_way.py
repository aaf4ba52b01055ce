"""What a stock list says is under way: kept, supply for engines, and taken in without an order's number."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.choose.solve.plan import plan
from stackopt.parts.part_records import StockColumn, StockSheet, Supply, UnderWay
from stackopt.shop.database.acts import Balance
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, SHOP, STOCK, THIN_OFFER, TODAY, asked, order_of, twin

FRIDAY = date(2027, 1, 15)
SHEET = StockSheet((StockColumn("part number", "part number"), StockColumn("on order", "on order")))


def with_coming(pieces: int, day: date | None = FRIDAY, on_hand: int = 0) -> Supply:
    """Return the shop with so many thin base gaskets under way."""
    line = replace(STOCK["BG-040"], on_hand=on_hand, on_order=pieces, expected=day)
    return replace(SHOP, stock=STOCK | {"BG-040": line}, kits={}, offers=())


@pytest.fixture
def waiting(ledger: Ledger) -> Ledger:
    """A ledger in which J-104 waits for two of four that a list says come on the Friday."""
    ledger.load(with_coming(4), ANA)
    request = asked(twin("J-104"))
    ledger.hold(request, plan(request, ledger.supply(today=TODAY)), ANA)
    return ledger


def test_pieces_that_only_a_list_knows_of_are_supply_on_their_day(ledger: Ledger) -> None:
    told = ledger.load(with_coming(4), ANA)
    assert "shelf BG-040: on order 0 -> 4, expected none -> 2027-01-15" in map(str, told)
    assert ledger.balances()["BG-040"] == Balance(on_order=4)
    assert ledger.supply(today=TODAY).ordered == (UnderWay("BG-040", 4, FRIDAY, 1),)
    assert ledger.differences(with_coming(4)) == ()


def test_pieces_without_a_day_are_under_way_and_finish_no_engine(ledger: Ledger) -> None:
    """Contract: without a date they count for restock alone."""
    ledger.load(with_coming(4, day=None), ANA)
    supply = ledger.supply(today=TODAY)
    assert supply.pieces_under_way == {"BG-040": 4}
    assert plan(asked(twin("J-104")), supply).engines[0].blocked


def test_an_engine_waits_for_them_and_gets_them_when_they_come_without_an_order(waiting: Ledger) -> None:
    (line,) = waiting.board(TODAY)
    assert (line.state.value, line.ready_on) == ("waiting for parts", FRIDAY)
    arrival = waiting.bring_in({"BG-040": 5}, BEN)
    assert (arrival.held, arrival.free) == ({("J-104", "BG-040"): 2}, {"BG-040": 3})
    assert waiting.balances()["BG-040"] == Balance(on_hand=5, held=2)
    waiting.undo(waiting.events(1)[0].number, BEN)
    assert waiting.balances()["BG-040"] == Balance(on_order=4, promised=2)


def test_a_list_that_counts_them_and_no_longer_awaits_them_has_received_them(waiting: Ledger) -> None:
    """Three of four are there by the new list, one is still to come: the engine has its two."""
    waiting.load(with_coming(1, on_hand=3), BEN, sheet=SHEET)
    assert waiting.balances()["BG-040"] == Balance(on_hand=3, held=2, on_order=1)
    assert [line.state.value for line in waiting.board(TODAY)] == ["ready to build"]


def test_what_a_list_no_longer_awaits_and_does_not_count_is_taken_from_the_engine_and_that_is_said(
    waiting: Ledger,
) -> None:
    book = with_coming(1)
    (told,) = waiting.differences(book)
    assert str(told) == "shelf BG-040: on order 4 -> 1; J-104 no longer gets 1 of BG-040"
    waiting.load(book, BEN)
    assert waiting.balances()["BG-040"] == Balance(on_order=1, promised=1)
    assert [line.state.value for line in waiting.board(TODAY)] == ["blocked"]


def test_another_day_on_a_newer_list_is_the_day_of_all_of_them(waiting: Ledger) -> None:
    waiting.load(with_coming(6, date(2027, 1, 20)), BEN)
    assert [line.ready_on for line in waiting.board(TODAY)] == [date(2027, 1, 20)]
    assert waiting.supply(today=TODAY).pieces_under_way == {"BG-040": 4}


def test_the_same_list_after_they_came_is_an_older_one(waiting: Ledger) -> None:
    """Two of four came and are there; the list that says four are coming was written before."""
    waiting.bring_in({"BG-040": 2}, BEN)
    (told,) = waiting.differences(with_coming(4))
    assert told.moved == "+2 received, 2 arrived"


def test_a_list_without_the_column_says_nothing_of_what_is_under_way(ledger: Ledger) -> None:
    ledger.load(with_coming(4), ANA)
    plain = StockSheet(SHEET.columns[:1])
    assert [each.subject for each in ledger.differences(with_coming(0), sheet=plain)] == ["stock_sheet"]
    assert "on order 4 -> 0" in " ".join(map(str, ledger.differences(with_coming(0), sheet=SHEET)))


def test_orders_of_the_ledgers_own_are_not_counted_again_where_a_list_knows_of_them(ledger: Ledger) -> None:
    """Two packs of two are on order; a list says five: one is by the list alone."""
    ledger.load(SHOP, ANA)
    (number,) = ledger.draft([order_of(THIN_OFFER, 2)], ANA)
    ledger.send(number, ANA)
    known = replace(SHOP, stock={"BG-040": replace(STOCK["BG-040"], on_order=4)})
    assert ledger.differences(known) == ()
    ledger.load(replace(known, stock={"BG-040": replace(STOCK["BG-040"], on_order=5)}), ANA)
    assert ledger.balances()["BG-040"] == Balance(on_hand=2, on_order=5)
    assert ledger.deliveries(TODAY)[0].supplier == "Quillhaven"
    assert len(ledger.deliveries(TODAY)) == 1


def set_coming(pieces: int, on_hand: int = 0) -> Supply:
    """Return the shop with so many sets under way, and no loose base gasket."""
    lines = {"BG-040": replace(STOCK["BG-040"], on_hand=0), "HG-050": replace(STOCK["HG-050"], on_hand=0)}
    lines["KIT-A"] = replace(STOCK["KIT-A"], on_hand=on_hand, on_order=pieces, expected=FRIDAY)
    return replace(SHOP, stock=STOCK | lines, offers=())


def test_a_set_under_way_by_a_list_is_its_parts_for_engines_and_comes_as_its_parts(ledger: Ledger) -> None:
    ledger.load(set_coming(1), ANA)
    request = asked(twin("J-104"))
    ledger.hold(request, plan(request, ledger.supply(today=TODAY)), ANA)
    arrival = ledger.bring_in({"KIT-A": 1}, BEN)
    assert arrival.held == {("J-104", "BG-040"): 2, ("J-104", "HG-050"): 2}
    assert [line.state.value for line in ledger.board(TODAY)] == ["ready to build"]


def test_a_set_that_a_list_counts_and_no_longer_awaits_lies_there_unopened(ledger: Ledger) -> None:
    ledger.load(set_coming(1), ANA)
    request = asked(twin("J-104"))
    ledger.hold(request, plan(request, ledger.supply(today=TODAY)), ANA)
    ledger.load(set_coming(0, on_hand=1), BEN, sheet=SHEET)
    assert ledger.balances()["KIT-A"] == Balance(on_hand=1)
    assert ledger.balances()["BG-040"] == Balance()
    assert [line.state.value for line in ledger.board(TODAY)] == ["to plan"]
