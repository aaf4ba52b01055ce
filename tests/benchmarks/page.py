"""How fast the page answers on the demonstration's shop: ``python -m tests.benchmarks.page``.

``stackopt serve`` in a process of its own; one visitor, then eight at once. The aims: a page in under 100 ms, an answer
at the bench in under 300 ms, eight people at once without a wait.
"""

from __future__ import annotations

import re
import statistics
import threading
import time
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

import click

from tests.web.real import Server, new_folder, served

PAGES = {
    "Board": "/",
    "Bench": "/bench",
    "New engine": "/bench/new?like=HC-11",
    "Shelf": "/shelf",
    "A part": "/shelf/parts/BG82-040",
    "Orders": "/orders",
    "An engine": "/engines/HC-11",
    "Its card": "/engines/HC-11/card",
    "Pulse": "/pulse",
}
Times = dict[str, list[float]]


class Visitor:
    """One browser: a connection that is kept, its cookie, and what each request took."""

    def __init__(self, server: Server) -> None:
        self.connection = HTTPConnection("127.0.0.1", int(server.port), timeout=60)
        self.cookie, self.text = "", ""
        self.taken: Times = {}
        self.worked: Times = {}
        self.threads = Path("/proc", str(server.process.pid if server.process else 0), "task")

    def ask(self, name: str, path: str, form: dict[str, str] | None = None) -> Visitor:
        headers = {"Cookie": self.cookie} if self.cookie else {}
        body = None
        if form is not None:
            body = urlencode({**form, "csrf": self._mark("csrf"), "press": self._mark("press")})
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        before, began = self._processor_seconds(), time.perf_counter()
        self.connection.request("GET" if form is None else "POST", path, body, headers)
        answer = self.connection.getresponse()
        text = answer.read().decode(errors="replace")
        self.taken.setdefault(name, []).append(time.perf_counter() - began)
        self.worked.setdefault(name, []).append(self._processor_seconds() - before)
        assert answer.status < 400, (path, answer.status, text[-900:])
        self.cookie = (answer.getheader("Set-Cookie") or self.cookie).partition(";")[0]
        # What is looked at while one types is a piece of a page, without a form.
        self.text = text if "<form" in text else self.text
        return self

    def _processor_seconds(self) -> float:
        """Return what the server's threads have worked, s; 0 where the system does not tell."""
        return sum(int(one.read_text().split()[0]) for one in self.threads.glob("*/schedstat")) / 1e9

    def _mark(self, name: str) -> str:
        found = re.search(rf'name="{name}" value="([^"]*)"', self.text)
        return found[1] if found else ""

    def form(self) -> dict[str, str]:
        """Return the fields of the form of an engine that is shown, with readings typed."""
        fields = dict(re.findall(r'<input [^>]*?id="([^"]+)" [^>]*?name="\1" [^>]*?value="([^"]*)"', self.text))
        return {**fields, "engine": "J-1", "unit": "mm", "cylinders": "2", **typed(0)}


def typed(slip: int) -> dict[str, str]:
    """Return readings of two cylinders, each time others."""
    said = {}
    for cylinder, value in ((1, 0.11), (2, 0.13)):
        for reading in (1, 2):
            name = f"cylinder[{cylinder}].reading[{reading}]"
            said[f"{name}.value"], said[f"{name}.unit"] = f"{value + slip / 1000:.3f}", "mm"
            said[f"{name}.side"] = "proud" if cylinder == 1 else "below"
    return said


def visit(visitor: Visitor, times: int) -> None:
    """Look at every page, and let the readings be looked at while they are typed."""
    for turn in range(times):
        for name, path in PAGES.items():
            visitor.ask(name, path)
            if name == "New engine":
                form = visitor.form()
        visitor.ask("New engine", PAGES["New engine"])
        for slip in (1, 2):
            visitor.ask("Readings typed", "/bench/look", {**form, **typed(slip + 2 * turn)})


def after_presses(visitor: Visitor, times: int) -> None:
    """Look at every page as the first one after somebody's press."""
    for turn in range(times):
        for name, path in PAGES.items():
            visitor.ask("", "/shelf/parts/BG88-025")
            visitor.ask("A press", "/shelf/parts/BG88-025/bring-in", {"pieces": str(1 + turn % 2)})
            visitor.ask(f"{name}, first after it", path)


def table(title: str, visitors: list[Visitor]) -> None:
    """Print median and slowest of each; for one visitor also the median of what the server worked for it."""
    alone = len(visitors) == 1
    click.echo(f"\n{title:34}{'median ms':>10}{'slowest':>9}{'times':>7}{'processor ms' if alone else '':>14}")
    for name in dict.fromkeys(name for visitor in visitors for name in visitor.taken if name):
        taken = sorted(second for visitor in visitors for second in visitor.taken.get(name, ()))
        worked = f"{1000 * statistics.median(visitors[0].worked[name]):.0f}" if alone else ""
        click.echo(f"{name:34}{1000 * statistics.median(taken):10.0f}{1000 * taken[-1]:9.0f}{len(taken):7}{worked:>14}")
    for visitor in visitors:
        visitor.taken.clear()
        visitor.worked.clear()


@click.command()
@click.option("--times", default=9, show_default=True, help="How often each page is looked at.")
@click.option("--people", default=8, show_default=True, help="How many at once.")
def main(times: int, people: int) -> None:
    """Measure the page on the demonstration's shop."""
    with served(new_folder() / "shop.db") as server:
        one = Visitor(server).ask("", "/")
        one.ask("", _demonstration(one.text), {})
        visit(one, times)
        table("One visitor", [one])
        after_presses(one, max(1, times // 3))
        table("One visitor, after a press", [one])
        visitors = [Visitor(server).ask("", "/bench/new?like=HC-11") for _ in range(people)]
        threads = [threading.Thread(target=visit, args=(each, max(1, times // 3))) for each in visitors]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        table(f"{people} visitors at once, without a pause", visitors)


def _demonstration(text: str) -> str:
    found = re.search(r'action="([^"]*demonstration[^"]*)"', text)
    assert found, text
    return found[1]


if __name__ == "__main__":
    main()
