"""A shop of the page: empty, or that of the demonstration, on a day of its own."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket

from stackopt.shop.database.note import Note
from stackopt.shop.ledger import make_ledger
from stackopt.web.app import create_app
from stackopt.web.desk.demonstration import load_demonstration
from tests.web.presses import Browser
from tests.web.real import CHROMIUM, FLAGS, Server, served

TODAY = date(2027, 2, 1)


@pytest.fixture(scope="session")
def demonstration_ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("demonstration") / "shop.db"
    load_demonstration(make_ledger(str(file)), Note("test"))
    return file


class Compiled(BytecodeCache):
    """Templates compiled once for all tests of a process: each test has an application of its own."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self.kept:
            bucket.bytecode_from_string(self.kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.kept[bucket.key] = bucket.bytecode_to_string()


TEMPLATES = Compiled()


def app_on(ledger: Path, **more: object) -> Flask:
    app = create_app(str(ledger), "Tester", today=lambda: TODAY, **more)  # type: ignore[arg-type]
    app.jinja_env.bytecode_cache = TEMPLATES
    return app


@pytest.fixture
def empty_app(tmp_path: Path) -> Flask:
    return app_on(tmp_path / "shop.db")


@pytest.fixture
def app(demonstration_ledger: Path, tmp_path: Path) -> Flask:
    """The demonstration's shop, a copy for each test."""
    return app_on(Path(shutil.copy(demonstration_ledger, tmp_path / "shop.db")))


@pytest.fixture
def browser(app: Flask) -> Browser:
    return Browser(app)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """A real browser, for those tests that are run with one."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - an extra that few have installed

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    """The page as it is started by hand."""
    with served(tmp_path / "shop.db") as running:
        yield running
