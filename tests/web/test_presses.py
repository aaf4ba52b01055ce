"""A press is carried out once, whatever becomes of the page in between."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask

from stackopt.shop.ledger import Ledger, open_ledger
from tests.web.conftest import app_on
from tests.web.presses import Browser


def on_hand(ledger: Path, part: str) -> int:
    return open_ledger(str(ledger)).supply().stock[part].on_hand


@pytest.fixture
def ledger(app: Flask) -> Path:
    return Path(app.extensions["room"].address)


def test_a_press_sent_again_to_a_page_that_was_started_anew_does_nothing_twice(app: Flask, ledger: Path) -> None:
    browser = Browser(app).open("/shelf/parts/BG82-040")
    form, before = browser.form("Receive", "bring-in"), on_hand(ledger, "BG82-040")
    browser.press("Receive", {"pieces": "2"}, form=form)
    after = again(browser, ledger)
    after.press("Receive", {"pieces": "2"}, form=form)
    assert after.heading == "BG82-040"
    assert on_hand(ledger, "BG82-040") == before + 2


def test_a_press_that_was_stored_before_the_page_died_is_not_carried_out_again(
    app: Flask, ledger: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page dies after the ledger has stored two pieces and before it has noted where the press led."""
    browser = Browser(app).open("/shelf/parts/BG82-040")
    form, before = browser.form("Receive", "bring-in"), on_hand(ledger, "BG82-040")
    with monkeypatch.context() as dying:
        dying.setattr("stackopt.web.desk.presses.Presses.end", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            browser.press("Receive", {"pieces": "2"}, form=form)
    after = again(browser, ledger)
    after.press("Receive", {"pieces": "2"}, form=form)
    assert after.heading == "Board"
    assert on_hand(ledger, "BG82-040") == before + 2


def test_a_press_that_stored_nothing_before_the_page_died_is_carried_out(
    app: Flask, ledger: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser = Browser(app).open("/shelf/parts/BG82-040")
    form, before = browser.form("Receive", "bring-in"), on_hand(ledger, "BG82-040")
    with monkeypatch.context() as dying:
        dying.setattr(Ledger, "bring_in", lambda *_, **__: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            browser.press("Receive", {"pieces": "2"}, form=form)
    again(browser, ledger).press("Receive", {"pieces": "2"}, form=form)
    assert on_hand(ledger, "BG82-040") == before + 2


def test_a_line_cut_short_hides_no_other(app: Flask, ledger: Path) -> None:
    browser = Browser(app).open("/shelf/parts/BG82-040")
    form, before = browser.form("Receive", "bring-in"), on_hand(ledger, "BG82-040")
    browser.press("Receive", {"pieces": "2"}, form=form)
    file = app.extensions["room"].folder / "presses.jsonl"
    file.write_bytes(file.read_bytes() + b'{"number":"cut')
    again(browser, ledger).press("Receive", {"pieces": "2"}, form=form)
    assert on_hand(ledger, "BG82-040") == before + 2


def again(browser: Browser, ledger: Path) -> Browser:
    """The same browser, on a page started anew on the same ledger."""
    after = Browser(app_on(ledger))
    with browser.client.session_transaction() as kept:
        held = dict(kept)
    with after.client.session_transaction() as new:
        new.update(held)
    return after


def test_the_address_of_a_refused_press_leads_to_its_page(browser: Browser) -> None:
    """Loading a refused page anew sends GET to the address of the press."""
    for address, heading in (
        ("/shelf/parts/BG82-040/count", "BG82-040"),
        ("/engines/HC-11/hold", "HC-11"),
        ("/orders/draft", "Orders"),
        ("/shelf/drop", "Shelf"),
        ("/plan", "Board"),
    ):
        assert browser.open(address).heading == heading


def test_a_refused_page_is_not_loaded_anew_by_itself(browser: Browser) -> None:
    """Loading it anew would send the press again, which nobody pressed."""
    assert "data-event" in browser.open("/shelf/parts/BG82-040").text
    browser.press("Count", {"pieces": "x"})
    assert browser.status == 422
    assert "data-event" not in browser.text
