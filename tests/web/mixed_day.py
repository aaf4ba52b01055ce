"""A mixed day: builders, parts managers and owners at once on one server: ``python -m tests.web.mixed_day``.

Each presses what he finds on the pages. What must hold: no page fails, a press is refused only in words, a hold is seen
by the others within two seconds, and at the end the ledger's sums are right.
"""

from __future__ import annotations

import io
import random
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from collections import Counter
from collections.abc import Callable, Mapping
from http.cookiejar import CookieJar
from typing import Any

import click
from msgspec import Struct, field

from stackopt.shop.ledger import open_ledger
from tests.web.presses import Browser
from tests.web.real import new_folder, served

SEEN_WITHIN_SECONDS = 2.0
# How often a browser that runs scripts asks whether something has changed: `room.js`.
PULSE_SECONDS = 1.0
BOUNDARY = "day"


class Answered(Struct):
    """What came back, as the test client of Flask has it."""

    status_code: int
    text: str
    full_path: str

    @property
    def request(self) -> Answered:
        return self

    def get_data(self, *, as_text: bool = True) -> str:
        assert as_text
        return self.text


class RemoteClient:
    """One browser's connection to a server, with the methods that `presses.Browser` uses."""

    def __init__(self, address: str) -> None:
        self.address = address
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def test_client(self) -> RemoteClient:
        """Be its own client, so that a `presses.Browser` takes it as it takes an application."""
        return self

    def get(self, path: str, query_string: Mapping[str, Any] | None = None, **_: object) -> Answered:
        query = f"?{urllib.parse.urlencode(query_string, doseq=True)}" if query_string else ""
        return self._ask(urllib.request.Request(self._whole(path) + query))

    def post(self, path: str, data: Mapping[str, Any], content_type: str = "", **_: object) -> Answered:
        asked = urllib.request.Request(self._whole(path))
        if "multipart" in content_type:
            asked.data = _multipart(data)
            asked.add_header("Content-Type", f"multipart/form-data; boundary={BOUNDARY}")
        else:
            asked.data = urllib.parse.urlencode(data, doseq=True).encode()
        return self._ask(asked)

    def _whole(self, path: str) -> str:
        return self.address + urllib.parse.quote(path, safe="/?&=%#:+")

    def _ask(self, asked: urllib.request.Request) -> Answered:
        try:
            answer = self._opener.open(asked, timeout=300)
        except urllib.error.HTTPError as error:
            answer = error  # type: ignore[assignment]
        with answer:
            text = answer.read().decode(errors="replace")
            parts = urllib.parse.urlsplit(answer.geturl())
            return Answered(answer.status, text, f"{parts.path}?{parts.query}")


def remote(address: str) -> Browser:
    """Return a browser on a server."""
    return Browser(RemoteClient(address))  # type: ignore[arg-type]


def _multipart(data: Mapping[str, Any]) -> bytes:
    body = io.BytesIO()
    for name, value in data.items():
        for one in value if isinstance(value, list) else [value]:
            head, content = f'Content-Disposition: form-data; name="{name}"', str(one).encode()
            if isinstance(one, tuple):
                head, content = f'{head}; filename="{one[1]}"', one[0].read()
            body.write(f"--{BOUNDARY}\r\n{head}\r\n\r\n".encode() + content + b"\r\n")
    body.write(f"--{BOUNDARY}--\r\n".encode())
    return body.getvalue()


class Day(Struct):
    """What happened: how often each act was done or refused, what went wrong, how long a hold took to be seen."""

    done: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    seen_after: list[float] = field(default_factory=list)
    slowest: float = 0.0
    lock: threading.Lock = field(default_factory=threading.Lock)


class Person:
    """One of the eight: a browser, dice of his own, and the day that he writes down in."""

    def __init__(self, browser: Browser, name: str, day: Day, seed: int) -> None:
        self.browser, self.name, self.day, self.dice = browser, name, day, random.Random(seed)
        self.engines = 0

    def work(self, acts: tuple[Callable[[Person], None], ...], times: int) -> None:
        for _ in range(times):
            act = self.dice.choice(acts)
            began = time.perf_counter()
            try:
                act(self)
            except AssertionError as error:
                # No such button by now: somebody else was faster.
                self._note(act.__name__, str(error) if "no button" not in str(error) else "", began)
                continue
            self._note(act.__name__, "", began)

    def _note(self, act: str, wrong: str, began: float) -> None:
        with self.day.lock:
            self.day.slowest = max(self.day.slowest, time.perf_counter() - began)
            status = self.browser.status
            (self.day.refused if status == 422 else self.day.done)[act] += 1
            if wrong or status not in (200, 404, 422) or "Traceback" in self.browser.text:
                self.day.wrong.append(
                    f"{self.name} {act}: {status} {self.browser.at} {wrong} {self.browser.text[:200]}"
                )


def write_down(person: Person) -> None:
    """Type a new engine; look at it while typing."""
    person.engines += 1
    page = person.browser.open("/bench/new?like=HC-11")
    typed = {"engine": f"{person.name}-{person.engines}"}
    for cylinder, side in ((1, "proud"), (2, "below")):
        for reading in (1, 2):
            name = f"cylinder[{cylinder}].reading[{reading}]"
            value = f"{person.dice.uniform(0.02, 0.2):.3f}"
            typed |= {f"{name}.value": value, f"{name}.unit": "mm", f"{name}.side": side}
    form = page.form("Write down and see what fits")
    marks = dict(form.fields)
    page.client.post("/bench/look", data={**marks, **typed})
    page.press("Write down and see what fits", typed, form=form)


def an_engine(person: Person) -> str:
    """Return the address of an engine that is on the board now."""
    links = sorted(set(_links(person.browser.open("/").text, "/engines/")))
    return person.dice.choice(links) if links else "/bench"


def hold(person: Person) -> None:
    person.browser.open(an_engine(person))
    person.browser.press("Hold these")


def release(person: Person) -> None:
    person.browser.open(an_engine(person))
    person.browser.press("Release its parts")


def build(person: Person) -> None:
    person.browser.open(an_engine(person))
    person.browser.press("Take parts to build")


def try_in_hand(person: Person) -> None:
    person.browser.open(an_engine(person))
    person.browser.press("Try it", {"base.1": "0.4", "head.1": "0.6"})


def print_card(person: Person) -> None:
    person.browser.open(f"{an_engine(person)}/card")


def count(person: Person) -> None:
    part = person.dice.choice(_links(person.browser.open("/shelf").text, "/shelf/parts/"))
    person.browser.open(part)
    person.browser.press("Count", {"pieces": str(person.dice.randrange(2, 9))})


def bring_in(person: Person) -> None:
    part = person.dice.choice(_links(person.browser.open("/shelf").text, "/shelf/parts/"))
    person.browser.open(part)
    person.browser.press("Receive", {"pieces": str(person.dice.randrange(1, 4))})


def take_back(person: Person) -> None:
    if "Take it back" in person.browser.text:
        person.browser.press("Take it back")


def drop_a_list(person: Person) -> None:
    text = f"part number,kind,fits,thickness (mm),on hand\nX-{person.name},base gasket,KV82,0.45,{person.engines + 3}\n"
    person.browser.open("/shelf")
    person.browser.press("Read it", {"books": (io.BytesIO(text.encode()), "list.csv")})
    person.browser.press("Load")


def order(person: Person) -> None:
    buttons = [b for f in person.browser.open("/orders").parsed.forms for b in f.buttons if b.startswith("Draft the")]
    if buttons:
        person.browser.press(person.dice.choice(buttons))
        person.browser.press("Mark as sent")


def receive(person: Person) -> None:
    orders = [each for each in _links(person.browser.open("/orders").text, "/orders/") if each[8:].isdecimal()]
    if orders:
        person.browser.open(person.dice.choice(orders))
        person.browser.press("Receive what came")


def plan_all(person: Person) -> None:
    person.browser.open("/")
    person.browser.press("Plan all")
    for _ in range(100):
        if any("Hold this plan" in form.buttons for form in person.browser.parsed.forms):
            person.browser.press("Hold this plan")
            return
        time.sleep(0.1)
        person.browser.open(person.browser.at)


def look_around(person: Person) -> None:
    for path in ("/", "/bench", "/shelf", "/orders", "/our-shop", "/guide"):
        person.browser.open(path)


def _links(text: str, begins: str) -> list[str]:
    pieces = text.split(f'href="{begins}')[1:]
    return [begins + urllib.parse.unquote(piece.partition('"')[0].partition("#")[0]) for piece in pieces]


BUILDER = (write_down, write_down, hold, hold, build, try_in_hand, print_card, release, take_back)
PARTS_MANAGER = (count, bring_in, drop_a_list, order, receive, look_around, take_back)
OWNER = (plan_all, look_around, order, hold, receive)
PEOPLE = (BUILDER, BUILDER, BUILDER, PARTS_MANAGER, PARTS_MANAGER, OWNER, OWNER, BUILDER)


def spend(browsers: list[Browser], acts_each: int, seed: int = 1) -> Day:
    """Let eight people work at once; return what happened."""
    day = Day()
    people = [Person(browser, f"P{number}", day, seed * 100 + number) for number, browser in enumerate(browsers)]
    threads = []
    for person, acts in zip(people, PEOPLE, strict=True):
        threads.append(threading.Thread(target=person.work, args=(acts, acts_each)))
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return day


def hold_is_seen(one: Browser, other: Browser) -> float:
    """Hold something in one browser; return the seconds from its answer until another's pulse and board show it."""
    person = Person(one, f"Seen{time.monotonic_ns()}", Day(), time.monotonic_ns())
    write_down(person)
    before = other.open("/pulse").text
    one.press("Hold these")
    began = time.perf_counter()
    while other.open("/pulse").text == before:
        time.sleep(0.02)
    other.open("/")
    return time.perf_counter() - began


@click.command()
@click.option("--acts", default=25, show_default=True, help="How many acts each of the eight does.")
@click.option("--seed", default=1, show_default=True)
def main(acts: int, seed: int) -> None:
    """Let eight people spend a day on one server, and say what happened."""
    ledger = new_folder() / "shop.db"
    with served(ledger) as server:
        first = remote(server.address)
        first.open("/").press("Take the demonstration")
        browsers = [remote(server.address) for _ in PEOPLE]
        for number, browser in enumerate(browsers):
            browser.open("/guide").press("That is me", {"who": f"P{number}"})
        # While the shelf is full: later there may be nothing to hold.
        seen = [hold_is_seen(first, browsers[0]) for _ in range(3)]
        began = time.perf_counter()
        day = spend(browsers, acts, seed)
        click.echo(f"{sum(day.done.values())} acts done, {sum(day.refused.values())} refused in words, ", nl=False)
        click.echo(f"in {time.perf_counter() - began:.0f} s; the slowest took {day.slowest:.1f} s")
        for act in sorted({*day.done, *day.refused}):
            click.echo(f"  {act:14} {day.done[act]:4} done {day.refused[act]:4} refused")
        click.echo(f"a hold is seen after {max(seen):.2f} s at most, asked each {PULSE_SECONDS:g} s")
    found = open_ledger(str(ledger)).verify()
    click.echo(f"wrong: {day.wrong or 'nothing'}; damage: {found.damage or 'none'}")
    if day.wrong or found.damage or max(seen) + PULSE_SECONDS > SEEN_WITHIN_SECONDS:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
