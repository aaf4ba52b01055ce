"""What the bench says while one types: what is missing, each deck as it stands, go or no go once all is read."""

from __future__ import annotations

import re

from flask import Flask

from tests.web.presses import Browser
from tests.web.test_jobs import READINGS, SEE

FRONT = {name: said for name, said in READINGS.items() if not name.startswith("cylinder[2]")}


def looked(browser: Browser, fields: dict[str, str], path: str = "/bench/new?like=HC-11") -> str:
    """Return what is shown beside the form when these fields are typed."""
    form = browser.open(path).form(SEE)
    form.action = "/bench/look"
    browser.press(SEE, fields, form=form)
    assert browser.status == 200
    return " ".join(browser.text.split())


def verdict(text: str) -> str:
    return re.sub("<[^>]*>", "", text.partition("data-verdict>")[2].partition("</p>")[0]).strip()


def test_nothing_typed_yet(browser: Browser) -> None:
    text = looked(browser, {})
    assert verdict(text) == "Not yet: still to read: front, rear."
    assert text.count("No deck read yet.") == 2


def test_one_cylinder_read_stands_while_the_other_is_missing(browser: Browser) -> None:
    text = looked(browser, FRONT)
    assert verdict(text) == "Not yet: still to read: rear."
    assert "Piston <strong>0.110 mm</strong> proud" in text
    assert text.count("No deck read yet.") == 1


def test_a_deck_needs_nothing_but_its_readings(browser: Browser) -> None:
    """No family, no stroke, no bore: the decks are told all the same, and what is still to fill in."""
    text = looked(browser, READINGS, "/bench/new")
    assert "Piston <strong>0.110 mm</strong> proud" in text
    assert "Piston <strong>0.130 mm</strong> below" in text
    assert verdict(text) == "Not yet: still to fill in: family, stroke, bore."


def test_all_read_says_what_the_engines_page_says(browser: Browser) -> None:
    text = looked(browser, READINGS)
    assert verdict(text) == "Mock it up: these land inside by the readings; all of it is on the shelf."
    beside = re.findall(r"<dd><strong>([A-Z]+82-\w+)</strong>", text)
    browser.open("/bench/new?like=HC-11").press(SEE, READINGS)
    assert beside == re.findall(r"</span> <strong>([A-Z]+82-\w+)</strong>", browser.text)
    assert "Mock it up:</strong></span> these land inside by the readings; all of it is on the shelf." in browser.text
    assert 'aria-label="Its doubt' in text
    assert "<svg" in text.partition("so-far-section")[2]


def test_no_go_is_said_while_one_types(browser: Browser) -> None:
    narrow = {"quench.min": "0.10", "quench.aim": "0.11", "quench.max": "0.12"}
    narrow |= {"compression.min": "", "compression.aim": "", "compression.max": ""}
    assert verdict(looked(browser, READINGS | narrow)) == "No go: nothing that fits can be had in time."


def test_what_is_to_be_bought_is_said_with_its_day(browser: Browser) -> None:
    """SC-21 of the demonstration takes a head gasket that comes from a supplier."""
    text = looked(browser, {"cylinder[1].reading[1].value": "", "known": "SC-21"}, "/engines/SC-21/readings")
    assert re.fullmatch(r"Fits, with parts to come: all here on \d+ \w+ 2027, [\d.]+ to pay now\.", verdict(text))


def test_a_slip_is_said_at_its_field(browser: Browser) -> None:
    text = looked(browser, READINGS | {"cylinder[2].reading[2].value": "thirteen"})
    assert 'data-field="cylinder[2].reading[2].value">thirteen?' in text
    assert verdict(text) == "Not yet: look again at what is marked."
    assert "Piston <strong>0.110 mm</strong> proud" in text


def test_a_family_that_no_part_names_is_said(browser: Browser) -> None:
    text = looked(browser, READINGS | {"family": "ZZ"})
    assert 'data-field="family">ZZ?' in text


def test_lengths_stand_as_the_browser_wants_them(app: Flask) -> None:
    browser = Browser(app).open("/guide").press("That is me", {"units": "inch"})
    form = {name: said for name, said in READINGS.items() if "value" not in name}
    form |= {f"cylinder[{c}].reading[{r}].value": "0.004" for c in (1, 2) for r in (1, 2)}
    assert "Piston <strong>0.0040 in</strong> proud" in looked(browser, form)


def test_an_empty_shop_says_that_the_shelf_is_not_known(empty_app: Flask) -> None:
    text = looked(Browser(empty_app), READINGS, "/bench/new")
    assert verdict(text) == "Not yet: what lies on the shelf is not said yet."
    assert "Piston <strong>0.110 mm</strong> proud" in text


def test_what_is_typed_stands_beside_a_form_that_is_refused_without_scripts(browser: Browser) -> None:
    browser.open("/bench/new?like=HC-11").press(SEE, READINGS | {"engine": ""})
    assert browser.status == 422
    assert "Piston <strong>0.110 mm</strong> proud" in browser.text
