"""Ledgers to test with, on SQLite and on a PostgreSQL server of the tests' own."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from stackopt.shop.database.tables import ALL
from stackopt.shop.ledger import Ledger, make_ledger, open_ledger
from tests.full import WHOLE
from tests.shop.server import running_server, server_programs


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an empty ledger to copy: making one takes longer than most tests."""
    path = tmp_path_factory.mktemp("empty") / "empty.db"
    make_ledger(str(path))
    return path


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """Yield the URL of a server with a ledger in its database ``shop``."""
    programs = server_programs()
    if programs is None:
        pytest.skip("no PostgreSQL server is installed (Debian: apt-get install postgresql)")
    # Not below pytest's own folder, which only the user of the tests may enter.
    with (
        tempfile.TemporaryDirectory(prefix="stackopt-pg-") as folder,
        running_server(programs, Path(folder)) as server,
    ):
        make_ledger(create_database(server, "shop"))
        yield server


def create_database(server: str, name: str) -> str:
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return f"{server}/{name}"


@pytest.fixture
def sqlite_address(tmp_path: Path, empty_file: Path) -> str:
    return str(shutil.copy(empty_file, tmp_path / "shop.db"))


@pytest.fixture
def postgresql_address(postgresql: str) -> str:
    """Return where the server's ledger is, emptied past its own triggers: quicker than a database for each test."""
    address = f"{postgresql}/shop"
    with psycopg.connect(address) as connection:
        connection.execute("SET session_replication_role = replica")
        connection.execute(f"TRUNCATE {', '.join(table.name for table in ALL)}")
    return address


@pytest.fixture(params=["sqlite", "postgresql"] if WHOLE else ["sqlite"])
def address(request: pytest.FixtureRequest) -> str:
    """Where an empty ledger lies, once of each database; the usual run takes the one that most shops have."""
    return str(request.getfixturevalue(f"{request.param}_address"))


@pytest.fixture
def ledger(address: str) -> Ledger:
    return open_ledger(address)
