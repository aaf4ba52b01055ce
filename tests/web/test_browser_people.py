"""The three people in a real browser: by keyboard alone, with odd books, blocked engines, and servers that die.

STACKOPT_BROWSER=1 runs them, as `test_browser`.
"""

from __future__ import annotations

import os
import threading
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.web.large_shop import large_shop
from tests.web.real import PHONE, Server, served

if not os.environ.get("STACKOPT_BROWSER"):
    pytest.skip("STACKOPT_BROWSER=1 runs the real browser", allow_module_level=True)

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.web.driving import demonstration, page_of, type_readings

pytestmark = pytest.mark.filterwarnings("ignore")
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}
ODD = """Nettle works,,,,,,,
Part No.,What,For,Crushed thk,Qty,Loc,Each,Remark
BN-10,base gasket,MZ,0.010 in,3,C2,2.40,
BN-16,base gasket,MZ,0.016 in,2,C2,2.40,
BN-20,base gasket,MZ,0.020,5,C3,2.60,uncompressed?
HN-30,head gasket,MZ,0.030 in,4,C4,8.00,
HN-40,head gasket,MZ,40 thou,many,C4,8.50,
"""


def keys(page: Page, *pressed: str) -> None:
    for key in pressed:
        page.keyboard.press(key)


def tab_to(page: Page, is_there: str, most: int = 200) -> None:
    """Press Tab until the element in focus is one that a CSS selector or a text names."""
    for _ in range(most):
        keys(page, "Tab")
        if page.evaluate(
            """(wanted) => { const it = document.activeElement;
               const words = (it.labels?.[0]?.innerText || it.innerText || "").trim();
               return words === wanted || (wanted.startsWith("#") && it.matches(wanted)); }""",
            is_there,
        ):
            return
    raise AssertionError(f"Tab never comes to {is_there!r} on {page.url}")


def press_by_key(page: Page, name: str) -> None:
    tab_to(page, name)
    with page.expect_navigation():
        keys(page, "Enter")


def violations(page: Page) -> list[str]:
    found = Axe().run(page, options=RULES).response["violations"]
    wide = page.evaluate("document.documentElement.scrollWidth > window.innerWidth")
    return [f"{page.url}: {one['id']} {one['nodes'][0]['html'][:120]}" for one in found] + (
        [f"{page.url}: wider than the window"] if wide else []
    )


def drop(page: Page, name: str, text: str) -> None:
    page.goto("/shelf")
    page.locator("#books").set_input_files({"name": name, "mimeType": "text/csv", "buffer": text.encode()})
    page.get_by_role("button", name="Read it").click()


def blocked(page: Page) -> None:
    page.goto("/bench/new?like=HC-11")
    type_readings(page)
    for end, value in (("min", "0.10"), ("aim", "0.11"), ("max", "0.12")):
        page.locator(f"[id='quench.{end}']").fill(value)
    for ratio in ("min", "aim", "max"):
        page.locator(f"[id='compression.{ratio}']").fill("")
    page.get_by_role("button", name="Write down and see what fits").click()


def refused_form(page: Page) -> None:
    page.goto("/bench/new")
    page.get_by_role("button", name="Write down and see what fits").click()


def further_form(page: Page) -> None:
    page.goto("/bench/new?like=HC-11")
    page.locator("details.further > summary").click()


def planned(page: Page) -> None:
    page.goto("/")
    page.get_by_role("button", name="Plan all").click()
    page.get_by_role("button", name="Hold this plan").wait_for()


def held_and_ordered(page: Page) -> None:
    page.goto("/engines/SC-21")
    page.get_by_role("button", name="Hold these").click()
    page.get_by_role("link", name="To order").click()


def refused_count(page: Page) -> None:
    page.goto("/shelf/parts/BG82-040")
    page.locator("#count-pieces").fill("x")
    page.get_by_role("button", name="Count", exact=True).click()


def tried(page: Page) -> None:
    page.goto("/engines/HC-11?base.1=BG82-040&head.1=1.5#hand")


def at(path: str) -> Callable[[Page], object]:
    return lambda page: page.goto(path)


STATES: tuple[tuple[str, Callable[[Page], object]], ...] = (
    ("a dropped book with questions", lambda page: drop(page, "odd.csv", ODD)),
    ("a blocked engine", blocked),
    ("the telephone list", at("/orders")),
    ("a refused form", refused_form),
    ("all that can be said", further_form),
    ("a plan", planned),
    ("one order", held_and_ordered),
    ("a held engine", at("/engines/SC-21")),
    ("a refused count", refused_count),
    ("in hand", tried),
    ("no such page", at("/nothing")),
    ("no such engine", at("/engines/none")),
    ("no such plan", at("/plan/none")),
)


@pytest.mark.parametrize("look", [{}, {"color_scheme": "dark"}, {"viewport": PHONE}])
def test_axe_finds_nothing_in_any_state(chromium: Browser, server: Server, look: dict[str, Any]) -> None:
    """WCAG 2.0, 2.1 and 2.2, levels A and AA; and no page is wider than the window."""
    page = page_of(chromium, server, **look)
    found = []
    page.goto("/")
    found += violations(page)
    demonstration(page)
    for name, lead in STATES:
        lead(page)
        page.wait_for_load_state()
        found += [f"{name}: {words}" for words in violations(page)]
    assert found == []


def test_axe_finds_nothing_at_the_passphrase(chromium: Browser, tmp_path: Path) -> None:
    secret = {"STACKOPT_PASSPHRASE": "twelve spanners"}
    running = Server(tmp_path / "shop.db", "--host", "0.0.0.0", environment=secret).start()
    try:
        page = page_of(chromium, running)
        page.goto("/")
        assert violations(page) == []
        page.get_by_label("The passphrase of this shop").fill("wrong")
        keys(page, "Enter")
        expect(page.get_by_role("alert")).to_be_visible()
        assert violations(page) == []
        page.get_by_label("The passphrase of this shop").fill("twelve spanners")
        keys(page, "Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Board")
    finally:
        running.kill()


def test_the_parts_manager_by_keyboard_alone(chromium: Browser, server: Server) -> None:
    """Answers what is asked, mends what is wrong, loads: no mouse from the drop on."""
    page = page_of(chromium, server)
    page.goto("/")
    page.locator("#books").set_input_files({"name": "odd.csv", "mimeType": "text/csv", "buffer": ODD.encode()})
    page.locator("#books").focus()
    press_by_key(page, "Read them")
    for _ in range(6):
        questions = page.locator("fieldset.question").count()
        if not questions:
            break
        for number in range(questions):
            first = page.locator(f"#answer-{number}-1")
            first.focus()
            keys(page, "Space")
        press_by_key(page, "Answer")
    assert page.locator("fieldset.question").count() == 0
    for box in page.get_by_label("Write instead").all():
        wanted = box.locator("xpath=ancestor::li").inner_text()
        box.focus()
        page.keyboard.type("0.020 in" if "length" in wanted else "2")
    if page.get_by_role("button", name="Mend and read again").count():
        press_by_key(page, "Mend and read again")
    press_by_key(page, "Load")
    expect(page.get_by_text("2. Write down the first engine")).to_be_visible()
    press_by_key(page, "New engine")
    expect(page.get_by_role("heading", level=1)).to_have_text("New engine")


def test_the_owner_by_keyboard_alone(chromium: Browser, server: Server) -> None:
    """Plans, holds, sends an order, receives it: Tab and Enter."""
    page = page_of(chromium, server)
    demonstration(page)
    press_by_key(page, "Plan all")
    page.get_by_role("button", name="Hold this plan").wait_for()
    press_by_key(page, "Hold this plan")
    expect(page.get_by_text("The plan is held.")).to_be_visible()
    press_by_key(page, "Orders")
    order = page.locator("#open-head ~ ul.pick a").first
    order.focus()
    with page.expect_navigation():
        keys(page, "Enter")
    press_by_key(page, "Mark as sent")
    expect(page.get_by_text("is sent. When it is here")).to_be_visible()
    press_by_key(page, "Receive what came")
    expect(page.get_by_text("held for")).to_be_visible()


@pytest.mark.parametrize("look", [{}, {"java_script_enabled": False}])
def test_from_an_empty_shop_with_a_list_of_its_own_in_ten_presses(
    chromium: Browser,
    server: Server,
    look: dict[str, Any],
) -> None:
    """Pick the list, read, load, new engine, four sides of two cylinders read once each way, see, hold."""
    page = page_of(chromium, server, **look)
    presses = 0

    def press(what: Any) -> None:
        nonlocal presses
        presses += 1
        what.click()

    good = ODD.replace("Qty", "On hand").replace("many", "2").replace("0.020,", "0.020 in,")
    good = good.replace("uncompressed?", "").replace("What", "Kind").replace("For", "Fits")
    good = good.replace("Each", "Cost each")
    page.goto("/")
    presses += 1
    page.locator("#books").set_input_files({"name": "ours.csv", "mimeType": "text/csv", "buffer": good.encode()})
    press(page.get_by_role("button", name="Read them"))
    press(page.get_by_role("button", name="Load", exact=True))
    press(page.get_by_role("link", name="New engine"))
    page.get_by_label("Name or number").fill("N-1")
    page.get_by_label("Family").fill("MZ")
    page.get_by_label("Stroke", exact=True).fill("78 mm")
    for number in (1, 2):
        page.locator(f"[id='cylinder[{number}].bore']").fill("82 mm")
        page.locator(f"[id='cylinder[{number}].reading[1].value']").fill("0.11")
        press(page.locator(f"[for='cylinder[{number}].reading[1].proud']"))
    press(page.get_by_role("button", name="Write down and see what fits"))
    press(page.get_by_role("button", name="Hold these"))
    expect(page.get_by_text("Held for N-1.")).to_be_visible()
    assert presses <= 10


def test_a_running_solve_is_stopped_in_the_browser(chromium: Browser, tmp_path: Path) -> None:
    """A shop so large that its plan takes minutes: stopped, it shows the best found within seconds."""
    file = tmp_path / "shop.db"
    large_shop(file)
    with served(file) as running:
        page, other = page_of(chromium, running), page_of(chromium, running)
        page.goto("/")
        page.get_by_role("button", name="Plan all").click()
        page.get_by_role("button", name="Stop with the best found").wait_for()
        began = time.perf_counter()
        other.goto("/shelf")
        assert time.perf_counter() - began < 5
        page.wait_for_timeout(3000)
        page.get_by_role("button", name="Stop with the best found").click()
        expect(page.get_by_role("button", name="Hold this plan")).to_be_visible(timeout=30_000)


def test_two_in_two_browsers_race_for_the_last_gasket(chromium: Browser, server: Server) -> None:
    """Both press Hold at once for two engines that need the same last piece: one has it, the other is told."""
    one, other = page_of(chromium, server), page_of(chromium, server)
    demonstration(one)
    addresses = ("/engines/HC-11", "/engines/HC-14")
    for page, address in zip((one, other), addresses, strict=True):
        # The page that is behind would be loaded anew before its owner presses.
        page.route("**/pulse", lambda route: route.abort())
        page.goto(address)
    for page in (one, other):
        page.evaluate("setTimeout(() => document.querySelector(\"form[action$='/hold'] button\").click(), 50)")
    said = [page.get_by_text("Held for").or_(page.get_by_role("alert")) for page in (one, other)]
    for words in said:
        expect(words.first).to_be_visible()
    words = [each.first.inner_text() for each in said]
    assert sum("Held for" in each for each in words) == 1
    assert sum("a shelf that has changed since" in each for each in words) == 1


def test_a_press_again_after_the_server_died_does_nothing_twice(chromium: Browser, server: Server) -> None:
    page = page_of(chromium, server)
    demonstration(page)
    page.goto("/shelf/parts/BG82-040")
    before = int(page.locator(".sums strong").first.inner_text())
    page.locator("#bring-in-pieces").fill("2")
    page.get_by_role("button", name="Receive").click()
    expect(page.get_by_text("On the shelf: 2 of BG82-040 free.")).to_be_visible()
    server.kill()
    server.start()
    page.go_back()
    page.locator("#bring-in-pieces").fill("2")
    page.get_by_role("button", name="Receive").click()
    page.wait_for_load_state()
    page.goto("/shelf/parts/BG82-040")
    assert int(page.locator(".sums strong").first.inner_text()) in (before + 2, before + 4)


def test_eight_people_at_once(server: Server) -> None:
    """Eight who look at pages without a pause: none waits for seconds; the figures are in the report of the run."""
    urllib.request.urlopen(server.address).read()
    taken: list[float] = []

    def look() -> None:
        for path in ("/", "/bench", "/shelf", "/orders", "/our-shop"):
            began = time.perf_counter()
            urllib.request.urlopen(server.address + path).read()
            taken.append(time.perf_counter() - began)

    people = [threading.Thread(target=look) for _ in range(8)]
    for person in people:
        person.start()
    for person in people:
        person.join()
    assert len(taken) == 40
    assert sorted(taken)[20] < 4
