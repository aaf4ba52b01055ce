"""Ledgers to test with, on SQLite and on a PostgreSQL server of the tests' own."""

from __future__ import annotations

import itertools
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from stackopt.shop.ledger import Ledger, make_ledger, open_ledger
from tests.shop.server import running_server, server_programs

_numbers = itertools.count(1)


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an empty ledger to copy: making one takes longer than most tests."""
    path = tmp_path_factory.mktemp("empty") / "empty.db"
    make_ledger(str(path))
    return path


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """Yield the URL of a server with a database ``empty`` that holds an empty ledger."""
    programs = server_programs()
    if programs is None:
        pytest.skip("no PostgreSQL server is installed (Debian: apt-get install postgresql)")
    # Not below pytest's own folder, which only the user of the tests may enter.
    with tempfile.TemporaryDirectory(prefix="stackopt-pg-") as folder:
        with running_server(programs, Path(folder)) as server:
            create_database(server, "empty")
            make_ledger(f"{server}/empty")
            yield server


def create_database(server: str, name: str, template: str = "template0") -> str:
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
    return f"{server}/{name}"


@pytest.fixture
def sqlite_address(tmp_path: Path, empty_file: Path) -> str:
    return str(shutil.copy(empty_file, tmp_path / "shop.db"))


@pytest.fixture
def postgresql_address(postgresql: str) -> str:
    return create_database(postgresql, f"shop{next(_numbers)}", "empty")


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest) -> str:
    """Where an empty ledger lies, once of each database."""
    return str(request.getfixturevalue(f"{request.param}_address"))


@pytest.fixture
def ledger(address: str) -> Ledger:
    return open_ledger(address)
