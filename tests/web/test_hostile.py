"""What a page meets on a bad day: odd names, endless texts, split headers, slow senders, presses from yesterday."""

from __future__ import annotations

import io
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from urllib.parse import quote

import pytest
from flask import Flask
from waitress.server import create_server

from stackopt.web.app import MOST_FIELDS
from tests.full import WHOLE
from tests.web.conftest import app_on
from tests.web.presses import Browser
from tests.web.test_jobs import READINGS, SEE, room_of

ODD = {
    "a null byte": "J\x00-1",
    "a line break": "J\r\nSet-Cookie: a=b",
    "a path": "../../etc/passwd",
    "a drive": "C:\\shop\\..\\engine",
    "markup": "<script>alert(1)</script>",
    "a template": "{{ config }} {% raw %}",
    "an entity": "&lt;b&gt;\"'",
    "right to left": "\u202ej-1\u202d",
    "combining": "e\u0301" * 40,
    "outside the first plane": "𝔍-𝟙 🔧",
    "half of a pair": "J-\ud800",
    "a soft hyphen": "J\u00ad-1",
    "only spaces": "   ",
    "a formula": '=HYPERLINK("http://a")',
    "long": "J" * 5000,
    "very long": "ü" * 100_000,
    "a percent": "%00%2e%2e%2f",
    "a question": "J-1?x=1#y",
    "a slash": "J/1",
    "dots": "..",
}
# The usual run takes every other one of them.
NAMES = list(ODD)[:: 1 if WHOLE else 2]


def sent(browser: Browser, fields: dict[str, str]) -> Browser:
    browser.open("/bench/new?like=HC-11")
    return browser.press(SEE, {**READINGS, **fields})


@pytest.mark.parametrize("name", NAMES)
def test_an_odd_name_is_refused_in_words_or_leads_to_its_own_page(app: Flask, name: str) -> None:
    """Whatever an engine is called: its page shows the name as it is, or the form says why not; nothing else opens."""
    text = ODD[name].encode("utf-8", "replace").decode()
    browser = sent(Browser(app), {"engine": text})
    assert browser.status in (200, 422, 413)
    assert "<script>alert" not in browser.text
    assert "SECRET_KEY" not in browser.text
    assert browser.response is not None
    assert "a=b" not in str(browser.response.headers)
    assert browser.status != 200 or browser.heading == " ".join(text.split())
    if browser.status == 200:
        assert browser.open(f"/engines/{quote(browser.heading, safe='')}/card").status < 500


def test_an_odd_text_in_all_fields_is_no_fault(app: Flask) -> None:
    browser = Browser(app).open("/bench/new?like=HC-11")
    marks, at = dict(browser.form(SEE).fields), "cylinder[1]"
    fields = ("family", "due", "stroke", f"{at}.name", f"{at}.reading[1].value", f"{at}.bore", "running.speed", "known")
    for odd in map(ODD.__getitem__, NAMES):
        text = odd.encode("utf-8", "replace").decode()
        for form in (dict.fromkeys(fields, text), dict.fromkeys(fields[:-1], text)):
            answer = browser.client.post("/bench/look", data={**marks, **READINGS, **form})
            assert answer.status_code in (200, 404, 413, 422)
            assert "<script>alert" not in answer.get_data(as_text=True)


def test_odd_names_of_people_parts_and_suppliers(app: Flask) -> None:
    browser = Browser(app)
    for odd in map(ODD.__getitem__, NAMES):
        text = odd.encode("utf-8", "replace").decode()
        assert browser.open("/guide").press("That is me", {"who": text, "back": text}).status < 500
        browser.open("/our-shop").press("Keep", {"name": text, "people": text, "address": text})
        assert browser.status in (200, 413, 422)
        for path in ("/shelf/parts/", "/orders/", "/plan/", "/shelf/dropped/", "/guide/", "/engines/"):
            assert browser.client.get(path + quote(text[:2000], safe="")).status_code in (200, 302, 308, 400, 404)
        assert browser.client.get("/shelf", query_string={"find": text, "kind": text}).status_code < 500


def test_ones_name_leads_nowhere_else(app: Flask) -> None:
    for back in ("//evil.example", "/\\evil.example", "https://evil.example", "/%0d%0aLocation: x", "javascript:x"):
        browser = Browser(app).open("/guide")
        form = browser.form("That is me")
        fields = {**dict(form.fields), "back": back}
        answer = browser.client.post(form.action, data=fields)
        assert not answer.headers["Location"].startswith(("//", "/\\", "http", "javascript"))


def test_a_form_of_thousands_of_fields_is_refused(browser: Browser) -> None:
    browser.open("/bench/new")
    marks = dict(browser.form(SEE).fields)
    many = {**marks, **{f"field {number}": "x" for number in range(MOST_FIELDS + 10)}}
    assert browser.client.post("/bench/look", data=many).status_code in (200, 413)
    parts = {**many, "books": (io.BytesIO(b"x"), "a.csv")}
    answer = browser.client.post("/shelf/drop", data=parts, content_type="multipart/form-data")
    assert answer.status_code == 413


def test_one_field_again_and_again(browser: Browser) -> None:
    browser.open("/bench/new")
    csrf = dict(browser.form(SEE).fields)["csrf"]
    body = f"csrf={csrf}&" + "&".join("cylinders=4" for _ in range(1500))
    kind = "application/x-www-form-urlencoded"
    assert browser.client.post("/bench/look", data=body, content_type=kind).status_code == 200


@pytest.mark.parametrize(
    "kind", ["multipart/form-data", "multipart/form-data; boundary=", "application/json", "text/plain", "a/b; c=\x01"]
)
def test_bodies_that_are_none_are_refused(browser: Browser, kind: str) -> None:
    browser.open("/guide")
    answer = browser.client.post("/our-shop", data=b"--x\r\n\x00\xff", content_type=kind)
    assert answer.status_code in (400, 413)


def test_names_of_files_that_lead_elsewhere(app: Flask) -> None:
    folder = room_of(app).folder
    for name in (
        "../../a.csv",
        "/etc/cron.d/a.csv",
        "a\x00.csv",
        "..",
        ".csv",
        "CON.csv",
        "a" * 400 + ".csv",
        "ü/ö.csv",
    ):
        browser = Browser(app).open("/shelf")
        browser.press("Read it", {"books": (io.BytesIO(b"part number\nX\n"), name)})
        assert browser.status < 500
    outside = [path for path in folder.parent.rglob("*.csv") if folder not in path.parents]
    assert outside == []


def test_a_page_from_yesterday_is_pressed_today(app: Flask) -> None:
    """Back, then press: the shelf has moved since the page was given out, so nothing is held."""
    first, second = Browser(app), Browser(app)
    first.open("/engines/HC-11")
    old = first.form("Hold these")
    second.open("/engines/HC-14").press("Hold these")
    assert "Held for HC-14." in second.text
    first.press("Hold these", form=old)
    assert first.status == 422
    assert "a shelf that has changed since" in first.text


def test_two_tabs_of_one_browser(app: Flask) -> None:
    """What is held in one tab is not held again from the other, and the one press sent twice does it once."""
    browser = Browser(app).open("/engines/HC-11")
    one = browser.form("Hold these")
    two = browser.open("/engines/HC-11").form("Hold these")
    browser.press("Hold these", form=one)
    assert "Held for HC-11." in browser.text
    browser.press("Hold these", form=one)
    assert browser.status == 200
    browser.press("Hold these", form=two)
    assert browser.status == 422
    assert "parts chosen by Tester" in browser.text


def test_the_same_engine_written_down_in_two_tabs_is_there_once(app: Flask) -> None:
    browser = Browser(app).open("/bench/new?like=HC-11")
    one = browser.form(SEE)
    two = browser.open("/bench/new?like=HC-11").form(SEE)
    browser.press(SEE, READINGS, form=one).press(SEE, READINGS, form=one)
    assert browser.heading == "J-1"
    browser.press(SEE, {**READINGS, "cylinder[1].reading[1].value": "0.2"}, form=two)
    assert browser.status == 422
    assert "a name that no other engine bears" in browser.text
    assert 'value="0.2"' in browser.text


@pytest.fixture
def address(app: Flask) -> Iterator[tuple[str, int]]:
    """The page behind the server that it has when it is started by hand, in a thread."""
    server = create_server(app, host="127.0.0.1", port=0, threads=2, channel_timeout=1, cleanup_interval=1)

    def run() -> None:
        # Its sockets are closed below it when the test ends.
        with suppress(OSError):
            server.run()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    yield "127.0.0.1", server.effective_port
    server.close()
    thread.join(5)


def asked(address: tuple[str, int], raw: bytes, seconds: float = 10) -> bytes:
    with socket.create_connection(address, timeout=seconds) as line:
        line.sendall(raw)
        return line.recv(4096)


def test_headers_that_no_browser_sends(address: tuple[str, int]) -> None:
    host = f"Host: 127.0.0.1:{address[1]}\r\n".encode()
    for raw in (
        b"GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1@evil.example\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: [::1\r\n\r\n",
        b"GET / HTTP/1.1\r\n\r\n",
        b"GET http://evil.example/ HTTP/1.1\r\n" + host + b"\r\n",
        b"GET / HTTP/1.1\r\n" + host + b"Content-Length: -4\r\n\r\n",
        b"POST /our-shop HTTP/1.1\r\n" + host + b"Transfer-Encoding: chunked\r\nContent-Length: 4\r\n\r\nzz\r\n",
        b"GET /" + b"a" * 300_000 + b" HTTP/1.1\r\n" + host + b"\r\n",
        b"\x00\x01\x02\r\n\r\n",
    ):
        status = asked(address, raw).split(b" ")[1:2]
        assert not status or status[0][:1] in (b"4", b"3", b"2"), (raw[:60], status)
        assert not status or status[0] != b"500"
    assert asked(address, b"GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n").startswith(b"HTTP/1.1 403")


def test_who_sends_slowly_keeps_nobody_waiting(address: tuple[str, int]) -> None:
    """Twelve who never finish their request beside two threads: the page answers who asks whole."""
    host = f"Host: 127.0.0.1:{address[1]}\r\n".encode()
    slow = [socket.create_connection(address, timeout=10) for _ in range(12)]
    for line in slow:
        line.sendall(b"POST /shelf/drop HTTP/1.1\r\n" + host + b"Content-Length: 900000\r\n\r\nabc")
    began = time.monotonic()
    assert asked(address, b"GET /pulse HTTP/1.1\r\n" + host + b"\r\n").startswith(b"HTTP/1.1 200")
    assert time.monotonic() - began < 5
    for line in slow:
        line.close()


def test_a_page_ended_in_the_middle_of_a_form_keeps_what_was_confirmed(app: Flask) -> None:
    """The form was given out before; after a new start the browser's mark still holds, and the press is done once."""
    browser = Browser(app).open("/shelf/parts/BG82-040")
    form, before = browser.form("Receive"), room_of(app).ledger.balances()["BG82-040"].on_hand
    again = app_on(Path(room_of(app).address))
    cookies = browser.client._cookies  # type: ignore[attr-defined]
    browser.client = again.test_client()
    browser.client._cookies = cookies  # type: ignore[attr-defined]
    browser.press("Receive", {"pieces": "2"}, form=form).press("Receive", {"pieces": "2"}, form=form)
    assert room_of(again).ledger.balances()["BG82-040"].on_hand == before + 2
