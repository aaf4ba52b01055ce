"""The page of a shop that knows its people: strangers see nothing, and each presses only what he may."""

from __future__ import annotations

from flask import Flask

from stackopt.shop.database.note import Note
from stackopt.shop.database.rights import Person, Right
from stackopt.shop.ledger import open_ledger
from tests.web.presses import Browser


def test_the_page_shows_and_lets_do_what_whoever_presses_may(app: Flask) -> None:
    ledger = open_ledger(app.extensions["room"].address)
    ledger.allow(Person("ana", frozenset(Right)), Note("ana"))
    ledger.allow(Person("ben", frozenset({Right.TAKE})), Note("ana"))
    browser, events = Browser(app), len(ledger.events(99))
    for path in ("/", "/shelf", "/orders"):
        assert "The shop knows ana, ben" in browser.open(path).text
    assert browser.open("/our-shop").heading == "Our shop"
    browser.press("That is me", {"who": "ben"})
    assert "Ask ana" in browser.open("/shelf/parts/BG82-040").press("Count", {"pieces": "2"}).text
    assert len(ledger.events(99)) == events
    browser.open("/shelf/parts/BG82-040").press("Receive", {"pieces": "2"})
    assert ledger.events(1)[0].who == "ben"
