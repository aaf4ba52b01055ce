"""The page of a shop of two branches: the shelf says where, and pieces are sent, received and counted there."""

from __future__ import annotations

from pathlib import Path

from flask import Flask

from stackopt.parts.part_records import StockLine, Supply
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import Ledger, open_ledger
from stackopt.shop.places.naming import NamedBranch
from tests.web.presses import Browser

ANA = Note("ana")
PART = "BG82-040"


def two_branches(app: Flask) -> Ledger:
    """The demonstration's shop at Mill Street, and four pieces of one part at Nordkai, two days away."""
    ledger = open_ledger(str(Path(app.extensions["room"].address)))
    ledger.name_branch(NamedBranch("Mill Street"), ANA)
    ledger.name_branch(NamedBranch("Nordkai", {"Mill Street": 2}), ANA)
    known = ledger.supply().parts[PART]
    ledger.load(Supply({PART: known}, {PART: StockLine(PART, 4, bin="R7")}), ANA, at="Nordkai")
    return ledger


def test_a_shop_of_one_branch_is_shown_no_branch(app: Flask) -> None:
    for path in ("/shelf", f"/shelf/parts/{PART}", "/"):
        assert "branch" not in Browser(app).open(path).text.casefold(), path


def test_the_shelf_says_where_and_pieces_are_sent_and_received(app: Flask) -> None:
    ledger = two_branches(app)
    before = ledger.balances()[PART].on_hand
    assert f"{before - 4} at Mill Street" in Browser(app).open("/shelf").text
    assert "4 at Nordkai, bin R7" in Browser(app).open("/shelf").text
    browser = Browser(app).open(f"/shelf/parts/{PART}")
    browser.press("Send", {"pieces": "3", "from": "Nordkai", "to": "Mill Street"})
    assert browser.heading == PART
    assert f"On the way from Nordkai to Mill Street: 3 of {PART}" in browser.text
    (order,) = [each for each in ledger.orders(every=False) if each.is_transfer]
    assert f"Order {order.number}" in browser.open("/transfers").text
    browser.open(f"/orders/{order.number}").press("Receive what came", {})
    assert ledger.places()[PART, "Nordkai"].on_hand == 1
    assert ledger.places()[PART, "Mill Street"].on_hand == before - 1


def test_more_than_lies_there_is_refused_on_the_page(app: Flask) -> None:
    two_branches(app)
    browser = Browser(app).open(f"/shelf/parts/{PART}")
    browser.press("Send", {"pieces": "5", "from": "Nordkai", "to": "Mill Street"})
    assert browser.status == 422
    assert 'id="send-pieces" inputmode="numeric" name="pieces" type="text" value="5"' in browser.text
    assert "1 more free on the shelf at Nordkai" in browser.text


def test_pieces_are_counted_at_the_branch_that_is_picked(app: Flask) -> None:
    ledger = two_branches(app)
    main = ledger.places()[PART, "Mill Street"].on_hand
    Browser(app).open(f"/shelf/parts/{PART}").press("Count", {"pieces": "6", "at": "Nordkai"})
    assert (ledger.places()[PART, "Nordkai"].on_hand, ledger.places()[PART, "Mill Street"].on_hand) == (6, main)
