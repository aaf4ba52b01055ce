"""Requests that nobody would send: whatever comes, no page fails and none shows internals.

A few in the ordinary run; STACKOPT_FULL=1 sends three thousand.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from flask import Flask
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.full import FULL
from tests.web.conftest import app_on
from tests.web.presses import Browser

# Both forms of what pages take: pages to look at, and presses.
LOOKED_AT = ("/", "/bench", "/bench/new", "/shelf", "/orders", "/guide", "/our-shop", "/pulse", "/sign-in")
WITH_A_NAME = (
    "/engines/{}",
    "/engines/{}/card",
    "/engines/{}/card.pdf",
    "/engines/{}/readings",
    "/shelf/parts/{}",
    "/shelf/dropped/{}",
    "/orders/{}",
    "/guide/{}",
    "/plan/{}",
)
PRESSED = (
    "/bench/new",
    "/bench/look",
    "/engines/{}/hold",
    "/engines/{}/measure",
    "/engines/{}/due",
    "/engines/{}/use",
    "/engines/{}/release",
    "/shelf/parts/{}/count",
    "/shelf/parts/{}/correct",
    "/shelf/drop",
    "/orders/{}/receive",
    "/orders/draft",
    "/orders/answered",
    "/orders/does-not-make",
    "/our-shop",
    "/me",
    "/undo/{}",
)
FIELDS = (
    *("engine", "family", "due", "unit", "stroke", "quench.min", "quench.max", "compression.aim", "places", "cylinder"),
    *("cylinder[1].bore", "cylinder[1].reading[1].value", "cylinder[1].reading[1].side", "cylinder[2].deck", "pieces"),
    *("why", "marks", "only", "part", "supplier", "price", "days", "thickness", "kind", "press", "back", "review_days"),
)
names = st.one_of(
    st.sampled_from(["HC-11", "BG82-040", "1", "0", "-1", "99999999999"]), st.text(min_size=1, max_size=12)
)
texts = st.one_of(
    st.sampled_from(["0.11", "0,11", "1,234", "1e400", "nan", "-0.1", "1|x", "２", "²"]), st.text(max_size=20)
)


@pytest.fixture(scope="module")
def tried_app(demonstration_ledger: Path) -> Iterator[Flask]:
    with tempfile.TemporaryDirectory() as folder:
        app = app_on(Path(shutil.copy(demonstration_ledger, Path(folder) / "shop.db")))
        app.config["PROPAGATE_EXCEPTIONS"] = False
        yield app


def check(browser: Browser) -> None:
    assert browser.status < 500, (browser.at, browser.text[:300])
    assert "Traceback" not in browser.text


@settings(max_examples=1500 if FULL else 60, suppress_health_check=list(HealthCheck))
@given(st.sampled_from([*LOOKED_AT, *WITH_A_NAME]), names, st.dictionaries(st.sampled_from(FIELDS), texts, max_size=4))
def test_no_page_fails_whatever_is_asked_of_it(tried_app: Flask, path: str, name: str, asked: dict[str, str]) -> None:
    browser = Browser(tried_app)
    browser.response = browser.client.get(path.format(quote(name, safe="")), query_string=asked)
    if "pdf" not in path:
        check(browser)
    assert browser.status < 500


@settings(max_examples=1500 if FULL else 60, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(PRESSED), names, st.dictionaries(st.sampled_from(FIELDS), texts, max_size=8))
def test_no_press_fails_whatever_is_typed(tried_app: Flask, path: str, name: str, typed: dict[str, str]) -> None:
    browser = Browser(tried_app).open("/guide")
    marks = dict(browser.form("That is me").fields)
    browser.response = browser.client.post(path.format(quote(name, safe="")), data={**typed, "csrf": marks["csrf"]})
    check(browser)
