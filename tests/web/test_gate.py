"""Who may come in: the address asked for, forms that are ours, the passphrase, and how large what comes may be."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from flask import Flask
from werkzeug.security import generate_password_hash

from stackopt.problems import InputError
from stackopt.web.gate import sign_in
from stackopt.web.gate.guard import host_name, is_loopback, names_of
from stackopt.web.gate.settings import ShopSettings, read_settings, settings_file, write_settings
from stackopt.web.serving import keep_passphrase
from tests.web.conftest import app_on
from tests.web.presses import Browser

PAGES = ("/", "/bench", "/bench/new", "/shelf", "/orders", "/guide", "/guide/fit", "/our-shop", "/engines/HC-11")


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "127.0.0.1.evil.example", "localhost.evil", "[::2]", ""]
)
def test_a_foreign_host_is_refused(app: Flask, host: str) -> None:
    assert app.test_client().get("/", headers={"Host": host}).status_code == 403


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:8095", "127.0.0.1:8095", "[::1]:8095"])
def test_our_own_names_are_answered(app: Flask, host: str) -> None:
    assert app.test_client().get("/", headers={"Host": host}).status_code == 200


def test_names_of_this_machine_are_known_where_the_network_is_served() -> None:
    assert names_of("127.0.0.1") == {"localhost", "127.0.0.1", "::1"}
    assert {"shop.example", "localhost"} <= names_of("shop.example")
    assert is_loopback("::1")
    assert not is_loopback("0.0.0.0")
    assert host_name("shop.local:8095") == "shop.local"


@pytest.mark.parametrize("path", PAGES)
def test_every_page_forbids_what_it_does_not_need(app: Flask, path: str) -> None:
    response = app.test_client().get(path)
    policy = response.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe-inline" not in policy
    text = response.get_data(as_text=True)
    assert not re.findall(r"<script(?![^>]*src=)|\son[a-z]+=|\sstyle=|<style", text)
    assert not re.findall(r'(?:src|href)="(?:https?:)?//', text)


@pytest.mark.parametrize(
    "path", ["/plan", "/shelf/drop", "/undo/1", "/our-shop", "/engines/HC-11/hold", "/orders/draft"]
)
def test_a_form_that_is_not_ours_is_refused(app: Flask, path: str) -> None:
    client = app.test_client()
    assert client.post(path).status_code == 400
    client.get("/")
    assert client.post(path, data={"csrf": "guessed"}).status_code == 400
    other = Browser(app).open("/bench/new").form("Write down and see what fits")
    assert client.post(path, data=dict(other.fields)).status_code == 400
    assert client.post(path, headers={"Origin": "http://evil.example"}).status_code == 403


def network_app(ledger: Path) -> Flask:
    keep_passphrase(str(ledger), "twelve spanners")
    return app_on(ledger, passphrase_hash=read_settings(settings_file(str(ledger))).passphrase_hash)


def test_without_the_passphrase_nothing_is_shown(tmp_path: Path) -> None:
    app = network_app(tmp_path / "shop.db")
    for path in PAGES:
        assert Browser(app).open(path).heading == "Passphrase"
    browser = Browser(app).open("/")
    browser.press("Come in", {"passphrase": "thirteen spanners"})
    assert browser.status == 403
    browser.press("Come in", {"passphrase": "twelve spanners"})
    assert browser.heading == "Board"


def test_guesses_are_slowed_down(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sign_in, "check_password_hash", lambda _hash, given: given == "right")
    browser = Browser(network_app(tmp_path / "shop.db")).open("/")
    for _ in range(sign_in.FREE_GUESSES):
        assert browser.press("Come in", {"passphrase": "wrong"}).status == 403
    assert browser.press("Come in", {"passphrase": "right"}).status == 429


def test_a_new_passphrase_shuts_out_who_knew_the_old_one(tmp_path: Path) -> None:
    ledger = tmp_path / "shop.db"
    browser = Browser(network_app(ledger)).open("/")
    browser.press("Come in", {"passphrase": "twelve spanners"})
    browser.client.application.config["PASSPHRASE_HASH"] = generate_password_hash("another one")
    assert browser.open("/").heading == "Passphrase"


def test_a_short_passphrase_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="8 letters or more"):
        keep_passphrase(str(tmp_path / "shop.db"), "short")


def test_settings_are_for_the_owner_alone_and_hold_no_passphrase(tmp_path: Path) -> None:
    ledger = tmp_path / "shop.db"
    network_app(ledger)
    file = settings_file(str(ledger))
    assert file.stat().st_mode & 0o077 == 0
    assert "twelve spanners" not in file.read_text()


def test_settings_that_cannot_be_read_are_said(tmp_path: Path) -> None:
    file = tmp_path / "shop.db.page.json"
    file.write_text("{")
    with pytest.raises(InputError, match="the settings of the shop's page"):
        read_settings(file)
    write_settings(file, ShopSettings(name="Ours"))
    assert read_settings(file).name == "Ours"


def test_an_upload_that_is_too_large_is_refused(app: Flask) -> None:
    app.config["MAX_CONTENT_LENGTH"] = 1000
    browser = Browser(app).open("/shelf")
    browser.press("Read it", {"books": (io.BytesIO(b"x" * 2000), "large.csv")})
    assert browser.status == 413
    assert "may have 20 MB" in browser.text


def test_no_error_page_shows_internals(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("stackopt.web.pages.bench._earlier", lambda: 1 / 0)
    app.config["PROPAGATE_EXCEPTIONS"] = False
    browser = Browser(app).open("/bench")
    assert browser.status == 500
    assert "a fault of its own" in browser.text
    assert "Traceback" not in browser.text
    assert "ZeroDivision" not in browser.text


@pytest.mark.parametrize("back", ["//evil.example", "https://evil.example", "/\\evil.example"])
def test_no_form_leads_elsewhere(browser: Browser, back: str) -> None:
    form = browser.open("/").form("That is me")
    browser.press("That is me", {"back": back, "who": "Ann"}, form=form)
    assert browser.at == "/"
    assert "Ann, mm first" in browser.text


def test_units_are_kept_in_this_browser(app: Flask) -> None:
    browser = Browser(app).open("/shelf")
    browser.press("That is me", {"units": "inch", "back": "/shelf"})
    assert re.search(r"0\.0\d{3} in · 0\.\d{3} mm", browser.text)
    assert re.search(r"0\.\d{3} mm · 0\.0\d{3} in", Browser(app).open("/shelf").text)


def test_the_card_bears_no_code_that_no_telephone_can_open(app: Flask, tmp_path: Path) -> None:
    """On this machine alone there is no code; on the network it holds an address of the network."""
    assert "Code that opens" not in Browser(app).open("/engines/HC-11/card").text
    ledger = app.extensions["room"].address
    shop = app_on(Path(ledger), hosts={"shop.example", "localhost"})
    page = shop.test_client().get("/engines/HC-11/card", headers={"Host": "shop.example:8095"}).get_data(as_text=True)
    assert "Code that opens http://shop.example:8095/engines/HC-11" in page
    page = shop.test_client().get("/engines/HC-11/card", headers={"Host": "localhost:8095"}).get_data(as_text=True)
    assert "localhost:8095/engines" not in page
