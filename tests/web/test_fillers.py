"""The page fills orders with what the shelf wants, as the command line does: the shop of `tests.cli.test_fillers`."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from stackopt.cli import main
from stackopt.stocking.filling import shops_policy
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.web.desk.room import room
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


def test_the_days_between_two_checks_are_one_thing_for_page_and_command(tmp_path: Path) -> None:
    """What is typed on the page stands in the file that `restock` reads, and what that was told shows on the page."""
    ledger = tmp_path / "shop.db"
    books = written(tmp_path, {name: text for name, text in BOOKS.items() if name != "usage"})
    CliRunner().invoke(main, ["shop", "load", *books, "--ledger", str(ledger), "--yes"])
    browser = Browser(app_on(ledger))
    assert shown_days(browser) == str(Policy().review_days)
    browser.press("Keep", {"review_days": "21"})
    assert (tmp_path / "restock.toml").read_text(encoding="utf-8").endswith("review_days = 21\n")
    asked = ["restock", "--ledger", str(ledger), "--today", "2027-02-01", "--json"]
    assert json.loads(CliRunner().invoke(main, asked).stdout)["review_days"] == 21
    CliRunner().invoke(main, [*asked, "--review-days", "3"])
    assert shown_days(browser) == "3"
    assert restock_policy_days(browser) == 3


def shown_days(browser: Browser) -> str:
    return dict(browser.open("/our-shop").form("Keep").fields)["review_days"]


def restock_policy_days(browser: Browser) -> int:
    with browser.client.application.app_context():
        return shops_policy(room().ledger.shown).review_days


def hold_one(browser: Browser) -> None:
    browser.open("/engines/HC-1").press("Hold these")


def hold_all(browser: Browser) -> None:
    browser.open("/").press("Plan all")
    wait_for(browser, "Hold this plan")
    browser.press("Hold this plan")
