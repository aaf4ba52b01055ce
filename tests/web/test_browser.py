"""The page in a real browser: mouse and keyboard, phone and desk, light and dark, scripts or not, axe on each.

STACKOPT_BROWSER=1 runs them; they need chromium, and the extra ``browser`` (playwright, axe).
"""

from __future__ import annotations

import os
from typing import Any

import pytest

from tests.web.real import PHONE, Server, wait_until

if not os.environ.get("STACKOPT_BROWSER"):
    pytest.skip("STACKOPT_BROWSER=1 runs the real browser", allow_module_level=True)

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from tests.web.driving import demonstration, page_of, type_readings

pytestmark = pytest.mark.filterwarnings("ignore")
PAGES = (
    *("/", "/bench", "/bench/new?like=HC-11", "/shelf", "/orders", "/guide", "/guide/fit", "/our-shop"),
    "/engines/HC-11",
    "/engines/HC-11/card",
    "/shelf/parts/BG82-040",
)


@pytest.mark.parametrize("look", [{}, {"viewport": PHONE}, {"java_script_enabled": False}, {"color_scheme": "dark"}])
def test_the_builder_by_mouse(chromium: Browser, server: Server, look: dict[str, Any]) -> None:
    """From an empty shop to a held stack: three presses, four sides, two presses."""
    page = page_of(chromium, server, **look)
    demonstration(page)
    page.get_by_role("link", name="Bench", exact=True).click()
    page.get_by_role("link", name="New engine like HC-").first.click()
    type_readings(page)
    page.get_by_role("button", name="Write down and see what fits").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("J-1")
    page.wait_for_load_state("load")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.get_by_role("button", name="Hold these").click()
    expect(page.get_by_text("Held for J-1.")).to_be_visible()


def test_the_builder_by_keyboard_and_gauge(chromium: Browser, server: Server) -> None:
    """A gauge ends each reading with Enter: the next one is in focus; Escape takes a slip back."""
    page = page_of(chromium, server)
    demonstration(page)
    page.goto("/bench/new?like=HC-11")
    page.get_by_label("Name or number").focus()
    page.keyboard.type("J-1")
    page.locator("[id='cylinder[1].reading[1].value']").focus()
    page.keyboard.type("0.19")
    page.keyboard.press("Escape")
    page.keyboard.type("0.11")
    page.keyboard.press("Enter")
    page.keyboard.type("0.11")
    expect(page.locator("[id='cylinder[1].reading[1].value']")).to_have_value("0.11")
    expect(page.locator("[id='cylinder[1].reading[2].value']")).to_be_focused()
    for cylinder, side in ((1, "proud"), (2, "below")):
        for reading in (1, 2):
            name = f"cylinder[{cylinder}].reading[{reading}]"
            if cylinder == 2:
                page.locator(f"[id='{name}.value']").focus()
                page.keyboard.type("0.13")
            page.locator(f"[id='{name}.{side}']").focus()
            page.keyboard.press("Space")
    expect(page.locator("#looked")).to_contain_text("Piston 0.110 mm proud")
    page.get_by_role("button", name="Write down and see what fits").focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Hold these").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Held for J-1.")).to_be_visible()


def test_the_parts_manager_drops_a_bad_book(chromium: Browser, server: Server) -> None:
    page = page_of(chromium, server)
    demonstration(page)
    page.goto("/shelf")
    book = "part number,kind,fits,thickness (mm),on hand\nX-1,base gasket,KV82,0.4,3\nX-2,base gasket,KV82,0.5,-3\n"
    page.locator("#books").set_input_files({"name": "odd.csv", "mimeType": "text/csv", "buffer": book.encode()})
    page.get_by_role("button", name="Read it").click()
    page.get_by_label("Write instead").fill("5")
    page.get_by_role("button", name="Mend and read again").click()
    page.get_by_role("button", name="Load", exact=True).click()
    expect(page.get_by_role("link", name="X-2")).to_be_visible()
    page.get_by_label("Look for").fill("x-2")
    expect(page.get_by_role("link", name="X-1")).to_be_hidden()


def test_the_owner_plans_all_and_another_browser_sees_it(chromium: Browser, server: Server) -> None:
    page, other = page_of(chromium, server), page_of(chromium, server)
    demonstration(page)
    other.goto("/")
    page.get_by_role("button", name="Plan all").click()
    page.get_by_role("button", name="Hold this plan").click()
    expect(page.get_by_text("The plan is held.")).to_be_visible()
    expect(other.get_by_text("ready to build").first).to_be_visible(timeout=4000)


def test_two_browsers_race_for_one_engine(chromium: Browser, server: Server) -> None:
    one, other = (
        page_of(chromium, server, java_script_enabled=False),
        page_of(chromium, server, java_script_enabled=False),
    )
    demonstration(one)
    for page in (one, other):
        page.goto("/engines/HC-14")
    one.get_by_role("button", name="Hold these").click()
    other.get_by_role("button", name="Hold these").click()
    expect(one.get_by_text("Held for HC-14.")).to_be_visible()
    expect(other.get_by_role("alert")).to_contain_text("parts chosen by Ann")


def test_a_server_killed_in_the_middle_of_a_form_loses_nothing(chromium: Browser, server: Server) -> None:
    page = page_of(chromium, server)
    demonstration(page)
    page.goto("/bench/new?like=HC-11")
    type_readings(page)
    server.kill()
    server.start()
    page.get_by_role("button", name="Write down and see what fits").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("J-1")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_any_page(chromium: Browser, server: Server, scheme: str) -> None:
    """The rules of WCAG 2.0, 2.1 and 2.2, levels A and AA."""
    page = page_of(chromium, server, color_scheme=scheme)
    demonstration(page)
    rules = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}
    found = []
    for path in PAGES:
        page.goto(path)
        results = Axe().run(page, options=rules)
        found += [(path, one["id"], one["nodes"][0]["html"][:200]) for one in results.response["violations"]]
    assert found == []


def test_without_scripts_from_elsewhere_and_without_errors(chromium: Browser, server: Server) -> None:
    page = page_of(chromium, server)
    errors: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("request", lambda request: asked.append(request.url))
    demonstration(page)
    for path in PAGES:
        page.goto(path)
    wait_until(lambda: len(asked) > len(PAGES))
    assert errors == []
    assert {url for url in asked if not url.startswith((server.address, "data:"))} == set()
