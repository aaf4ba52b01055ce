"""What the tests in a real browser do over and over: open a page, take the demonstration, type readings."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Browser, Page, expect

from tests.web.real import DESKTOP, Server


def page_of(chromium: Browser, server: Server, **more: Any) -> Page:
    context = chromium.new_context(base_url=server.address, **{"viewport": DESKTOP, **more})
    page = context.new_page()
    page.set_default_timeout(15_000)
    return page


def demonstration(page: Page) -> None:
    page.goto("/")
    page.get_by_role("button", name="Take the demonstration").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Board")


def type_readings(page: Page) -> None:
    page.get_by_label("Name or number").fill("J-1")
    for cylinder, side, value in ((1, "proud", "0.11"), (2, "below", "0.13")):
        for reading in (1, 2):
            name = f"cylinder[{cylinder}].reading[{reading}]"
            page.locator(f"[id='{name}.value']").fill(value)
            page.locator(f"[for='{name}.{side}']").click()
