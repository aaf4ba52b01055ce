"""A shop of the page: empty, or that of the demonstration, on a day of its own."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from flask import Flask

from stackopt.shop.database.note import Note
from stackopt.shop.ledger import make_ledger
from stackopt.web.app import create_app
from stackopt.web.desk.demonstration import load_demonstration
from tests.web.presses import Browser

TODAY = date(2027, 2, 1)


@pytest.fixture(scope="session")
def demonstration_ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("demonstration") / "shop.db"
    load_demonstration(make_ledger(str(file)), Note("test"))
    return file


def app_on(ledger: Path, **more: object) -> Flask:
    return create_app(str(ledger), "Tester", today=lambda: TODAY, **more)  # type: ignore[arg-type]


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
