"""Pictures of every page, to be looked at: ``python -m tests.web.pictures OUT``.

Each page of an empty shop, of the demonstration, and of a few states of it, on a phone and on a desk, light and dark.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.web.real import CHROMIUM, DESKTOP, FLAGS, PHONE, new_folder, served

ODD_BOOK = """part number,kind,fits,thickness,on hand,colour
BG-1,base gasket,KV82,0.016 in,3,red
BG-2,base gasket,KV82,0.4,many,red
HG-1,head gasket,KV82,20 thou,2,
"""


def begin(page: Page) -> None:
    page.get_by_role("button", name="Take the demonstration").click()


def typed(page: Page) -> None:
    page.goto("/bench/new?like=HC-11")
    page.get_by_label("Name or number").fill("J-1")
    page.get_by_label("Parts due on").fill("2027-03-01")
    for cylinder, side, value in ((1, "proud", "0.11"), (2, "below", "0.13")):
        for reading in (1, 2):
            name = f"cylinder[{cylinder}].reading[{reading}]"
            page.locator(f"[id='{name}.value']").fill(value)
            page.locator(f"[for='{name}.{side}']").click()
    page.wait_for_timeout(900)


def see(page: Page) -> None:
    page.get_by_role("button", name="Write down and see what fits").click()


def slip(page: Page) -> None:
    typed(page)
    page.get_by_label("Name or number").fill("J-2")
    page.locator("[id='cylinder[1].reading[1].value']").fill("eleven")
    see(page)


def drop(page: Page) -> None:
    page.goto("/shelf")
    page.locator("#books").set_input_files({"name": "odd.csv", "mimeType": "text/csv", "buffer": ODD_BOOK.encode()})
    page.get_by_role("button", name="Read it").click()


def hold_and_order(page: Page) -> None:
    page.goto("/engines/SC-21")
    page.get_by_role("button", name="Hold these").click()


def plan(page: Page) -> None:
    page.goto("/")
    page.get_by_role("button", name="Plan all").click()
    page.get_by_role("button", name="Hold this plan").wait_for()


def at(path: str) -> Callable[[Page], None]:
    return lambda page: page.goto(path) and None


STATES: tuple[tuple[str, Callable[[Page], None]], ...] = (
    ("01 empty", at("/")),
    ("02 board", begin),
    ("03 bench", at("/bench")),
    ("04 new engine", at("/bench/new")),
    ("05 readings typed", typed),
    ("06 engine", see),
    ("07 a slip", slip),
    ("08 card", at("/engines/J-1/card")),
    ("09 shelf", at("/shelf")),
    ("10 part", at("/shelf/parts/BG82-040")),
    ("11 dropped", drop),
    ("12 orders", at("/orders")),
    ("13 held and ordered", hold_and_order),
    ("14 order", at("/orders/1")),
    ("15 board then", at("/")),
    ("16 plan", plan),
    ("17 guide", at("/guide")),
    ("18 topic", at("/guide/fit")),
    ("19 our shop", at("/our-shop")),
    ("20 not done", at("/nothing")),
)


def take(browser: Browser, address: str, out: Path, look: str) -> None:
    size, scheme = (PHONE if look.startswith("phone") else DESKTOP), ("dark" if look.endswith("dark") else "light")
    context = browser.new_context(base_url=address, viewport=size, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    for name, lead in STATES:
        lead(page)
        page.screenshot(path=out / f"{name} {look}.png", full_page=True)
    context.close()


def main(out: Path) -> None:
    out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        for look in ("desk light", "phone light", "desk dark"):
            with served(new_folder() / "shop.db") as server:
                page = browser.new_page(base_url=server.address)
                page.goto("/")
                page.close()
                take(browser, server.address, out, look)
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
