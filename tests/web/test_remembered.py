"""What pages remember: no page shows a state that is gone, none mixes two, and a read is made once for everybody."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from flask import Flask, g

from stackopt.shop.database.note import Note
from stackopt.shop.ledger import open_ledger
from stackopt.shop.ledger_reading import LedgerReading
from stackopt.web.desk import remembered
from stackopt.web.desk.remembered import RememberedLedger
from stackopt.web.desk.room import room
from tests.web.presses import Browser

PART = "BG82-040"


@pytest.fixture
def ledger(demonstration_ledger: Path, tmp_path: Path) -> RememberedLedger:
    return RememberedLedger(str(shutil.copy(demonstration_ledger, tmp_path / "shop.db")))


def counted_reads(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Return a list that grows with each snapshot that is opened."""
    opened: list[int] = []
    before = LedgerReading.reading

    def reading(self: LedgerReading) -> Any:
        opened.append(1)
        return before(self)

    monkeypatch.setattr(LedgerReading, "reading", reading)
    return opened


def test_what_another_program_stores_is_seen_at_once(ledger: RememberedLedger) -> None:
    before = ledger.balances()[PART].on_hand
    open_ledger(ledger.shown).bring_in({PART: 3}, Note("another"))
    assert ledger.balances()[PART].on_hand == before + 3
    assert ledger.supply().stock[PART].on_hand == before + 3


def test_another_ledger_with_as_many_commands_in_the_same_place_is_another_state(
    ledger: RememberedLedger, tmp_path: Path
) -> None:
    """Two copies, one press each: the number of the last command is the same, what it did is not."""
    copy = Path(shutil.copy(ledger.shown, tmp_path / "copy.db"))
    before = ledger.balances()[PART].on_hand
    open_ledger(str(copy)).bring_in({PART: 2}, Note("another"))
    ledger.bring_in({PART: 5}, Note("here"))
    assert ledger.balances()[PART].on_hand == before + 5
    shutil.copy(copy, ledger.shown)
    assert ledger.balances()[PART].on_hand == before + 2


def test_a_page_that_was_seen_is_seen_again_with_one_look_at_the_ledger(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser = Browser(app)
    for path in ("/", "/bench", "/shelf", "/orders", "/engines/HC-11", f"/shelf/parts/{PART}"):
        first = browser.open(path).text
        opened = counted_reads(monkeypatch)
        again = browser.open(path).text
        assert len(opened) == 1, path
        assert without_marks(again) == without_marks(first)


def without_marks(text: str) -> list[str]:
    return [line for line in text.splitlines() if 'name="press"' not in line]


def test_a_page_that_a_press_overtakes_is_made_anew(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the board's lines and the shelf's sums somebody brings in pieces: both are from after it."""
    shop: RememberedLedger = app.extensions["room"].ledger
    before, pressed = open_ledger(shop.shown).balances()[PART].on_hand, []

    def overtaking(method: Callable[..., Any]) -> Callable[..., Any]:
        def read(self: LedgerReading, *asked: Any, **named: Any) -> Any:
            found = method(self, *asked, **named)
            if not pressed:
                pressed.append(1)
                open_ledger(shop.shown).bring_in({PART: 7}, Note("another"))
            return found

        return read

    monkeypatch.setattr(LedgerReading, "supply", overtaking(LedgerReading.supply))
    monkeypatch.setattr(RememberedLedger, "supply", remembered._remembering("supply"))
    with app.test_request_context("/shelf"):
        shown: list[tuple[int, int]] = []

        def page() -> None:
            ledger = room().ledger
            shown.append((ledger.supply().stock[PART].on_hand, ledger.balances()[PART].on_hand))

        remembered.in_turns(page)
        assert shown[-1] == (before + 7, before + 7)
        assert len(shown) == 2
        assert "overtaken" not in g


def test_eight_who_ask_at_once_have_it_read_once(ledger: RememberedLedger) -> None:
    read: list[int] = []
    together = threading.Barrier(8)

    def board() -> None:
        together.wait()
        ledger.remembered(("slow",), lambda: read.append(len(ledger.board(date(2027, 2, 1)))))

    people = [threading.Thread(target=board) for _ in range(8)]
    for person in people:
        person.start()
    for person in people:
        person.join()
    assert len(read) == 1


def test_what_ends_in_a_problem_is_not_remembered(ledger: RememberedLedger) -> None:
    with pytest.raises(ZeroDivisionError):
        ledger.remembered(("odd",), lambda: 1 // 0)
    assert ledger.remembered(("odd",), lambda: 7) == 7
