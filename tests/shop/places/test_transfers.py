"""Transfers: off one shelf, under way with their day, onto another; what is held goes with them."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta

import pytest

from stackopt.choose.choice_records import Use
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger, open_ledger
from stackopt.shop.places.naming import NamedBranch
from stackopt.shop.places.transfers import Wanted
from tests.shop.places.two import MAIN, OTHER, held, hold_from_other, on_hand, send, send_all, two_branches
from tests.shop.situations import ANA, BEN, HEAD, THIN, TODAY, asked, choice_of, fitted, twin


def test_pieces_leave_one_shelf_are_under_way_and_come_to_the_other(ledger: Ledger) -> None:
    two_branches(ledger)
    sent = send(ledger, "HG-050", 2)
    assert sent.here_on == TODAY + timedelta(days=2)
    assert on_hand(ledger, "HG-050") == {MAIN: 6, OTHER: 1}
    assert (ledger.balances()["HG-050"].on_hand, ledger.balances()["HG-050"].on_order) == (7, 2)
    (coming,) = ledger.supply(today=TODAY, at=MAIN).ordered[:1]
    assert (coming.part, coming.quantity, coming.day, coming.order) == ("HG-050", 2, sent.here_on, sent.order)
    ledger.receive(sent.order, BEN)
    assert on_hand(ledger, "HG-050") == {MAIN: 8, OTHER: 1}
    assert ledger.verify().damage == ()


def test_what_is_held_for_an_engine_of_the_other_branch_goes_first_and_stays_its_own(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_from_other(ledger, "J-1")
    assert held(ledger, "HG-050") == {OTHER: 2}
    sent = send(ledger, "HG-050", 3)
    assert sent.promised == {("J-1", "HG-050"): 2}
    arrival = ledger.receive(sent.order, ANA)
    assert (arrival.held, arrival.free) == ({("J-1", "HG-050"): 2}, {"HG-050": 1})
    assert held(ledger, "HG-050") == {MAIN: 2}


def test_two_who_send_the_last_piece_send_it_once(ledger: Ledger) -> None:
    two_branches(ledger)
    send(ledger, "HG-050", 3)
    with pytest.raises(
        InputError, match=r"0 on the shelf; 3 transferred by ana .* 1 more free on the shelf at Nordkai"
    ):
        send(ledger, "HG-050", 1)
    assert on_hand(ledger, "HG-050") == {MAIN: 6}


def test_pieces_that_somebody_holds_at_the_sending_branch_stay_there(ledger: Ledger) -> None:
    two_branches(ledger)
    use = (Use("BG-040", "shelf", 2), Use("HG-050", "shelf", 2))
    ledger.hold_all(asked(twin("N-1")), choice_of(fitted("N-1", THIN, HEAD), use=use), ANA, OTHER)
    with pytest.raises(InputError, match="2 held for N-1"):
        send(ledger, "HG-050", 2)


def test_a_transfer_that_is_cancelled_lies_where_it_was_and_is_held_for_whom_it_was(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_from_other(ledger, "J-1")
    before = ledger.places()
    sent = send_all(ledger)
    assert ledger.cancel(sent.order, ANA) == ()
    assert ledger.places() == before
    assert ledger.orders(every=False) == ()


def test_what_has_arrived_of_a_transfer_stays_when_the_rest_is_cancelled(ledger: Ledger) -> None:
    two_branches(ledger)
    sent = send(ledger, "HG-050", 3)
    ledger.receive(sent.order, ANA, {"HG-050": 1})
    ledger.cancel(sent.order, ANA)
    assert on_hand(ledger, "HG-050") == {MAIN: 7, OTHER: 2}


def test_a_transfer_is_taken_back_until_it_has_arrived(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_from_other(ledger, "J-1")
    before = ledger.places()
    sent = send_all(ledger)
    number = ledger.events(1)[0].number
    ledger.receive(sent.order, ANA)
    with pytest.raises(InputError, match="outstanding on order 1"):
        ledger.undo(number, ANA)
    ledger.undo(number + 1, ANA)
    ledger.undo(number, ANA)
    assert ledger.places() == before


def test_a_transfer_may_arrive_elsewhere_than_it_was_sent(ledger: Ledger) -> None:
    two_branches(ledger)
    sent = send(ledger, "HG-050", 2, MAIN, OTHER)
    ledger.receive(sent.order, ANA, at=MAIN)
    assert on_hand(ledger, "HG-050") == {MAIN: 6, OTHER: 3}


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        (Wanted({"HG-050": 1}, OTHER, OTHER, TODAY), "two branches of the shop"),
        (Wanted({"HG-050": 1}, "Hafen", OTHER, TODAY), "a branch of the shop: Mill Street, Nordkai"),
        (Wanted({"XX-1": 1}, OTHER, MAIN, TODAY), "a part number of the ledger"),
        (Wanted(None, OTHER, MAIN, TODAY), "pieces that are due"),
    ],
)
def test_what_cannot_be_sent_is_refused(ledger: Ledger, wanted: Wanted, expected: str) -> None:
    two_branches(ledger)
    before = ledger.places()
    with pytest.raises(InputError, match=expected):
        ledger.transfer(wanted, ANA)
    assert ledger.places() == before


def test_where_nobody_says_how_long_it_takes_that_is_asked_for(ledger: Ledger) -> None:
    two_branches(ledger)
    ledger.name_branch(NamedBranch("Hafen"), ANA)
    with pytest.raises(InputError, match=r"stackopt shop branch Nordkai --days Hafen=N"):
        send(ledger, "HG-050", 1, OTHER, "Hafen")
    sent = ledger.transfer(Wanted({"HG-050": 1}, OTHER, "Hafen", TODAY, days=4), ANA)
    assert sent.here_on == TODAY + timedelta(days=4)


def test_what_has_to_be_sent_is_listed_with_the_last_day_for_it(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_from_other(ledger, "J-1", date(2027, 1, 20))
    (due,) = ledger.due_transfers()
    assert (due.part, due.quantity, due.engine) == ("HG-050", 2, "J-1")
    assert due.by == date(2027, 1, 18)
    send_all(ledger)
    assert ledger.due_transfers() == ()


def test_of_many_who_send_the_last_pieces_at_once_each_piece_goes_once(address: str) -> None:
    """Eight at Nordkai press at the same moment, each for one of the three head gaskets that lie there."""
    two_branches(open_ledger(address))
    start = threading.Barrier(8)

    def try_to_send(_: int) -> str:
        ledger = open_ledger(address, patience_seconds=120)
        start.wait()
        try:
            send(ledger, "HG-050", 1)
        except InputError as error:
            return str(error)
        return ""

    with ThreadPoolExecutor(8) as senders:
        refused = [words for words in senders.map(try_to_send, range(8)) if words]
    assert len(refused) == 5
    assert all("1 more free on the shelf at Nordkai" in words for words in refused)
    ledger = open_ledger(address)
    assert on_hand(ledger, "HG-050") == {MAIN: 6}
    assert ledger.balances()["HG-050"].on_order == 3
    assert ledger.verify().damage == ()
