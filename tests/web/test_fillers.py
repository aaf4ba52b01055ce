"""The page fills orders with what the shelf wants, as the command line does: the shop of `tests.cli.test_fillers`."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from stackopt.cli import main
from tests.cli.test_fillers import BOOKS, written
from tests.web.conftest import app_on
from tests.web.presses import Browser
from tests.web.test_jobs import room_of, wait_for


def test_an_order_of_the_page_takes_along_what_restock_would_order(tmp_path: Path) -> None:
    """Z-2, below its minimum, and not Z-1, Z-3 or Z-4 at the same price: for one engine held, and for all planned."""
    books = written(tmp_path, {name: text for name, text in BOOKS.items() if name != "usage"})
    for press_and_hold in (hold_one, hold_all):
        ledger = tmp_path / f"{press_and_hold.__name__}.db"
        loaded = CliRunner().invoke(main, ["shop", "load", *books, "--ledger", str(ledger), "--yes"])
        assert loaded.exit_code == 0, loaded.stderr
        app = app_on(ledger)
        press_and_hold(Browser(app))
        (order,) = room_of(app).ledger.orders()
        assert {line.part for line in order.lines} == {"B-025", "Z-2"}


def hold_one(browser: Browser) -> None:
    browser.open("/engines/HC-1").press("Hold these")


def hold_all(browser: Browser) -> None:
    browser.open("/").press("Plan all")
    wait_for(browser, "Hold this plan")
    browser.press("Hold this plan")
