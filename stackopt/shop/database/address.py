"""Where a ledger lies: a file, or a PostgreSQL database by URL."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from msgspec import Struct
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import NullPool

from stackopt.shop.database.faults import refuse, without_password
from stackopt.shop.database.sqlite_file import PATIENCE_SECONDS, open_file

WRITING = "stackopt_writing"
EXPECTED_ADDRESS = "the path of a file, or postgresql://user@host/database"


class Address(Struct, frozen=True):
    """Where a ledger lies. `shown` is for messages and holds no password; `path` is None for a database server."""

    shown: str
    path: Path | None
    url: URL

    @classmethod
    def read(cls, written: str) -> Address:
        """Read a path or a URL.

        Raises
        ------
        InputError
            When it is the URL of a database that is not served.
        """
        if "://" not in written:
            return cls(written, Path(written), make_url("sqlite://"))
        try:
            url = make_url(written)
        except (ArgumentError, ValueError):
            raise refuse("", written, EXPECTED_ADDRESS) from None
        if url.get_backend_name() != "postgresql":
            raise refuse("", url.drivername, EXPECTED_ADDRESS)
        return cls(without_password(url.render_as_string()), None, url.set(drivername="postgresql+psycopg"))

    def connect(self, create: bool = False, patience_seconds: float = PATIENCE_SECONDS) -> Engine:
        """Return what opens connections; a file that is missing is made only where asked for.

        Raises
        ------
        InputError
            When PostgreSQL is asked for and its driver is not installed.
        """
        if self.path is not None:
            return _sqlite(self.path, create, patience_seconds)
        try:
            return _postgresql(self.url, patience_seconds)
        except ModuleNotFoundError:
            mend = "Install it: pip install 'stackopt[postgres]'"
            raise refuse(self.shown, "", "the PostgreSQL driver psycopg", mend) from None


def _sqlite(path: Path, create: bool, patience_seconds: float) -> Engine:
    def open_ledger_file() -> sqlite3.Connection:
        return open_file(path, patience_seconds, create=create)

    engine = create_engine("sqlite://", creator=open_ledger_file, poolclass=NullPool)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writing = connection.get_execution_options().get(WRITING, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def _postgresql(url: URL, patience_seconds: float) -> Engine:
    milliseconds = int(patience_seconds * 1000)
    options = {"options": f"-c lock_timeout={milliseconds}", "connect_timeout": max(2, int(patience_seconds))}
    engine = create_engine(url, poolclass=NullPool, connect_args=options)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if not connection.get_execution_options().get(WRITING, False):
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")

    return engine
