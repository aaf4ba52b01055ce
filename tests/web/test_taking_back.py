"""What is taken back, and lists that are older than the record: each is shown and asked about before it is done."""

from __future__ import annotations

import io

from flask import Flask

from tests.web.presses import Browser
from tests.web.test_jobs import room_of

PART = "BG82-040"


def on_hand(app: Flask, part: str = PART) -> int:
    return room_of(app).ledger.balances()[part].on_hand


def as_somebody(app: Flask, name: str) -> Browser:
    return Browser(app).open("/guide").press("That is me", {"who": name})


def brought_in(browser: Browser, pieces: int) -> Browser:
    return browser.open(f"/shelf/parts/{PART}").press("Receive", {"pieces": str(pieces)})


def test_ones_own_press_is_taken_back_at_once(app: Flask) -> None:
    before, browser = on_hand(app), as_somebody(app, "Ada")
    brought_in(browser, 3)
    assert on_hand(app) == before + 3
    browser.press("Take it back")
    assert "Taken back: receive, 3 of BG82-040" in browser.text
    assert on_hand(app) == before
    assert browser.at == f"/shelf/parts/{PART}"


def test_what_another_did_is_shown_and_asked_about(app: Flask) -> None:
    before = on_hand(app)
    ada, bob = as_somebody(app, "Ada"), as_somebody(app, "Bob")
    form = brought_in(ada, 3).form("Take it back")
    bob.open("/guide").press("That is me", {"back": f"/shelf/parts/{PART}"})
    marks = dict(bob.form("That is me").fields)
    form.fields = [
        (name, marks.get(name, value) if name in ("csrf", "press") else value) for name, value in form.fields
    ]
    bob.press("Take it back", form=form)
    assert bob.heading == "Take back"
    assert "Ada did that. Take it back all the same?" in bob.text
    assert "3 of BG82-040" in bob.text
    assert on_hand(app) == before + 3
    leave = bob.text.partition("Leave it</a>")[0].rpartition('href="')[2].partition('"')[0]
    assert leave == f"/shelf/parts/{PART}"
    bob.press("Take it back")
    assert on_hand(app) == before
    assert "Taken back" in bob.text


def test_taking_back_twice_does_it_once(app: Flask) -> None:
    before, browser = on_hand(app), as_somebody(app, "Ada")
    form = brought_in(browser, 3).form("Take it back")
    browser.press("Take it back", form=form).press("Take it back", form=form)
    assert browser.status == 200
    assert on_hand(app) == before


def test_what_was_used_since_cannot_be_taken_back_and_that_is_said(app: Flask) -> None:
    """Pieces that were brought in and scrapped since: below zero the shelf does not go."""
    browser = as_somebody(app, "Ada")
    form = brought_in(browser, 3).form("Take it back")
    browser.open(f"/shelf/parts/{PART}").press("Scrap", {"pieces": str(on_hand(app))})
    browser.press("Take it back", form=form)
    assert browser.status == 422
    assert "Not done." in browser.text
    assert on_hand(app) == 0


def test_what_is_no_command_cannot_be_taken_back(app: Flask) -> None:
    browser = as_somebody(app, "Ada")
    form = brought_in(browser, 1).form("Take it back")
    for number in ("0", "999", str(2**70)):
        form.action = f"/undo/{number}"
        assert browser.press("Take it back", form=form).status in (404, 422)


def listed(browser: Browser, on_hand_in_list: int) -> Browser:
    text = f"part number,kind,fits,thickness (mm),on hand\nY-1,base gasket,KV82,0.45,{on_hand_in_list}\n"
    return browser.open("/shelf").press("Read it", {"books": (io.BytesIO(text.encode()), "list.csv")})


def test_a_list_older_than_the_record_puts_nothing_back_unless_that_is_said(app: Flask) -> None:
    """Five are listed and loaded, two are scrapped; the same list again would put two back."""
    browser = as_somebody(app, "Ada")
    listed(browser, 5).press("Load")
    assert on_hand(app, "Y-1") == 5
    browser.open("/shelf/parts/Y-1").press("Scrap", {"pieces": "2"})
    listed(browser, 5)
    assert "this list is older than what the record says" in browser.text
    browser.press("Load")
    assert on_hand(app, "Y-1") == 3
    listed(browser, 5)
    older = browser.text.partition('name="older" value="')[2].partition('"')[0]
    assert older
    browser.press("Load", {"older": older})
    assert on_hand(app, "Y-1") == 5
    listed(browser, 8)
    assert 'name="older"' not in browser.text
